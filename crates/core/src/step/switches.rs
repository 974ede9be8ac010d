//! Switching and protective devices: the poles' currents, and what opens by itself.

use super::cache::Known;
use super::volts::{Column, NEVER, Swayed, Volts, least};
use super::{Events, Note};
use crate::complex::Complex;
use crate::design::{Design, SwitchData, Tagged};
use crate::devices::overload::HEAT_STEP_MS;
use crate::devices::protection::opens_together;
use crate::network::Key;
use crate::state::State;

/// The poles' currents from the network, while a surge may be on. Between steps of heat they matter then only. Across an open pole,
/// and one that a fault keeps open is that too, there may be any voltage: nothing flows.
pub(super) fn read_volts(
    design: &Design,
    state: &mut State,
    known: &Known,
    drawn: &[[Complex; 3]],
    room: &mut Column,
) {
    let (switches, key) = (&mut state.switches, &state.key);
    known.poles.squares(drawn, room, |member, pole, square| {
        let s = &mut switches[member];
        let bit = design.switches[member].data.mains.start + pole;
        let conducts = s.closed && !s.open_poles[pole] && key.get(bit);
        s.amperes[pole] = if conducts { square.sqrt() * (1.0 / design.contacts[bit].ohm) } else { 0.0 };
    });
    state.awake.switches = !still(design, state);
}

/// Volts along a closed pole, the contact of this number, from which its current counts as a surge; never of a plain switch.
fn surge_volts(design: &Design, data: &SwitchData, bit: usize) -> f64 {
    data.curve.as_ref().map_or(f64::INFINITY, |curve| curve.surge_from() * design.contacts[bit].ohm)
}

/// The motors' current, A, up to which no protective device counts a surge; below nil if one does without any.
pub(super) fn calm(design: &Design, volts: &Volts) -> f64 {
    let of = |w: &Tagged<SwitchData>| {
        let poles = w.data.gaps().map(|(bit, pair)| {
            let limit = surge_volts(design, &w.data, bit);
            let dc = volts.dc(pair);
            let left = limit * limit - dc * dc;
            if volts.square(pair) < limit * limit { volts.margin(pair, left.sqrt()) } else { NEVER }
        });
        least(poles)
    };
    least(design.switches.iter().filter(|w| w.data.curve.is_some()).map(of))
}

/// A protective device that counts a surge though no motor draws a current. Across an open pole there may be any voltage.
pub(super) fn shorted(design: &Design, key: &Key, volts: &Volts) -> Option<String> {
    let through = |w: &&Tagged<SwitchData>| {
        w.data.gaps().any(|(bit, pair)| {
            let limit = surge_volts(design, &w.data, bit);
            volts.square(pair) >= limit * limit && key.get(bit)
        })
    };
    design.switches.iter().find(through).map(|w| w.tag.clone())
}

/// The poles of protective devices.
pub(super) fn poles(design: &Design, volts: &Volts) -> Swayed {
    let mut swayed = Swayed::default();
    for (member, w) in design.switches.iter().enumerate().filter(|(_, w)| w.data.curve.is_some()) {
        for (pole, &pair) in w.data.poles.iter().enumerate() {
            swayed.add(volts, member, pole, pair);
        }
    }
    swayed
}

/// Fuse links and breakers; `slow`: a step of heat is due. Returns whether one opens.
pub(super) fn tick(design: &Design, state: &mut State, slow: bool, events: &mut Events) -> bool {
    let mut changed = false;
    for (w, s) in design.switches.iter().zip(&mut state.switches) {
        let Some(curve) = &w.data.curve else { continue };
        let mut opens = [false; 3];
        for (pole, opens) in opens.iter_mut().enumerate().take(w.data.poles.len()) {
            let (heat, amperes) = (&mut s.heat[pole], s.amperes[pole]);
            let now = heat.fast_tick(curve, amperes)
                || slow && heat.slow_step(curve, amperes, HEAT_STEP_MS as f64 / 1000.0);
            *opens = now && !s.open_poles[pole];
        }
        let together = slow && s.closed && opens_together(w.data.protection, s.heat);
        if opens == [false; 3] && !together {
            continue;
        }
        let breaker = w.data.protection.opens_all_poles();
        if breaker {
            (s.closed, s.tripped) = (false, true);
        }
        let mut poles = Vec::new();
        for (pole, opens) in opens.into_iter().enumerate().take(w.data.poles.len()) {
            if breaker || opens {
                poles.push(pole as u8 + 1);
                s.open_poles[pole] |= !breaker;
            }
        }
        events.notes.push(Note::Opened { part: w.tag.clone(), poles });
        changed = true;
    }
    state.awake.contacts |= changed;
    state.awake.switches = !still(design, state);
    changed
}

/// No protective device counts a surge.
pub(super) fn still(design: &Design, state: &State) -> bool {
    design.switches.iter().zip(&state.switches).all(|(w, s)| match &w.data.curve {
        Some(curve) => s.amperes.iter().all(|&a| !curve.surging(a)) && s.heat.iter().all(|h| h.surge == 0.0),
        None => true,
    })
}
