//! Damage to the outputs of controllers: relay contacts that weld, transistors that are destroyed.

use super::volts::{Volts, least};
use super::wear::let_through;
use super::{Cache, Events, Note};
use crate::design::{Design, OutputData};
use crate::devices::output::{AC15_A, DESTROYED_VOLTS, OutputState, Overstress, overstress};
use crate::devices::overload::HEAT_STEP_MS;
use crate::devices::weld::SURGE_FROM;
use crate::network::Key;
use crate::part::Controller;
use crate::state::State;
use std::fmt;

/// What has damaged an output.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum OutputCause {
    /// Its contact closed onto a short circuit of so many A.
    MadeShort(u32),
    /// A short circuit of so many A flowed through its closed contact.
    ThroughShort(u32),
    /// Its contact touched while hot from switching too much too often.
    Switching,
    /// Its contact carried so many mA for too long.
    Carried(u32),
    /// Its transistor had a voltage that it does not stand.
    Overstress(Overstress),
}

impl fmt::Display for OutputCause {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let fuse = "a fast fuse before its common would have opened in time";
        match self {
            OutputCause::MadeShort(a) => {
                write!(f, "has welded: it closed onto a short circuit of {a} A; {fuse}")
            }
            OutputCause::ThroughShort(a) => {
                write!(f, "has welded: a short circuit of {a} A flowed through it; {fuse}")
            }
            OutputCause::Switching => f.write_str(
                "has welded: it was hot from switching more than its rating too often; let it switch a relay",
            ),
            OutputCause::Carried(ma) => write!(
                f,
                "has welded: it carried {} A for too long, where 2 A are its rating",
                f64::from(ma.div_ceil(100)) / 10.0
            ),
            OutputCause::Overstress(Overstress::Reverse(volts)) => write!(
                f,
                "is destroyed: {volts} V stood at its transistor the wrong way round, as its common takes +24 V and gives it \
                 to the load"
            ),
            OutputCause::Overstress(Overstress::OverVoltage(volts)) => write!(
                f,
                "is destroyed: {volts} V peak stood at its transistor, where 60 V is the most it stands"
            ),
        }
    }
}

/// Volts along a closed relay contact from which its current counts as a surge.
fn surge_volts(design: &Design, output: &OutputData) -> f64 {
    SURGE_FROM * AC15_A * design.contacts[output.contact].ohm
}

/// The motors' current, A, up to which no output reads otherwise.
pub(super) fn calm(design: &Design, volts: &Volts) -> f64 {
    let of = |output: &OutputData| match output.transistor {
        Some(_) => {
            let left = DESTROYED_VOLTS - volts.dc(output.nodes).abs();
            volts.margin(output.nodes, left / std::f64::consts::SQRT_2)
        }
        None => {
            let surge = surge_volts(design, output);
            volts.margin_of_size(output.nodes, surge * surge)
        }
    };
    least(design.controllers.iter().flat_map(|c| c.data.outputs.iter().map(of)))
}

/// What the network does to transistors, and whether a surge flows through a contact. Returns whether one is destroyed.
pub(super) fn read_volts(design: &Design, state: &mut State, volts: &Volts, events: &mut Events) -> bool {
    let mut changed = false;
    for (i, c) in design.controllers.iter().enumerate() {
        for (k, output) in c.data.outputs.iter().enumerate() {
            let s = &mut state.controllers[i].contacts[k];
            if s.damaged || design.contacts[output.contact].forced.is_some() {
                continue;
            }
            if output.transistor.is_none() {
                let on = state.key.get(output.contact);
                state.awake.outputs |= on && volts.size(output.nodes) > surge_volts(design, output);
            } else if let Some(why) = overstress(volts.dc(output.nodes), volts.ac(output.nodes)) {
                s.damaged = true;
                changed = true;
                tell(&c.tag, &c.data.controller, k, OutputCause::Overstress(why), events);
            }
        }
    }
    state.awake.contacts |= changed;
    changed
}

/// Making, breaking and surges of the relay contacts in this tick. Returns whether one welds.
pub(super) fn tick(design: &Design, state: &mut State, cache: &mut Cache, events: &mut Events) -> bool {
    let cap = let_through(design, events);
    let changed = each_contact(design, state, cache, events, &mut |s, closed, amperes| {
        let (touches, making) = (s.touches(), s.making != 0);
        s.making = s.making.saturating_sub(1);
        if !closed {
            s.contact.surge = 0.0;
            s.contact.parts(AC15_A, amperes);
            return None;
        }
        let hot = touches && s.makes(amperes);
        let surge = s.contact.surge_tick(AC15_A, amperes, making, cap);
        match (surge, making) {
            (true, true) => Some(OutputCause::MadeShort(amperes as u32)),
            (true, false) => Some(OutputCause::ThroughShort(amperes as u32)),
            _ if hot => Some(OutputCause::Switching),
            _ => None,
        }
    });
    state.awake.outputs = !still(design, state);
    changed
}

/// One step of heat of the relay contacts. Returns whether one welds.
pub(super) fn heat_tick(design: &Design, state: &mut State, cache: &mut Cache, events: &mut Events) -> bool {
    let step_s = HEAT_STEP_MS as f64 / 1000.0;
    each_contact(design, state, cache, events, &mut |s, closed, amperes| {
        let amperes = if closed { amperes } else { 0.0 };
        let welds = s.carries(amperes, step_s);
        welds.then_some(OutputCause::Carried((amperes * 1000.0) as u32))
    })
}

/// Goes through the relay contacts that can weld: each with whether its relay holds it closed, and its current, A.
fn each_contact(
    design: &Design,
    state: &mut State,
    cache: &mut Cache,
    events: &mut Events,
    law: &mut dyn FnMut(&mut OutputState, bool, f64) -> Option<OutputCause>,
) -> bool {
    if design.controllers.is_empty() {
        return false;
    }
    let known = cache.known(design, &state.key);
    design.take_drawn(state, &mut cache.drawn);
    let volts = Volts { solution: &known.solution, drawn: &cache.drawn };
    let key = state.key;
    let mut changed = false;
    for (c, s) in design.controllers.iter().zip(&mut state.controllers) {
        for (k, output) in c.data.outputs.iter().enumerate().filter(|(_, o)| can_weld(design, o)) {
            let contact = &mut s.contacts[k];
            if contact.damaged {
                continue;
            }
            let amperes = current(design, &volts, &key, output);
            let Some(cause) = law(contact, s.relays[k].closed, amperes) else { continue };
            *contact = OutputState { damaged: true, ..OutputState::default() };
            tell(&c.tag, &c.data.controller, k, cause, events);
            changed = true;
        }
    }
    state.awake.contacts |= changed;
    changed
}

/// A relay contact that no fault holds.
fn can_weld(design: &Design, output: &OutputData) -> bool {
    output.transistor.is_none() && design.contacts[output.contact].forced.is_none()
}

fn current(design: &Design, volts: &Volts, key: &Key, output: &OutputData) -> f64 {
    let ohm = design.contacts[output.contact].ohm;
    if key.get(output.contact) { volts.size(output.nodes) / ohm } else { 0.0 }
}

fn tell(tag: &str, controller: &Controller, output: usize, cause: OutputCause, events: &mut Events) {
    let output = controller.output(output).to_string();
    events.notes.push(Note::OutputDamaged { part: tag.to_string(), output, cause });
}

/// No contact makes, parts or carries a surge.
pub(super) fn still(design: &Design, state: &State) -> bool {
    design.controllers.iter().zip(&state.controllers).all(|(c, s)| {
        c.data.outputs.iter().enumerate().filter(|(_, o)| can_weld(design, o)).all(|(k, output)| {
            let contact = &s.contacts[k];
            let parted = !s.relays[k].closed && state.key.get(output.contact);
            contact.damaged || contact.making == 0 && contact.contact.surge == 0.0 && !parted
        })
    })
}
