//! What a fitter would say about the wiring: pointed out, never blocked.
//!
//! Each rule is about the circuit and pure; the page has its own words, [`said()`] those of a report.

mod commons;
mod said;
#[cfg(test)]
mod tests;

use super::circuit::{Circuit, Class, Practice, is_link};
use commons::commons;
pub use said::said;
use sealin_core::part::{Kind, Part};
use sealin_core::plan::{Conductor, Insulation, Terminal};
use std::collections::{BTreeMap, BTreeSet};

/// Two conductors are the most that a terminal takes.
pub const MOST_IN_A_TERMINAL: usize = 2;

/// One remark.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Remark {
    /// More than two conductors in a terminal.
    Crowded {
        /// The terminal.
        terminal: Terminal,
        /// Conductors in it.
        conductors: usize,
        /// A terminal of the same potential with room, to go on from.
        go_on: Option<Terminal>,
    },
    /// A conductor joins two circuits that must stay apart.
    CircuitsJoined {
        /// Id of the conductor.
        conductor: String,
        /// One circuit.
        one: Class,
        /// The other.
        other: Class,
    },
    /// A conductor joins the two poles of a source.
    ShortCircuit {
        /// Id of the conductor.
        conductor: String,
        /// Tag of the source.
        source: String,
    },
    /// The insulation has the colour of another circuit.
    WrongColour {
        /// Id of the conductor.
        conductor: String,
        /// What it is.
        is: Insulation,
        /// What the circuit asks for.
        wanted: Insulation,
        /// The circuit.
        class: Class,
        /// Whose rule it is.
        practice: Practice,
    },
    /// The cross-section is unlike that of the potential, or of such circuits.
    WrongSection {
        /// Id of the conductor.
        conductor: String,
        /// What it is, hundredths of mm².
        is: u32,
        /// The smallest and the largest that is there, hundredths of mm².
        wanted: (u32, u32),
        /// The circuit.
        class: Class,
    },
    /// A conductor has no number.
    NoNumber {
        /// Id of the conductor.
        conductor: String,
        /// The number of the potential it joins, if there is one.
        wanted: Option<String>,
    },
    /// Conductors with different numbers are joined.
    TwoNumbers {
        /// The numbers.
        numbers: Vec<String>,
        /// The person's conductor that carries one of them.
        conductor: String,
        /// The number that the given conductors carry, if any.
        wanted: Option<String>,
    },
    /// Conductors with one number are not joined.
    TwoPotentials {
        /// The number.
        number: String,
        /// The person's conductor that carries it.
        conductor: String,
    },
    /// The common of a group of inputs has no way to the pole that it belongs to, though an input of the group is wired.
    InputCommonOpen {
        /// The common terminal.
        common: Terminal,
        /// First and last channel of the group.
        channels: (String, String),
        /// The pole, `0 V` or `+24 V`.
        pole: &'static str,
        /// It is joined to something, but not to that pole.
        elsewhere: bool,
    },
    /// The common of a group of outputs has no conductor, though an output of the group is wired.
    OutputCommonOpen {
        /// The common terminal.
        common: Terminal,
        /// First and last channel of the group.
        channels: (String, String),
    },
    /// Two conductors join the same two terminals.
    Doubled {
        /// Id of the later conductor.
        conductor: String,
        /// Id of the earlier one.
        beside: String,
    },
}

impl Remark {
    /// The conductor to show, if the remark is about one.
    pub fn conductor(&self) -> Option<&str> {
        match self {
            Remark::CircuitsJoined { conductor, .. }
            | Remark::ShortCircuit { conductor, .. }
            | Remark::WrongColour { conductor, .. }
            | Remark::WrongSection { conductor, .. }
            | Remark::NoNumber { conductor, .. }
            | Remark::TwoNumbers { conductor, .. }
            | Remark::TwoPotentials { conductor, .. }
            | Remark::Doubled { conductor, .. } => Some(conductor),
            _ => None,
        }
    }

    /// The terminal to show, if the remark is about one.
    pub fn terminal(&self) -> Option<&Terminal> {
        match self {
            Remark::Crowded { terminal, .. } => Some(terminal),
            Remark::InputCommonOpen { common, .. } | Remark::OutputCommonOpen { common, .. } => Some(common),
            _ => None,
        }
    }
}

/// All remarks, the dangerous ones first. Conductors come in the order in which they were made, `circuit` is that of all of
/// them. `reel` is what the job gives to a new conductor. `locked` tells the given conductors, which are not remarked upon.
pub fn remarks(
    parts: &[Part],
    conductors: &[Conductor],
    circuit: &Circuit,
    practice: Practice,
    reel: Option<(Insulation, u32)>,
    locked: &dyn Fn(&str) -> bool,
) -> Vec<Remark> {
    let own: Vec<&Conductor> =
        conductors.iter().filter(|c| !locked(&c.id) && circuit.has(&c.from) && circuit.has(&c.to)).collect();
    let mut all = Vec::new();
    for c in &own {
        all.extend(joins_what_must_not_be(parts, conductors, c));
    }
    all.extend(crowded(conductors, circuit));
    all.extend(commons(parts, conductors, circuit));
    let joined: BTreeSet<String> = all.iter().filter_map(|r| r.conductor().map(str::to_string)).collect();
    for c in own.iter().filter(|c| !joined.contains(&c.id)) {
        all.extend(wrong_colour(circuit, practice, c));
        all.extend(wrong_section(conductors, circuit, reel, locked, c));
    }
    all.extend(numbers(conductors, circuit, locked, &own));
    for c in &own {
        let ends = |c: &Conductor| BTreeSet::from([c.from.clone(), c.to.clone()]);
        let earlier = conductors.iter().take_while(|e| e.id != c.id).find(|e| ends(e) == ends(c));
        if let Some(earlier) = earlier {
            all.push(Remark::Doubled { conductor: c.id.clone(), beside: earlier.id.clone() });
        }
    }
    all
}

/// Circuits joined, or a source short-circuited, by this one conductor.
fn joins_what_must_not_be(parts: &[Part], conductors: &[Conductor], c: &Conductor) -> Option<Remark> {
    // What was there before it: the conductor that closes a bad way is the one to take out, not all along that way.
    let earlier: Vec<Conductor> = conductors.iter().take_while(|o| o.id != c.id).cloned().collect();
    let without = Circuit::new(parts, &earlier);
    if let (Some(one), Some(other)) = (without.class(&c.from), without.class(&c.to))
        && one != other
    {
        return Some(Remark::CircuitsJoined { conductor: c.id.clone(), one, other });
    }
    let poles = parts.iter().flat_map(|p| {
        let pairs: Vec<(&str, &str)> = match &p.kind {
            Kind::Supply(_) => vec![("L1", "L2"), ("L2", "L3"), ("L1", "L3")],
            Kind::Transformer(t) => vec![t.secondary().into()],
            Kind::DcSupply(_) => vec![("+", "-")],
            _ => Vec::new(),
        };
        pairs.into_iter().map(move |(a, b)| (Terminal::new(&p.tag, a), Terminal::new(&p.tag, b)))
    });
    for (a, b) in poles {
        let crossed = |x: &Terminal, y: &Terminal| {
            without.same_when_closed(x, &c.from) && without.same_when_closed(y, &c.to)
        };
        if crossed(&a, &b) || crossed(&b, &a) {
            return Some(Remark::ShortCircuit { conductor: c.id.clone(), source: a.part });
        }
    }
    None
}

fn crowded(conductors: &[Conductor], circuit: &Circuit) -> Vec<Remark> {
    let mut ends: BTreeMap<&Terminal, usize> = BTreeMap::new();
    for c in conductors {
        *ends.entry(&c.from).or_default() += 1;
        *ends.entry(&c.to).or_default() += 1;
    }
    let count = |t: &Terminal| ends.get(t).copied().unwrap_or(0);
    ends.iter()
        .filter(|&(t, &n)| n > MOST_IN_A_TERMINAL && circuit.has(t))
        .map(|(&t, &conductors)| Remark::Crowded {
            terminal: t.clone(),
            conductors,
            // On a terminal strip, for preference: that is what it is for.
            go_on: circuit
                .joined_to(t)
                .filter(|o| count(o) < MOST_IN_A_TERMINAL)
                .min_by_key(|o| (o.part != t.part, !o.part.starts_with('X'), count(o)))
                .cloned(),
        })
        .collect()
}

fn wrong_colour(circuit: &Circuit, practice: Practice, c: &Conductor) -> Option<Remark> {
    // Earthing a circuit may be done in its own colour or in green-yellow.
    let classes = [circuit.class(&c.from), circuit.class(&c.to)];
    if classes.contains(&Some(Class::Earth)) && classes.iter().flatten().any(|&class| class != Class::Earth) {
        return None;
    }
    let class = classes.into_iter().flatten().next()?;
    let wanted = class.colour(practice, circuit.is_grounded(&c.from) || circuit.is_grounded(&c.to));
    (c.colour != wanted).then(|| Remark::WrongColour {
        conductor: c.id.clone(),
        is: c.colour,
        wanted,
        class,
        practice,
    })
}

/// A cross-section outside of those that the given conductors of the potential have; where it has none, of those of all given
/// control circuits of its kind. Beside them that of the reel is right for its colour. What a power circuit needs depends on what
/// protects it, and a protective conductor goes with what it protects (IEC 60204-1 clause 8.2.2): neither is judged by others.
fn wrong_section(
    conductors: &[Conductor],
    circuit: &Circuit,
    reel: Option<(Insulation, u32)>,
    locked: &dyn Fn(&str) -> bool,
    c: &Conductor,
) -> Option<Remark> {
    let class = circuit.class(&c.from).or_else(|| circuit.class(&c.to))?;
    if class == Class::Earth || circuit.is_earth(&c.from) || circuit.is_earth(&c.to) {
        return None;
    }
    let range = |of: &dyn Fn(&Conductor) -> bool| {
        let sections = || conductors.iter().filter(|g| locked(&g.id) && of(g)).map(|g| g.section_mm2_x100);
        Some((sections().min()?, sections().max()?))
    };
    let here = |g: &Conductor| circuit.same(&g.from, &c.from) || circuit.same(&g.from, &c.to);
    let alike = |g: &Conductor| class != Class::Power && circuit.class(&g.from) == Some(class);
    let (least, most) = range(&here).or_else(|| range(&alike))?;
    let (least, most) = match reel {
        Some((colour, section)) if colour == c.colour => (least.min(section), most.max(section)),
        _ => (least, most),
    };
    let is = c.section_mm2_x100;
    (is < least || is > most).then(|| Remark::WrongSection {
        conductor: c.id.clone(),
        is,
        wanted: (least, most),
        class,
    })
}

fn numbers(
    conductors: &[Conductor],
    circuit: &Circuit,
    locked: &dyn Fn(&str) -> bool,
    own: &[&Conductor],
) -> Vec<Remark> {
    let mut all = Vec::new();
    let earthed = |c: &Conductor| circuit.is_earth(&c.from) && circuit.is_earth(&c.to);
    let stretch = |c: &Conductor| {
        if circuit.is_earth(&c.from) { circuit.stretch(&c.to) } else { circuit.stretch(&c.from) }
    };
    for c in own.iter().filter(|c| c.number.is_empty() && !earthed(c)) {
        let wanted = circuit.numbers(&c.from).chain(circuit.numbers(&c.to)).next().map(str::to_string);
        all.push(Remark::NoNumber { conductor: c.id.clone(), wanted });
    }
    let mut told = BTreeSet::new();
    for c in own.iter().filter(|c| !c.number.is_empty()) {
        let Some(here) = stretch(c) else { continue };
        let Some(found) = circuit.numbered().get(&here).filter(|found| found.len() > 1) else { continue };
        let given: BTreeSet<&str> = conductors
            .iter()
            .filter(|g| locked(&g.id) && !g.number.is_empty() && stretch(g) == Some(here))
            .map(|g| g.number.as_str())
            .collect();
        // Where given conductors fix the number, the fault lies with those that carry another.
        if given.contains(c.number.as_str()) && given.len() == 1 {
            continue;
        }
        if told.insert((here, c.number.clone())) {
            all.push(Remark::TwoNumbers {
                numbers: found.iter().cloned().collect(),
                conductor: c.id.clone(),
                wanted: if given.len() == 1 { given.first().map(|n| n.to_string()) } else { None },
            });
        }
    }
    let mut places: BTreeMap<&str, BTreeSet<usize>> = BTreeMap::new();
    for c in conductors.iter().filter(|c| !c.number.is_empty() && !is_link(c)) {
        places.entry(&c.number).or_default().extend(stretch(c));
    }
    let mut told = BTreeSet::new();
    for c in own {
        if places.get(c.number.as_str()).is_some_and(|at| at.len() > 1) && told.insert(c.number.clone()) {
            all.push(Remark::TwoPotentials { number: c.number.clone(), conductor: c.id.clone() });
        }
    }
    all
}
