//! Which faults fit which parts and conductors, and the values that the catalogue has of each.

use super::alter::place;
use super::mode::DIRTY_OHMS;
use super::{At, Fault, Mode, Unit, Value};
use crate::part::{
    Actuator, Contactor, Controller, Form, Kind, Overload, Part, Protection, Reset, Suppressor, Switchgear,
};
use crate::plan::{Conductor, Insulation, Plan, Terminal};
use sealin_ladder::Program;

/// Phases of a supply.
pub(super) const PHASES: [&str; 3] = ["L1", "L2", "L3"];

/// Resistances of a loose terminal in the catalogue, ohm: some warmth in a power circuit, a coil that no longer picks up, an input
/// that reads 0 (own choice).
const LOOSE_OHMS: [i32; 3] = [2, 1_000, 20_000];

/// Resistances of an earth fault in the catalogue, ohm: bare metal, and damp (own choice).
const EARTH_OHMS: [i32; 2] = [1, 20_000];

/// Parts of the turns that are shorted, per mille (own choice): a coil with a third gone still pulls in and runs hot.
const SHORTED_PERMILLE: [i32; 2] = [300, 900];

/// Parts of a winding of a motor that are shorted, per mille (own choice).
const SHORTED_WINDING_PERMILLE: [i32; 2] = [20, 100];

/// Voltages in the catalogue, per mille: chatter from 0.70 to 0.80 on (IEC 60947-4-1), and a wrong tap.
const VOLTAGE_PERMILLE: [i32; 3] = [550, 720, 1_150];

/// Loads in the catalogue, per mille: a stiff bearing trips the overload after a while, a blocked machine at once.
const LOAD_PERMILLE: [i32; 3] = [1_400, 2_500, 20_000];

/// How much later an armature lets go, ms: by grease, or by what is left of the field (typical).
const SLOW_MS: [i32; 2] = [60, 150];

/// Filters of inputs, ms: the longest settings that are usual.
const FILTER_MS: [i32; 2] = [20, 100];

/// Leakages onto an input, ohm: reads 1, and between on and off (24 V · 4.7 / (4.7 + R) kilohm against 9.5 V and 7.1 V).
const LEAK_OHMS: [i32; 2] = [2_000, 9_000];

/// Temperature at which a relay without its compensation stands, °C.
const WARM_C: [i32; 1] = [60];

/// Torque left of a worn brake, per mille.
const WORN_PERMILLE: [i32; 1] = [300];

/// How far an actuator is off its place, mm.
const OFF_MM: [i32; 2] = [-500, 500];

/// One way in which a part can be at fault.
struct Fitting {
    mode: Mode,
    at: String,
    /// The values of the catalogue; none where it fits and is not listed.
    values: Vec<Value>,
}

struct Fittings(Vec<Fitting>);

impl Fittings {
    fn add(&mut self, mode: Mode, at: &str) {
        self.with(mode, at, vec![Value::None]);
    }

    fn numbers(&mut self, mode: Mode, at: &str, values: &[i32]) {
        self.with(mode, at, values.iter().map(|&n| Value::Number(n)).collect());
    }

    fn with(&mut self, mode: Mode, at: &str, values: Vec<Value>) {
        self.0.push(Fitting { mode, at: at.to_string(), values });
    }
}

/// Every way in which a part can be at fault.
fn fittings(p: &Part) -> Vec<Fitting> {
    let mut all = Fittings(Vec::new());
    for (a, b) in contacts(p) {
        of_contact(p, &a, &b, &mut all);
    }
    match &p.kind {
        Kind::Contactor(c) => {
            of_contactor(c, &mut all);
            of_coil(c.coil.suppressor, &mut all);
        }
        Kind::Relay(r) => {
            all.add(Mode::CoilOpen, "");
            if r.timing.is_none() {
                all.add(Mode::ArmatureBlocked, "");
                all.add(Mode::ArmatureSticks, "");
            }
            of_coil(r.coil.suppressor, &mut all);
        }
        Kind::Overload(o) => of_overload(o, &mut all),
        Kind::Switchgear(s) => of_switchgear(s, &mut all),
        Kind::Controller(c) => of_controller(c, &mut all),
        Kind::Supply(_) => {
            PHASES.iter().for_each(|phase| all.add(Mode::PhaseMissing, phase));
            all.add(Mode::PhasesSwapped, "");
            all.numbers(Mode::VoltageAt, "", &VOLTAGE_PERMILLE);
        }
        Kind::Transformer(t) => {
            [t.primary()[0], t.secondary()[0]].iter().for_each(|at| all.add(Mode::WindingOpen, at));
            all.numbers(Mode::VoltageAt, "", &VOLTAGE_PERMILLE);
        }
        Kind::DcSupply(d) => {
            all.add(Mode::Dead, "");
            all.numbers(Mode::VoltageAt, "", &VOLTAGE_PERMILLE[..2]);
            if d.hold_up_ms > 1 {
                all.add(Mode::HoldUpLost, "");
            }
            all.numbers(Mode::LimitAt, "", &[100]);
        }
        Kind::Control(c) => match c.actuator {
            Actuator::Selector { .. } => all.add(Mode::Detached, ""),
            Actuator::Button | Actuator::EmergencyStop => {
                all.add(Mode::StuckIn, "");
                all.add(Mode::Detached, "");
            }
        },
        Kind::Lamp(_) => {
            all.add(Mode::Dark, "");
            all.with(Mode::Bridged, "X1", vec![Value::Terminal("X2".to_string())]);
        }
        Kind::Motor(_) => of_motor(&mut all),
        Kind::PositionSwitch(_) => all.numbers(Mode::Displaced, "", &OFF_MM),
        Kind::Brake(_) => {
            all.add(Mode::CoilOpen, "");
            all.add(Mode::DoesNotRelease, "");
            all.numbers(Mode::LoadAt, "", &WORN_PERMILLE);
        }
        Kind::Strip(s) => {
            for pair in s.terminals.windows(2) {
                all.with(Mode::Bridged, &pair[0], vec![Value::Terminal(pair[1].clone())]);
            }
        }
    }
    all.0
}

/// Contacts of a part as their terminal pairs, a controller's outputs included.
pub(super) fn contacts(p: &Part) -> Vec<(String, String)> {
    match &p.kind {
        Kind::Controller(c) => {
            let of = |g: &crate::part::Group<_>| -> Vec<(String, String)> {
                g.channels.iter().map(|name| (name.clone(), g.common.clone())).collect()
            };
            c.outputs.iter().flat_map(of).collect()
        }
        _ => p.contacts(),
    }
}

/// Whether a contact of a part is forced open by its actuator, so that it cannot stick closed.
fn opens_positively(p: &Part, contact: &str) -> bool {
    match &p.kind {
        Kind::Control(control) => control
            .contacts
            .iter()
            .any(|x| control.opens_positively(x) && format!("{}-{}", x.a, x.b) == contact),
        Kind::PositionSwitch(s) => s.opens_positively(contact),
        _ => false,
    }
}

fn of_contact(p: &Part, a: &str, b: &str, all: &mut Fittings) {
    let contact = format!("{a}-{b}");
    all.add(Mode::StuckOpen, &contact);
    if !opens_positively(p, &contact) {
        all.add(Mode::StuckClosed, &contact);
    }
    let makes = b.ends_with('4') || b.ends_with('8');
    // Near its reliable minimum a contact is with the few milliamperes of an input.
    let feedback = match p.kind {
        Kind::Contactor(_) => makes && a.len() == 2,
        Kind::Relay(_) => makes,
        _ => a == "97",
    };
    let ohms: &[i32] = match &p.kind {
        _ if feedback => &DIRTY_OHMS,
        // A burnt pole drops some volts under load.
        Kind::Contactor(_) | Kind::Switchgear(_) if a.len() == 1 => &[2],
        Kind::Controller(_) => &[200],
        _ => &DIRTY_OHMS[2..],
    };
    all.numbers(Mode::Dirty, &contact, ohms);
}

fn of_contactor(c: &Contactor, all: &mut Fittings) {
    if c.poles > 0 {
        all.add(Mode::PolesWelded, "");
        c.mains().iter().for_each(|(a, b)| all.add(Mode::PoleWelded, &format!("{a}-{b}")));
        if c.mirror {
            all.add(Mode::MirrorLost, "");
        }
    }
    all.add(Mode::CoilOpen, "");
    if c.interlocked_with.is_some() {
        all.add(Mode::InterlockBroken, "");
        all.add(Mode::InterlockJams, "");
    }
    all.add(Mode::ArmatureBlocked, "");
    all.add(Mode::ArmatureSticks, "");
    all.numbers(Mode::ReleaseSlow, "", &SLOW_MS);
}

fn of_coil(suppressor: Suppressor, all: &mut Fittings) {
    all.numbers(Mode::TurnsShorted, "", &SHORTED_PERMILLE);
    if suppressor != Suppressor::None {
        all.with(Mode::Bridged, "A1", vec![Value::Terminal("A2".to_string())]);
    }
}

fn of_overload(o: &Overload, all: &mut Fittings) {
    let other = [o.dial_min_ma, o.dial_max_ma].into_iter().filter(|&ma| ma != o.dial_ma);
    let dials: Vec<i32> = other.map(|ma| i32::try_from(ma).unwrap_or(i32::MAX)).collect();
    all.numbers(Mode::DialAt, "", &dials);
    if o.reset == Reset::Manual {
        all.add(Mode::ResetsByItself, "");
    }
    all.add(Mode::NeverTrips, "");
    if o.uncompensated_at_c.is_none() {
        all.numbers(Mode::CompensationLost, "", &WARM_C);
    }
    ["1-2", "3-4", "5-6"].iter().for_each(|at| all.add(Mode::HeaterOpen, at));
    if o.phase_loss_sensitive {
        all.add(Mode::PhaseLossUnnoticed, "");
    }
    all.add(Mode::DoesNotReset, "");
}

fn of_switchgear(s: &Switchgear, all: &mut Fittings) {
    let rated = match s.protection {
        Protection::None => return,
        Protection::FuseGg { rated_ma }
        | Protection::FuseFast { rated_ma }
        | Protection::Breaker { rated_ma, .. } => rated_ma,
        Protection::Motor { dial_ma, .. } => dial_ma,
    };
    let rated = i32::try_from(rated / 4).unwrap_or(i32::MAX / 64);
    // A link or breaker of a quarter opens on starting; one of four times protects nothing.
    all.numbers(Mode::RatedAt, "", &[rated.max(1), rated.max(1) * 16]);
    if s.protection.opens_all_poles() {
        all.add(Mode::NeverTrips, "");
    }
}

fn of_controller(c: &Controller, all: &mut Fittings) {
    for input in c.inputs.iter().flat_map(|g| &g.channels) {
        all.add(Mode::Dead, input);
        all.add(Mode::ReadsOne, input);
        all.numbers(Mode::Leaks, input, &LEAK_OHMS);
    }
    all.add(Mode::Dead, "");
    all.add(Mode::Stopped, "");
    let other: Vec<i32> = FILTER_MS.into_iter().filter(|&ms| ms != i32::from(c.filter_ms)).collect();
    all.numbers(Mode::FilterAt, "", &other);
    for group in &c.inputs {
        for pair in group.channels.windows(2) {
            all.with(Mode::Exchanged, &pair[0], vec![Value::Terminal(pair[1].clone())]);
        }
    }
    for group in &c.outputs {
        for pair in group.channels.windows(2) {
            all.with(Mode::Exchanged, &pair[0], vec![Value::Terminal(pair[1].clone())]);
        }
    }
}

fn of_motor(all: &mut Fittings) {
    for at in ["U1", "V1", "W1"] {
        all.add(Mode::WindingOpen, at);
        all.numbers(Mode::TurnsShorted, at, &SHORTED_WINDING_PERMILLE);
        all.numbers(Mode::Earthed, at, &EARTH_OHMS);
    }
    for (at, other) in [("U1", "V1"), ("V1", "W1"), ("U1", "W1")] {
        all.with(Mode::Exchanged, at, vec![Value::Terminal(other.to_string())]);
    }
    all.numbers(Mode::LoadAt, "", &LOAD_PERMILLE);
}

impl Fault {
    /// Every fault of the catalogue that fits one part and stays, in the order of the modes.
    pub fn of_part(p: &Part) -> Vec<Fault> {
        let of = |fitting: Fitting| {
            let one = move |value| Fault::new(fitting.mode, &p.tag, &fitting.at, value);
            fitting.values.into_iter().map(one)
        };
        let mut all: Vec<Fault> = fittings(p).into_iter().flat_map(of).collect();
        all.sort();
        all
    }

    /// Every fault of the catalogue that fits one conductor and stays: broken, loose, earthed, and each end on the next terminal of its part.
    pub fn of_conductor(c: &Conductor, parts: &[Part]) -> Vec<Fault> {
        let mut all = vec![Fault::conductor_open(&c.id)];
        let number = |mode| move |ohms| Fault::new(mode, &c.id, "", Value::Number(ohms));
        if c.colour == Insulation::GreenYellow {
            return all;
        }
        all.extend(LOOSE_OHMS.map(number(Mode::ConductorLoose)));
        all.extend(EARTH_OHMS.map(number(Mode::ConductorEarthed)));
        for end in [&c.from, &c.to] {
            let Some(part) = parts.iter().find(|p| p.tag == end.part) else { continue };
            let names = part.terminals();
            let Some(place) = names.iter().position(|name| *name == end.name) else { continue };
            let next = Terminal::new(&end.part, &names[(place + 1) % names.len()]);
            if next != c.from && next != c.to {
                let value = Value::Terminal(next.to_string());
                all.push(Fault::new(Mode::ConductorMoved, &c.id, &end.to_string(), value));
            }
        }
        all
    }

    /// Every single fault of the program in a controller: each contact inverted or bridged over, each rung missing. None for any
    /// other part.
    pub fn of_program(part: &Part, program: &Program) -> Vec<Fault> {
        if !matches!(part.kind, Kind::Controller(_)) {
            return Vec::new();
        }
        let mut all = Vec::new();
        for (n, rung) in (1..).zip(&program.rungs) {
            all.push(Fault::new(Mode::RungMissing, &part.tag, &n.to_string(), Value::None));
            for contact in 1..=rung.contacts() {
                let at = format!("{n}.{contact}");
                let of = |mode| Fault::new(mode, &part.tag, &at, Value::None);
                all.extend([Mode::Inverted, Mode::Passes].map(of));
            }
        }
        all
    }

    /// Whether the fault fits parts, conductors and program of a plan; the error says why not.
    pub fn fits(&self, plan: &Plan) -> Result<(), String> {
        match self.mode.is_of_conductor() {
            true => self.fits_conductor(&plan.parts, &plan.conductors),
            false => self.fits_part(plan),
        }
    }

    fn fits_conductor(&self, parts: &[Part], conductors: &[Conductor]) -> Result<(), String> {
        let is_terminal = |text: &str| {
            Terminal::parse(text)
                .is_some_and(|t| parts.iter().any(|p| p.tag == t.part && p.terminals().contains(&t.name)))
        };
        let own: Vec<&Conductor> = conductors.iter().filter(|c| c.id == self.subject).collect();
        if own.is_empty() && !is_terminal(&self.subject) {
            return Err(format!("there is no conductor `{}`", self.subject));
        }
        if let (Mode::ConductorMoved, Value::Terminal(to)) = (self.mode, &self.value) {
            let ends = |c: &&Conductor| [&c.from, &c.to].iter().any(|end| end.to_string() == self.at);
            if !conductors.iter().filter(|c| self.is_on(c)).any(|c| ends(&c)) {
                return Err(format!("conductor `{}` has no end on `{}`", self.subject, self.at));
            }
            if !is_terminal(to) {
                return Err(format!("there is no terminal `{to}`"));
            }
        }
        Ok(())
    }

    fn fits_part(&self, plan: &Plan) -> Result<(), String> {
        let tag = &self.subject;
        let part =
            plan.parts.iter().find(|p| p.tag == *tag).ok_or_else(|| format!("there is no part `{tag}`"))?;
        if self.mode.at() == At::Program {
            return match (&part.kind, &plan.program) {
                (Kind::Controller(_), Some(program)) => self.fits_program(program),
                (Kind::Controller(_), None) => Err(format!("`{tag}` has no program")),
                _ => Err(format!("`{tag}` is no controller")),
            };
        }
        if self.mode.at() == At::Contact {
            self.fits_contact(part)?;
        }
        if let (Unit::Terminal, Value::Terminal(other)) = (self.mode.unit(), &self.value) {
            for name in [&self.at, other] {
                if !part.terminals().contains(name) {
                    return Err(format!("`{tag}` has no terminal `{name}`"));
                }
            }
            return Ok(());
        }
        let all = fittings(part);
        let mut of_mode = all.iter().filter(|fitting| fitting.mode == self.mode).peekable();
        if of_mode.peek().is_none() {
            return Err(format!("`{tag}` can not be {}", self.mode.words().words));
        }
        let places: Vec<&str> = of_mode.map(|fitting| fitting.at.as_str()).collect();
        if !places.contains(&self.at.as_str()) {
            let words = self.mode.words().words;
            return Err(format!(
                "`{tag}` has no `{}` that can be {words}; it has: {}",
                self.at,
                places.join(", ")
            ));
        }
        match self.mode.unit().takes(&self.value) {
            true => Ok(()),
            false => Err(format!("`{self}` has no value that fits")),
        }
    }

    /// What is changed of a program has to be there.
    fn fits_program(&self, program: &Program) -> Result<(), String> {
        let at = &self.at;
        let (rung, contact) = match (place(at), self.mode) {
            (Some((rung, None)), Mode::RungMissing) => (rung, None),
            (Some((rung, Some(contact))), Mode::Inverted | Mode::Passes) => (rung, Some(contact)),
            (_, Mode::RungMissing) => {
                return Err(format!("`{at}`: the number of a rung is expected, as in `3`"));
            }
            _ => return Err(format!("`{at}`: rung and contact are expected, as in `3.2`")),
        };
        let Some(logic) = program.rungs.get(rung) else {
            return Err(format!("there is no rung {}; the program has {}", rung + 1, program.rungs.len()));
        };
        let contacts = logic.contacts();
        match contact {
            Some(contact) if contact >= contacts as usize => {
                Err(format!("rung {} has no contact {}; it has {contacts}", rung + 1, contact + 1))
            }
            _ => Ok(()),
        }
    }

    fn fits_contact(&self, part: &Part) -> Result<(), String> {
        let (tag, contact) = (&part.tag, &self.at);
        let names: Vec<String> = contacts(part).iter().map(|(a, b)| format!("{a}-{b}")).collect();
        let of_mode = match self.mode {
            // A heater is no contact.
            Mode::HeaterOpen => return Ok(()),
            _ => names.contains(contact),
        };
        if !of_mode {
            return Err(format!("`{tag}` has no contact `{contact}`; it has: {}", names.join(", ")));
        }
        if self.mode == Mode::StuckClosed && opens_positively(part, contact) {
            return Err(format!(
                "`{tag}` opens `{contact}` positively: the actuator forces it open, so it cannot stick closed"
            ));
        }
        Ok(())
    }
}

/// Whether a contact of a control device or position switch closes on actuation.
pub(super) fn form_of(part: &Part, contact: &str) -> Form {
    let makes = contact.rsplit('-').next().is_some_and(|b| b.ends_with(['4', '8']));
    match &part.kind {
        Kind::Control(c) => {
            let own = c.contacts.iter().find(|x| format!("{}-{}", x.a, x.b) == contact);
            match own.is_some_and(|x| x.closed_in & 1 != 0) {
                true => Form::Break,
                false => Form::Make,
            }
        }
        _ if makes => Form::Make,
        _ => Form::Break,
    }
}
