//! Faults of the main job as the tests and the table of the coach hide them.

use crate::generate::{Random, paddle};
use sealin_core::fault::{Mode, Unit, Value};
use sealin_core::instruments::Shown;
use sealin_core::{Bench, BenchAct, Fault, Measurement, Plan};
use sealin_exercise::shipped;
use sealin_proof::suspects::{Answers, Finding, Path, Rehearsal, Silence, Suspect, Way};
use std::collections::BTreeMap;
use std::fmt;
use std::sync::{Arc, Mutex};

/// The main job with its reference.
///
/// # Panics
/// If it does not ship.
pub fn main_job() -> Plan {
    let scenario = paddle();
    let reference = shipped::reference("paddle-closed-loop").expect("the main job has a reference");
    let work = reference.work(&scenario).expect("a reference fits");
    work.plan_of_sheet(&scenario).expect("a shipped program compiles")
}

/// The faults of the catalogue that stay, by suspect.
pub fn by_suspect(plan: &Plan) -> BTreeMap<Suspect, Vec<Fault>> {
    let mut all = BTreeMap::new();
    for fault in Fault::catalogue(&plan.parts, &plan.conductors) {
        if !fault.is_intermittent() {
            all.entry(Suspect::of(&fault)).or_insert_with(Vec::new).push(fault);
        }
    }
    all
}

/// The fault with a value that is none of the catalogue's: of several the geometric mean of the last two, of one some of it.
pub fn off_list(of_suspect: &[Fault]) -> Fault {
    let numbers: Vec<f64> = numbers(of_suspect).map(f64::from).collect();
    let mut fault = of_suspect[0].clone();
    let value = match (fault.mode, fault.mode.unit(), numbers.as_slice()) {
        (_, Unit::None | Unit::Terminal, _) | (_, _, []) => return fault,
        (Mode::Displaced, ..) => 100.0,
        (_, _, [one]) => one * 0.7,
        (_, _, [.., one, other]) => (one * other).sqrt(),
    };
    fault.value = Value::Number(value as i32);
    fault
}

/// The fault with a value by lot: anywhere on its scale, as often beyond those of the catalogue as between any two of them, and by the
/// order of magnitude where all are above nil. The same fault where it has no value.
pub fn anywhere(plan: &Plan, of_suspect: &[Fault], random: &mut Random) -> Fault {
    let mut fault = of_suspect[0].clone();
    let Some(scale) = fault.scale(&plan.parts) else { return fault };
    let mut all: Vec<i32> = numbers(of_suspect).chain([scale.least, scale.most]).collect();
    all.sort_unstable();
    all.dedup();
    let stretches: Vec<[i32; 2]> = all.windows(2).map(|pair| [pair[0], pair[1]]).collect();
    let ends = *random.pick(&stretches);
    fault.value = match between(ends, random).clamp(scale.least, scale.most) {
        sound if sound == scale.sound => fault.value,
        other => Value::Number(other),
    };
    fault
}

/// The numbers that these faults have for a value.
pub(crate) fn numbers(of_suspect: &[Fault]) -> impl Iterator<Item = i32> {
    of_suspect.iter().filter_map(|fault| fault.value.number())
}

/// A number by lot from the one to the other, by the order of magnitude where both are above nil.
pub(crate) fn between(ends: [i32; 2], random: &mut Random) -> i32 {
    let [low, high] = ends.map(f64::from);
    let part = random.below(1_001) as f64 / 1_000.0;
    let value = if low > 0.0 { low * (high / low).powf(part) } else { low + (high - low) * part };
    value as i32
}

/// A bench of the job with this fault in it.
///
/// # Panics
/// If the fault does not fit.
pub fn at_fault(plan: &Plan, fault: &Fault) -> Bench {
    let mut with = plan.clone();
    with.faults.insert(fault.clone());
    Bench::new(with).expect("a fault of the catalogue fits")
}

/// What became of one hidden fault.
#[derive(Clone, Debug)]
pub struct Tried {
    /// What was hidden.
    pub fault: Fault,
    /// Readings of the coach.
    pub readings: usize,
    /// Readings after which nothing more was ruled out.
    pub needed: usize,
    /// Suspects that are left at the end.
    pub left: usize,
    /// The same, each counted as it is likely.
    pub likely: f64,
    /// The fault is among them.
    pub kept: bool,
    /// It shows at the machine, to the eye.
    pub shows: bool,
}

/// A rehearsal of the usual operation with these faults suspected, gone through to its end.
///
/// # Panics
/// If it cannot be.
pub fn rehearsed(plan: &Plan, faults: &[Fault]) -> Rehearsal {
    let way = Way::usual(plan, |_| true);
    let mut rehearsal = Rehearsal::new(plan, faults, way).expect("the catalogue fits its job");
    while rehearsal.advance(1_000).expect("the usual operation fits its job").behind > 0 {}
    rehearsal
}

/// Has the coach look for a fault. A way that it went before, known to `ways`, is not worked out again: the coach asks the same where it is
/// answered the same.
///
/// # Panics
/// If the rehearsal is of another job.
pub fn tried(rehearsal: &Rehearsal, plan: &Plan, fault: &Fault, ways: &Ways) -> Tried {
    let path = ways.path(rehearsal, &|| at_fault(plan, fault));
    let readings: Vec<bool> = path
        .steps
        .iter()
        .filter(|step| matches!(step.finding, Finding::Reading(..)))
        .map(|step| step.out > 0)
        .collect();
    Tried {
        fault: fault.clone(),
        readings: readings.len(),
        needed: readings.iter().rposition(|&out| out).map_or(0, |last| last + 1),
        left: path.left.len(),
        likely: path.likely(),
        kept: path.left.iter().any(|(one, _)| *one == Suspect::of(fault)),
        shows: path.shows,
    }
}

/// Ways that the coach went on benches where nothing shows: many of these are alike.
#[derive(Debug, Default)]
pub struct Ways(Mutex<Vec<Arc<Gone>>>);

/// A way that was gone.
#[derive(Debug)]
struct Gone {
    asked: Vec<Asked>,
    path: Path,
}

/// What the coach has done on a bench, with the answer.
#[derive(Clone, Debug, PartialEq)]
enum Asked {
    Act(BenchAct),
    Run(u64),
    Measure(Measurement, Result<(Shown, u64), String>),
    Seen(String, Result<bool, String>),
}

impl Asked {
    /// Whether a bench, of which the same is asked, answers the same.
    fn is_answered_the_same(&self, bench: &mut Bench) -> bool {
        match self {
            Asked::Act(act) => {
                Answers::act(bench, act);
                true
            }
            Asked::Run(tick) => {
                Answers::run_until(bench, *tick);
                true
            }
            Asked::Measure(what, answer) => Answers::measure(bench, what) == *answer,
            Asked::Seen(signal, answer) => bench.seen(signal) == *answer,
        }
    }
}

/// A bench, and all that is asked of it.
struct Overheard {
    bench: Bench,
    asked: Vec<Asked>,
}

impl Answers for Overheard {
    fn act(&mut self, act: &BenchAct) {
        Answers::act(&mut self.bench, act);
        self.asked.push(Asked::Act(act.clone()));
    }

    fn run_until(&mut self, tick: u64) {
        Answers::run_until(&mut self.bench, tick);
        self.asked.push(Asked::Run(tick));
    }

    fn measure(&mut self, what: &Measurement) -> Result<(Shown, u64), String> {
        let answer = Answers::measure(&mut self.bench, what);
        self.asked.push(Asked::Measure(what.clone(), answer.clone()));
        answer
    }

    fn seen(&mut self, signal: &str) -> Result<bool, String> {
        let answer = self.bench.seen(signal);
        self.asked.push(Asked::Seen(signal.to_string(), answer.clone()));
        answer
    }
}

impl Ways {
    fn path(&self, rehearsal: &Rehearsal, bench: &dyn Fn() -> Bench) -> Path {
        let known = self.0.lock().expect("nobody panics with it").clone();
        for way in known {
            let mut bench = bench();
            if way.asked.iter().all(|asked| asked.is_answered_the_same(&mut bench)) {
                return way.path.clone();
            }
        }
        let mut overheard = Overheard { bench: bench(), asked: Vec::new() };
        let path = rehearsal.path(&mut overheard).expect("the way fits its job");
        if !path.shows {
            let gone = Gone { asked: overheard.asked, path: path.clone() };
            self.0.lock().expect("nobody panics with it").push(Arc::new(gone));
        }
        path
    }
}

/// Of a hundred faults that show at the machine the coach has to come to its end within the bound in so many.
pub const LEAST_PER_CENT: usize = 95;

/// What became of many hidden faults, by kind.
#[derive(Debug)]
pub struct Table<'a> {
    plan: &'a Plan,
    suspects: usize,
    classes: usize,
    /// What is suspected where nothing shows.
    silence: Silence,
    tried: Vec<Tried>,
    /// Places that show nothing, and were not searched for.
    silent: usize,
}

impl<'a> Table<'a> {
    /// Empty, of a job with so many suspects that are rehearsed.
    pub fn new(plan: &'a Plan, suspects: usize, rehearsal: &Rehearsal) -> Table<'a> {
        let (classes, silence) = (rehearsal.classes(), rehearsal.silence());
        Table { plan, suspects, classes, silence, tried: Vec::new(), silent: 0 }
    }

    /// Adds a hidden fault.
    pub fn add(&mut self, tried: Tried) {
        self.tried.push(tried);
    }

    /// Leaves out a fault that shows nothing.
    pub fn leave_out(&mut self) {
        self.silent += 1;
    }

    /// Most readings that the coach may take: log₂ of the classes, and 2.
    pub fn bound(&self) -> f64 {
        (self.classes as f64).log2() + 2.0
    }

    fn is_within(&self, tried: &Tried) -> bool {
        tried.readings as f64 <= self.bound()
    }

    /// None was lost, and enough of those that show at the machine are within the bound.
    pub fn is_good(&self) -> bool {
        let shown: Vec<&Tried> = self.tried.iter().filter(|tried| tried.shows).collect();
        let within = shown.iter().filter(|tried| self.is_within(tried)).count();
        self.loses_none() && within * 100 >= shown.len() * LEAST_PER_CENT
    }

    /// Every fault is among what is left of its path.
    pub fn loses_none(&self) -> bool {
        self.tried.iter().all(|tried| tried.kept)
    }
}

impl fmt::Display for Table<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut kinds: BTreeMap<(&str, String), Vec<&Tried>> = BTreeMap::new();
        for tried in &self.tried {
            let kind = tried.fault.kind(&self.plan.parts, &self.plan.conductors);
            let class = kind.map_or("", |kind| kind.class.said());
            kinds.entry((class, tried.fault.mode.form())).or_default().push(tried);
        }
        let head = format!("readings ≤ {:.1}", self.bound());
        writeln!(
            f,
            "| on | fault | places | show | readings, median, most | left, median, most | as likely, median, most | {head}: of those that show, of all | kept |"
        )?;
        writeln!(f, "| --- | --- | --- | --- | --- | --- | --- | --- | --- |")?;
        let middle = |mut all: Vec<usize>| {
            all.sort_unstable();
            let [middle, most] = [all.len() / 2, all.len() - 1].map(|place| all[place]);
            format!("{middle}, {most}")
        };
        let of_likely = |mut all: Vec<f64>| {
            all.sort_by(f64::total_cmp);
            format!("{:.1}, {:.1}", all[all.len() / 2], all[all.len() - 1])
        };
        let mut row = |on: &str, fault: &str, all: &[&Tried]| {
            let readings = middle(all.iter().map(|tried| tried.readings).collect());
            let left = middle(all.iter().map(|tried| tried.left).collect());
            let likely = of_likely(all.iter().map(|tried| tried.likely).collect());
            let count = |of: &dyn Fn(&Tried) -> bool| all.iter().filter(|tried| of(tried)).count();
            let (show, kept) = (count(&|tried| tried.shows), count(&|tried| tried.kept));
            let within = count(&|tried| self.is_within(tried));
            let shown_within = count(&|tried| tried.shows && self.is_within(tried));
            let places = all.len();
            writeln!(
                f,
                "| {on} | `{fault}` | {places} | {show} | {readings} | {left} | {likely} | {shown_within}, {within} | {kept} |"
            )
        };
        for ((class, form), all) in &kinds {
            row(class, form, all)?;
        }
        row("all", "any", &self.tried.iter().collect::<Vec<_>>())?;
        writeln!(
            f,
            "\n{} suspects in {} classes that can be told apart; log₂ of these and 2 is {:.1}.",
            self.suspects,
            self.classes,
            self.bound()
        )?;
        writeln!(
            f,
            "Where nothing shows {} are left. Readings that show what they do on a sound machine rule out {} of them; that takes {} at least.",
            self.silence.left,
            self.silence.by_all(),
            self.silence.readings_at_least()
        )?;
        if self.silent > 0 {
            writeln!(f, "{} places more show nothing and were not searched for.", self.silent)?;
        }
        Ok(())
    }
}
