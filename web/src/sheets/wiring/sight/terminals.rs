//! The terminals: what pointer and keys take hold of, each with a name that says what is in it.

use super::backdrop::number;
use super::devices::anchor;
use crate::sheets::wiring::drawing::Shared;
use crate::sheets::wiring::panel::Spot;
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
}

/// The layer of terminals. One of them is in the tab order; arrow keys walk the rest.
#[component]
pub fn Terminals(props: &TerminalsProps) -> Html {
    let drawing = &props.drawing;
    html! {
        <g>
            { for drawing.panel.spots.iter().map(|(terminal, spot)| {
                let name = drawing.occupancy.get(terminal).map(|o| words::terminal(terminal, o)).unwrap_or_default();
                html! {
                    <TerminalMark key={terminal.to_string()} terminal={terminal.clone()} spot={spot.clone()} {name}
                        at={*terminal == props.at} from={props.from.as_ref() == Some(terminal)} />
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
}

/// Radius of a clamp.
const CLAMP: f64 = 3.6;

#[component]
fn TerminalMark(props: &TerminalProps) -> Html {
    let spot = &props.spot;
    let h = spot.hit;
    html! {
        <g class="terminal" role="button" tabindex={if props.at { "0" } else { "-1" }}
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
        </g>
    }
}
