//! The plan: parts, conductors, program and faults, as data. A [`crate::Design`] is built from it.

use crate::fault::Fault;
use crate::part::Part;
use sealin_ladder::Program;
use std::collections::BTreeSet;
use std::fmt;

/// One end of a conductor: a terminal of a part, written `QA1:14`.
#[derive(Clone, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Terminal {
    /// Tag of the part.
    pub part: String,
    /// Name of the terminal.
    pub name: String,
}

impl Terminal {
    /// `part:name`.
    pub fn new(part: &str, name: &str) -> Self {
        Terminal { part: part.to_string(), name: name.to_string() }
    }

    /// Reads `QA1:14`. Returns `None` when there is not exactly one colon with text on both sides.
    pub fn parse(text: &str) -> Option<Self> {
        let (part, name) = text.trim().split_once(':')?;
        let (part, name) = (part.trim(), name.trim());
        (!part.is_empty() && !name.is_empty() && !name.contains(':')).then(|| Terminal::new(part, name))
    }
}

impl fmt::Display for Terminal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:{}", self.part, self.name)
    }
}

/// Insulation colours, IEC 60204-1 clause 13.2 and NFPA 79 clause 13.2.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Insulation {
    /// AC and DC power circuits.
    Black,
    /// AC control circuits.
    Red,
    /// DC control circuits.
    DarkBlue,
    /// Neutral.
    LightBlue,
    /// Protective conductor only.
    GreenYellow,
    /// Excepted circuits, live with the supply off.
    Orange,
    /// Grounded conductor of an AC circuit (NFPA 79).
    White,
    /// Grounded conductor of a DC circuit, white with a blue stripe (NFPA 79).
    WhiteBlue,
}

impl Insulation {
    /// All colours, in a fixed order.
    pub const ALL: [Insulation; 8] = [
        Insulation::Black,
        Insulation::Red,
        Insulation::DarkBlue,
        Insulation::LightBlue,
        Insulation::GreenYellow,
        Insulation::Orange,
        Insulation::White,
        Insulation::WhiteBlue,
    ];

    /// The word for the colour in files and on the schedule.
    pub fn word(self) -> &'static str {
        match self {
            Insulation::Black => "black",
            Insulation::Red => "red",
            Insulation::DarkBlue => "dark blue",
            Insulation::LightBlue => "light blue",
            Insulation::GreenYellow => "green-yellow",
            Insulation::Orange => "orange",
            Insulation::White => "white",
            Insulation::WhiteBlue => "white-blue",
        }
    }

    /// Reads the word.
    pub fn parse(word: &str) -> Option<Self> {
        Insulation::ALL.into_iter().find(|c| c.word() == word)
    }
}

/// A conductor between two terminals.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Conductor {
    /// Unique name, such as `C05`.
    pub id: String,
    /// One end.
    pub from: Terminal,
    /// The other end.
    pub to: Terminal,
    /// Cross-section, hundredths of mm².
    pub section_mm2_x100: u32,
    /// Insulation colour.
    pub colour: Insulation,
    /// Wire number on both ferrules: the potential; empty when unnumbered.
    pub number: String,
}

/// A cable of known length. Conductors that are in none have no length.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Cable {
    /// Reference designation.
    pub tag: String,
    /// Length, mm.
    pub length_mm: u32,
    /// Ids of its cores in the order in which they lie around its middle.
    pub cores: Vec<String>,
}

/// Parts, conductors, program and faults: everything that a bench is built from.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Plan {
    /// Parts, in any order.
    pub parts: Vec<Part>,
    /// Conductors, in any order.
    pub conductors: Vec<Conductor>,
    /// Cables of known length, in any order.
    pub cables: Vec<Cable>,
    /// The program in the controller, if any.
    pub program: Option<Program>,
    /// Faults in effect.
    pub faults: BTreeSet<Fault>,
}
