//! The key of the stop button.

use crate::hooks::{use_key, use_selector};
use crate::store::Workshop;
use crate::store::model::Kind;
use yew::prelude::*;

/// The key, as the browser names it; no letter, so that it is not hit while writing.
pub const KEY: &str = "Escape";

/// Whether a push-button is the one with the key.
pub fn has_key(function: &str) -> bool {
    function == "stop"
}

/// Presses the stop button for as long as the key is held; shows nothing.
#[component]
pub fn StopKey() -> Html {
    let stop = use_selector(|workshop: &Workshop| {
        let mut parts = workshop.scenario().parts.iter();
        parts
            .find(|part| matches!(part.kind, Kind::Control(_)) && has_key(&part.function))
            .map(|part| AttrValue::from(part.tag.clone()))
    });
    use_key(KEY, (*stop).clone());
    Html::default()
}
