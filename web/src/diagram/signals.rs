//! Choosing the signals of the diagram.

use super::more::More;
use super::tracks::label;
use crate::hooks::use_selector;
use crate::t;
use std::rc::Rc;
use web_sys::HtmlInputElement;
use yew::prelude::*;

/// The signals in view.
#[derive(Properties, PartialEq)]
pub struct SignalsProps {
    /// Names, top to bottom.
    pub names: Rc<Vec<String>>,
    /// Chooses others.
    pub on_names: Callback<Vec<String>>,
}

/// A field that adds a signal and a button for each that takes it away.
#[component]
pub fn Signals(props: &SignalsProps) -> Html {
    let known = use_selector(|workshop| {
        let names = workshop.bench().design.signals.iter().map(|signal| signal.name.clone());
        names.filter(|name| workshop.in_sight(name)).collect::<Vec<_>>()
    });
    let field = use_node_ref();
    let wrong = use_state(|| None::<String>);
    let add = {
        let (names, known, field, wrong, on_names) =
            (props.names.clone(), known.clone(), field.clone(), wrong.clone(), props.on_names.clone());
        Callback::from(move |event: SubmitEvent| {
            event.prevent_default();
            let Some(input) = field.cast::<HtmlInputElement>() else { return };
            let typed = input.value().trim().to_string();
            let fits = |name: &&String| {
                name.eq_ignore_ascii_case(&typed) || label(name).eq_ignore_ascii_case(&typed)
            };
            match known.iter().find(fits) {
                Some(name) => {
                    let mut next = (*names).clone();
                    if !next.contains(name) {
                        next.push(name.clone());
                        on_names.emit(next);
                    }
                    input.set_value("");
                    wrong.set(None);
                }
                None => wrong.set(Some(typed)),
            }
        })
    };
    html! {
        <More summary={html! { t!("diagram-signals") }}>
            <form class="diagram-add" onsubmit={add}>
                <input ref={field} list="diagram-known" aria-label={t!("diagram-add")} placeholder={t!("diagram-add")}
                    autocomplete="off" autocapitalize="off" spellcheck="false" aria-invalid={wrong.is_some().to_string()} />
                <datalist id="diagram-known">{ for known.iter().map(|name| html! { <option value={name.clone()} /> }) }</datalist>
                <button type="submit">{ t!("diagram-add-button") }</button>
            </form>
            if let Some(name) = &*wrong {
                <p class="broken" role="alert">{ t!("diagram-no-signal", name = name) }</p>
            }
            <ul class="diagram-chosen">
                { for props.names.iter().map(|name| {
                    let left: Vec<String> = props.names.iter().filter(|other| *other != name).cloned().collect();
                    let remove = props.on_names.reform(move |_: MouseEvent| left.clone());
                    html! {
                        <li><button type="button" aria-label={t!("diagram-remove", name = label(name))} onclick={remove}>
                            { label(name) }<span aria-hidden="true">{ "×" }</span>
                        </button></li>
                    }
                }) }
            </ul>
        </More>
    }
}
