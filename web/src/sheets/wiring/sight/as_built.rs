//! The panel as built, for paper: nothing of it follows the bench where the live layer is not provided.

use super::backdrop::{Backdrop, number};
use super::devices::Devices;
use super::terminals::Terminals;
use super::wires::{Ferrules, Wires};
use crate::sheets::wiring::drawing::Shared;
use crate::sheets::wiring::finding::Shown;
use crate::sheets::wiring::geometry::Rect;
use crate::sheets::wiring::potentials::Volts;
use crate::t;
use sealin_core::plan::Terminal;
use yew::prelude::*;

/// A part of the drawing.
#[derive(Properties, PartialEq)]
pub struct AsBuiltProps {
    /// The drawing.
    pub drawing: Shared,
    /// What of it is shown.
    pub window: Rect,
    /// It is a plan: words that would be too small to read are left out.
    pub plan: bool,
}

/// The drawing without anything to take hold of.
#[component]
pub fn AsBuilt(props: &AsBuiltProps) -> Html {
    let (drawing, w) = (&props.drawing, props.window);
    let volts = Volts::of(drawing);
    html! {
        <svg class={classes!("zoomed-drawing", "surface-drawing", props.plan.then_some("surface-plan"))} viewBox={[w.x, w.y, w.w, w.h].map(number).join(" ")} role="img" aria-label={t!("wiring-drawing")}>
            <Backdrop drawing={drawing.clone()} />
            <Wires drawing={drawing.clone()} volts={volts.clone()} />
            <Devices drawing={drawing.clone()} />
            <Ferrules drawing={drawing.clone()} />
            <Terminals drawing={drawing.clone()} {volts} at={Terminal::new("", "")} from={None::<Terminal>} shown={Shown::default()} />
        </svg>
    }
}
