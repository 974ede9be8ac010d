//! What is chosen: whole routes heavy, rings at both ends, and the conductor that is being drawn.

use super::backdrop::number;
use crate::sheets::wiring::drawing::Shared;
use crate::sheets::wiring::finding::Shown;
use crate::sheets::wiring::geometry::{Point, rounded_path};
use crate::t;
use sealin_core::plan::Terminal;
use yew::prelude::*;

/// What is chosen on the drawing.
#[derive(Properties, PartialEq)]
pub struct ChoiceProps {
    /// The drawing.
    pub drawing: Shared,
    /// What is shown heavy.
    pub shown: Shown,
}

/// The routes that are chosen, under the ferrules.
#[component]
pub fn ChosenRoutes(props: &ChoiceProps) -> Html {
    let chosen = props.drawing.routes.iter().filter(|r| props.shown.conductors.contains(&r.id));
    html! {
        <g aria-hidden="true">
            { for chosen.map(|r| {
                let d = rounded_path(&r.line, 3.0);
                html! {
                    <g key={r.id.clone()}>
                        <path class="chosen-case" d={d.clone()} />
                        <path class="chosen-route" {d} />
                    </g>
                }
            }) }
        </g>
    }
}

/// Rings at the ends that are chosen, outlines of their ferrules, the outline of a chosen device.
#[component]
pub fn ChosenEnds(props: &ChoiceProps) -> Html {
    let (drawing, shown) = (&props.drawing, &props.shown);
    let ferrules =
        drawing.ferrules.iter().filter(|f| f.conductors.iter().any(|id| shown.conductors.contains(id)));
    let device = drawing.panel.devices.iter().find(|d| shown.part.as_ref() == Some(&d.tag));
    html! {
        <g aria-hidden="true">
            if let Some(device) = device {
                <rect class="chosen-device" x={number(device.area.x - 3.0)} y={number(device.area.y - 3.0)}
                    width={number(device.area.w + 6.0)} height={number(device.area.h + 6.0)} />
            }
            { for ferrules.map(|f| html! {
                <rect class="chosen-ferrule" x={number(f.area.x)} y={number(f.area.y)} width={number(f.area.w)}
                    height={number(f.area.h)} />
            }) }
            { for shown.terminals.iter().map(|t| ring(drawing, t, "chosen-end")) }
        </g>
    }
}

/// The conductor that is being drawn.
#[derive(Properties, PartialEq)]
pub struct RubberProps {
    /// The drawing.
    pub drawing: Shared,
    /// Where it begins.
    pub from: Terminal,
    /// Where the pointer is.
    pub to: Point,
    /// The terminal that would take it.
    pub target: Option<Terminal>,
}

/// A straight line from a terminal to the pointer, and a ring where it would end.
#[component]
pub fn Rubber(props: &RubberProps) -> Html {
    let Some(start) = clamp(&props.drawing, &props.from) else { return html! {} };
    let end = props.target.as_ref().and_then(|t| clamp(&props.drawing, t)).unwrap_or(props.to);
    html! {
        <g class="rubber" aria-hidden="true">
            <line class="rubber-line" x1={number(start.x)} y1={number(start.y)} x2={number(end.x)}
                y2={number(end.y)} />
            { ring(&props.drawing, &props.from, "chosen-end") }
            if let Some(target) = &props.target {
                { ring(&props.drawing, target, "rubber-target") }
                <text class="rubber-label" text-anchor="middle" x={number(end.x)} y={number(end.y - 12.0)}>
                    { t!("wiring-from-to", from = props.from, to = target) }
                </text>
            }
        </g>
    }
}

fn clamp(drawing: &Shared, t: &Terminal) -> Option<Point> {
    drawing.panel.spots.get(t)?.clamps.first().map(|c| c.at)
}

fn ring(drawing: &Shared, t: &Terminal, class: &'static str) -> Html {
    let Some(spot) = drawing.panel.spots.get(t) else { return html! {} };
    html! {
        <>
            { for spot.clamps.iter().map(|c| html! {
                <circle {class} cx={number(c.at.x)} cy={number(c.at.y)} r="6.5" />
            }) }
        </>
    }
}
