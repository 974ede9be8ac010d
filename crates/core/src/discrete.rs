//! The discrete half of a state as few bits: what an exhaustive exploration keeps of a bench between two ticks.
//!
//! Of a machine that actuates position switches there is the part of its way in which it is, and the sense in which it moves. Left
//! out are the rest of the continuous half (speeds, currents, heat, wear), what every tick reads anew from the network, the program's
//! memory and the images of the controller, which go their own way, and damage, at which an exploration ends.

use crate::design::Design;
use crate::devices::armature::{Armature, Place};
use crate::devices::machine::Way;
use crate::devices::shaft::MotorState;
use crate::state::{ControlState, ControllerPhase, DcPhase, State};
use crate::step::dc_supplies;
use sealin_ladder::bits;

/// Words of a [`Packed`].
pub const WORDS: usize = 6;

/// The discrete half of a state, from bit 0 of the first word on.
pub type Packed = [u64; WORDS];

/// Longest bounce that is kept, ticks, and with it the width of its count.
const BOUNCE_BITS: u32 = 6;

/// Bits to one side: every field is named once, in [`fields`], for both directions.
struct Bits<'a> {
    words: &'a mut Packed,
    at: u32,
    write: bool,
}

impl Bits<'_> {
    /// Writes `value`, or reads what was written; `width` bits, at most 32.
    fn field(&mut self, value: u64, width: u32) -> u64 {
        let at = self.at;
        self.at += width;
        if self.at > (WORDS * 64) as u32 {
            // There is no room: `Design::discrete_bits` tells.
            return value;
        }
        if self.write {
            debug_assert!(value >> width == 0, "{value} in {width} bits");
            bits::put(self.words, at, width, value);
            return value;
        }
        bits::get(self.words, at, width)
    }

    fn bit(&mut self, value: &mut bool) {
        *value = self.field(u64::from(*value), 1) != 0;
    }

    fn byte(&mut self, value: &mut u8, width: u32) {
        *value = self.field(u64::from(*value), width) as u8;
    }

    fn short(&mut self, value: &mut u16, most: u16) {
        *value = self.field(u64::from(*value), width(most.into())) as u16;
    }
}

/// Bits that the numbers up to `most` need.
fn width(most: u32) -> u32 {
    u32::BITS - most.leading_zeros()
}

impl Design {
    /// Bits of the discrete half of this design's states.
    pub fn discrete_bits(&self) -> u32 {
        let mut words = Packed::default();
        let mut bits = Bits { words: &mut words, at: 0, write: true };
        fields(self, &mut self.initial_state(), &mut bits);
        bits.at
    }

    /// The discrete half of a state. States that differ only in what has no effect any more are packed alike; that is taken out
    /// of `state` itself.
    pub fn pack(&self, state: &mut State) -> Packed {
        let mut words = Packed::default();
        settle(self, state);
        fields(self, state, &mut Bits { words: &mut words, at: 0, write: true });
        words
    }

    /// Puts a discrete half into a state of this design; its tick stays.
    pub fn unpack(&self, words: &Packed, state: &mut State) {
        let mut words = *words;
        fields(self, state, &mut Bits { words: &mut words, at: 0, write: false });
        state.stale = true;
    }
}

impl Design {
    /// Has the motors of machines with position switches turn in the senses of a discrete half, and leaves all else.
    pub fn take_senses(&self, words: &Packed, state: &mut State) {
        let mut other = state.clone();
        self.unpack(words, &mut other);
        for (m, (s, other)) in self.motors.iter().zip(state.motors.iter_mut().zip(&other.motors)) {
            if m.data.load.watched_way().is_some() {
                s.speed = sense(other).into();
            }
        }
    }
}

/// By how much start-up times were set back, ticks: of DC supplies and then of controllers.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct StartUp(Vec<u16>);

impl Design {
    /// Sets start-up times back to their first tick where they cannot end within `ticks` either way: all that follows in these
    /// ticks is the same but for the times themselves. None if there is none to set back.
    pub fn set_start_up_back(&self, state: &mut State, ticks: u32) -> Option<StartUp> {
        let back = start_ups(self, state).map(|(starting, elapsed, limit)| {
            let far = *elapsed > 1 && u32::from(*elapsed) + ticks + 1 < u32::from(limit);
            let by = if starting && far { *elapsed - 1 } else { 0 };
            *elapsed -= by;
            by
        });
        let back: Vec<u16> = back.collect();
        back.iter().any(|&by| by > 0).then_some(StartUp(back))
    }

    /// Puts start-up times on again, `ticks` after they were set back: those that ran without a break.
    pub fn put_start_up_on(&self, state: &mut State, start_up: &StartUp, ticks: u32) {
        for ((starting, elapsed, _), by) in start_ups(self, state).zip(&start_up.0) {
            if starting && u32::from(*elapsed) == 1 + ticks {
                *elapsed += by;
            }
        }
    }
}

/// Of each DC supply and then each controller: whether it starts up, for how long by now, and how long it takes, ticks.
fn start_ups<'a>(design: &'a Design, state: &'a mut State) -> impl Iterator<Item = (bool, &'a mut u16, u16)> {
    let supplies = design.dc_supplies.iter().zip(&mut state.dc_supplies);
    let controllers = design.controllers.iter().zip(&mut state.controllers);
    let supplies =
        supplies.map(|(d, s)| (s.phase == DcPhase::Starting, &mut s.elapsed, d.data.supply.start_up_ms));
    supplies.chain(
        controllers.map(|(c, s)| {
            (s.phase == ControllerPhase::Starting, &mut s.elapsed, c.data.controller.start_up_ms)
        }),
    )
}

/// Takes out what has no effect any more.
fn settle(design: &Design, state: &mut State) {
    for s in &mut state.controls {
        if s.bounce == 0 {
            s.before = s.position;
        }
    }
    for (c, s) in design.contactors.iter().zip(&mut state.contactors) {
        if s.armature.at_rest() {
            s.armature.elapsed = 0;
        }
        if let Some((_, setting)) = c.data.timing {
            let oldest = state.tick.saturating_sub(setting);
            s.timer.since = s.timer.since.max(oldest).min(state.tick);
        }
    }
}

fn fields(design: &Design, state: &mut State, bits: &mut Bits) {
    let tick = state.tick;
    state.supplies.iter_mut().for_each(|on| bits.bit(on));
    for s in &mut state.switches {
        bits.bit(&mut s.closed);
        bits.bit(&mut s.tripped);
    }
    for s in &mut state.controls {
        control(s, bits);
    }
    for (c, s) in design.contactors.iter().zip(&mut state.contactors) {
        let most = c.data.delays.range().most;
        let longest =
            most.main_close_ms.max(most.break_open_ms).max(most.main_open_ms).max(most.break_close_ms);
        armature(&mut s.armature, width(longest.into()), bits);
        bits.bit(&mut s.attracted);
        bits.bit(&mut s.pushed);
        if c.data.bounce > 0 {
            bits.byte(&mut s.bounce, BOUNCE_BITS);
        }
        if let Some((_, setting)) = c.data.timing {
            bits.bit(&mut s.timer.energised);
            bits.bit(&mut s.timer.driven);
            armature(&mut s.timer.contact, width(longest.into()), bits);
            let ran = bits.field(
                tick.saturating_sub(s.timer.since),
                width(setting.min(u32::MAX.into()) as u32).min(32),
            );
            s.timer.since = tick.saturating_sub(ran);
        }
    }
    for s in &mut state.overloads {
        bits.bit(&mut s.tripped);
        bits.bit(&mut s.stop_held);
        bits.bit(&mut s.reset_held);
    }
    for (d, s) in design.dc_supplies.iter().zip(&mut state.dc_supplies) {
        let phase = [DcPhase::Off, DcPhase::Starting, DcPhase::On, DcPhase::HoldingUp];
        s.phase = phase[bits.field(s.phase as u64, 2) as usize];
        bits.short(&mut s.elapsed, d.data.supply.start_up_ms.saturating_add(1));
        s.spent = bits.field(s.spent.into(), width(dc_supplies::most_spent(&d.data.supply)).min(32)) as u32;
        bits.bit(&mut s.limiting);
    }
    for (c, s) in design.controllers.iter().zip(&mut state.controllers) {
        let phase = [
            ControllerPhase::Off,
            ControllerPhase::Starting,
            ControllerPhase::Running,
            ControllerPhase::Stopped,
        ];
        s.phase = phase[bits.field(s.phase as u64, 2) as usize];
        bits.short(&mut s.elapsed, c.data.controller.start_up_ms.saturating_add(1));
        bits.bit(&mut s.stopped);
        for (k, differing) in s.differing.iter_mut().enumerate() {
            s.raw = s.raw & !(1 << k) | bits.field(s.raw >> k & 1, 1) << k;
            s.filtered = s.filtered & !(1 << k) | bits.field(s.filtered >> k & 1, 1) << k;
            bits.byte(differing, width(c.data.controller.filter_ms.into()));
        }
        s.counting = s.differing.iter().any(|&d| d != 0);
        for (k, relay) in s.relays.iter_mut().enumerate() {
            bits.bit(&mut relay.closed);
            if c.data.outputs[k].transistor.is_none() {
                bits.byte(&mut relay.elapsed, 4);
            } else {
                s.limiting = s.limiting & !(1 << k) | bits.field(s.limiting >> k & 1, 1) << k;
            }
        }
        (s.relays_due, s.settled) = (true, false);
    }
    for s in &mut state.brakes {
        bits.bit(&mut s.energised);
        bits.bit(&mut s.released);
        // Where its times are a choice, it is not kept how long it has had.
        match s.due {
            Some(_) => s.elapsed = 0,
            None => bits.short(&mut s.elapsed, u16::MAX),
        }
    }
    for (m, s) in design.motors.iter().zip(&mut state.motors) {
        if let Some(way) = m.data.load.watched_way() {
            machine(way, s, bits);
        }
    }
}

/// The part of the way in which a machine is, and the sense in which its motor turns.
fn machine(way: &Way, s: &mut MotorState, bits: &mut Bits) {
    let part = bits.field(way.part(s.position_nm) as u64, width(way.parts() as u32 - 1)) as usize;
    if part != way.part(s.position_nm) {
        s.position_nm = way.within_part(part.min(way.parts() - 1));
    }
    let sense = bits.field((sense(s) + 1) as u64, 2).min(2) as i8 - 1;
    if sense != self::sense(s) {
        s.speed = sense.into();
    }
}

/// The sense in which a motor turns, however slowly: 1 clockwise, −1 counter-clockwise, 0 not.
pub(crate) fn sense(s: &MotorState) -> i8 {
    i8::from(s.speed > 0.0) - i8::from(s.speed < 0.0)
}

fn control(s: &mut ControlState, bits: &mut Bits) {
    bits.byte(&mut s.position, 2);
    bits.byte(&mut s.before, 2);
    bits.byte(&mut s.bounce, 2);
}

fn armature(s: &mut Armature, elapsed: u32, bits: &mut Bits) {
    let place = [
        Place::Out,
        Place::ClosingBreakShut,
        Place::ClosingAllOpen,
        Place::In,
        Place::ReleasingMainShut,
        Place::ReleasedAllOpen,
    ];
    s.place = place[bits.field(s.place as u64, 3).min(5) as usize];
    bits.byte(&mut s.elapsed, elapsed);
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Fields that lie across two words come back, and those beyond the last do no harm.
    #[test]
    fn fields_come_back() {
        let values: Vec<(u64, u32)> = (0..60).map(|k| (k * 7919 % 2048, 11)).collect();
        let mut words = Packed::default();
        let mut bits = Bits { words: &mut words, at: 0, write: true };
        for &(value, width) in &values {
            bits.field(value, width);
        }
        let fit = (WORDS * 64 / 11).min(values.len());
        let mut bits = Bits { words: &mut words, at: 0, write: false };
        for &(value, width) in &values[..fit] {
            assert_eq!(bits.field(0, width), value);
        }
    }
}
