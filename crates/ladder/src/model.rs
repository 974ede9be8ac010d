//! The program as data: variables, rungs, networks of contacts, outputs.

use std::fmt;

use crate::block::{Block, Preset};
use crate::time::print_time;

/// A program: its variables and its rungs, top to bottom, in the order of evaluation (IEC 61131-3, ladder diagram).
///
/// [`parse`](crate::parse()) gives programs in *normal form*, and for those `parse(print(p)) == p`: names are declared
/// and of the right kind, a group holds at least two members and none of its own sort ([`Network::normal`]), comments
/// are trimmed line by line.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Program {
    /// Name after `PROGRAM`.
    pub name: String,
    /// What is written about the whole, before the first declaration. Lines are separated by `\n`.
    pub comment: String,
    /// Variables in the order of declaration.
    pub vars: Vec<Var>,
    /// Rungs in the order of evaluation.
    pub rungs: Vec<Rung>,
}

/// A declared variable.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Var {
    /// Name as its declaration spells it. Names differ by more than upper and lower case (IEC 61131-3, identifiers).
    pub name: String,
    /// Address after `AT`; none for a variable without a fixed place.
    pub address: Option<Address>,
    /// What sort of thing it is.
    pub kind: VarKind,
    /// Value after a cold restart.
    pub initial: bool,
    /// Whether a warm restart keeps the value (`VAR RETAIN`).
    pub retain: bool,
    /// What is written beside the declaration. Lines are separated by `\n`.
    pub comment: String,
}

/// What sort of thing a variable is.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Hash, PartialOrd, Ord)]
pub enum VarKind {
    /// One bit, `BOOL`.
    Bool,
    /// An instance of a standard function block.
    Block(Block),
}

impl VarKind {
    /// The word for it in a declaration.
    pub fn word(self) -> &'static str {
        match self {
            VarKind::Bool => "BOOL",
            VarKind::Block(block) => block.word(),
        }
    }
}

/// A directly represented bit, as `%IX0.5` (IEC 61131-3, directly represented variables).
#[derive(Clone, Copy, PartialEq, Eq, Debug, Hash, PartialOrd, Ord)]
pub struct Address {
    /// Input, output or memory.
    pub area: Area,
    /// Byte: 0 to 7 for inputs and outputs, 0 to 255 for memory.
    pub byte: u8,
    /// Bit in the byte, 0 to 7.
    pub bit: u8,
}

impl Address {
    /// Highest byte of the input and of the output image: 64 bits each.
    pub const MAX_IMAGE_BYTE: u8 = 7;

    /// Place in a 64-bit image, `byte * 8 + bit`; none for memory bits and beyond the image.
    pub fn image_bit(self) -> Option<u32> {
        let in_image = self.area != Area::Memory && self.byte <= Self::MAX_IMAGE_BYTE && self.bit <= 7;
        in_image.then(|| u32::from(self.byte) * 8 + u32::from(self.bit))
    }
}

impl fmt::Display for Address {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "%{}X{}.{}", self.area.letter(), self.byte, self.bit)
    }
}

/// Where an address lies.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Hash, PartialOrd, Ord)]
pub enum Area {
    /// Input image, `%I`.
    Input,
    /// Output image, `%Q`.
    Output,
    /// Memory, `%M`.
    Memory,
}

impl Area {
    /// The letter in an address.
    pub fn letter(self) -> char {
        match self {
            Area::Input => 'I',
            Area::Output => 'Q',
            Area::Memory => 'M',
        }
    }
}

/// One rung: a network of contacts and the output it drives.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Rung {
    /// What is written about it. Lines are separated by `\n`.
    pub comment: String,
    /// The contacts, from the left rail to the output: to a coil, or to the first input of a block.
    pub logic: Network,
    /// What is driven.
    pub output: Output,
}

impl Rung {
    /// The networks of the rung in reading order: the one on its line, then those of a block's further inputs.
    pub fn networks(&self) -> impl Iterator<Item = &Network> {
        std::iter::once(&self.logic).chain(self.output.further().iter().flatten())
    }

    /// The number of contacts in all its networks.
    pub fn contacts(&self) -> u32 {
        self.networks().map(Network::contacts).sum()
    }

    /// Calls `visit` with every contact in reading order: network by network, branches top to bottom, within a branch
    /// left to right. The count of calls before one is that contact's index in [`layout`](crate::layout) and
    /// [`edit`](crate::edit).
    pub fn each_contact<'a>(&'a self, visit: &mut dyn FnMut(&'a Contact)) {
        self.networks().for_each(|network| network.each_contact(visit));
    }
}

/// A series-parallel network of contacts.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Network {
    /// A contact.
    Contact(Contact),
    /// One after the other: passes when all pass. Empty passes.
    Series(Vec<Network>),
    /// Side by side, the first on top: passes when any passes. Empty does not pass.
    Parallel(Vec<Network>),
    /// A plain link, `TRUE`.
    True,
    /// A gap, `FALSE`.
    False,
}

/// What passes or blocks in a network.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Contact {
    /// A contact of a bit.
    Bit {
        /// The bit it reads: a variable, or a pin of a block as `rest.Q`.
        var: String,
        /// When it passes.
        test: Test,
    },
    /// A comparison of a timer's or counter's value, which passes when it holds.
    Compare(Comparison),
}

impl Contact {
    /// The names that it reads: the bit, or the values that it compares.
    pub fn names(&self) -> impl Iterator<Item = &str> {
        let (first, second) = match self {
            Contact::Bit { var, .. } => (var, None),
            Contact::Compare(Comparison { value, with: Operand::Value(other), .. }) => (value, Some(other)),
            Contact::Compare(Comparison { value, .. }) => (value, None),
        };
        std::iter::once(first.as_str()).chain(second.map(String::as_str))
    }

    /// The contact of the same names that passes on the opposite: normally open and closed, rising and falling edge, a
    /// comparison and its opposite.
    pub fn opposite(self) -> Contact {
        match self {
            Contact::Bit { var, test } => Contact::Bit { var, test: test.opposite() },
            Contact::Compare(comparison) => {
                let relation = comparison.relation.opposite();
                Contact::Compare(Comparison { relation, ..comparison })
            }
        }
    }

    /// The bit that a contact of a bit reads.
    pub fn bit(&self) -> Option<&str> {
        match self {
            Contact::Bit { var, .. } => Some(var),
            Contact::Compare(_) => None,
        }
    }
}

/// When a contact of a bit passes (IEC 61131-3, ladder diagram, contacts).
#[derive(Clone, Copy, PartialEq, Eq, Debug, Hash, PartialOrd, Ord)]
pub enum Test {
    /// Normally open: when the bit is 1.
    Open,
    /// Normally closed: when the bit is 0.
    Closed,
    /// Rising edge: in the scan in which the bit is 1 and was 0 when this contact was last evaluated; as R_TRIG.
    Rising,
    /// Falling edge: in the scan in which the bit is 0 and was 1 when this contact was last evaluated; as F_TRIG, which
    /// also passes in the first scan after a cold restart if the bit is 0 (IEC 61131-3, F_TRIG).
    Falling,
}

impl Test {
    /// Normally open and closed, rising and falling: the other of the two.
    pub fn opposite(self) -> Test {
        match self {
            Test::Open => Test::Closed,
            Test::Closed => Test::Open,
            Test::Rising => Test::Falling,
            Test::Falling => Test::Rising,
        }
    }

    /// Whether it remembers the bit from scan to scan.
    pub fn is_edge(self) -> bool {
        matches!(self, Test::Rising | Test::Falling)
    }
}

/// A comparison as a contact: `parts.CV >= 5`, `rest.ET < T#2s`.
#[derive(Clone, PartialEq, Eq, Debug, Hash, PartialOrd, Ord)]
pub struct Comparison {
    /// The value on the left: a pin of a block as `parts.CV` or `rest.ET`.
    pub value: String,
    /// How they are compared.
    pub relation: Relation,
    /// What it is compared with, of the same sort as the value: a count or a duration.
    pub with: Operand,
}

/// The standard comparisons (IEC 61131-3, comparison functions).
#[derive(Clone, Copy, PartialEq, Eq, Debug, Hash, PartialOrd, Ord)]
pub enum Relation {
    /// `<`, LT.
    Less,
    /// `<=`, LE.
    AtMost,
    /// `>`, GT.
    Greater,
    /// `>=`, GE.
    AtLeast,
    /// `=`, EQ.
    Equal,
    /// `<>`, NE.
    NotEqual,
}

impl Relation {
    /// All of them.
    pub const ALL: [Relation; 6] = [
        Relation::Less,
        Relation::AtMost,
        Relation::Greater,
        Relation::AtLeast,
        Relation::Equal,
        Relation::NotEqual,
    ];

    /// Its operator in structured text.
    pub fn sign(self) -> &'static str {
        match self {
            Relation::Less => "<",
            Relation::AtMost => "<=",
            Relation::Greater => ">",
            Relation::AtLeast => ">=",
            Relation::Equal => "=",
            Relation::NotEqual => "<>",
        }
    }

    /// Its function's name in the standard, as `GE`.
    pub fn function(self) -> &'static str {
        match self {
            Relation::Less => "LT",
            Relation::AtMost => "LE",
            Relation::Greater => "GT",
            Relation::AtLeast => "GE",
            Relation::Equal => "EQ",
            Relation::NotEqual => "NE",
        }
    }

    /// The one that holds exactly when this does not.
    pub fn opposite(self) -> Relation {
        match self {
            Relation::Less => Relation::AtLeast,
            Relation::AtMost => Relation::Greater,
            Relation::Greater => Relation::AtMost,
            Relation::AtLeast => Relation::Less,
            Relation::Equal => Relation::NotEqual,
            Relation::NotEqual => Relation::Equal,
        }
    }

    /// The one that says the same with its sides changed over.
    pub fn mirrored(self) -> Relation {
        match self {
            Relation::Less => Relation::Greater,
            Relation::AtMost => Relation::AtLeast,
            Relation::Greater => Relation::Less,
            Relation::AtLeast => Relation::AtMost,
            Relation::Equal | Relation::NotEqual => self,
        }
    }

    /// Whether it holds.
    pub fn holds(self, left: i64, right: i64) -> bool {
        match self {
            Relation::Less => left < right,
            Relation::AtMost => left <= right,
            Relation::Greater => left > right,
            Relation::AtLeast => left >= right,
            Relation::Equal => left == right,
            Relation::NotEqual => left != right,
        }
    }
}

/// What a value is compared with.
#[derive(Clone, PartialEq, Eq, Debug, Hash, PartialOrd, Ord)]
pub enum Operand {
    /// A figure.
    Constant(Constant),
    /// Another value: a pin of a block.
    Value(String),
}

/// A figure in a program.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Hash, PartialOrd, Ord)]
pub enum Constant {
    /// A duration, `TIME`, in milliseconds, at most [`MAX_TIME_MS`](crate::MAX_TIME_MS).
    Time(u32),
    /// A count, `INT`.
    Count(i16),
}

impl Constant {
    /// Of what sort it is.
    pub fn sort(self) -> Preset {
        match self {
            Constant::Time(_) => Preset::Time,
            Constant::Count(_) => Preset::Count,
        }
    }

    /// Its milliseconds or its count.
    pub(crate) fn value(self) -> i32 {
        match self {
            Constant::Time(time_ms) => i32::try_from(time_ms).unwrap_or(i32::MAX),
            Constant::Count(count) => count.into(),
        }
    }
}

impl fmt::Display for Constant {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Constant::Time(time_ms) => f.write_str(&print_time(*time_ms)),
            Constant::Count(count) => write!(f, "{count}"),
        }
    }
}

impl fmt::Display for Operand {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Operand::Constant(figure) => write!(f, "{figure}"),
            Operand::Value(name) => f.write_str(name),
        }
    }
}

impl Network {
    /// A contact of a bit.
    pub fn bit(var: impl Into<String>, test: Test) -> Self {
        Network::Contact(Contact::Bit { var: var.into(), test })
    }

    /// A normally open contact of `var`.
    pub fn open(var: impl Into<String>) -> Self {
        Network::bit(var, Test::Open)
    }

    /// A normally closed contact of `var`.
    pub fn closed(var: impl Into<String>) -> Self {
        Network::bit(var, Test::Closed)
    }

    /// The same network in normal form: groups of one are replaced by their member, groups of none by a link or a
    /// gap, and a group inside a group of its own sort is merged into it. The meaning and the order of the contacts
    /// stay.
    pub fn normal(self) -> Self {
        match self {
            Network::Series(parts) => {
                let mut flat = Vec::with_capacity(parts.len());
                for part in parts {
                    match part.normal() {
                        Network::Series(inner) => flat.extend(inner),
                        other => flat.push(other),
                    }
                }
                single(flat, Network::True, Network::Series)
            }
            Network::Parallel(parts) => {
                let mut flat = Vec::with_capacity(parts.len());
                for part in parts {
                    match part.normal() {
                        Network::Parallel(inner) => flat.extend(inner),
                        other => flat.push(other),
                    }
                }
                single(flat, Network::False, Network::Parallel)
            }
            leaf => leaf,
        }
    }

    /// The number of contacts.
    pub fn contacts(&self) -> u32 {
        match self {
            Network::Contact(_) => 1,
            Network::Series(parts) | Network::Parallel(parts) => parts.iter().map(Network::contacts).sum(),
            Network::True | Network::False => 0,
        }
    }

    /// Calls `visit` with every contact in reading order: branches top to bottom, within a branch left to right.
    pub fn each_contact<'a>(&'a self, visit: &mut dyn FnMut(&'a Contact)) {
        match self {
            Network::Contact(contact) => visit(contact),
            Network::Series(parts) | Network::Parallel(parts) => {
                for part in parts {
                    part.each_contact(visit);
                }
            }
            Network::True | Network::False => {}
        }
    }
}

fn single(mut parts: Vec<Network>, none: Network, many: fn(Vec<Network>) -> Network) -> Network {
    match parts.len() {
        0 => none,
        1 => parts.swap_remove(0),
        _ => many(parts),
    }
}

/// What a rung drives.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Output {
    /// A coil: the bit becomes what the rung passes. `q := expr;`
    Coil {
        /// The bit written.
        var: String,
    },
    /// A negated coil: the bit becomes the opposite. `q := NOT (expr);`
    Negated {
        /// The bit written.
        var: String,
    },
    /// A set coil: the bit becomes 1 when the rung passes, else it stays. `IF expr THEN q := TRUE; END_IF;`
    Set {
        /// The bit written.
        var: String,
    },
    /// A reset coil: the bit becomes 0 when the rung passes, else it stays. `IF expr THEN q := FALSE; END_IF;`
    Reset {
        /// The bit written.
        var: String,
    },
    /// A rising-edge coil: the bit is 1 in the scan in which the rung passes and did not in the scan before, else 0.
    Rising {
        /// The bit written.
        var: String,
    },
    /// A falling-edge coil: the bit is 1 in the scan in which the rung does not pass and did in the scan before, else 0;
    /// as with F_TRIG also in the first scan after a cold restart in which it does not pass.
    Falling {
        /// The bit written.
        var: String,
    },
    /// A function block. `rest(IN := expr, PT := T#200ms);`
    Block(Call),
}

/// The call of a function block, whose first input is what the rung passes.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Call {
    /// The variable of kind [`VarKind::Block`].
    pub instance: String,
    /// What block it is.
    pub block: Block,
    /// What its further inputs are given, in the order of [`Block::inputs`] without the first; none for one that is
    /// left open and so stays 0.
    pub further: Vec<Option<Network>>,
    /// Its preset time `PT` or count `PV`; none exactly for a block without ([`Block::preset`]).
    pub preset: Option<Constant>,
}

impl Call {
    /// The call of a timer.
    pub fn timer(instance: impl Into<String>, block: Block, preset_ms: u32) -> Self {
        Call {
            instance: instance.into(),
            block,
            further: Vec::new(),
            preset: Some(Constant::Time(preset_ms)),
        }
    }
}

impl Output {
    /// The variable that is driven: the coil's bit or the block's instance.
    pub fn var(&self) -> &str {
        match self {
            Output::Coil { var }
            | Output::Negated { var }
            | Output::Set { var }
            | Output::Reset { var }
            | Output::Rising { var }
            | Output::Falling { var } => var,
            Output::Block(call) => &call.instance,
        }
    }

    /// What a block's further inputs are given ([`Call::further`]); a coil has none.
    pub fn further(&self) -> &[Option<Network>] {
        match self {
            Output::Block(call) => &call.further,
            _ => &[],
        }
    }

    /// The names of the bits that it writes: the coil's bit, or the block's inputs and outputs as `rest.IN`.
    pub fn written(&self) -> Vec<String> {
        match self {
            Output::Block(Call { instance, block, .. }) => {
                block.bits().map(|pin| format!("{instance}.{pin}")).collect()
            }
            coil => vec![coil.var().to_owned()],
        }
    }
}
