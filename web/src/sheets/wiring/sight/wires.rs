//! Conductors: thin in the ducts, in full at their terminals, with ferrules. What is live is drawn heavy where it leaves
//! its terminal, and its potential is printed there.

use super::backdrop::{LayerProps, number};
use crate::hooks::use_live;
use crate::services::live::Binding;
use crate::sheets::wiring::drawing::Shared;
use crate::sheets::wiring::geometry::{Point, rounded_path};
use crate::sheets::wiring::panel::shape::Edge;
use crate::sheets::wiring::potentials::Potentials;
use crate::sheets::wiring::routing::{Ferrule, Route};
use crate::sheets::wiring::words::colour_class;
use sealin_core::plan::{Insulation, Terminal};
use std::rc::Rc;
use yew::prelude::*;

/// Radius of the bends.
const BEND: f64 = 3.0;

/// Nodes that follow the bench.
#[derive(Default)]
struct Nodes {
    /// Terminals that carry a conductor, with the node of their potential.
    potentials: Vec<(Terminal, NodeRef)>,
    /// Per route and end: index of its terminal, and the node of its stub.
    stubs: Vec<[(usize, NodeRef); 2]>,
}

impl Nodes {
    fn new(drawing: &Shared) -> Nodes {
        let mut nodes = Nodes::default();
        for route in &drawing.routes {
            let ends = [0, 1].map(|e| {
                let terminal = &route.ends[e].terminal;
                let at = nodes.potentials.iter().position(|(t, _)| t == terminal).unwrap_or_else(|| {
                    nodes.potentials.push((terminal.clone(), NodeRef::default()));
                    nodes.potentials.len() - 1
                });
                (at, NodeRef::default())
            });
            nodes.stubs.push(ends);
        }
        nodes
    }
}

/// The conductors.
#[component]
pub fn Wires(props: &LayerProps) -> Html {
    let nodes = use_memo(props.drawing.clone(), Nodes::new);
    use_live(props.drawing.clone(), {
        let nodes = nodes.clone();
        move |drawing| bindings(drawing, &nodes)
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
            { for drawing.routes.iter().zip(&nodes.stubs).map(|(route, ends)| html! {
                <g key={route.id.clone()} class={format!("wire-{}", colour_class(colour(&route.id)))}>
                    { for (0..2).map(|e| stub(route, e, &ends[e].1, colour(&route.id))) }
                </g>
            }) }
            { for nodes.potentials.iter().map(|(terminal, node)| potential(drawing, terminal, node)) }
        </g>
    }
}

/// The ferrules, over whatever is chosen.
#[component]
pub fn Ferrules(props: &LayerProps) -> Html {
    html! { <g aria-hidden="true">{ for props.drawing.ferrules.iter().map(ferrule) }</g> }
}

fn bindings(drawing: &Shared, nodes: &Rc<Nodes>) -> Vec<Binding> {
    let terminals = nodes.potentials.iter().map(|(t, _)| t.clone()).collect();
    let volts = Rc::new(Potentials::new(terminals, drawing.earth()));
    let mut all = Vec::with_capacity(1 + nodes.potentials.len() + 2 * nodes.stubs.len());
    let reader = volts.clone();
    all.push(Binding::frame(Rc::new(move |workshop| reader.read(workshop))));
    for (at, (_, node)) in nodes.potentials.iter().enumerate() {
        let volts = volts.clone();
        all.push(Binding::text(node.clone(), move |_| volts.value(at).text()));
    }
    for (at, node) in nodes.stubs.iter().flatten() {
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
            if colour == Insulation::GreenYellow {
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
                    text-anchor="middle" transform={placed(m, level, if f.narrow { 2.0 } else { 2.8 })}>
                    { f.number.clone() }
                </text>
            }
        </g>
    }
}

fn potential(drawing: &Shared, terminal: &Terminal, node: &NodeRef) -> Html {
    let Some(spot) = drawing.panel.spots.get(terminal) else { return html! {} };
    let (at, upwards) = spot.potential();
    html! {
        <text key={terminal.to_string()} ref={node.clone()} class="potential"
            transform={placed(at, !upwards, 0.0)}></text>
    }
}

/// Words along a conductor, their base line `drop` beside the point.
fn placed(at: Point, level: bool, drop: f64) -> String {
    if level {
        format!("translate({} {})", number(at.x), number(at.y + drop))
    } else {
        format!("translate({} {}) rotate(-90)", number(at.x + drop), number(at.y))
    }
}
