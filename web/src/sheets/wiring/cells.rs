//! The cells of the wiring schedule: what is written in them, typed or pasted, and what is offered to write.

use super::drawing::Drawing;
use super::entry::{EntryError, Occupancy, resolve};
use super::words;
use crate::text::quantity::section_bare;
use sealin_core::plan::{Conductor, Insulation};
use std::collections::BTreeSet;

/// Nominal cross-sections, hundredths of mm² (IEC 60228, class 5).
pub const SECTIONS: [u32; 8] = [50, 75, 100, 150, 250, 400, 600, 1000];
/// Longest number that a ferrule marker takes, characters.
pub const LONGEST: usize = 8;

/// What is said about a conductor, a column each.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Column {
    /// Wire number.
    Number,
    /// The terminal where it begins.
    From,
    /// The terminal where it ends.
    To,
    /// Cross-section, mm².
    Section,
    /// Insulation colour.
    Colour,
}

/// Why a text cannot stand in a cell.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum CellError {
    /// It names no terminal, or the one at the other end.
    End(EntryError),
    /// It is longer than a ferrule marker.
    Long(String),
    /// It is no nominal cross-section.
    Section(String),
    /// It is no insulation colour.
    Colour(String),
}

impl Column {
    /// In the order of the schedule.
    pub const ALL: [Column; 5] = [Column::Number, Column::From, Column::To, Column::Section, Column::Colour];

    /// What stands there for a conductor.
    pub fn text(self, c: &Conductor) -> String {
        match self {
            Column::Number => c.number.clone(),
            Column::From => c.from.to_string(),
            Column::To => c.to.to_string(),
            Column::Section => section_bare(c.section_mm2_x100),
            Column::Colour => c.colour.word().to_string(),
        }
    }

    /// The conductor with this text in the column.
    ///
    /// # Errors
    /// Why it cannot stand there.
    pub fn write(self, drawing: &Drawing, c: &Conductor, text: &str) -> Result<Conductor, CellError> {
        let mut after = c.clone();
        match self {
            Column::Number => after.number = number(text)?,
            Column::From => after.from = resolve(&drawing.parts, text).map_err(CellError::End)?,
            Column::To => after.to = resolve(&drawing.parts, text).map_err(CellError::End)?,
            Column::Section => after.section_mm2_x100 = section(text)?,
            Column::Colour => after.colour = colour(text)?,
        }
        if after.from == after.to {
            return Err(CellError::End(EntryError::SameTerminal(after.from)));
        }
        Ok(after)
    }

    /// What may be written there, each with what there is to say about it.
    pub fn offers(self, drawing: &Drawing) -> Vec<(String, String)> {
        let bare = |text: String| (text, String::new());
        match self {
            Column::Number => {
                let all: BTreeSet<&String> = drawing.conductors.iter().map(|c| &c.number).collect();
                all.into_iter().filter(|n| !n.is_empty()).cloned().map(bare).collect()
            }
            Column::From | Column::To => {
                let mut all: Vec<_> = drawing.panel.order().map(|t| (t, &drawing.occupancy[t])).collect();
                all.sort_by_key(|(_, o)| o.conductors >= Occupancy::FULL);
                all.into_iter().map(|(t, o)| (t.to_string(), words::occupied(o))).collect()
            }
            Column::Section => SECTIONS.map(section_bare).map(bare).to_vec(),
            Column::Colour => Insulation::ALL.map(|c| bare(c.word().to_string())).to_vec(),
        }
    }
}

/// A wire number; empty for none.
///
/// # Errors
/// If it is too long for a marker.
pub fn number(text: &str) -> Result<String, CellError> {
    let text = text.trim();
    if text.chars().count() > LONGEST { Err(CellError::Long(text.into())) } else { Ok(text.into()) }
}

/// A nominal cross-section in mm², hundredths; with point or comma, with or without the unit.
///
/// # Errors
/// If it is none.
pub fn section(text: &str) -> Result<u32, CellError> {
    let bare = text.trim().trim_end_matches("mm²").trim_end_matches("mm2").trim().replace(',', ".");
    let found = bare.parse::<f64>().ok().map(|mm2| (mm2 * 100.0).round());
    let nominal = SECTIONS.into_iter().find(|s| found == Some(f64::from(*s)));
    nominal.ok_or_else(|| CellError::Section(text.trim().into()))
}

/// An insulation colour: its word, or its letters after IEC 60757.
///
/// # Errors
/// If it is none, or more than one may be meant.
pub fn colour(text: &str) -> Result<Insulation, CellError> {
    let text = text.trim();
    let code = match text.to_ascii_uppercase().as_str() {
        "BK" => Some(Insulation::Black),
        "RD" => Some(Insulation::Red),
        "GNYE" => Some(Insulation::GreenYellow),
        "OG" => Some(Insulation::Orange),
        "WH" => Some(Insulation::White),
        "WHBU" => Some(Insulation::WhiteBlue),
        _ => None,
    };
    let word = Insulation::ALL.into_iter().find(|c| c.word().eq_ignore_ascii_case(text));
    word.or(code).ok_or_else(|| CellError::Colour(text.into()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheets::wiring::fixture::{drawing, learners, t};

    #[test]
    fn each_cell_takes_what_a_fitter_would_write_there() {
        let d = drawing(learners());
        let c = d.conductor("L4").unwrap();
        let write = |column: Column, text: &str| column.write(&d, c, text);
        assert_eq!(write(Column::Number, " 300 ").unwrap().number, "300");
        assert_eq!(write(Column::From, "qa2:14").unwrap().from, t("QA2:14"));
        assert_eq!(write(Column::To, "KF1:I7").unwrap().to, t("KF1:I7"));
        for text in ["1.5", "1,5", "1.50", "1.5 mm²"] {
            assert_eq!(write(Column::Section, text).unwrap().section_mm2_x100, 150, "{text}");
        }
        assert_eq!(write(Column::Colour, "Green-Yellow").unwrap().colour, Insulation::GreenYellow);
        assert_eq!(write(Column::Colour, "rd").unwrap().colour, Insulation::Red);
        for column in Column::ALL {
            assert_eq!(write(column, &column.text(c)).as_ref(), Ok(c), "what stands there can be written");
        }
    }

    #[test]
    fn a_cell_says_what_cannot_stand_in_it() {
        let d = drawing(learners());
        let write = |column: Column, text: &str| column.write(&d, d.conductor("L4").unwrap(), text);
        assert_eq!(write(Column::Number, "123456789"), Err(CellError::Long("123456789".into())));
        assert_eq!(write(Column::Section, "0.8"), Err(CellError::Section("0.8".into())));
        assert_eq!(write(Column::Section, "thick"), Err(CellError::Section("thick".into())));
        assert_eq!(write(Column::Colour, "blue"), Err(CellError::Colour("blue".into())), "dark or light");
        let same = CellError::End(EntryError::SameTerminal(t("KF1:I4")));
        assert_eq!(write(Column::From, "KF1:I4"), Err(same));
        assert!(matches!(write(Column::To, "QA9:1"), Err(CellError::End(EntryError::NoPart(_)))));
    }

    #[test]
    fn all_terminals_are_offered_the_free_ones_first() {
        let d = drawing(Vec::new());
        let offers = Column::To.offers(&d);
        assert_eq!(offers.len(), d.panel.spots.len());
        let at = |text: &str| offers.iter().position(|(t, _)| t == text).unwrap();
        assert!(at("KF1:I4") < at("QA1:1"), "two conductors are in QA1:1");
        assert_eq!(offers[at("KF1:I4")].1, "free, common CI2 open");
        assert!(Column::Number.offers(&d).contains(&("201".into(), String::new())));
    }
}
