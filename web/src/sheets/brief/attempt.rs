//! The attempt as a file: save, open, start over.

use crate::hooks::{use_selector, use_workshop};
use crate::services::{attempt_file, page};
use crate::store::{Command, Shop};
use crate::t;
use web_sys::HtmlInputElement;
use yew::prelude::*;

/// Name on the attempt; the file out and in; starting over.
#[component]
pub fn AttemptBox() -> Html {
    let shop = use_workshop();
    let (on_example, has_example) = *use_selector(|workshop| (workshop.on_example(), workshop.has_example()));
    let example = {
        let shop = shop.clone();
        Callback::from(move |_: MouseEvent| shop.dispatch(Command::Example(true)))
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
                <SetAside />
                if has_example {
                    <button type="button" onclick={example}>{ t!("example-look") }</button>
                }
            </div>
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

/// Saves the work on another edition of the job that was set aside; nothing where there is none.
#[component]
fn SetAside() -> Html {
    let shop = use_workshop();
    let kept = use_state(|| None);
    {
        let kept = kept.clone();
        use_effect_with((), move |()| {
            wasm_bindgen_futures::spawn_local(async move {
                kept.set(attempt_file::set_aside().await);
            });
        });
    }
    let Some(text) = (*kept).clone() else { return html! {} };
    let save = Callback::from(move |_: MouseEvent| attempt_file::save_set_aside(&shop, &text));
    html! { <button type="button" onclick={save}>{ t!("attempt-aside") }</button> }
}

/// Throws the work away, after asking.
#[component]
fn StartOver() -> Html {
    let shop = use_workshop();
    let asked = use_state(|| false);
    let ask = |value: bool| {
        let asked = asked.clone();
        Callback::from(move |_: MouseEvent| asked.set(value))
    };
    if !*asked {
        return html! { <button type="button" onclick={ask(true)}>{ t!("attempt-start-over") }</button> };
    }
    let confirm = {
        let asked = asked.clone();
        Callback::from(move |_: MouseEvent| {
            asked.set(false);
            let (seed, started) = page::draw();
            shop.dispatch(Command::StartOver { seed, started });
        })
    };
    html! {
        <div class="attempt-confirm box" role="group" aria-label={t!("attempt-start-over")}>
            <p>{ t!("attempt-start-over-ask") }</p>
            <button type="button" class="button-main" onclick={confirm}>{ t!("attempt-start-over-yes") }</button>
            <button type="button" onclick={ask(false)}>{ t!("attempt-start-over-no") }</button>
        </div>
    }
}
