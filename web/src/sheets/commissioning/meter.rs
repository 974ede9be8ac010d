//! The meter on the sheet: two probes, three functions, one large reading, and the record.

use super::probes::Probes;
use crate::hooks::{use_live, use_selector, use_workshop};
use crate::services::live::Binding;
use crate::store::model::{Function, Terminal};
use crate::store::{Command, Notice};
use crate::t;
use std::rc::Rc;
use web_sys::{HtmlInputElement, HtmlSelectElement};
use yew::prelude::*;

/// The meter and what sets it.
#[derive(Properties, PartialEq)]
pub struct MeterProps {
    /// Where the probes are.
    pub probes: Probes,
    /// Puts them elsewhere.
    pub on_probes: Callback<Probes>,
}

const FUNCTIONS: [Function; 3] = [Function::VoltsDc, Function::VoltsAc, Function::Ohms];

fn function_name(function: Function) -> &'static str {
    match function {
        Function::VoltsDc => t!("meter-dc"),
        Function::VoltsAc => t!("meter-ac"),
        Function::Ohms => t!("meter-ohms"),
    }
}

/// The meter.
#[component]
pub fn Meter(props: &MeterProps) -> Html {
    let shop = use_workshop();
    let terminals = use_selector(|w| w.bench().design.terminals().map(Terminal::clone).collect::<Vec<_>>());
    let shown = use_node_ref();
    use_live(props.probes.clone(), {
        let shown = shown.clone();
        move |probes| {
            let probes = probes.clone();
            vec![Binding::text(shown, move |w| probes.shown(w.bench()).text())]
        }
    });
    let record = {
        let probes = props.probes.clone();
        Callback::from(move |_: MouseEvent| match shop.with(|w| probes.reading(w.bench())) {
            Some(reading) => shop.dispatch(Command::Reading(reading)),
            None => shop.dispatch(Command::Notice(Notice {
                refused: true,
                text: t!("meter-in-the-air").to_string(),
            })),
        })
    };
    html! {
        <section class="box meter" aria-labelledby="meter-title">
            <div class="meter-head">
                <h2 id="meter-title">{ t!("meter-title") }</h2>
                <div class="meter-functions" role="group" aria-label={t!("meter-function")}>
                    { for FUNCTIONS.into_iter().map(|function| {
                        let pressed = (props.probes.function == function).to_string();
                        let next = Probes { function, ..props.probes.clone() };
                        html! { <button type="button" aria-pressed={pressed}
                            onclick={props.on_probes.reform(move |_: MouseEvent| next.clone())}>{ function_name(function) }</button> }
                    }) }
                </div>
            </div>
            <div class="meter-reading">
                <output ref={shown} class="meter-shown mono" aria-label={t!("meter-shows")}></output>
                <button type="button" onclick={record}>{ t!("meter-record") }</button>
            </div>
            { for (0..2).map(|n| html! { <Probe {n} probes={props.probes.clone()} terminals={terminals.clone()} on_probes={props.on_probes.clone()} /> }) }
            <datalist id="meter-terminals">{ for terminals.iter().map(|t| html! { <option value={t.to_string()} /> }) }</datalist>
        </section>
    }
}

#[derive(Properties, PartialEq)]
struct ProbeProps {
    n: usize,
    probes: Probes,
    terminals: Rc<Vec<Terminal>>,
    on_probes: Callback<Probes>,
}

/// One probe: a field with completion, or a device and one of its terminals.
#[component]
fn Probe(props: &ProbeProps) -> Html {
    let at = props.probes.at[props.n].clone();
    let put = {
        let (probes, n, on_probes) = (props.probes.clone(), props.n, props.on_probes.clone());
        Callback::from(move |text: String| {
            let mut next = probes.clone();
            next.at[n] = text;
            on_probes.emit(next);
        })
    };
    let name = if props.n == 0 { t!("meter-red") } else { t!("meter-black") };
    let known = props.terminals.iter().any(|terminal| terminal.to_string() == at);
    let part = at.split(':').next().unwrap_or("").to_string();
    let mut parts: Vec<String> = props.terminals.iter().map(|terminal| terminal.part.clone()).collect();
    parts.dedup();
    let of_part: Vec<String> = props
        .terminals
        .iter()
        .filter(|terminal| terminal.part == part)
        .map(|terminal| terminal.name.clone())
        .collect();
    let typed = put.reform(|event: InputEvent| {
        let text = event.target_dyn_into::<HtmlInputElement>().map(|field| field.value()).unwrap_or_default();
        text.trim().to_string()
    });
    let chosen = |event: &Event| {
        event.target_dyn_into::<HtmlSelectElement>().map(|list| list.value()).unwrap_or_default()
    };
    let by_part = {
        let terminals = props.terminals.clone();
        put.reform(move |event: Event| {
            let part = chosen(&event);
            terminals
                .iter()
                .find(|terminal| terminal.part == part)
                .map(Terminal::to_string)
                .unwrap_or_default()
        })
    };
    let by_name = {
        let part = part.clone();
        put.reform(move |event: Event| format!("{part}:{}", chosen(&event)))
    };
    html! {
        <div class={classes!("probe", if props.n == 0 { "probe-red" } else { "probe-black" })}>
            <label class="probe-field"><span>{ name }</span>
                <input class="mono" list="meter-terminals" value={at.clone()} oninput={typed} autocomplete="off"
                    autocapitalize="off" spellcheck="false" aria-invalid={(!known).to_string()} />
            </label>
            <select aria-label={t!("meter-part", probe = name)} onchange={by_part}>
                { for parts.into_iter().map(|tag| html! { <option value={tag.clone()} selected={tag == part}>{ tag.clone() }</option> }) }
            </select>
            <select aria-label={t!("meter-terminal", probe = name)} onchange={by_name}>
                { for of_part.into_iter().map(|name| {
                    let selected = at.ends_with(&format!(":{name}"));
                    html! { <option value={name.clone()} {selected}>{ name.clone() }</option> }
                }) }
            </select>
        </div>
    }
}
