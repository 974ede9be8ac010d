//! What a load that has volts has them by.

use super::Load;
use super::circuit::{Wish, poles};
use super::graph::{Graph, Source};
use super::look::{Item, Look};
use crate::design::Pair;
use std::collections::BTreeSet;

/// Most cuts in the search.
const MOST_CUTS: usize = 4;

/// Most sets of cuts that are tried.
const MOST_CUT_TRIES: usize = 400;

impl Look<'_> {
    /// What a load that has volts has them by.
    pub(super) fn cut(&self, load: &Load) -> Option<Vec<Item>> {
        let contacts = |i: &Item| matches!(i, Item::Contact(_));
        let sources = |i: &Item| matches!(i, Item::Contact(_) | Item::Dc(_));
        let all = |i: &Item| !matches!(i, Item::Supply(_));
        let found = self
            .cuts(load, &contacts)
            .or_else(|| self.shorts(&|set| !self.present(load, set)))
            .or_else(|| self.cuts(load, &sources))
            .or_else(|| self.cuts(load, &all));
        found.and_then(|set| self.shrink(load, &set, false)).or_else(|| self.cut_all(load))
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

    /// The last resort: every closed contact, and DC supplies besides, and every conductor, less what is not needed.
    fn cut_all(&self, load: &Load) -> Option<Vec<Item>> {
        let (d, key) = (self.design, &self.now);
        let contacts = (0..d.contacts.len()).filter(|&i| key.get(i)).map(Item::Contact);
        let sources = (0..d.dc_supplies.len()).filter(|&i| key.get(d.dc_supplies[i].data.bit)).map(Item::Dc);
        let mut all: Vec<Item> = contacts.collect();
        all.sort_by_key(|&i| (self.rank(i), i));
        let with_sources: Vec<Item> = all.iter().copied().chain(sources).collect();
        let conductors = (0..d.conductors.len()).map(Item::Conductor).collect();
        [all, with_sources, conductors].into_iter().find_map(|set| self.reduce(load, set, false))
    }
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
