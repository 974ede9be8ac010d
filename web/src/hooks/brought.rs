//! Bringing what was asked for on another sheet into view.

use crate::services::page;
use web_sys::Element;
use yew::prelude::*;

/// Marks the first visible element that carries this tag in `data-why`, and brings it into view, each time `asked` is
/// another one: the tag and the count of requests.
#[hook]
pub fn use_brought(asked: Option<(String, u32)>) {
    use_effect_with(asked, |asked| {
        let found = asked.as_ref().and_then(|(tag, _)| visible(tag));
        if let Some(element) = &found {
            let _ = element.class_list().add_1("why-chosen");
            let options = web_sys::ScrollIntoViewOptions::new();
            options.set_block(web_sys::ScrollLogicalPosition::Nearest);
            element.scroll_into_view_with_scroll_into_view_options(&options);
        }
        move || {
            if let Some(element) = found {
                let _ = element.class_list().remove_1("why-chosen");
            }
        }
    });
}

fn visible(tag: &str) -> Option<Element> {
    let all =
        page::document()?.query_selector_all(&format!("main [data-why=\"{tag}\"]:not(.why-of)")).ok()?;
    (0..all.length())
        .filter_map(|k| wasm_bindgen::JsCast::dyn_into::<Element>(all.item(k)?).ok())
        .find(|element| element.get_bounding_client_rect().width() > 0.0)
}
