//! The sheet.

mod circuit;
mod entry;
#[cfg(test)]
mod fixture;
mod geometry;
mod propose;
mod remarks;
#[cfg(test)]
mod remarks_tests;

use yew::prelude::*;

/// The sheet.
#[component]
pub fn Wiring() -> Html {
    html! { <h1>{ "Wiring" }</h1> }
}
