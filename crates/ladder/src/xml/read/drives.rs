//! The order in which a body's elements are evaluated, and its outputs as rungs.

use std::collections::{BTreeMap, BTreeSet};

use super::Reading;
use super::elements::{Item, Kind};
use super::reduce::{Graph, Part, What};
use crate::lex::normal_comment;
use crate::model::{Network, Output, Rung};

/// An output with what feeds it.
pub(super) struct Drive {
    pub item: usize,
    /// The output; a block's further inputs stand in `further`.
    pub output: Output,
    pub logic: Part,
    pub further: Vec<Option<Part>>,
}

/// The elements of a body in the order of evaluation, and the outputs among them.
pub(super) struct Drives {
    /// Elements that feed an output, and the outputs: what feeds an element before it.
    pub sequence: Vec<usize>,
    /// Whether an element is in the sequence.
    pub used: Vec<bool>,
    /// The elements that feed each element.
    pub feeds: Vec<Vec<usize>>,
    /// Blocks that are called, in capitals.
    pub called: BTreeSet<String>,
    /// The network that each element belongs to, by its first element: what is connected but for the rails.
    network: Vec<usize>,
    done: Vec<Drive>,
}

impl Drives {
    pub fn of(items: &[Item]) -> Self {
        let feeds = feeds(items);
        let network = networks(&feeds, items);
        let mut tops: BTreeMap<usize, (i64, usize)> = BTreeMap::new();
        for (index, item) in items.iter().enumerate().filter(|(_, item)| !is_apart(item)) {
            let top = tops.entry(network[index]).or_insert((item.y, index));
            top.0 = top.0.min(item.y);
        }
        let mut outputs: Vec<usize> = (0..items.len()).filter(|index| is_output(&items[*index])).collect();
        // The order is written only where it is written for all (IEC 61131-3 leaves it to the position else).
        let is_written = outputs.iter().all(|index| items[*index].order.is_some());
        outputs.sort_by_key(|index| {
            let item = &items[*index];
            let order = if is_written { item.order } else { None };
            (order, tops.get(&network[*index]).copied(), item.y, item.x, *index)
        });
        let (sequence, used) = sequence(&outputs, &feeds);
        Drives { sequence, used, feeds, called: BTreeSet::new(), network, done: Vec::new() }
    }

    pub fn add(&mut self, drive: Drive) {
        self.done.push(drive);
    }
}

fn is_output(item: &Item) -> bool {
    matches!(item.kind, Kind::Coil(_) | Kind::Taker(_) | Kind::Block { instance: Some(_), .. })
}

/// Whether an element belongs to no network.
pub(super) fn is_apart(item: &Item) -> bool {
    matches!(item.kind, Kind::LeftRail | Kind::RightRail | Kind::Comment)
}

/// The elements that feed each element.
fn feeds(items: &[Item]) -> Vec<Vec<usize>> {
    let mut connectors: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
    for (index, item) in items.iter().enumerate() {
        if let Kind::Connector(name) = &item.kind {
            connectors.entry(name).or_default().push(index);
        }
    }
    let of = |item: &Item| match &item.kind {
        Kind::Continuation(name) => {
            connectors.get(name.as_str()).map_or(Vec::new(), |ends| ends.iter().copied().take(2).collect())
        }
        _ => item.inputs.iter().flat_map(|input| &input.sources).filter_map(|source| source.item).collect(),
    };
    items.iter().map(of).collect()
}

/// For each element the first one of its network.
fn networks(feeds: &[Vec<usize>], items: &[Item]) -> Vec<usize> {
    let mut parent: Vec<usize> = (0..feeds.len()).collect();
    fn root(parent: &mut [usize], mut index: usize) -> usize {
        while parent[index] != index {
            parent[index] = parent[parent[index]];
            index = parent[index];
        }
        index
    }
    for (index, sources) in feeds.iter().enumerate().filter(|(index, _)| !is_apart(&items[*index])) {
        for source in sources.iter().filter(|source| !is_apart(&items[**source])) {
            let (one, other) = (root(&mut parent, index), root(&mut parent, *source));
            let (first, second) = (one.min(other), one.max(other));
            parent[second] = first;
        }
    }
    (0..feeds.len()).map(|index| root(&mut parent, index)).collect()
}

/// The outputs in their order, each behind what feeds it. In a circle the connection that closes it is passed over.
fn sequence(outputs: &[usize], feeds: &[Vec<usize>]) -> (Vec<usize>, Vec<bool>) {
    let mut sequence = Vec::new();
    let mut used = vec![false; feeds.len()];
    for output in outputs {
        // Elements on the way, each with how many of its sources have been taken.
        let mut way = Vec::new();
        if !std::mem::replace(&mut used[*output], true) {
            way.push((*output, 0));
        }
        while let Some((index, next)) = way.last_mut() {
            match feeds[*index].get(*next) {
                Some(source) => {
                    *next += 1;
                    if !std::mem::replace(&mut used[*source], true) {
                        way.push((*source, 0));
                    }
                }
                None => {
                    sequence.push(*index);
                    way.pop();
                }
            }
        }
    }
    (sequence, used)
}

impl<'d> Reading<'d> {
    /// Makes a rung of each output, in the order of evaluation.
    pub(super) fn rungs_of(&mut self, mut graph: Graph, drives: Drives, items: &[Item<'d>]) {
        let first_use = first_uses(&mut graph, &drives.done);
        let mut bits: BTreeMap<u32, String> = BTreeMap::new();
        let mut latches: BTreeMap<usize, Vec<u32>> = BTreeMap::new();
        for (leaf, drive) in first_use.into_iter().filter(|(leaf, _)| graph.leaves[*leaf as usize].latched) {
            latches.entry(drive).or_default().push(leaf);
        }
        let mut comments = self.comments(&drives, items);
        for (index, drive) in drives.done.into_iter().enumerate() {
            let mut comment = comments.remove(&drives.network[drive.item]).unwrap_or_default();
            for leaf in latches.remove(&index).unwrap_or_default() {
                let (bit, logic) = self.latch(&graph, leaf);
                self.rungs.push(Rung {
                    comment: std::mem::take(&mut comment),
                    logic,
                    output: Output::Coil { var: bit.clone() },
                });
                bits.insert(leaf, bit);
            }
            let network =
                |part: Part| part.network(&|leaf, straight| contact(&graph, &bits, leaf, straight)).normal();
            let mut output = drive.output;
            if let Output::Block(call) = &mut output {
                call.further = drive.further.into_iter().map(|part| part.map(network)).collect();
            }
            self.rungs.push(Rung { comment, logic: network(drive.logic), output });
        }
        for text in comments.into_values() {
            // The rungs that it was about are left out; what is written stays.
            self.comment.push(text);
        }
    }

    /// A bit of our own for a contact, and the contact.
    fn latch(&mut self, graph: &Graph, leaf: u32) -> (String, Network) {
        let logic = contact(graph, &BTreeMap::new(), leaf, true);
        let name = match &logic {
            Network::Contact(contact) => contact.names().next().unwrap_or_default().to_owned(),
            _ => "bit".to_owned(),
        };
        let base = name.split('.').next().unwrap_or_default().to_owned();
        let bit = self.names.add_bit(&format!("{base}_before"), None);
        let done = format!("{name} is read into {bit} before, so that all that it feeds sees the same");
        self.note_at(graph.leaves[leaf as usize].at, "<contact>".to_owned(), done);
        (bit, logic)
    }

    /// What is written about each network that has an output.
    fn comments(&mut self, drives: &Drives, items: &[Item<'d>]) -> BTreeMap<usize, String> {
        let placed = |item: &&Item| !matches!(item.kind, Kind::LeftRail | Kind::RightRail);
        let mut heights = items.iter().filter(placed).map(|item| item.y);
        let first = heights.next();
        // Without places the order of the text tells what a comment stands before.
        let is_placed = heights.any(|y| Some(y) != first);
        let extent = |index: usize| {
            if is_placed { (items[index].y, items[index].bottom) } else { (index as i64, index as i64) }
        };
        let mut extents: BTreeMap<usize, (i64, i64)> = BTreeMap::new();
        let mut texts: BTreeMap<usize, Vec<&str>> = BTreeMap::new();
        let with_output: BTreeSet<usize> = (0..items.len())
            .filter(|index| is_output(&items[*index]))
            .map(|index| drives.network[index])
            .collect();
        for index in (0..items.len()).filter(|index| !is_apart(&items[*index])) {
            let network = drives.network[index];
            if with_output.contains(&network) {
                let (top, bottom) = extent(index);
                let all = extents.entry(network).or_insert((top, bottom));
                *all = (all.0.min(top), all.1.max(bottom));
            }
        }
        let mut by_top: Vec<(i64, i64, usize)> =
            extents.iter().map(|(network, (top, bottom))| (*top, *bottom, *network)).collect();
        by_top.sort();
        for (index, item) in items.iter().enumerate().filter(|(_, item)| !item.comment.is_empty()) {
            let network = if matches!(item.kind, Kind::Comment) {
                about(&by_top, extent(index).0)
            } else {
                with_output.contains(&drives.network[index]).then_some(drives.network[index])
            };
            match network {
                Some(network) => texts.entry(network).or_default().push(&item.comment),
                None => self.comment.push(item.comment.clone()),
            }
        }
        texts.into_iter().map(|(network, texts)| (network, normal_comment(&texts.join("\n")))).collect()
    }
}

/// The network that a comment at a height is about: the one beside it, else the next below, else the last.
fn about(by_top: &[(i64, i64, usize)], y: i64) -> Option<usize> {
    let below = by_top.partition_point(|(top, _, _)| *top < y);
    let beside = below.checked_sub(1).map(|index| by_top[index]).filter(|(_, bottom, _)| *bottom > y);
    beside
        .or_else(|| by_top.get(below).copied())
        .or_else(|| by_top.last().copied())
        .map(|(_, _, network)| network)
}

/// The output that uses each contact first. A contact that a later one uses too, after an output between them has
/// written what it reads, is marked to be read into a bit of its own.
fn first_uses(graph: &mut Graph, drives: &[Drive]) -> BTreeMap<u32, usize> {
    let mut first_use: BTreeMap<u32, usize> = BTreeMap::new();
    let mut last_write: BTreeMap<String, usize> = BTreeMap::new();
    for (index, drive) in drives.iter().enumerate() {
        let mut visit = |leaf: u32| {
            let first = *first_use.entry(leaf).or_insert(index);
            let What::Contact(contact) = &graph.leaves[leaf as usize].what else { return };
            let changed = contact.names().any(|name| {
                let base = name.split('.').next().unwrap_or_default();
                last_write.get(base).is_some_and(|write| *write >= first)
            });
            graph.leaves[leaf as usize].latched |= changed;
        };
        std::iter::once(&drive.logic)
            .chain(drive.further.iter().flatten())
            .for_each(|part| part.each_leaf(&mut visit));
        last_write.insert(drive.output.var().to_owned(), index);
    }
    first_use
}

/// What stands in a rung for a contact of the graph.
fn contact(graph: &Graph, bits: &BTreeMap<u32, String>, leaf: u32, straight: bool) -> Network {
    if let Some(bit) = bits.get(&leaf) {
        return if straight { Network::open(bit) } else { Network::closed(bit) };
    }
    match &graph.leaves[leaf as usize].what {
        What::Constant(value) if *value == straight => Network::True,
        What::Constant(_) => Network::False,
        What::Contact(contact) if straight => Network::Contact(contact.clone()),
        What::Contact(contact) => Network::Contact(contact.clone().opposite()),
    }
}
