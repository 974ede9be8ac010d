//! The state of a bench at one instant, as plain data: compared, hashed and cloned by value.

use crate::devices::armature::{Armature, Relay};
use crate::devices::brake::BrakeState;
use crate::devices::chatter::ChatterState;
use crate::devices::coil::CoilState;
use crate::devices::output::OutputState;
use crate::devices::overload::OverloadState;
use crate::devices::protection::PoleHeat;
use crate::devices::shaft::MotorState;
use crate::devices::weld::PoleState;
use crate::network::Key;
use crate::part::ArmatureDelays;
use sealin_ladder::Memory;

/// Everything that changes while a bench runs. Vectors are in the order of the design's families (parts by tag).
#[derive(Clone, Debug, PartialEq, Default)]
pub struct State {
    /// The next tick to be computed; ticks are 1 ms.
    pub tick: u64,
    /// Supplies that are switched on.
    pub supplies: Vec<bool>,
    /// Switching and protective devices.
    pub switches: Vec<SwitchState>,
    /// Push-buttons, emergency stops and selectors.
    pub controls: Vec<ControlState>,
    /// Contactors.
    pub contactors: Vec<ContactorState>,
    /// Overload relays.
    pub overloads: Vec<OverloadState>,
    /// DC supplies.
    pub dc_supplies: Vec<DcState>,
    /// Controllers.
    pub controllers: Vec<ControllerState>,
    /// Lamps: lit.
    pub lamps: Vec<bool>,
    /// Motors.
    pub motors: Vec<MotorState>,
    /// Brakes.
    pub brakes: Vec<BrakeState>,
    /// Element states of the network in the last tick.
    pub key: Key,
    /// The network's results must be taken anew, as the design has changed; everything is awake then.
    pub stale: bool,
    /// Families with something under way.
    pub awake: Awake,
    /// Values of the design's signals after the last tick, one bit each.
    pub signals: Vec<u64>,
}

/// What has something under way. The tick of a family that has not would change nothing, and is left out.
///
/// After a tick each flag follows from the rest of the state: it is set exactly if that tick changed the family or left
/// something pending.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Awake {
    /// A contact, coil stage or supply mode may have changed since [`State::key`] was made.
    pub contacts: bool,
    /// The contacts of a control device bounce.
    pub controls: bool,
    /// An armature travels or is about to, a contact bounces, a timer runs, or poles carry a surge.
    pub contactors: bool,
    /// A filter, timer or relay counts, or the scan is not at a fixed point.
    pub controllers: bool,
    /// The contact of an output makes, parts or carries a surge.
    pub outputs: bool,
    /// A DC supply starts up or holds up.
    pub dc_supplies: bool,
    /// A shaft changes its speed, or the field of a motor fades.
    pub motors: bool,
    /// A machine moves along its way.
    pub travel: bool,
    /// A brake is being released or applied.
    pub brakes: bool,
    /// A protective device counts a surge.
    pub switches: bool,
}

impl Awake {
    /// Nothing: time may be passed over.
    pub const NONE: Awake = Awake {
        contacts: false,
        controls: false,
        contactors: false,
        controllers: false,
        outputs: false,
        dc_supplies: false,
        motors: false,
        travel: false,
        brakes: false,
        switches: false,
    };
    /// Everything: whatever may have been done is found out by the next tick.
    pub const ALL: Awake = Awake {
        contacts: true,
        controls: true,
        contactors: true,
        controllers: true,
        outputs: true,
        dc_supplies: true,
        motors: true,
        travel: true,
        brakes: true,
        switches: true,
    };
}

impl Default for Awake {
    fn default() -> Self {
        Awake::ALL
    }
}

/// A switching or protective device.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct SwitchState {
    /// The lever is closed.
    pub closed: bool,
    /// Poles whose link has melted, or all when a breaker has tripped.
    pub open_poles: [bool; 3],
    /// It has opened by itself, and was not opened or closed by a hand since.
    pub tripped: bool,
    /// Locked off with a padlock.
    pub locked: bool,
    /// Heat of the poles.
    pub heat: [PoleHeat; 3],
    /// Current of the poles, A RMS of DC and AC together, as last taken: at each step of heat, and while a surge is on. Of a
    /// plain switch it is not followed.
    pub amperes: [f64; 3],
}

/// A control device.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct ControlState {
    /// Where a person has moved it, from 1.
    pub position: u8,
    /// Where it was before.
    pub before: u8,
    /// Ticks of bounce that are left.
    pub bounce: u8,
    /// Whether the contacts show in the next tick, if they bounce, where they were before: of the environment in which a
    /// path is played again. None: as this model lets them bounce.
    pub back: Option<bool>,
}

impl ControlState {
    /// At rest in this position.
    pub fn at(position: u8) -> Self {
        ControlState { position, before: position, bounce: 0, back: None }
    }
}

/// A contactor or relay.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct ContactorState {
    /// The armature.
    pub armature: Armature,
    /// Delays that it has in the place of its nominal ones: those of the environment in which a path is played again.
    pub delays: Option<ArmatureDelays>,
    /// The coil attracts (with hysteresis between drop-out and pick-up).
    pub attracted: bool,
    /// A hand pushes the armature in.
    pub pushed: bool,
    /// Ticks of bounce that are left.
    pub bounce: u8,
    /// Ticks that are left in which the poles count as making.
    pub making: u8,
    /// Poles that have welded, one bit each.
    pub welded: u8,
    /// The main poles.
    pub poles: [PoleState; 3],
    /// The coil.
    pub coil: CoilState,
    /// Whether the armature chatters.
    pub chatter: ChatterState,
    /// The time of a timer relay.
    pub timer: TimerState,
}

/// The time of a timer relay.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub struct TimerState {
    /// Energised.
    pub energised: bool,
    /// Tick since which it is so, or is not.
    pub since: u64,
    /// Its timed contacts are driven over.
    pub driven: bool,
    /// Its timed contacts.
    pub contact: Armature,
}

/// What a DC supply is doing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub enum DcPhase {
    /// No output.
    #[default]
    Off,
    /// Input present, output not yet.
    Starting,
    /// Output present.
    On,
    /// Input lost, output still present.
    HoldingUp,
}

/// A DC supply.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub struct DcState {
    /// What it is doing.
    pub phase: DcPhase,
    /// Ticks spent in `Starting`.
    pub elapsed: u16,
    /// Output current in the last tick, mA.
    pub load_ma: u32,
    /// Charge given since the input was lost, mA·ms.
    pub spent: u32,
    /// In current limit.
    pub limiting: bool,
    /// Input voltage present in the last tick.
    pub input_live: bool,
}

/// What a controller is doing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub enum ControllerPhase {
    /// No supply.
    #[default]
    Off,
    /// Supply present, not yet scanning.
    Starting,
    /// Scanning.
    Running,
    /// In stop mode: supply present, no scan, outputs off.
    Stopped,
}

/// A controller.
#[derive(Clone, Debug, PartialEq)]
pub struct ControllerState {
    /// What it is doing.
    pub phase: ControllerPhase,
    /// Ticks spent in `Starting`.
    pub elapsed: u16,
    /// Supply high enough in the last tick.
    pub supplied: bool,
    /// Bit of each channel before its filter.
    pub raw: u64,
    /// Bit of each channel after its filter.
    pub filtered: u64,
    /// Ticks for which each channel has differed from its filtered bit.
    pub differing: Vec<u8>,
    /// One of them is not 0.
    pub counting: bool,
    /// Channels destroyed by over-voltage.
    pub destroyed: u64,
    /// Put into stop mode, by a person or by the watchdog; outlasts a loss of the supply.
    pub stopped: bool,
    /// The watchdog has stopped it.
    pub overrun: bool,
    /// Input image.
    pub inputs: u64,
    /// Output image.
    pub outputs: u64,
    /// Result of the last scan, which the output image takes at the next.
    pub result: u64,
    /// Program memory.
    pub memory: Memory,
    /// The last scan changed nothing, so further scans with the same inputs will not either.
    pub settled: bool,
    /// Output relays; those of transistors follow at once.
    pub relays: Vec<Relay>,
    /// The drive of one may differ from its contact.
    pub relays_due: bool,
    /// Transistor outputs in current limit.
    pub limiting: u64,
    /// Contacts and transistors of the outputs.
    pub contacts: Vec<OutputState>,
}

impl ControllerState {
    /// A controller without supply: nothing latched, nothing driven.
    pub fn at_rest(inputs: usize, outputs: usize, memory: Memory) -> Self {
        ControllerState {
            phase: ControllerPhase::Off,
            elapsed: 0,
            supplied: false,
            raw: 0,
            filtered: 0,
            differing: vec![0; inputs],
            counting: false,
            destroyed: 0,
            stopped: false,
            overrun: false,
            inputs: 0,
            outputs: 0,
            result: 0,
            memory,
            settled: false,
            relays: vec![Relay::default(); outputs],
            relays_due: true,
            limiting: 0,
            contacts: vec![OutputState::default(); outputs],
        }
    }
}

impl State {
    /// Reads a signal by number.
    pub fn signal(&self, number: usize) -> bool {
        self.signals.get(number / 64).is_some_and(|word| word >> (number % 64) & 1 != 0)
    }

    /// Hands every floating-point value to `take`, in a fixed order.
    pub fn floats(&self, take: &mut dyn FnMut(f64)) {
        for s in &self.switches {
            s.heat.iter().for_each(|h| {
                take(h.heat);
                take(h.surge);
            });
            s.amperes.iter().for_each(|&a| take(a));
        }
        for c in &self.contactors {
            take(c.coil.heat);
            for p in &c.poles {
                take(p.surge);
                take(p.kelvin);
            }
        }
        for contact in self.controllers.iter().flat_map(|c| &c.contacts) {
            take(contact.contact.surge);
            take(contact.contact.kelvin);
        }
        for o in &self.overloads {
            for v in o.heat.iter().chain(&o.square).chain(&o.sum) {
                take(*v);
            }
        }
        self.motors.iter().for_each(|m| m.floats(take));
    }

    /// Size of the state in bytes, heap included.
    pub fn bytes(&self) -> usize {
        use std::mem::size_of_val;
        size_of_val(self)
            + size_of_val(&*self.supplies)
            + size_of_val(&*self.switches)
            + size_of_val(&*self.controls)
            + size_of_val(&*self.contactors)
            + size_of_val(&*self.overloads)
            + size_of_val(&*self.dc_supplies)
            + size_of_val(&*self.controllers)
            + size_of_val(&*self.lamps)
            + size_of_val(&*self.motors)
            + size_of_val(&*self.brakes)
            + size_of_val(&*self.signals)
            + self
                .controllers
                .iter()
                .map(|c| {
                    let mut memory = Vec::new();
                    c.memory.write_bytes(&mut memory);
                    size_of_val(&*c.differing)
                        + size_of_val(&*c.relays)
                        + size_of_val(&*c.contacts)
                        + memory.len()
                })
                .sum::<usize>()
    }
}
