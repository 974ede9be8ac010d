//! Why?: every link of a chain names a smallest set that decides it.
//!
//! By hand on the paddle job; and on random states of right and wrong designs, where each set is turned over and the
//! network solved, the law of the device run, or a changed program scanned again (`sealin_tests::counterfactual`).
//! `SEALIN_WHY=10000` tries so many states, `SEALIN_SEED=N` others from this seed on.

use sealin_core::design::SignalSource;
use sealin_core::devices::armature::{Armature, Relay};
use sealin_core::part::Kind;
use sealin_core::state::Awake;
use sealin_core::why::{End, Flip, Link, Load, Subject, ask, subject, why};
use sealin_core::{Bench, BenchAct, Plan, Terminal};
use sealin_ladder::{
    Area, Contact, Decided, Memory, Network, Output, Program, Reason, Rung, Seen, What as Thing, compile,
    reason,
};
use sealin_tests::counterfactual::What;
use sealin_tests::generate::{Random, paddle, with_reference};
use sealin_tests::wrong::wrong;
use std::collections::BTreeMap;

/// What the trials met, so that a suite in which nothing ever happens is noticed.
#[derive(Default, Debug)]
struct Tally {
    states: u64,
    chains: u64,
    links: u64,
    /// Links whose set was turned over, by the kind of their subject.
    tried: BTreeMap<String, u64>,
    sizes: BTreeMap<usize, u64>,
    ends: BTreeMap<String, u64>,
    /// Sets of volts of two things and more: no one contact would do. Of three and more: nor would any two contacts, of
    /// those for which all were tried.
    of_two_and_more: u64,
    of_three_and_more: u64,
    pairs_tried: u64,
    /// Variables the old values of which nothing tells any more: their sets are not tried.
    unsure: u64,
}

/// For each so many sets of three and more, all pairs of contacts are tried instead: it takes some hundred solutions.
const EACH: u64 = 16;

/// A bench with the memory that its last scan began with.
struct Trial {
    bench: Bench,
    before: Option<Memory>,
}

impl Trial {
    fn what(&self) -> What<'_> {
        let (design, state) = (&*self.bench.design, &self.bench.state);
        let mut next = self.bench.clone();
        next.step();
        let mut what = What::new(self.bench.plan(), design, state, next.state.key);
        let limit = what.bit(&Subject::DcSupply("TB1".into())).unwrap() + 1;
        what.key.set(limit, state.dc_supplies[0].limiting);
        what
    }

    fn new(plan: Plan) -> Option<Trial> {
        Some(Trial { bench: Bench::new(plan).ok()?, before: None })
    }

    /// Runs so many ticks, the last ones one by one to see what the last scan began with.
    fn run(&mut self, ticks: u64) {
        let to = self.bench.tick() + ticks;
        self.bench.run_until(to, &mut |_, _, _| ());
        for _ in 0..6 {
            let memory = self.bench.state.controllers[0].memory.clone();
            let scan = self.bench.tick().is_multiple_of(5);
            self.bench.step();
            if scan {
                self.before = Some(memory);
            }
        }
    }
}

fn kind(subject: &Subject) -> String {
    format!("{subject:?}").split(['(', ' ']).next().unwrap_or_default().to_string()
}

/// So many contacts that would do instead of a set, if there are any: all are tried.
fn instead(what: &What, load: &Load, value: bool, many: usize) -> Option<Vec<Subject>> {
    let signals = what.design.signals.iter().filter(|s| matches!(s.source, SignalSource::Contact(_)));
    let all: Vec<Subject> = signals.filter_map(|s| subject(what.design, &s.name)).collect();
    let turns = |flips: &[&Subject]| what.has_volts(load, flips) != value;
    match many {
        1 => all.iter().find(|c| turns(&[c])).map(|c| vec![c.clone()]),
        _ => (0..all.len())
            .flat_map(|a| (0..a).map(move |b| (a, b)))
            .find_map(|(a, b)| turns(&[&all[a], &all[b]]).then(|| vec![all[a].clone(), all[b].clone()])),
    }
}

/// Every proper part of a set leaves the value, the whole turns it.
fn minimal(set: &[Flip], turned: &mut dyn FnMut(&[&Flip]) -> bool, told: &dyn Fn() -> String) {
    for part in 0..1u32 << set.len() {
        let flips: Vec<&Flip> =
            set.iter().enumerate().filter(|(k, _)| part >> k & 1 != 0).map(|(_, f)| f).collect();
        let all = flips.len() == set.len();
        assert_eq!(turned(&flips), all, "{flips:?} of {set:?}: {}", told());
    }
}

fn names(flips: &[&Flip], subject: &Subject) -> bool {
    flips.iter().any(|f| f.subject == *subject)
}

/// Turns over the set of one link.
fn try_link(trial: &Trial, link: &Link, tally: &mut Tally) {
    let (design, state) = (&*trial.bench.design, &trial.bench.state);
    let what = trial.what();
    tally.links += 1;
    if let Some(end) = &link.end {
        *tally.ends.entry(kind_of_end(end)).or_default() += 1;
    }
    if link.because.is_empty() {
        assert!(link.end.is_some(), "no set and no end: {link:?}");
        if link.end == Some(End::Field) {
            let Subject::Volts(load) = &link.subject else { panic!("{link:?}") };
            assert!(
                link.value && what.has_volts(load, &[]) && !trial.what().faded().has_volts(load, &[]),
                "{link:?}"
            );
        }
        if link.end == Some(End::Supply) {
            let Subject::Volts(load) = &link.subject else { panic!("{link:?}") };
            let supply = Subject::Supply("XD0".into());
            assert!(link.value && !what.has_volts(load, &[&supply]), "{link:?}");
        }
        return;
    }
    let told = || format!("{link:?} at {}", trial.bench.tick());
    let set = &link.because;
    let index = |kind: fn(&Kind) -> bool, tag: &str| {
        design.parts.iter().filter(|p| kind(&p.kind)).position(|p| p.tag == tag).unwrap()
    };
    let contactor = |tag: &str| index(|k| matches!(k, Kind::Contactor(_)), tag);
    match &link.subject {
        Subject::Volts(load) => {
            assert_eq!(what.has_volts(load, &[]), link.value, "{}", told());
            // Switching all off is no answer for what is on.
            assert!(
                !link.value || !set.iter().any(|f| matches!(f.subject, Subject::Supply(_))),
                "{}",
                told()
            );
            let mut turned = |flips: &[&Flip]| {
                let subjects: Vec<&Subject> = flips.iter().map(|f| &f.subject).collect();
                what.has_volts(load, &subjects) != link.value
            };
            minimal(set, &mut turned, &told);
            if set.len() > 1 {
                assert_eq!(instead(&what, load, link.value, 1), None, "would do: {}", told());
                tally.of_two_and_more += 1;
            }
            if set.len() > 2 {
                if tally.of_three_and_more.is_multiple_of(EACH) {
                    assert_eq!(instead(&what, load, link.value, 2), None, "would do: {}", told());
                    tally.pairs_tried += 1;
                }
                tally.of_three_and_more += 1;
            }
        }
        // What is fed is on exactly if it has volts.
        Subject::Coil(_)
        | Subject::Lamp(_)
        | Subject::Channel(..)
        | Subject::DcSupply(_)
        | Subject::Controller(_) => {
            let [Flip { subject: Subject::Volts(load), value }] = &set[..] else { panic!("{}", told()) };
            assert_eq!((*value, what.has_volts(load, &[])), (link.value, link.value), "{}", told());
        }
        Subject::Motor(tag) => {
            let i = index(|k| matches!(k, Kind::Motor(_)), tag);
            let fed = what.has_volts(&Load::Motor(tag.clone()), &[]);
            let turned = |flips: &[&Flip]| {
                let fed = fed != names(flips, &Subject::Volts(Load::Motor(tag.clone())));
                let jammed = state.motors[i].jammed != names(flips, &Subject::Jam(tag.clone()));
                (fed && !jammed) != link.value
            };
            minimal(set, &mut |f| turned(f), &told);
        }
        Subject::Contact(tag, pair) => try_contact(trial, link, tag, pair, &told),
        Subject::Armature(tag) => {
            let i = contactor(tag);
            let Kind::Contactor(data) = &design.part(tag).unwrap().kind else { panic!("{}", told()) };
            let other = data.interlocked_with.clone().unwrap_or_default();
            let blocker = contactor(&other);
            let poles = design.part(&other).map_or(0, |p| match &p.kind {
                Kind::Contactor(c) => c.poles,
                _ => 0,
            });
            let mut turned = |flips: &[&Flip]| {
                let attracted = state.contactors[i].attracted != names(flips, &Subject::Coil(tag.clone()));
                let pushed = state.contactors[i].pushed != names(flips, &Subject::Hand(tag.clone()));
                // The other one in, or a pole of it welded, holds this one out.
                let is_in = state.contactors[blocker].armature.main_shut();
                let welded = (0..poles).any(|pole| {
                    let pair = format!("{}-{}", 2 * pole + 1, 2 * pole + 2);
                    state.contactors[blocker].welded >> pole & 1 != 0
                        && !names(flips, &Subject::Contact(other.clone(), pair))
                });
                let blocked = is_in != names(flips, &Subject::Armature(other.clone())) || welded;
                let mut armature: Armature = state.contactors[i].armature;
                for _ in 0..60 {
                    armature.step(attracted || pushed, blocked, false, data.delays);
                }
                armature.main_shut() != link.value
            };
            minimal(set, &mut turned, &told);
        }
        Subject::Input(tag, bit) => {
            let (_, s) = what.controller(tag);
            let mut turned = |flips: &[&Flip]| {
                let runs = trial.bench.signal(&format!("{tag}.on")).unwrap();
                let runs = runs != names(flips, &Subject::Controller(tag.clone()));
                let on = (s.raw >> bit & 1 != 0) != names(flips, &Subject::Channel(tag.clone(), *bit));
                (runs && on) != link.value
            };
            minimal(set, &mut turned, &told);
        }
        Subject::Output(tag, bit) => {
            let mut turned = |flips: &[&Flip]| {
                let runs = trial.bench.signal(&format!("{tag}.on")).unwrap();
                let runs = runs != names(flips, &Subject::Controller(tag.clone()));
                let vars = design.compiled().variables().iter().filter(|v| {
                    v.address.is_some_and(|a| a.area == Area::Output && a.image_bit() == Some((*bit).into()))
                });
                let any = vars.into_iter().any(|v| {
                    let now = design.compiled().value(&state.controllers[0].memory, &v.name).unwrap();
                    now != names(flips, &Subject::Variable(v.name.clone()))
                });
                (runs && any) != link.value
            };
            minimal(set, &mut turned, &told);
        }
        Subject::Variable(name) => try_variable(trial, link, name, tally, &told),
        Subject::Read(name) => {
            assert_eq!(
                set[..],
                [Flip { subject: Subject::Variable(name.clone()), value: link.value }],
                "{}",
                told()
            );
        }
        other => panic!("{other:?} has a set"),
    }
    *tally.tried.entry(kind(&link.subject)).or_default() += 1;
    *tally.sizes.entry(set.len()).or_default() += 1;
}

/// A contact: its mechanism turned over, one tick of the bench, and the contact looked at again.
fn try_contact(trial: &Trial, link: &Link, tag: &str, pair: &str, told: &dyn Fn() -> String) {
    let design = &trial.bench.design;
    let name = format!("{tag}.{pair}");
    if let [Flip { subject: Subject::Output(controller, channel), .. }] = &link.because[..] {
        let what = trial.what();
        let (_, s) = what.controller(controller);
        let drive = s.outputs >> channel & 1 != 0;
        for (turn, expected) in [(false, false), (true, true)] {
            let mut relay: Relay = s.relays[usize::from(*channel)];
            for _ in 0..20 {
                relay.step(drive != turn);
            }
            assert_eq!(relay.closed != link.value, expected, "{}", told());
        }
        return;
    }
    let place = |kind: fn(&Kind) -> bool, tag: &str| {
        design.parts.iter().filter(|p| kind(&p.kind)).position(|p| p.tag == tag).unwrap()
    };
    let mut turned = |flips: &[&Flip]| {
        let mut bench = trial.bench.clone();
        bench.state.stale = true;
        bench.state.awake = Awake::ALL;
        for flip in flips {
            match &flip.subject {
                Subject::Button(t) => {
                    let c = &mut bench.state.controls[place(|k| matches!(k, Kind::Control(_)), t)];
                    (c.position, c.bounce) = (3 - c.position, 0);
                }
                Subject::Latch(t) => {
                    let o = &mut bench.state.overloads[place(|k| matches!(k, Kind::Overload(_)), t)];
                    o.tripped = !o.tripped;
                }
                Subject::StopActuator(t) => {
                    let o = &mut bench.state.overloads[place(|k| matches!(k, Kind::Overload(_)), t)];
                    o.stop_held = !o.stop_held;
                }
                Subject::Lever(t) => {
                    let s = &mut bench.state.switches[place(|k| matches!(k, Kind::Switchgear(_)), t)];
                    s.closed = !s.closed;
                }
                Subject::FuseLink(t, pole) => {
                    let s = &mut bench.state.switches[place(|k| matches!(k, Kind::Switchgear(_)), t)];
                    s.open_poles[usize::from(*pole) - 1] ^= true;
                }
                Subject::Armature(t) => {
                    use sealin_core::devices::armature::Place;
                    let c = &mut bench.state.contactors[place(|k| matches!(k, Kind::Contactor(_)), t)];
                    let place = if c.armature.main_shut() { Place::Out } else { Place::In };
                    c.armature = Armature { place, elapsed: 0 };
                }
                other => panic!("{other:?}: {}", told()),
            }
        }
        bench.step();
        bench.signal(&name).unwrap() != link.value
    };
    // An armature that has begun to travel turns its contacts within the tick, whatever is asked of it.
    minimal(&link.because, &mut turned, told);
}

fn try_variable(trial: &Trial, link: &Link, name: &str, tally: &mut Tally, told: &dyn Fn() -> String) {
    let (design, s) = (&trial.bench.design, &trial.bench.state.controllers[0]);
    let program = design.program.as_ref().unwrap();
    match reason(program, design.compiled(), &s.memory, s.settled, name).unwrap() {
        Reason::Rungs(decided) => {
            assert_eq!(decided.set.len(), link.because.len(), "{}", told());
            if !decided.sure || decided.bounded {
                tally.unsure += 1;
                return;
            }
            let before = if s.settled { Some(&s.memory) } else { trial.before.as_ref() };
            let Some(before) = before else { return };
            try_rungs(program, before, s.inputs, name, link.value, &decided, told);
        }
        // The only block there is, an on-delay: on for long enough.
        Reason::Block(decided) => {
            assert_eq!(decided.set.len(), link.because.len(), "{}", told());
            let (instance, _) = name.split_once('.').unwrap();
            let input = format!("{instance}.IN");
            let figures = design.compiled().figures(&s.memory, instance).unwrap();
            let running = design.compiled().value(&s.memory, &input).unwrap();
            let mut turned = |flips: &[&Flip]| {
                let on = running != names(flips, &Subject::Variable(input.clone()));
                let up =
                    (figures.value >= figures.preset) != names(flips, &Subject::TimeUp(instance.to_string()));
                (on && up) != link.value
            };
            minimal(&link.because, &mut turned, told);
        }
        Reason::Input(address) => {
            let input = Subject::Input("KF1".into(), address.image_bit().unwrap() as u8);
            assert_eq!(link.because[..], [Flip { subject: input, value: link.value }], "{}", told());
        }
        other => panic!("{other:?} has a set: {}", told()),
    }
}

/// Scans a program in which the contacts of the set are of the other kind, from what the last scan began with.
fn try_rungs(
    program: &Program,
    before: &Memory,
    inputs: u64,
    name: &str,
    value: bool,
    decided: &Decided,
    told: &dyn Fn() -> String,
) {
    for part in 0..1u32 << decided.set.len() {
        let flips: Vec<&Seen> =
            decided.set.iter().enumerate().filter(|(k, _)| part >> k & 1 != 0).map(|(_, s)| s).collect();
        let changed = turned_program(program, name, &flips);
        let compiled = compile(&changed, 5);
        // A changed program may need other scratch bits; its variables are the same.
        let mut memory = compiled.carry(&compile(program, 5), before);
        compiled.scan(&mut memory, inputs);
        let all = flips.len() == decided.set.len();
        let now = compiled.value(&memory, name).unwrap();
        assert_eq!(now != value, all, "{flips:?} of {decided:?}: {}", told());
    }
}

fn turned_program(program: &Program, target: &str, flips: &[&Seen]) -> Program {
    let mut changed = program.clone();
    let target = target.strip_suffix(".IN").unwrap_or(target);
    let own = |s: &&&Seen| s.before && matches!(&s.what, Thing::Bit(var) if var.eq_ignore_ascii_case(target));
    for flip in flips.iter().filter(|s| !own(s)) {
        for &(rung, contact) in &flip.places {
            turn(&mut changed.rungs[rung as usize].logic, contact, &mut 0);
        }
    }
    // An old value of the target itself is turned before the first rung that writes it.
    if flips.iter().any(|s| own(&s)) {
        let first = changed.rungs.iter().position(|r| r.output.var().eq_ignore_ascii_case(target)).unwrap();
        let var = changed.rungs[first].output.var().to_string();
        let logic = Network::open(&var);
        changed.rungs.insert(first, Rung { comment: String::new(), logic, output: Output::Negated { var } });
    }
    changed
}

fn turn(logic: &mut Network, contact: u32, index: &mut u32) {
    match logic {
        Network::Contact(Contact::Bit { test, .. }) => {
            if *index == contact {
                *test = test.opposite();
            }
            *index += 1;
        }
        Network::Series(parts) | Network::Parallel(parts) => {
            parts.iter_mut().for_each(|p| turn(p, contact, index));
        }
        _ => {}
    }
}

fn kind_of_end(end: &End) -> String {
    match end {
        End::Time { of, .. } => format!("Time {of:?}"),
        End::Holds(_) => "Holds".to_string(),
        End::Hot(_) => "Hot".to_string(),
        other => format!("{other:?}"),
    }
}

/// A chain goes on with the first of each set, and ends with a root.
fn try_chain(trial: &Trial, asked: &Subject, tally: &mut Tally) {
    let (design, state) = (&trial.bench.design, &trial.bench.state);
    let chain = why(design, state, asked).unwrap_or_else(|| panic!("no answer for {asked:?}"));
    tally.chains += 1;
    assert_eq!(chain.links[0].subject, *asked);
    assert!(!chain.to_string().is_empty());
    for (k, link) in chain.links.iter().enumerate() {
        try_link(trial, link, tally);
        match chain.links.get(k + 1) {
            Some(next) => {
                let first = &link.because[0];
                assert_eq!((&first.subject, first.value), (&next.subject, next.value), "{chain}");
                assert_eq!(link.end, None);
            }
            None => assert!(link.end.is_some(), "{chain}"),
        }
        // The others of the set can be asked, too.
        for other in link.because.iter().skip(1) {
            assert!(ask(design, state, &other.subject).is_some(), "{other:?}");
        }
    }
}

const ACTS: [&str; 24] = [
    "press SF1",
    "press SF2",
    "press SF3",
    "release SF1",
    "release SF2",
    "release SF3",
    "release SF1",
    "release SF2",
    "trip FC1",
    "reset FC1",
    "reset FC1",
    "press FC1.stop",
    "release FC1.stop",
    "open QB1",
    "close QB1",
    "open FC4",
    "close FC4",
    "push QA1",
    "release QA1",
    "jam MA1",
    "free MA1",
    "power off",
    "power on",
    "power on",
];

#[test]
fn every_link_holds_on_random_states() {
    let number = |name: &str| std::env::var(name).ok().and_then(|n| n.parse().ok());
    let states = number("SEALIN_WHY").unwrap_or(500);
    let scenario = paddle();
    let reference = with_reference(&scenario).bench().plan().clone();
    let open = sealin_exercise::session::Session::new(scenario, 0).unwrap().bench().plan().clone();
    let mut tally = Tally::default();
    let mut seed = number("SEALIN_SEED").unwrap_or(0);
    while tally.states < states {
        let mut random = Random::new(seed);
        seed += 1;
        let plan = match seed % 4 {
            0 => reference.clone(),
            1 => wrong(&open, &mut random),
            _ => wrong(&reference, &mut random),
        };
        let Some(mut trial) = Trial::new(plan) else { continue };
        if random.below(8) != 0 {
            trial.bench.act(BenchAct::Power(true)).unwrap();
            trial.run(1_300 + random.below(900));
        }
        for _ in 0..10 {
            for _ in 0..1 + random.below(3) {
                let act = BenchAct::parse(random.pick::<&str>(&ACTS)).unwrap();
                trial.bench.act(act).unwrap();
                let ticks = [random.below(4), random.below(30), random.below(500)][random.below(3) as usize];
                trial.run(ticks);
            }
            tally.states += 1;
            let design = trial.bench.design.clone();
            for _ in 0..2 {
                let signal = random.pick(&design.signals).name.clone();
                // Nothing asks why a winding is hot.
                let Some(asked) = subject(&design, &signal) else { continue };
                try_chain(&trial, &asked, &mut tally);
            }
            let terminals: Vec<&Terminal> = design.terminals().collect();
            let (a, b) = (*random.pick(&terminals), *random.pick(&terminals));
            if a != b {
                try_chain(&trial, &Subject::Volts(Load::Meter(a.clone(), b.clone())), &mut tally);
            }
        }
    }
    println!("{tally:#?}");
    let tried: u64 = tally.tried.values().sum();
    let unknown = tally.ends.get("NotFound").copied().unwrap_or(0);
    assert!(tried > 5 * states, "{tried} sets");
    assert!(unknown * 1000 <= tally.chains, "{unknown} of {} chains find no set", tally.chains);
    // No fault is hidden, so the drawing explains all.
    assert_eq!(tally.ends.get("Disagrees"), None);
}
