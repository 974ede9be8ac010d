//! Contactors and relays: the coil's voltage against pick-up and drop-out, the armature's travel, timers.

use super::volts::{Volts, least};
use super::wear::ChatterCause;
use super::{Events, Note};
use crate::design::{ContactorData, Design, Tagged};
use crate::devices::armature::Place;
use crate::devices::coil::{HEARD_FROM, Level};
use crate::devices::weld::{MAKING_TICKS, SURGE_FROM};
use crate::part::{ArmatureDelays, CoilCurrent};
use crate::state::{ContactorState, State};

/// The coil attracts.
pub(super) fn attracts(design: &Design, state: &State, contactor: usize) -> bool {
    let s = &state.contactors[contactor];
    s.attracted && !s.coil.burnt && !design.contactors[contactor].data.coil_open
}

/// Poles that are welded, by a fault or by what has happened; one bit each.
pub(crate) fn welded(design: &Design, state: &State, contactor: usize) -> u8 {
    design.contactors[contactor].data.welded | state.contactors[contactor].welded
}

/// Main poles and make contacts touch: the armature is in, and they have not just bounced off.
pub(super) fn touching(s: &ContactorState) -> bool {
    s.armature.main_shut() && s.bounce.is_multiple_of(2)
}

/// The motors' current, A, up to which no reading of a coil comes out otherwise.
pub(super) fn calm(design: &Design, volts: &Volts) -> f64 {
    let of = |c: &Tagged<ContactorData>| {
        let e = &c.data.electrics;
        least([e.pick_up, e.drop_out, HEARD_FROM].into_iter().map(|part| match e.current {
            CoilCurrent::Ac => volts.margin(c.data.coil, part * e.volts),
            CoilCurrent::Dc => f64::INFINITY,
        }))
    };
    least(design.contactors.iter().map(of))
}

/// The motors' current, A, up to which no pole carries a surge.
pub(super) fn poles_calm(design: &Design, volts: &Volts) -> f64 {
    let of = |c: &Tagged<ContactorData>| {
        least(c.data.gaps().map(|(bit, pair)| volts.margin(pair, surge_volts(design, &c.data, bit))))
    };
    least(design.contactors.iter().map(of))
}

/// Volts along a closed pole, the contact of this number, from which its current counts as a surge.
fn surge_volts(design: &Design, data: &ContactorData, bit: usize) -> f64 {
    SURGE_FROM * data.rated * design.contacts[bit].ohm
}

/// A contactor whose closed poles carry a short circuit, for good.
pub(super) fn shorted(design: &Design, state: &State, volts: &Volts) -> Option<String> {
    let through = |c: &&Tagged<ContactorData>| {
        let surge = |bit: usize| surge_volts(design, &c.data, bit);
        c.data.gaps().any(|(bit, pair)| state.key.get(bit) && volts.size(pair) > surge(bit))
    };
    design.contactors.iter().find(through).map(|c| c.tag.clone())
}

/// The coils from the network, and whether a surge flows through a pole. Returns whether a coil attracts or lets go.
pub(super) fn read_volts(design: &Design, state: &mut State, volts: &Volts) -> bool {
    let mut changed = false;
    for (i, c) in design.contactors.iter().enumerate() {
        let welded = welded(design, state, i);
        let s = &mut state.contactors[i];
        let (data, e) = (&c.data, &c.data.electrics);
        let part = e.part(volts.dc(data.coil), volts.ac(data.coil));
        let attracted = e.attracts(part, s.attracted);
        let level = match part {
            p if p >= e.pick_up => Level::Full,
            p if p >= HEARD_FROM => Level::Low,
            _ => Level::Dead,
        };
        state.awake.contactors |= level != s.coil.level;
        if s.attracted && !attracted {
            s.chatter.let_go_percent = (part * 100.0 + 0.5) as u8;
        }
        changed |= attracted != s.attracted;
        s.attracted = attracted;
        s.coil.level = level;
        for (k, (bit, pair)) in data.gaps().enumerate() {
            let free = welded >> k & 1 == 0 && design.contacts[bit].forced.is_none();
            let from = surge_volts(design, data, bit);
            let surge = free && state.key.get(bit) && (volts.ac(pair) > from || volts.dc(pair).abs() > from);
            state.awake.contactors |= surge;
        }
    }
    state.awake.contactors |= changed;
    changed
}

/// The delays that an armature has now.
fn delays(s: &ContactorState, data: &ContactorData) -> ArmatureDelays {
    s.delays.unwrap_or(data.delays)
}

/// Armatures, in the order of the tags: with both coils on, the first takes the mechanical interlock. Returns whether a
/// coil begins to hum or stops, or an armature to chatter.
pub(super) fn tick(design: &Design, state: &mut State, events: &mut Events) -> bool {
    let mut changed = false;
    let tick = state.tick;
    for (i, c) in design.contactors.iter().enumerate() {
        let (pulled, blocked, held) = drives(design, state, i);
        let on = attracts(design, state, i);
        let s = &mut state.contactors[i];
        let before = (touching(s), s.armature.place, s.timer.contact.place);
        let was_shut = s.armature.main_shut();
        s.armature.step(pulled, blocked, held, delays(s, &c.data));
        s.bounce = s.bounce.saturating_sub(1);
        match (was_shut, s.armature.main_shut()) {
            (false, true) => {
                // Closed at first, then in turn open and closed for the ticks of the bounce.
                s.bounce = bounce_from(c.data.bounce);
                s.making = if c.data.poles.is_empty() { 0 } else { MAKING_TICKS + 1 };
            }
            (true, false) => s.bounce = 0,
            _ => {}
        }
        changed |= chatter(c, s, on, tick, events);
        step_timer(s, &c.data, on, tick);
        state.awake.contacts |= before != (touching(s), s.armature.place, s.timer.contact.place);
        let hums = hums(s, &c.data, blocked);
        changed |= hums != s.coil.hums;
        s.coil.hums = hums;
    }
    changed
}

/// Counts how often a coil draws and lets go by itself. Returns whether its armature begins or ends to chatter.
fn chatter(
    c: &Tagged<ContactorData>,
    s: &mut ContactorState,
    on: bool,
    tick: u64,
    events: &mut Events,
) -> bool {
    let changed = s.chatter.step(on && c.data.timing.is_none(), tick);
    if changed && s.chatter.chatters() {
        let cause = ChatterCause::of(&c.data.electrics, s.chatter.let_go_percent);
        events.notes.push(Note::Chatters { part: c.tag.clone(), cause });
    }
    changed
}

/// Count of a bounce of `ticks` from the tick of touching on: even is closed.
fn bounce_from(ticks: u8) -> u8 {
    if ticks == 0 { 0 } else { ((ticks - 1) | 1) + 1 }
}

/// Whether a contactor is pulled in, blocked by its interlock, and held short of its rest by welded poles.
fn drives(design: &Design, state: &State, i: usize) -> (bool, bool, bool) {
    let data = &design.contactors[i].data;
    let s = &state.contactors[i];
    let sticks = data.stays_in && s.armature.main_shut();
    let pulled = !data.stays_out && (s.pushed || sticks || attracts(design, state, i));
    let blocked = data.jammed
        || data.interlocked.is_some_and(|other| {
            state.contactors[other].armature.main_shut() || welded(design, state, other) != 0
        });
    (pulled, blocked, data.mirror && welded(design, state, i) != 0)
}

/// An AC coil is heard while its armature is not held tight: too low a voltage, or something in its way.
fn hums(s: &ContactorState, data: &ContactorData, blocked: bool) -> bool {
    let loose = match s.armature.place {
        Place::In => s.coil.level == Level::Low,
        Place::Out => !s.attracted || data.stays_out,
        // Held short of its rest by welded poles.
        Place::ReleasedAllOpen => !s.attracted && s.armature.elapsed >= delays(s, data).break_close_ms,
        Place::ClosingAllOpen => blocked && s.armature.elapsed >= delays(s, data).main_close_ms,
        _ => false,
    };
    let sounds = data.electrics.current == CoilCurrent::Ac && data.timing.is_none();
    sounds && loose && s.coil.level != Level::Dead && !s.coil.burnt && !data.coil_open
}

fn step_timer(s: &mut ContactorState, data: &ContactorData, on: bool, tick: u64) {
    let Some((off_delay, setting)) = data.timing else { return };
    let timer = &mut s.timer;
    if on != timer.energised {
        (timer.energised, timer.since) = (on, tick);
    }
    let over = tick - timer.since >= setting;
    timer.driven = if off_delay { on || timer.driven && !over } else { on && over };
    timer.contact.step(timer.driven, false, false, data.delays);
}

/// A timer that has not come to its end, or whose contact travels.
fn timing(s: &ContactorState, data: &ContactorData, on: bool) -> bool {
    let Some((off_delay, _)) = data.timing else { return false };
    let runs = if off_delay { s.timer.driven && !on } else { on && !s.timer.driven };
    runs || s.timer.energised != on || !s.timer.contact.at_rest()
}

/// Every armature rests where it is drawn to, no timer runs, and no pole carries a surge.
pub(super) fn still(design: &Design, state: &State) -> bool {
    design.contactors.iter().zip(&state.contactors).enumerate().all(|(i, (c, s))| {
        let (pulled, blocked, held) = drives(design, state, i);
        let on = attracts(design, state, i);
        let mut next = s.armature;
        next.step(pulled, blocked, held, delays(s, &c.data));
        next == s.armature
            && s.bounce == 0
            && s.making == 0
            && !s.chatter.chatters()
            && (s.chatter.draws == on || c.data.timing.is_some())
            && s.coil.hums == hums(s, &c.data, blocked)
            && !timing(s, &c.data, on)
            && s.poles.iter().all(|p| p.surge == 0.0)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A bounce of n ms: touches, springs off in the next tick, and is closed for good n ticks after touching or one later.
    #[test]
    fn bounce_opens_in_every_second_tick() {
        for (ticks, seen) in [(0, "1111"), (1, "1011"), (2, "1011"), (3, "101011"), (5, "10101011")] {
            let mut s = ContactorState::default();
            s.armature.place = Place::In;
            s.bounce = bounce_from(ticks);
            let shown: String = (0..seen.len())
                .map(|_| {
                    let closed = touching(&s);
                    s.bounce = s.bounce.saturating_sub(1);
                    if closed { '1' } else { '0' }
                })
                .collect();
            assert_eq!(shown, seen, "{ticks}");
        }
    }
}
