//! The bench without its program, a quantum at a time: from a discrete state and an output image, every state that can follow.
//!
//! A quantum begins with the tick of a grid instant: filters, the images, the scan, whose result the next quantum's output
//! image takes. What can follow from a state and an image is computed once and kept.

use super::control::{Mover, mover};
use super::interner::Interner;
use rustc_hash::{FxHashMap, FxHashSet};
use sealin_core::design::SignalSource;
use sealin_core::devices::armature::{Armature, Place};
use sealin_core::discrete::{Packed, StartUp};
use sealin_core::network::Key;
use sealin_core::part::ArmatureDelays;
use sealin_core::state::ControllerPhase;
use sealin_core::step::{
    DelayRange, End, FreeCache, channels_only, delay_range, filter_ms, free_act, free_signal, free_step,
};
use sealin_core::{BenchAct, Design, State};
use std::rc::Rc;

/// Most bits of a word: signals of every tick of a quantum.
const WORD_BITS: usize = 128;

/// A quantum begins at a tick of this multiple of the period, so that timers can look back.
const BASE: u64 = 1_000_000;

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

/// What happens in one tick of a path.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Moves {
    /// Acts at its start.
    pub acts: Vec<BenchAct>,
    /// Delays of every contactor in it.
    pub delays: Vec<ArmatureDelays>,
    /// Control devices, by number, whose contacts show where they were before, as they bounce; and those that show where
    /// they are.
    pub bounces: Vec<(usize, bool)>,
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

/// Which ticks of a quantum are alike.
#[derive(Clone, Copy, PartialEq, Eq, Hash)]
enum Instant {
    /// The grid instant, at which the program is run.
    Grid,
    /// The one after it, at which merged movers change.
    After,
    Other,
}

/// One way in which a tick can go.
#[derive(Clone, Copy)]
struct TickEdge {
    /// Movers that change, one bit each, and where they go: number in [`Plant::acts`].
    changed: u32,
    acts: u32,
    /// One bit for each armature that changes though it need not, then one for each control device whose contacts show
    /// where they were.
    picks: u32,
    after: After,
}

#[derive(Clone, Copy, PartialEq, Eq, Hash)]
enum After {
    State {
        plant: u32,
        /// Signals that are no image bits, from bit 0 on in their order.
        signals: u64,
        /// The input image, if the program was run.
        scanned: Option<u64>,
        restarted: bool,
    },
    End(u32),
}

/// A design without its program, ready to be explored.
pub(super) struct Plant {
    pub design: Rc<Design>,
    pub movers: Vec<Mover>,
    /// Movers that change at the first tick after the sample only.
    pub merged: Vec<bool>,
    /// The input channel of each merged mover, one bit.
    channels: Vec<u64>,
    /// Contacts for which the merging has been looked at.
    looked_at: FxHashSet<Key>,
    pub period: u32,
    /// Signals that the formulas name.
    pub signals: Vec<usize>,
    /// Those of them that are bits of an image: place among the signals, of the input image, which bit.
    images: Vec<(usize, bool, u8)>,
    ranges: Vec<DelayRange>,
    free: FreeCache,
    room: State,
    packed: Interner<Packed>,
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
            design,
            movers,
            period,
            signals,
            free: FreeCache::default(),
            packed: Interner::new(),
            labels: Interner::new(),
            words: Interner::new(),
            ends: Interner::new(),
            acts: Interner::new(),
            ticks: FxHashMap::default(),
            relation: FxHashMap::default(),
        })
    }

    /// The number of a state.
    pub fn number(&mut self, state: &State) -> u32 {
        self.packed.number(self.design.pack(state))
    }

    pub fn packed(&self, number: u32) -> &Packed {
        self.packed.value(number)
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
        (self.packed.len(), self.relation.values().map(|edges| edges.len()).sum())
    }

    /// Forgets everything, without this merging.
    pub fn start_again(&mut self) {
        self.channels.fill(0);
        self.looked_at = FxHashSet::default();
        self.packed = Interner::new();
        self.ticks = FxHashMap::default();
        self.relation = FxHashMap::default();
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
        let mut room = std::mem::take(&mut self.room);
        self.load(plant, 0, 0, &mut room);
        let start_up = self.design.set_start_up_back(&mut room, self.period);
        let found = start_up.map(|start_up| {
            let mut packed = Packed::default();
            self.design.pack_from(&mut room, &mut packed);
            (self.packed.number(packed), start_up)
        });
        self.room = room;
        found
    }

    /// The edges of a state with start-up times put on.
    fn shifted(&mut self, like: u32, image: u64, start_up: &StartUp) -> Result<Rc<[Edge]>, Demoted> {
        let edges = self.edges(like, image)?;
        let mut room = std::mem::take(&mut self.room);
        let mut shifted = edges.to_vec();
        for edge in &mut shifted {
            let To::Plant(to) = &mut edge.to else { continue };
            self.load(*to, 0, 0, &mut room);
            self.design.put_start_up_on(&mut room, start_up, self.period);
            let mut packed = Packed::default();
            self.design.pack_from(&mut room, &mut packed);
            *to = self.packed.number(packed);
        }
        self.room = room;
        Ok(shifted.into())
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
                for edge in
                    self.tick_edges(node, image, tick)?.iter().filter(|edge| edge.changed & node.changed == 0)
                {
                    let actions = actions.saturating_add(edge.changed.count_ones() as u8);
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

    /// The ticks of a quantum that goes as an edge says, with the fewest acts, the first of them in the order of the movers.
    pub fn path(&mut self, plant: u32, image: u64, edge: &Edge) -> Result<Vec<Moves>, Demoted> {
        /// A node, the one of the tick before, by which edge, and the acts so far.
        type Step = (Node, usize, Option<TickEdge>, u8);
        let mut layers: Vec<Vec<Step>> = vec![vec![(Node::first(plant), 0, None, 0)]];
        let last = match edge.to {
            To::Plant(_) => self.period,
            To::End(_, tick) => u32::from(tick),
        };
        for tick in 0..last {
            let mut next: Vec<Step> = Vec::new();
            let mut seen: FxHashMap<Node, usize> = FxHashMap::default();
            for (from, (node, _, _, actions)) in layers[tick as usize].clone().iter().enumerate() {
                for by in
                    self.tick_edges(node, image, tick)?.iter().filter(|by| by.changed & node.changed == 0)
                {
                    let actions = actions.saturating_add(by.changed.count_ones() as u8);
                    let Ok(node) = self.follow(node, image, tick, by) else { continue };
                    match seen.get(&node) {
                        Some(&k) if next[k].3 <= actions => {}
                        Some(&k) => next[k] = (node, from, Some(*by), actions),
                        None => {
                            seen.insert(node, next.len());
                            next.push((node, from, Some(*by), actions));
                        }
                    }
                }
            }
            layers.push(next);
        }
        let (label, word) = (self.label(edge.label), self.word(edge.word));
        // The node at which it ends, and for an end the tick edge that leads there.
        let mut best: Option<(usize, Option<TickEdge>, u8)> = None;
        let mut offer = |at: usize, by: Option<TickEdge>, actions: u8| {
            if best.as_ref().is_none_or(|best| actions < best.2) {
                best = Some((at, by, actions));
            }
        };
        for (at, (node, _, _, actions)) in layers[last as usize].clone().iter().enumerate() {
            if (node.label, node.word) != (label, word) {
                continue;
            }
            match edge.to {
                To::Plant(to) if node.plant == to => offer(at, None, *actions),
                To::Plant(_) => {}
                To::End(end, _) => {
                    let edges = self.tick_edges(node, image, last)?;
                    let leads =
                        |by: &&TickEdge| by.changed & node.changed == 0 && by.after == After::End(end);
                    edges
                        .iter()
                        .filter(leads)
                        .for_each(|by| offer(at, Some(*by), actions + by.changed.count_ones() as u8));
                }
            }
        }
        let (mut at, end, _) = best.expect("an edge of this relation");
        let mut moves: Vec<Moves> = Vec::new();
        if let Some(by) = end {
            moves.push(self.moves(layers[last as usize][at].0.plant, &by));
        }
        for tick in (0..last as usize).rev() {
            let (_, from, by, _) = &layers[tick + 1][at];
            let by = by.expect("only the first node has none");
            moves.push(self.moves(layers[tick][*from].0.plant, &by));
            at = *from;
        }
        moves.reverse();
        Ok(moves)
    }

    /// Where a node goes by an edge of its tick; the number of the end if there it ends.
    fn follow(&self, node: &Node, image: u64, tick: u32, edge: &TickEdge) -> Result<Node, u32> {
        let After::State { plant, signals, scanned, restarted } = edge.after else {
            let After::End(end) = edge.after else { unreachable!("one of the two") };
            return Err(end);
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

    /// Every way in which a tick can go from a node.
    fn tick_edges(&mut self, node: &Node, image: u64, tick: u32) -> Result<Rc<[TickEdge]>, Demoted> {
        let instant = match tick {
            0 => Instant::Grid,
            1 => Instant::After,
            _ => Instant::Other,
        };
        let image = if tick == 0 { image } else { node.label.images(image).1 };
        let key = (node.plant, image, instant);
        if let Some(edges) = self.ticks.get(&key) {
            return Ok(Rc::clone(edges));
        }
        let mut room = std::mem::take(&mut self.room);
        let edges = self.step_all(node.plant, image, tick, &mut room);
        self.room = room;
        let edges: Rc<[TickEdge]> = edges?.into();
        self.ticks.insert(key, Rc::clone(&edges));
        Ok(edges)
    }

    /// Takes every choice of one tick.
    fn step_all(
        &mut self,
        plant: u32,
        image: u64,
        tick: u32,
        room: &mut State,
    ) -> Result<Vec<TickEdge>, Demoted> {
        let mut edges = Vec::new();
        let mut seen: FxHashMap<(u32, After), ()> = FxHashMap::default();
        self.load(plant, image, tick, room);
        let levels: Vec<usize> = self.movers.iter().map(|m| m.level(&self.design, room)).collect();
        let armatures: Vec<Vec<ArmatureDelays>> =
            room.contactors.iter().zip(&self.ranges).map(|(c, range)| choices(c.armature, range)).collect();
        for (acts, changed) in self.act_choices(&levels, tick) {
            self.begin(plant, image, tick, &acts, room);
            let controls = room.controls.iter().enumerate();
            let bouncing = controls.fold(0u32, |mask, (i, c)| mask | u32::from(c.bounce > 0) << i);
            let free = armatures
                .iter()
                .enumerate()
                .fold(0u32, |mask, (i, all)| mask | u32::from(all.len() > 1) << i);
            let free = free | bouncing << armatures.len();
            let number = self.acts.number(acts.clone());
            // Every subset of the bits that are free, none first.
            let mut picks = 0u32;
            loop {
                if picks != 0 {
                    self.begin(plant, image, tick, &acts, room);
                }
                for (i, (c, all)) in room.contactors.iter_mut().zip(&armatures).enumerate() {
                    c.delays = Some(all[(picks >> i & 1) as usize]);
                }
                for (i, c) in room.controls.iter_mut().enumerate().filter(|(_, c)| c.bounce > 0) {
                    c.back = Some(picks >> (armatures.len() + i) & 1 != 0);
                }
                let after = self.tick(tick, room)?;
                if seen.insert((changed, after), ()).is_none() {
                    edges.push(TickEdge { changed, acts: number, picks, after });
                }
                picks = picks.wrapping_sub(free) & free;
                if picks == 0 {
                    break;
                }
            }
        }
        Ok(edges)
    }

    /// A state with these acts done at the start of a tick.
    fn begin(&self, plant: u32, image: u64, tick: u32, acts: &[(usize, usize)], room: &mut State) {
        self.load(plant, image, tick, room);
        for &(m, level) in acts {
            free_act(&self.design, room, self.movers[m].act(level));
            if let Some(device) = self.movers[m].device.filter(|_| self.merged[m]) {
                // What a merged control does in its bounce is seen by no filter.
                room.controls[device].bounce = 0;
            }
        }
    }

    /// One tick with everything chosen.
    fn tick(&mut self, tick: u32, room: &mut State) -> Result<After, Demoted> {
        let was_on = room.controllers.first().is_some_and(|c| c.phase != ControllerPhase::Off);
        if let Err(end) = free_step(&self.design, room, &mut self.free) {
            return Ok(After::End(self.ends.number(end)));
        }
        let (mut scanned, mut restarted) = (None, false);
        if let Some(c) = room.controllers.first() {
            scanned = (tick == 0 && c.phase == ControllerPhase::Running).then_some(c.inputs);
            restarted = was_on && c.phase == ControllerPhase::Off;
        }
        self.look_at_merging(room)?;
        let mut signals = 0;
        for (k, &signal) in self.signals.iter().enumerate() {
            let image = self.images.iter().any(|&(place, ..)| place == k);
            signals |= u64::from(!image && free_signal(&self.design, room, signal)) << k;
        }
        let mut packed = Packed::default();
        self.design.pack_from(room, &mut packed);
        Ok(After::State { plant: self.packed.number(packed), signals, scanned, restarted })
    }

    fn load(&self, plant: u32, image: u64, tick: u32, room: &mut State) {
        room.tick = BASE * u64::from(self.period) + u64::from(tick);
        self.design.unpack(self.packed.value(plant), room);
        room.controls.iter_mut().for_each(|c| c.back = None);
        for c in &mut room.contactors {
            c.chatter = Default::default();
            c.coil = Default::default();
            c.making = 0;
        }
        if let Some(c) = room.controllers.first_mut() {
            (c.inputs, c.outputs, c.result) = if tick == 0 { (0, 0, image) } else { (0, image, 0) };
        }
    }

    /// What happens in a tick that goes by an edge.
    fn moves(&self, plant: u32, edge: &TickEdge) -> Moves {
        let mut room = self.design.initial_state();
        let acts = self.acts.value(edge.acts);
        self.begin(plant, 0, 1, acts, &mut room);
        let pick = |i: usize| (edge.picks >> i & 1) as usize;
        let contactors = room.contactors.iter().zip(&self.ranges).enumerate();
        let bouncing = room.controls.iter().enumerate().filter(|(_, c)| c.bounce > 0);
        Moves {
            acts: acts.iter().map(|&(m, level)| self.movers[m].act(level).clone()).collect(),
            delays: contactors.map(|(i, (c, range))| choices(c.armature, range)[pick(i)]).collect(),
            bounces: bouncing.map(|(i, _)| (i, pick(room.contactors.len() + i) != 0)).collect(),
        }
    }

    /// Which movers go where at this tick: nothing first, then in the order of the movers.
    fn act_choices(&self, levels: &[usize], tick: u32) -> Vec<(Vec<(usize, usize)>, u32)> {
        let mut all = vec![(Vec::new(), 0)];
        for (m, mover) in self.movers.iter().enumerate() {
            let merged_now = tick == 1 || self.period == 1;
            if self.merged[m] && !merged_now {
                continue;
            }
            for k in 0..all.len() {
                for level in (0..mover.levels()).filter(|&level| level != levels[m]) {
                    let (mut acts, changed): (Vec<(usize, usize)>, u32) = all[k].clone();
                    acts.push((m, level));
                    all.push((acts, changed | 1 << m));
                }
            }
        }
        all
    }

    /// Whether the merged controls still change nothing but channels of their own and lamps.
    fn look_at_merging(&mut self, state: &State) -> Result<(), Demoted> {
        if !self.looked_at.insert(state.key) {
            return Ok(());
        }
        for m in 0..self.movers.len() {
            let Some(device) = self.movers[m].device.filter(|_| self.merged[m]) else { continue };
            let here = state.controls[device].position;
            for position in (1..=self.movers[m].levels() as u8).filter(|&p| p != here) {
                let channels = channels_only(&self.design, state, &mut self.free, device, position);
                self.channels[m] |= channels.unwrap_or(u64::MAX);
                let others = self.channels.iter().enumerate().filter(|(k, _)| *k != m);
                let shared = others.fold(0, |all, (_, mask)| all | mask) & self.channels[m] != 0;
                if self.channels[m].count_ones() > 1 || shared {
                    self.merged[m] = false;
                    return Err(Demoted);
                }
            }
        }
        Ok(())
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

/// Whether a mover may be merged at first: a control device that no formula names, with a filter that settles within a period
/// whatever bounces.
fn mergeable(design: &Design, mover: &Mover, signals: &[usize], period: u32) -> bool {
    /// Ticks of bounce that a filter sees before its count begins.
    const BOUNCE: u32 = 2;
    let named = signals.iter().any(|&n| {
        let name = design.signals[n].name.as_str();
        name.split('.').next() == Some(mover.name.as_str())
    });
    mover.device.is_some() && !named && period > 1 && filter_ms(design) + BOUNCE <= period
}

/// The delays that an armature may have in the next tick: to stay on its way as long as it may, or to change now.
fn choices(armature: Armature, range: &DelayRange) -> Vec<ArmatureDelays> {
    let (least, most) = (range.least, range.most);
    let next = armature.elapsed.saturating_add(1);
    let first = 1;
    let may = |least: u8, at: u8, most: u8| (least <= at && at < most).then_some(at);
    let mut all = vec![match armature.place {
        // Drawn in again on its way out, it has as far to go as one whose break contacts opened as early as can be.
        Place::ReleasedAllOpen => ArmatureDelays { break_open_ms: least.break_open_ms, ..most },
        _ => most,
    }];
    let stay = all[0];
    let change = match armature.place {
        Place::Out => may(least.break_open_ms, first, most.break_open_ms)
            .map(|at| ArmatureDelays { break_open_ms: at, ..stay }),
        Place::ClosingBreakShut => may(least.break_open_ms, next, most.break_open_ms)
            .map(|at| ArmatureDelays { break_open_ms: at, ..stay }),
        Place::ClosingAllOpen => may(least.main_close_ms, next, most.main_close_ms)
            .map(|at| ArmatureDelays { main_close_ms: at, ..stay }),
        Place::In => may(least.main_open_ms, first, most.main_open_ms)
            .map(|at| ArmatureDelays { main_open_ms: at, ..stay }),
        Place::ReleasingMainShut => may(least.main_open_ms, next, most.main_open_ms)
            .map(|at| ArmatureDelays { main_open_ms: at, ..stay }),
        Place::ReleasedAllOpen => may(least.break_close_ms, next, most.break_close_ms)
            .map(|at| ArmatureDelays { break_close_ms: at, ..stay }),
    };
    all.extend(change);
    all
}
