//! The sheet.

use yew::prelude::*;

/// The sheet.
#[component]
pub fn SignOff() -> Html {
    html! { <h1>{ "SignOff" }</h1> }
}
