//! The jobs that there are: one of them is on the bench, and each keeps an attempt of its own.

use super::kept::{Kept, titles};
use crate::hooks::{use_selector, use_workshop};
use crate::services::opening;
use crate::store::model::Card;
use crate::t;
use sealin_exercise::shipped;
use yew::prelude::*;

/// Kinds of jobs, in the order of the list.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Group {
    Build,
    Find,
    Free,
}

fn group(job: &Card) -> Group {
    match job.total_marks() {
        0 => Group::Free,
        _ if job.is_fault_finding() => Group::Find,
        _ => Group::Build,
    }
}

fn group_name(group: Group) -> &'static str {
    match group {
        Group::Build => t!("jobs-build"),
        Group::Find => t!("jobs-find"),
        Group::Free => t!("jobs-free"),
    }
}

/// The table of jobs.
#[component]
pub fn Jobs() -> Html {
    let shop = use_workshop();
    let here = use_selector(|workshop| workshop.scenario().id.clone());
    let jobs = use_memo((), |()| {
        let mut jobs: Vec<Card> = shipped::all().filter_map(|(_, text)| Card::read(text)).collect();
        // Each group in the order in which it is best learned.
        jobs.sort_by_key(|job| (group(job), job.level));
        jobs
    });
    let open = |id: &str| {
        let (shop, id) = (shop.clone(), id.to_string());
        Callback::from(move |_: MouseEvent| opening::change_job(shop.clone(), id.clone()))
    };
    html! {
        <>
        <Kept titles={titles(&jobs)} />
        <section>
            <h2 class="heading">{ t!("jobs-title") }</h2>
            <table class="jobs">
                <thead>
                    <tr><th scope="col">{ t!("jobs-job") }</th><th scope="col" class="number">{ t!("jobs-level") }</th><th scope="col" class="number">{ t!("jobs-marks") }</th><td></td></tr>
                </thead>
                { for [Group::Build, Group::Find, Group::Free].map(|of| html! {
                <tbody key={group_name(of)}>
                    <tr class="jobs-group"><th colspan="4" scope="rowgroup">{ group_name(of) }</th></tr>
                    { for jobs.iter().filter(|job| group(job) == of).map(|job| html! {
                        <tr key={job.id.clone()}>
                            <th scope="row">{ job.title.clone() }<span class="jobs-machine faint small">{ t!("jobs-facts", machine = job.machine, minutes = job.minutes) }</span></th>
                            <td class="number">{ job.level }</td>
                            <td class="number">{ match job.total_marks() { 0 => t!("jobs-no-marks").to_string(), marks => marks.to_string() } }</td>
                            <td class="number">
                                if job.id == *here {
                                    <span class="faint">{ t!("jobs-here") }</span>
                                } else {
                                    <button type="button" onclick={open(&job.id)} aria-label={t!("jobs-open-of", job = job.title)}>
                                        { t!("jobs-open") }
                                    </button>
                                }
                            </td>
                        </tr>
                    }) }
                </tbody>
                }) }
            </table>
        </section>
        </>
    }
}
