//! What happened on the bench: trips, blown fuses, damage, each with its cause, what to do, and what renews the device.

use super::happened_words::{Happening, Renewal, happenings, renewals};
use crate::diagram::More;
use crate::hooks::{use_watched, use_workshop};
use crate::store::Command;
use crate::t;
use crate::text::time::bench_time;
use yew::prelude::*;

/// Things that are seen without opening the rest.
const SEEN: usize = 3;

/// Most things that are listed.
const MOST: usize = 40;

/// Where the list is on the page.
pub const PLACE: &str = "running-happened";

/// The list, newest first.
#[component]
pub fn Happened() -> Html {
    let shop = use_workshop();
    // What can be renewed changes the buttons; a new note makes the list longer.
    let watched =
        use_watched(|w| (w.epoch(), w.session().fold().notes.len(), w.session().acts(), renewals(w)));
    let (all, count) = shop.with(|w| happenings(w, MOST));
    let renewals = &watched.3;
    // The button stands at the newest entry of its device.
    let button = |n: usize| {
        let part = &all[n].part;
        let newest = all[..n].iter().all(|later| later.part != *part);
        renewals.iter().find(|renewal| newest && renewal.part == *part)
    };
    let entry = |n: usize| html! { <Entry key={count - n} happening={all[n].clone()} renewal={button(n).cloned()} /> };
    html! {
        <section id={PLACE} class="happened" aria-labelledby="happened-title">
            <div class="heading">
                <h2 id="happened-title">{ t!("happened-title") }</h2>
                if count == 0 { <span class="faint small">{ t!("happened-nothing") }</span> }
            </div>
            if count > 0 {
                <ol class="happened-list">{ for (0..all.len().min(SEEN)).map(entry) }</ol>
            }
            if count > SEEN {
                <More summary={html! { t!("happened-earlier", count = count - SEEN) }}>
                    <ol class="happened-list">{ for (SEEN..all.len()).map(entry) }</ol>
                </More>
            }
        </section>
    }
}

#[derive(Properties, PartialEq)]
struct EntryProps {
    happening: Happening,
    renewal: Option<Renewal>,
}

#[component]
fn Entry(props: &EntryProps) -> Html {
    let shop = use_workshop();
    let Happening { tick, part, what, cause, advice } = &props.happening;
    let button = props.renewal.clone().map(|renewal| {
        let act = renewal.act.clone();
        let onclick = Callback::from(move |_: MouseEvent| shop.dispatch(Command::Act(act.clone())));
        html! {
            <button type="button" {onclick} aria-label={t!("happened-renew-name", name = renewal.name, tag = renewal.part)}>
                { renewal.name }
            </button>
        }
    });
    html! {
        <li class="happened-entry">
            <span class="mono small happened-time">{ bench_time(*tick) }</span>
            <div class="happened-text">
                <p><strong>{ part.clone() }</strong>{ " " }{ what.clone() }
                    if let Some(cause) = cause { <span>{ format!(" {cause}") }</span> }</p>
                <p class="small faint">{ *advice }</p>
            </div>
            { for button }
        </li>
    }
}
