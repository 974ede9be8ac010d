//! One tick with heat, motors and machines left free: what an exhaustive exploration repeats.
//!
//! It is the bench's own tick ([`super::step`]), by the same functions in the same order, without what only the
//! continuous half of the state decides: currents of motors, shafts, heat, wear. That nothing of what is left depends on the
//! motors' currents is looked into for each key, never assumed. The first damage is told, not simulated.

use super::cache::readings_calm;
use super::volts::Volts;
use super::{
    Cache, Events, acts, brakes, contactors, contacts, controllers, controls, dc_supplies, read_volts,
    settle, switches,
};
use crate::act::BenchAct;
use crate::complex::Complex;
use crate::design::{ContactSource, Design, SignalSource};
use crate::devices::armature::Place;
use crate::devices::motor_curve::Feed;
use crate::network::{Key, Solution};
use crate::part::DelayRange;
use crate::state::{Awake, State};
use rustc_hash::FxHashMap;
use std::fmt;

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
    channels: FxHashMap<(Key, usize, u8), Option<u64>>,
}

/// Computes the tick `state.tick`. Controls, armatures' delays (`ContactorState::delays`) and latches are as the caller has
/// set them; everything that follows from them is computed anew.
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
    let end = free.ends.entry(state.key).or_insert_with(|| end_of(design, state, &volts));
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

/// Delays of a contactor's or relay's armature, suppressor included, and the limits within which they lie; by number.
pub fn delay_range(design: &Design, contactor: usize) -> DelayRange {
    design.contactors[contactor].data.delays.range()
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
    if let Some(c) = design.controllers.iter().find(|c| c.data.scan_us > c.data.watchdog_us()) {
        return Some(format!("the watchdog of {} stops every scan of this program", c.tag));
    }
    if !design.position_switches.is_empty() {
        return Some("position switches follow a machine, whose position is free in a proof".to_string());
    }
    if design.contactors.iter().any(|c| c.data.bounce > 0) {
        return Some("contacts of contactors that bounce are not part of a proof".to_string());
    }
    let bits = design.discrete_bits();
    let room = (crate::discrete::WORDS * 64) as u32;
    (bits > room).then(|| format!("its devices need {bits} bits; there is room for {room}"))
}

/// Which input channels, one bit each in the order of controllers and addresses, would be read otherwise if control device
/// `control` stood in `position` as the contacts are at the last tick; none if that would change anything else but lamps.
pub fn channels_only(
    design: &Design,
    state: &State,
    free: &mut FreeCache,
    control: usize,
    position: u8,
) -> Option<u64> {
    if let Some(known) = free.channels.get(&(state.key, control, position)) {
        return *known;
    }
    let mut key = state.key;
    for (bit, contact) in design.contacts.iter().enumerate() {
        if let (ContactSource::Control(i, closed_in), None) = (contact.source, contact.forced)
            && i == control
        {
            key.set(bit, controls::closed(closed_in, position));
        }
    }
    let now = classes(design, state, state.key, &mut free.cache);
    let then = classes(design, state, key, &mut free.cache);
    let channels = (now.rest == then.rest && then.rest.is_some()).then(|| {
        let pairs = now.channels.iter().zip(&then.channels).enumerate();
        pairs.fold(0, |mask, (k, (a, b))| mask | u64::from(a != b) << k)
    });
    free.channels.insert((state.key, control, position), channels);
    channels
}

/// How everything reads at a key, whatever it read before.
struct Classes {
    /// Input channels: when the bit was 0, and when it was 1.
    channels: Vec<[bool; 2]>,
    /// All else but lamps; none if something here makes or ends a current limit, or does damage.
    rest: Option<Vec<u32>>,
}

fn classes(design: &Design, state: &State, key: Key, cache: &mut Cache) -> Classes {
    let known = cache.known(design, &key);
    let volts = Volts { solution: &known.solution, drawn: &[] };
    let mut steady = state.clone();
    steady.key = key;
    let limits = dc_supplies::limit_modes(design, &mut steady, &known.solution)
        | controllers::limit_modes(design, &mut steady, &known.solution);
    let harmless = !limits && end_of(design, &steady, &volts).is_none();
    let mut channels = Vec::new();
    let mut rest: Vec<u32> = Vec::new();
    for c in &design.controllers {
        channels.extend(
            c.data
                .inputs
                .iter()
                .map(|input| [false, true].map(|before| input.levels.bit(volts.dc(input.nodes), before))),
        );
        rest.push((volts.dc(c.data.supply) >= controllers::SUPPLY_VOLTS).into());
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
    Classes { channels, rest: harmless.then_some(rest) }
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
        SignalSource::Actuated(_) => Some("the machine's position is free in a proof"),
        SignalSource::OutputDamaged(..) => Some("a path of a proof ends at the first damage"),
        _ => None,
    }
}

/// What the network says for a key, whatever the motors do.
fn end_of(design: &Design, state: &State, volts: &Volts) -> Option<End> {
    if let Some(part) = contactors::shorted(design, state, volts) {
        return Some(End::Harm(Harm::Short(part)));
    }
    if let Some(part) = switches::shorted(design, volts) {
        return Some(End::Harm(Harm::Short(part)));
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
