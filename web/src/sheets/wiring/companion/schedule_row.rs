//! One row of the schedule.

use super::cell_editor::{CellEditor, Ending};
use crate::services::surface;
use crate::sheets::wiring::cells::Column;
use crate::sheets::wiring::lines::Line;
use crate::sheets::wiring::words::{colour, colour_class, column as heading, numbered};
use crate::t;
use crate::text::quantity::section_bare;
use sealin_core::plan::Conductor;
use std::rc::Rc;
use yew::prelude::*;

/// What is done to a cell.
pub enum Act {
    /// It is clicked or tapped.
    Cell(Line, usize),
    /// Writing in it has ended: key of its row, column, how, and what was written.
    Written(String, usize, Ending, String),
}

/// A cell that is being written.
#[derive(Clone, PartialEq)]
pub struct Editing {
    /// Key of its row.
    pub key: String,
    /// Its column.
    pub column: usize,
    /// What it opens with.
    pub text: String,
    /// All of that is chosen, so that typing replaces it.
    pub whole: bool,
    /// What may be written there, each with what there is to say about it.
    pub offers: Rc<Vec<(String, String)>>,
}

/// A row.
#[derive(Properties, PartialEq)]
pub struct RowProps {
    /// What stands in it.
    pub line: Line,
    /// It is chosen.
    pub chosen: bool,
    /// The column that the keys are at, if they are in this row.
    pub at: Option<usize>,
    /// The cell of it that is being written.
    pub editing: Option<Editing>,
    /// What is done to a cell.
    pub act: Callback<Act>,
}

/// The row.
#[component]
pub fn RowView(props: &RowProps) -> Html {
    let node = use_node_ref();
    {
        let node = node.clone();
        use_effect_with(props.chosen, move |chosen| {
            if *chosen {
                surface::reveal(&node);
            }
        });
    }
    match &props.line {
        Line::Laid(c, given) => html! {
            <tr ref={node} aria-selected={props.chosen.to_string()}
                class={classes!(props.chosen.then_some("schedule-chosen"), given.then_some("schedule-given"))}
                aria-label={t!("wiring-row", number = numbered(c), from = c.from, to = c.to)}>
                { for (0..Column::ALL.len()).map(|column| laid(props, c, column)) }
                <td class="small">{ if *given { t!("wiring-given") } else { t!("wiring-yours") } }</td>
            </tr>
        },
        Line::ToDo(w, _) => html! {
            <tr ref={node} class="schedule-to-do" aria-label={t!("wiring-begin", terminal = w.from)}>
                { cell(props, 0, 1, "mono", html! { { &w.number } }) }
                { cell(props, 1, 1, "mono", html! { <span class="schedule-begin">{ w.from.to_string() }</span> }) }
                { cell(props, 2, 3, "small", html! { { &w.purpose } }) }
                <td class="small">{ t!("wiring-to-do") }</td>
            </tr>
        },
    }
}

fn laid(props: &RowProps, c: &Conductor, column: usize) -> Html {
    let kind = Column::ALL[column];
    if let Some(e) = props.editing.as_ref().filter(|e| e.column == column) {
        let name = t!("wiring-cell", column = heading(kind), number = numbered(c), from = c.from, to = c.to);
        let done = {
            let (act, key) = (props.act.clone(), e.key.clone());
            Callback::from(move |(ending, text)| act.emit(Act::Written(key.clone(), column, ending, text)))
        };
        let editor = html! {
            <CellEditor {name} text={e.text.clone()} whole={e.whole} offers={e.offers.clone()} {done} />
        };
        return cell(props, column, 1, "schedule-open", editor);
    }
    match kind {
        Column::Number => cell(props, column, 1, "mono", html! { { numbered(c) } }),
        Column::From | Column::To => cell(props, column, 1, "mono", html! { { kind.text(c) } }),
        Column::Section => cell(props, column, 1, "", html! { { section_bare(c.section_mm2_x100) } }),
        Column::Colour => {
            let swatch = format!("swatch wire-{}", colour_class(c.colour));
            let text = html! { <><span class={swatch} aria-hidden="true"></span>{ colour(c.colour) }</> };
            cell(props, column, 1, "", text)
        }
    }
}

/// A cell that spans so many columns.
fn cell(props: &RowProps, column: usize, span: usize, class: &'static str, content: Html) -> Html {
    let onclick = {
        let (act, line) = (props.act.clone(), props.line.clone());
        let written = props.editing.as_ref().is_some_and(|e| e.column == column);
        Callback::from(move |_: MouseEvent| {
            if !written {
                act.emit(Act::Cell(line.clone(), column));
            }
        })
    };
    let here = props.at.is_some_and(|at| (column..column + span).contains(&at));
    let fixed = !matches!(&props.line, Line::Laid(_, false));
    html! {
        <td {class} colspan={span.to_string()} tabindex={if here { "0" } else { "-1" }}
            aria-readonly={fixed.to_string()} data-row={props.line.key().to_string()} data-column={column.to_string()}
            {onclick}>
            { content }
        </td>
    }
}
