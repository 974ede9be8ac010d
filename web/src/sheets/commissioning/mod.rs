//! The sheet.

use yew::prelude::*;

/// The sheet.
#[component]
pub fn Commissioning() -> Html {
    html! { <h1>{ "Commissioning" }</h1> }
}
