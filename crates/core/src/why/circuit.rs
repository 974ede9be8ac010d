//! Which smallest set of contacts, conductors and supplies gives a load its volts, or keeps them from it.
//!
//! Proposals come from the graph: for volts that are missing, what would have to be closed between the load and the
//! poles of a source; for volts that are there, what leads to the load, cut by cut until nothing does. Each is tried on
//! the network, and so is every part of it, as circuits are not monotone: closing one contact more can be a short.

use super::graph::{Graph, Source};
use super::look::{Item, Look};
use super::{Load, MOST_IN_SET};
use crate::design::{ContactSource, Pair};
use crate::part::CoilCurrent;
use std::collections::BTreeSet;

/// Most proposals that are tried on the network for one link.
const MOST_TRIES: usize = 80;

/// Most ways of each side that are put together.
const MOST_WAYS: usize = 6;

/// Most cuts in the search for what keeps volts on.
const MOST_CUTS: usize = 4;

/// Most sets of cuts that are tried.
const MOST_CUT_TRIES: usize = 400;

/// A closed contact with this much along it carries a current, V: 0.1 mA through 0.01 ohm.
const CARRIES_FROM: f64 = 1e-6;

/// What volts a load is made for.
struct Wish {
    /// DC, AC, or none if either does.
    dc: Option<bool>,
    /// V; none if any do.
    rated: Option<f64>,
}

impl Wish {
    fn takes(&self, source: &Source) -> bool {
        self.dc.is_none_or(|dc| dc == source.dc)
    }

    /// How far a source is from what is wanted, mV.
    fn off_by(&self, source: &Source) -> u64 {
        let difference = self.rated.map_or(0.0, |rated| source.volts - rated);
        (difference.abs() * 1000.0) as u64
    }
}

impl Look<'_> {
    fn wish(&self, load: &Load) -> Wish {
        let rated = |mv: u32| Some(f64::from(mv) / 1000.0);
        let d = self.design;
        match load {
            Load::Coil(t) => {
                let data = d.contactors.iter().find(|c| c.tag == *t);
                let dc = data.is_some_and(|c| c.data.electrics.current == CoilCurrent::Dc);
                Wish { dc: Some(dc), rated: data.map(|c| c.data.electrics.volts) }
            }
            Load::Lamp(t) => {
                let data = d.lamps.iter().find(|l| l.tag == *t);
                Wish { dc: None, rated: data.and_then(|l| rated(l.data.lamp.rated_mv)) }
            }
            Load::Channel(..) | Load::Controller(_) => Wish { dc: Some(true), rated: Some(24.0) },
            Load::Primary(t) => {
                let data = d.dc_supplies.iter().find(|s| s.tag == *t);
                Wish { dc: Some(false), rated: data.and_then(|s| rated(s.data.supply.input_mv)) }
            }
            Load::Brake(t) => {
                let data = d.brakes.iter().find(|b| b.tag == *t).map(|b| &b.data.brake);
                Wish { dc: data.map(|b| b.dc), rated: data.and_then(|b| rated(b.coil_mv)) }
            }
            Load::Motor(_) => Wish { dc: Some(false), rated: Some(400.0) },
            Load::Meter(..) => Wish { dc: None, rated: None },
        }
    }

    /// The terminals of a load are joined to each other.
    pub(super) fn bridged(&self, load: &Load) -> bool {
        let graph = Graph::new(self, &[], false);
        self.pairs(load).is_some_and(|pairs| pairs.iter().any(|&(a, b)| graph.joined(a, b)))
    }

    /// A smallest set that decides whether a load has volts; empty if none was found.
    pub(super) fn decides(&self, load: &Load) -> Vec<Item> {
        let now = self.present(load, &[]);
        let found = if now { self.cut(load) } else { self.feed(load) }.unwrap_or_default();
        if let [_] = found[..] {
            return found;
        }
        // No single contact may do what several were found for.
        let mut all: Vec<Item> = (0..self.design.contacts.len()).map(Item::Contact).collect();
        all.sort_by_key(|&i| (self.rank(i), i));
        let one = all.into_iter().find(|&i| self.present(load, &[i]) != now);
        one.map_or(found, |i| vec![i])
    }

    /// What would have to be otherwise for a load without volts to have them.
    fn feed(&self, load: &Load) -> Option<Vec<Item>> {
        let set = self.feed_from(load, &self.pairs(load)?, 0, &[])?;
        self.shrink(load, &set, true)
    }

    /// Pair after pair of a load of several phases: each with what those before it need, and back when that leads nowhere.
    fn feed_from(&self, load: &Load, pairs: &[Pair], k: usize, base: &[Item]) -> Option<Vec<Item>> {
        let Some(&pair) = pairs.get(k) else { return Some(base.to_vec()) };
        let works = |items: &[Item]| match pairs {
            [_] => self.present(load, items),
            _ => pairs[..=k].iter().all(|&p| self.phase(p, items)),
        };
        if works(base) {
            return self.feed_from(load, pairs, k + 1, base);
        }
        let graph = Graph::new(self, base, false);
        let proposals = proposals(&graph, &self.wish(load), pair, true);
        let complete = proposals.iter().any(Vec::is_empty);
        let both = |more: &[Item]| [base, more].concat();
        let joins = |set: &&Vec<Item>| set.iter().any(|i| matches!(i, Item::Join(..)));
        let good = |set: &Vec<Item>| {
            let set = both(set);
            let fits = set.len() > base.len() && set.len() <= MOST_IN_SET && works(&set);
            fits.then(|| self.feed_from(load, pairs, k + 1, &set)).flatten()
        };
        let closed = proposals.iter().filter(|s| !joins(s)).take(MOST_TRIES).find_map(good);
        // Everything leads, and yet there are no volts: something pulls them down.
        let short = || self.shorts(&|set: &[Item]| works(&both(set))).map(|set| both(&set));
        closed
            .or_else(|| if complete { short() } else { None })
            .or_else(|| proposals.iter().filter(joins).take(MOST_TRIES).find_map(good))
    }

    /// One or two closed contacts that carry current, the opening of which does it.
    fn shorts(&self, works: &dyn Fn(&[Item]) -> bool) -> Option<Vec<Item>> {
        let carrying = self.carrying();
        let one = carrying.iter().map(|&i| vec![i]).find(|set| works(set));
        one.or_else(|| {
            let few = &carrying[..carrying.len().min(12)];
            let pairs = few.iter().enumerate().flat_map(|(k, &a)| few[..k].iter().map(move |&b| vec![b, a]));
            pairs.into_iter().find(|set| works(set))
        })
    }

    /// Closed contacts that carry a current, the most telling first.
    fn carrying(&self) -> Vec<Item> {
        let seen = self.seen(&[]);
        let elements = self.design.network.elements.iter();
        let mut found: Vec<Item> = elements
            .filter_map(|e| match e {
                crate::network::Element::Contact { a, b, bit, .. }
                    if self.now.get(*bit) && *bit < self.design.contacts.len() =>
                {
                    let (dc, ac) = seen.volts((*a, *b));
                    (dc.abs() > CARRIES_FROM || ac > CARRIES_FROM).then_some(Item::Contact(*bit))
                }
                _ => None,
            })
            .collect();
        found.sort_by_key(|&i| (self.rank(i), i));
        found
    }

    /// What a load that has volts has them by.
    fn cut(&self, load: &Load) -> Option<Vec<Item>> {
        let contacts = |i: &Item| matches!(i, Item::Contact(_));
        let sources = |i: &Item| matches!(i, Item::Contact(_) | Item::Dc(_));
        let all = |i: &Item| !matches!(i, Item::Supply(_));
        let found = self
            .cuts(load, &contacts)
            .or_else(|| self.shorts(&|set| !self.present(load, set)))
            .or_else(|| self.cuts(load, &sources))
            .or_else(|| self.cuts(load, &all))?;
        self.shrink(load, &found, false)
    }

    /// Sets of cuts, each further one on a way that was left, until no volts are.
    fn cuts(&self, load: &Load, allowed: &dyn Fn(&Item) -> bool) -> Option<Vec<Item>> {
        let mut frontier = vec![Vec::new()];
        let mut known = BTreeSet::new();
        for _ in 0..MOST_CUTS {
            let mut next = Vec::new();
            let mut answers = Vec::new();
            for set in &frontier {
                for item in self.leading(load, set).into_iter().filter(allowed) {
                    let mut more = set.clone();
                    more.push(item);
                    let mut name = more.clone();
                    name.sort_unstable();
                    if known.len() >= MOST_CUT_TRIES || !known.insert(name) {
                        continue;
                    }
                    if self.present(load, &more) { next.push(more) } else { answers.push(more) }
                }
            }
            for answer in &mut answers {
                answer.sort_by_key(|&i| self.rank(i));
            }
            let ranks = |set: &Vec<Item>| set.iter().map(|&i| self.rank(i)).collect::<Vec<_>>();
            if let Some(best) = answers.into_iter().min_by_key(ranks) {
                return Some(best);
            }
            frontier = next;
        }
        None
    }

    /// What leads from a source to a load and back, in the order of the current.
    fn leading(&self, load: &Load, items: &[Item]) -> Vec<Item> {
        let wish = self.wish(load);
        let mut all: Vec<Item> = Vec::new();
        let graph = Graph::new(self, items, false);
        for pair in self.pairs(load).unwrap_or_default() {
            let strict = lead(&graph, &wish, pair, true);
            let led = strict.or_else(|| lead(&Graph::new(self, items, true), &wish, pair, true));
            for item in led.unwrap_or_default() {
                if !all.contains(&item) && !items.contains(&item) {
                    all.push(item);
                }
            }
        }
        all
    }

    /// How telling a contact is as the cause that something is on: first what has left its rest, last switchgear.
    fn rank(&self, item: Item) -> u8 {
        match item {
            Item::Contact(i) => match self.design.contacts[i].source {
                ContactSource::Switch(..) => 2,
                source => u8::from(shut_at_rest(source)),
            },
            Item::Dc(_) => 3,
            Item::Conductor(_) | Item::Join(..) => 4,
            Item::Supply(_) => 5,
        }
    }

    /// The smallest part of a set that makes a load have volts or not.
    fn shrink(&self, load: &Load, set: &[Item], volts: bool) -> Option<Vec<Item>> {
        if set.is_empty() || set.len() > MOST_IN_SET {
            return None;
        }
        let mut parts: Vec<u32> = (1..1u32 << set.len()).collect();
        parts.sort_by_key(|p| p.count_ones());
        let part = |p: u32| -> Vec<Item> {
            set.iter().enumerate().filter(|(k, _)| p >> k & 1 != 0).map(|(_, &i)| i).collect()
        };
        parts.into_iter().map(part).find(|p| self.present(load, p) == volts)
    }
}

/// A contact is closed when nothing acts on it.
fn shut_at_rest(source: ContactSource) -> bool {
    match source {
        ContactSource::Control(_, closed_in) => closed_in & 1 != 0,
        ContactSource::Position(_, form) => form == crate::part::Form::Break,
        ContactSource::AuxBreak(_)
        | ContactSource::TimedBreak(_)
        | ContactSource::TripBreak(_)
        | ContactSource::Switch(..) => true,
        ContactSource::Main(..)
        | ContactSource::AuxMake(_)
        | ContactSource::TimedMake(_)
        | ContactSource::TripMake(_)
        | ContactSource::Output(..) => false,
    }
}

/// Both ways round a source can stand at a load: DC loads that mind it are given plus first.
fn poles(source: &Source, wish: &Wish) -> Vec<Pair> {
    let (p, q) = source.poles;
    if wish.dc == Some(true) { vec![(p, q)] } else { vec![(p, q), (q, p)] }
}

/// Sets of what to close, switch on or join so that volts may come to a pair of nodes: those without a join first, then
/// the smallest, then those from the source that suits best.
fn proposals(graph: &Graph, wish: &Wish, (a, b): Pair, transformers: bool) -> Vec<Vec<Item>> {
    let mut all: Vec<((usize, usize, u64), Vec<Item>)> = Vec::new();
    for source in graph.sources.iter().filter(|s| wish.takes(s) && (transformers || s.primary.is_none())) {
        let before: Vec<Vec<Item>> = match source.primary {
            Some(primary) => {
                let any = Wish { dc: Some(false), rated: None };
                let ways = proposals(graph, &any, primary, false);
                ways.into_iter().take(2).collect()
            }
            None => vec![source.off.into_iter().collect()],
        };
        for (p, q) in poles(source, wish) {
            let side = |from, to, back| {
                let mut ways = graph.ways(from, to);
                ways.truncate(MOST_WAYS);
                if ways.is_empty() {
                    ways.push(vec![Item::Join(from, to, back)]);
                }
                ways
            };
            let (there, back) = (side(a, p, false), side(b, q, true));
            for (on, there, back) in before.iter().flat_map(|on| {
                there.iter().flat_map(|t| back.iter().map(move |b| (t, b))).map(move |(t, b)| (on, t, b))
            }) {
                let mut set: Vec<Item> = Vec::new();
                for &item in on.iter().chain(there.iter().rev()).chain(back) {
                    if !set.contains(&item) {
                        set.push(item);
                    }
                }
                let joins = set.iter().filter(|i| matches!(i, Item::Join(..))).count();
                // A missing conductor is told before open contacts.
                set.sort_by_key(|i| !matches!(i, Item::Join(..)));
                all.push(((joins, set.len(), wish.off_by(source)), set));
            }
        }
    }
    all.sort_by_key(|(cost, _)| *cost);
    let mut sets: Vec<Vec<Item>> = Vec::new();
    for (_, set) in all {
        if !sets.contains(&set) {
            sets.push(set);
        }
    }
    sets
}

/// What leads from a source that is on to a pair of nodes and back; of several sources the one that suits best.
fn lead(graph: &Graph, wish: &Wish, (a, b): Pair, transformers: bool) -> Option<Vec<Item>> {
    let mut live: Vec<&Source> = graph
        .sources
        .iter()
        .filter(|s| s.off.is_none() && wish.takes(s) && (transformers || s.primary.is_none()))
        .collect();
    live.sort_by_key(|s| wish.off_by(s));
    for source in live {
        for (p, q) in poles(source, wish) {
            if !graph.joined(a, p) || !graph.joined(b, q) {
                continue;
            }
            let mut all = match source.primary {
                Some(primary) => {
                    let any = Wish { dc: Some(false), rated: None };
                    match lead(graph, &any, primary, false) {
                        Some(before) => before,
                        None => continue,
                    }
                }
                None => Vec::new(),
            };
            all.extend(source.on);
            all.extend(graph.path(p, a)?);
            all.extend(graph.path(b, q)?);
            return Some(all);
        }
    }
    None
}
