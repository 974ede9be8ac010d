//! The wiring schedule: one row a conductor, the person's own first, then what is still to be made, then what is given.

use super::editor::Editor;
use crate::hooks::use_one_stop;
use crate::services::surface;
use crate::sheets::wiring::desk::{Ask, Asking};
use crate::sheets::wiring::drawing::{Shared, Wanted};
use crate::sheets::wiring::words::{colour, colour_class, numbered};
use crate::store::Thing;
use crate::t;
use crate::text::quantity::section_bare;
use sealin_core::plan::Conductor;
use yew::prelude::*;

/// The schedule.
#[derive(Properties, PartialEq)]
pub struct ScheduleProps {
    /// The drawing.
    pub drawing: Shared,
    /// What is chosen.
    pub selection: Option<Thing>,
    /// What is searched for; rows that do not hold it are left out.
    pub search: String,
    /// What is asked.
    pub ask: Asking,
    /// Begins a line of typed entry.
    pub begin: Callback<String>,
}

/// The schedule as a table.
#[component]
pub fn Schedule(props: &ScheduleProps) -> Html {
    let drawing = &props.drawing;
    let list = use_node_ref();
    use_one_stop(&list, ".schedule-number, .schedule-begin");
    let search = props.search.trim().to_lowercase();
    let holds =
        |texts: &[&str]| search.is_empty() || texts.iter().any(|t| t.to_lowercase().contains(&search));
    let matches = |c: &&Conductor| holds(&[&c.number, &c.from.to_string(), &c.to.to_string(), &c.id]);
    let own: Vec<&Conductor> = drawing.own().filter(matches).collect();
    let given: Vec<&Conductor> =
        drawing.conductors.iter().filter(|c| drawing.given.contains(&c.id)).filter(matches).collect();
    let wanted: Vec<&Wanted> =
        drawing.wanted.iter().filter(|w| !w.done && holds(&[&w.number, &w.from.to_string()])).collect();
    let none = own.is_empty() && given.is_empty() && wanted.is_empty();
    html! {
        <div class="schedule" ref={list} tabindex="0" role="region" aria-label={t!("wiring-schedule")}>
            <table>
                <thead>
                    <tr>
                        <th scope="col">{ t!("wiring-column-number") }</th>
                        <th scope="col">{ t!("wiring-column-from") }</th>
                        <th scope="col">{ t!("wiring-column-to") }</th>
                        <th scope="col">{ t!("wiring-column-section") }</th>
                        <th scope="col">{ t!("wiring-column-colour") }</th>
                        <th scope="col">{ t!("wiring-column-remark") }</th>
                    </tr>
                </thead>
                <tbody>
                    { for own.into_iter().map(|c| row(props, c)) }
                    { for wanted.into_iter().map(|w| to_do(props, w)) }
                    { for given.into_iter().map(|c| row(props, c)) }
                </tbody>
            </table>
            if none {
                <p class="faint small">{ t!("wiring-none-found") }</p>
            }
        </div>
    }
}

fn row(props: &ScheduleProps, c: &Conductor) -> Html {
    let given = props.drawing.given.contains(&c.id);
    let chosen = match &props.selection {
        Some(Thing::Conductor(id)) => *id == c.id,
        Some(Thing::Terminal(t)) => c.from == *t || c.to == *t,
        _ => false,
    };
    let editing = !given && props.selection == Some(Thing::Conductor(c.id.clone()));
    html! {
        <>
            <Row key={c.id.clone()} conductor={c.clone()} {given} {chosen} ask={props.ask.clone()} />
            if editing {
                <Editor key={format!("{} edit", c.id)} conductor={c.clone()} ask={props.ask.clone()} />
            }
        </>
    }
}

fn to_do(props: &ScheduleProps, w: &Wanted) -> Html {
    let begin = {
        let (begin, ask, from) = (props.begin.clone(), props.ask.clone(), w.from.clone());
        Callback::from(move |_: MouseEvent| {
            ask.emit(Ask::Begin(from.clone()));
            begin.emit(format!("{from} > "));
        })
    };
    html! {
        <tr key={format!("to do {}", w.from)} class="schedule-to-do">
            <td class="mono">{ w.number.clone() }</td>
            <td class="mono">
                <button type="button" class="schedule-begin" onclick={begin}
                    aria-label={t!("wiring-begin", terminal = w.from)}>{ w.from.to_string() }</button>
            </td>
            <td colspan="3" class="small">{ w.purpose.clone() }</td>
            <td class="small">{ t!("wiring-to-do") }</td>
        </tr>
    }
}

#[derive(Properties, PartialEq)]
struct RowProps {
    conductor: Conductor,
    given: bool,
    chosen: bool,
    ask: Asking,
}

#[component]
fn Row(props: &RowProps) -> Html {
    let c = &props.conductor;
    let node = use_node_ref();
    {
        let node = node.clone();
        use_effect_with(props.chosen, move |chosen| {
            if *chosen {
                surface::reveal(&node);
            }
        });
    }
    let onclick = {
        let (ask, id) = (props.ask.clone(), c.id.clone());
        Callback::from(move |_: MouseEvent| ask.emit(Ask::Select(Some(Thing::Conductor(id.clone())))))
    };
    let onkeydown = {
        let ask = props.ask.clone();
        Callback::from(move |event: KeyboardEvent| match event.key().as_str() {
            "Delete" | "Backspace" => ask.emit(Ask::Remove),
            "Escape" => ask.emit(Ask::LetGo),
            _ => {}
        })
    };
    let class = classes!(props.chosen.then_some("schedule-chosen"), props.given.then_some("schedule-given"));
    html! {
        <tr ref={node} {class} {onclick} {onkeydown}>
            <td class="mono">
                <button type="button" class="schedule-number" aria-pressed={props.chosen.to_string()}
                    aria-label={t!("wiring-show", number = numbered(c), from = c.from, to = c.to)}>
                    { numbered(c) }
                </button>
            </td>
            <td class="mono">{ c.from.to_string() }</td>
            <td class="mono">{ c.to.to_string() }</td>
            <td>{ section_bare(c.section_mm2_x100) }</td>
            <td>
                <span class={format!("swatch wire-{}", colour_class(c.colour))} aria-hidden="true"></span>
                { colour(c.colour) }
            </td>
            <td class="small">{ if props.given { t!("wiring-given") } else { t!("wiring-yours") } }</td>
        </tr>
    }
}
