//! The design: parts, conductors and program made ready to run. Immutable, shared, ordered by tag and never by
//! insertion, so that adding and then removing a conductor gives the same bits.

mod build;
mod carry;
mod compare;
mod signals;

use crate::complex::Complex;
use crate::devices::channel::Levels;
use crate::devices::coil::CoilData;
use crate::devices::machine::Load;
use crate::devices::motor::Circuit;
use crate::devices::protection::Curve;
use crate::fault::Fault;
use crate::network::{Network, Node};
use crate::part::{
    ArmatureDelays, Brake, Contactor, Control, Controller, DcSupply, Form, Kind, Lamp, Overload, Part,
    PositionSwitch, Protection,
};
use crate::plan::{Cable, Conductor, Terminal};
use crate::shared::Shared;
use sealin_ladder::{Compiled, Program};
use std::collections::{BTreeMap, BTreeSet};

pub use build::BuildError;
pub use signals::{Signal, SignalSource};

/// Parts, conductors, faults and program, with everything that can be computed before the first tick.
#[derive(Clone, Debug)]
pub struct Design {
    /// Parts by tag.
    pub parts: Shared<Vec<Part>>,
    /// Conductors by id.
    pub conductors: Shared<Vec<Conductor>>,
    /// Cables of known length.
    pub cables: Shared<Vec<Cable>>,
    /// Faults in effect.
    pub faults: BTreeSet<Fault>,
    /// The program in the controller.
    pub program: Shared<Option<Program>>,
    /// The network.
    pub network: Network,
    /// Signals by name.
    pub signals: Shared<Vec<Signal>>,
    pub(crate) compiled: Shared<Compiled>,
    pub(crate) nodes: Shared<BTreeMap<Terminal, Node>>,
    /// Conductors as they are.
    pub(crate) wires: Vec<Tagged<WireData>>,
    pub(crate) contacts: Shared<Vec<Contact>>,
    pub(crate) supplies: Vec<Tagged<usize>>,
    pub(crate) switches: Vec<Tagged<SwitchData>>,
    pub(crate) controls: Vec<Tagged<ControlData>>,
    pub(crate) contactors: Vec<Tagged<ContactorData>>,
    pub(crate) overloads: Vec<Tagged<OverloadData>>,
    pub(crate) dc_supplies: Vec<Tagged<DcData>>,
    pub(crate) controllers: Vec<Tagged<ControllerData>>,
    pub(crate) lamps: Vec<Tagged<LampData>>,
    pub(crate) motors: Vec<Tagged<MotorData>>,
    pub(crate) position_switches: Vec<Tagged<PositionSwitchData>>,
    pub(crate) brakes: Vec<Tagged<BrakeData>>,
}

/// Data of one member of a family, with the tag by which its state is carried from design to design.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Tagged<T> {
    pub tag: String,
    pub data: T,
}

/// A conductor as it is, faults included.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct WireData {
    pub nodes: Pair,
    /// Resistance with that of its terminals, ohm; none of one that is broken.
    pub ohm: Option<f64>,
}

/// Two nodes.
pub(crate) type Pair = (Node, Node);

/// A contact in the network. Its number is its bit in the key.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Contact {
    /// `QA1.13-14`.
    pub name: String,
    pub source: ContactSource,
    /// A fault holds it open or closed.
    pub forced: Option<bool>,
    /// Resistance while it is closed, ohm: a fault makes it larger.
    pub ohm: f64,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum ContactSource {
    /// Number, and the positions in which it is closed.
    Control(usize, u8),
    Main(usize, usize),
    AuxMake(usize),
    AuxBreak(usize),
    EarlyMake(usize),
    LateBreak(usize),
    TimedMake(usize),
    TimedBreak(usize),
    TripBreak(usize),
    TripMake(usize),
    Switch(usize, usize),
    /// Auxiliary contact of a switching device: it follows the lever.
    SwitchAux(usize, Form),
    /// Signals that a breaker has opened by itself.
    SwitchTrip(usize, Form),
    Output(usize, usize),
    Position(usize, Form),
}

#[derive(Clone, Debug, PartialEq)]
pub(crate) struct SwitchData {
    pub protection: Protection,
    /// Figures of the protection; none for a plain switch.
    pub curve: Option<Curve>,
    /// Numbers of the contacts that are its poles.
    pub mains: std::ops::Range<usize>,
    /// Nodes of each pole.
    pub poles: Vec<Pair>,
}

impl SwitchData {
    /// Each pole: the number of its contact, and its nodes.
    pub fn gaps(&self) -> impl Iterator<Item = (usize, Pair)> {
        self.mains.clone().zip(self.poles.iter().copied())
    }
}

#[derive(Clone, Debug, PartialEq)]
pub(crate) struct ControlData {
    pub control: Control,
    /// The position in which a fault keeps the contacts.
    pub kept: Option<u8>,
}

/// A contactor or relay.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct ContactorData {
    pub electrics: CoilData,
    /// With what the suppressor adds.
    pub delays: ArmatureDelays,
    pub coil: Pair,
    pub coil_open: bool,
    /// A fault keeps the armature out.
    pub stays_out: bool,
    /// A fault keeps the armature in, once it is.
    pub stays_in: bool,
    /// The mechanical interlock holds it back whatever the other does.
    pub jammed: bool,
    /// Numbers of the contacts that are its main poles.
    pub mains: std::ops::Range<usize>,
    pub poles: Vec<Pair>,
    /// Poles that a fault welds, one bit each.
    pub welded: u8,
    pub mirror: bool,
    /// Rated AC-3 current, A; 0 without main poles.
    pub rated: f64,
    pub bounce: u8,
    /// Timer relay: off-delay, and its time in ms.
    pub timing: Option<(bool, u64)>,
    pub interlocked_with: Option<String>,
    pub interlocked: Option<usize>,
    /// Bit of the key: armature in; the next: coil burnt.
    pub sealed_bit: usize,
}

impl ContactorData {
    /// Each main pole: the number of its contact, and its nodes.
    pub fn gaps(&self) -> impl Iterator<Item = (usize, Pair)> {
        self.mains.clone().zip(self.poles.iter().copied())
    }
}

#[derive(Clone, Debug, PartialEq)]
pub(crate) struct OverloadData {
    pub overload: Overload,
    pub poles: [Pair; 3],
    /// From V² at a heater to A², 1/ohm²; 0 of one that a fault has burnt through.
    pub per_ohm_square: [f64; 3],
    /// A fault keeps it from tripping by heat.
    pub never_trips: bool,
    /// A fault keeps its latch out.
    pub never_resets: bool,
}

#[derive(Clone, Debug, PartialEq)]
pub(crate) struct DcData {
    pub supply: DcSupply,
    pub input: Pair,
    pub output: Pair,
    /// It gives nothing whatever its input.
    pub dead: bool,
    /// Bit of the key: output on; the next: limiting.
    pub bit: usize,
}

#[derive(Clone, Debug, PartialEq)]
pub(crate) struct ControllerData {
    pub controller: Controller,
    pub supply: Pair,
    /// Inputs in order of address.
    pub inputs: Vec<InputData>,
    /// Outputs in order of address.
    pub outputs: Vec<OutputData>,
    /// Channels that a fault keeps at 0.
    pub dead: u64,
    /// Channels that a fault keeps at 1.
    pub ones: u64,
    /// It does nothing whatever its supply.
    pub lifeless: bool,
    /// Time of a scan of the program, µs: the same in every scan, since every contact is evaluated.
    pub scan_us: u32,
}

impl ControllerData {
    /// Longest scan, µs.
    pub fn watchdog_us(&self) -> u32 {
        u32::from(self.controller.watchdog_ms) * 1_000
    }
}

#[derive(Clone, Debug, PartialEq)]
pub(crate) struct InputData {
    /// Where the voltage that reads 1 is positive, and where it is negative.
    pub nodes: Pair,
    pub levels: Levels,
}

#[derive(Clone, Debug, PartialEq)]
pub(crate) struct OutputData {
    /// Common and channel.
    pub nodes: Pair,
    /// Number of its contact.
    pub contact: usize,
    /// Bit of the key: the transistor is in current limit; none for a relay.
    pub transistor: Option<usize>,
}

#[derive(Clone, Debug, PartialEq)]
pub(crate) struct LampData {
    pub lamp: Lamp,
    pub nodes: Pair,
    /// Burnt out.
    pub dark: bool,
}

#[derive(Clone, Debug, PartialEq)]
pub(crate) struct MotorData {
    pub circuit: Circuit,
    /// Port number in the network.
    pub port: usize,
    pub nodes: [Node; 3],
    pub load: Load,
    /// Rated current, A.
    pub rated: f64,
    /// What is left of the field after one step.
    pub fade: f64,
    /// Bits of the key: insulation of the winding at U1, V1, W1 failed.
    pub failed_bit: usize,
    /// Brakes on the shaft.
    pub brakes: Vec<OnShaft>,
}

/// A brake on a shaft.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct OnShaft {
    /// Number of the brake.
    pub number: usize,
    /// Torque while it holds, N·m.
    pub torque: f64,
}

#[derive(Clone, Debug, PartialEq)]
pub(crate) struct PositionSwitchData {
    pub switch: PositionSwitch,
    /// Number of the motor.
    pub motor: usize,
}

#[derive(Clone, Debug, PartialEq)]
pub(crate) struct BrakeData {
    pub brake: Brake,
    pub coil: Pair,
    pub coil_open: bool,
    /// A fault keeps it applied.
    pub holds: bool,
}

impl Design {
    /// Node of a terminal.
    pub fn node(&self, terminal: &Terminal) -> Option<Node> {
        self.nodes.get(terminal).copied()
    }

    /// All terminals, by part and name.
    pub fn terminals(&self) -> impl Iterator<Item = &Terminal> {
        self.nodes.keys()
    }

    /// Part by tag.
    pub fn part(&self, tag: &str) -> Option<&Part> {
        self.parts.binary_search_by(|p| p.tag.as_str().cmp(tag)).ok().map(|i| &self.parts[i])
    }

    /// Signals that are to be seen or heard without an instrument ([`SignalSource::is_in_sight`]), by name.
    pub fn in_sight(&self) -> impl Iterator<Item = &Signal> {
        self.signals.iter().filter(|signal| signal.source.is_in_sight())
    }

    /// Number of a signal. Bits of the controller's images may be named without its tag (`QX0.0`) where there is
    /// only one controller.
    pub fn signal(&self, name: &str) -> Option<usize> {
        let find = |n: &str| self.signals.binary_search_by(|s| s.name.as_str().cmp(n)).ok();
        let image = name.starts_with("IX") || name.starts_with("QX");
        match (find(name), &self.controllers[..]) {
            (Some(found), _) => Some(found),
            (None, [only]) if image => find(&format!("{}.{name}", only.tag)),
            _ => None,
        }
    }

    /// The compiled program.
    pub fn compiled(&self) -> &Compiled {
        &self.compiled
    }

    /// Currents that the motors draw, by port.
    pub fn drawn(&self, state: &crate::State) -> Vec<[Complex; 3]> {
        let mut drawn = Vec::new();
        self.take_drawn(state, &mut drawn);
        drawn
    }

    /// Puts the currents that the motors draw into `drawn`, by port; nothing if none draws any.
    pub(crate) fn take_drawn(&self, state: &crate::State, drawn: &mut Vec<[Complex; 3]>) {
        drawn.clear();
        if state.motors.iter().all(|m| m.current == [Complex::ZERO; 3]) {
            return;
        }
        drawn.resize(self.network.ports.len(), [Complex::ZERO; 3]);
        for (data, motor) in self.motors.iter().zip(&state.motors) {
            drawn[data.data.port] = motor.current;
        }
    }

    /// Whether a part of this tag is a controller.
    pub fn is_controller(&self, tag: &str) -> bool {
        self.part(tag).is_some_and(|p| matches!(p.kind, Kind::Controller(_)))
    }
}
