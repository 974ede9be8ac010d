//! The caution at a fault that is dangerous at once: on every sheet, from when it strikes until it is acknowledged or gone.

use crate::hooks::{use_selector, use_watched};
use crate::sheets::faults::words::{danger_at_once, place};
use crate::store::model::Fault;
use crate::store::{Sheet, Workshop};
use crate::t;
use sealin_core::fault::Presence;
use std::collections::BTreeSet;
use yew::prelude::*;

/// The faults that are there now and dangerous at once, each with how it shows.
fn dangers(workshop: &Workshop) -> Vec<(Fault, &'static str)> {
    let there: Vec<Fault> = workshop.bench().faults_there().cloned().collect();
    if there.is_empty() {
        return Vec::new();
    }
    let (parts, conductors) = (&workshop.scenario().parts, workshop.conductors());
    let shows = |fault: Fault| danger_at_once(&fault, parts, &conductors).map(|shows| (fault, shows));
    there.into_iter().filter_map(shows).collect()
}

/// One caution each. The sheet on which faults are set tells of those that stay by itself.
#[component]
pub fn DangerBar() -> Html {
    let all = use_watched(dangers);
    let sheet = use_selector(|workshop| workshop.screen().sheet);
    let conductors = use_selector(|workshop| workshop.conductors());
    let seen = use_state(BTreeSet::<Fault>::new);
    // What has gone and comes again is told again.
    use_effect_with(all.clone(), {
        let seen = seen.clone();
        move |all| {
            let left: BTreeSet<Fault> =
                seen.iter().filter(|fault| all.iter().any(|(there, _)| there == *fault)).cloned().collect();
            if left.len() != seen.len() {
                seen.set(left);
            }
        }
    });
    let told = |fault: &Fault| *sheet == Sheet::Faults && fault.presence == Presence::Stays;
    let shown = all.iter().filter(|(fault, _)| !told(fault) && !seen.contains(fault));
    html! {
        <>
            { for shown.map(|(fault, shows)| {
                let (seen, own) = (seen.clone(), fault.clone());
                let understood = Callback::from(move |_: MouseEvent| {
                    let mut next = (*seen).clone();
                    next.insert(own.clone());
                    seen.set(next);
                });
                html! {
                    <div key={fault.to_string()} class="message notice notice-refused" role="alert">
                        <p><span class="notice-sign" aria-hidden="true">{ "△ " }</span>
                            <strong class="mono">{ place(fault, &conductors) }</strong>{ " " }{ fault.said() }{ ". " }
                            { t!("faults-danger", shows = shows) }</p>
                        <button type="button" onclick={understood}>{ t!("faults-understood") }</button>
                    </div>
                }
            }) }
        </>
    }
}
