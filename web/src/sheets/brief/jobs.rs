//! The jobs that there are: one of them is on the bench, and each keeps an attempt of its own.

use super::kept::{Kept, titles};
use crate::hooks::{use_selector, use_workshop};
use crate::services::opening;
use crate::store::model::Card;
use crate::t;
use sealin_exercise::shipped;
use yew::prelude::*;

/// The table of jobs.
#[component]
pub fn Jobs() -> Html {
    let shop = use_workshop();
    let here = use_selector(|workshop| workshop.scenario().id.clone());
    let jobs = use_memo((), |()| {
        let mut jobs: Vec<Card> = shipped::all().filter_map(|(_, text)| Card::read(text)).collect();
        // Those with marks in the order in which they are best learned, then the free ones.
        jobs.sort_by_key(|job| (job.total_marks() == 0, job.level));
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
                <tbody>
                    { for jobs.iter().map(|job| html! {
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
            </table>
        </section>
        </>
    }
}
