//! Words for the cells of the schedule and for rows that were pasted.

use super::{conductor, entry_error};
use crate::sheets::wiring::cells::{CellError, Column, LONGEST, SECTIONS};
use crate::sheets::wiring::paste::{MOST_ROWS, Row, RowError};
use crate::t;
use crate::text::quantity::section_bare;
use sealin_core::plan::Insulation;

/// The heading of a column.
pub fn column(column: Column) -> &'static str {
    match column {
        Column::Number => t!("wiring-column-number"),
        Column::From => t!("wiring-column-from"),
        Column::To => t!("wiring-column-to"),
        Column::Section => t!("wiring-column-section"),
        Column::Colour => t!("wiring-column-colour"),
    }
}

/// What is wrong with a cell, and what is expected there.
pub fn cell_error(error: &CellError) -> String {
    match error {
        CellError::End(error) => entry_error(error),
        CellError::Long(text) => t!("wiring-cell-long", text = text, most = LONGEST),
        CellError::Section(text) => {
            t!("wiring-cell-section", text = text, has = SECTIONS.map(section_bare).join(", "))
        }
        CellError::Colour(text) => {
            t!("wiring-cell-colour", text = text, has = Insulation::ALL.map(Insulation::word).join(", "))
        }
    }
}

/// What a pasted row makes, or what is wrong with it.
pub fn row(row: &Row) -> String {
    match &row.read {
        Ok(c) => conductor(c, false),
        Err(RowError::Missing(missing)) => t!("wiring-row-missing", column = column(*missing)),
        Err(RowError::Cell(at, error)) => {
            t!("wiring-row-cell", column = column(*at), error = cell_error(error))
        }
        Err(RowError::There(number)) if number.is_empty() => t!("wiring-row-there").to_string(),
        Err(RowError::There(number)) => t!("wiring-row-there-as", number = number),
        Err(RowError::TooMany) => t!("wiring-row-too-many", most = MOST_ROWS),
    }
}
