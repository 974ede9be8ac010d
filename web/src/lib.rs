//! The front end of the bench.

use wasm_bindgen::prelude::wasm_bindgen;
use yew::prelude::*;

/// The page.
#[component]
fn Page() -> Html {
    html! { <main><h1>{ "Sealin" }</h1></main> }
}

/// Renders into `#app`; in a worker there is no window and nothing to render.
#[wasm_bindgen(start)]
pub fn start() {
    let Some(root) =
        web_sys::window().and_then(|w| w.document()).and_then(|document| document.get_element_by_id("app"))
    else {
        return;
    };
    yew::Renderer::<Page>::with_root(root).render();
}
