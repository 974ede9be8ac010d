//! What is chosen: what may be wrong with it, to be written down, and what puts it right.

use crate::hooks::{use_selector, use_workshop};
use crate::services::surface::reveal;
use crate::sheets::faults::words::conductor_name;
use crate::store::model::{Diagnosis, Fault, Kind, Repair, Terminal, Tool};
use crate::store::{Command, Thing, Workshop};
use crate::t;
use crate::text::device::kind_and_function;
use crate::text::time::about;
use sealin_proof::suspects::Suspect;
use std::collections::BTreeSet;
use web_sys::HtmlSelectElement;
use yew::prelude::*;

/// What is chosen, and the evidence for what is written of it.
#[derive(Properties, PartialEq)]
pub struct ChosenProps {
    /// The part or conductor.
    pub chosen: Option<Thing>,
    /// Entries whose readings speak for it.
    pub evidence: BTreeSet<u32>,
    /// Others: none once it is written.
    pub on_evidence: Callback<BTreeSet<u32>>,
}

/// The thing by name, with the faults that fit it.
struct Candidate {
    name: String,
    words: String,
    faults: Vec<Fault>,
    repairs: Vec<Repair>,
    terminals: Vec<Terminal>,
}

fn candidate(workshop: &Workshop, thing: &Thing) -> Option<Candidate> {
    let (parts, conductors) = (&workshop.scenario().parts, workshop.conductors());
    Some(match thing {
        Thing::Part(tag) => {
            let part = parts.iter().find(|part| part.tag == *tag)?;
            let mut faults = Fault::of_part(part);
            if let (Kind::Controller(_), Some(program)) = (&part.kind, &workshop.bench().plan().program) {
                faults.extend(Fault::of_program(part, program));
            }
            let mut repairs = vec![Repair::Swap(tag.clone()), Repair::Adjust(tag.clone())];
            if matches!(part.kind, Kind::Controller(_)) {
                repairs.push(Repair::Reload(tag.clone()));
            }
            let terminals = part.terminals().iter().map(|name| Terminal::new(tag, name)).collect();
            Candidate { name: tag.clone(), words: kind_and_function(part), faults, repairs, terminals }
        }
        Thing::Conductor(id) => {
            let wire = conductors.iter().find(|wire| wire.id == *id)?;
            Candidate {
                name: conductor_name(wire),
                words: String::new(),
                faults: Fault::of_conductor(wire, parts),
                repairs: vec![Repair::Remake(id.clone())],
                terminals: vec![wire.from.clone(), wire.to.clone()],
            }
        }
        _ => return None,
    })
}

/// Faults that are listed at once; of more, those of one place.
const MOST_LISTED: usize = 8;

/// Places in the order in which they are offered: the whole first, then by number.
fn at_key(at: &str) -> (bool, Option<u32>, String) {
    let digits: String = at.chars().take_while(char::is_ascii_digit).collect();
    (!at.is_empty(), digits.parse().ok(), at.to_string())
}

/// The faults of the chosen thing, one of which is written down, and its repairs.
#[component]
pub fn Chosen(props: &ChosenProps) -> Html {
    let shop = use_workshop();
    let marked = use_state(|| None::<Fault>);
    let place = use_state(|| None::<String>);
    let node = use_node_ref();
    use_effect_with(props.chosen.clone(), {
        let (marked, place, node) = (marked.clone(), place.clone(), node.clone());
        move |chosen| {
            marked.set(None);
            place.set(None);
            if chosen.is_some() {
                reveal(&node);
            }
        }
    });
    let candidate = props.chosen.as_ref().and_then(|thing| shop.with(|workshop| candidate(workshop, thing)));
    let Some(Candidate { name, words, faults, repairs, terminals }) = candidate else {
        return html! { <section class="fault-list box"><p class="faint">{ t!("hunt-choose") }</p></section> };
    };
    let mut known = BTreeSet::new();
    let faults: Vec<Fault> = faults.into_iter().filter(|fault| known.insert(Suspect::of(fault))).collect();
    let mut places: Vec<String> = faults.iter().map(|fault| fault.at.clone()).collect();
    places.sort_by_key(|at| at_key(at));
    places.dedup();
    // A part with few faults needs no choice of a place.
    let narrow = faults.len() > MOST_LISTED && places.len() > 1;
    let at = (*place).clone().filter(|at| places.contains(at)).or_else(|| places.first().cloned());
    let listed: Vec<&Fault> =
        faults.iter().filter(|fault| !narrow || at.as_ref() == Some(&fault.at)).collect();
    let choose_place = {
        let (place, marked) = (place.clone(), marked.clone());
        Callback::from(move |event: Event| {
            let list = event.target_dyn_into::<HtmlSelectElement>();
            place.set(list.map(|list| list.value()));
            marked.set(None);
        })
    };
    let write = {
        let (shop, marked, evidence) = (shop.clone(), marked.clone(), props.evidence.clone());
        let on_evidence = props.on_evidence.clone();
        Callback::from(move |_: MouseEvent| {
            if let Some(fault) = (*marked).clone() {
                let evidence = evidence.iter().copied().collect();
                shop.dispatch(Command::Diagnose(Diagnosis { fault, evidence }));
                on_evidence.emit(BTreeSet::new());
                marked.set(None);
            }
        })
    };
    html! {
        <section class="fault-list hunt-chosen box" aria-labelledby="hunt-chosen" ref={node}>
            <h3 id="hunt-chosen"><span class="mono">{ name }</span>{ " " }<small>{ words }</small></h3>
            if narrow {
                <label class="hunt-place">
                    <span>{ t!("hunt-where") }</span>
                    <select class="mono" onchange={choose_place}>
                        { for places.iter().map(|one| html! {
                            <option key={one.clone()} value={one.clone()} selected={at.as_ref() == Some(one)}>
                                { if one.is_empty() { t!("hunt-whole").to_string() } else { one.clone() } }
                            </option>
                        }) }
                    </select>
                </label>
            }
            <fieldset class="hunt-faults">
                <legend>{ t!("hunt-what") }</legend>
                { for listed.into_iter().map(|fault| {
                    let (marked, own) = (marked.clone(), fault.clone());
                    let on = marked.as_ref() == Some(fault);
                    let choose = Callback::from(move |_: Event| marked.set(Some(own.clone())));
                    html! {
                        <label key={fault.to_string()}>
                            <input type="radio" name="hunt-fault" checked={on} onchange={choose} />
                            <span>{ fault.said_of_its_kind() }</span>
                        </label>
                    }
                }) }
            </fieldset>
            <button type="button" class="button-main" disabled={marked.is_none()} onclick={write}>
                { t!("hunt-write", count = props.evidence.len()) }
            </button>
            <Repairs {repairs} {terminals} />
        </section>
    }
}

#[derive(Properties, PartialEq)]
struct RepairsProps {
    repairs: Vec<Repair>,
    terminals: Vec<Terminal>,
}

/// What puts the chosen thing right, each with the time that it costs. Only what the job allows.
#[component]
fn Repairs(props: &RepairsProps) -> Html {
    let shop = use_workshop();
    let finding = use_selector(|workshop| workshop.scenario().fault_finding.clone());
    let allows =
        |repair: &Repair| finding.as_ref().as_ref().is_some_and(|f| f.allows(Tool::of_repair(repair)));
    let at = use_node_ref();
    let doing = |repair: Repair| {
        let shop = shop.clone();
        Callback::from(move |_: MouseEvent| shop.dispatch(Command::Repair(repair.clone())))
    };
    let button = |repair: &Repair| {
        html! {
            <button key={repair.to_string()} type="button" onclick={doing(repair.clone())}>
                { repair_name(repair) }<span class="faint small">{ about(repair.ticks() as f64 / 1000.0) }</span>
            </button>
        }
    };
    let terminate = {
        let (shop, at) = (shop.clone(), at.clone());
        Callback::from(move |_: MouseEvent| {
            let chosen = at.cast::<HtmlSelectElement>().and_then(|select| Terminal::parse(&select.value()));
            if let Some(terminal) = chosen {
                shop.dispatch(Command::Repair(Repair::Terminate(terminal)));
            }
        })
    };
    let first = props.terminals.first().cloned();
    let terminals = first.filter(|terminal| allows(&Repair::Terminate(terminal.clone())));
    html! {
        <div class="hunt-repairs" role="group" aria-label={t!("hunt-repairs")}>
            <h4>{ t!("hunt-repairs") }</h4>
            <p class="small hunt-caution"><span aria-hidden="true">{ "△ " }</span>{ t!("hunt-repairs-caution") }</p>
            <div class="hunt-buttons">{ for props.repairs.iter().filter(|repair| allows(repair)).map(button) }</div>
            if let Some(terminal) = terminals {
                <div class="hunt-buttons">
                    <select ref={at} class="mono" aria-label={t!("hunt-terminal")}>
                        { for props.terminals.iter().map(|t| html! { <option value={t.to_string()}>{ t.to_string() }</option> }) }
                    </select>
                    <button type="button" onclick={terminate}>
                        { t!("hunt-terminate") }
                        <span class="faint small">{ about(Repair::Terminate(terminal).ticks() as f64 / 1000.0) }</span>
                    </button>
                </div>
            }
        </div>
    }
}

/// What a repair does, without saying on what.
fn repair_name(repair: &Repair) -> &'static str {
    match repair {
        Repair::Swap(_) => t!("hunt-swap"),
        Repair::Remake(_) => t!("hunt-remake"),
        Repair::Adjust(_) => t!("hunt-adjust"),
        Repair::Reload(_) => t!("hunt-reload"),
        Repair::Terminate(_) => t!("hunt-terminate"),
    }
}

/// What was done, and on what: conductors as a fitter finds them.
pub fn repair_text(workshop: &Workshop, repair: &Repair) -> String {
    let conductors = workshop.conductors();
    let on = match repair {
        Repair::Swap(tag) | Repair::Adjust(tag) | Repair::Reload(tag) => tag.clone(),
        Repair::Terminate(terminal) => terminal.to_string(),
        Repair::Remake(id) => {
            conductors.iter().find(|wire| wire.id == *id).map(conductor_name).unwrap_or_default()
        }
    };
    t!("hunt-done", on = on, what = repair_name(repair))
}
