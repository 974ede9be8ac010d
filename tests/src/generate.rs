//! Generated attempts: deterministic by seed, with run-up, reversal, heat trip, faults, edits, undo and going back.

use crate::mutate::Dice;
use sealin_core::instruments::Function;
use sealin_core::step::design_outside;
use sealin_core::{BenchAct, Conductor, Design, Fault, Insulation, Measurement, Plan, Terminal};
use sealin_exercise::attempt::{Attempt, Change};
use sealin_exercise::project::Project;
use sealin_exercise::proving::{Task, tasks};
use sealin_exercise::scenario::{Scenario, parse_wires};
use sealin_exercise::session::Session;
use sealin_exercise::shipped;
use std::rc::Rc;

/// The random numbers of this crate, as attempts need them.
#[derive(Clone, Debug)]
pub struct Random(Dice);

impl Random {
    /// Starts from a seed.
    pub fn new(seed: u64) -> Self {
        Random(Dice::new(seed))
    }

    /// A number below `n`.
    pub fn below(&mut self, n: u64) -> u64 {
        self.0.number() % n
    }

    /// One of these.
    pub fn pick<'a, T>(&mut self, all: &'a [T]) -> &'a T {
        &all[self.below(all.len() as u64) as usize]
    }
}

/// What every group of five generated attempts has: one of each.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Flavour {
    /// Presses and stops until the motor has run up.
    RunUp,
    /// A jam until the overload trips by heat.
    HeatTrip,
    /// One direction and then the other.
    Reversal,
    /// A fault that strikes while running.
    Fault,
    /// Conductors and program changed between presses, undone and redone, and a way back.
    Edit,
}

/// Flavour of the attempt with this seed.
pub fn flavour(seed: u64) -> Flavour {
    match seed % 5 {
        0 => Flavour::RunUp,
        1 => Flavour::HeatTrip,
        2 => Flavour::Reversal,
        3 => Flavour::Fault,
        _ => Flavour::Edit,
    }
}

/// Every scenario that ships and that a proof explores, as it is given and with its reference: a name, the bench, and what is to be
/// proven. A job of fault finding is none, as its panel is that of another.
pub fn shipped_works() -> Vec<(String, Plan, Vec<Task>)> {
    let mut all = Vec::new();
    for (id, text) in shipped::all() {
        let scenario = Scenario::parse(text).expect("a shipped scenario reads without problems");
        if scenario.fault_finding.is_some() {
            continue;
        }
        let reference = shipped::reference(id)
            .map(|reference| ("reference", reference.work(&scenario).expect("a reference fits")));
        for (name, work) in [("given", Project::given(&scenario))].into_iter().chain(reference) {
            let plan = work.plan_of_sheet(&scenario).expect("a shipped program compiles");
            if design_outside(&Design::build(&plan).expect("a shipped scenario builds")).is_some() {
                continue;
            }
            all.push((format!("{id}, {name}"), plan, tasks(&scenario, None)));
        }
    }
    all
}

/// Those of [`shipped_works`] that a long mode is to take: all, or with `SEALIN_ONLY=slipway-winch` those of a job, or with
/// `SEALIN_ONLY="slipway-winch, reference"` one.
///
/// # Panics
/// If there is none of that name: a mistaken one is not to pass for one without a finding.
pub fn asked_works() -> Vec<(String, Plan, Vec<Task>)> {
    let mut all = shipped_works();
    if let Ok(only) = std::env::var("SEALIN_ONLY") {
        all.retain(|(name, ..)| *name == only || name.split(", ").next() == Some(&only));
        assert!(!all.is_empty(), "no work that is explored is `{only}`");
    }
    all
}

/// The paddle scenario.
pub fn paddle() -> Rc<Scenario> {
    let text = shipped::get("paddle-closed-loop").expect("the scenario ships");
    Rc::new(Scenario::parse(text).expect("a shipped scenario reads without problems"))
}

/// A session on the paddle scenario in which the reference's conductors are made and its program is transferred.
pub fn with_reference(scenario: &Rc<Scenario>) -> Session {
    let mut s = Session::new(Rc::clone(scenario), 0).expect("a shipped scenario builds");
    let reference = shipped::reference("paddle-closed-loop").expect("the scenario ships");
    for wire in parse_wires(reference.wires).expect("the reference's wires read") {
        let id = s.next_conductor_id();
        s.change(Change::Add(Conductor { id, ..wire })).expect("a reference wire fits");
    }
    s.set_source(reference.program).expect("the reference's program fits");
    s.transfer(true).expect("the reference's program reads");
    s
}

/// A question on the reference of the paddle gear: what must hold, and what moves by itself.
pub type Asked = (&'static [&'static str], &'static [&'static str]);

/// No start by a button that has been held, both ways: asked for its size, which the two ages make, over two million states.
pub const MANY_STATES: Asked = (
    &["never (rose(QX0.0) and prev(held(IX0.1, 500ms)))", "never (rose(QX0.1) and prev(held(IX0.2, 500ms)))"],
    &["SF1", "SF2", "SF3"],
);

/// No restart by itself when the coil supply fails and returns: what the job of the paddle gear is about.
pub const RESTART: Asked = (
    &["never (rose(QA1.closed) and prev(held(not QA1.closed, 20ms)) and not once(SF2.pressed, 200ms))"],
    &["SF2", "SF3", "FC4"],
);

/// An attempt in the middle of the work: the reference's conductors and program, the motor raising, a reading taken.
pub fn at_work(scenario: &Rc<Scenario>) -> Attempt {
    let mut s = with_reference(scenario);
    act(&mut s, "power on");
    s.advance(1_500);
    start(&mut s, "SF2");
    let terminal = |name| Terminal::parse(name).expect("a terminal");
    let volts =
        Measurement::Between { function: Function::VoltsDc, from: terminal("KF1:I4"), to: terminal("XD5:1") };
    s.measure(volts).expect("terminals of this bench");
    s.advance(500);
    s.attempt()
}

/// What the benchmark of the bench runs, and the tick at which it begins: on the paddle panel two presses a second and a
/// reversal every 3 s, the motor running up against the way it still turns, for a minute; before it, 6 s of the same.
pub fn presses_and_reversals(scenario: &Rc<Scenario>) -> (Attempt, u64) {
    let mut s = with_reference(scenario);
    act(&mut s, "power on");
    s.advance(1_500);
    let from = s.tick() + 6_000;
    while s.tick() < from + 60_000 {
        for button in ["SF2", "SF3"] {
            for pressed in [button, button, button, button, "SF1", "SF1"] {
                act(&mut s, &format!("press {pressed}"));
                s.advance(250);
                act(&mut s, &format!("release {pressed}"));
                s.advance(250);
            }
        }
    }
    (s.attempt(), from)
}

/// The reference's conductors and program, and the supply on for a second; with its claim.
pub fn prepared(scenario: &Rc<Scenario>) -> Attempt {
    let mut s = with_reference(scenario);
    act(&mut s, "power on");
    s.advance(1_000);
    s.export().expect("folding again gives the same")
}

/// Ten minutes of bench time at the pace of a person: the reference's conductors and program, then a press each 2.5 s, raising,
/// stopping, lowering and stopping; with its claim.
pub fn ten_minutes(scenario: &Rc<Scenario>) -> Attempt {
    let mut s = with_reference(scenario);
    act(&mut s, "power on");
    s.advance(2_500);
    for button in ["SF2", "SF1", "SF3", "SF1"].iter().cycle() {
        act(&mut s, &format!("press {button}"));
        s.advance(250);
        act(&mut s, &format!("release {button}"));
        s.advance(2_250);
        if s.tick() >= 600_000 {
            break;
        }
    }
    s.export().expect("folding again gives the same")
}

/// An attempt with this seed, as a session at its end.
pub fn session(scenario: &Rc<Scenario>, seed: u64) -> Session {
    let mut random = Random::new(seed);
    // Every other one runs the given open loop.
    let mut s = if seed.is_multiple_of(2) {
        with_reference(scenario)
    } else {
        Session::new(Rc::clone(scenario), seed).expect("a shipped scenario builds")
    };
    act(&mut s, "power on");
    s.advance(1_500 + random.below(1_000));
    match flavour(seed) {
        Flavour::RunUp => {}
        Flavour::HeatTrip => {
            start(&mut s, "SF2");
            act(&mut s, "jam MA1");
            s.advance(11_000);
            act(&mut s, "reset FC1");
            act(&mut s, "free MA1");
        }
        Flavour::Reversal => {
            start(&mut s, "SF2");
            act(&mut s, "press SF1");
            s.advance(50);
            act(&mut s, "release SF1");
            s.advance(250 + random.below(300));
            start(&mut s, "SF3");
        }
        Flavour::Fault => {
            start(&mut s, "SF2");
            let plan = s.bench().plan().clone();
            let mut all = Fault::catalogue(&plan.parts, &plan.conductors);
            // The digest is of attempts with faults that stay.
            all.retain(|fault| !fault.is_intermittent());
            let fault = random.pick(&all).clone();
            s.bench_act(BenchAct::Inject(fault)).expect("a fault of the catalogue fits");
        }
        Flavour::Edit => edit(&mut s, &mut random),
    }
    for _ in 0..6 + random.below(10) {
        press(&mut s, &mut random);
        if random.below(4) == 0 {
            measure(&mut s, &mut random);
        }
    }
    s
}

/// The attempt with this seed, claim and all.
pub fn attempt(scenario: &Rc<Scenario>, seed: u64) -> Attempt {
    session(scenario, seed).export().expect("folding again gives the same")
}

fn act(s: &mut Session, line: &str) {
    let act = BenchAct::parse(line).expect("an act of the language");
    s.bench_act(act).expect("an act that fits the paddle panel");
}

fn start(s: &mut Session, button: &str) {
    act(s, &format!("press {button}"));
    s.advance(150);
    act(s, &format!("release {button}"));
    s.advance(1_200);
}

fn press(s: &mut Session, random: &mut Random) {
    let lines = [
        "press SF1",
        "press SF2",
        "press SF3",
        "release SF1",
        "release SF2",
        "release SF3",
        "trip FC1",
        "reset FC1",
        "press FC1.stop",
        "release FC1.stop",
        "open QB1",
        "close QB1",
        "open FC4",
        "close FC4",
        "push QA1",
        "release QA1",
        "clear all",
        "power on",
    ];
    act(s, random.pick::<&str>(&lines));
    let ticks = match random.below(4) {
        0 => random.below(5),
        1 => random.below(60),
        _ => random.below(700),
    };
    s.advance(ticks);
}

/// A reading of any instrument anywhere: sensible or not, safe or not.
fn measure(s: &mut Session, random: &mut Random) {
    let terminals: Vec<Terminal> = s.bench().design.terminals().cloned().collect();
    let conductors: Vec<String> = s.project().conductors.keys().cloned().collect();
    let what = match random.below(10) {
        0 => Measurement::ProvingUnit,
        1 => Measurement::Clamp { conductor: random.pick(&conductors).clone() },
        2 => Measurement::Sequence([(); 3].map(|()| random.pick(&terminals).clone())),
        _ => Measurement::Between {
            function: *random.pick(&Function::ALL),
            from: random.pick(&terminals).clone(),
            to: random.pick(&terminals).clone(),
        },
    };
    s.measure(what).expect("terminals and conductors of this bench");
    if random.below(4) == 0 {
        s.record("locked", "by the learner").expect("a record fits");
    }
}

fn edit(s: &mut Session, random: &mut Random) {
    let free =
        ["XD4:8", "KF1:I3", "KF1:I7", "KF1:Q2", "KF1:Q6", "XD5:7", "QA1:14", "QA2:13", "FC1:98", "KF1:CI2"];
    for _ in 0..4 {
        let (from, to) = (*random.pick(&free), *random.pick(&free));
        if from != to {
            let conductor = Conductor {
                id: s.next_conductor_id(),
                from: Terminal::parse(from).expect("a terminal"),
                to: Terminal::parse(to).expect("a terminal"),
                section_mm2_x100: 75,
                colour: Insulation::DarkBlue,
                number: random.below(300).to_string(),
            };
            s.change(Change::Add(conductor)).expect("both ends are there");
        }
        s.advance(random.below(40));
        match random.below(3) {
            0 => drop(s.undo()),
            1 => drop(s.redo()),
            _ => {}
        }
    }
    let source = s.project().source.replace("AND SF1_in", "AND SF1_in AND SF1_in");
    s.set_source(&source).expect("a longer program fits");
    s.transfer(random.below(2) == 0).expect("it still reads");
    let here = s.tick();
    if let Some((entry, tick)) = s.place(here / 2) {
        s.seek(entry, tick).expect("a place on this line");
    }
}
