//! The field in which a name, contacts or a whole rung are written for what is in hand, with the names that fit.

use super::completion::{Completion, Offer, complete_line};
use super::offers::Offers;
use super::places::{byte_of_utf16, utf16_at};
use super::typed::{Ask, Refused};
use crate::services::{page, surface};
use crate::t;
use std::rc::Rc;
use web_sys::{HtmlInputElement, KeyboardEvent};
use yew::prelude::*;

/// The field.
#[derive(Properties, PartialEq)]
pub struct AskProps {
    /// What is asked for.
    pub ask: Ask,
    /// What stands in it at first.
    pub text: String,
    /// What can be written.
    pub offers: Rc<Vec<Offer>>,
    /// Why what was written was refused.
    pub refused: Option<Refused>,
    /// Something is written; whether names that nothing declares become bits.
    pub on_write: Callback<(String, bool)>,
    /// Nothing is to be written after all.
    pub on_leave: Callback<()>,
}

/// The word before the field.
fn word(ask: Ask) -> &'static str {
    match ask {
        Ask::After => t!("program-and"),
        Ask::Before => t!("program-before"),
        Ask::Beside => t!("program-or"),
        Ask::Read => t!("program-read"),
        Ask::Compare => t!("program-compare"),
        Ask::Rung => t!("program-type-rung"),
        Ask::Name => t!("program-drives"),
        Ask::Instance(_) => t!("program-instance"),
        Ask::Preset => t!("program-preset"),
        Ask::Comment => t!("program-comment"),
    }
}

/// What can be written, in an example or a sentence.
fn help(ask: Ask) -> &'static str {
    match ask {
        Ask::After | Ask::Before | Ask::Beside | Ask::Read => t!("program-help-contacts"),
        Ask::Compare => t!("program-help-compare"),
        Ask::Rung => t!("program-help-rung"),
        Ask::Name => t!("program-help-name"),
        Ask::Instance(_) => t!("program-help-instance"),
        Ask::Preset => t!("program-help-preset"),
        Ask::Comment => t!("program-help-comment"),
    }
}

/// Id of the list of names.
const LIST: &str = "program-ask-offers";

/// A line with completion (the combobox pattern of WAI-ARIA).
#[component]
pub fn AskField(props: &AskProps) -> Html {
    let field = use_node_ref();
    let text = use_state(|| props.text.clone());
    let caret = use_state(|| props.text.len());
    let at = use_state(|| None::<usize>);
    let form = use_node_ref();
    use_effect_with(props.ask, {
        let (field, form, offers) = (field.clone(), form.clone(), props.offers.clone());
        move |_| {
            // The keyboard that the field would call up on a phone covers the names that can be tapped.
            if page::by_finger() && !offers.is_empty() {
                surface::focus(&form);
            } else if let Some(field) = field.cast::<HtmlInputElement>() {
                let _ = field.focus();
                field.select();
            }
        }
    });
    // What is written stands in the field until it is put in, so that a refusal can be mended.
    let single = matches!(props.ask, Ask::Name | Ask::Instance(_) | Ask::Preset);
    let completion = if single && *text == props.text && !props.offers.is_empty() {
        // What stands in the field is that of now; any other can be had instead.
        Some(Completion { start: 0, end: text.len(), offers: props.offers.to_vec() })
    } else {
        complete_line(&text, *caret, &props.offers)
    };
    let write = {
        let (text, caret, at, field) = (text.clone(), caret.clone(), at.clone(), field.clone());
        move |line: String, to: usize| {
            if let Some(field) = field.cast::<HtmlInputElement>() {
                field.set_value(&line);
                let unit = utf16_at(&line, to);
                let _ = field.set_selection_range(unit, unit);
            }
            caret.set(to);
            at.set(None);
            text.set(line);
        }
    };
    let oninput = {
        let (text, caret, at) = (text.clone(), caret.clone(), at.clone());
        Callback::from(move |event: InputEvent| {
            let Some(field) = event.target_dyn_into::<HtmlInputElement>() else { return };
            let unit = field.selection_start().ok().flatten().unwrap_or(0);
            caret.set(byte_of_utf16(&field.value(), unit));
            at.set(None);
            text.set(field.value());
        })
    };
    let take = {
        let (write, text, on_write) = (write.clone(), text.clone(), props.on_write.clone());
        move |(completion, offer): (Completion, Offer), puts: bool| {
            let (Some(before), Some(after)) = (text.get(..completion.start), text.get(completion.end..))
            else {
                return;
            };
            let line = format!("{before}{}{after}", offer.name);
            if puts && before.trim().is_empty() && after.trim().is_empty() {
                on_write.emit((line, false));
            } else {
                write(line.clone(), before.len() + offer.name.len());
            }
        }
    };
    // A tap on a name that is all there is puts it in: no further touch is needed.
    let tapped = Callback::from({
        let take = take.clone();
        move |taken| take(taken, true)
    });
    let undeclared = matches!(props.refused, Some(Refused::Undeclared(_)));
    let put = {
        let (on_write, text) = (props.on_write.clone(), text.clone());
        // Asked once, Enter again declares.
        move || on_write.emit(((*text).clone(), undeclared))
    };
    let onsubmit = {
        let put = put.clone();
        Callback::from(move |event: SubmitEvent| {
            event.prevent_default();
            put();
        })
    };
    let onkeydown = {
        let (completion, at, on_leave) = (completion.clone(), at.clone(), props.on_leave.clone());
        Callback::from(move |event: KeyboardEvent| {
            // The keys of the drawing are letters here.
            event.stop_propagation();
            let count = completion.as_ref().map_or(0, |c| c.offers.len());
            match (event.key().as_str(), &completion) {
                ("Escape", _) => on_leave.emit(()),
                ("ArrowDown", Some(_)) => at.set(Some(at.map_or(0, |at| (at + 1) % count))),
                ("ArrowUp", Some(_)) => at.set(Some((at.unwrap_or(0) + count - 1) % count)),
                ("Enter", Some(completion)) if at.is_some() => {
                    let offer = completion.offers[at.unwrap_or(0)].clone();
                    take((completion.clone(), offer), false);
                }
                _ => return,
            }
            event.prevent_default();
        })
    };
    let active = at.filter(|_| completion.is_some()).map(|n| format!("{LIST}-{n}"));
    html! {
        <form ref={form} class="ask" tabindex="-1" {onsubmit} {onkeydown} aria-label={word(props.ask)}>
            <div class="ask-line">
                <label class="ask-field">
                    <span>{ word(props.ask) }</span>
                    <input ref={field} class="mono" value={(*text).clone()} role="combobox" autocomplete="off" autocapitalize="off"
                        autocorrect="off" spellcheck="false" aria-autocomplete="list" aria-controls={LIST}
                        aria-expanded={completion.is_some().to_string()} aria-activedescendant={active}
                        aria-invalid={props.refused.is_some().to_string()} aria-describedby="program-ask-help" {oninput} />
                </label>
                <button type="submit" class="button-main">
                    { if undeclared { t!("program-declare-bit") } else { t!("program-put") } }
                </button>
                <button type="button" onclick={props.on_leave.reform(|_: MouseEvent| ())}>{ t!("program-leave") }</button>
            </div>
            <p id="program-ask-help" class="small faint">{ help(props.ask) }</p>
            if let Some(refused) = &props.refused {
                <p class="broken ask-wrong" role="alert"><span aria-hidden="true">{ "✗ " }</span>{ super::desk::words(refused) }</p>
            }
            if let Some(completion) = completion {
                <Offers {completion} at={*at} id={LIST} on_take={tapped} />
            }
        </form>
    }
}
