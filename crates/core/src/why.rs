//! Why something is as it is: the chain of causes through circuit and program, from what is asked to a root such as a
//! button that is not pressed.
//!
//! Each link names a smallest set of things: were all of them otherwise, so would be the link's value, and with only some
//! of them it would not. For the circuit that is found by search and tried on the network itself, part by part, for the
//! program on the rungs. Nor would any one contact do instead, nor any two of a circuit of up to some seventy contacts. The
//! chain follows the first of each set; the others can be asked by [`ask`].
//!
//! Were a thing otherwise, what follows from it would have come about: the field of a motor whose lines would be open is
//! taken as faded, which takes some tenths of a second, while its shaft keeps its speed. A field that fades already as it
//! is asked stands on, and what has its volts from that alone ends there ([`End::Field`]).
//!
//! It speaks of the design it is given. A caller who hides faults gives the design as drawn, with the state as it is:
//! the contacts then are those that the mechanical positions make by the drawing, and a chain that comes to something
//! that they do not explain ends there ([`End::Disagrees`]).
//!
//! Bounds: sets of at most [`MOST_IN_SET`] things; where none is found the link says so.

mod circuit;
mod cut;
mod devices;
mod feed;
mod graph;
mod look;
mod matter;
mod program;
mod smallest;
mod words;

use crate::design::{Design, SignalSource};
use crate::plan::Terminal;
use crate::state::State;
use look::Look;
use sealin_ladder::{Comparison, Preset};

/// Most things in the set of a link of the circuit.
pub const MOST_IN_SET: usize = 8;

/// Most links of a chain.
const MOST_LINKS: usize = 64;

/// Something with two values, of which a link can speak. Data only: texts are made from it.
#[derive(Clone, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Subject {
    /// A supply is switched on, by tag.
    Supply(String),
    /// A DC supply gives its voltage, by tag.
    DcSupply(String),
    /// A controller scans, by tag.
    Controller(String),
    /// A button is pressed, by tag.
    Button(String),
    /// A selector is in a position: tag and position from 1.
    Position(String, u8),
    /// A hand pushes a contactor's armature in, by tag.
    Hand(String),
    /// The lever of a switching device is closed, by tag.
    Lever(String),
    /// The link of a pole of a fuse is whole: tag and pole from 1.
    FuseLink(String, u8),
    /// An overload has tripped, by tag.
    Latch(String),
    /// The stop actuator of an overload is held, by tag.
    StopActuator(String),
    /// The reset of an overload is held in, by tag.
    ResetActuator(String),
    /// A machine is blocked, by tag of its motor.
    Jam(String),
    /// The machine stands where it actuates a position switch, by tag of the switch.
    Actuated(String),
    /// A brake has freed its shaft, by tag.
    Brake(String),
    /// A contact is closed: tag and terminals, as `13-14`.
    Contact(String, String),
    /// The armature of a contactor is in, by tag.
    Armature(String),
    /// A coil attracts, by tag.
    Coil(String),
    /// There are volts enough for a load.
    Volts(Load),
    /// A conductor is there, by id.
    Conductor(String),
    /// Two terminals are joined that are not.
    Joined {
        /// Terminal on the load's side.
        from: Terminal,
        /// Terminal of the source.
        to: Terminal,
        /// It is the way back that is missing.
        back: bool,
    },
    /// An input channel is on, before its filter: tag and number.
    Channel(String, u8),
    /// A bit of the input image: tag and number.
    Input(String, u8),
    /// A bit of the output image: tag and number.
    Output(String, u8),
    /// A variable of the program, or a pin as `rest.Q`.
    Variable(String),
    /// A variable as a rung read it in the last scan, or as an edge remembers it from the one before.
    Read(String),
    /// The time of a timer is up, by instance.
    TimeUp(String),
    /// A comparison of the program holds.
    Compared(Comparison),
    /// A rung with an edge coil, from 1, passed in the scan before.
    Passed(u32),
    /// A lamp is lit, by tag.
    Lamp(String),
    /// The shaft of a motor turns, by tag.
    Motor(String),
}

/// What volts are for, and so how many are enough.
#[derive(Clone, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Load {
    /// Coil of a contactor.
    Coil(String),
    /// Lamp.
    Lamp(String),
    /// Input channel: tag and number.
    Channel(String, u8),
    /// Input of a DC supply.
    Primary(String),
    /// Supply of a controller.
    Controller(String),
    /// Coil of a brake.
    Brake(String),
    /// Three phases of a motor, as they stand without it.
    Motor(String),
    /// A meter between two terminals, of [`crate::instruments::METER_OHM`]: 10 V and more count.
    Meter(Terminal, Terminal),
}

/// A member of the set that decides a link.
#[derive(Clone, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Flip {
    /// What would have to be otherwise.
    pub subject: Subject,
    /// Its value now.
    pub value: bool,
}

/// Why a chain goes no further.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum End {
    /// A person has done it, or not done it; or it is the supply.
    Given,
    /// Tripped and still hot: heat in per mille of the one that trips.
    Hot(u32),
    /// Tripped and cold: by the test slide, or it has cooled since.
    Cold,
    /// A link has melted.
    Melted,
    /// Nothing joins these terminals.
    Missing,
    /// A fault that is no secret holds it.
    Fault,
    /// The watchdog has stopped it: a scan takes too long.
    Overrun,
    /// Over-voltage has destroyed it.
    Destroyed,
    /// Its poles have welded, or its coil has burnt out.
    Damaged,
    /// Time is running.
    Time {
        /// What it is the time of.
        of: Timing,
        /// ms gone.
        elapsed_ms: u32,
        /// ms in all.
        whole_ms: u32,
    },
    /// The next scan takes it over.
    NextScan,
    /// It changes in the next tick.
    NextTick,
    /// It is so, and by the drawing it would be otherwise: something is not as drawn.
    Disagrees,
    /// The program does not run, or has not since a start or a transfer.
    NotRun,
    /// It holds itself: the link of this index is the next cause.
    Holds(u32),
    /// No rung drives it.
    NothingDrives,
    /// A plain link or gap of a rung: no contact matters.
    Constant,
    /// A comparison has this value on its left and this one on its right: milliseconds or a count.
    Figures {
        /// The left one.
        value: i32,
        /// The right one.
        with: i32,
        /// Of what sort both are.
        sort: Preset,
    },
    /// The controller sets it in the first scan, and in no other.
    FirstScan,
    /// The scan before made it so.
    Remembered,
    /// It was so when the last scan read it, and is otherwise now.
    Earlier,
    /// The shaft runs out, or up.
    Inertia,
    /// The weight on the shaft turns it.
    Weight,
    /// The machine has run into an end stop.
    EndStop,
    /// It comes straight from the supply: only switching that off would change it.
    Supply,
    /// The field of a motor that runs out gives it, and fades.
    Field,
    /// Both terminals of the load are joined to each other.
    Bridged,
    /// No set was found within the bounds.
    NotFound,
}

/// What time runs for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Timing {
    /// An armature travels in.
    Closing,
    /// An armature travels out.
    Releasing,
    /// An output relay.
    Relay,
    /// A brake is being released or applied.
    Brake,
    /// An input filter.
    Filter,
    /// A DC supply or controller starts.
    StartUp,
    /// A DC supply holds up after its input is lost.
    HoldUp,
    /// A push-button bounces.
    Bounce,
    /// A timer of the program.
    Timer,
    /// A timer relay.
    TimerRelay,
}

/// One thing, its value, and what decides it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Link {
    /// Of what it speaks.
    pub subject: Subject,
    /// Its value now.
    pub value: bool,
    /// For volts: how many, mV, of DC and RMS of AC together; for a motor the least of its three.
    pub millivolts: Option<u32>,
    /// For a variable: the rung that decides, from 1.
    pub rung: Option<u32>,
    /// Whether it is certain: of a variable, the last scan may have read old values that nothing tells any more.
    pub sure: bool,
    /// A smallest set that decides the value. Empty at a root.
    pub because: Vec<Flip>,
    /// Why the chain ends here, if it does.
    pub end: Option<End>,
}

/// Links from what was asked to a root.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Chain {
    /// The links; never empty.
    pub links: Vec<Link>,
}

/// The chain of causes of a subject. None if the design has no such thing.
pub fn why(design: &Design, state: &State, subject: &Subject) -> Option<Chain> {
    let look = Look::new(design, state);
    let mut links = vec![look.link(subject)?];
    loop {
        let last = links.len() - 1;
        let Some(flip) = links[last].because.first().filter(|_| links[last].end.is_none()) else { break };
        let next = look.follow(flip).filter(|_| links.len() < MOST_LINKS);
        // What a rung read and what still is so are one and the same cause.
        let same = next.as_ref().filter(|n| n.end.is_none() && matches!(n.subject, Subject::Read(_)));
        let cause = same.and_then(|n| n.because.first()).map_or(&flip.subject, |f| &f.subject);
        if let Some(k) = links.iter().position(|l| l.subject == *cause) {
            links[last].end = Some(End::Holds(k as u32));
            break;
        }
        match next {
            Some(next) => links.push(next),
            None => links[last].end = Some(End::NotFound),
        }
    }
    Some(Chain { links })
}

/// One link: what decides a subject. None if the design has no such thing.
pub fn ask(design: &Design, state: &State, subject: &Subject) -> Option<Link> {
    Look::new(design, state).link(subject)
}

/// The subject of a signal, by its name.
pub fn subject(design: &Design, signal: &str) -> Option<Subject> {
    let signal = &design.signals[design.signal(signal)?];
    let d = design;
    Some(match signal.source {
        SignalSource::SupplyOn(i) => Subject::Supply(d.supplies[i].tag.clone()),
        SignalSource::SwitchClosed(i) | SignalSource::SwitchTripped(i) => {
            Subject::Lever(d.switches[i].tag.clone())
        }
        SignalSource::Position(i, position) => {
            let tag = d.controls[i].tag.clone();
            if d.controls[i].data.control.is_pressed() {
                Subject::Button(tag)
            } else {
                Subject::Position(tag, position)
            }
        }
        SignalSource::Contact(i) => contact(d, i),
        SignalSource::Coil(i) | SignalSource::Hums(i) | SignalSource::CoilBurnt(i) => {
            Subject::Coil(d.contactors[i].tag.clone())
        }
        SignalSource::MainClosed(i) | SignalSource::Welded(i) | SignalSource::Chatters(i) => {
            Subject::Armature(d.contactors[i].tag.clone())
        }
        SignalSource::Tripped(i) => Subject::Latch(d.overloads[i].tag.clone()),
        SignalSource::StopHeld(i) => Subject::StopActuator(d.overloads[i].tag.clone()),
        SignalSource::ResetHeld(i) => Subject::ResetActuator(d.overloads[i].tag.clone()),
        SignalSource::DcOn(i) => Subject::DcSupply(d.dc_supplies[i].tag.clone()),
        SignalSource::Scanning(i) => Subject::Controller(d.controllers[i].tag.clone()),
        SignalSource::Input(i, bit) => Subject::Input(d.controllers[i].tag.clone(), bit),
        SignalSource::Output(i, bit) => Subject::Output(d.controllers[i].tag.clone(), bit),
        SignalSource::OutputDamaged(i, bit) => {
            contact(d, d.controllers[i].data.outputs[usize::from(bit)].contact)
        }
        SignalSource::Variable(_) => Subject::Variable(signal.name.clone()),
        SignalSource::Lit(i) => Subject::Lamp(d.lamps[i].tag.clone()),
        SignalSource::Turning(i) | SignalSource::Clockwise(i) | SignalSource::Counterclockwise(i) => {
            Subject::Motor(d.motors[i].tag.clone())
        }
        SignalSource::Actuated(i) => Subject::Actuated(d.position_switches[i].tag.clone()),
        SignalSource::Released(i) => Subject::Brake(d.brakes[i].tag.clone()),
        SignalSource::Hot(_) | SignalSource::Burnt(_) => return None,
    })
}

/// The subject of a contact by its number.
fn contact(design: &Design, number: usize) -> Subject {
    let (tag, pair) = design.contacts[number].name.split_once('.').unwrap_or(("", ""));
    Subject::Contact(tag.to_string(), pair.to_string())
}

impl Flip {
    fn new(subject: Subject, value: bool) -> Flip {
        Flip { subject, value }
    }
}

impl Link {
    fn new(subject: &Subject, value: bool) -> Link {
        Link {
            subject: subject.clone(),
            value,
            millivolts: None,
            rung: None,
            sure: true,
            because: Vec::new(),
            end: None,
        }
    }

    fn because(mut self, set: impl IntoIterator<Item = Flip>) -> Link {
        self.because.extend(set);
        self
    }

    /// Decided by one thing of this value.
    fn by(self, subject: Subject, value: bool) -> Link {
        self.because([Flip { subject, value }])
    }

    fn end(mut self, end: End) -> Link {
        self.end = Some(end);
        self
    }
}
