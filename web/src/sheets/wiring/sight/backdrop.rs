//! What stands behind everything: the panel's outline, ducts with their slots, rails, boxes outside.

use crate::sheets::wiring::drawing::Shared;
use crate::sheets::wiring::geometry::Rect;
use crate::sheets::wiring::panel::{Duct, Outside};
use crate::t;
use yew::prelude::*;

/// A layer of the drawing.
#[derive(Properties, PartialEq)]
pub struct LayerProps {
    /// The drawing.
    pub drawing: Shared,
}

/// The layer behind devices and conductors.
#[component]
pub fn Backdrop(props: &LayerProps) -> Html {
    let panel = &props.drawing.panel;
    let box_of = |class: &'static str, r: Rect| {
        html! {
            <rect {class} x={number(r.x)} y={number(r.y)} width={number(r.w)} height={number(r.h)} />
        }
    };
    html! {
        <g aria-hidden="true">
            { box_of("panel-wall", panel.wall) }
            { for panel.ducts.iter().map(|duct| html! {
                <>
                    { box_of(if duct.outside { "panel-run" } else { "panel-duct" }, duct.area) }
                    if !duct.outside {
                        <path class="panel-slots" d={slots(duct)} />
                    }
                </>
            }) }
            { for panel.rails.iter().map(|rail| box_of("panel-rail", *rail)) }
            { for panel.frames.iter().map(|frame| html! {
                <>
                    { box_of("panel-frame", frame.area) }
                    <text class="panel-frame-title" x={number(frame.area.x + 6.0)} y={number(frame.area.y + 12.0)}>
                        { match frame.holds {
                            Outside::Supply => t!("wiring-supply"),
                            Outside::Station => t!("wiring-station"),
                            Outside::Field => t!("wiring-field"),
                        } }
                    </text>
                </>
            }) }
        </g>
    }
}

/// A coordinate as an attribute.
pub fn number(value: f64) -> String {
    let text = format!("{value:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_string()
}

/// The slots along both edges of a duct.
fn slots(duct: &Duct) -> String {
    const STEP: f64 = 9.0;
    const DEEP: f64 = 3.5;
    let a = duct.area;
    let mut d = String::new();
    let along = if duct.level { a.w } else { a.h };
    let mut at = STEP;
    while at < along - STEP / 2.0 {
        let (x, y) = (a.x + at, a.y + at);
        d += &if duct.level {
            format!("M{x:.1} {:.1}v{DEEP}M{x:.1} {:.1}v-{DEEP}", a.y, a.bottom())
        } else {
            format!("M{:.1} {y:.1}h{DEEP}M{:.1} {y:.1}h-{DEEP}", a.x, a.right())
        };
        at += STEP;
    }
    d
}
