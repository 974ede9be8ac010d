//! The readings taken so far, each of which can be given as evidence.

use crate::hooks::use_selector;
use crate::store::Workshop;
use crate::store::model::Act;
use crate::t;
use crate::text::instrument::{place_text, shown_text};
use crate::text::time::bench_time;
use std::collections::BTreeSet;
use yew::prelude::*;

/// A reading with the number of its entry.
#[derive(Clone, PartialEq)]
pub struct Reading {
    /// Number of the entry in the log.
    pub entry: u32,
    /// When, with what, where, and what was shown.
    pub text: String,
}

/// The readings of an attempt, in order.
pub fn readings(workshop: &Workshop) -> Vec<Reading> {
    let measured = workshop.session().entries_from(0).iter().enumerate();
    let measured = measured.filter(|(_, entry)| matches!(entry.act, Act::Measure(_)));
    let taken = &workshop.session().fold().readings;
    let reading = |((number, _), taken): ((usize, _), &crate::store::model::Taken)| Reading {
        entry: number as u32,
        text: t!(
            "hunt-reading",
            time = bench_time(taken.tick),
            with = taken.what.word(),
            place = place_text(&taken.what),
            shown = shown_text(taken.measured.shown)
        ),
    };
    measured.zip(taken).map(reading).collect()
}

/// Which readings speak for the diagnosis that is being written.
#[derive(Properties, PartialEq)]
pub struct ReadingsProps {
    /// Numbers of their entries.
    pub evidence: BTreeSet<u32>,
    /// Others.
    pub on_evidence: Callback<BTreeSet<u32>>,
}

/// The list.
#[component]
pub fn Readings(props: &ReadingsProps) -> Html {
    let all = use_selector(readings);
    if all.is_empty() {
        return html! { <p class="faint">{ t!("hunt-no-readings") }</p> };
    }
    html! {
        <>
            <p class="faint small">{ t!("hunt-evidence-about") }</p>
            <ul class="hunt-list">
                { for all.iter().map(|reading| {
                    let mut next = props.evidence.clone();
                    if !next.remove(&reading.entry) {
                        next.insert(reading.entry);
                    }
                    let change = props.on_evidence.reform(move |_: Event| next.clone());
                    html! {
                        <li key={reading.entry}>
                            <label><input type="checkbox" checked={props.evidence.contains(&reading.entry)} onchange={change} />
                                <span>{ reading.text.clone() }</span></label>
                        </li>
                    }
                }) }
            </ul>
        </>
    }
}
