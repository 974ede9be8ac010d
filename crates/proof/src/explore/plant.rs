//! The bench without its program, a quantum at a time: from a discrete state and an output image, every state that can follow.
//!
//! A quantum begins with the tick of a grid instant: filters, the images, the scan, whose result the next quantum's output
//! image takes. What can follow from a state and an image is computed once and kept.

mod merging;
mod path;
mod tick;

use super::control::{Mover, mover};
use super::interner::Interner;
use merging::mergeable;
use rustc_hash::{FxHashMap, FxHashSet};
use sealin_core::design::SignalSource;
use sealin_core::discrete::{Packed, StartUp};
use sealin_core::network::Key;
use sealin_core::part::DelayRange;
use sealin_core::step::{End, FreeCache, delay_range};
use sealin_core::{Design, Fault, State};
use std::rc::Rc;
use tick::{After, Instant, TickEdge};

pub use path::Moves;

/// Most bits of a word: signals of every tick of a quantum.
const WORD_BITS: usize = 128;

/// What the controller did in a quantum.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub(super) struct Label {
    /// It ran its program with this input image.
    pub scanned: Option<u64>,
    /// It lost its supply after that, so that its program will start anew.
    pub restarted: bool,
}

/// How a quantum ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(super) enum To {
    /// In this state.
    Plant(u32),
    /// By what [`Plant::end`] has under this number, at this tick of the quantum.
    End(u32, u8),
}

/// One way in which a quantum can go.
#[derive(Clone, Copy, Debug)]
pub(super) struct Edge {
    pub to: To,
    /// Number of a [`Label`].
    pub label: u32,
    /// Number of a word: the named signals tick by tick, those of tick i from bit `i · signals` on.
    pub word: u32,
    /// Fewest acts by which it goes so.
    pub actions: u8,
}

/// The merging of a control turned out wrong; all begins anew without it.
pub(super) struct Demoted;

/// Where a quantum stands between two ticks.
#[derive(Clone, Copy, PartialEq, Eq, Hash)]
struct Node {
    plant: u32,
    /// Movers that have changed in this quantum, one bit each.
    changed: u32,
    label: Label,
    word: u128,
}

/// A design, and what is known of its network.
struct Body {
    design: Rc<Design>,
    free: FreeCache,
}

/// A discrete state, and whether the fault has struck.
#[derive(Clone, Copy, PartialEq, Eq, Hash)]
struct Standing {
    packed: Packed,
    struck: bool,
}

/// A design without its program, ready to be explored.
pub(super) struct Plant {
    /// As it is without the fault.
    pub design: Rc<Design>,
    /// The design without the fault, and with it if there is one; a fault changes no part's place in the state and no signal's
    /// number.
    bodies: Vec<Body>,
    fault: Option<Fault>,
    pub movers: Vec<Mover>,
    /// Movers that change at the first tick after the sample only.
    pub merged: Vec<bool>,
    /// The input channel of each merged mover, one bit.
    channels: Vec<u64>,
    /// Contacts for which the merging has been looked at.
    looked_at: FxHashSet<(bool, Key)>,
    pub period: u32,
    /// Signals that the formulas name.
    pub signals: Vec<usize>,
    /// Those of them that are bits of an image: place among the signals, of the input image, which bit.
    images: Vec<(usize, bool, u8)>,
    ranges: Vec<DelayRange>,
    room: State,
    standings: Interner<Standing>,
    labels: Interner<Label>,
    words: Interner<u128>,
    ends: Interner<End>,
    acts: Interner<Vec<(usize, usize)>>,
    ticks: FxHashMap<(u32, u64, Instant), Rc<[TickEdge]>>,
    relation: FxHashMap<(u32, u64), Rc<[Edge]>>,
}

impl Plant {
    /// # Errors
    /// What cannot move, or is too much.
    pub fn new(
        design: Rc<Design>,
        struck: Option<(Fault, Rc<Design>)>,
        free: &[String],
        signals: Vec<usize>,
        period: u32,
    ) -> Result<Plant, String> {
        let movers = free.iter().map(|name| mover(&design, name)).collect::<Result<Vec<Mover>, String>>()?;
        if movers.len() > 32 || signals.len() * period as usize > WORD_BITS {
            return Err(format!(
                "{} things that move and {} signals are too many",
                movers.len(),
                signals.len()
            ));
        }
        let contactors = design.initial_state().contactors.len();
        Ok(Plant {
            merged: movers.iter().map(|m| mergeable(&design, m, &signals, period)).collect(),
            channels: vec![0; movers.len()],
            looked_at: FxHashSet::default(),
            ranges: (0..contactors).map(|i| delay_range(&design, i)).collect(),
            room: design.initial_state(),
            images: signals
                .iter()
                .enumerate()
                .filter_map(|(place, &n)| image_bit(&design, place, n))
                .collect(),
            bodies: [&design]
                .into_iter()
                .chain(struck.iter().map(|(_, design)| design))
                .map(Body::of)
                .collect(),
            fault: struck.map(|(fault, _)| fault),
            design,
            movers,
            period,
            signals,
            standings: Interner::new(),
            labels: Interner::new(),
            words: Interner::new(),
            ends: Interner::new(),
            acts: Interner::new(),
            ticks: FxHashMap::default(),
            relation: FxHashMap::default(),
        })
    }

    /// The number of a state, out of which is taken what has no effect any more.
    pub fn number(&mut self, state: &mut State, struck: bool) -> u32 {
        let packed = self.bodies[usize::from(struck)].design.pack(state);
        self.standings.number(Standing { packed, struck })
    }

    pub fn packed(&self, number: u32) -> &Packed {
        &self.standings.value(number).packed
    }

    /// Whether the fault has struck in a state.
    fn struck(&self, number: u32) -> bool {
        self.standings.value(number).struck
    }

    pub fn label(&self, number: u32) -> Label {
        *self.labels.value(number)
    }

    pub fn word(&self, number: u32) -> u128 {
        *self.words.value(number)
    }

    pub fn end(&self, number: u32) -> &End {
        self.ends.value(number)
    }

    /// States met, and edges kept.
    pub fn size(&self) -> (usize, usize) {
        (self.standings.len(), self.relation.values().map(|edges| edges.len()).sum())
    }

    /// Forgets everything, without this merging.
    pub fn start_again(&mut self) {
        self.channels.fill(0);
        self.looked_at = FxHashSet::default();
        self.standings = Interner::new();
        self.ticks = FxHashMap::default();
        self.relation = FxHashMap::default();
    }

    /// The edges of a state with an output image, if they have been asked for.
    pub fn known(&self, plant: u32, image: u64) -> Option<&[Edge]> {
        self.relation.get(&(plant, image)).map(|edges| &edges[..])
    }

    /// Every way in which a quantum can go from a state with an output image.
    pub fn edges(&mut self, plant: u32, image: u64) -> Result<Rc<[Edge]>, Demoted> {
        if let Some(edges) = self.relation.get(&(plant, image)) {
            return Ok(Rc::clone(edges));
        }
        let edges = match self.set_back(plant) {
            Some((like, start_up)) => self.shifted(like, image, &start_up)?,
            None => self.edges_anew(plant, image)?,
        };
        self.relation.insert((plant, image), Rc::clone(&edges));
        Ok(edges)
    }

    /// The state that is like this one but for start-up times that have run for less, if there is one.
    fn set_back(&mut self, plant: u32) -> Option<(u32, StartUp)> {
        let struck = self.struck(plant);
        self.in_room(|plants, room| {
            plants.load(plant, 0, 0, room);
            let start_up = plants.design.set_start_up_back(room, plants.period)?;
            Some((plants.number(room, struck), start_up))
        })
    }

    /// The edges of a state with start-up times put on.
    fn shifted(&mut self, like: u32, image: u64, start_up: &StartUp) -> Result<Rc<[Edge]>, Demoted> {
        let mut shifted = self.edges(like, image)?.to_vec();
        self.in_room(|plants, room| {
            for edge in &mut shifted {
                let To::Plant(to) = &mut edge.to else { continue };
                plants.load(*to, 0, 0, room);
                plants.design.put_start_up_on(room, start_up, plants.period);
                *to = plants.number(room, plants.struck(*to));
            }
        });
        Ok(shifted.into())
    }

    /// Does something with a state to work in, which is kept so that it need not be made each time.
    fn in_room<T>(&mut self, work: impl FnOnce(&mut Plant, &mut State) -> T) -> T {
        let mut room = std::mem::take(&mut self.room);
        let done = work(self, &mut room);
        self.room = room;
        done
    }

    fn edges_anew(&mut self, plant: u32, image: u64) -> Result<Rc<[Edge]>, Demoted> {
        let mut found: FxHashMap<(To, u32, u32), usize> = FxHashMap::default();
        let mut edges: Vec<Edge> = Vec::new();
        let mut nodes = vec![(Node::first(plant), 0u8)];
        let mut seen: FxHashMap<Node, usize> = FxHashMap::default();
        for tick in 0..self.period {
            let mut next: Vec<(Node, u8)> = Vec::new();
            seen.clear();
            for (node, actions) in &nodes {
                for edge in self.tick_edges(node, image, tick)?.iter().filter(|edge| edge.fits(node)) {
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
                            let to = To::End(end, tick as u8);
                            let (label, word) =
                                (self.labels.number(node.label), self.words.number(node.word));
                            keep(&mut edges, &mut found, Edge { to, label, word, actions });
                        }
                    }
                }
            }
            nodes = next;
        }
        for (node, actions) in nodes {
            let (label, word) = (self.labels.number(node.label), self.words.number(node.word));
            keep(&mut edges, &mut found, Edge { to: To::Plant(node.plant), label, word, actions });
        }
        Ok(edges.into())
    }

    /// Where a node goes by an edge of its tick; the number of the end if there it ends.
    fn follow(&self, node: &Node, image: u64, tick: u32, edge: &TickEdge) -> Result<Node, u32> {
        let (plant, signals, scanned, restarted) = match edge.after {
            After::State { plant, signals, scanned, restarted } => (plant, signals, scanned, restarted),
            After::End(end) => return Err(end),
        };
        let mut label = node.label;
        if tick == 0 {
            label.scanned = scanned;
        }
        label.restarted |= restarted;
        let mut word = u128::from(signals);
        let (inputs, outputs) = label.images(image);
        for &(place, is_input, bit) in &self.images {
            let value = if is_input { inputs } else { outputs } >> bit & 1;
            word |= u128::from(value) << place;
        }
        word = node.word | word << (tick as usize * self.signals.len());
        Ok(Node { plant, changed: node.changed | edge.changed, label, word })
    }
}

fn keep(edges: &mut Vec<Edge>, found: &mut FxHashMap<(To, u32, u32), usize>, edge: Edge) {
    let key = (edge.to, edge.label, edge.word);
    match found.get(&key) {
        Some(&k) => edges[k].actions = edges[k].actions.min(edge.actions),
        None => {
            found.insert(key, edges.len());
            edges.push(edge);
        }
    }
}

impl Body {
    fn of(design: &Rc<Design>) -> Body {
        Body { design: Rc::clone(design), free: FreeCache::default() }
    }
}

fn image_bit(design: &Design, place: usize, signal: usize) -> Option<(usize, bool, u8)> {
    match design.signals[signal].source {
        SignalSource::Input(_, bit) => Some((place, true, bit)),
        SignalSource::Output(_, bit) => Some((place, false, bit)),
        _ => None,
    }
}

impl Node {
    fn first(plant: u32) -> Node {
        Node { plant, changed: 0, label: Label::default(), word: 0 }
    }
}

impl Label {
    /// Input and output image after the tick of the grid instant, where the output image begins as `image`.
    fn images(&self, image: u64) -> (u64, u64) {
        match self.scanned {
            Some(inputs) if !self.restarted => (inputs, image),
            _ => (0, 0),
        }
    }
}
