//! The comment of a rung, written in its place.

use crate::t;
use web_sys::{HtmlTextAreaElement, KeyboardEvent};
use yew::prelude::*;

/// The field.
#[derive(Properties, PartialEq)]
pub struct CommentProps {
    /// The comment as it is.
    pub text: String,
    /// It is to be this.
    pub on_write: Callback<String>,
    /// It stays as it is.
    pub on_leave: Callback<()>,
}

/// A field over the rung. Enter keeps what is written, Shift with Enter begins a line, Escape leaves it.
#[component]
pub fn CommentField(props: &CommentProps) -> Html {
    let field = use_node_ref();
    use_effect_with((), {
        let field = field.clone();
        move |()| {
            if let Some(field) = field.cast::<HtmlTextAreaElement>() {
                let _ = field.focus();
            }
        }
    });
    let write = {
        let (field, on_write) = (field.clone(), props.on_write.clone());
        move || {
            if let Some(field) = field.cast::<HtmlTextAreaElement>() {
                on_write.emit(field.value());
            }
        }
    };
    let onkeydown = {
        let (write, on_leave) = (write.clone(), props.on_leave.clone());
        Callback::from(move |event: KeyboardEvent| {
            event.stop_propagation();
            match event.key().as_str() {
                "Enter" if !event.shift_key() => write(),
                "Escape" => on_leave.emit(()),
                _ => return,
            }
            event.prevent_default();
        })
    };
    let lines = props.text.lines().count().max(1);
    html! {
        <div class="comment-field" {onkeydown}>
            <textarea ref={field} rows={lines.to_string()} value={props.text.clone()} aria-label={t!("program-comment")}
                aria-describedby="comment-help" />
            <button type="button" class="button-main" onclick={Callback::from(move |_: MouseEvent| write())}>
                { t!("program-put") }
            </button>
            <button type="button" onclick={props.on_leave.reform(|_: MouseEvent| ())}>{ t!("program-leave") }</button>
            <p id="comment-help" class="small faint">{ t!("program-help-comment") }</p>
        </div>
    }
}
