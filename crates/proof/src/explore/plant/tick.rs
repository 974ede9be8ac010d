//! One tick of the plant: every choice of acts, armatures and bounces, each computed once.

use super::{Cut, Node, Plant, Presence, struck};
use rustc_hash::FxHashSet;
use sealin_core::State;
use sealin_core::devices::armature::{Armature, Place};
use sealin_core::part::{ArmatureDelays, DelayRange};
use sealin_core::state::ControllerPhase;
use sealin_core::step::{MachineMove, aside_reads, free_act, free_signal, free_step, machine_moves};
use std::rc::Rc;

/// A quantum begins at a tick of this multiple of the period, so that timers can look back.
const BASE: u64 = 1_000_000;

/// Most that is tried in a quantum: choices of its ticks, and edges that are followed (own choice). Of what ships most is 2.3 million, where
/// all that moves does so at any tick of a starter that is wired through; what takes more would be at it for hours, in one quantum.
pub(in super::super) const MOST_TRIED: u64 = 1 << 22;

/// One way in which a tick can go.
#[derive(Clone, Copy)]
pub(super) struct TickEdge {
    /// Movers that change, one bit each, and where they go: number in [`Plant::acts`].
    pub changed: u32,
    pub acts: u32,
    /// The fault strikes, before anything else.
    pub strikes: bool,
    /// One bit for each armature that changes though it need not, then one for each control device whose contacts show
    /// where they were, then one for each brake of [`Plant::untimed`] that acts.
    pub picks: u32,
    /// What machines do: number in [`Plant::machines`]; and which of them go into another part of their way, two bits each: up, down.
    pub machines: u32,
    pub crosses: u16,
    pub after: After,
}

#[derive(Clone, Copy, PartialEq, Eq, Hash)]
pub(super) enum After {
    State {
        plant: u32,
        /// Signals that are no image bits, from bit 0 on in their order.
        signals: u64,
        /// What it tells devices apart: number in [`Plant::climates`].
        climate: u32,
        /// The input image, if the program was run.
        scanned: Option<u64>,
        restarted: bool,
    },
    End(u32),
}

/// Every way in which a tick can go.
pub(super) struct Ticked {
    pub edges: Box<[TickEdge]>,
    /// Choices of acts, armatures and bounces behind them.
    choices: u64,
}

/// What has been tried in a quantum.
#[derive(Default)]
pub(super) struct Tried {
    /// Choices of each tick from each state, once, and edges that were followed.
    all: u64,
    /// States with output image and tick of which the choices are in it.
    counted: FxHashSet<(u32, u64, u32)>,
}

impl Tried {
    /// Counts what is tried at a node; what was known before counts as what was not, so that it does not matter what was asked before.
    fn count(&mut self, from: (u32, u64, u32), ticked: &Ticked) {
        let choices = if self.counted.insert(from) { ticked.choices } else { 0 };
        self.all += choices + ticked.edges.len() as u64;
    }
}

impl TickEdge {
    /// Whether a node can go by it: no mover changes twice in a quantum, none of `barred` does now, and no machine passes a
    /// second place at which a position switch changes.
    pub fn fits(&self, node: &Node, barred: u32) -> bool {
        self.changed & (node.changed | barred) == 0 && self.crosses & node.crossed == 0
    }

    /// Number of its acts; the fault's is one.
    pub fn actions(&self) -> u8 {
        self.changed.count_ones() as u8 + u8::from(self.strikes)
    }
}

impl Plant {
    /// Every way in which a tick can go from a node of a quantum, of which so much has been tried.
    pub(super) fn tick_edges(
        &mut self,
        node: &Node,
        image: u64,
        tick: u32,
        presence: Presence,
        tried: &mut Tried,
    ) -> Result<Rc<Ticked>, Cut> {
        let image = if tick == 0 { image } else { node.label.images(image).1 };
        let key = (node.plant, image, tick == 0);
        let known = self.body(presence).ticks.get(&key).map(Rc::clone);
        let ticked = match known {
            Some(ticked) => ticked,
            None => {
                let most = self.most_tried - tried.all;
                let all = self
                    .in_room(|plants, room| plants.step_all(node.plant, presence, image, tick, room, most))?;
                let ticked = Rc::new(all);
                self.body_mut(presence).ticks.insert(key, Rc::clone(&ticked));
                ticked
            }
        };
        tried.count((node.plant, image, tick), &ticked);
        if tried.all > self.most_tried { Err(Cut::TooMany) } else { Ok(ticked) }
    }

    /// Takes every choice of one tick, if these are no more than `most`.
    fn step_all(
        &mut self,
        plant: u32,
        presence: Presence,
        image: u64,
        tick: u32,
        room: &mut State,
        most: u64,
    ) -> Result<Ticked, Cut> {
        let (mut edges, mut so_far) = (Vec::new(), 0);
        let mut seen: FxHashSet<(u32, After)> = FxHashSet::default();
        self.load(plant, image, tick, room);
        let strikes = presence.has_struck() && !struck(plant);
        let design = Rc::clone(&self.body(presence).design);
        let levels: Vec<usize> = self.movers.iter().map(|m| m.level(&design, room)).collect();
        let armatures: Vec<Vec<ArmatureDelays>> =
            room.contactors.iter().zip(&self.ranges).map(|(c, range)| choices(c.armature, range)).collect();
        // Then those brakes whose times are free.
        let untimed = self.untimed.clone();
        let first_brake = armatures.len() + room.controls.len();
        let brakes = (0..untimed.len()).fold(0u32, |mask, k| mask | 1 << (first_brake + k));
        for (acts, changed) in self.act_choices(&levels) {
            self.begin(plant, presence, image, tick, &acts, room);
            let controls = room.controls.iter().enumerate();
            let bouncing = controls.fold(0u32, |mask, (i, c)| mask | u32::from(c.bounce > 0) << i);
            let free = armatures
                .iter()
                .enumerate()
                .fold(0u32, |mask, (i, all)| mask | u32::from(all.len() > 1) << i);
            let free = free | bouncing << armatures.len() | brakes;
            let number = self.acts.number(acts.clone());
            // Every subset of the bits that are free, none first.
            let mut picks = 0u32;
            loop {
                so_far += 1;
                if so_far > most {
                    return Err(Cut::TooMany);
                }
                if picks != 0 {
                    self.begin(plant, presence, image, tick, &acts, room);
                }
                for (i, (c, all)) in room.contactors.iter_mut().zip(&armatures).enumerate() {
                    c.delays = Some(all[(picks >> i & 1) as usize]);
                }
                for (i, c) in room.controls.iter_mut().enumerate().filter(|(_, c)| c.bounce > 0) {
                    c.back = Some(picks >> (armatures.len() + i) & 1 != 0);
                }
                for (k, &i) in untimed.iter().enumerate() {
                    room.brakes[i].due = Some(picks >> (first_brake + k) & 1 != 0);
                }
                for (machines, crosses, after) in self.tick(tick, presence, room)? {
                    if seen.insert((changed, after)) {
                        edges.push(TickEdge {
                            changed,
                            acts: number,
                            strikes,
                            picks,
                            machines,
                            crosses,
                            after,
                        });
                    }
                }
                picks = picks.wrapping_sub(free) & free;
                if picks == 0 {
                    break;
                }
            }
        }
        Ok(Ticked { edges: edges.into(), choices: so_far })
    }

    /// A state with these acts done at the start of a tick.
    pub(super) fn begin(
        &self,
        plant: u32,
        presence: Presence,
        image: u64,
        tick: u32,
        acts: &[(usize, usize)],
        room: &mut State,
    ) {
        self.load(plant, image, tick, room);
        for &(m, level) in acts {
            free_act(&self.body(presence).design, room, self.movers[m].act(level));
        }
    }

    /// One tick with everything chosen but what machines do: each way of theirs, by number, which of them cross, and what comes of it.
    fn tick(
        &mut self,
        tick: u32,
        presence: Presence,
        room: &mut State,
    ) -> Result<Vec<(u32, u16, After)>, Cut> {
        let was_on = room.controllers.first().is_some_and(|c| c.phase != ControllerPhase::Off);
        let asides = Rc::clone(&self.asides);
        let body = self.body_mut(presence);
        let ended = free_step(&body.design, room, &mut body.free);
        let reads = aside_reads(&body.design, room, &mut body.free, &asides)
            .map_err(|k| Cut::Demoted(self.apart[k].mover))?;
        if let Err(end) = ended {
            return Ok(vec![(0, 0, After::End(self.ends.number(end)))]);
        }
        let (mut scanned, mut restarted, mut powered) = (None, false, false);
        if let Some(c) = room.controllers.first() {
            scanned =
                (tick == 0 && c.phase == ControllerPhase::Running).then_some(c.inputs & !self.apart_bits);
            powered = c.phase != ControllerPhase::Off;
            restarted = was_on && !powered;
        }
        let climate = self.climates.number((reads, powered));
        let body = self.body_mut(presence);
        let design = Rc::clone(&body.design);
        let moves = machine_moves(&design, room, &mut body.free);
        // Numbering a state takes out of it what is apart: all signals are read before.
        let mut signals = Vec::with_capacity(moves.len());
        for all in &moves {
            all.iter().for_each(|one| one.take(&design, room));
            let bits = self.plain.iter();
            signals.push(bits.fold(0, |bits, &(k, n)| bits | u64::from(free_signal(&design, room, n)) << k));
        }
        let mut after = Vec::with_capacity(moves.len());
        for (all, signals) in moves.into_iter().zip(signals) {
            all.iter().for_each(|one| one.take(&design, room));
            let plant = self.number(room, presence.has_struck());
            let state = After::State { plant, signals, climate, scanned, restarted };
            after.push((self.machines.number(all.clone()), crossings(&all), state));
        }
        Ok(after)
    }

    /// Puts a state into `room`, before tick `tick` of a quantum.
    pub(super) fn load(&self, plant: u32, image: u64, tick: u32, room: &mut State) {
        room.tick = BASE * u64::from(self.period) + u64::from(tick);
        self.design().unpack(self.packed(plant), room);
        room.controls.iter_mut().for_each(|c| c.back = None);
        for c in &mut room.contactors {
            c.chatter = Default::default();
            c.coil = Default::default();
            c.making = 0;
        }
        // A way ends at the first damage: whatever was tried before in this room, here nothing is damaged.
        for c in &mut room.controllers {
            c.destroyed = 0;
            c.contacts.fill(Default::default());
        }
        if let Some(c) = room.controllers.first_mut() {
            (c.inputs, c.outputs, c.result) = if tick == 0 { (0, 0, image) } else { (0, image, 0) };
        }
    }

    /// Which movers go where at this tick: nothing first, then in the order of the movers.
    fn act_choices(&self, levels: &[usize]) -> Vec<(Vec<(usize, usize)>, u32)> {
        let mut all = vec![(Vec::new(), 0)];
        for (m, mover) in self.movers.iter().enumerate() {
            if self.apart.iter().any(|apart| apart.mover == m) {
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
}

/// Which machines go into another part of their way, two bits each in their order: up, down.
fn crossings(moves: &[MachineMove]) -> u16 {
    moves.iter().enumerate().fold(0, |bits, (k, one)| match one.crosses() {
        1 => bits | 1 << (2 * k),
        -1 => bits | 2 << (2 * k),
        _ => bits,
    })
}

/// What was crossed last after `now` as well: a machine that has come up over a place can go down over it, and no further.
pub(super) fn crossed(before: u16, now: u16) -> u16 {
    const UP: u16 = 0x5555;
    let again = (now | now >> 1) & UP;
    before & !(again | again << 1) | now
}

/// The delays that an armature may have in the next tick: to stay on its way as long as it may, or to change now.
pub(super) fn choices(armature: Armature, range: &DelayRange) -> Vec<ArmatureDelays> {
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
