//! What a proof has found out, in words: for every sheet that shows one.

use crate::diagram::{More, Recording};
use crate::hooks::use_selector;
use crate::sheets::faults::words as fault_words;
use crate::sheets::signoff::words::{named, steps_before, with_names};
use crate::store::model::{Conductor, Fault, IoRow};
use crate::store::proofs::{ProofLine, Way};
use crate::t;
use crate::text::quantity::{keep_units, milliseconds};
use sealin_exercise::proofs::ProofVerdict;
use sealin_exercise::proving::{HARM, Task};
use std::rc::Rc;
use yew::prelude::*;

/// What a requirement is called.
pub fn name(id: &str) -> String {
    if id == HARM { t!("proof-harm").to_string() } else { id.to_string() }
}

/// What it says.
pub fn text(task: &Task) -> String {
    if task.id == HARM { t!("proof-harm-text").to_string() } else { task.text.clone() }
}

/// Where there is no finding yet.
#[derive(Clone, Copy, PartialEq)]
pub enum Without {
    /// Nothing has been asked.
    NotRun,
    /// It is its turn.
    Exploring,
    /// Its turn comes, or the run was stopped before.
    NotComputed,
}

/// What exactly is to hold, with the names of the I/O list.
pub fn formula(task: &Task, names: &[IoRow]) -> String {
    with_names(&task.formulas(), names)
}

/// A sign, a class and a word.
pub fn shown(finding: Option<ProofVerdict>, without: Without) -> (&'static str, &'static str, &'static str) {
    match finding {
        None if without == Without::NotRun => ("○", "faint", t!("checks-not-run")),
        None if without == Without::Exploring => ("…", "", t!("proof-exploring")),
        None | Some(ProofVerdict::NotComputed) => ("○", "faint", t!("proof-not-computed")),
        Some(ProofVerdict::Proven) => ("✓", "kept", t!("proof-proven")),
        Some(ProofVerdict::NeverExercised) => ("–", "faint", t!("proof-never-exercised")),
        Some(ProofVerdict::Broken) => ("✗", "broken", t!("proof-broken")),
        Some(ProofVerdict::NotReproduced) => ("?", "faint", t!("proof-not-reproduced")),
        Some(ProofVerdict::Undecided) => ("?", "faint", t!("proof-undecided")),
        Some(ProofVerdict::NotProvable) => ("–", "faint", t!("proof-not-provable")),
    }
}

/// Why it came to that, where a word does not say it.
pub fn why(line: &ProofLine) -> Option<String> {
    match line.finding {
        ProofVerdict::NeverExercised => Some(t!("proof-never-exercised-why").to_string()),
        ProofVerdict::Undecided => Some(t!("proof-undecided-why").to_string()),
        _ => line.why.clone(),
    }
}

/// Voltages that it met inside a tolerance band, if any.
pub fn marginal(line: &ProofLine) -> Option<String> {
    (!line.marginal.is_empty()).then(|| keep_units(&t!("proof-marginal", list = line.marginal.join("; "))))
}

/// A fault as a script has it, with its place and what is wrong: `QA1: 13-14 never opens`. Conductors are known by id in a script
/// only.
pub fn fault(line: &str, conductors: &[Conductor]) -> String {
    Fault::parse(line).map_or(line.to_string(), |fault| {
        format!("{}: {}", fault_words::place(&fault, conductors), fault.said())
    })
}

/// `no fault`, or which.
fn faults(line: &ProofLine, conductors: &[Conductor]) -> String {
    if line.faults.is_empty() {
        return t!("proof-no-fault").to_string();
    }
    let faults: Vec<String> = line.faults.iter().map(|line| fault(line, conductors)).collect();
    let comes_and_goes = |line: &String| Fault::parse(line).is_ok_and(|fault| fault.is_intermittent());
    if line.faults.iter().any(comes_and_goes) {
        return t!("proof-one-fault-intermittent", faults = faults.join("; "));
    }
    t!("proof-one-fault", faults = faults.join("; "))
}

/// What is said with every finding: what moved, with which faults, and how much was explored.
pub fn says(line: &ProofLine, conductors: &[Conductor]) -> String {
    let (free, faults) = (line.free.join(", "), faults(line, conductors));
    t!("proof-says-text", free = free, faults = faults, states = line.states, scans = line.scans)
}

/// The steps of a way, with the names of the I/O list; a fault that strikes is one of them.
pub fn steps(way: &Way, names: &[IoRow], conductors: &[Conductor]) -> Vec<String> {
    let steps = steps_before(&way.steps.join("\n"), u32::MAX, "");
    let step = |step: &String| match step.strip_prefix("inject ") {
        Some(line) => t!("proof-strikes", fault = fault(line, conductors)),
        None => named(step, names),
    };
    steps.iter().map(step).collect()
}

/// A way in which a requirement breaks.
#[derive(Properties, PartialEq)]
pub struct WayProps {
    /// What was found out.
    pub line: Rc<ProofLine>,
    /// The way.
    pub way: Way,
    /// Shows it on the diagram.
    pub on_show: Callback<Rc<Recording>>,
}

/// What is done, step by step, and the moment on the diagram.
#[component]
pub fn WayOf(props: &WayProps) -> Html {
    let scenario = use_selector(|workshop| workshop.scenario().clone());
    let (way, id) = (&props.way, name(&props.line.id));
    let conductors = use_selector(|workshop| workshop.conductors());
    let steps = steps(way, &scenario.names, &conductors);
    let show = {
        let (way, id, on_show) = (way.clone(), id, props.on_show.clone());
        Callback::from(move |_: MouseEvent| {
            on_show.emit(Rc::new(Recording {
                tracks: way.tracks.clone(),
                end: way.tick,
                moment: Some((way.tick, t!("proof-moment", id = id).to_string())),
                played: None,
            }));
        })
    };
    html! {
        <div class="evidence-trial">
            <ol class="proof-steps small">
                { for steps.into_iter().map(|step| html! { <li>{ step }</li> }) }
            </ol>
            <p class="small">{ t!("proof-breaks", time = milliseconds(way.tick)) }</p>
            if !way.records.is_empty() {
                <More summary={html! { t!("proof-devices") }}>
                    <ul class="proof-records small">
                        { for way.records.iter().map(|record| html! { <li>{ keep_units(record) }</li> }) }
                    </ul>
                </More>
            }
            <button type="button" onclick={show}>{ t!("proof-show") }</button>
        </div>
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_what_is_proven_wears_the_sign_of_kept() {
        let all = [
            ProofVerdict::NeverExercised,
            ProofVerdict::Broken,
            ProofVerdict::NotReproduced,
            ProofVerdict::Undecided,
            ProofVerdict::NotProvable,
        ];
        let shown = |finding| shown(finding, Without::NotRun);
        assert_eq!(shown(Some(ProofVerdict::Proven)).1, "kept");
        assert!(all.iter().all(|finding| shown(Some(*finding)).0 != "✓"));
        assert_ne!(shown(None).0, "✓");
    }
}
