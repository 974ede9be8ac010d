//! The drawing of the program: the text read, or the last text that could be read while the present one has errors.

use sealin_ladder::{Diagnostic, Program, Reading, Remark, Severity};
use std::ops::Range;
use std::rc::Rc;

use super::places;

/// A text that could be read, and the program in it.
#[derive(Clone, Debug, PartialEq)]
pub struct Sketch {
    /// The text.
    pub source: String,
    /// What was read of it.
    pub reading: Reading,
    /// What a teacher would say.
    pub remarks: Vec<Remark>,
}

impl Sketch {
    /// Reads a text; beside what could be read, whether it has no error.
    pub fn read(source: &str) -> (Sketch, bool) {
        let reading = sealin_ladder::read(source);
        let good = reading.diagnostics.iter().all(|d| d.severity != Severity::Error);
        let remarks = if good { sealin_ladder::remarks(&reading.program) } else { Vec::new() };
        (Sketch { source: source.to_string(), reading, remarks }, good)
    }

    /// The program.
    pub fn program(&self) -> &Program {
        &self.reading.program
    }

    /// Errors and remarks of the reader.
    pub fn diagnostics(&self) -> &[Diagnostic] {
        &self.reading.diagnostics
    }

    /// Bytes of the statement of a rung.
    pub fn rung_range(&self, rung: usize) -> Option<Range<usize>> {
        let place = self.reading.rung_places.get(rung)?;
        Some(place.start as usize..place.end as usize)
    }

    /// Bytes of what is in hand: the contact, or for the coil the whole statement.
    pub fn hand_range(&self, hand: Hand) -> Option<Range<usize>> {
        let place = self.reading.rung_places.get(hand.rung)?;
        match hand.contact {
            Some(contact) => places::contact_ranges(&self.source, place).get(contact as usize).cloned(),
            None => self.rung_range(hand.rung),
        }
    }

    /// What the caret is in.
    pub fn hand_at(&self, at: usize) -> Option<Hand> {
        let rung = places::rung_at(&self.reading.rung_places, at)?;
        let contact = places::contact_at(&self.source, &self.reading.rung_places[rung], at);
        Some(Hand { rung, contact: contact.map(|n| n as u32) })
    }

    /// Whether the controller runs this rung, so that its bits are those of the drawing.
    pub fn runs(&self, rung: usize, controller: &Program) -> bool {
        self.program().rungs.get(rung).is_some_and(|r| controller.rungs.contains(r))
    }
}

/// What is in hand on the drawing: a contact by its index, or the output of a rung.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Hand {
    /// Index of the rung.
    pub rung: usize,
    /// Index of the contact; none for the coil or block.
    pub contact: Option<u32>,
}

/// How the sheet and the controller stand to each other.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// The controller runs what is on the sheet.
    Same,
    /// It runs a program that does the same; words or comments differ.
    SameMeaning,
    /// It runs something else.
    Differs,
    /// The sheet has errors and cannot be transferred.
    Wrong,
}

/// Compares the program on the sheet with the one in the controller.
pub fn standing(sheet: &Rc<Sketch>, good: bool, transferred: &str) -> Standing {
    if !good {
        return Standing::Wrong;
    }
    if sheet.source == transferred {
        return Standing::Same;
    }
    let bytes = |program: &Program| {
        let mut bytes = Vec::new();
        sealin_ladder::canonical_bytes(program, &mut bytes);
        bytes
    };
    match sealin_ladder::parse(transferred) {
        Ok(running) if bytes(&running) == bytes(sheet.program()) => Standing::SameMeaning,
        _ => Standing::Differs,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SOURCE: &str = "PROGRAM p VAR a : BOOL; b : BOOL; END_VAR b := a AND NOT b; END_PROGRAM";

    fn sketch(source: &str) -> (Rc<Sketch>, bool) {
        let (sketch, good) = Sketch::read(source);
        (Rc::new(sketch), good)
    }

    #[test]
    fn hand_and_caret_find_each_other() {
        let (sketch, _) = sketch(SOURCE);
        let hand = Hand { rung: 0, contact: Some(1) };
        let range = sketch.hand_range(hand).unwrap();
        assert_eq!(&SOURCE[range.clone()], "NOT b");
        assert_eq!(sketch.hand_at(range.end), Some(hand));
        assert_eq!(&SOURCE[sketch.hand_range(Hand { rung: 0, contact: None }).unwrap()], "b := a AND NOT b;");
        assert_eq!(sketch.hand_range(Hand { rung: 0, contact: Some(2) }), None);
    }

    #[test]
    fn the_sheet_is_compared_by_text_and_by_meaning() {
        let at = |sheet: &str, running: &str| {
            let (sketch, good) = sketch(sheet);
            standing(&sketch, good, running)
        };
        assert_eq!(at(SOURCE, SOURCE), Standing::Same);
        assert_eq!(at(SOURCE, &SOURCE.replace("b := a", "(* x *) b :=  a")), Standing::SameMeaning);
        assert_eq!(at(SOURCE, &SOURCE.replace("NOT b", "b")), Standing::Differs);
        assert_eq!(at(SOURCE, ""), Standing::Differs);
        assert_eq!(at("b := ", SOURCE), Standing::Wrong);
    }
}
