//! The attempt in hand: its name, as a file and as a link, and a new one.

use crate::hooks::{use_selector, use_workshop};
use crate::services::{attempt_file, opening};
use crate::store::{Command, Saved, Shop};
use crate::t;
use web_sys::HtmlInputElement;
use yew::prelude::*;

/// Name on the attempt; the file out and in; starting over.
#[component]
pub fn AttemptBox() -> Html {
    let shop = use_workshop();
    let (on_example, has_example) = *use_selector(|workshop| (workshop.on_example(), workshop.has_example()));
    let link = use_state(|| None);
    let example = {
        let shop = shop.clone();
        Callback::from(move |_: MouseEvent| shop.dispatch(Command::Example(true)))
    };
    let make_link = {
        let (shop, link) = (shop.clone(), link.clone());
        Callback::from(move |_: MouseEvent| link.set(attempt_file::link(&shop)))
    };
    if on_example {
        return html! {
            <section class="attempt">
                <h2 class="heading">{ t!("example-title") }</h2>
                <p>{ t!("example-note") }</p>
            </section>
        };
    }
    html! {
        <section class="attempt">
            <h2 class="heading">{ t!("attempt-title") }</h2>
            <Author />
            <div class="attempt-buttons">
                <button type="button" onclick={save(&shop)}>{ t!("attempt-save") }</button>
                <OpenFile />
                <StartOver />
                <button type="button" onclick={make_link}>{ t!("attempt-link") }</button>
                if has_example {
                    <button type="button" onclick={example}>{ t!("example-look") }</button>
                }
            </div>
            if let Some(link) = (*link).clone() {
                <label class="attempt-author">
                    <span>{ t!("attempt-link-copied", letters = link.len()) }</span>
                    <input type="text" readonly=true value={link} />
                </label>
            }
            <p class="small faint">{ t!("attempt-note") }</p>
        </section>
    }
}

/// A callback that saves the attempt as a file.
pub fn save(shop: &Shop) -> Callback<MouseEvent> {
    let shop = shop.clone();
    Callback::from(move |_| attempt_file::save(&shop))
}

/// The name on the attempt.
#[component]
pub fn Author() -> Html {
    let shop = use_workshop();
    let author = use_selector(|workshop| workshop.author().to_string());
    let write = Callback::from(move |event: Event| {
        if let Some(input) = event.target_dyn_into::<HtmlInputElement>() {
            shop.dispatch(Command::Author(input.value()));
        }
    });
    html! {
        <label class="attempt-author">
            <span>{ t!("attempt-author") }</span>
            <input type="text" maxlength="100" autocomplete="name" value={(*author).clone()} onchange={write} />
        </label>
    }
}

/// Opens an attempt file. The work in progress stays until the file has been read whole and followed to its end.
#[component]
pub fn OpenFile() -> Html {
    let shop = use_workshop();
    let input = use_node_ref();
    let choose = {
        let input = input.clone();
        Callback::from(move |_: MouseEvent| {
            if let Some(input) = input.cast::<HtmlInputElement>() {
                input.click();
            }
        })
    };
    let open = Callback::from(move |event: Event| {
        let Some(input) = event.target_dyn_into::<HtmlInputElement>() else { return };
        if let Some(file) = input.files().and_then(|files| files.get(0)) {
            attempt_file::open(shop.clone(), file);
        }
        // The same file can be chosen again.
        input.set_value("");
    });
    html! {
        <>
            <button type="button" onclick={choose}>{ t!("attempt-open") }</button>
            <input ref={input} class="visually-hidden" type="file" accept=".json,application/json" tabindex="-1"
                aria-label={t!("attempt-open")} onchange={open} />
        </>
    }
}

/// Begins the job anew. Only where nothing is kept it throws the work away, and asks before.
#[component]
fn StartOver() -> Html {
    let shop = use_workshop();
    let lost = use_selector(|workshop| matches!(workshop.saved(), Saved::Impossible | Saved::Elsewhere));
    let asked = use_state(|| false);
    let ask = |value: bool| {
        let asked = asked.clone();
        Callback::from(move |_: MouseEvent| asked.set(value))
    };
    let begin = {
        let asked = asked.clone();
        Callback::from(move |_: MouseEvent| {
            asked.set(false);
            opening::start_over(shop.clone());
        })
    };
    if !*asked {
        let click = if *lost { ask(true) } else { begin };
        return html! { <button type="button" onclick={click}>{ t!("attempt-start-over") }</button> };
    }
    html! {
        <div class="attempt-confirm box" role="group" aria-label={t!("attempt-start-over")}>
            <p>{ t!("attempt-start-over-ask") }</p>
            <button type="button" class="button-main" onclick={begin}>{ t!("attempt-start-over-yes") }</button>
            <button type="button" onclick={ask(false)}>{ t!("attempt-start-over-no") }</button>
        </div>
    }
}
