//! Every way in which a quantum can go, tick by tick; kept, and taken over from a like state where there is one.

use super::tick::{After, TickEdge, Tried, crossed};
use super::{Cut, Edge, Node, Plant, Presence, To, struck};
use rustc_hash::FxHashMap;
use sealin_core::discrete::StartUp;
use std::rc::Rc;

impl Plant {
    /// Every way in which a quantum can go from a state with an output image.
    pub fn edges(&mut self, plant: u32, image: u64, presence: Presence) -> Result<Rc<[Edge]>, Cut> {
        if let Some(edges) = self.body(presence).relation.get(&(plant, image)) {
            return Ok(Rc::clone(edges));
        }
        let edges = match self.as_before(plant, image, presence) {
            Some(edges) => edges,
            None => match self.set_back(plant) {
                Some((like, start_up)) => self.shifted(like, image, presence, &start_up)?,
                None => self.edges_anew(plant, image, presence)?,
            },
        };
        self.body_mut(presence).relation.insert((plant, image), Rc::clone(&edges));
        Ok(edges)
    }

    /// While the fault is away, what is known from before it struck.
    fn as_before(&mut self, plant: u32, image: u64, presence: Presence) -> Option<Rc<[Edge]>> {
        if presence != Presence::Away {
            return None;
        }
        let like = 2 * self.standings[0].find(self.packed(plant))?;
        let mut edges = self.bodies[0].relation.get(&(like, image))?.to_vec();
        for edge in &mut edges {
            edge.presence = Presence::Away;
            if let To::Plant(to) = &mut edge.to {
                let packed = *self.standings[0].value(*to / 2);
                *to = 2 * self.standings[1].number(packed) + 1;
            }
        }
        Some(edges.into())
    }

    /// The state that is like this one but for start-up times that have run for less, if there is one.
    fn set_back(&mut self, plant: u32) -> Option<(u32, StartUp)> {
        self.in_room(|plants, room| {
            plants.load(plant, 0, 0, room);
            let start_up = plants.design().set_start_up_back(room, plants.period)?;
            Some((plants.number(room, struck(plant)), start_up))
        })
    }

    /// The edges of a state with start-up times put on.
    fn shifted(
        &mut self,
        like: u32,
        image: u64,
        presence: Presence,
        start_up: &StartUp,
    ) -> Result<Rc<[Edge]>, Cut> {
        let mut shifted = self.edges(like, image, presence)?.to_vec();
        self.in_room(|plants, room| {
            for edge in &mut shifted {
                let To::Plant(to) = &mut edge.to else { continue };
                plants.load(*to, 0, 0, room);
                plants.design().put_start_up_on(room, start_up, plants.period);
                *to = plants.number(room, struck(*to));
            }
        });
        Ok(shifted.into())
    }

    /// The same by trying every tick.
    fn edges_anew(&mut self, plant: u32, image: u64, presence: Presence) -> Result<Rc<[Edge]>, Cut> {
        let mut found: FxHashMap<(To, u32, u32, u32), usize> = FxHashMap::default();
        let mut edges: Vec<Edge> = Vec::new();
        let mut nodes = vec![(Node::first(plant), 0u8)];
        let mut seen: FxHashMap<Node, usize> = FxHashMap::default();
        let mut tried = Tried::default();
        for tick in 0..self.period {
            let mut next: Vec<(Node, u8)> = Vec::new();
            seen.clear();
            for (node, actions) in &nodes {
                let barred = self.barred(tick);
                let all = self.tick_edges(node, image, tick, presence, &mut tried)?;
                for edge in all.edges.iter().filter(|edge| edge.fits(node, barred)) {
                    let actions = actions.saturating_add(edge.actions());
                    match self.follow(node, image, tick, edge) {
                        Ok(node) => match seen.get(&node) {
                            Some(&k) => next[k].1 = next[k].1.min(actions),
                            None => {
                                seen.insert(node, next.len());
                                next.push((node, actions));
                            }
                        },
                        Err(end) => {
                            let edge = self.edge(node, To::End(end, tick as u8), presence, actions);
                            keep(&mut edges, &mut found, edge);
                        }
                    }
                }
            }
            nodes = next;
        }
        for (node, actions) in nodes {
            let edge = self.edge(&node, To::Plant(node.plant), presence, actions);
            keep(&mut edges, &mut found, edge);
        }
        Ok(edges.into())
    }

    /// Movers that are not worked at a tick of the quantum, one bit each: none, but for a test.
    pub(super) fn barred(&self, tick: u32) -> u32 {
        #[cfg(feature = "under-test")]
        if tick != 1 {
            return self.once;
        }
        let _ = tick;
        0
    }

    fn edge(&mut self, node: &Node, to: To, presence: Presence, actions: u8) -> Edge {
        let (label, word) = (self.labels.number(node.label), self.words.number(node.word));
        Edge { to, presence, label, word, stream: node.stream, actions }
    }

    /// Where a node goes by an edge of its tick; the number of the end if there it ends.
    pub(super) fn follow(
        &mut self,
        node: &Node,
        image: u64,
        tick: u32,
        edge: &TickEdge,
    ) -> Result<Node, u32> {
        let (plant, signals, climate, scanned, restarted) = match edge.after {
            After::State { plant, signals, climate, scanned, restarted } => {
                (plant, signals, climate, scanned, restarted)
            }
            After::End(end) => return Err(end),
        };
        let mut label = node.label;
        if tick == 0 {
            label.scanned = scanned;
        }
        label.restarted |= restarted;
        let mut word = u128::from(signals);
        let (inputs, outputs) = label.images(image);
        let inputs = if label.lives() { inputs | self.apart_bits } else { inputs };
        for &(place, is_input, bit) in &self.images {
            let value = if is_input { inputs } else { outputs } >> bit & 1;
            word |= u128::from(value) << place;
        }
        word = node.word | word << (tick as usize * self.signals.len());
        // Without devices apart nobody listens.
        let stream = if self.apart.is_empty() { 0 } else { self.streams.number((node.stream, climate)) };
        Ok(Node {
            plant,
            changed: node.changed | edge.changed,
            crossed: crossed(node.crossed, edge.crosses),
            label,
            word,
            stream,
        })
    }
}

fn keep(edges: &mut Vec<Edge>, found: &mut FxHashMap<(To, u32, u32, u32), usize>, edge: Edge) {
    let key = (edge.to, edge.label, edge.word, edge.stream);
    match found.get(&key) {
        Some(&k) => edges[k].actions = edges[k].actions.min(edge.actions),
        None => {
            found.insert(key, edges.len());
            edges.push(edge);
        }
    }
}
