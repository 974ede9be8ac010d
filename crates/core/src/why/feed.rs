//! What would have to be otherwise for a load without volts to have them.

use super::circuit::{Wish, poles};
use super::graph::{Graph, Source};
use super::look::{Item, Look};
use super::{Load, MOST_IN_SET};
use crate::design::Pair;
use crate::network::{Element, Node};

/// Most proposals that are tried on the network for one link.
const MOST_TRIES: usize = 80;

/// Most ways of each side that are put together.
const MOST_WAYS: usize = 6;

/// Most proposals of which the reason is sought why they do not do.
const MOST_MENDED: usize = 4;

/// Most sources to which a load is joined straight.
const MOST_SOURCES: usize = 3;

/// A closed contact with this much along it carries a current, V: 0.1 mA through 0.01 ohm.
const CARRIES_FROM: f64 = 1e-6;

impl Look<'_> {
    /// What would have to be otherwise for a load without volts to have them.
    pub(super) fn feed(&self, load: &Load) -> Option<Vec<Item>> {
        let set = self.feed_from(load, &self.pairs(load)?, 0, &[]);
        set.and_then(|set| self.shrink(load, &set, true)).or_else(|| self.straight_to_source(load))
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
        // A wrong conductor or contact brings what is too much.
        let mended = || {
            let first = proposals.iter().filter(|s| base.len() + s.len() < MOST_IN_SET).take(MOST_MENDED);
            first.map(|s| both(s)).find_map(|set| {
                let more = |i: Item| [&set[..], &[i]].concat();
                let found = self.carrying(&set).into_iter().find(|&i| works(&more(i)))?;
                self.feed_from(load, pairs, k + 1, &more(found))
            })
        };
        closed
            .or_else(|| if complete { short() } else { None })
            .or_else(|| proposals.iter().filter(joins).take(MOST_TRIES).find_map(good))
            .or_else(mended)
    }

    /// One or two closed contacts that carry current, the opening of which does it.
    pub(super) fn shorts(&self, works: &dyn Fn(&[Item]) -> bool) -> Option<Vec<Item>> {
        let mut carrying = self.carrying(&[]);
        carrying.retain(|i| matches!(i, Item::Contact(_)));
        let one = carrying.iter().map(|&i| vec![i]).find(|set| works(set));
        one.or_else(|| {
            let few = &carrying[..carrying.len().min(12)];
            let pairs = few.iter().enumerate().flat_map(|(k, &a)| few[..k].iter().map(move |&b| vec![b, a]));
            pairs.into_iter().find(|set| works(set))
        })
    }

    /// Closed contacts and conductors that carry a current with these things otherwise, the most telling first.
    fn carrying(&self, items: &[Item]) -> Vec<Item> {
        let seen = self.seen(items);
        let key = self.key(items);
        let carries = |pair: Pair| {
            let (dc, ac) = seen.volts(pair);
            dc.abs() > CARRIES_FROM || ac > CARRIES_FROM
        };
        let contacts = self.design.network.elements.iter().filter_map(|e| match e {
            Element::Contact { a, b, bit, .. } | Element::LimitedContact { a, b, bit, .. }
                if *bit < self.design.contacts.len() =>
            {
                (key.get(*bit) && carries((*a, *b))).then_some(Item::Contact(*bit))
            }
            _ => None,
        });
        let all = 0..self.design.conductors.len();
        let conductors = all.filter(|&c| carries(self.conductor(c))).map(Item::Conductor);
        let mut found: Vec<Item> = contacts.chain(conductors).filter(|i| !items.contains(i)).collect();
        found.sort_by_key(|&i| (self.rank(i), i));
        found
    }

    /// The last resort: a load joined straight to a source, with the other conductors of both taken off.
    fn straight_to_source(&self, load: &Load) -> Option<Vec<Item>> {
        let graph = Graph::new(self, &[], false);
        let pairs = self.pairs(load)?;
        let sources = match &pairs[..] {
            [pair] => two_poles(&graph, &self.wish(load), *pair),
            _ => self.three_poles(&pairs),
        };
        sources.into_iter().find_map(|(on, joins)| {
            let ends: Vec<Node> = joins.iter().flat_map(|&(a, p)| [a, p]).collect();
            let all = 0..self.design.conductors.len();
            let touches = |c: &usize| {
                let (a, b) = self.conductor(*c);
                ends.contains(&a) || ends.contains(&b)
            };
            let mut set: Vec<Item> = Vec::new();
            let apart = joins.iter().enumerate().filter(|(_, (a, p))| a != p);
            set.extend(apart.map(|(k, &(a, p))| Item::Join(a, p, k == 1)));
            set.extend(on);
            set.extend(all.filter(touches).map(Item::Conductor));
            self.reduce(load, set, true)
        })
    }

    /// The terminals of a motor with the phases of each supply.
    fn three_poles(&self, pairs: &[Pair]) -> Vec<Direct> {
        let supplies = self.design.supplies.iter().enumerate();
        let phases = supplies.map(|(i, supply)| {
            let phase = |e: &Element| match e {
                Element::AcSource { a, bit, .. } if *bit == supply.data => Some(*a),
                _ => None,
            };
            let phases = self.design.network.elements.iter().filter_map(phase);
            let off = (!self.now.get(supply.data)).then_some(Item::Supply(i));
            (off, pairs.iter().map(|&(a, _)| a).zip(phases).collect())
        });
        phases.collect()
    }
}

/// What to switch on, and each terminal of a load with the pole to which it is to be joined.
type Direct = (Option<Item>, Vec<Pair>);

/// A pair of terminals with the poles of the sources that give what it is made for, the best first.
fn two_poles(graph: &Graph, wish: &Wish, (a, b): Pair) -> Vec<Direct> {
    let mut sources: Vec<&Source> = graph.sources.iter().filter(|s| wish.takes(s)).collect();
    sources.sort_by_key(|s| (wish.off_by(s), s.primary.is_some()));
    let direct =
        |s: &&Source| poles(s, wish).into_iter().map(|(p, q)| (s.off, vec![(a, p), (b, q)])).collect();
    sources.iter().take(MOST_SOURCES).flat_map(|s| -> Vec<Direct> { direct(s) }).collect()
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
