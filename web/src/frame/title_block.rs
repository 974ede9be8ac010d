//! The title block: what is always true of the job.

use super::sheet_name;
use crate::hooks::{use_live, use_selector};
use crate::services::live::Binding;
use crate::store::{Sheet, Workshop};
use crate::t;
use yew::prelude::*;

/// The title block.
#[component]
pub fn TitleBlock() -> Html {
    let sheet = use_selector(|workshop| workshop.screen().sheet);
    let scenario = use_selector(|workshop| workshop.scenario().clone());
    html! {
        <section class="title" aria-label={t!("frame-title-block")}>
            <div class="title-job">
                <span class="title-site">{ &scenario.site }</span>
                <strong>{ &scenario.title }</strong>
            </div>
            <dl class="title-cells">
                <div><dt>{ t!("frame-sheet") }</dt>
                    <dd>{ t!("frame-sheet-of", number = sheet.number(), count = Sheet::ALL.len(), name = sheet_name(*sheet)) }</dd></div>
                <div><dt>{ t!("frame-time") }</dt><dd class="mono"><Following read={bench_time as fn(&Workshop) -> String} /></dd></div>
                <div><dt>{ t!("frame-attempt") }</dt><dd>{ "" }</dd></div>
                <div><dt>{ t!("frame-supply") }</dt><dd><Following read={supply as fn(&Workshop) -> String} /></dd></div>
                <div><dt>{ t!("frame-speed") }</dt><dd><Following read={speed as fn(&Workshop) -> String} /></dd></div>
            </dl>
        </section>
    }
}

#[derive(Properties, PartialEq)]
struct FollowingProps {
    read: fn(&Workshop) -> String,
}

/// Text that follows the bench.
#[component]
fn Following(props: &FollowingProps) -> Html {
    let node = use_node_ref();
    let read = props.read;
    {
        let node = node.clone();
        use_live((), move |()| vec![Binding::text(node, read)]);
    }
    html! { <span ref={node}></span> }
}

fn bench_time(workshop: &Workshop) -> String {
    let ms = workshop.bench().tick();
    format!("{:02}:{:02}:{:02}.{:03}", ms / 3_600_000, ms / 60_000 % 60, ms / 1_000 % 60, ms % 1_000)
}

fn supply(workshop: &Workshop) -> String {
    if workshop.signal("XD0.on") { t!("frame-on").into() } else { t!("frame-off").into() }
}

fn speed(workshop: &Workshop) -> String {
    let pace = workshop.pace();
    if pace.paused {
        return t!("frame-paused").into();
    }
    let hundredths = pace.reached_x100;
    t!("frame-speed-reached", factor = format!("{}.{:02}", hundredths / 100, hundredths % 100))
}
