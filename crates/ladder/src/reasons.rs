//! Why a bit of the program is 0 or 1 after the last scan.
//!
//! The memory knows what the scan left, not what it found. A bit that a rung reads before the scan writes it had the
//! value of the scan before; such values are worked out here: the scan must have led from them to what is there now.
//! Where more than one set of old values would, the reason says that it is not sure.

use std::collections::BTreeMap;

use crate::compiled::{Compiled, Memory};
use crate::model::{Address, Area, Network, Output, Program, VarKind};

/// Why a bit has its value.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Reason {
    /// The input image gave it.
    Input(Address),
    /// No rung writes it: it has its initial value, or what a restart kept.
    Unwritten,
    /// The memory does not follow from any scan of this program: it has not run since a start or a transfer.
    NotRun,
    /// The output of an on-delay timer: its time, and whether it is running or up.
    Timer {
        /// Name of the instance.
        instance: String,
        /// `ET`, ms.
        elapsed_ms: u32,
        /// `PT`, ms.
        preset_ms: u32,
        /// `IN`.
        running: bool,
    },
    /// A pin of another block, which no rung writes by itself.
    Block {
        /// Name of the instance.
        instance: String,
    },
    /// What the rungs that drive it made of the bits they read.
    Rungs(Decided),
}

/// A smallest set of bits as the rungs read them: were all of them otherwise, so would be the result, and no fewer do.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Decided {
    /// Index of the rung that decided: the last that acted, else the one that could have.
    pub rung: u32,
    /// The set, leftmost contact first. Empty when no contact matters, as with a plain link.
    pub set: Vec<Seen>,
    /// Whether the old values that were read are certain.
    pub sure: bool,
    /// More contacts than could be searched: the set is one that changes the result, perhaps not a smallest.
    pub bounded: bool,
}

/// A bit as rungs read it.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Seen {
    /// Its name, as the first contact spells it.
    pub var: String,
    /// The value that was read.
    pub value: bool,
    /// The scan had not written it yet: it is the value of the scan before.
    pub before: bool,
    /// The contacts that read it: rung and index of the contact in reading order. Empty for the old value of a bit that
    /// a set or reset coil keeps.
    pub places: Vec<(u32, u32)>,
}

/// Most evaluations in the search for a set.
const MOST_TRIES: u32 = 60_000;

/// Most old values that are tried to explain the last scan.
const MOST_OLD: u32 = 4_096;

/// Why `name` (a variable, or a pin as `rest.Q`) has its value in this memory; none if there is no such bit.
///
/// `settled` says that the last scan changed nothing, so that what it found is what it left.
pub fn reason(
    program: &Program,
    compiled: &Compiled,
    memory: &Memory,
    settled: bool,
    name: &str,
) -> Option<Reason> {
    let after = compiled.value(memory, name)?;
    if let Some((instance, pin)) = name.split_once('.') {
        if pin.eq_ignore_ascii_case("Q") && is_ton(program, instance) {
            let (elapsed_ms, preset_ms) = compiled.timer(memory, instance)?;
            let running = compiled.value(memory, &format!("{instance}.IN"))?;
            return Some(Reason::Timer { instance: instance.to_string(), elapsed_ms, preset_ms, running });
        }
        if !pin.eq_ignore_ascii_case("IN") {
            return Some(Reason::Block { instance: instance.to_string() });
        }
    }
    let address =
        compiled.variables().iter().find(|v| v.name.eq_ignore_ascii_case(name)).and_then(|v| v.address);
    if let Some(address) = address.filter(|a| a.area == Area::Input) {
        return Some(Reason::Input(address));
    }
    let story = Story::new(program, compiled, memory);
    let target = name.to_ascii_uppercase();
    let writers = story.writers(&target);
    if writers.is_empty() {
        return Some(Reason::Unwritten);
    }
    let (olds, all) = if settled { (vec![story.after.clone()], true) } else { story.olds() };
    let Some(old) = olds.first() else { return Some(Reason::NotRun) };
    let read = Reading::new(&story, &target, &writers, old);
    if read.result(&[]) != after {
        return Some(Reason::NotRun);
    }
    let mut decided = read.decide();
    decided.sure = all
        && olds.iter().skip(1).all(|other| {
            let other = Reading::new(&story, &target, &writers, other);
            other.symbols.iter().map(|s| s.value).eq(read.symbols.iter().map(|s| s.value))
        });
    Some(Reason::Rungs(decided))
}

fn is_ton(program: &Program, instance: &str) -> bool {
    program.vars.iter().any(|v| v.kind == VarKind::Ton && v.name.eq_ignore_ascii_case(instance))
}

type Bits = BTreeMap<String, bool>;

/// What is known of the last scan. Names are in capitals.
struct Story<'a> {
    program: &'a Program,
    /// Every bit after the scan.
    after: Bits,
}

impl<'a> Story<'a> {
    fn new(program: &'a Program, compiled: &Compiled, memory: &Memory) -> Self {
        let mut after = Bits::new();
        let mut note = |name: String| {
            if let Some(value) = compiled.value(memory, &name) {
                after.insert(name, value);
            }
        };
        for var in &program.vars {
            note(var.name.to_ascii_uppercase());
        }
        for rung in &program.rungs {
            rung.logic.each_contact(&mut |var, _| note(var.to_ascii_uppercase()));
            for name in written(&rung.output) {
                note(name);
            }
        }
        Story { program, after }
    }

    /// Indices of the rungs that write a bit.
    fn writers(&self, target: &str) -> Vec<usize> {
        let rungs = self.program.rungs.iter().enumerate();
        rungs.filter(|(_, r)| written(&r.output).iter().any(|w| w == target)).map(|(k, _)| k).collect()
    }

    /// Every set of old values from which the scan leads to what is there now, the nearest to the present first; and
    /// whether none was left untried.
    fn olds(&self) -> (Vec<Bits>, bool) {
        let free = self.free();
        let mut found = Vec::new();
        let mut tries = 0;
        for size in 0..=free.len() {
            let complete = combinations(free.len(), size, &mut |chosen| {
                tries += 1;
                let mut old = self.after.clone();
                for &k in chosen {
                    if let Some(value) = old.get_mut(&free[k]) {
                        *value = !*value;
                    }
                }
                if self.leads_here(&old) {
                    found.push(old);
                }
                tries < MOST_OLD
            });
            if !complete {
                return (found, false);
            }
        }
        (found, true)
    }

    /// Bits whose old value the scan can have read.
    fn free(&self) -> Vec<String> {
        let mut written_yet: Vec<String> = Vec::new();
        let mut free = Vec::new();
        for rung in &self.program.rungs {
            let mut read = |name: String| {
                if !written_yet.contains(&name) && !free.contains(&name) {
                    free.push(name);
                }
            };
            rung.logic.each_contact(&mut |var, _| read(var.to_ascii_uppercase()));
            if let Output::Set { var } | Output::Reset { var } = &rung.output {
                read(var.to_ascii_uppercase());
            }
            written_yet.extend(written(&rung.output));
        }
        // What no rung writes has no other old value.
        free.retain(|name| written_yet.contains(name));
        free
    }

    fn leads_here(&self, old: &Bits) -> bool {
        self.walk(old, &mut |_, _| ()) == self.after
    }

    /// Runs the rungs over a set of bits, showing each rung the bits as it finds them. What a block gives is what it has
    /// given.
    fn walk(&self, old: &Bits, seen: &mut dyn FnMut(usize, &Bits)) -> Bits {
        let mut bits = old.clone();
        for (k, rung) in self.program.rungs.iter().enumerate() {
            seen(k, &bits);
            let passes = passes(&rung.logic, &mut 0, &mut |_, var| value(&bits, var));
            for name in written(&rung.output) {
                let now = match &rung.output {
                    Output::Coil { .. } => passes,
                    Output::Negated { .. } => !passes,
                    Output::Set { .. } => passes || value(&bits, &name),
                    Output::Reset { .. } => !passes && value(&bits, &name),
                    _ if name.ends_with(".IN") => passes,
                    _ => value(&self.after, &name),
                };
                bits.insert(name, now);
            }
        }
        bits
    }
}

fn value(bits: &Bits, var: &str) -> bool {
    bits.get(&var.to_ascii_uppercase()).copied().unwrap_or(false)
}

/// Names of the bits that an output writes, in capitals.
fn written(output: &Output) -> Vec<String> {
    let var = output.var().to_ascii_uppercase();
    match output {
        Output::Coil { .. } | Output::Negated { .. } | Output::Set { .. } | Output::Reset { .. } => vec![var],
        Output::Ton { .. } => vec![format!("{var}.IN"), format!("{var}.Q")],
    }
}

/// Whether a network passes, by a way to read contact `index` of name `var`.
fn passes(logic: &Network, index: &mut u32, read: &mut dyn FnMut(u32, &str) -> bool) -> bool {
    match logic {
        Network::Contact { var, negated } => {
            let bit = read(*index, var);
            *index += 1;
            bit != *negated
        }
        // Every contact is visited, so that the index counts all.
        Network::Series(parts) => parts.iter().filter(|p| !passes(p, index, read)).count() == 0,
        Network::Parallel(parts) => parts.iter().filter(|p| passes(p, index, read)).count() != 0,
        Network::True => true,
        Network::False => false,
    }
}

/// A bit at one moment of the scan, as a thing that can be turned over.
struct Symbol {
    seen: Seen,
    value: bool,
}

/// The rungs that write one bit, with what they read.
struct Reading<'a> {
    target: String,
    /// Index of the rung, and the rung.
    rungs: Vec<(usize, &'a crate::model::Rung)>,
    symbols: Vec<Symbol>,
    /// Symbol of each contact, by rung and contact; none for the target itself once it has been written.
    of_contact: BTreeMap<(u32, u32), usize>,
    /// Symbol of the target's old value.
    own: Option<usize>,
    old: bool,
}

impl<'a> Reading<'a> {
    fn new(story: &Story<'a>, target: &str, writers: &[usize], old: &Bits) -> Self {
        let mut r = Reading {
            target: target.to_string(),
            rungs: writers.iter().map(|&k| (k, &story.program.rungs[k])).collect(),
            symbols: Vec::new(),
            of_contact: BTreeMap::new(),
            own: None,
            old: value(old, target),
        };
        // By name and the last rung that wrote it before: the same bit at the same moment.
        let mut known: BTreeMap<(String, Option<usize>), usize> = BTreeMap::new();
        story.walk(old, &mut |k, bits| {
            if !writers.contains(&k) {
                return;
            }
            let mut index = 0u32;
            story.program.rungs[k].logic.each_contact(&mut |var, _| {
                let place = (k as u32, index);
                index += 1;
                let name = var.to_ascii_uppercase();
                let wrote = story.writers(&name).into_iter().rfind(|&w| w < k);
                let own = name == target;
                if own && wrote.is_some() {
                    return;
                }
                let symbol = *known.entry((name.clone(), wrote)).or_insert_with(|| {
                    let before = wrote.is_none() && !story.writers(&name).is_empty();
                    let value = value(bits, &name);
                    let seen = Seen { var: var.to_string(), value, before, places: Vec::new() };
                    r.symbols.push(Symbol { seen, value });
                    r.symbols.len() - 1
                });
                if own {
                    r.own = Some(symbol);
                }
                r.symbols[symbol].seen.places.push(place);
                r.of_contact.insert(place, symbol);
            });
        });
        let keeps = |o: &Output| matches!(o, Output::Set { .. } | Output::Reset { .. });
        if r.own.is_none() && r.rungs.first().is_some_and(|(_, first)| keeps(&first.output)) {
            r.own = Some(r.symbols.len());
            let var = r.rungs[0].1.output.var().to_string();
            let seen = Seen { var, value: r.old, before: true, places: Vec::new() };
            r.symbols.push(Symbol { seen, value: r.old });
        }
        r
    }

    /// The target after its rungs, with these symbols turned over. `acted` hears of each rung that wrote.
    fn run(&self, flipped: &[usize], acted: &mut dyn FnMut(usize)) -> bool {
        let turned = |symbol: usize| self.symbols[symbol].value != flipped.contains(&symbol);
        let mut now = self.own.map_or(self.old, turned);
        for (k, rung) in &self.rungs {
            let passes = passes(&rung.logic, &mut 0, &mut |index, _| {
                self.of_contact.get(&(*k as u32, index)).map_or(now, |&s| turned(s))
            });
            let writes = match rung.output {
                Output::Set { .. } | Output::Reset { .. } => passes,
                _ => true,
            };
            if writes {
                acted(*k);
                now = match rung.output {
                    Output::Negated { .. } | Output::Reset { .. } => !passes,
                    _ => passes,
                };
            }
        }
        now
    }

    fn result(&self, flipped: &[usize]) -> bool {
        self.run(flipped, &mut |_| ())
    }

    /// The rung to name, and the symbols in the order in which they are tried.
    fn order(&self) -> (usize, Vec<usize>) {
        let mut last = None;
        let value = self.run(&[], &mut |k| last = Some(k));
        let could = |(_, r): &&(usize, &crate::model::Rung)| match r.output {
            Output::Reset { .. } => value,
            _ => !value,
        };
        let rung = last.or_else(|| self.rungs.iter().find(could).map(|(k, _)| *k));
        let rung = rung.or(self.rungs.first().map(|(k, _)| *k)).unwrap_or(0);
        let mut order: Vec<usize> = Vec::new();
        // A bit that is kept at 1 is 1 because it was.
        if last.is_none() && value {
            order.extend(self.own);
        }
        let here = self.of_contact.iter().filter(|((k, _), _)| *k as usize == rung);
        let rest = self.of_contact.iter().filter(|((k, _), _)| *k as usize != rung);
        for (_, &symbol) in here.chain(rest) {
            if !order.contains(&symbol) {
                order.push(symbol);
            }
        }
        if let Some(own) = self.own.filter(|o| !order.contains(o)) {
            order.push(own);
        }
        (rung, order)
    }

    fn decide(&self) -> Decided {
        let value = self.result(&[]);
        let (rung, order) = self.order();
        let mut tries = 0;
        let mut set: Vec<usize> = Vec::new();
        let mut bounded = false;
        for size in 1..=order.len() {
            let complete = combinations(order.len(), size, &mut |chosen| {
                tries += 1;
                let flipped: Vec<usize> = chosen.iter().map(|&k| order[k]).collect();
                if self.result(&flipped) != value {
                    set = flipped;
                    return false;
                }
                tries < MOST_TRIES
            });
            if !complete {
                bounded = set.is_empty();
                break;
            }
        }
        if bounded {
            set = self.shrink(rung, value, &order);
        }
        let seen = set.iter().map(|&s| self.symbols[s].seen.clone()).collect();
        Decided { rung: rung as u32, set: seen, sure: true, bounded }
    }

    /// For a rung of very many contacts: the cheapest way through it (or cut of it) by its shape, less what it can do
    /// without.
    fn shrink(&self, rung: usize, value: bool, order: &[usize]) -> Vec<usize> {
        let Some((_, r)) = self.rungs.iter().find(|(k, _)| *k == rung) else { return Vec::new() };
        let mut closed = Vec::new();
        passes(&r.logic, &mut 0, &mut |index, var| {
            let own = var.to_ascii_uppercase() == self.target;
            let bit = self.of_contact.get(&(rung as u32, index)).map(|&s| self.symbols[s].value);
            closed.push(bit.unwrap_or(own && value));
            bit.unwrap_or(false)
        });
        let now = passes(&r.logic, &mut 0, &mut |index, _| closed[index as usize]);
        let Some(indices) = cheapest(&r.logic, &mut 0, !now, &closed) else { return Vec::new() };
        let mut set: Vec<usize> =
            indices.iter().filter_map(|&i| self.of_contact.get(&(rung as u32, i)).copied()).collect();
        set.sort_by_key(|s| order.iter().position(|o| o == s));
        set.dedup();
        if self.result(&set) == value {
            return Vec::new();
        }
        let mut k = 0;
        while k < set.len() {
            let mut fewer = set.clone();
            fewer.remove(k);
            if self.result(&fewer) != value { set = fewer } else { k += 1 }
        }
        set
    }
}

/// Fewest contacts to turn over, each by itself, so that a network passes or not; none if nothing can.
fn cheapest(logic: &Network, index: &mut u32, pass: bool, bits: &[bool]) -> Option<Vec<u32>> {
    let (parts, all) = match logic {
        Network::Contact { negated, .. } => {
            let here = *index;
            *index += 1;
            let passes = bits.get(here as usize).copied().unwrap_or(false) != *negated;
            return Some(if passes == pass { Vec::new() } else { vec![here] });
        }
        Network::True => return pass.then(Vec::new),
        Network::False => return (!pass).then(Vec::new),
        Network::Series(parts) => (parts, pass),
        Network::Parallel(parts) => (parts, !pass),
    };
    let each: Vec<Option<Vec<u32>>> = parts.iter().map(|p| cheapest(p, index, pass, bits)).collect();
    if all {
        each.into_iter().collect::<Option<Vec<_>>>().map(|sets| sets.concat())
    } else {
        each.into_iter().flatten().min_by_key(Vec::len)
    }
}

/// Calls `take` with every choice of `size` out of `count`, in lexicographic order, until it says no. Returns whether
/// all were taken.
fn combinations(count: usize, size: usize, take: &mut dyn FnMut(&[usize]) -> bool) -> bool {
    if size > count {
        return true;
    }
    let mut chosen: Vec<usize> = (0..size).collect();
    loop {
        if !take(&chosen) {
            return false;
        }
        let Some(k) = (0..size).rev().find(|&k| chosen[k] < count - size + k) else { return true };
        chosen[k] += 1;
        for next in k + 1..size {
            chosen[next] = chosen[next - 1] + 1;
        }
    }
}
