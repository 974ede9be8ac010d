//! Stores: parts taken, moved and given back, where a job has its stores open.
//!
//! `choice` is what a person has chosen, without a page; `shelf` takes a part, `mounted` lists those that were taken.

mod choice;
mod mounted;
mod shelf;

use crate::hooks::use_selector;
use crate::t;
use mounted::MountedParts;
use shelf::Shelf;
use yew::prelude::*;

/// The stores; nothing where they are closed.
#[component]
pub fn Stores() -> Html {
    let open = use_selector(|workshop| workshop.scenario().stores);
    if !*open {
        return html! {};
    }
    html! {
        <section class="stores" aria-labelledby="stores-title">
            <h2 class="heading" id="stores-title">{ t!("stores-title") }</h2>
            <Shelf />
            <MountedParts />
        </section>
    }
}

/// The choice of a drop-down list with its label.
#[derive(Properties, PartialEq)]
pub struct PickProps {
    /// What is chosen.
    pub label: AttrValue,
    /// The label is for assistive technology alone.
    #[prop_or_default]
    pub silent: bool,
    /// Value and words of each.
    pub options: Vec<(String, String)>,
    /// The value that is chosen.
    pub value: String,
    /// Another is chosen.
    pub on_pick: Callback<String>,
}

/// A drop-down list with its label.
#[component]
pub fn Pick(props: &PickProps) -> Html {
    let onchange = props.on_pick.reform(|event: Event| {
        event.target_dyn_into::<web_sys::HtmlSelectElement>().map(|select| select.value()).unwrap_or_default()
    });
    html! {
        <label class="stores-pick">
            <span class={classes!(if props.silent { "visually-hidden" } else { "small faint" })}>{ props.label.clone() }</span>
            <select {onchange}>
                { for props.options.iter().map(|(value, words)| html! {
                    <option key={value.clone()} value={value.clone()} selected={*value == props.value}>{ words.clone() }</option>
                }) }
            </select>
        </label>
    }
}
