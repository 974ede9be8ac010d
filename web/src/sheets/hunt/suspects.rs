//! A look at what is still suspected: help that costs marks.

use crate::diagram::More;
use crate::hooks::{use_selector, use_workshop};
use crate::services::suspects;
use crate::store::suspects::{Proposed, RuledOut, Suspected};
use crate::t;
use yew::prelude::*;

/// Suspects of a part or conductor that are named before the rest is folded away.
const MOST_NAMED: usize = 6;

/// Faults of one part or conductor that are said before the rest is folded away.
const MOST_SAID: usize = 4;

/// The button and what the last look has shown. Nothing in a job without such help.
#[component]
pub fn SuspectsBox() -> Html {
    let shop = use_workshop();
    let costs = use_selector(|w| w.scenario().fault_finding.as_ref().and_then(|finding| finding.look_costs));
    let known = use_selector(|workshop| (workshop.suspicion().clone(), workshop.session().acts()));
    let Some(costs) = *costs else { return html! {} };
    let (suspicion, acts) = &*known;
    let waits = suspicion.behind;
    let look = Callback::from(move |_: MouseEvent| suspects::look(&shop));
    html! {
        <section class="hunt-part" aria-labelledby="hunt-suspects">
            <div class="heading">
                <h2 id="hunt-suspects">{ t!("suspects-title") }</h2>
                <button type="button" onclick={look} disabled={waits.is_some()}>{ t!("suspects-look", costs = costs) }</button>
            </div>
            <p class="small faint">{ t!("suspects-about") }</p>
            if let Some((behind, of)) = waits {
                <p role="status">
                    { if of == 0 { t!("suspects-beginning").to_string() } else { t!("suspects-behind", behind = behind, of = of) } }
                    { " " }<progress max={of.max(1).to_string()} value={(of - behind.min(of)).to_string()}></progress>
                </p>
            }
            if let Some((list, entries)) = &suspicion.list {
                if entries < acts && waits.is_none() {
                    <p class="small faint">{ t!("suspects-earlier") }</p>
                }
                if list.since_repair {
                    <p class="small">{ t!("suspects-since-repair") }</p>
                }
                <p><strong>{ t!("suspects-left", left = list.left.iter().map(|one| one.faults.len()).sum::<usize>(), of = list.of) }</strong></p>
                { next(list.next.as_deref()) }
                <ul class="hunt-suspects">{ for list.left.iter().take(MOST_NAMED).map(suspected) }</ul>
                if list.left.len() > MOST_NAMED {
                    <More summary={html! { t!("suspects-more", count = list.left.len() - MOST_NAMED) }}>
                        <ul class="hunt-suspects">{ for list.left.iter().skip(MOST_NAMED).map(suspected) }</ul>
                    </More>
                }
                if !list.now_and_then.is_empty() {
                    <More summary={html! { t!("suspects-now-and-then", count = list.now_and_then.iter().map(|one| one.faults.len()).sum::<usize>()) }}>
                        <ul class="hunt-suspects">{ for list.now_and_then.iter().map(suspected) }</ul>
                    </More>
                }
                if !list.ruled_out.is_empty() {
                    <More summary={html! { t!("suspects-so-far") }}>
                        <ol class="hunt-suspects">{ for list.ruled_out.iter().map(ruled_out) }</ol>
                    </More>
                }
            }
        </section>
    }
}

fn next(readings: Option<&[Proposed]>) -> Html {
    match readings {
        None => html! { <p class="small" role="status">{ t!("suspects-weighing") }</p> },
        Some([]) => html! { <p class="small">{ t!("suspects-no-reading") }</p> },
        Some(some) => html! {
            <>
                <h3>{ t!("suspects-next") }</h3>
                <ol class="hunt-suspects">{ for some.iter().map(proposed) }</ol>
            </>
        },
    }
}

fn suspected(one: &Suspected) -> Html {
    let (said, more) = one.faults.split_at(one.faults.len().min(MOST_SAID));
    html! {
        <li key={one.on.clone()}>
            <strong class="mono">{ one.on.clone() }</strong>{ ": " }{ said.join("; ") }
            if !more.is_empty() {
                <More summary={html! { t!("suspects-more-of", count = more.len(), on = one.on) }}>{ more.join("; ") }</More>
            }
        </li>
    }
}

fn proposed(one: &Proposed) -> Html {
    let bits = format!("{}.{:02}", one.worth / 100, one.worth % 100);
    html! { <li key={format!("{}{}", one.with, one.at)}>{ t!("suspects-proposed", with = one.with, at = one.at, bits = bits) }</li> }
}

fn ruled_out(one: &RuledOut) -> Html {
    html! { <li>{ t!("suspects-ruled-out", by = one.by, count = one.count) }</li> }
}
