//! The diagram as it is seen: lines, symbols, words.

use super::Shared;
use super::diagram::{Line, Symbol, shown_number};
use super::element::Figure;
use super::live::{Nodes, bindings};
use super::symbol::{Mark, Show};
use super::words::{Says, Set, Word, name};
use crate::hooks::use_live;
use crate::sheets::wiring::geometry::Point;
use crate::sheets::wiring::sight::backdrop::number;
use crate::store::Thing;
use yew::prelude::*;

/// What is drawn.
#[derive(Properties, PartialEq)]
pub struct SightProps {
    /// The diagram.
    pub drawn: Shared,
    /// What is chosen.
    pub selection: Option<Thing>,
    /// The symbol that the keys are at.
    pub at: usize,
}

/// The drawing.
#[component]
pub fn Sight(props: &SightProps) -> Html {
    let drawn = &props.drawn;
    let nodes = use_memo(drawn.clone(), Nodes::new);
    use_live(drawn.clone(), {
        let nodes = nodes.clone();
        move |drawn| bindings(drawn, &nodes)
    });
    let chosen = |s: &Symbol| match &props.selection {
        Some(Thing::Part(tag)) => s.element.tag == *tag,
        Some(Thing::Terminal(t)) => s.element.ports.iter().any(|p| p.terminal.as_ref() == Some(t)),
        _ => false,
    };
    html! {
        <>
            <g aria-hidden="true">
                { for drawn.lines.iter().zip(&nodes.lines).map(|(l, node)| line(l, node, props.selection.as_ref())) }
                { for drawn.leads.iter().zip(&nodes.leads).map(|(lead, node)| html! {
                    <g ref={node.clone()} class="circuit-line">
                        <path d={polyline(&[lead.from, lead.to])} />
                        if lead.terminal.is_some() {
                            <path class="circuit-core" d={polyline(&[lead.from, lead.to])} />
                        }
                        { for lead.dots.iter().map(|p| html! {
                            <circle class="circuit-dot" cx={number(p.x)} cy={number(p.y)} r="2" />
                        }) }
                        if lead.open {
                            <circle class="circuit-open" cx={number(lead.to.x)} cy={number(lead.to.y)} r="2.4" />
                        }
                    </g>
                }) }
                { for drawn.words.iter().map(|w| word(w, &NodeRef::default())) }
            </g>
            { for drawn.symbols.iter().zip(&nodes.symbols).enumerate().map(|(n, (s, nodes))| {
                symbol(s, &nodes.0, n == props.at, chosen(s))
            }) }
            // Beside the symbols: their names say the same in sentences (WCAG 2.5.3).
            <g class="circuit-words" aria-hidden="true">
                { for drawn.symbols.iter().zip(&nodes.symbols).flat_map(|(s, nodes)| {
                    s.words.iter().zip(&nodes.1).map(|(w, node)| word(w, node))
                }) }
            </g>
        </>
    }
}

fn line(line: &Line, node: &NodeRef, choice: Option<&Thing>) -> Html {
    let id = line.conductor.as_ref().map(|c| c.id.clone());
    let chosen = matches!((choice, &id), (Some(Thing::Conductor(one)), Some(id)) if one == id);
    let class = if id.is_some() { "circuit-line" } else { "circuit-line circuit-inside" };
    html! {
        <g key={id.clone().unwrap_or_else(|| format!("{:?}", line.points))} ref={node.clone()} {class}>
            if chosen {
                <path class="circuit-chosen-line" d={polyline(&line.points)} />
            }
            <path d={polyline(&line.points)} />
            if id.is_some() {
                <path class="circuit-core" d={polyline(&line.points)} />
            }
            if let (Some(c), Some((area, upright))) = (&line.conductor, line.label) {
                <rect class="circuit-ferrule" x={number(area.x)} y={number(area.y)} width={number(area.w)}
                    height={number(area.h)} />
                <text class="circuit-number" text-anchor="middle" transform={placed(area.middle(), upright)}>
                    { shown_number(c) }
                </text>
            }
        </g>
    }
}

fn placed(m: Point, upright: bool) -> String {
    if upright {
        format!("translate({} {}) rotate(-90)", number(m.x + 2.6), number(m.y))
    } else {
        format!("translate({} {})", number(m.x), number(m.y + 2.6))
    }
}

fn symbol(s: &Symbol, signals: &[NodeRef], at: bool, chosen: bool) -> Html {
    let a = s.area;
    let first = s.element.ports.iter().find_map(|p| p.terminal.as_ref()).map(ToString::to_string);
    let still = s.marks.iter().filter(|m| m.show == Show::Always);
    let rest = matches!(s.element.figure, Figure::Contact { make: false, .. });
    html! {
        <g key={first.clone().unwrap_or_default()} class={classes!("circuit-symbol", chosen.then_some("is-chosen"))}
            role="button" tabindex={if at { "0" } else { "-1" }} aria-pressed={chosen.to_string()}
            aria-label={name(s)} data-terminal={first}>
            <rect class="circuit-hit" x={number(a.x)} y={number(a.y)} width={number(a.w)} height={number(a.h)} />
            { for still.map(mark) }
            { for signals.iter().enumerate().map(|(k, node)| html! {
                <g ref={node.clone()} class={classes!("circuit-moving", rest.then_some("rests-on"))}>
                    { for s.marks.iter().filter(|m| m.show == Show::On(k)).map(|m| html! {
                        <path class="circuit-mark circuit-on" d={m.d.clone()} />
                    }) }
                    { for s.marks.iter().filter(|m| m.show == Show::Off(k)).map(|m| html! {
                        <path class="circuit-mark circuit-off" d={m.d.clone()} />
                    }) }
                </g>
            }) }
        </g>
    }
}

fn mark(mark: &Mark) -> Html {
    let class = if mark.link { "circuit-mark circuit-link" } else { "circuit-mark" };
    html! { <path {class} d={mark.d.clone()} /> }
}

fn word(w: &Word, node: &NodeRef) -> Html {
    let class = match w.says {
        Says::Tag => "circuit-tag",
        Says::Small => "circuit-small",
        Says::Path => "circuit-path",
        Says::Heading => "circuit-heading",
        Says::Inside | Says::Bit => "circuit-small circuit-centre",
        Says::Volts(_) | Says::Amperes => "circuit-small circuit-value",
    };
    let anchor = match w.set {
        Set::Start => "start",
        Set::Middle => "middle",
        Set::End => "end",
    };
    let (x, y) = (number(w.at.x), number(w.at.y));
    // What the bench writes has no child of Yew's own.
    if w.text.is_empty() {
        return html! { <text ref={node.clone()} {class} {x} {y} text-anchor={anchor}></text> };
    }
    html! { <text {class} {x} {y} text-anchor={anchor}>{ w.text.clone() }</text> }
}

fn polyline(points: &[Point]) -> String {
    let mut d = String::new();
    for (k, p) in points.iter().enumerate() {
        d += &format!("{}{} {}", if k == 0 { "M" } else { "L" }, number(p.x), number(p.y));
    }
    d
}
