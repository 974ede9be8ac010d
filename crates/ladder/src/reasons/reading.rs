//! The rungs that write one bit, with what they read: what turning a thing over would make of them.

use std::collections::BTreeMap;

use super::smallest::{Symbol, certain, smallest};
use super::story::{Cell, Old, Story};
use super::{Decided, Seen, What, passes};
use crate::model::{Contact, Network, Output, Rung, Test};

/// A rung and the network of it that counts: the one that drives the bit.
struct Part<'a> {
    rung: &'a Rung,
    /// None for an input of a block that is left open.
    network: Option<&'a Network>,
    /// Index of the first contact of the network.
    first: u32,
}

/// The symbols of a contact: the bit or comparison, none for the target once it has been written; and what an edge contact
/// remembers.
#[derive(Clone, Copy, Default)]
struct Symbols {
    read: Option<usize>,
    remembered: Option<usize>,
}

/// The same thing at the same moment.
#[derive(PartialEq, Eq, PartialOrd, Ord)]
enum Moment {
    /// A bit, and the last rung that wrote it before.
    Bit(usize, Option<usize>),
    /// A comparison of values of the scan before.
    Guess(usize),
    /// A comparison of values that are there after the scan.
    Compared(String),
}

/// The rungs that write one bit, with what they read.
pub(super) struct Reading<'a> {
    parts: BTreeMap<usize, Part<'a>>,
    symbols: Vec<Symbol>,
    of_contact: BTreeMap<(usize, u32), Symbols>,
    /// Symbol of what each edge coil remembers, by rung.
    of_coil: BTreeMap<usize, usize>,
    /// Symbol of the target's old value.
    own: Option<usize>,
    old: bool,
}

impl<'a> Reading<'a> {
    pub fn new(story: &Story<'a>, target: &str, writers: &[usize], old: &Old) -> Self {
        let own = story.slot(target);
        let mut reading = Reading {
            parts: writers.iter().map(|&k| (k, Part::new(&story.program.rungs[k], target))).collect(),
            symbols: Vec::new(),
            of_contact: BTreeMap::new(),
            of_coil: BTreeMap::new(),
            own: None,
            old: old.bits[own],
        };
        let mut known = BTreeMap::new();
        story.walk(old, &mut |k, bits| {
            let Some(Part { network: Some(network), first, .. }) = reading.parts.get(&k) else { return };
            let mut index = *first;
            network.each_contact(&mut |contact| {
                reading.contact_seen(story, (k, index), contact, own, (bits, old), &mut known);
                index += 1;
            });
        });
        reading.coils(story, old);
        let keeps = |rung: &Rung| matches!(rung.output, Output::Set { .. } | Output::Reset { .. });
        let first = reading.parts.values().next().map(|part| part.rung);
        if let Some(rung) = first.filter(|rung| reading.own.is_none() && keeps(rung)) {
            let what = What::Bit(rung.output.var().to_string());
            reading.own = Some(reading.add(what, reading.old, true, false));
        }
        reading
    }

    /// Notes what a contact read, with the bits as its rung found them.
    fn contact_seen(
        &mut self,
        story: &Story,
        place: (usize, u32),
        contact: &Contact,
        own: usize,
        (bits, old): (&[bool], &Old),
        known: &mut BTreeMap<Moment, usize>,
    ) {
        let mut read = |moment: Moment, value: bool, before: bool, what: What| {
            let symbol = *known.entry(moment).or_insert_with(|| self.add(what, value, before, false));
            self.symbols[symbol].seen.places.push((place.0 as u32, place.1));
            self.of_contact.entry(place).or_default().read = Some(symbol);
            symbol
        };
        match (contact, story.cell(place)) {
            (Contact::Bit { var, .. }, Cell::Bit { slot, .. } | Cell::Edge { slot, .. }) => {
                let wrote = story.writers(slot).iter().copied().rfind(|&w| w < place.0);
                if slot != own || wrote.is_none() {
                    let before = wrote.is_none() && !story.writers(slot).is_empty();
                    let symbol = read(Moment::Bit(slot, wrote), bits[slot], before, What::Bit(var.clone()));
                    self.own = if slot == own { Some(symbol) } else { self.own };
                }
            }
            (Contact::Compare(comparison), Cell::ComparedBefore(guess)) => {
                let what = What::Compared(comparison.clone());
                read(Moment::Guess(guess), old.guesses[guess], true, what);
            }
            (Contact::Compare(comparison), Cell::Compared(holds)) => {
                let moment = Moment::Compared(format!("{comparison:?}").to_ascii_uppercase());
                read(moment, holds, false, What::Compared(comparison.clone()));
            }
            _ => {}
        }
        if let (Contact::Bit { var, test }, Cell::Edge { saw, passed, .. }) = (contact, story.cell(place)) {
            // Where the edge could have been, the contact tells whether it was.
            let rising = *test == Test::Rising;
            let told = saw == rising;
            let remembered = if told { passed != rising } else { saw };
            let what = What::Remembered(var.clone());
            let symbol = self.add(what, remembered, true, !told && !story.settled);
            self.symbols[symbol].seen.places.push((place.0 as u32, place.1));
            self.of_contact.entry(place).or_default().remembered = Some(symbol);
        }
    }

    /// What edge coils remember, once it can be told which rungs pass.
    fn coils(&mut self, story: &Story, old: &Old) {
        let edges: Vec<(usize, &Rung)> = self.parts.iter().map(|(k, part)| (*k, part.rung)).collect();
        for (k, rung) in edges {
            let (var, rising) = match &rung.output {
                Output::Rising { var } => (var, true),
                Output::Falling { var } => (var, false),
                _ => continue,
            };
            let slot = story.slot(var);
            let passed = story.tested((k, rung.contacts())).unwrap_or(false);
            // Where the edge could have been, the bit tells whether it was.
            let told = passed == rising;
            let remembered = match (told, story.is_last(k, slot)) {
                (true, true) => story.after[slot] != rising,
                (true, false) => story.coil(k, old),
                (false, _) => passed,
            };
            let guessed = !told && !story.settled;
            let symbol = self.add(What::Passed(k as u32), remembered, true, guessed);
            self.of_coil.insert(k, symbol);
        }
    }

    fn add(&mut self, what: What, value: bool, before: bool, guessed: bool) -> usize {
        let seen = Seen { what, value, before, places: Vec::new() };
        self.symbols.push(Symbol { seen, guessed });
        self.symbols.len() - 1
    }

    /// A symbol's value with these turned over; turned over twice it is as it was.
    fn turned(&self, symbol: usize, flipped: &[usize]) -> bool {
        let times = flipped.iter().filter(|s| **s == symbol).count();
        self.symbols[symbol].seen.value != (times % 2 == 1)
    }

    /// Whether a contact passes with these symbols turned over, when the target is `now`.
    fn contact(&self, place: (usize, u32), contact: &Contact, now: bool, flipped: &[usize]) -> bool {
        let symbols = self.of_contact.get(&place).copied().unwrap_or_default();
        let read = symbols.read.map_or(now, |symbol| self.turned(symbol, flipped));
        let remembered = symbols.remembered.is_some_and(|symbol| self.turned(symbol, flipped));
        match contact {
            Contact::Compare(_) | Contact::Bit { test: Test::Open, .. } => read,
            Contact::Bit { test: Test::Closed, .. } => !read,
            Contact::Bit { test: Test::Rising, .. } => read && !remembered,
            Contact::Bit { test: Test::Falling, .. } => !read && remembered,
        }
    }

    /// The target after its rungs, with these symbols turned over. `acted` hears of each rung that wrote.
    fn run(&self, flipped: &[usize], acted: &mut dyn FnMut(usize)) -> bool {
        let mut now = self.own.map_or(self.old, |own| self.turned(own, flipped));
        for (k, part) in &self.parts {
            let mut read = |index, contact: &Contact| self.contact((*k, index), contact, now, flipped);
            let passes = part.network.is_some_and(|network| passes(network, &mut { part.first }, &mut read));
            let remembered = self.of_coil.get(k).is_some_and(|symbol| self.turned(*symbol, flipped));
            let writes = match part.rung.output {
                Output::Set { .. } | Output::Reset { .. } => passes,
                _ => true,
            };
            if writes {
                acted(*k);
                now = match part.rung.output {
                    Output::Negated { .. } | Output::Reset { .. } => !passes,
                    Output::Rising { .. } => passes && !remembered,
                    Output::Falling { .. } => !passes && remembered,
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
        let could = |part: &Part| match part.rung.output {
            Output::Reset { .. } => value,
            _ => !value,
        };
        let rung = last.or_else(|| self.parts.iter().find(|(_, part)| could(part)).map(|(k, _)| *k));
        let rung = rung.or(self.parts.keys().next().copied()).unwrap_or(0);
        let mut order: Vec<usize> = Vec::new();
        // A bit that is kept at 1 is 1 because it was.
        if last.is_none() && value {
            order.extend(self.own);
        }
        let others = self.parts.keys().copied().filter(|k| *k != rung);
        for k in std::iter::once(rung).chain(others) {
            let contacts = self.of_contact.range((k, 0)..=(k, u32::MAX));
            let read = contacts.flat_map(|(_, symbols)| symbols.read.into_iter().chain(symbols.remembered));
            order.extend(read.chain(self.of_coil.get(&k).copied()));
        }
        order.extend(self.own);
        let mut seen = std::collections::BTreeSet::new();
        order.retain(|symbol| seen.insert(*symbol));
        (rung, order)
    }

    /// What decides, as far as this reading tells; and by what symbols.
    pub fn decide(&self) -> (Decided, Vec<usize>) {
        let (rung, order) = self.order();
        let (mut set, bounded) = smallest(&order, &|flipped| self.result(flipped));
        if bounded {
            set = self.shrink(rung, &order);
        }
        let seen: Vec<Seen> = set.iter().map(|&s| self.symbols[s].seen.clone()).collect();
        // Where nothing on that rung decides, the rung is that of the first contact which does.
        let rungs: Vec<u32> = seen.iter().flat_map(|seen| &seen.places).map(|(k, _)| *k).collect();
        let rung = rung as u32;
        let rung = if rungs.contains(&rung) { rung } else { *rungs.first().unwrap_or(&rung) };
        (Decided { rung, set: seen, sure: true, bounded }, set)
    }

    /// Whether a set of another reading of the same rungs decides in this one, too, and is the same there.
    pub fn bears_out(&self, decided: &Decided, set: &[usize], value: bool) -> bool {
        set.iter().zip(&decided.set).all(|(&s, seen)| self.symbols[s].seen == *seen)
            && certain(&self.symbols, set, value, &|flipped| self.result(flipped))
    }

    /// For a rung of very many contacts: the cheapest way through it (or cut of it) by its shape, less what it can do
    /// without.
    fn shrink(&self, rung: usize, order: &[usize]) -> Vec<usize> {
        let value = self.result(&[]);
        let Some(Part { network: Some(network), first, .. }) = self.parts.get(&rung) else {
            return Vec::new();
        };
        let truth = |index: u32, contact: &Contact| self.contact((rung, index), contact, value, &[]);
        let now = passes(network, &mut { *first }, &mut |index, contact| truth(index, contact));
        let mut turn = |index: u32, contact: &Contact, pass: bool| {
            if truth(index, contact) == pass {
                Some(Vec::new())
            } else {
                self.turning((rung, index), contact)
            }
        };
        let Some(mut set) = cheapest(network, &mut { *first }, !now, &mut turn) else { return Vec::new() };
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

    /// Fewest symbols that turn a contact over.
    fn turning(&self, place: (usize, u32), contact: &Contact) -> Option<Vec<usize>> {
        let Symbols { read, remembered } = self.of_contact.get(&place).copied().unwrap_or_default();
        let all: Vec<usize> = read.into_iter().chain(remembered).collect();
        let truth = |flipped: &[usize]| self.contact(place, contact, false, flipped);
        let sets = all.iter().map(|s| vec![*s]).chain([all.clone()]);
        let mut sets = sets.filter(|set| truth(set) != truth(&[]));
        sets.next()
    }
}

impl<'a> Part<'a> {
    fn new(rung: &'a Rung, target: &str) -> Self {
        let pin = target.split_once('.').map(|(_, pin)| pin);
        let Output::Block(call) = &rung.output else {
            return Part { rung, network: Some(&rung.logic), first: 0 };
        };
        let place = call.block.inputs().iter().position(|name| Some(*name) == pin).unwrap_or(0);
        let networks: Vec<Option<&Network>> =
            std::iter::once(Some(&rung.logic)).chain(call.further.iter().map(Option::as_ref)).collect();
        let first = networks.iter().take(place).flatten().map(|network| network.contacts()).sum();
        Part { rung, network: networks.get(place).copied().flatten(), first }
    }
}

/// What is to be turned over so that a contact passes or not; none if nothing can.
type Turn<'a> = dyn FnMut(u32, &Contact, bool) -> Option<Vec<usize>> + 'a;

/// Fewest things to turn over so that a network passes or not, by what is to be turned so that a contact does; none if
/// nothing can.
fn cheapest(logic: &Network, index: &mut u32, pass: bool, turn: &mut Turn) -> Option<Vec<usize>> {
    let (parts, all) = match logic {
        Network::Contact(contact) => {
            *index += 1;
            return turn(*index - 1, contact, pass);
        }
        Network::True => return pass.then(Vec::new),
        Network::False => return (!pass).then(Vec::new),
        Network::Series(parts) => (parts, pass),
        Network::Parallel(parts) => (parts, !pass),
    };
    let each: Vec<Option<Vec<usize>>> = parts.iter().map(|p| cheapest(p, index, pass, turn)).collect();
    if all {
        each.into_iter().collect::<Option<Vec<_>>>().map(|sets| sets.concat())
    } else {
        each.into_iter().flatten().min_by_key(Vec::len)
    }
}
