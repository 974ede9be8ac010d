//! The sheet.

use yew::prelude::*;

/// The sheet.
#[component]
pub fn Program() -> Html {
    html! { <h1>{ "Program" }</h1> }
}
