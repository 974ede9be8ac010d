//! One tick of the bench: the order in which everything happens, in one place.
//!
//! 1. the acts of this tick
//! 2. mechanical positions; from them the state of every contact
//! 3. the network: solved anew only when a contact, coil stage or supply mode changed
//! 4. controllers: input channels and filters; at a scan instant first the output image takes the result of the scan
//!    that began one period ago, then the input image is latched and the program run; output relays
//! 5. coil voltages against pick-up and drop-out; armature travel; DC supplies
//! 6. motor speed, currents, heat
//! 7. damage: fuses, breakers, channels
//! 8. signals that changed

mod controllers;
mod power;
mod quiet;
mod signals;

use crate::act::BenchAct;
use crate::complex::Complex;
use crate::design::{ContactSource, Design};
use crate::network::{Key, Solution, Workspace};
use crate::part::Form;
use crate::state::State;
use std::collections::HashMap;
use std::fmt;
use std::rc::Rc;

pub use quiet::{quiet, quiet_ticks};

/// Solutions by key. It can be emptied at any tick without changing a bit; it is never iterated.
#[derive(Clone, Debug, Default)]
pub struct Cache {
    solutions: HashMap<Key, Rc<Solution>>,
    last: Option<(Key, Rc<Solution>)>,
    workspace: Workspace,
}

/// Most solutions that are kept; beyond, all are dropped.
const MOST_SOLUTIONS: usize = 4096;

impl Cache {
    /// The solution for a key if it is kept.
    pub fn peek(&self, key: &Key) -> Option<Rc<Solution>> {
        self.solutions.get(key).map(Rc::clone)
    }

    /// The solution for a key: kept, or made.
    pub fn solution(&mut self, design: &Design, key: &Key) -> Rc<Solution> {
        if let Some((last, solution)) = &self.last
            && last == key
        {
            return Rc::clone(solution);
        }
        if self.solutions.len() >= MOST_SOLUTIONS {
            self.solutions.clear();
        }
        let entry = self.solutions.entry(*key);
        let solution = Rc::clone(entry.or_insert_with(|| {
            design.network.solve_in(key, &mut self.workspace);
            Rc::new(self.workspace.solution())
        }));
        self.last = Some((*key, Rc::clone(&solution)));
        solution
    }
}

/// What a tick has brought.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Events {
    /// Signals that changed: number and new value.
    pub changed: Vec<(usize, bool)>,
    /// What a person should be told.
    pub notes: Vec<Note>,
}

/// Something that happened and that no signal shows by itself.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Note {
    /// A reset was pushed before the overload had cooled.
    ResetRefused {
        /// Tag of the overload.
        part: String,
    },
    /// An overload tripped by heat.
    HeatTrip {
        /// Tag of the overload.
        part: String,
    },
    /// A fuse link melted, or a breaker tripped.
    Opened {
        /// Tag of the device.
        part: String,
        /// Poles by number from 1; all for a breaker.
        poles: Vec<u8>,
    },
    /// Over-voltage destroyed an input channel.
    ChannelDestroyed {
        /// Tag of the controller.
        part: String,
        /// Number of the channel.
        channel: u8,
        /// Peak voltage at the channel, V.
        volts: u32,
    },
}

impl fmt::Display for Note {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Note::ResetRefused { part } => write!(f, "{part} does not reset: it is still hot"),
            Note::HeatTrip { part } => write!(f, "{part} has tripped by heat"),
            Note::Opened { part, poles } => {
                let poles: Vec<String> = poles.iter().map(u8::to_string).collect();
                write!(f, "{part} has opened by over-current, pole {}", poles.join(", "))
            }
            Note::ChannelDestroyed { part, channel, volts } => write!(
                f,
                "input {channel} of {part} is destroyed: {volts} V peak, where 60 V is the most it stands"
            ),
        }
    }
}

/// Computes the tick `state.tick`, with these acts at its start, and moves on to the next.
///
/// Acts that name no fitting part are ignored here; [`crate::Bench::act`] refuses them before.
pub fn step(design: &Design, state: &mut State, cache: &mut Cache, acts: &[BenchAct]) -> Events {
    let mut events = Events::default();
    for act in acts {
        take_act(design, state, act, &mut events);
    }
    let mut key = contacts(design, state);
    let moved = state.stale || key != state.key;
    let mut solution = cache.solution(design, &key);
    if moved {
        for _ in 0..MOST_LIMIT_ROUNDS {
            if !power::limit_modes(design, state, &solution) {
                break;
            }
            key = contacts(design, state);
            solution = cache.solution(design, &key);
        }
        state.key = key;
        state.stale = false;
    }
    let flowing = power::motor_currents(design, state, &solution, moved);
    if moved || flowing {
        let drawn = design.drawn(state);
        controllers::read_inputs(design, state, &solution, &drawn, &mut events);
        power::read_volts(design, state, &solution, &drawn);
    }
    let mut changed = !acts.is_empty() || moved || flowing;
    changed |= controllers::step(design, state);
    power::armatures(design, state);
    changed |= power::dc_supplies(design, state);
    changed |= power::shafts(design, state);
    changed |= power::heat(design, state, &mut events);
    changed |= power::protection(design, state, &mut events);
    for b in &mut state.buttons {
        b.bounce = b.bounce.saturating_sub(1);
    }
    if changed {
        signals::collect(design, state, &mut events);
    } else {
        debug_assert!(signals::unchanged(design, state), "a signal changed behind the steps' back");
    }
    state.tick += 1;
    events
}

/// Rounds in which the supplies find out whether they are in current limit. Two suffice for one supply.
const MOST_LIMIT_ROUNDS: u32 = 4;

/// Ticks for which a push-button's contact bounces after its level changed (at most 3 ms, typical).
const BUTTON_BOUNCE: u8 = 3;

/// The tick of the bounce, counted down, at which the contact has sprung back to its old level.
const BOUNCED_BACK: u8 = 2;

fn take_act(design: &Design, state: &mut State, act: &BenchAct, events: &mut Events) {
    match act {
        BenchAct::Press(tag) => set_pressed(design, state, tag, true),
        BenchAct::Release(tag) => set_pressed(design, state, tag, false),
        BenchAct::Push(tag) => {
            if let Some(i) = design.contactors.iter().position(|c| c.tag == *tag) {
                state.contactors[i].pushed = true;
            }
        }
        BenchAct::Trip(tag) => {
            if let Some(i) = design.overloads.iter().position(|o| o.tag == *tag) {
                state.overloads[i].tripped = true;
            }
        }
        BenchAct::Reset(tag) => {
            if let Some(i) = design.overloads.iter().position(|o| o.tag == *tag) {
                let relay = &mut state.overloads[i];
                if relay.tripped && !relay.cool() {
                    events.notes.push(Note::ResetRefused { part: tag.clone() });
                } else {
                    relay.tripped = false;
                }
            }
        }
        BenchAct::Power(on) => state.supplies.fill(*on),
        BenchAct::Open(tag) | BenchAct::Close(tag) => {
            if let Some(i) = design.switches.iter().position(|s| s.tag == *tag) {
                let close = matches!(act, BenchAct::Close(_));
                let switch = &mut state.switches[i];
                // Closing puts in new links and resets a tripped breaker; an open pole has no heat left by then.
                if close && !switch.closed || switch.open_poles != [false; 3] {
                    switch.open_poles = [false; 3];
                    switch.heat = Default::default();
                }
                switch.closed = close;
            }
        }
        BenchAct::Jam(tag) | BenchAct::Free(tag) => {
            if let Some(i) = design.motors.iter().position(|m| m.tag == *tag) {
                state.motors[i].jammed = matches!(act, BenchAct::Jam(_));
            }
        }
        // Faults belong to the design: [`crate::Bench`] builds another one.
        BenchAct::Inject(_) | BenchAct::Clear(_) | BenchAct::ClearAll => {}
    }
}

fn set_pressed(design: &Design, state: &mut State, tag: &str, pressed: bool) {
    if let Some(i) = design.buttons.iter().position(|b| b.tag == tag) {
        let button = &mut state.buttons[i];
        if button.pressed != pressed {
            button.pressed = pressed;
            if !design.buttons[i].data.stuck {
                button.bounce = BUTTON_BOUNCE;
            }
        }
    } else if let Some(overload) = tag.strip_suffix(".stop") {
        if let Some(i) = design.overloads.iter().position(|o| o.tag == overload) {
            state.overloads[i].stop_held = pressed;
        }
    } else if !pressed && let Some(i) = design.contactors.iter().position(|c| c.tag == tag) {
        state.contactors[i].pushed = false;
    }
}

/// Level of a push-button's plunger, faults included.
fn plunger(design: &Design, state: &State, button: usize) -> bool {
    state.buttons[button].pressed || design.buttons[button].data.stuck
}

/// Step 2: the key of all contacts, coil stages and supply modes.
fn contacts(design: &Design, state: &State) -> Key {
    let mut key = Key::default();
    for (bit, contact) in design.contacts.iter().enumerate() {
        let closed = contact.forced.unwrap_or_else(|| match contact.source {
            ContactSource::Button(i, form) => {
                let bounced = state.buttons[i].bounce == BOUNCED_BACK;
                (plunger(design, state, i) != bounced) == (form == Form::Make)
            }
            ContactSource::Main(i) => {
                state.contactors[i].armature.main_shut() || design.contactors[i].data.welded
            }
            // Welded poles hold the armature short of its rest: the make contact has opened, and a mirror contact
            // stays open. Without a mirror contact the break contact may close again; here it does.
            ContactSource::AuxMake(i) => {
                state.contactors[i].armature.main_shut()
                    && (!design.contactors[i].data.welded || pulled(design, state, i))
            }
            ContactSource::AuxBreak(i) => {
                let data = &design.contactors[i].data;
                if data.welded {
                    !data.contactor.mirror && !pulled(design, state, i)
                } else {
                    state.contactors[i].armature.break_shut()
                }
            }
            ContactSource::TripBreak(i) => state.overloads[i].break_shut(),
            ContactSource::TripMake(i) => state.overloads[i].tripped,
            ContactSource::Switch(i, pole) => state.switches[i].closed && !state.switches[i].open_poles[pole],
            ContactSource::Output(c, channel) => state.controllers[c].relays[channel].closed,
        });
        key.set(bit, closed);
    }
    for (c, s) in design.contactors.iter().zip(&state.contactors) {
        key.set(c.data.sealed_bit, s.armature.main_shut());
    }
    for (supply, &on) in design.supplies.iter().zip(&state.supplies) {
        key.set(supply.data, on);
    }
    for (dc, s) in design.dc_supplies.iter().zip(&state.dc_supplies) {
        key.set(dc.data.bit, power::dc_output(s));
        key.set(dc.data.bit + 1, s.limiting);
    }
    key
}

/// The coil attracts or a hand pushes.
fn pulled(design: &Design, state: &State, contactor: usize) -> bool {
    let s = &state.contactors[contactor];
    s.pushed || s.attracted && !design.contactors[contactor].data.coil_open
}

/// Volts between two nodes: DC, and mains-frequency RMS.
fn across(
    solution: &Solution,
    drawn: &[[Complex; 3]],
    (a, b): (crate::network::Node, crate::network::Node),
) -> (f64, f64) {
    let dc = solution.dc(a) - solution.dc(b);
    let ac = (solution.ac(a, drawn) - solution.ac(b, drawn)).abs();
    (dc, ac)
}
