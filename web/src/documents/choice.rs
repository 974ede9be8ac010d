//! Where a person asks for the documents.

use super::list::LIST;
use super::paper::Paper;
use super::set::{Documents, DocumentsProps};
use crate::hooks::use_workshop;
use crate::services::printing;
use crate::store::Command;
use crate::t;
use web_sys::HtmlSelectElement;
use yew::prelude::*;

/// What to print, on which paper.
#[component]
pub fn PrintChoice() -> Html {
    let shop = use_workshop();
    let only = use_state(|| None::<usize>);
    let paper = use_state(Paper::default);
    let value = |event: &Event| event.target_dyn_into::<HtmlSelectElement>().map(|select| select.value());
    let choose_only = {
        let only = only.clone();
        Callback::from(move |event: Event| only.set(value(&event).and_then(|number| number.parse().ok())))
    };
    let choose_paper = {
        let paper = paper.clone();
        Callback::from(move |event: Event| {
            paper.set(value(&event).and_then(|word| Paper::from_word(&word)).unwrap_or_default())
        })
    };
    let print = {
        let (only, paper) = (*only, *paper);
        Callback::from(move |_: MouseEvent| {
            shop.dispatch(Command::KeepDraft);
            let shop = shop.clone();
            printing::print::<Documents>(|on_ready| DocumentsProps { shop, only, paper, on_ready });
        })
    };
    html! {
        <section class="print" aria-labelledby="print-title">
            <h2 class="heading" id="print-title">{ t!("print-title") }</h2>
            <label>
                <span>{ t!("print-what") }</span>
                <select onchange={choose_only}>
                    <option value="" selected={only.is_none()}>{ t!("print-all") }</option>
                    { for LIST.iter().enumerate().map(|(n, entry)| html! {
                        <option value={n.to_string()} selected={*only == Some(n)}>{ (entry.title)() }</option>
                    }) }
                </select>
            </label>
            <label>
                <span>{ t!("print-paper") }</span>
                <select onchange={choose_paper}>
                    { for Paper::ALL.into_iter().map(|size| html! {
                        <option value={size.word()} selected={*paper == size}>{ t!("print-across", size = size.word()) }</option>
                    }) }
                </select>
            </label>
            <button type="button" onclick={print}>{ t!("print-print") }</button>
            <p class="small faint">{ t!("print-note") }</p>
        </section>
    }
}
