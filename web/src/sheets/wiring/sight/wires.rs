//! Conductors: thin in the ducts, in full at their terminals, with ferrules. What is live is drawn heavy where it leaves
//! its terminal.

use super::backdrop::{LayerProps, number};
use crate::hooks::use_live;
use crate::services::live::Binding;
use crate::sheets::wiring::drawing::Shared;
use crate::sheets::wiring::geometry::{Point, rounded_path};
use crate::sheets::wiring::panel::shape::Edge;
use crate::sheets::wiring::potentials::Volts;
use crate::sheets::wiring::routing::{Ferrule, Route};
use crate::sheets::wiring::words::colour_class;
use sealin_core::plan::{Insulation, Terminal};
use std::rc::Rc;
use yew::prelude::*;

/// Radius of the bends.
const BEND: f64 = 3.0;

/// The conductors.
#[derive(Properties, PartialEq)]
pub struct WiresProps {
    /// The drawing.
    pub drawing: Shared,
    /// Potentials of the terminals that carry a conductor.
    pub volts: Volts,
}

/// Per route and end: which of the terminals it is at, and the node of its stub.
type Stubs = Vec<[(usize, NodeRef); 2]>;

fn stubs((drawing, volts): &(Shared, Volts)) -> Stubs {
    let at = |t: &Terminal| volts.terminals().binary_search(t).unwrap_or(usize::MAX);
    drawing.routes.iter().map(|r| [0, 1].map(|e| (at(&r.ends[e].terminal), NodeRef::default()))).collect()
}

/// The conductors.
#[component]
pub fn Wires(props: &WiresProps) -> Html {
    let stubs = use_memo((props.drawing.clone(), props.volts.clone()), stubs);
    use_live(props.volts.clone(), {
        let stubs = stubs.clone();
        move |volts| bindings(volts, &stubs)
    });
    let drawing = &props.drawing;
    let colour = |id: &str| drawing.conductor(id).map_or(Insulation::Black, |c| c.colour);
    html! {
        <g aria-hidden="true">
            <g class="wire-runs">
                { for drawing.routes.iter().map(|route| html! {
                    <path key={route.id.clone()}
                        class={classes!("wire-run", format!("wire-{}", colour_class(colour(&route.id))))}
                        d={rounded_path(&route.line, BEND)} />
                }) }
            </g>
            { for drawing.routes.iter().zip(&*stubs).map(|(route, ends)| html! {
                <g key={route.id.clone()} class={format!("wire-{}", colour_class(colour(&route.id)))}>
                    { for (0..2).map(|e| stub(route, e, &ends[e].1, colour(&route.id))) }
                </g>
            }) }
        </g>
    }
}

/// The ferrules, over whatever is chosen.
#[component]
pub fn Ferrules(props: &LayerProps) -> Html {
    html! { <g aria-hidden="true">{ for props.drawing.ferrules.iter().map(ferrule) }</g> }
}

fn bindings(volts: &Volts, stubs: &Stubs) -> Vec<Binding> {
    let reader = volts.clone();
    let mut all = vec![Binding::frame(Rc::new(move |workshop| reader.read(workshop)))];
    for (at, node) in stubs.iter().flatten() {
        let (volts, at) = (volts.clone(), *at);
        all.push(Binding::class(node.clone(), "is-live", move |_| volts.value(at) != Default::default()));
    }
    all
}

fn stub(route: &Route, end: usize, node: &NodeRef, colour: Insulation) -> Html {
    let d = rounded_path(&route.stub(end), 0.0);
    html! {
        <g ref={node.clone()} class="wire-stub">
            <path class="wire-case" d={d.clone()} />
            <path class="wire-core" d={d.clone()} />
            if matches!(colour, Insulation::GreenYellow | Insulation::WhiteBlue) {
                <path class="wire-tracer" {d} />
            }
        </g>
    }
}

fn ferrule(f: &Ferrule) -> Html {
    let (a, m) = (f.area, f.area.middle());
    let level = f.edge == Edge::Right;
    html! {
        <g key={format!("{}{:?}", f.conductors.join(" "), f.area)}>
            <rect class="ferrule" x={number(a.x)} y={number(a.y)} width={number(a.w)} height={number(a.h)} />
            if !f.number.is_empty() {
                <text class={classes!("ferrule-number", f.narrow.then_some("ferrule-narrow"))}
                    textLength={f.squeezed().map(number)} lengthAdjust="spacingAndGlyphs" text-anchor="middle"
                    transform={placed(m, level, if f.narrow { 2.0 } else { 2.8 })}>
                    { f.number.clone() }
                </text>
            }
        </g>
    }
}

/// Words along a conductor, their base line `drop` beside the point.
pub fn placed(at: Point, level: bool, drop: f64) -> String {
    if level {
        format!("translate({} {})", number(at.x), number(at.y + drop))
    } else {
        format!("translate({} {}) rotate(-90)", number(at.x + drop), number(at.y))
    }
}
