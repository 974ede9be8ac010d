//! The terminals: what pointer and keys take hold of, each with a name that says what is in it.

use super::backdrop::number;
use super::devices::anchor;
use super::wires::placed;
use crate::hooks::use_live;
use crate::services::live::Binding;
use crate::sheets::wiring::drawing::Shared;
use crate::sheets::wiring::finding::Shown;
use crate::sheets::wiring::panel::Spot;
use crate::sheets::wiring::potentials::Volts;
use crate::sheets::wiring::words;
use sealin_core::plan::Terminal;
use yew::prelude::*;

/// All terminals.
#[derive(Properties, PartialEq)]
pub struct TerminalsProps {
    /// The drawing.
    pub drawing: Shared,
    /// The terminal that the keys are at.
    pub at: Terminal,
    /// The terminal from which a conductor is being made.
    pub from: Option<Terminal>,
    /// Potentials of the terminals that carry a conductor.
    pub volts: Volts,
    /// What is chosen: its potentials are told.
    pub shown: Shown,
}

/// The layer of terminals. One of them is in the tab order; arrow keys walk the rest.
#[component]
pub fn Terminals(props: &TerminalsProps) -> Html {
    let drawing = &props.drawing;
    let nodes = use_memo(props.volts.clone(), |volts| -> Vec<NodeRef> {
        volts.terminals().iter().map(|_| NodeRef::default()).collect()
    });
    use_live(props.volts.clone(), {
        let nodes = nodes.clone();
        move |volts| {
            let text = |(at, node): (usize, &NodeRef)| {
                let volts = volts.clone();
                Binding::text(node.clone(), move |_| volts.value(at).text())
            };
            nodes.iter().enumerate().map(text).collect()
        }
    });
    html! {
        <g>
            { for drawing.panel.spots.iter().map(|(terminal, spot)| {
                let potential = props.volts.terminals().binary_search(terminal).ok().map(|at| nodes[at].clone());
                let told = props.shown.terminals.contains(terminal) || props.shown.part.as_ref() == Some(&terminal.part);
                let name = drawing.occupancy.get(terminal).map(|o| words::terminal(terminal, o)).unwrap_or_default();
                html! {
                    <TerminalMark key={terminal.to_string()} terminal={terminal.clone()} spot={spot.clone()} {name}
                        at={*terminal == props.at} from={props.from.as_ref() == Some(terminal)} {potential} {told} />
                }
            }) }
        </g>
    }
}

#[derive(Properties, PartialEq)]
struct TerminalProps {
    terminal: Terminal,
    spot: Spot,
    name: AttrValue,
    at: bool,
    from: bool,
    potential: Option<NodeRef>,
    told: bool,
}

/// Radius of a clamp.
const CLAMP: f64 = 3.6;

#[component]
fn TerminalMark(props: &TerminalProps) -> Html {
    let spot = &props.spot;
    let h = spot.hit;
    let (at, upwards) = spot.potential();
    html! {
        <g class={classes!("terminal", props.told.then_some("is-told"))} role="button" tabindex={if props.at { "0" } else { "-1" }}
            aria-label={props.name.clone()} aria-pressed={props.from.to_string()}
            data-terminal={props.terminal.to_string()}>
            <rect class="terminal-hit" x={number(h.x)} y={number(h.y)} width={number(h.w)} height={number(h.h)} />
            { for spot.clamps.iter().map(|c| html! {
                <circle class="terminal-clamp" cx={number(c.at.x)} cy={number(c.at.y)} r={number(CLAMP)} />
            }) }
            <text class="terminal-name" x={number(spot.label.x)} y={number(spot.label.y)}
                text-anchor={anchor(spot.anchor)}>
                { props.terminal.name.clone() }
            </text>
            // Shown where it is asked for: by pointer, by keys, by choosing. A hundred at once cannot be read.
            if let Some(node) = &props.potential {
                <text ref={node.clone()} class="potential" transform={placed(at, !upwards, 0.0)} aria-hidden="true"></text>
            }
        </g>
    }
}
