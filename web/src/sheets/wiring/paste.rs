//! Rows of a spreadsheet, pasted: each is read and checked by itself, and the schedule is written out in the same form.
//!
//! Tab-separated. A first row that names the columns puts them in its order; without one they are from, to, number, mm²
//! and colour. A cell that is left empty is filled in as for a conductor that is drawn by hand.

use super::cells::{CellError, Column};
use super::drawing::Drawing;
use sealin_core::plan::Conductor;

/// Most rows that are taken at once: more than any panel of this size has terminals.
pub const MOST_ROWS: usize = 200;
/// The columns of a sheet that does not name them, and of the schedule as it is copied out.
const ORDER: [Column; 5] = [Column::From, Column::To, Column::Number, Column::Section, Column::Colour];

/// One row that was pasted.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// Its line in what was pasted, from 1.
    pub line: usize,
    /// The conductor, its id still empty; or what is wrong.
    pub read: Result<Conductor, RowError>,
}

/// Why a row is no conductor.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum RowError {
    /// There is nothing in a column that must be filled.
    Missing(Column),
    /// A cell cannot be read.
    Cell(Column, CellError),
    /// There is such a conductor already, on the sheet or in an earlier row.
    There(String),
    /// There are more rows than are taken at once.
    TooMany,
}

/// Reads what was pasted; empty lines are passed over.
pub fn read(drawing: &Drawing, text: &str) -> Vec<Row> {
    let mut columns: Vec<Option<Column>> = ORDER.map(Some).to_vec();
    let mut all = drawing.conductors.clone();
    let mut rows = Vec::new();
    let lines = text.lines().enumerate().filter(|(_, line)| !line.trim().is_empty());
    for (at, (n, line)) in lines.enumerate() {
        let cells: Vec<&str> = line.split('\t').map(|cell| cell.trim().trim_matches('"').trim()).collect();
        if at == 0
            && let Some(named) = heading(&cells)
        {
            columns = named;
            continue;
        }
        if rows.len() == MOST_ROWS {
            rows.push(Row { line: n + 1, read: Err(RowError::TooMany) });
            break;
        }
        let read = conductor(drawing, &all, &columns, &cells);
        all.extend(read.clone());
        rows.push(Row { line: n + 1, read });
    }
    rows
}

/// Whether a text is rows of a sheet, and no line of typed entry.
pub fn is_rows(text: &str) -> bool {
    text.contains('\t') || text.trim().contains('\n')
}

/// Conductors as rows, under a heading.
pub fn write<'a>(conductors: impl Iterator<Item = &'a Conductor>) -> String {
    let heading = ORDER.map(name).join("\t");
    let row = |c: &Conductor| ORDER.map(|column| column.text(c)).join("\t");
    std::iter::once(heading).chain(conductors.map(row)).map(|line| line + "\n").collect()
}

/// A column's name in a heading.
fn name(column: Column) -> &'static str {
    match column {
        Column::Number => "number",
        Column::From => "from",
        Column::To => "to",
        Column::Section => "mm²",
        Column::Colour => "colour",
    }
}

/// The columns that a first row names; nothing unless both ends are among them. What it names besides is passed over.
fn heading(cells: &[&str]) -> Option<Vec<Option<Column>>> {
    let named = |cell: &&str| {
        let cell = cell.to_lowercase();
        let other = match cell.as_str() {
            "no" | "no." | "wire number" => Some(Column::Number),
            "mm2" | "section" | "cross-section" => Some(Column::Section),
            "color" => Some(Column::Colour),
            _ => None,
        };
        Column::ALL.into_iter().find(|c| name(*c) == cell).or(other)
    };
    let columns: Vec<Option<Column>> = cells.iter().map(named).collect();
    let has = |column| columns.contains(&Some(column));
    (has(Column::From) && has(Column::To)).then_some(columns)
}

fn conductor(
    drawing: &Drawing,
    all: &[Conductor],
    columns: &[Option<Column>],
    cells: &[&str],
) -> Result<Conductor, RowError> {
    let cell = |column: Column| {
        let at = columns.iter().position(|c| *c == Some(column))?;
        cells.get(at).copied().filter(|text| !text.is_empty())
    };
    let end = |column: Column| {
        let text = cell(column).ok_or(RowError::Missing(column))?;
        super::entry::resolve(&drawing.parts, text)
            .map_err(|error| RowError::Cell(column, CellError::End(error)))
    };
    let (from, to) = (end(Column::From)?, end(Column::To)?);
    let joins = |c: &&Conductor| (c.from == from && c.to == to) || (c.from == to && c.to == from);
    if let Some(there) = all.iter().find(joins) {
        return Err(RowError::There(there.number.clone()));
    }
    let mut c = drawing.made_beside(all, String::new(), &from, &to);
    for column in ORDER {
        if let Some(text) = cell(column) {
            c = column.write(drawing, &c, text).map_err(|error| RowError::Cell(column, error))?;
        }
    }
    Ok(c)
}

#[cfg(test)]
mod tests {
    use super::super::entry::EntryError;
    use super::*;
    use crate::sheets::wiring::fixture::{drawing, learners, t};
    use sealin_core::plan::Insulation;

    /// The reference wiring of the paddle gear as its rows come out of a spreadsheet.
    #[test]
    fn the_whole_reference_goes_in_and_comes_out_again() {
        let rows: String = learners()
            .iter()
            .map(|c| format!("{}\t{}\t{}\t0.75\tdark blue\r\n", c.from, c.to, c.number))
            .collect();
        let read = read(&drawing(Vec::new()), &rows);
        let made: Vec<Conductor> = read.into_iter().map(|row| row.read.unwrap()).collect();
        let nameless = learners().into_iter().map(|c| Conductor { id: String::new(), ..c });
        assert_eq!(made, nameless.collect::<Vec<_>>());
        let out = write(made.iter());
        assert_eq!(out.lines().next(), Some("from\tto\tnumber\tmm²\tcolour"));
        let again: Vec<_> =
            super::read(&drawing(Vec::new()), &out).into_iter().map(|row| row.read.unwrap()).collect();
        assert_eq!(again, made);
    }

    #[test]
    fn a_heading_puts_the_columns_in_its_order() {
        let rows = read(&drawing(Vec::new()), "No.\tremark\tTo\tFrom\n213\tQA1 is in\tKF1:I4\tqa1:14\n\n");
        assert_eq!(rows.len(), 1);
        assert_eq!(rows[0].line, 2);
        let c = rows[0].read.clone().unwrap();
        assert_eq!((c.from, c.to, c.number.as_str()), (t("QA1:14"), t("KF1:I4"), "213"));
        assert_eq!((c.section_mm2_x100, c.colour), (75, Insulation::DarkBlue), "as if drawn by hand");
    }

    #[test]
    fn what_is_left_empty_follows_from_the_rows_before() {
        let rows = read(&drawing(Vec::new()), "XD4:7\tQA1:13\nQA1:13\tQA2:13");
        let numbers: Vec<_> = rows.into_iter().map(|row| row.read.unwrap().number).collect();
        assert_eq!(numbers, ["201", "201"], "QA1:13 is on 201 by the first row only");
    }

    #[test]
    fn wrong_rows_are_told_by_line_and_the_rest_is_read() {
        let text = "QA1:14\tKF1:I4\t213\t0.75\tdark blue\n\
            QA9:14\tKF1:I5\n\
            QA2:14\n\
            QA2:14\tKF1:I5\t214\t0.8\n\
            QA2:14\tKF1:I5\t214\t0.75\tpink\n\
            KF1:I4\tQA1:14\n\
            FC1:98\tKF1:I6\t215";
        let rows = read(&drawing(Vec::new()), text);
        let wrong = |line: usize| rows[line - 1].read.clone().unwrap_err();
        assert_eq!(wrong(2), RowError::Cell(Column::From, CellError::End(EntryError::NoPart("QA9".into()))));
        assert_eq!(wrong(3), RowError::Missing(Column::To));
        assert_eq!(wrong(4), RowError::Cell(Column::Section, CellError::Section("0.8".into())));
        assert_eq!(wrong(5), RowError::Cell(Column::Colour, CellError::Colour("pink".into())));
        assert_eq!(wrong(6), RowError::There("213".into()), "the first row joins them");
        assert!(rows[0].read.is_ok() && rows[6].read.is_ok());
    }

    #[test]
    fn a_flood_is_cut_off_and_said_to_be() {
        let rows = read(&drawing(Vec::new()), &"X\tY\n".repeat(5_000));
        assert_eq!(rows.len(), MOST_ROWS + 1);
        assert_eq!(rows[MOST_ROWS].read, Err(RowError::TooMany));
    }
}
