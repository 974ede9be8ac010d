//! Typed entry, `QA1:14 > KF1:I4`, with completion: each terminal says what is in it.

use crate::services::surface;
use crate::sheets::wiring::desk::{Ask, Asking};
use crate::sheets::wiring::drawing::Shared;
use crate::sheets::wiring::entry::{Completion, complete, read};
use crate::sheets::wiring::words;
use crate::t;
use web_sys::HtmlInputElement;
use yew::prelude::*;

/// A line of entry.
#[derive(Properties, PartialEq)]
pub struct EntryProps {
    /// The drawing.
    pub drawing: Shared,
    /// What is written.
    pub text: UseStateHandle<String>,
    /// What is asked.
    pub ask: Asking,
}

/// The field with its list of completions (the combobox pattern of WAI-ARIA).
#[component]
pub fn EntryField(props: &EntryProps) -> Html {
    let node = use_node_ref();
    let open = use_state(|| false);
    let at = use_state(|| None::<usize>);
    let wrong = use_state(|| None::<String>);
    let found = complete(&props.drawing.parts, &props.drawing.conductors, &props.text);
    // A line that is whole is offered nothing more.
    let whole = found.len() == 1 && found.iter().all(|c| c.line.trim_end() == props.text.trim_end());
    let shown = *open && !found.is_empty() && !whole;
    {
        // A line that was begun elsewhere goes on here.
        let (node, open) = (node.clone(), open.clone());
        use_effect_with(props.text.clone(), move |text| {
            if text.ends_with("> ") && !*open {
                open.set(true);
                surface::focus(&node);
            }
        });
    }
    let write = {
        let (text, open, at, wrong) = (props.text.clone(), open.clone(), at.clone(), wrong.clone());
        move |line: String| {
            text.set(line);
            open.set(true);
            at.set(None);
            wrong.set(None);
        }
    };
    let oninput = {
        let write = write.clone();
        Callback::from(move |event: InputEvent| {
            if let Some(input) = event.target_dyn_into::<HtmlInputElement>() {
                write(input.value());
            }
        })
    };
    let take = {
        let (write, node) = (write.clone(), node.clone());
        Callback::from(move |line: String| {
            write(line);
            surface::focus(&node);
        })
    };
    let enter = {
        let (drawing, ask, text) = (props.drawing.clone(), props.ask.clone(), props.text.clone());
        let (wrong, open) = (wrong.clone(), open.clone());
        move || match read(&drawing.parts, &text) {
            Ok((from, to)) => {
                ask.emit(Ask::Join(from, to));
                text.set(String::new());
                open.set(false);
                wrong.set(None);
            }
            Err(error) => {
                wrong.set(Some(words::entry_error(&error)));
                open.set(false);
            }
        }
    };
    let onkeydown = {
        let (found, at, open, take, enter) =
            (found.clone(), at.clone(), open.clone(), take.clone(), enter.clone());
        Callback::from(move |event: KeyboardEvent| {
            let count = found.len();
            match event.key().as_str() {
                "ArrowDown" if count > 0 => {
                    at.set(Some(at.map_or(0, |k| (k + 1) % count)));
                    open.set(true);
                }
                "ArrowUp" if count > 0 => {
                    at.set(Some(at.map_or(count - 1, |k| (k + count - 1) % count)));
                    open.set(true);
                }
                "Enter" => match at.filter(|_| shown).and_then(|k| found.get(k)) {
                    Some(chosen) => take.emit(chosen.line.clone()),
                    None => enter(),
                },
                "Escape" => {
                    open.set(false);
                    at.set(None);
                    return;
                }
                _ => return,
            }
            event.prevent_default();
        })
    };
    let onfocus = {
        let open = open.clone();
        Callback::from(move |_: FocusEvent| open.set(true))
    };
    let onblur = {
        let open = open.clone();
        Callback::from(move |_: FocusEvent| open.set(false))
    };
    let onclick = Callback::from(move |_: MouseEvent| enter());
    let active = at.filter(|_| shown).map(|k| format!("entry-{k}"));
    html! {
        <div class="entry">
            <label class="entry-label small faint" for="entry">{ t!("wiring-entry") }</label>
            <div class="entry-line">
                <input ref={node} id="entry" class="mono" type="text" value={(*props.text).clone()} role="combobox"
                    aria-expanded={shown.to_string()} aria-controls="entry-list" aria-autocomplete="list"
                    aria-activedescendant={active} aria-describedby={wrong.is_some().then_some("entry-wrong")}
                    placeholder={t!("wiring-entry-example")} autocomplete="off" autocapitalize="characters"
                    spellcheck="false" {oninput} {onkeydown} {onfocus} {onblur} />
                <button type="button" {onclick}>{ t!("wiring-make") }</button>
            </div>
            <ul id="entry-list" class="entry-list" role="listbox" aria-label={t!("wiring-completions")} hidden={!shown}>
                if shown {
                    { for found.iter().enumerate().map(|(k, c)| option(props, k, c, *at == Some(k), &take)) }
                }
            </ul>
            if let Some(text) = &*wrong {
                <p id="entry-wrong" class="entry-wrong small" role="alert">
                    <span aria-hidden="true">{ "✗ " }</span>{ text.clone() }
                </p>
            }
        </div>
    }
}

fn option(props: &EntryProps, k: usize, c: &Completion, chosen: bool, take: &Callback<String>) -> Html {
    let drawing = &props.drawing;
    let about = match &c.terminal {
        Some(t) => drawing.occupancy.get(t).map(words::occupied),
        None => c.function.clone(),
    };
    // On pointer down, before the field loses the focus and the list closes.
    let onpointerdown = {
        let (take, line) = (take.clone(), c.line.clone());
        Callback::from(move |event: PointerEvent| {
            event.prevent_default();
            take.emit(line.clone());
        })
    };
    html! {
        <li key={c.line.clone()} id={format!("entry-{k}")} role="option" aria-selected={chosen.to_string()} {onpointerdown}>
            <span class="mono entry-label-of">{ c.label.clone() }</span>
            <span class="small faint">{ about.unwrap_or_default() }</span>
        </li>
    }
}
