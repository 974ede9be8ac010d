//! The drawing of the program: the text read, or the last text that could be read while the present one has errors.

use sealin_ladder::{Diagnostic, Program, Reading, Remark, Severity};
use std::ops::Range;
use std::rc::Rc;

use super::places;

/// A text that could be read, and the program in it.
#[derive(Clone, Debug, PartialEq, Eq)]
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

    /// Bytes of what is in hand: contacts, or else the whole statement.
    pub fn hand_range(&self, hand: Hand) -> Option<Range<usize>> {
        let place = self.reading.rung_places.get(hand.rung)?;
        match hand.stretch() {
            Some((first, last)) => {
                let ranges = places::contact_ranges(&self.source, place);
                let (first, last) = (ranges.get(first as usize)?, ranges.get(last as usize)?);
                Some(first.start..last.end)
            }
            None => self.rung_range(hand.rung),
        }
    }

    /// What the caret is in.
    pub fn hand_at(&self, at: usize) -> Option<Hand> {
        let rung = places::rung_at(&self.reading.rung_places, at)?;
        let contact = places::contact_at(&self.source, &self.reading.rung_places[rung], at);
        Some(Hand::at(rung, contact.map_or(Part::Output, |n| Part::Contact(n as u32))))
    }

    /// Index of this rung in the controller's program, if it runs it: then its bits are those of the drawing.
    pub fn runs(&self, rung: usize, controller: &Program) -> Option<u32> {
        let own = self.program().rungs.get(rung)?;
        let here = Some(rung).filter(|n| controller.rungs.get(*n) == Some(own));
        here.or_else(|| controller.rungs.iter().position(|r| r == own)).map(|n| n as u32)
    }
}

/// What is in hand on the drawing: a part of a rung, or the contacts from one to another.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Hand {
    /// Index of the rung.
    pub rung: usize,
    /// The part.
    pub part: Part,
    /// Contact to which the stretch reaches that begins at the part, a contact.
    pub to: Option<u32>,
}

/// A part of a rung.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Part {
    /// The whole rung.
    Rung,
    /// A contact, by its index.
    Contact(u32),
    /// The coil or block.
    Output,
    /// An input of a block, counted from 0 after the first.
    Pin(usize),
    /// The preset of a block.
    Preset,
}

impl Hand {
    /// One part.
    pub fn at(rung: usize, part: Part) -> Hand {
        Hand { rung, part, to: None }
    }

    /// The contact that is in hand, or at which the stretch begins.
    pub fn contact(self) -> Option<u32> {
        match self.part {
            Part::Contact(index) => Some(index),
            _ => None,
        }
    }

    /// First and last contact of what is in hand.
    pub fn stretch(self) -> Option<(u32, u32)> {
        let from = self.contact()?;
        let to = self.to.unwrap_or(from);
        Some((from.min(to), from.max(to)))
    }

    /// Whether a contact is in hand, alone or in a stretch.
    pub fn holds(self, contact: u32) -> bool {
        self.stretch().is_some_and(|(first, last)| (first..=last).contains(&contact))
    }
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
        let hand = Hand::at(0, Part::Contact(1));
        let range = sketch.hand_range(hand).unwrap();
        assert_eq!(&SOURCE[range.clone()], "NOT b");
        assert_eq!(sketch.hand_at(range.end), Some(hand));
        assert_eq!(&SOURCE[sketch.hand_range(Hand::at(0, Part::Output)).unwrap()], "b := a AND NOT b;");
        assert_eq!(sketch.hand_range(Hand::at(0, Part::Contact(2))), None);
        let both = Hand { to: Some(0), ..hand };
        assert_eq!(&SOURCE[sketch.hand_range(both).unwrap()], "a AND NOT b");
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
