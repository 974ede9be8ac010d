//! The set on the page: laid out once to be measured, then as sheets.

use super::content::{Body, Section, draw};
use super::list::{Document, LIST, Work};
use super::paper::Paper;
use super::sheet::{Block, SheetOfPaper};
use super::sheets::{Measures, Sheet, sheets};
use crate::services::printing;
use crate::store::Shop;
use std::ops::Range;
use std::rc::Rc;
use yew::prelude::*;

/// What is printed.
#[derive(Properties, PartialEq)]
pub struct DocumentsProps {
    /// The work.
    pub shop: Shop,
    /// The document, by its number on the list; none for all.
    pub only: Option<usize>,
    /// The paper.
    pub paper: Paper,
    /// Called when everything is on its sheet.
    pub on_ready: Callback<()>,
}

/// The share of a sheet's height that is filled: a line that breaks otherwise on paper than it was measured finds room.
const FILLED: f64 = 0.985;

/// The documents of the job.
#[component]
pub fn Documents(props: &DocumentsProps) -> Html {
    let documents = use_memo((), |()| {
        let of = |workshop: &_| -> Vec<Document> {
            let work = Work::of(workshop, props.paper);
            LIST.iter().map(|entry| Document { title: (entry.title)(), body: (entry.body)(&work) }).collect()
        };
        props.shop.with(of)
    });
    let block = use_memo((), |()| props.shop.with(Block::of));
    let divided = use_state(|| None::<Rc<Vec<Sheet>>>);
    let node = use_node_ref();
    {
        let (node, documents, divided, paper) =
            (node.clone(), documents.clone(), divided.clone(), props.paper);
        use_effect_with((), move |()| {
            let heights = |selector| printing::heights(&node, selector);
            let room = heights("[data-room]").first().copied().unwrap_or_default() * FILLED;
            let measures = Measures { room, pieces: heights("[data-piece]"), heads: heights("[data-head]") };
            divided.set(Some(Rc::new(sheets(&documents, paper, &measures))));
        });
    }
    let is_ready = divided.is_some();
    let on_ready = props.on_ready.clone();
    use_effect_with(is_ready, move |is_ready| {
        if *is_ready {
            on_ready.emit(());
        }
    });
    match &*divided {
        None => html! {
            <div class={classes!("doc-measure", props.paper.class())} ref={node}>
                <div class="doc-room" data-room=""></div>
                { for documents.iter().map(laid_out) }
            </div>
        },
        Some(all) => html! {
            <div class={props.paper.class()}>
                { for all.iter().enumerate().filter(|(_, sheet)| props.only.is_none_or(|only| only == sheet.document)).map(|(n, sheet)| {
                    let Document { title, body } = &documents[sheet.document];
                    html! {
                        <SheetOfPaper key={n} block={(*block).clone()} title={*title}
                            what={drawing(body, sheet).and_then(|(what, _)| what.clone())} document={sheet.document + 1}
                            part={sheet.part} number={n + 1} of={all.len()} paper={props.paper}>
                            { inside(body, sheet) }
                        </SheetOfPaper>
                    }
                }) }
            </div>
        },
    }
}

/// A run in one column, to be measured.
fn laid_out(document: &Document) -> Html {
    match &document.body {
        Body::Run { narrow, sections } => column(*narrow, sections, 0..usize::MAX),
        Body::Drawings(_) => Html::default(),
    }
}

/// Some of the pieces of a run, one below the other.
fn column(narrow: bool, sections: &[Section], pieces: Range<usize>) -> Html {
    html! { <div class={if narrow { "doc-narrow" } else { "doc-wide" }}>{ draw(sections, pieces) }</div> }
}

/// What stands on a sheet.
fn inside(body: &Body, sheet: &Sheet) -> Html {
    match body {
        Body::Run { narrow, sections } => {
            sheet.columns.iter().map(|pieces| column(*narrow, sections, pieces.clone())).collect()
        }
        Body::Drawings(_) => {
            let drawing = drawing(body, sheet).map(|(_, drawing)| drawing.clone());
            html! { <div class="doc-drawing">{ for drawing }</div> }
        }
    }
}

/// The drawing of a sheet, with what it shows where that is not the whole; none for a sheet of a run.
fn drawing<'a>(body: &'a Body, sheet: &Sheet) -> Option<&'a (Option<String>, Html)> {
    match body {
        Body::Drawings(drawings) => drawings.get(sheet.columns.first()?.start),
        Body::Run { .. } => None,
    }
}
