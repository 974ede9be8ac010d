//! The sheet.

use yew::prelude::*;

/// The sheet.
#[component]
pub fn Wiring() -> Html {
    html! { <h1>{ "Wiring" }</h1> }
}
