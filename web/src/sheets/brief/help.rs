//! Help that the author of a job has written down: it costs marks, and opening it is in the log.

use crate::hooks::{use_conduct, use_selector, use_workshop};
use crate::store::Command;
use crate::store::model::Hint;
use crate::t;
use yew::prelude::*;

/// All that there is; nothing where the author wrote none.
#[component]
pub fn Help() -> Html {
    let scenario = use_selector(|workshop| workshop.scenario().clone());
    let conduct = use_conduct();
    if scenario.hints.is_empty() {
        return html! {};
    }
    html! {
        <section class="help" aria-labelledby="help">
            <h2 class="heading" id="help">{ t!("help-title") }</h2>
            <p class="small faint">{ t!("help-note") }</p>
            <ol>
                { for scenario.hints.iter().map(|hint| html! {
                    <One key={hint.id.clone()} hint={hint.clone()} opened={conduct.opened(&hint.id).is_some()} />
                }) }
            </ol>
        </section>
    }
}

#[derive(Properties, PartialEq)]
struct OneProps {
    hint: Hint,
    opened: bool,
}

#[component]
fn One(props: &OneProps) -> Html {
    let shop = use_workshop();
    let hint = &props.hint;
    let about = match hint.requirements.is_empty() {
        true => t!("help-about-all").to_string(),
        false => t!("help-about", requirements = hint.requirements),
    };
    let open = {
        let id = hint.id.clone();
        Callback::from(move |_: MouseEvent| shop.dispatch(Command::OpenHint(id.clone())))
    };
    html! {
        <li>
            <span class="faint small">{ about.clone() }</span>
            if props.opened {
                <p role="status">{ hint.text.clone() }{ " " }<span class="faint small">{ t!("help-cost", marks = hint.costs) }</span></p>
            } else {
                <button type="button" onclick={open} aria-label={t!("help-open-of", about = about, marks = hint.costs)}>
                    { t!("help-open", marks = hint.costs) }
                </button>
            }
        </li>
    }
}
