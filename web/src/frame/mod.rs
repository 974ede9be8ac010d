//! The drawing frame around every sheet: grid references, list of drawings, title block, messages.

mod announcer;
mod danger;
mod example_bar;
mod list;
mod notice;
mod split;
mod title_block;

pub use split::Split;

use crate::hints::Note;
use crate::hooks::{use_selector, use_sheet_keys};
use crate::store::Sheet;
use crate::t;
use crate::why::{WhyButton, WhyPanel};
use announcer::Announcer;
use danger::DangerBar;
use example_bar::ExampleBar;
use list::ListOfDrawings;
use notice::NoticeBar;
use title_block::TitleBlock;
use yew::prelude::*;

/// Name of a sheet on the list of drawings.
pub fn sheet_name(sheet: Sheet) -> &'static str {
    match sheet {
        Sheet::Brief => t!("sheet-brief"),
        Sheet::Wiring => t!("sheet-wiring"),
        Sheet::Circuit => t!("sheet-circuit"),
        Sheet::Program => t!("sheet-program"),
        Sheet::Commissioning => t!("sheet-commissioning"),
        Sheet::FaultTable => t!("sheet-fault-table"),
        Sheet::Faults => t!("sheet-faults"),
        Sheet::SignOff => t!("sheet-signoff"),
    }
}

/// What stands inside the frame.
#[derive(Properties, PartialEq)]
pub struct FrameProps {
    /// The sheet in view.
    pub children: Html,
}

/// The frame (ISO 5457) with list of drawings and title block (ISO 7200).
#[component]
pub fn Frame(props: &FrameProps) -> Html {
    let sheet = use_selector(|workshop| workshop.screen().sheet);
    use_sheet_keys();
    html! {
        <div class="frame">
            <a class="frame-skip" href="#drawing">{ t!("frame-skip") }</a>
            <a class="frame-skip" href="#list">{ t!("frame-skip-list") }</a>
            <Note />
            <References edge="top" />
            <References edge="left" />
            <References edge="right" />
            <References edge="bottom" />
            // Keyed by the sheet, so that each begins at its top and none where another was left.
            <main key={sheet.number()} id="drawing" class="frame-drawing" tabindex="-1" aria-label={sheet_name(*sheet)}>
                <ExampleBar />
                <NoticeBar />
                <DangerBar />
                { props.children.clone() }
            </main>
            <Announcer />
            <PrintedCautions />
            <WhyPanel />
            <footer class="frame-foot">
                <ListOfDrawings />
                <WhyButton />
                <TitleBlock />
            </footer>
        </div>
    }
}

/// The cautions, which stand on every print-out.
#[component]
fn PrintedCautions() -> Html {
    let scenario = use_selector(|workshop| workshop.scenario().clone());
    html! {
        <aside class="frame-printed">
            <h2>{ t!("brief-cautions") }</h2>
            <ul>{ for scenario.cautions.iter().map(|caution| html! { <li>{ caution.clone() }</li> }) }</ul>
            <p>{ t!("brief-not-text") }</p>
        </aside>
    }
}

#[derive(Properties, PartialEq)]
struct ReferencesProps {
    edge: AttrValue,
}

/// Grid references along one edge: numbers across, letters down.
#[component]
fn References(props: &ReferencesProps) -> Html {
    let across = props.edge == "top" || props.edge == "bottom";
    let marks: Vec<String> = if across {
        (1..=8).map(|number| number.to_string()).collect()
    } else {
        ('A'..='F').map(String::from).collect()
    };
    html! {
        <div class={classes!("frame-references", format!("frame-references-{}", props.edge))} aria-hidden="true">
            { for marks.into_iter().map(|mark| html! { <span>{ mark }</span> }) }
        </div>
    }
}
