//! What was written down and put right so far.

use super::chosen::repair_text;
use crate::hooks::use_selector;
use crate::sheets::faults::words::place;
use crate::store::Workshop;
use crate::store::model::Diagnosis;
use crate::t;
use crate::text::time::bench_time;
use yew::prelude::*;

/// A diagnosis in words.
pub fn diagnosis_text(workshop: &Workshop, diagnosis: &Diagnosis) -> String {
    let on = place(&diagnosis.fault, &workshop.conductors());
    let said = diagnosis.fault.said_of_its_kind();
    match diagnosis.evidence.len() {
        0 => t!("hunt-diagnosed", on = on, said = said),
        count => t!("hunt-diagnosed-by", on = on, said = said, count = count),
    }
}

fn lines(workshop: &Workshop) -> Vec<(u64, String)> {
    let hunt = &workshop.session().fold().hunt;
    let diagnoses = hunt.diagnoses.iter().map(|(tick, d)| (*tick, diagnosis_text(workshop, d)));
    let repairs = hunt.repairs.iter().map(|(tick, repair)| (*tick, repair_text(workshop, repair)));
    let mut all: Vec<_> = diagnoses.chain(repairs).collect();
    all.sort_by_key(|(tick, _)| *tick);
    all
}

/// The list, in order.
#[component]
pub fn Log() -> Html {
    let lines = use_selector(lines);
    html! {
        <section class="hunt-part" aria-labelledby="hunt-log">
            <h2 id="hunt-log" class="heading">{ t!("hunt-log") }</h2>
            if lines.is_empty() {
                <p class="faint">{ t!("hunt-log-empty") }</p>
            } else {
                <ol class="hunt-list" aria-live="polite">
                    { for lines.iter().enumerate().map(|(n, (tick, text))| html! {
                        <li key={n}><span class="mono small faint">{ bench_time(*tick) }</span><span>{ text.clone() }</span></li>
                    }) }
                </ol>
            }
        </section>
    }
}
