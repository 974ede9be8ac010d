//! The I/O list: what each address is called, what is wired to it, what it means, and the bit as it is now. Each line can be
//! changed in its place.

use super::facts::{Check, Facts, Row};
use super::io_form::IoForm;
use super::variables::VarChange;
use crate::hooks::{use_live, use_selector};
use crate::services::live::Binding;
use crate::store::Thing;
use crate::t;
use sealin_ladder::{Program, Var, VarKind};
use std::rc::Rc;
use web_sys::{Element, ScrollIntoViewOptions, ScrollLogicalPosition};
use yew::prelude::*;

/// The list.
#[derive(Properties, PartialEq)]
pub struct IoListProps {
    /// The program of the text, as far as it can be read.
    pub program: Rc<Program>,
    /// What is known of the names.
    pub facts: Rc<Facts>,
    /// Changes the variables; gives why it was refused.
    pub on_change: Callback<VarChange, Option<String>>,
}

/// What of the list is open for writing.
#[derive(Clone, PartialEq)]
enum Open {
    /// A new variable, as it begins.
    New(Var),
    /// The variable of this index.
    Old(usize),
}

/// The table of inputs, outputs and what lies inside the controller.
#[component]
pub fn IoList(props: &IoListProps) -> Html {
    let open = use_state(|| None::<Open>);
    let chosen = use_selector(|workshop| match &workshop.screen().selection {
        Some(Thing::Signal(name)) => Some((name.clone(), workshop.screen().shown)),
        _ => None,
    });
    let rows = |inside: bool| -> Vec<Html> {
        let of_part = props.facts.rows.iter().filter(|row| row.address.is_empty() == inside);
        of_part.map(|row| line(props, row, &open, chosen.as_ref().as_ref())).collect()
    };
    let has_inside = props.facts.rows.iter().any(|row| row.address.is_empty());
    let begin = {
        let open = open.clone();
        Callback::from(move |_: MouseEvent| open.set(Some(Open::New(fresh()))))
    };
    // A name of the job sheet opens in its own line.
    let new = match &*open {
        Some(Open::New(var)) if var.name.is_empty() => Some(form(props, var.clone(), None, &open)),
        _ => None,
    };
    html! {
        <section class="io" aria-labelledby="io-title">
            <div class="heading"><h2 id="io-title">{ t!("program-io") }</h2><span class="small faint">{ t!("program-io-how") }</span></div>
            <table class="io-table">
                <thead><tr>
                    <th scope="col">{ t!("program-io-address") }</th>
                    <th scope="col">{ t!("program-io-name") }</th>
                    <th scope="col">{ t!("program-io-device") }</th>
                    <th scope="col" class="io-bit-cell">{ t!("program-io-bit") }</th>
                </tr></thead>
                <tbody>{ rows(false) }</tbody>
                if has_inside {
                    <tbody>
                        <tr><th scope="rowgroup" colspan="4" class="io-inside">{ t!("program-io-inside") }</th></tr>
                        { rows(true) }
                    </tbody>
                }
            </table>
            if let Some(form) = new { <div class="io-new">{ form }</div> } else {
                <button type="button" class="io-begin" onclick={begin}>{ t!("program-io-new") }</button>
            }
        </section>
    }
}

/// A bit without address and name.
fn fresh() -> Var {
    super::deed::variable(String::new(), VarKind::Bool)
}

fn line(
    props: &IoListProps,
    row: &Row,
    open: &UseStateHandle<Option<Open>>,
    chosen: Option<&(String, u32)>,
) -> Html {
    let named = |name: &String| row.name.as_ref() == Some(name) || row.signal == *name;
    let chosen = chosen.filter(|(name, _)| named(name)).map(|(_, shown)| *shown);
    let var = row.index.and_then(|index| props.program.vars.get(index));
    let is_open = match (&**open, row.index) {
        (Some(Open::Old(index)), Some(own)) => *index == own,
        (Some(Open::New(var)), None) => var.address.is_some_and(|a| a.to_string() == row.address),
        _ => false,
    };
    let begins = row.variable().or_else(|| at_address(&row.address));
    let form = match (is_open, var, &begins) {
        (false, ..) => None,
        (true, Some(var), _) => Some(form(props, var.clone(), row.index, open)),
        (true, None, Some(begins)) => Some(form(props, begins.clone(), None, open)),
        _ => None,
    };
    let on_open = {
        let (open, index) = (open.clone(), row.index);
        Callback::from(move |()| {
            open.set(match (index, is_open) {
                (_, true) => None,
                (Some(index), _) => Some(Open::Old(index)),
                (None, _) => begins.clone().map(Open::New),
            });
        })
    };
    let on_declare = row.variable().filter(|_| row.name.is_none()).map(|var| {
        let on_change = props.on_change.clone();
        Callback::from(move |()| {
            on_change.emit(VarChange::New(var.clone()));
        })
    });
    html! {
        <>
            <IoLine key={format!("{}{:?}", row.address, row.name)} row={row.clone()} {chosen} {is_open} {on_open} {on_declare} />
            if let Some(form) = form { <tr class="io-form-row"><td colspan="4">{ form }</td></tr> }
        </>
    }
}

/// A variable at an address that nothing is known of.
fn at_address(address: &str) -> Option<Var> {
    let probe = format!("PROGRAM p VAR x AT {address} : BOOL; END_VAR END_PROGRAM");
    let address = sealin_ladder::parse(&probe).ok()?.vars.pop()?.address;
    Some(Var { address, ..fresh() })
}

fn form(props: &IoListProps, var: Var, index: Option<usize>, open: &UseStateHandle<Option<Open>>) -> Html {
    let close = {
        let open = open.clone();
        Callback::from(move |()| open.set(None))
    };
    let change = {
        let (on_change, close) = (props.on_change.clone(), close.clone());
        Callback::from(move |change: VarChange| {
            let refused = on_change.emit(change);
            if refused.is_none() {
                close.emit(());
            }
            refused
        })
    };
    let key = format!("{index:?} {:?}", var.address);
    html! {
        <IoForm key={key} {var} {index} free={props.facts.free.clone()} on_change={change} on_close={close} />
    }
}

#[derive(Properties, PartialEq)]
struct IoLineProps {
    row: Row,
    /// It is chosen; the number counts the times that it was asked for.
    chosen: Option<u32>,
    /// Its form is open.
    is_open: bool,
    /// Opens or closes the form.
    on_open: Callback<()>,
    /// Declares it as the job sheet has it; none where that cannot be done.
    on_declare: Option<Callback<()>>,
}

#[component]
fn IoLine(props: &IoLineProps) -> Html {
    let row = &props.row;
    let bit = use_node_ref();
    use_live(row.signal.clone(), {
        let bit = bit.clone();
        move |signal| {
            let (text, weight) = (signal.clone(), signal.clone());
            vec![
                Binding::text(bit.clone(), move |workshop| {
                    let value = workshop.seen(&text);
                    value.map_or("–", |on| if on { "1" } else { "0" }).to_string()
                }),
                Binding::attribute(bit, "data-bit", move |workshop| {
                    workshop.seen(&weight).map(|on| u8::from(on).to_string())
                }),
            ]
        }
    });
    let node = use_node_ref();
    use_effect_with(props.chosen, {
        let node = node.clone();
        move |chosen| {
            if let Some(node) = node.cast::<Element>().filter(|_| chosen.is_some()) {
                let options = ScrollIntoViewOptions::new();
                options.set_block(ScrollLogicalPosition::Nearest);
                node.scroll_into_view_with_scroll_into_view_options(&options);
            }
        }
    });
    let (shown, label) = match (&row.name, &row.given) {
        (Some(name), _) => (name.clone(), t!("program-io-change", name = name)),
        (None, Some(given)) => {
            let shown = t!("program-io-undeclared", name = given);
            let label = t!("program-io-change", name = shown);
            (shown, label)
        }
        (None, None) => {
            (t!("program-io-give-name").to_string(), t!("program-io-name-at", address = row.address))
        }
    };
    let open = props.on_open.reform(|_: MouseEvent| ());
    html! {
        <tr ref={node} data-why={row.signal.clone()} class={classes!(props.chosen.map(|_| "io-chosen"), props.is_open.then_some("io-open"))}>
            <td class="mono">{ row.address.clone() }</td>
            <th scope="row">
                <button type="button" class={classes!("io-name", row.name.is_none().then_some("io-missing"))} onclick={open}
                    aria-expanded={props.is_open.to_string()} aria-label={label}>{ shown }</button>
                if let Some(on_declare) = &props.on_declare {
                    <button type="button" class="io-declare" onclick={on_declare.reform(|_: MouseEvent| ())}
                        aria-label={t!("program-declare-name", name = row.given.clone().unwrap_or_default())}>
                        { t!("program-declare") }
                    </button>
                }
            </th>
            <td class="io-device">
                <span>{ format!("{} {}", row.terminal, row.device).trim().to_string() }</span>
                { for row.checks.iter().map(|check| html! { <span class="io-check">{ check_words(check) }</span> }) }
                if !row.comment.is_empty() { <span class="io-comment">{ row.comment.clone() }</span> }
            </td>
            <td class="io-bit-cell"><span ref={bit} class="io-bit mono"></span></td>
        </tr>
    }
}

/// What does not agree, in words.
pub fn check_words(check: &Check) -> String {
    match check {
        Check::WiredUnnamed => t!("program-io-wired-unnamed").to_string(),
        Check::InputUnwired => t!("program-io-unwired").to_string(),
        Check::OutputUnwired => t!("program-io-output-unwired").to_string(),
        Check::NoChannel => t!("program-io-no-channel").to_string(),
        Check::OtherDevice(wanted) => t!("program-io-other-device", wanted = wanted),
    }
}
