//! The program sheet: I/O list, rungs and structured text.

mod change;
mod fold;
mod places;
mod walk;

use yew::prelude::*;

/// The sheet.
#[component]
pub fn Program() -> Html {
    html! { <h1>{ "Program" }</h1> }
}
