//! The title block: what is always true of the job.

use super::sheet_name;
use crate::hooks::{use_live, use_selector, use_workshop};
use crate::services::live::Binding;
use crate::store::{Command, Saved, ScreenAct, Sheet, Theme, Workshop};
use crate::t;
use crate::text::time::bench_time;
use web_sys::HtmlSelectElement;
use yew::prelude::*;

/// The title block.
#[component]
pub fn TitleBlock() -> Html {
    let sheet = use_selector(|workshop| workshop.screen().sheet);
    let scenario = use_selector(|workshop| workshop.scenario().clone());
    let sheet_cell =
        t!("frame-sheet-of", number = sheet.number(), count = Sheet::ALL.len(), name = sheet_name(*sheet));
    html! {
        <section class="title" aria-label={t!("frame-title-block")}>
            <div class="title-job">
                <span class="title-site">{ scenario.site.clone() }</span>
                <strong>{ scenario.machine.clone() }</strong>
                <span class="title-name">{ scenario.title.clone() }</span>
            </div>
            <dl class="title-cells">
                <div class="title-cell title-cell-sheet"><dt>{ t!("frame-sheet") }</dt><dd>{ sheet_cell }</dd></div>
                <Following name={t!("frame-time")} cell={Cell::Time} />
                <Following name={t!("frame-speed")} cell={Cell::Speed} />
                <Following name={t!("frame-attempt")} cell={Cell::Attempt} />
                <Following name={t!("frame-supply")} cell={Cell::Supply} />
                <ThemeCell />
            </dl>
        </section>
    }
}

/// A cell whose text follows the bench.
#[derive(Clone, Copy, PartialEq)]
enum Cell {
    Time,
    Speed,
    Attempt,
    Supply,
}

#[derive(Properties, PartialEq)]
struct FollowingProps {
    name: AttrValue,
    cell: Cell,
}

#[component]
fn Following(props: &FollowingProps) -> Html {
    let node = use_node_ref();
    {
        let node = node.clone();
        use_live(props.cell, move |cell| {
            let cell = *cell;
            vec![Binding::text(node, move |workshop| cell.read(workshop))]
        });
    }
    let class = match props.cell {
        Cell::Time => "title-cell title-cell-time",
        Cell::Speed => "title-cell title-cell-speed",
        Cell::Attempt | Cell::Supply => "title-cell",
    };
    html! { <div {class}><dt>{ props.name.clone() }</dt><dd ref={node}></dd></div> }
}

impl Cell {
    fn read(self, workshop: &Workshop) -> String {
        match self {
            Cell::Time => bench_time(workshop.bench().tick()),
            Cell::Speed => speed(workshop),
            Cell::Attempt => attempt(workshop),
            Cell::Supply => if workshop.supply_on() { t!("frame-on") } else { t!("frame-off") }.into(),
        }
    }
}

fn speed(workshop: &Workshop) -> String {
    let pace = workshop.pace();
    if pace.paused {
        return t!("frame-paused").into();
    }
    let hundredths = pace.reached_x100;
    let factor = match hundredths {
        0..1_000 => format!("{}.{:02}", hundredths / 100, hundredths % 100),
        1_000..10_000 => format!("{}.{}", hundredths / 100, hundredths / 10 % 10),
        _ => (hundredths / 100).to_string(),
    };
    t!("frame-speed-reached", factor = factor)
}

fn attempt(workshop: &Workshop) -> String {
    if workshop.on_example() {
        return t!("example-cell").into();
    }
    let acts = workshop.session().acts();
    if acts == 0 && matches!(workshop.saved(), Saved::Fresh | Saved::Kept) {
        return t!("frame-fresh").into();
    }
    match workshop.saved() {
        Saved::Fresh => t!("frame-fresh").into(),
        Saved::Kept if acts == 1 => t!("frame-saved-one").into(),
        Saved::Kept => t!("frame-saved", acts = acts),
        Saved::Elsewhere => t!("frame-read-only").into(),
        Saved::Impossible => t!("frame-not-saved").into(),
    }
}

/// The choice between light and dark.
#[component]
fn ThemeCell() -> Html {
    let shop = use_workshop();
    let theme = use_selector(|workshop| workshop.screen().theme);
    let choose = Callback::from(move |event: Event| {
        let choice = event.target_dyn_into::<HtmlSelectElement>().map(|select| select.value());
        if let Some(theme) = choice.and_then(|value| Theme::from_word(&value)) {
            shop.dispatch(Command::Screen(ScreenAct::Theme(theme)));
        }
    });
    html! {
        <div class="title-cell">
            <dt><label for="theme">{ t!("frame-theme") }</label></dt>
            <dd>
                <select id="theme" onchange={choose}>
                    { for Theme::ALL.into_iter().map(|choice| html! {
                        <option value={choice.word()} selected={choice == *theme}>{ theme_name(choice) }</option>
                    }) }
                </select>
            </dd>
        </div>
    }
}

fn theme_name(theme: Theme) -> &'static str {
    match theme {
        Theme::System => t!("frame-theme-system"),
        Theme::Day => t!("frame-theme-day"),
        Theme::Night => t!("frame-theme-night"),
    }
}
