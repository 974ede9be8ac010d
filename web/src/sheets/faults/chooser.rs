//! Choosing a part or a conductor, and the faults that fit it.

use super::words::{conductor_ends, conductor_name};
use crate::hooks::{use_one_stop, use_selector, use_workshop};
use crate::services::page;
use crate::services::surface::reveal;
use crate::store::model::{BenchAct, Fault, Part, Pattern, Place};
use crate::store::{Command, ScreenAct, Thing, Workshop};
use crate::t;
use crate::text::device::{kind_and_function, place_name};
use crate::text::quantity::milliseconds;
use web_sys::HtmlInputElement;
use yew::prelude::*;

/// The list of things that can be at fault, and the faults of the one that is chosen.
#[component]
pub fn Chooser() -> Html {
    let chosen = use_selector(chosen_thing);
    html! {
        <div class="chooser">
            <ThingList chosen={(*chosen).clone()} />
            <FaultList chosen={(*chosen).clone()} />
        </div>
    }
}

/// The selection of the screen, as far as it can be at fault. A terminal stands for its part.
pub fn chosen_thing(workshop: &Workshop) -> Option<Thing> {
    match workshop.screen().selection.clone()? {
        Thing::Terminal(terminal) => Some(Thing::Part(terminal.part)),
        thing @ (Thing::Part(_) | Thing::Conductor(_)) => Some(thing),
        _ => None,
    }
}

/// What is chosen.
#[derive(Properties, PartialEq)]
pub struct ChosenProps {
    /// A part or conductor.
    pub chosen: Option<Thing>,
}

/// Everything that can be at fault, to choose from.
#[component]
pub fn ThingList(props: &ChosenProps) -> Html {
    let shop = use_workshop();
    let scenario = use_selector(|workshop| workshop.scenario().clone());
    let conductors = use_selector(|workshop| workshop.conductors());
    let wanted = use_state(String::new);
    let list = use_node_ref();
    use_one_stop(&list, "button");
    let find = {
        let wanted = wanted.clone();
        Callback::from(move |event: InputEvent| {
            if let Some(input) = event.target_dyn_into::<HtmlInputElement>() {
                wanted.set(input.value().to_lowercase());
            }
        })
    };
    let choose = |thing: Thing| {
        let shop = shop.clone();
        Callback::from(move |_: MouseEvent| {
            shop.dispatch(Command::Screen(ScreenAct::Select(Some(thing.clone()))));
        })
    };
    let entry = |thing: Thing, name: &str, words: String| {
        let matches = wanted.is_empty() || format!("{name} {words}").to_lowercase().contains(wanted.as_str());
        let chosen = props.chosen.as_ref() == Some(&thing);
        matches.then(|| {
            html! {
                <li key={format!("{thing:?}")}>
                    <button type="button" aria-pressed={chosen.to_string()} onclick={choose(thing)}>
                        <strong class="mono">{ name.to_string() }</strong>
                        <span>{ words }</span>
                    </button>
                </li>
            }
        })
    };
    let parts = |place: Place| -> Vec<Html> {
        let fitting = |part: &&Part| part.place == place && !Fault::of_part(part).is_empty();
        scenario
            .parts
            .iter()
            .filter(fitting)
            .filter_map(|part| entry(Thing::Part(part.tag.clone()), &part.tag, kind_and_function(part)))
            .collect()
    };
    // What is searched for is not hidden in a group that is closed.
    let searched = !wanted.is_empty();
    let group = |name: &'static str, entries: Vec<Html>| {
        if entries.is_empty() {
            return html! {};
        }
        html! { <Group {name} count={entries.len()} {searched}><ul>{ for entries }</ul></Group> }
    };
    let wires: Vec<Html> = conductors
        .iter()
        .filter_map(|wire| entry(Thing::Conductor(wire.id.clone()), &wire.number, conductor_ends(wire)))
        .collect();
    html! {
        <section class="things" aria-label={t!("faults-things")}>
            <label class="things-find">
                <span class="visually-hidden">{ t!("faults-find") }</span>
                <input type="search" placeholder={t!("faults-find")} oninput={find} />
            </label>
            <div class="things-list" ref={list}>
                { group(place_name(Place::Station), parts(Place::Station)) }
                { group(place_name(Place::Panel), parts(Place::Panel)) }
                { group(place_name(Place::Field), parts(Place::Field)) }
                { group(t!("faults-conductors"), wires) }
            </div>
        </section>
    }
}

#[derive(Properties, PartialEq)]
struct GroupProps {
    name: &'static str,
    count: usize,
    searched: bool,
    children: Html,
}

/// A group of the list. Where the page is narrow it begins closed: all of them together are many screens long.
#[component]
fn Group(props: &GroupProps) -> Html {
    let open = use_state(|| !narrow());
    let shown = *open || props.searched;
    let toggle = {
        let open = open.clone();
        Callback::from(move |_: MouseEvent| open.set(!*open))
    };
    html! {
        <>
            <h3>
                <button type="button" class="things-group" aria-expanded={shown.to_string()} onclick={toggle}>
                    <span aria-hidden="true">{ if shown { "▾" } else { "▸" } }</span>
                    { props.name }
                    <span class="number">{ props.count }</span>
                </button>
            </h3>
            if shown { { props.children.clone() } }
        </>
    }
}

/// The page has one column, as `faults.css` lays it out.
fn narrow() -> bool {
    let query = page::window().and_then(|window| window.match_media("(max-width: 699px)").ok().flatten());
    query.is_some_and(|query| query.matches())
}

/// The faults that fit what is chosen, each with a switch.
#[component]
fn FaultList(props: &ChosenProps) -> Html {
    let shop = use_workshop();
    let scenario = use_selector(|workshop| workshop.scenario().clone());
    let conductors = use_selector(|workshop| workshop.conductors());
    let set = use_selector(|workshop| workshop.faults());
    let node = use_node_ref();
    {
        let node = node.clone();
        // On a narrow page what is chosen stands above the list, and may have gone off the screen.
        use_effect_with(props.chosen.clone(), move |chosen| {
            if chosen.is_some() {
                reveal(&node);
            }
        });
    }
    let (name, words, faults) = match &props.chosen {
        Some(Thing::Part(tag)) => match scenario.parts.iter().find(|part| part.tag == *tag) {
            Some(part) => (tag.clone(), kind_and_function(part), Fault::of_part(part)),
            None => return html! {},
        },
        Some(Thing::Conductor(id)) => match conductors.iter().find(|wire| wire.id == *id) {
            Some(wire) => (conductor_name(wire), String::new(), Fault::of_conductor(wire, &scenario.parts)),
            None => return html! {},
        },
        _ => {
            return html! {
                <section class="fault-list box"><p class="faint">{ t!("faults-choose") }</p></section>
            };
        }
    };
    let coming: Vec<Fault> = faults.iter().filter_map(Fault::intermittent).collect();
    let [there, every] =
        [Pattern::USUAL.there_ms, Pattern::USUAL.every_ms].map(|ms| milliseconds(u64::from(ms)));
    html! {
        <section class="fault-list box" aria-labelledby="fault-list" ref={node}>
            <h2 id="fault-list"><span class="mono">{ name.clone() }</span>{ " " }<small>{ words }</small></h2>
            if faults.is_empty() {
                <p class="faint">{ t!("faults-nothing-fits") }</p>
            }
            <ul>
                { for faults.into_iter().chain(coming.clone()).map(|fault| {
                    let on = set.contains(&fault);
                    let act = if on { BenchAct::Clear(fault.clone()) } else { BenchAct::Inject(fault.clone()) };
                    let shop = shop.clone();
                    let toggle =
                        Callback::from(move |_: MouseEvent| shop.dispatch(Command::Act(act.clone())));
                    html! {
                        <li key={fault.to_string()}>
                            <button type="button" role="switch" aria-checked={on.to_string()} onclick={toggle}>
                                <span class="fault-mark" aria-hidden="true">{ if on { "↯" } else { "" } }</span>
                                { fault.said() }
                            </button>
                        </li>
                    }
                }) }
            </ul>
            if !coming.is_empty() {
                <p class="faint small">{ t!("faults-intermittent-about", there = there, every = every) }</p>
            }
        </section>
    }
}
