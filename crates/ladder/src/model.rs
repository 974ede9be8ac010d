//! The program as data: variables, rungs, networks of contacts, outputs.

use std::fmt;

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
    /// An instance of the on-delay timer, `TON`.
    Ton,
}

impl VarKind {
    /// The word for it in a declaration.
    pub fn word(self) -> &'static str {
        match self {
            VarKind::Bool => "BOOL",
            VarKind::Ton => "TON",
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
    /// The contacts, from the left rail to the output.
    pub logic: Network,
    /// What is driven.
    pub output: Output,
}

/// A series-parallel network of contacts.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Network {
    /// A contact: normally open passes when its bit is 1, normally closed (`negated`) when its bit is 0.
    Contact {
        /// The bit it reads: a variable, or a pin of a block as `rest.Q`.
        var: String,
        /// Whether it is a normally closed contact.
        negated: bool,
    },
    /// One after the other: passes when all pass. Empty passes.
    Series(Vec<Network>),
    /// Side by side, the first on top: passes when any passes. Empty does not pass.
    Parallel(Vec<Network>),
    /// A plain link, `TRUE`.
    True,
    /// A gap, `FALSE`.
    False,
}

impl Network {
    /// A normally open contact of `var`.
    pub fn open(var: impl Into<String>) -> Self {
        Network::Contact { var: var.into(), negated: false }
    }

    /// A normally closed contact of `var`.
    pub fn closed(var: impl Into<String>) -> Self {
        Network::Contact { var: var.into(), negated: true }
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
            Network::Contact { .. } => 1,
            Network::Series(parts) | Network::Parallel(parts) => parts.iter().map(Network::contacts).sum(),
            Network::True | Network::False => 0,
        }
    }

    /// Calls `visit` with every contact's bit and whether it is normally closed, in reading order: branches top to
    /// bottom, within a branch left to right. The count of calls before one is that contact's index in
    /// [`layout`](crate::layout) and [`edit`](crate::edit).
    pub fn each_contact<'a>(&'a self, visit: &mut dyn FnMut(&'a str, bool)) {
        match self {
            Network::Contact { var, negated } => visit(var, *negated),
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
    /// An on-delay timer whose `IN` is what the rung passes. `rest(IN := expr, PT := T#200ms);`
    Ton {
        /// The variable of kind [`VarKind::Ton`].
        instance: String,
        /// Preset time `PT` in milliseconds, at most [`MAX_TIME_MS`](crate::MAX_TIME_MS).
        preset_ms: u32,
    },
}

impl Output {
    /// The variable that is driven: the coil's bit or the block's instance.
    pub fn var(&self) -> &str {
        match self {
            Output::Coil { var } | Output::Negated { var } | Output::Set { var } | Output::Reset { var } => {
                var
            }
            Output::Ton { instance, .. } => instance,
        }
    }
}
