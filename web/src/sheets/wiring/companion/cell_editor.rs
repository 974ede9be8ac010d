//! A cell of the schedule while it is being written.

use crate::services::surface;
use std::rc::Rc;
use web_sys::HtmlInputElement;
use yew::prelude::*;

/// How writing in a cell ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ending {
    /// By Enter or Tab: what is written shall stand.
    Kept,
    /// By Escape: what stood there stays.
    Left,
    /// The focus went elsewhere: what is written shall stand if it can.
    Lost,
}

/// A cell that is being written.
#[derive(Properties, PartialEq)]
pub struct EditorProps {
    /// What it is called.
    pub name: String,
    /// What it opens with.
    pub text: String,
    /// All of that is chosen.
    pub whole: bool,
    /// What may be written, each with what there is to say about it.
    pub offers: Rc<Vec<(String, String)>>,
    /// Called once writing ends.
    pub done: Callback<(Ending, String)>,
}

/// The field with the browser's own list of what may be written.
#[component]
pub fn CellEditor(props: &EditorProps) -> Html {
    let node = use_node_ref();
    let text = use_state(|| props.text.clone());
    let closed = use_mut_ref(|| false);
    {
        let node = node.clone();
        use_effect_with(props.whole, move |whole| surface::take_up(&node, *whole));
    }
    let written = text.clone();
    let end = {
        let (node, text, done) = (node.clone(), text.clone(), props.done.clone());
        move |ending: Ending| {
            // That the focus leaves the field at its end is no second end.
            if closed.replace(true) {
                return;
            }
            done.emit((ending, (*text).clone()));
            // What cannot stand is still being written.
            closed.replace(!surface::has_focus(&node));
        }
    };
    let onkeydown = {
        let end = end.clone();
        Callback::from(move |event: KeyboardEvent| {
            match event.key().as_str() {
                "Enter" | "Tab" => end(Ending::Kept),
                "Escape" => end(Ending::Left),
                _ => {
                    event.stop_propagation();
                    return;
                }
            }
            event.stop_propagation();
            event.prevent_default();
        })
    };
    let oninput = Callback::from(move |event: InputEvent| {
        if let Some(input) = event.target_dyn_into::<HtmlInputElement>() {
            written.set(input.value());
        }
    });
    let onblur = Callback::from(move |_: FocusEvent| end(Ending::Lost));
    html! {
        <>
            <input ref={node} type="text" class="cell-editor mono" value={(*text).clone()} aria-label={props.name.clone()}
                list="cell-offers" autocomplete="off" autocapitalize="off" spellcheck="false" {oninput} {onkeydown} {onblur} />
            <datalist id="cell-offers">
                { for props.offers.iter().map(|(text, about)| html! {
                    <option value={text.clone()}>{ about.clone() }</option>
                }) }
            </datalist>
        </>
    }
}
