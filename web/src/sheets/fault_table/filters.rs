//! What of the table is listed.

use super::words;
use crate::hooks::{use_selector, use_workshop};
use crate::sheets::proof::name;
use crate::store::Command;
use crate::store::fault_table::{By, Came, FaultEvent, Filter, Kind};
use crate::t;
use sealin_core::Fault;
use sealin_exercise::proving::HARM;
use web_sys::HtmlSelectElement;
use yew::prelude::*;

/// What is chosen now.
#[derive(Properties, PartialEq)]
pub struct FiltersProps {
    /// The filter.
    pub filter: Filter,
}

/// A choice each for requirement, device, kind, verdict and who notices.
#[component]
pub fn Filters(props: &FiltersProps) -> Html {
    let shop = use_workshop();
    let scenario = use_selector(|workshop| workshop.scenario().clone());
    let conductors = use_selector(|workshop| workshop.conductors());
    let change = |set: fn(&mut Filter, Option<&str>)| {
        let (shop, filter) = (shop.clone(), props.filter.clone());
        Callback::from(move |value: String| {
            let mut next = filter.clone();
            set(&mut next, Some(value.as_str()).filter(|value| !value.is_empty()));
            shop.dispatch(Command::Faults(FaultEvent::Filter(next)));
        })
    };
    let ids = scenario.requirements.iter().filter(|requirement| !requirement.formulas.is_empty());
    let mut requirements: Vec<Offer> = ids.map(|one| (one.id.clone(), one.id.clone())).collect();
    requirements.push((HARM.to_string(), name(HARM)));
    let has_any = |tag: &str| conductors.iter().any(|wire| wire.from.part == tag || wire.to.part == tag);
    let parts = scenario.parts.iter().filter(|part| has_any(&part.tag) || !Fault::of_part(part).is_empty());
    let devices: Vec<Offer> = parts.map(|part| (part.tag.clone(), part.tag.clone())).collect();
    let filter = &props.filter;
    html! {
        <div class="fault-table-filters" role="group" aria-label={t!("table-filters")}>
            <Choice label={t!("table-requirement")} all={t!("table-all-requirements")} offers={requirements}
                value={filter.requirement.clone()}
                on_change={change(|filter, id| filter.requirement = id.map(str::to_string))} />
            <Choice label={t!("table-device")} all={t!("table-all-devices")} offers={devices}
                value={filter.device.clone()}
                on_change={change(|filter, tag| filter.device = tag.map(str::to_string))} />
            <Choice label={t!("table-kind")} all={t!("table-all-kinds")} offers={numbered(&Kind::ALL.map(words::kind))}
                value={place(&Kind::ALL, filter.kind)}
                on_change={change(|filter, at| filter.kind = at.and_then(|at| of(&Kind::ALL, at)))} />
            <Choice label={t!("table-came")} all={t!("table-any-verdict")} offers={numbered(&Came::ALL.map(words::came))}
                value={place(&Came::ALL, filter.came)}
                on_change={change(|filter, at| filter.came = at.and_then(|at| of(&Came::ALL, at)))} />
            <Choice label={t!("table-noticed")} all={t!("table-any-notice")} offers={numbered(&By::ALL.map(words::by))}
                value={place(&By::ALL, filter.by)}
                on_change={change(|filter, at| filter.by = at.and_then(|at| of(&By::ALL, at)))} />
        </div>
    }
}

/// A value and its words.
type Offer = (String, String);

fn numbered(all: &[&'static str]) -> Vec<Offer> {
    all.iter().enumerate().map(|(n, words)| (n.to_string(), words.to_string())).collect()
}

fn place<T: PartialEq>(all: &[T], one: Option<T>) -> Option<String> {
    Some(all.iter().position(|other| Some(other) == one.as_ref())?.to_string())
}

fn of<T: Copy>(all: &[T], at: &str) -> Option<T> {
    all.get(at.parse::<usize>().ok()?).copied()
}

#[derive(Properties, PartialEq)]
struct ChoiceProps {
    label: &'static str,
    all: &'static str,
    offers: Vec<Offer>,
    value: Option<String>,
    on_change: Callback<String>,
}

#[component]
fn Choice(props: &ChoiceProps) -> Html {
    let choose = props.on_change.reform(|event: Event| {
        event.target_dyn_into::<HtmlSelectElement>().map(|select| select.value()).unwrap_or_default()
    });
    html! {
        <label>
            <span>{ props.label }</span>
            <select onchange={choose}>
                <option value="" selected={props.value.is_none()}>{ props.all }</option>
                { for props.offers.iter().map(|(value, words)| html! {
                    <option value={value.clone()} selected={props.value.as_ref() == Some(value)}>{ words }</option>
                }) }
            </select>
        </label>
    }
}
