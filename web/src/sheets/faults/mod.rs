//! The sheet.

use yew::prelude::*;

/// The sheet.
#[component]
pub fn Faults() -> Html {
    html! { <h1>{ "Faults" }</h1> }
}
