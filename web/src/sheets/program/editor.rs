//! The structured text: a plain text field with line numbers, and the same text drawn behind it with what is in hand.

use super::completion::{Completion, Offer, complete};
use super::offers::Offers;
use super::overlay::{Ink, Line, lines};
use super::places::{byte_of_utf16, utf16_at};
use crate::t;
use std::ops::Range;
use std::rc::Rc;
use web_sys::{Element, HtmlTextAreaElement, KeyboardEvent, ScrollIntoViewOptions, ScrollLogicalPosition};
use yew::prelude::*;

/// The text and what is shown in it.
#[derive(Properties, PartialEq)]
pub struct EditorProps {
    /// The text.
    pub source: AttrValue,
    /// Bytes of the statement in hand.
    pub rung: Option<Range<usize>>,
    /// Bytes of the contact in hand.
    pub hand: Option<Range<usize>>,
    /// Lines with errors, counted from 1.
    pub wrong: Vec<u32>,
    /// Names for completion.
    pub names: Rc<Vec<Offer>>,
    /// The field, for putting the caret somewhere.
    pub field: NodeRef,
    /// The text has been changed.
    pub on_input: Callback<String>,
    /// The caret has been put somewhere, in bytes.
    pub on_caret: Callback<usize>,
    /// The field is left.
    pub on_leave: Callback<()>,
    /// The last change is to be taken back, or made again if true: the history of the job, not that of the field.
    pub on_history: Callback<bool>,
}

/// Id of the list of names.
const LIST: &str = "program-offers";

/// The field.
#[component]
pub fn Editor(props: &EditorProps) -> Html {
    let offered = use_state(|| None::<(Completion, Option<usize>)>);
    let field = props.field.clone();
    let caret = {
        let field = field.clone();
        move || {
            let field = field.cast::<HtmlTextAreaElement>()?;
            let unit = field.selection_start().ok().flatten()?;
            Some((byte_of_utf16(&field.value(), unit), field.value()))
        }
    };
    let oninput = {
        let (caret, offered) = (caret.clone(), offered.clone());
        let (names, on_input) = (props.names.clone(), props.on_input.clone());
        Callback::from(move |_: InputEvent| {
            let Some((at, text)) = caret() else { return };
            offered.set(complete(&text, at, &names).map(|completion| (completion, None)));
            on_input.emit(text);
        })
    };
    let tell = {
        let (caret, on_caret) = (caret.clone(), props.on_caret.clone());
        move || {
            if let Some((at, _)) = caret() {
                on_caret.emit(at);
            }
        }
    };
    let onclick = {
        let (tell, offered) = (tell.clone(), offered.clone());
        Callback::from(move |_: MouseEvent| {
            offered.set(None);
            tell();
        })
    };
    let onkeyup = Callback::from(move |event: KeyboardEvent| {
        if event.key().starts_with("Arrow")
            || matches!(event.key().as_str(), "Home" | "End" | "PageUp" | "PageDown")
        {
            tell();
        }
    });
    let take = use_callback((props.source.clone(), props.on_input.clone()), {
        let (field, offered) = (field.clone(), offered.clone());
        move |(completion, offer): (Completion, Offer), (source, on_input)| {
            let (Some(before), Some(after)) = (source.get(..completion.start), source.get(completion.end..))
            else {
                return;
            };
            let text = format!("{before}{}{after}", offer.name);
            let unit = utf16_at(&text, completion.start + offer.name.len());
            if let Some(field) = field.cast::<HtmlTextAreaElement>() {
                field.set_value(&text);
                let _ = field.set_selection_range(unit, unit);
            }
            offered.set(None);
            on_input.emit(text);
        }
    });
    let onkeydown = {
        let (offered, take, on_history) = (offered.clone(), take.clone(), props.on_history.clone());
        Callback::from(move |event: KeyboardEvent| {
            if let Some(redo) = history(&event) {
                event.prevent_default();
                offered.set(None);
                on_history.emit(redo);
                return;
            }
            let Some((completion, at)) = (*offered).clone() else { return };
            let count = completion.offers.len();
            match event.key().as_str() {
                "ArrowDown" => offered.set(Some((completion, Some(at.map_or(0, |at| (at + 1) % count))))),
                "ArrowUp" => {
                    offered.set(Some((completion, Some((at.unwrap_or(0) + count - 1) % count))));
                }
                // A line is ended by Enter unless a name has been gone to.
                "Enter" if at.is_none() => return,
                "Enter" | "Tab" => {
                    let offer = completion.offers[at.unwrap_or(0)].clone();
                    take.emit((completion, offer));
                }
                "Escape" => offered.set(None),
                _ => return,
            }
            event.prevent_default();
        })
    };
    let onblur = {
        let (offered, leave) = (offered.clone(), props.on_leave.clone());
        Callback::from(move |_: FocusEvent| {
            offered.set(None);
            leave.emit(());
        })
    };
    let hand = use_node_ref();
    use_effect_with(props.hand.clone(), {
        let hand = hand.clone();
        move |_| {
            if let Some(piece) = hand.cast::<Element>() {
                let options = ScrollIntoViewOptions::new();
                options.set_block(ScrollLogicalPosition::Nearest);
                piece.scroll_into_view_with_scroll_into_view_options(&options);
            }
        }
    });
    let hang = offered.as_ref().map(|(completion, _)| completion.end);
    let drawn = lines(&props.source, props.rung.as_ref(), props.hand.as_ref(), &props.wrong, hang);
    let popup = offered.as_ref().map(|(completion, at)| {
        html! {
            <Offers completion={completion.clone()} at={*at} id={LIST} on_take={take.clone()} />
        }
    });
    html! {
        <div class="editor">
            <div class="editor-lines mono">
                { for drawn.into_iter().map(|line| draw(line, &hand, popup.as_ref())) }
            </div>
            <textarea ref={field} class="editor-field mono" value={props.source.clone()} spellcheck="false"
                autocapitalize="off" autocomplete="off" aria-label={t!("program-text")} aria-describedby="program-errors"
                aria-controls={offered.is_some().then_some(LIST)} aria-autocomplete="list"
                aria-activedescendant={offered.as_ref().and_then(|(_, at)| Some(format!("{LIST}-{}", (*at)?)))}
                {oninput} {onclick} {onkeyup} {onkeydown} {onblur} />
        </div>
    }
}

fn draw(line: Line, hand: &NodeRef, popup: Option<&Html>) -> Html {
    let class = classes!(
        "editor-line",
        line.in_rung.then_some("editor-line-rung"),
        line.wrong.then_some("editor-line-wrong")
    );
    let mut hand_seen = false;
    let pieces = line.pieces.into_iter().map(|piece| match piece.ink {
        Ink::Plain => html! { <span aria-hidden="true">{ piece.text }</span> },
        Ink::Comment => html! { <span aria-hidden="true" class="editor-comment">{ piece.text }</span> },
        Ink::Hand if !hand_seen => {
            hand_seen = true;
            html! { <mark ref={hand.clone()} aria-hidden="true">{ piece.text }</mark> }
        }
        Ink::Hand => html! { <mark aria-hidden="true">{ piece.text }</mark> },
        Ink::Caret => html! { <span class="editor-hang">{ popup.cloned().unwrap_or_default() }</span> },
    });
    let pieces: Vec<Html> = pieces.collect();
    html! { <div {class}>{ for pieces }{ "\u{200b}" }</div> }
}

/// Whether a key takes back (false) or makes again (true).
fn history(event: &KeyboardEvent) -> Option<bool> {
    if !(event.ctrl_key() || event.meta_key()) || event.alt_key() {
        return None;
    }
    match event.key().as_str() {
        "z" | "Z" => Some(event.shift_key()),
        "y" => Some(true),
        _ => None,
    }
}
