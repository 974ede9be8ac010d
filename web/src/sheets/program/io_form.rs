//! A variable being written: name, address, comment.

use super::variables::VarChange;
use crate::t;
use sealin_ladder::{Address, Block, Var, VarKind};
use web_sys::{HtmlInputElement, HtmlSelectElement};
use yew::prelude::*;

/// The form.
#[derive(Properties, PartialEq)]
pub struct IoFormProps {
    /// As it is, or begins.
    pub var: Var,
    /// Its index; none for a new one.
    pub index: Option<usize>,
    /// Addresses that no variable has, with what is wired there.
    pub free: Vec<(String, String)>,
    /// The variable is to be so, or to go; gives why that was refused.
    pub on_change: Callback<VarChange, Option<String>>,
    /// It stays as it is.
    pub on_close: Callback<()>,
}

/// Fields for one variable. A new one may be a block; of one that is there the rung tells what it is.
#[component]
pub fn IoForm(props: &IoFormProps) -> Html {
    let (name, address, comment, kind) =
        (use_node_ref(), use_node_ref(), use_node_ref(), use_state(|| props.var.kind));
    use_effect_with((), {
        let name = name.clone();
        move |()| {
            if let Some(field) = name.cast::<HtmlInputElement>() {
                let _ = field.focus();
                field.select();
            }
        }
    });
    let is_bit = *kind == VarKind::Bool;
    let refused = use_state(|| None::<String>);
    let change = {
        let (on_change, refused) = (props.on_change.clone(), refused.clone());
        Callback::from(move |change: VarChange| refused.set(on_change.emit(change)))
    };
    let submit = {
        let (var, index, change) = (props.var.clone(), props.index, change.clone());
        let (name, address, comment, kind) = (name.clone(), address.clone(), comment.clone(), *kind);
        Callback::from(move |event: SubmitEvent| {
            event.prevent_default();
            let text = |field: &NodeRef| {
                field.cast::<HtmlInputElement>().map(|f| f.value().trim().to_string()).unwrap_or_default()
            };
            let chosen = address.cast::<HtmlSelectElement>().map(|select| select.value()).unwrap_or_default();
            let new = Var {
                name: text(&name),
                address: address_of(&chosen),
                comment: text(&comment),
                kind,
                ..var.clone()
            };
            change.emit(match index {
                Some(index) => VarChange::Alter(index, new),
                None => VarChange::New(new),
            });
        })
    };
    let leave = {
        let on_close = props.on_close.clone();
        Callback::from(move |event: KeyboardEvent| {
            if event.key() == "Escape" {
                event.prevent_default();
                on_close.emit(());
            }
        })
    };
    let choose_kind = {
        let kind = kind.clone();
        Callback::from(move |event: Event| {
            let word = event.target_dyn_into::<HtmlSelectElement>().map(|select| select.value());
            kind.set(word.and_then(|word| Block::from_word(&word)).map_or(VarKind::Bool, VarKind::Block));
        })
    };
    html! {
        <form class="io-form" onsubmit={submit} onkeydown={leave} aria-label={t!("program-io-form")}>
            <label>
                <span>{ t!("program-io-name") }</span>
                <input ref={name} class="mono" value={props.var.name.clone()} autocomplete="off" autocapitalize="off" spellcheck="false" />
            </label>
            if props.index.is_none() && props.var.address.is_none() {
                <label>
                    <span>{ t!("program-io-kind") }</span>
                    <select onchange={choose_kind}>
                        <option value="BOOL" selected={is_bit}>{ t!("program-io-bit-kind") }</option>
                        { for Block::ALL.into_iter().rev().map(|block| html! {
                            <option value={block.word()} selected={*kind == VarKind::Block(block)}>{ super::block::kind_name(block) }</option>
                        }) }
                    </select>
                </label>
            }
            if is_bit {
                <label>
                    <span>{ t!("program-io-address") }</span>
                    <select ref={address}>{ addresses(props) }</select>
                </label>
            }
            <label>
                <span>{ t!("program-io-comment") }</span>
                <input ref={comment} value={props.var.comment.replace('\n', " ")} />
            </label>
            <div class="io-form-buttons">
                <button type="submit" class="button-main">{ t!("program-io-keep") }</button>
                <button type="button" onclick={props.on_close.reform(|_: MouseEvent| ())}>{ t!("program-leave") }</button>
                if let Some(index) = props.index {
                    <button type="button" onclick={change.reform(move |_: MouseEvent| VarChange::Delete(index))}>
                        { t!("program-io-delete") }
                    </button>
                }
            </div>
            if let Some(refused) = &*refused {
                <p class="broken small" role="alert"><span aria-hidden="true">{ "✗ " }</span>{ refused.clone() }</p>
            }
        </form>
    }
}

/// Its own address, none, and those that are free.
fn addresses(props: &IoFormProps) -> Vec<Html> {
    let own = props.var.address.map(|address| address.to_string());
    let option = |address: &str, text: String| {
        let selected = own.as_deref().unwrap_or("") == address;
        html! { <option value={address.to_string()} {selected}>{ text }</option> }
    };
    let mut options = vec![option("", t!("program-io-no-address").to_string())];
    let listed = own.as_ref().is_some_and(|own| props.free.iter().any(|(address, _)| address == own));
    options.extend(own.iter().filter(|_| !listed).map(|own| option(own, own.clone())));
    options.extend(
        props
            .free
            .iter()
            .map(|(address, device)| option(address, format!("{address}  {device}").trim().to_string())),
    );
    options
}

fn address_of(text: &str) -> Option<Address> {
    let probe = format!("PROGRAM p VAR x AT {text} : BOOL; END_VAR END_PROGRAM");
    sealin_ladder::parse(&probe).ok()?.vars.pop()?.address
}
