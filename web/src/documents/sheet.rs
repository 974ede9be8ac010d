//! One sheet: the frame with its grid references (ISO 5457), the title block (ISO 7200) and the caution beside it.

use super::paper::{Paper, letter};
use crate::services::printing;
use crate::store::Workshop;
use crate::t;
use sealin_core::canon::hex;
use std::rc::Rc;
use yew::prelude::*;

/// What the title blocks of all sheets say alike.
#[derive(PartialEq)]
pub struct Block {
    owner: String,
    machine: String,
    job: String,
    id: String,
    revision: String,
    author: String,
    date: String,
    caution: String,
}

impl Block {
    /// Of the work as it stands, today.
    pub fn of(workshop: &Workshop) -> Rc<Block> {
        let scenario = workshop.scenario();
        let hash = hex(&workshop.project().design_hash(scenario));
        Rc::new(Block {
            owner: scenario.site.clone(),
            machine: scenario.machine.clone(),
            job: scenario.title.clone(),
            id: scenario.id.clone(),
            revision: t!("doc-revision-is", hash = &hash[..8], acts = workshop.session().acts()),
            author: workshop.author().to_string(),
            date: printing::today(),
            caution: scenario.cautions.first().cloned().unwrap_or_default(),
        })
    }
}

/// A sheet.
#[derive(Properties, PartialEq)]
pub struct SheetProps {
    /// What all title blocks say.
    pub block: Rc<Block>,
    /// Title of the document.
    pub title: &'static str,
    /// What of it is shown, where that is not the whole.
    pub what: Option<String>,
    /// Number of the document, from 1.
    pub document: usize,
    /// Number among the sheets of its document, from 1, and how many there are.
    pub part: (usize, usize),
    /// Number among all sheets of the set, from 1.
    pub number: usize,
    /// Sheets of the set.
    pub of: usize,
    /// The paper.
    pub paper: Paper,
    /// What stands on it.
    pub children: Html,
}

/// A sheet of paper.
#[component]
pub fn SheetOfPaper(props: &SheetProps) -> Html {
    let (part, parts) = props.part;
    let title = if parts > 1 {
        t!("doc-title-part", title = props.title, part = part, parts = parts)
    } else {
        props.title.to_string()
    };
    let sheet = t!("doc-sheet-of", number = props.number, of = props.of);
    let (across, down) = props.paper.fields();
    let edges = [("top", across), ("right", down), ("bottom", across), ("left", down)];
    let shown = if props.paper.all_sides() { 4 } else { 2 };
    let block = &props.block;
    let cell = |class: &'static str, name: &'static str, value: &str| {
        html! { <div {class}><dt>{ name }</dt><dd>{ value.to_string() }</dd></div> }
    };
    html! {
        <section class="doc-sheet" aria-label={t!("doc-sheet-name", sheet = sheet, title = title)}>
            { for edges.into_iter().take(shown).map(references) }
            <div class="doc-frame">
                <div class="doc-room">{ props.children.clone() }</div>
                <footer class="doc-foot">
                    <p class="doc-caution"><strong>{ "△ " }{ block.caution.clone() }</strong>{ " " }{ t!("brief-not-text") }</p>
                    <dl class="doc-block">
                        { cell("", t!("doc-owner"), &block.owner) }
                        { cell("", t!("doc-machine"), &block.machine) }
                        { cell("", t!("doc-made-by"), &block.author) }
                        { cell("", t!("doc-checked-by"), "") }
                        <div class="doc-block-title"><dt>{ block.job.clone() }</dt><dd><h1>{ title }</h1>{ for props.what.clone() }</dd></div>
                        { cell("", t!("doc-number"), &format!("{}/{:02}", block.id, props.document)) }
                        { cell("", t!("doc-revision"), &block.revision) }
                        { cell("", t!("doc-date"), &format!("{}, {}", block.date, props.paper.word())) }
                        { cell("", t!("doc-sheet"), &sheet) }
                    </dl>
                </footer>
            </div>
        </section>
    }
}

/// The references along one edge: numbers across, letters down.
fn references((edge, fields): (&'static str, usize)) -> Html {
    let level = edge == "top" || edge == "bottom";
    let mark = |field: usize| if level { (field + 1).to_string() } else { letter(field).to_string() };
    html! {
        <div class={classes!("doc-references", format!("doc-references-{edge}"))} aria-hidden="true">
            { for (0..fields).map(|field| html! { <span>{ mark(field) }</span> }) }
        </div>
    }
}
