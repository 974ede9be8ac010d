//! What can be done to the contact in hand, as a row of buttons and a field for a name.

use super::change::RungChange;
use crate::t;
use web_sys::{HtmlInputElement, KeyboardEvent};
use yew::prelude::*;

/// What a name is asked for.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Asking {
    /// A contact in series.
    Series,
    /// A contact side by side.
    Parallel,
    /// Another bit for the contact in hand.
    Rename,
}

impl Asking {
    /// The change that a name makes of it.
    pub fn change(self, name: String) -> RungChange {
        match self {
            Asking::Series => RungChange::InSeries(name),
            Asking::Parallel => RungChange::InParallel(name),
            Asking::Rename => RungChange::Rename(name),
        }
    }

    fn word(self) -> &'static str {
        match self {
            Asking::Series => t!("program-and"),
            Asking::Parallel => t!("program-or"),
            Asking::Rename => t!("program-read"),
        }
    }
}

/// The row under the rung in hand.
#[derive(Properties, PartialEq)]
pub struct ToolsProps {
    /// A contact is in hand, else the coil.
    pub contact: bool,
    /// A name is being asked for.
    pub asking: Option<Asking>,
    /// Names that a contact can read.
    pub names: Vec<String>,
    /// Changes the contact in hand.
    pub on_change: Callback<RungChange>,
    /// Asks for a name, or no longer.
    pub on_ask: Callback<Option<Asking>>,
}

/// Buttons for the contact in hand; for a coil only that which puts a contact before it.
#[component]
pub fn Tools(props: &ToolsProps) -> Html {
    let change = |what: RungChange| props.on_change.reform(move |_: MouseEvent| what.clone());
    let ask = |what: Asking| props.on_ask.reform(move |_: MouseEvent| Some(what));
    let button = |text: &'static str, key: &'static str, onclick: Callback<MouseEvent>| {
        html! { <button type="button" {onclick}>{ text }<kbd>{ key }</kbd></button> }
    };
    if let Some(asking) = props.asking {
        return html! { <NameField asking={asking} names={props.names.clone()} on_change={props.on_change.clone()}
        on_ask={props.on_ask.clone()} /> };
    }
    html! {
        <div class="rung-tools" role="toolbar" aria-label={t!("program-tools")}>
            { button(t!("program-and-button"), "A", ask(Asking::Series)) }
            if props.contact {
                { button(t!("program-or-button"), "⇧A", ask(Asking::Parallel)) }
                { button(t!("program-not-button"), "N", change(RungChange::Negate)) }
                { button(t!("program-read-button"), "R", ask(Asking::Rename)) }
                { button(t!("program-delete-button"), "Del", change(RungChange::Delete)) }
            }
        </div>
    }
}

#[derive(Properties, PartialEq)]
struct NameFieldProps {
    asking: Asking,
    names: Vec<String>,
    on_change: Callback<RungChange>,
    on_ask: Callback<Option<Asking>>,
}

#[component]
fn NameField(props: &NameFieldProps) -> Html {
    let field = use_node_ref();
    let wrong = use_state(|| None::<String>);
    use_effect_with(props.asking, {
        let field = field.clone();
        move |_| {
            if let Some(field) = field.cast::<HtmlInputElement>() {
                let _ = field.focus();
            }
        }
    });
    let put = {
        let (props, field, wrong) =
            ((props.asking, props.names.clone(), props.on_change.clone()), field.clone(), wrong.clone());
        Callback::from(move |event: SubmitEvent| {
            event.prevent_default();
            let (asking, names, on_change) = &props;
            let typed =
                field.cast::<HtmlInputElement>().map(|f| f.value().trim().to_string()).unwrap_or_default();
            match names.iter().find(|name| name.eq_ignore_ascii_case(&typed)) {
                Some(name) => on_change.emit(asking.change(name.clone())),
                None => wrong.set(Some(typed)),
            }
        })
    };
    let escape = {
        let on_ask = props.on_ask.clone();
        Callback::from(move |event: KeyboardEvent| {
            // The keys of the drawing are letters here.
            event.stop_propagation();
            if event.key() == "Escape" {
                on_ask.emit(None);
            }
        })
    };
    html! {
        <form class="rung-tools" onsubmit={put} onkeydown={escape}>
            <label class="rung-ask">
                <span>{ props.asking.word() }</span>
                <input ref={field} list="program-names" autocomplete="off" autocapitalize="off" spellcheck="false"
                    aria-label={t!("program-name-label")} aria-invalid={wrong.is_some().to_string()} />
            </label>
            <datalist id="program-names">
                { for props.names.iter().map(|name| html! { <option value={name.clone()} /> }) }
            </datalist>
            <button type="submit" class="button-main">{ t!("program-put") }</button>
            <button type="button" onclick={props.on_ask.reform(|_: MouseEvent| None)}>{ t!("program-leave") }</button>
            if let Some(name) = &*wrong {
                <p class="broken rung-ask-wrong" role="alert">{ t!("program-no-such-name", name = name) }</p>
            }
        </form>
    }
}
