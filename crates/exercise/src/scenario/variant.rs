//! Variants: what a seed deals out anew for each learner, so that a copied I/O list, schedule or program does not fit.
//!
//! A scenario is read as it is written, and what is wrong with it is told of that. Then [`Scenario::dealt`] gives it as it is for
//! one seed; all that works with a scenario sees one of these and need not know that there are others.

mod deal;
mod names;
mod read;
mod texts;
mod words;

use super::{How, Scenario, Wires};
use names::Names;
pub(super) use read::variants;
use sealin_core::part::{Controller, Kind};
use std::rc::Rc;
use std::sync::Arc;

/// What a seed deals out anew.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Variant {
    /// What it is.
    pub kind: VariantKind,
    /// Terminals as `KF1:I0`, or wire numbers.
    pub among: Vec<String>,
    /// Lowest and highest wire number that may be drawn; zeros for terminals, which change places with each other.
    pub range: (u32, u32),
}

/// What a variant deals out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum VariantKind {
    /// Terminals of one group of inputs, with their addresses.
    Inputs,
    /// Terminals of one group of outputs, with their addresses.
    Outputs,
    /// Wire numbers.
    Numbers,
}

impl VariantKind {
    /// All of them.
    pub const ALL: [VariantKind; 3] = [VariantKind::Inputs, VariantKind::Outputs, VariantKind::Numbers];

    /// The word in files.
    pub fn word(self) -> &'static str {
        match self {
            VariantKind::Inputs => "inputs",
            VariantKind::Outputs => "outputs",
            VariantKind::Numbers => "numbers",
        }
    }
}

/// The scenario as it is written, and which of its forms this one is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Dealt {
    /// Shared between threads, as the scenario itself may be.
    written: Arc<Scenario>,
    seed: u64,
    names: Names,
}

impl Scenario {
    /// The scenario as it is for a seed; seed 0 leaves every name as it is written. The same as before where it has no variants.
    pub fn dealt(self: &Rc<Self>, seed: u64) -> Rc<Scenario> {
        match &self.dealt {
            Some(dealt) if dealt.seed != seed => Rc::new(form(&dealt.written, seed)),
            _ => Rc::clone(self),
        }
    }

    /// The seed for which it was dealt out; 0 where it has no variants, or is as it was written.
    pub fn seed(&self) -> u64 {
        self.dealt.as_ref().map_or(0, |dealt| dealt.seed)
    }

    /// A program for the scenario as it is written, with the names of this form.
    pub fn program_dealt(&self, program: &str) -> String {
        self.names_dealt().map_or_else(|| program.to_string(), |names| names.words(program))
    }

    /// Wires for the scenario as it is written, with the names of this form.
    pub fn wires_dealt(&self, wires: Wires) -> Wires {
        match self.names_dealt() {
            Some(names) => names.wires(&wires),
            None => wires,
        }
    }

    /// How its names differ from those in its file; none where they do not.
    pub(crate) fn names_dealt(&self) -> Option<&Names> {
        self.dealt.as_ref().map(|dealt| &dealt.names).filter(|names| !names.is_empty())
    }
}

/// A scenario that was just read in its form for seed 0: as it is written, without the marks around names in its texts. One in which
/// a fault is drawn is dealt out too, so that it knows its seed.
pub(super) fn as_written(s: Scenario) -> Scenario {
    let drawn = s.fault_finding.as_ref().is_some_and(|f| f.how == How::Drawn);
    if s.variants.is_empty() && !drawn { s } else { form(&Arc::new(s), 0) }
}

fn form(written: &Arc<Scenario>, seed: u64) -> Scenario {
    let names = match seed {
        0 => Names::of_all(written, &written.variants),
        seed => deal::names(written, seed),
    };
    let mut s = Scenario::clone(written);
    names.rename(&mut s);
    s.dealt = Some(Dealt { written: Arc::clone(written), seed, names });
    s
}

/// The controller, if there is exactly one.
fn controller(s: &Scenario) -> Option<(&str, &Controller)> {
    let mut all = s.parts.iter().filter_map(|p| match &p.kind {
        Kind::Controller(c) => Some((p.tag.as_str(), c)),
        _ => None,
    });
    all.next().filter(|_| all.next().is_none())
}
