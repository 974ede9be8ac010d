//! The sheet.

use yew::prelude::*;

/// The sheet.
#[component]
pub fn Brief() -> Html {
    html! { <h1>{ "Brief" }</h1> }
}
