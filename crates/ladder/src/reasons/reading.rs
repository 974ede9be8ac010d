//! The rungs that write one bit, with what they read: what turning a bit over would make of them.

use std::collections::BTreeMap;

use super::{Bits, Decided, MOST_TRIES, Seen, Story, combinations, passes, value};
use crate::model::{Contact, Network, Output, Rung, Test};

/// A bit at one moment of the scan, as a thing that can be turned over.
pub(super) struct Symbol {
    seen: Seen,
    pub value: bool,
}

/// The rungs that write one bit, with what they read.
pub(super) struct Reading<'a> {
    target: String,
    /// Index of the rung, and the rung.
    rungs: Vec<(usize, &'a Rung)>,
    pub symbols: Vec<Symbol>,
    /// Symbol of each contact, by rung and contact; none for the target itself once it has been written.
    of_contact: BTreeMap<(u32, u32), usize>,
    /// Symbol of the target's old value.
    own: Option<usize>,
    old: bool,
}

impl<'a> Reading<'a> {
    pub fn new(story: &Story<'a>, target: &str, writers: &[usize], old: &Bits) -> Self {
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
            story.program.rungs[k].each_contact(&mut |contact| {
                let Some(var) = contact.bit() else { return };
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

    pub fn result(&self, flipped: &[usize]) -> bool {
        self.run(flipped, &mut |_| ())
    }

    /// The rung to name, and the symbols in the order in which they are tried.
    fn order(&self) -> (usize, Vec<usize>) {
        let mut last = None;
        let value = self.run(&[], &mut |k| last = Some(k));
        let could = |(_, r): &&(usize, &Rung)| match r.output {
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

    pub fn decide(&self) -> Decided {
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
        Network::Contact(contact) => {
            let here = *index;
            *index += 1;
            let closed = matches!(contact, Contact::Bit { test: Test::Closed, .. });
            let passes = bits.get(here as usize).copied().unwrap_or(false) != closed;
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
