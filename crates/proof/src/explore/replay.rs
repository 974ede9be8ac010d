//! A path of an exploration, and what the whole bench makes of it.

use super::plant::{Moves, Plant};
use super::question::Question;
use super::trail::What;
use crate::expr::{Formula, Verdict};
use sealin_core::devices::overload::TRIP_HEAT;
use sealin_core::discrete::Packed;
use sealin_core::part::{ArmatureDelays, Kind, Reset};
use sealin_core::step::{Harm, MachineMove, stand, watched_machines};
use sealin_core::{Bench, BenchAct, Design, Events, Fault, Note};
use std::fmt;
use std::rc::Rc;

/// Something of the environment that a path fixes, where the bench has a nominal value of its own.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Record {
    /// From this tick on the armature of a contactor or relay has these delays.
    Delays {
        /// First tick.
        tick: u64,
        /// Tag.
        part: String,
        /// The delays.
        delays: ArmatureDelays,
    },
    /// In this tick the contacts of a control device, as they bounce, show where they were before, or where they are.
    Bounce {
        /// The tick.
        tick: u64,
        /// Tag.
        part: String,
        /// Where they were before.
        back: bool,
    },
    /// In this tick a machine stands so close to the end of the part of its way between two places at which a position switch changes
    /// that it comes into the next one, if its motor turns it there. In all other ticks it is well within its part.
    Place {
        /// The tick.
        tick: u64,
        /// Tag of the motor.
        part: String,
        /// The place at which a switch changes, nm: the first position of the upper of the two parts.
        nm: i64,
        /// It goes up.
        up: bool,
    },
    /// In this tick a brake is freed or applies, as its coil says; otherwise one that no formula names stays as it is.
    Brake {
        /// The tick.
        tick: u64,
        /// Tag.
        part: String,
    },
    /// At this tick an overload on automatic reset is as hot as one that trips by its current, or cold: else it would go back by itself, or
    /// stay out, whatever the path says.
    Heat {
        /// The tick.
        tick: u64,
        /// Tag.
        part: String,
        /// Hot.
        hot: bool,
    },
    /// From this tick on an intermittent fault is there, or not.
    Fault {
        /// First tick.
        tick: u64,
        /// Whether it is there.
        there: bool,
    },
}

/// What a path breaks, and at which tick.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Broken {
    /// The required formula of this number, from 0.
    Formula(usize, u64),
    /// Damage.
    Harm(Harm, u64),
}

/// The shortest path that breaks a requirement: fewest quanta, then fewest acts.
#[derive(Clone, Debug, PartialEq)]
pub struct Counterexample {
    /// What is done, with its tick, power on included.
    pub acts: Vec<(u64, BenchAct)>,
    /// What the environment does.
    pub records: Vec<Record>,
    /// What breaks.
    pub broken: Broken,
    /// Ticks of a quantum.
    pub period: u32,
    /// Brakes whose times are free, by number.
    untimed: Vec<usize>,
    /// The discrete state before each quantum but the first.
    boundaries: Vec<Packed>,
}

/// What the whole bench, with heat, motor and damage, makes of a path.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Replay {
    /// The same states at the start of every quantum, and the same breaks at the same tick.
    Reproduced,
    /// Something else, in words.
    NotReproduced(String),
}

impl fmt::Display for Record {
    /// `2005 ms QA1: break 12 ms, main 25 ms, out 15 ms, break 5 ms`: armature delays, a contact that bounces, or a fault that
    /// comes and goes.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Record::Delays { tick, part, delays } => write!(
                f,
                "{tick} ms {part}: break contacts open after {} ms, main poles close after {} ms; let go, main poles open \
                 after {} ms, break contacts close {} ms later",
                delays.break_open_ms, delays.main_close_ms, delays.main_open_ms, delays.break_close_ms
            ),
            Record::Bounce { tick, part, back: true } => write!(f, "{tick} ms {part}: bounces back"),
            Record::Bounce { tick, part, back: false } => {
                write!(f, "{tick} ms {part}: stays while it could bounce")
            }
            Record::Place { tick, part, nm, up } => {
                let (way, from) = if *up { ("up", "below") } else { ("down", "above") };
                let (mm, sign) = (nm.unsigned_abs() / NM_PER_MM, if *nm < 0 { "−" } else { "" });
                let (m, mm) = (mm / 1000, mm % 1000);
                write!(
                    f,
                    "{tick} ms the machine of {part} is just {from} {sign}{m}.{mm:03} m, on its way {way}"
                )
            }
            Record::Brake { tick, part } => write!(f, "{tick} ms {part} does now what its coil says"),
            Record::Heat { tick, part, hot: true } => {
                write!(f, "{tick} ms {part} is hot, and does not go back by itself")
            }
            Record::Heat { tick, part, hot: false } => write!(f, "{tick} ms {part} has cooled"),
            Record::Fault { tick, there: true } => write!(f, "{tick} ms the fault is there"),
            Record::Fault { tick, there: false } => write!(f, "{tick} ms the fault is away"),
        }
    }
}

impl Counterexample {
    pub(super) fn new(
        plant: &Plant,
        ticks: Vec<Moves>,
        boundaries: Vec<Packed>,
        last_quantum: u64,
        what: &What,
    ) -> Counterexample {
        let comes_and_goes = plant.fault.as_ref().is_some_and(Fault::is_intermittent);
        let mut acts = vec![(0, BenchAct::Power(true))];
        let mut records = Vec::new();
        let (contactors, controls) = (contactors(plant.design()), controls(plant.design()));
        let brakes = brakes(plant.design());
        let mut last: Vec<Option<ArmatureDelays>> = vec![None; contactors.len()];
        let mut there = None;
        for (tick, moves) in (0u64..).zip(ticks) {
            let strikes = moves.acts.iter().any(|act| matches!(act, BenchAct::Inject(_)));
            if comes_and_goes && (strikes || there.is_some_and(|there| there != moves.there)) {
                there = Some(moves.there);
                records.push(Record::Fault { tick, there: moves.there });
            }
            records.extend(moves.acts.iter().filter_map(|act| heat(plant, tick, act)));
            acts.extend(moves.acts.into_iter().map(|act| (tick, act)));
            for ((part, last), delays) in contactors.iter().zip(&mut last).zip(moves.delays) {
                if last.replace(delays) != Some(delays) {
                    records.push(Record::Delays { tick, part: part.to_string(), delays });
                }
            }
            for i in moves.brakes {
                records.push(Record::Brake { tick, part: brakes[i].to_string() });
            }
            for one in moves.machines.iter().filter(|one| one.crosses() != 0) {
                records.push(place(plant.design(), tick, one));
            }
            for (i, back) in moves.bounces {
                records.push(Record::Bounce { tick, part: controls[i].to_string(), back });
            }
        }
        let broken = match what {
            What::Formula(formula, tick) => {
                Broken::Formula((*formula).into(), last_quantum + u64::from(*tick))
            }
            What::Harm(harm, tick) => Broken::Harm(harm.clone(), last_quantum + u64::from(*tick)),
        };
        Counterexample {
            acts,
            records,
            broken,
            period: plant.period,
            untimed: plant.untimed.clone(),
            boundaries,
        }
    }

    /// The tick at which it breaks.
    pub fn tick(&self) -> u64 {
        match self.broken {
            Broken::Formula(_, tick) | Broken::Harm(_, tick) => tick,
        }
    }

    /// Number of its acts, power on included.
    pub fn actions(&self) -> usize {
        self.acts.len()
    }
}

impl fmt::Display for Counterexample {
    /// As a script: acts with the waits between them.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut now = 0;
        for (tick, act) in &self.acts {
            if *tick > now {
                writeln!(f, "wait {}", crate::print_duration(tick - now))?;
                now = *tick;
            }
            writeln!(f, "{act}")?;
        }
        if self.tick() > now {
            writeln!(f, "wait {}", crate::print_duration(self.tick() - now))?;
        }
        Ok(())
    }
}

/// Plays a path on the whole bench.
pub fn replay(question: &Question, path: &Counterexample) -> Replay {
    replay_seen(question, path, &mut |_, _, _| {})
}

/// Plays a path on the whole bench, and shows `seen` every tick: the bench after it, its number, and what changed in it.
pub fn replay_seen(question: &Question, path: &Counterexample, seen: Seen) -> Replay {
    played(question, path, seen).unwrap_or_else(Replay::NotReproduced)
}

/// Where a machine is in a tick in which it crosses the place at which a position switch changes.
fn place(design: &Design, tick: u64, one: &MachineMove) -> Record {
    let part = one.tag(design).to_string();
    Record::Place { tick, part, nm: one.place_nm(design), up: one.crosses() > 0 }
}

/// How hot an overload on automatic reset is when it is tripped or reset.
fn heat(plant: &Plant, tick: u64, act: &BenchAct) -> Option<Record> {
    let (part, hot) = match act {
        BenchAct::Trip(part) => (part, true),
        BenchAct::Reset(part) => (part, false),
        _ => return None,
    };
    let automatic = |kind: &Kind| matches!(kind, Kind::Overload(data) if data.reset == Reset::Automatic);
    let by_itself = |design: &Design| design.part(part).is_some_and(|part| automatic(&part.kind));
    plant.designs().any(by_itself).then(|| Record::Heat { tick, part: part.clone(), hot })
}

/// Nanometres in a millimetre.
const NM_PER_MM: u64 = 1_000_000;

/// What is shown every tick.
pub type Seen<'a> = &'a mut dyn FnMut(&Bench, u64, &Events);

fn played(question: &Question, path: &Counterexample, seen: Seen) -> Result<Replay, String> {
    let mut bench = Bench::new(question.plan.clone()).map_err(|e| e.to_string())?;
    let formula = |v: &Verdict| Formula::new(&v.of, &bench.design).map_err(|e| e.to_string());
    let formulas = question.required.iter().map(formula).collect::<Result<Vec<Formula>, String>>()?;
    let mut memories: Vec<_> = formulas.iter().map(Formula::memory).collect();
    let design = Rc::clone(&bench.design);
    let (contactors, controls) = (contactors(&design), controls(&design));
    let (motors, brakes) = (tags(&design, |kind| matches!(kind, Kind::Motor(_))), brakes(&design));
    let overloads = tags(&design, |kind| matches!(kind, Kind::Overload(_)));
    let machines: Vec<usize> = watched_machines(&design).collect();
    let number =
        |all: &[&str], part: &str| all.iter().position(|tag| *tag == part).ok_or("a part of this bench");
    let mut acts = path.acts.iter().peekable();
    let mut records = path.records.iter().peekable();
    for tick in 0..=path.tick() {
        if tick > 0 && tick.is_multiple_of(path.period.into()) {
            let quantum = (tick / u64::from(path.period)) as usize - 1;
            if path.boundaries.get(quantum).is_some_and(|packed| !is_in(&bench, packed)) {
                return Ok(Replay::NotReproduced(format!("the state at {tick} ms is another one")));
            }
        }
        // In between a machine is where it comes to no place at which a switch changes: how fast it gets there is free.
        for &motor in &machines {
            stand(&design, &mut bench.state, motor, None);
        }
        path.untimed.iter().for_each(|&i| bench.state.brakes[i].due = Some(false));
        bench.state.controls.iter_mut().for_each(|c| c.back = None);
        while let Some(record) = records.next_if(|record| record.tick() == tick) {
            match record {
                Record::Delays { part, delays, .. } => {
                    bench.state.contactors[number(&contactors, part)?].delays = Some(*delays);
                }
                Record::Fault { there, .. } => bench.hold_intermittent(*there),
                Record::Heat { part, hot, .. } => {
                    let heat = if *hot { TRIP_HEAT } else { 0.0 };
                    bench.state.overloads[number(&overloads, part)?].heat = [heat; 3];
                }
                Record::Brake { part, .. } => {
                    bench.state.brakes[number(&brakes, part)?].due = Some(true);
                }
                Record::Place { part, up, .. } => {
                    stand(&design, &mut bench.state, number(&motors, part)?, Some(*up));
                }
                Record::Bounce { part, back, .. } => {
                    bench.state.controls[number(&controls, part)?].back = Some(*back);
                    bench.state.awake.contacts = true;
                }
            }
        }
        while let Some((_, act)) = acts.next_if(|(at, _)| *at == tick) {
            bench.act(act.clone())?;
        }
        let events = bench.step();
        seen(&bench, tick, &events);
        if let Some(harmed) = harm_seen(path, tick, &events.notes) {
            return Ok(harmed);
        }
        for (k, ((formula, memory), verdict)) in
            formulas.iter().zip(&mut memories).zip(question.required).enumerate()
        {
            let value = formula.step(memory, tick, &|n| bench.state.signal(n));
            if value != verdict.always {
                return Ok(if path.broken == Broken::Formula(k, tick) {
                    Replay::Reproduced
                } else {
                    Replay::NotReproduced(format!("formula {} breaks at {tick} ms", k + 1))
                });
            }
        }
    }
    Ok(match &path.broken {
        Broken::Harm(harm, _) if bench.harm().as_ref() == Some(harm) => Replay::Reproduced,
        _ => Replay::NotReproduced("nothing breaks".to_string()),
    })
}

/// Whether the bench is in this discrete state. In which sense a motor turns shows in what its machine crosses; that it stands where it
/// could turn, or the other way round, changes nothing else.
fn is_in(bench: &Bench, packed: &Packed) -> bool {
    let mut state = bench.state.clone();
    bench.design.take_senses(packed, &mut state);
    bench.design.pack(&mut state) == *packed
}

/// Tags of the contactors and relays, in the order of their numbers.
fn contactors(design: &Design) -> Vec<&str> {
    tags(design, |kind| matches!(kind, Kind::Contactor(_) | Kind::Relay(_)))
}

/// Tags of the control devices, in the order of their numbers.
fn controls(design: &Design) -> Vec<&str> {
    tags(design, |kind| matches!(kind, Kind::Control(_)))
}

/// Tags of the brakes, in the order of their numbers.
fn brakes(design: &Design) -> Vec<&str> {
    tags(design, |kind| matches!(kind, Kind::Brake(_)))
}

fn tags(design: &Design, wanted: fn(&Kind) -> bool) -> Vec<&str> {
    design.parts.iter().filter(|part| wanted(&part.kind)).map(|part| part.tag.as_str()).collect()
}

impl Record {
    /// The tick that it is for.
    pub fn tick(&self) -> u64 {
        match self {
            Record::Delays { tick, .. }
            | Record::Bounce { tick, .. }
            | Record::Place { tick, .. }
            | Record::Brake { tick, .. }
            | Record::Heat { tick, .. }
            | Record::Fault { tick, .. } => *tick,
        }
    }
}

/// Damage that the bench itself tells before the path comes to its end.
fn harm_seen(path: &Counterexample, tick: u64, notes: &[Note]) -> Option<Replay> {
    let damage = notes.iter().find(|note| {
        matches!(
            note,
            Note::ChannelDestroyed { .. }
                | Note::OutputDamaged { .. }
                | Note::PolesWelded { .. }
                | Note::Opened { .. }
        )
    })?;
    Some(match &path.broken {
        Broken::Harm(_, at) if *at == tick => Replay::Reproduced,
        _ => Replay::NotReproduced(format!("at {tick} ms: {damage}")),
    })
}
