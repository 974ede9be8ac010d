//! The wiring schedule as a table to write in: one row a conductor, the person's own first, then what is still to be made,
//! then what is given. One cell is in the tab order; keys walk the rest, as in any table.

use super::cell_editor::Ending;
use super::schedule_row::{Act, Editing, RowView};
use crate::services::{clipboard, surface};
use crate::sheets::wiring::cells::Column;
use crate::sheets::wiring::desk::{Ask, Asking};
use crate::sheets::wiring::drawing::Shared;
use crate::sheets::wiring::lines::{Line, lines, moved};
use crate::sheets::wiring::{paste, words};
use crate::store::Thing;
use crate::t;
use std::rc::Rc;
use yew::prelude::*;

/// The schedule.
#[derive(Properties, PartialEq)]
pub struct ScheduleProps {
    /// The drawing.
    pub drawing: Shared,
    /// What is chosen.
    pub selection: Option<Thing>,
    /// What is searched for; rows that do not hold it are left out.
    pub search: String,
    /// Counts how often the keys went to the schedule.
    pub enter: u32,
    /// What is asked.
    pub ask: Asking,
    /// Begins a line of typed entry.
    pub begin: Callback<String>,
}

/// The table with its own state: the cell that the keys are at, and the one that is being written.
#[component]
pub fn Schedule(props: &ScheduleProps) -> Html {
    let (node, place) = (use_node_ref(), use_state(|| (String::new(), 0usize)));
    let (editing, wrong) = (use_state(|| None::<Editing>), use_state(|| None::<String>));
    let lines = Rc::new(lines(&props.drawing, &props.search));
    let chosen = match &props.selection {
        Some(Thing::Conductor(id)) => Some(id.clone()),
        _ => None,
    };
    let at = |key: &str| lines.iter().position(|line| line.key() == key);
    let row = at(&place.0).or_else(|| chosen.as_deref().and_then(at)).unwrap_or(0);
    let column = place.1;
    {
        let place = place.clone();
        use_effect_with(chosen.clone(), move |chosen| {
            if let Some(id) = chosen.as_ref().filter(|id| **id != place.0) {
                place.set((id.clone(), place.1));
            }
        });
    }
    {
        // From nothing: the table is new after rows were offered in its place.
        let entered = use_mut_ref(|| 0);
        let (node, key) = (node.clone(), chosen.clone().or_else(|| lines.get(row).map(|l| l.key().into())));
        use_effect_with(props.enter, move |enter| {
            if entered.replace(*enter) != *enter
                && let Some(key) = key
            {
                surface::focus_cell(&node, &key, column);
            }
        });
    }
    let table = Table { props, node: &node, place: &place, editing: &editing, wrong: &wrong, lines: &lines };
    let act = table.acting();
    let onkeydown = table.keys(row, column);
    let oncopy = table.copying();
    let shown = props.drawing.shown(props.selection.as_ref());
    let cells = lines.iter().enumerate().map(|(n, line)| {
        let editing = editing.as_ref().filter(|e| e.key == line.key()).cloned();
        let chosen = shown.conductors.contains(line.key());
        html! {
            <RowView key={line.key().to_string()} line={line.clone()} {chosen} {editing}
                at={(n == row).then_some(column)} act={act.clone()} />
        }
    });
    html! {
        <>
            <div class="schedule">
                <table ref={node.clone()} role="grid" aria-label={t!("wiring-table")} {onkeydown} {oncopy}>
                    <thead>
                        <tr>
                            { for Column::ALL.iter().map(|c| html! { <th scope="col">{ words::column(*c) }</th> }) }
                            <th scope="col">{ t!("wiring-column-remark") }</th>
                        </tr>
                    </thead>
                    <tbody>{ for cells }</tbody>
                </table>
                if lines.is_empty() {
                    <p class="faint small">{ t!("wiring-none-found") }</p>
                }
            </div>
            if let Some(text) = &*wrong {
                <p id="cell-wrong" class="entry-wrong schedule-help small" role="alert">
                    <span aria-hidden="true">{ "✗ " }</span>{ text.clone() }
                </p>
            } else {
                <p class="schedule-help small faint">{ t!("wiring-table-help") }</p>
            }
        </>
    }
}

/// What the handlers of the table have in common.
struct Table<'a> {
    props: &'a ScheduleProps,
    node: &'a NodeRef,
    place: &'a UseStateHandle<(String, usize)>,
    editing: &'a UseStateHandle<Option<Editing>>,
    wrong: &'a UseStateHandle<Option<String>>,
    lines: &'a Rc<Vec<Line>>,
}

impl Table<'_> {
    /// Opens a cell; what cannot be written is begun, or shown.
    fn opening(&self) -> impl Fn(&Line, usize, Option<String>) + 'static {
        let (drawing, ask, begin) =
            (self.props.drawing.clone(), self.props.ask.clone(), self.props.begin.clone());
        let editing = self.editing.clone();
        move |line, column, typed| match line {
            Line::Laid(c, false) => {
                let kind = Column::ALL[column];
                editing.set(Some(Editing {
                    key: c.id.clone(),
                    column,
                    whole: typed.is_none(),
                    text: typed.unwrap_or_else(|| kind.text(c)),
                    offers: Rc::new(kind.offers(&drawing)),
                }));
            }
            Line::Laid(c, true) => ask.emit(Ask::Show(Thing::Conductor(c.id.clone()))),
            Line::ToDo(w, _) => {
                ask.emit(Ask::Begin(w.from.clone()));
                begin.emit(format!("{} > ", w.from));
            }
        }
    }

    /// What comes of a click on a cell, or of the end of writing in one.
    fn acting(&self) -> Callback<Act> {
        let (drawing, ask, open) = (self.props.drawing.clone(), self.props.ask.clone(), self.opening());
        let (node, place) = (self.node.clone(), self.place.clone());
        let (editing, wrong) = (self.editing.clone(), self.wrong.clone());
        Callback::from(move |act| match act {
            Act::Cell(line, column) => {
                let again = *place == (line.key().to_string(), column);
                surface::focus_cell(&node, line.key(), column);
                place.set((line.key().to_string(), column));
                match &line {
                    Line::Laid(c, given) => {
                        ask.emit(Ask::Select(Some(Thing::Conductor(c.id.clone()))));
                        if again && !given {
                            open(&line, column, None);
                        }
                    }
                    Line::ToDo(..) => open(&line, column, None),
                }
            }
            Act::Written(key, column, ending, text) => {
                let c = drawing.conductor(&key).filter(|_| ending != Ending::Left);
                let read = c.map(|c| Column::ALL[column].write(&drawing, c, &text));
                let error = read.as_ref().and_then(|read| read.as_ref().err().map(words::cell_error));
                if error.is_none() || ending != Ending::Kept {
                    editing.set(None);
                }
                if error.is_none() && ending != Ending::Lost {
                    surface::focus_cell(&node, &key, column);
                }
                wrong.set(error);
                if let Some(Ok(after)) = read {
                    ask.emit(Ask::Alter(after));
                }
            }
        })
    }

    fn keys(&self, row: usize, column: usize) -> Callback<KeyboardEvent> {
        let (ask, open, lines) = (self.props.ask.clone(), self.opening(), self.lines.clone());
        let (node, place, wrong) = (self.node.clone(), self.place.clone(), self.wrong.clone());
        let go = move |row: usize, column: usize| {
            let Some(line) = lines.get(row) else { return };
            surface::focus_cell(&node, line.key(), column);
            place.set((line.key().to_string(), column));
        };
        let (ask_of, lines) = (ask.clone(), self.lines.clone());
        let choose = move |row: usize| {
            if let Some(Line::Laid(c, _)) = lines.get(row) {
                ask_of.emit(Ask::Select(Some(Thing::Conductor(c.id.clone()))));
            }
        };
        let lines = self.lines.clone();
        Callback::from(move |event: KeyboardEvent| {
            let Some(line) = lines.get(row).filter(|_| !surface::is_text(&event)) else { return };
            let (key, command) = (event.key(), event.ctrl_key() || event.meta_key());
            let letter = key.chars().count() == 1 && !command && !event.alt_key();
            if let Some((to, across)) = moved(&key, command, (row, column), lines.len()) {
                go(to, across);
                if to != row {
                    choose(to);
                }
            } else {
                match (key.as_str(), line) {
                    ("Enter", Line::Laid(c, _)) if event.shift_key() => {
                        choose(row);
                        let to = Column::ALL[column] == Column::To;
                        ask.emit(Ask::ToDrawing(if to { c.to.clone() } else { c.from.clone() }));
                    }
                    ("Enter" | "F2", line) => open(line, column, None),
                    ("Delete", Line::Laid(_, given)) => {
                        choose(row);
                        if !given {
                            // The row goes: the keys go on at the next one.
                            go(if row + 1 < lines.len() { row + 1 } else { row.saturating_sub(1) }, column);
                        }
                        ask.emit(Ask::Remove);
                    }
                    ("Backspace", Line::Laid(_, false)) => open(line, column, Some(String::new())),
                    ("Escape", _) => ask.emit(Ask::LetGo),
                    (_, Line::Laid(_, false)) if letter => open(line, column, Some(key)),
                    _ => return,
                }
            }
            wrong.set(None);
            event.prevent_default();
        })
    }

    /// All rows that are shown, as a spreadsheet takes them.
    fn copying(&self) -> Callback<Event> {
        let (lines, ask) = (self.lines.clone(), self.props.ask.clone());
        Callback::from(move |event: Event| {
            if !surface::is_text(&event) {
                let laid = || lines.iter().filter_map(Line::conductor);
                clipboard::give(&event, &paste::write(laid()));
                ask.emit(Ask::Say(t!("wiring-copied", count = laid().count())));
            }
        })
    }
}
