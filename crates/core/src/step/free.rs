//! One tick with heat, motors and machines left free: what an exhaustive exploration repeats.
//!
//! It is the bench's own tick ([`super::step`]), by the same functions in the same order, without what only the
//! continuous half of the state decides: currents of motors, shafts, heat, wear; of a machine with position switches every way in which
//! it can go is told (`machines.rs`). That nothing of what is left depends on the
//! motors' currents is looked into for each key, never assumed. The first damage is told, not simulated.

mod machines;

use super::cache::readings_calm;
use super::marginal::Marginals;
use super::volts::Volts;
use super::{
    Cache, Events, acts, brakes, contactors, contacts, controllers, controls, dc_supplies, lamps, outputs,
    read_volts, settle, switches,
};
use crate::act::BenchAct;
use crate::complex::Complex;
use crate::design::{ContactSource, Design, SignalSource};
use crate::devices::armature::Place;
use crate::devices::motor_curve::Feed;
use crate::network::{Key, Solution};
use crate::part::{ArmatureDelays, DelayRange};
use crate::state::{Awake, ControlState, State};
use rustc_hash::FxHashMap;
use std::fmt;
use std::rc::Rc;

pub use machines::{MachineMove, actuated, machine_moves, machines_outside, stand, watched_machines};

/// What a tick must not bring; a path of the exploration ends there.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub enum Harm {
    /// A short-circuit current flows through this part.
    Short(String),
    /// An input channel stands at a voltage that destroys it.
    Channel(String, u8),
    /// An output stands at a voltage that destroys it.
    Output(String, u8),
    /// A coil draws inrush current while the mechanical interlock holds its armature out.
    Blocked(String),
}

impl fmt::Display for Harm {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Harm::Short(part) => write!(f, "a short-circuit current flows through {part}"),
            Harm::Channel(part, k) => write!(f, "input channel {k} of {part} is destroyed"),
            Harm::Output(part, k) => write!(f, "output {k} of {part} is destroyed"),
            Harm::Blocked(part) => write!(f, "the armature of {part} is held out while its coil attracts"),
        }
    }
}

/// What ends the exploration of a path.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub enum End {
    /// Damage.
    Harm(Harm),
    /// Something that this model does not cover; the reason in words.
    Outside(String),
}

/// What has been found out about keys, beside the solutions themselves. It can be emptied at any time.
#[derive(Clone, Debug, Default)]
pub struct FreeCache {
    cache: Cache,
    ends: FxHashMap<Key, Option<End>>,
    asides: FxHashMap<Key, AsideReads>,
    torques: FxHashMap<Key, Rc<[machines::Torque]>>,
    marginals: Marginals,
}

impl FreeCache {
    /// Voltages inside tolerance bands at the keys that were met.
    pub fn marginals(&self) -> &Marginals {
        &self.marginals
    }
}

/// Computes the tick `state.tick`. Controls, armatures' delays (`ContactorState::delays`) and latches are as the caller has
/// set them; everything that follows from them is computed anew. Machines stay as they are: [`machine_moves`] has the ways in which they
/// can go in this tick.
///
/// # Errors
/// [`End`] if the tick brings damage, or something outside this model.
pub fn free_step(design: &Design, state: &mut State, free: &mut FreeCache) -> Result<(), End> {
    let mut events = Events::default();
    state.awake = Awake::ALL;
    state.key = contacts::key(design, state);
    let known = settle(design, state, &mut free.cache);
    state.stale = false;
    let volts = Volts { solution: &known.solution, drawn: &[] };
    let marginals = &mut free.marginals;
    let end = free.ends.entry(state.key).or_insert_with(|| {
        let end = end_of(design, state, &volts);
        // Where it ends, nothing is read any more.
        if end.is_none() {
            marginals.note(design, &volts);
        }
        end
    });
    if let Some(end) = end {
        return Err(end.clone());
    }
    read_volts(design, state, &volts, &mut events);
    controllers::tick(design, state, &mut free.cache.room, &mut events);
    contactors::tick(design, state, &mut events);
    dc_supplies::tick(design, state);
    brakes::tick(design, state);
    controls::tick(state);
    state.tick += 1;
    match damage(design, state) {
        Some(harm) => Err(End::Harm(harm)),
        None => Ok(()),
    }
}

/// Does at the start of the next tick what a person does.
pub fn free_act(design: &Design, state: &mut State, act: &BenchAct) {
    acts::take(design, state, act, &mut Events::default());
}

/// Number of a control device in its family; none if there is none of this tag.
pub fn control_number(design: &Design, tag: &str) -> Option<usize> {
    design.controls.iter().position(|c| c.tag == tag)
}

/// Delays of a contactor's or relay's armature, suppressor included, by number.
pub fn delays(design: &Design, contactor: usize) -> ArmatureDelays {
    design.contactors[contactor].data.delays
}

/// Limits within which the delays of an armature may lie, suppressor included, by number.
pub fn delay_range(design: &Design, contactor: usize) -> DelayRange {
    delays(design, contactor).range()
}

/// Longest filter of the controller's inputs, ms.
pub fn filter_ms(design: &Design) -> u32 {
    design.controllers.iter().map(|c| u32::from(c.data.controller.filter_ms)).max().unwrap_or(0)
}

/// Why a design as a whole cannot be explored; none if it can.
pub fn design_outside(design: &Design) -> Option<String> {
    if design.controllers.len() > 1 {
        return Some("there is more than one controller".to_string());
    }
    if let Some(fault) = design.faults.iter().find(|fault| !fault.mode.is_explored()) {
        return Some(format!("`{fault}` changes what a proof takes as given"));
    }
    if let Some(c) = design.controllers.iter().find(|c| c.data.scan_us > c.data.watchdog_us()) {
        return Some(format!("the watchdog of {} stops every scan of this program", c.tag));
    }
    if design.contactors.iter().any(|c| c.data.bounce > 0) {
        return Some("contacts of contactors that bounce are not part of a proof".to_string());
    }
    let bits = design.discrete_bits();
    let room = (crate::discrete::WORDS * 64) as u32;
    (bits > room).then(|| format!("its devices need {bits} bits; there is room for {room}"))
}

/// A control device that may be looked at aside: all it reaches is one input channel of the controller, or nothing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Aside {
    /// Number among the control devices.
    pub control: usize,
    /// Number of its positions, 1 to 3.
    pub positions: u8,
    /// Number of its channel.
    pub channel: Option<u8>,
}

/// What the channel of an [`Aside`] reads: bit `2 · (position - 1) + before`, where `before` is what it read in the tick before.
pub type Reads = u8;

/// What the channels of asides read in each position at a key; or the first aside that reaches something else.
pub type AsideReads = Result<Rc<[Reads]>, usize>;

impl Aside {
    /// The bit of its channel; 0 if it has none.
    pub fn bit(&self) -> u64 {
        self.channel.map_or(0, |channel| 1 << channel)
    }

    /// A control device of so many positions, and the one channel that it reaches at the key of `state`; none if it reaches
    /// more.
    pub fn of(
        design: &Design,
        state: &State,
        free: &mut FreeCache,
        control: usize,
        positions: u8,
    ) -> Option<Aside> {
        let reached = |free: &mut FreeCache, position: u8| {
            let keys = [1, position].map(|position| turned(design, state.key, &[(control, position)]));
            let [here, there] = keys.map(|key| classes(design, state, key, free));
            let channels = here.channels.iter().zip(&there.channels).enumerate();
            let channels = channels.fold(0u64, |mask, (k, (a, b))| mask | u64::from(a != b) << k);
            (here.rest == there.rest && here.rest.is_some()).then_some(channels)
        };
        let channels = (2..=positions).map(|p| reached(free, p)).collect::<Option<Vec<u64>>>()?;
        let channels = channels.into_iter().fold(0, |all, mask| all | mask);
        let channel = (channels != 0).then_some(channels.trailing_zeros() as u8);
        (channels.count_ones() <= 1).then_some(Aside { control, positions, channel })
    }

    /// One tick of the control device and the filter of its channel, apart from all else. `powered`: the controller is not off at
    /// the end of the tick.
    pub fn step(&self, design: &Design, state: &mut State, reads: Reads, powered: bool) {
        state.key = contacts::key(design, state);
        let shown = controls::shown(design, state, self.control);
        if let (Some(channel), Some(s)) = (self.channel, state.controllers.first_mut()) {
            let before = u8::from(s.raw & self.bit() != 0);
            s.raw &= !self.bit();
            s.raw |= u64::from(reads >> (2 * (shown - 1) + before) & 1) << channel;
            if powered {
                controllers::filter(s, design.controllers[0].data.controller.filter_ms);
            } else {
                s.filtered &= !self.bit();
                s.differing[usize::from(channel)] = 0;
            }
        }
        controls::tick(state);
    }

    /// Puts the device into its first position and its channel to 0, as if there were none.
    pub fn take_out(&self, state: &mut State) {
        state.controls[self.control] = ControlState::at(1);
        if let (Some(channel), Some(s)) = (self.channel, state.controllers.first_mut()) {
            s.raw &= !self.bit();
            s.filtered &= !self.bit();
            s.differing[usize::from(channel)] = 0;
        }
    }
}

/// What each aside's channel reads at the key of `state`, in whatever positions all of them are.
pub fn aside_reads(design: &Design, state: &State, free: &mut FreeCache, asides: &[Aside]) -> AsideReads {
    if asides.is_empty() {
        return Ok(Rc::default());
    }
    if let Some(known) = free.asides.get(&state.key) {
        return known.clone();
    }
    let reads = reads_anew(design, state, free, asides);
    free.asides.insert(state.key, reads.clone());
    reads
}

fn reads_anew(design: &Design, state: &State, free: &mut FreeCache, asides: &[Aside]) -> AsideReads {
    let mut at = |positions: &[u8]| {
        let all: Vec<(usize, u8)> = asides.iter().map(|a| a.control).zip(positions.iter().copied()).collect();
        classes(design, state, turned(design, state.key, &all), free)
    };
    let mut positions = vec![1; asides.len()];
    let first = at(&positions);
    let mut reads: Vec<Reads> = vec![0; asides.len()];
    let others = asides.iter().fold(u64::MAX, |mask, a| mask & !a.bit());
    // Each by itself comes before those in which several have moved.
    let mut combinations: Vec<Vec<u8>> = vec![positions.clone()];
    for (k, aside) in asides.iter().enumerate() {
        for n in 0..combinations.len() {
            for position in 2..=aside.positions {
                positions.clone_from(&combinations[n]);
                positions[k] = position;
                combinations.push(positions.clone());
            }
        }
    }
    combinations.sort_by_key(|all| all.iter().filter(|&&p| p != 1).count());
    for positions in combinations {
        let now = at(&positions);
        let moved = positions.iter().filter(|&&p| p != 1).count();
        let last = positions.iter().rposition(|&p| p != 1);
        let apart = |(k, (a, b)): (usize, (&[bool; 2], &[bool; 2]))| others >> k & 1 == 0 || a == b;
        let mut alone = now.rest.is_some() && now.rest == first.rest;
        alone &= now.channels.iter().zip(&first.channels).enumerate().all(apart);
        for (k, (aside, &position)) in asides.iter().zip(&positions).enumerate() {
            let Some(channel) = aside.channel else { continue };
            let read = now.channels[usize::from(channel)];
            let place = 2 * (position - 1);
            let read = u8::from(read[0]) << place | u8::from(read[1]) << (place + 1);
            if moved == 0 || moved == 1 && last == Some(k) {
                reads[k] |= read;
            }
            alone &= reads[k] & 3 << place == read;
        }
        if !alone {
            return Err(last.unwrap_or(0));
        }
    }
    Ok(reads.into())
}

/// A key with control devices in these positions.
fn turned(design: &Design, mut key: Key, positions: &[(usize, u8)]) -> Key {
    for (bit, contact) in design.contacts.iter().enumerate() {
        let (ContactSource::Control(i, closed_in), None) = (contact.source, contact.forced) else { continue };
        if let Some((_, position)) = positions.iter().find(|(control, _)| *control == i) {
            key.set(bit, controls::closed(closed_in, *position));
        }
    }
    key
}

/// How everything reads at a key, whatever it read before.
struct Classes {
    /// Input channels: when the bit was 0, and when it was 1.
    channels: Vec<[bool; 2]>,
    /// All else; none if something here makes or ends a current limit.
    rest: Option<(Vec<u32>, Option<End>)>,
}

fn classes(design: &Design, state: &State, key: Key, free: &mut FreeCache) -> Classes {
    let known = free.cache.known(design, &key);
    let volts = Volts { solution: &known.solution, drawn: &[] };
    let mut steady = state.clone();
    steady.key = key;
    let limits = dc_supplies::limit_modes(design, &mut steady, &known.solution)
        | controllers::limit_modes(design, &mut steady, &known.solution);
    let end = end_of(design, &steady, &volts);
    if end.is_none() && !limits {
        free.marginals.note(design, &volts);
    }
    let mut rest: Vec<u32> = Vec::new();
    let mut bits = [false, true].map(|before| {
        steady.controllers.iter_mut().for_each(|s| s.raw = if before { u64::MAX } else { 0 });
        controllers::read_volts(design, &mut steady, &volts, &mut Events::default());
        steady.controllers.iter().map(|s| s.raw).collect::<Vec<u64>>()
    });
    let mut channels = Vec::new();
    for (n, (c, s)) in design.controllers.iter().zip(&steady.controllers).enumerate() {
        for _ in &c.data.inputs {
            channels.push([0, 1].map(|before| bits[before][n] & 1 != 0));
            bits.iter_mut().for_each(|bits| bits[n] >>= 1);
        }
        rest.extend([s.supplied.into(), s.destroyed as u32, (s.destroyed >> 32) as u32]);
    }
    for c in &design.contactors {
        let e = &c.data.electrics;
        let part = e.part(volts.dc(c.data.coil), volts.ac(c.data.coil));
        rest.extend([false, true].map(|before| u32::from(e.attracts(part, before))));
    }
    dc_supplies::read_volts(design, &mut steady, &volts);
    for (d, s) in design.dc_supplies.iter().zip(&steady.dc_supplies) {
        rest.extend([s.input_live.into(), dc_supplies::draw(&d.data.supply, s)]);
    }
    for before in [false, true] {
        steady.brakes.iter_mut().for_each(|s| s.energised = before);
        brakes::read_volts(design, &mut steady, &volts);
        rest.extend(steady.brakes.iter().map(|s| u32::from(s.energised)));
    }
    lamps::read_volts(design, &mut steady, &volts);
    outputs::read_volts(design, &mut steady, &volts, &mut Events::default());
    rest.extend(steady.lamps.iter().map(|&lit| u32::from(lit)));
    rest.extend(steady.controllers.iter().flat_map(|s| s.contacts.iter().map(|o| u32::from(o.damaged))));
    Classes { channels, rest: (!limits).then_some((rest, end)) }
}

/// Value of a signal as it is now, without the state's list of signals.
pub fn free_signal(design: &Design, state: &State, signal: usize) -> bool {
    super::signals::value(design, state, design.signals[signal].source)
}

/// Why a formula with this signal cannot be explored; none if it can.
pub fn outside(design: &Design, signal: usize) -> Option<&'static str> {
    match design.signals[signal].source {
        SignalSource::Turning(_) | SignalSource::Clockwise(_) | SignalSource::Counterclockwise(_) => {
            Some("the motor's speed is free in a proof")
        }
        SignalSource::Hot(_)
        | SignalSource::Burnt(_)
        | SignalSource::CoilBurnt(_)
        | SignalSource::Welded(_) => Some("heat and damage are not part of a proof"),
        SignalSource::Hums(_) | SignalSource::Chatters(_) => Some("sounds are not part of a proof"),
        SignalSource::OutputDamaged(..) => Some("a path of a proof ends at the first damage"),
        _ => None,
    }
}

/// What the network says for a key, whatever the motors do.
fn end_of(design: &Design, state: &State, volts: &Volts) -> Option<End> {
    if let Some(harm) = short(design, state, volts) {
        return Some(End::Harm(harm));
    }
    for c in &design.controllers {
        let ac = c.data.inputs.iter().position(|input| volts.ac(input.nodes) > controllers::AC_VOLTS);
        if let Some(k) = ac
            && c.data.inputs.iter().all(|input| volts.peak(input.nodes) <= controllers::DESTROYED_VOLTS)
        {
            return Some(End::Outside(format!(
                "alternating voltage stands at input channel {k} of {}",
                c.tag
            )));
        }
    }
    let calm = readings_calm(design, volts);
    let drawn = most_drawn(design, volts.solution);
    (drawn > calm).then(|| {
        End::Outside(format!(
            "a coil, channel, lamp or supply depends on the motor's current ({drawn:.0} A at most, {calm:.0} A change nothing)"
        ))
    })
}

/// A short-circuit current, whatever the motors do.
fn short(design: &Design, state: &State, volts: &Volts) -> Option<Harm> {
    let part =
        contactors::shorted(design, state, volts).or_else(|| switches::shorted(design, &state.key, volts));
    part.map(Harm::Short)
}

/// What a whole bench stands in after a tick, by which an exploration ends a path.
pub(crate) fn harm(design: &Design, state: &State, solution: &Solution) -> Option<Harm> {
    let volts = Volts { solution, drawn: &[] };
    short(design, state, &volts).or_else(|| damage(design, state))
}

/// Part of the starting current by which the largest one may be exceeded: closing onto a fading field.
const ONTO_FIELD: f64 = 2.0;

/// Most that a motor draws on a solution, A: at standstill, and turning against the field.
fn most_drawn(design: &Design, solution: &Solution) -> f64 {
    let mut most = 0.0;
    for m in &design.motors {
        let feed = Feed::of(&m.data, solution);
        if feed.apart() || feed.dead() {
            continue;
        }
        for speed in [0.0, -m.data.circuit.synchronous, m.data.circuit.synchronous] {
            for amperes in m.data.circuit.solve(feed.open, feed.z, speed).current.map(Complex::abs) {
                if amperes > most {
                    most = amperes;
                }
            }
        }
    }
    most * ONTO_FIELD
}

/// Damage that the readings of this tick have told.
fn damage(design: &Design, state: &State) -> Option<Harm> {
    for (c, s) in design.controllers.iter().zip(&state.controllers) {
        if s.destroyed != 0 {
            return Some(Harm::Channel(c.tag.clone(), s.destroyed.trailing_zeros() as u8));
        }
        if let Some(k) = s.contacts.iter().position(|contact| contact.damaged) {
            return Some(Harm::Output(c.tag.clone(), k as u8));
        }
    }
    for (i, (c, s)) in design.contactors.iter().zip(&state.contactors).enumerate() {
        let waits = s.armature.place == Place::ClosingAllOpen
            && s.armature.elapsed >= c.data.delays.range().most.main_close_ms;
        if waits && contactors::attracts(design, state, i) {
            return Some(Harm::Blocked(c.tag.clone()));
        }
    }
    None
}
