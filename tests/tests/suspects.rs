//! Suspects never lose the fault: on the main job, with values that the catalogue does not have and readings as an instrument shows them.
//!
//! A few places usually; `SEALIN_SUSPECTS=100` tries every kind at every place with so many sequences of readings each.

use sealin_core::fault::{Mode, Pattern, Presence, Value};
use sealin_core::{Bench, BenchAct, Fault, Plan, Repair};
use sealin_proof::suspects::{Finding, Suspect, Suspects, Told, readings};
use sealin_tests::coach::{anywhere, at_fault, by_suspect, main_job, off_list};
use sealin_tests::generate::Random;

/// What is done between readings: into every situation of the usual work, and the acts of one who looks for a fault.
const WORK: [&[&str]; 7] = [
    &["power on"],
    &["press SF2"],
    &["release SF2"],
    &["press SF1"],
    &["release SF1", "press SF3"],
    &["release SF3", "trip FC1"],
    &["reset FC1", "power off"],
];

/// The bench at fault and its suspects, worked side by side.
struct Both {
    real: Bench,
    suspects: Suspects,
    tick: u64,
}

impl Both {
    fn new(plan: &Plan, fault: &Fault, listed: &[Fault]) -> Both {
        let mut with = plan.clone();
        with.faults.insert(fault.clone());
        let suspects = Suspects::new(plan, listed).unwrap();
        Both { real: Bench::new(with).unwrap(), suspects, tick: 0 }
    }

    fn act(&mut self, acts: &[&str], ticks: u64) {
        for act in acts {
            let act = BenchAct::parse(act).unwrap();
            let _ = self.real.act(act.clone());
            self.suspects.tell(Told::Act(self.tick, act)).unwrap();
        }
        self.tick += ticks;
        self.real.run_until(self.tick, &mut |_, _, _| {});
        self.suspects.tell(Told::Run(self.tick)).unwrap();
    }

    fn find(&mut self, finding: Finding) {
        self.suspects.tell(Told::Found(finding)).unwrap();
        self.suspects.catch_up().unwrap();
    }

    fn read(&mut self, reading: &sealin_core::Measurement) -> Finding {
        let (measured, _) = self.real.take_reading(reading).unwrap();
        let finding = Finding::Reading(reading.clone(), measured.shown);
        self.find(finding.clone());
        finding
    }

    /// Whether it is suspected still.
    fn has(&self, fault: &Fault) -> bool {
        let suspect = Suspect::of(fault);
        match fault.is_intermittent() {
            true => self.suspects.left_coming_and_going().any(|left| *left == suspect),
            false => self.suspects.left().any(|left| *left == suspect),
        }
    }
}

/// Takes readings at random in every situation; panics if the suspect is ruled out. Returns how many.
fn worked(plan: &Plan, fault: &Fault, listed: &[Fault], seed: u64) -> usize {
    let mut random = Random::new(seed);
    let mut both = Both::new(plan, fault, listed);
    let signals: Vec<String> = both.real.design.signals.iter().map(|signal| signal.name.clone()).collect();
    let mut taken = 0;
    for acts in WORK {
        both.act(acts, 400 + 2_000 * u64::from(both.tick == 0));
        let offered = readings(plan, acts.iter().all(|act| *act != "power off"));
        for _ in 0..3 {
            let reading = both.read(random.pick(&offered));
            let signal = random.pick(&signals);
            let seen = Finding::Seen(signal.clone(), both.real.signal(signal).unwrap());
            both.find(seen.clone());
            taken += 2;
            assert!(
                both.has(fault),
                "{fault}, seed {seed}: lost by {reading:?} or {seen:?} at {}",
                both.tick
            );
        }
    }
    taken
}

/// What is hidden in a sequence: in the first between the last values of the catalogue, in all others anywhere.
fn hidden(plan: &Plan, listed: &[Fault], seed: u64) -> Fault {
    match seed {
        0..1_000 => off_list(listed),
        _ => anywhere(plan, listed, &mut Random::new(!seed)),
    }
}

/// Sequences of readings for each place, and of how many places one is taken.
fn scope() -> (u64, usize) {
    let asked = std::env::var("SEALIN_SUSPECTS").ok().and_then(|n| n.parse().ok());
    asked.map_or((2, 11), |sequences| (sequences, 1))
}

/// A scale holds what the catalogue has, in its unit, at both of its ends a bench can be built, and where it says that a value is no fault
/// a bench is built as if there were none. An overload that is not compensated is another relay, which trips alike at 20 °C only.
#[test]
fn every_value_has_its_place_on_a_scale() {
    let plan = main_job();
    let sound = Bench::new(plan.clone()).unwrap().design;
    let design = |fault: &Fault, number: i32| {
        let fault = Fault { value: Value::Number(number), ..fault.clone() };
        fault.fits(&plan).unwrap();
        at_fault(&plan, &fault).design
    };
    let (mut scales, mut same) = (0, 0);
    for listed in by_suspect(&plan).values() {
        let Some(scale) = listed[0].scale(&plan.parts) else {
            assert!(listed.iter().all(|fault| !matches!(fault.value, Value::Number(_))), "{}", listed[0]);
            continue;
        };
        scales += 1;
        for fault in listed {
            let Value::Number(number) = fault.value else { panic!("{fault} has no number") };
            assert!((scale.least..=scale.most).contains(&number) && number != scale.sound, "{fault}");
        }
        let ends = [scale.least, scale.most].map(|end| design(&listed[0], end));
        assert!(!ends[0].does_as(&ends[1]), "{}", listed[0]);
        let inside = scale.least < scale.sound && scale.sound < scale.most;
        if inside && !matches!(listed[0].mode, Mode::CompensationLost | Mode::Displaced) {
            assert!(design(&listed[0], scale.sound).does_as(&sound), "{}", listed[0]);
            same += 1;
        }
    }
    // By hand: the supply's voltage, that of two transformers' or 24 V supplies', current limit, filter, dial, load, and every link.
    assert!(scales > 200 && same > 6, "{scales}, {same}");
}

#[test]
fn the_fault_stays_among_the_suspects() {
    let count = by_suspect(&main_job()).len();
    let (sequences, of) = scope();
    let crew = std::thread::available_parallelism().map_or(1, usize::from);
    let part = |first: usize| {
        let plan = main_job();
        let places = by_suspect(&plan).into_values().enumerate().step_by(of).skip(first).step_by(crew);
        let mut taken = 0;
        for (number, listed) in places {
            for seed in 0..sequences {
                let seed = seed * 1_000 + number as u64;
                taken += worked(&plan, &hidden(&plan, &listed, seed), &listed, seed);
            }
        }
        taken
    };
    let taken: usize = std::thread::scope(|scope| {
        let part = &part;
        let crew: Vec<_> = (0..crew).map(|first| scope.spawn(move || part(first))).collect();
        crew.into_iter().map(|one| one.join().unwrap()).sum()
    });
    println!("{count} suspects, {taken} findings");
    assert!(taken > 1_000);
}

/// By hand: a main switch worn to 2 ohms hardly shows, one that is as good as open shows nothing anywhere. With a thousand ohms
/// in the line the supply sags until the controller stays off, and across its open output lies what is left of 230 V: more than with
/// either.
#[test]
fn a_value_at_which_the_supply_sags_stays_among_the_suspects() {
    let plan = main_job();
    let fault = Fault::parse("QB1 1-2 dirty 1168").unwrap();
    let all = by_suspect(&plan);
    let mut both = Both::new(&plan, &fault, &all[&Suspect::of(&fault)]);
    both.act(&["power on"], 2_400);
    both.act(&["press SF2"], 400);
    let output = sealin_core::Measurement::parse("volts AC", &["KF1:Q0".to_string(), "KF1:CQ1".to_string()]);
    both.read(&output.unwrap());
    assert!(both.has(&fault));
}

/// By hand: with 2 kilohms before the inputs the start button comes and the machine leaves its rest; with 20 no input comes, and it never
/// came to rest. With 5 the stop button's input comes alone, and it rests still.
#[test]
fn a_value_at_which_one_input_comes_and_the_other_not_stays_among_the_suspects() {
    let plan = main_job();
    let fault = Fault::parse("conductor D03 loose 5384").unwrap();
    let all = by_suspect(&plan);
    let mut both = Both::new(&plan, &fault, &all[&Suspect::of(&fault)]);
    both.act(&["power on"], 2_400);
    both.act(&["press SF2"], 400);
    both.find(Finding::Seen("rest.IN".to_string(), both.real.signal("rest.IN").unwrap()));
    assert!(both.real.signal("rest.IN").unwrap() && both.has(&fault));
}

/// Whatever the pattern is by which it comes and goes.
#[test]
fn one_that_comes_and_goes_stays_among_the_suspects() {
    let plan = main_job();
    let (sequences, of) = scope();
    let mut taken = 0;
    let all = by_suspect(&plan).into_values().filter(|listed| listed[0].intermittent().is_some());
    for (number, lasting) in all.enumerate().step_by(of) {
        let listed: Vec<Fault> = lasting.iter().filter_map(Fault::intermittent).collect();
        for seed in 0..sequences {
            let patterns = [(40, 200), (7, 31), (300, 1_700), (900, 1_000)];
            let (there_ms, every_ms) = patterns[(seed as usize + number) % patterns.len()];
            let presence = Presence::ComesAndGoes(Some(Pattern { there_ms, every_ms }));
            let seed = seed * 1_000 + number as u64;
            let fault = Fault { presence, ..hidden(&plan, &lasting, seed) };
            taken += worked(&plan, &fault, &listed, seed);
        }
    }
    println!("{taken} findings");
    assert!(taken > 1_000);
}

/// By hand: an earth fault on a motor's lead that is there for 7 ms of every 31 leaves the motor's currents as no bench has them on which it
/// stays, or is not: the motor settles in some tens of milliseconds.
#[test]
fn one_that_comes_and_goes_leaves_a_motor_as_nobody_knows() {
    let plan = main_job();
    let fault = Fault::parse("conductor P28 earthed 3 intermittent 7ms in 31ms").unwrap();
    let all = by_suspect(&plan);
    let lasting = &all[&Suspect::of(&fault)];
    let listed: Vec<Fault> = lasting.iter().filter_map(Fault::intermittent).collect();
    let mut both = Both::new(&plan, &fault, &listed);
    both.act(&["power on"], 2_400);
    both.act(&["press SF2"], 400);
    both.read(&sealin_core::Measurement::parse("clamp", &["P14".to_string()]).unwrap());
    assert!(both.has(&fault));
}

/// By hand: a start button that never closes is no broken feedback, and what comes and goes with neither effect is ruled out by the first
/// reading that neither shows.
#[test]
fn one_that_comes_and_goes_is_ruled_out_before_it_strays() {
    let plan = main_job();
    let fault = Fault::parse("XD0 L3 missing").unwrap();
    let other = Fault::parse("conductor P05 open intermittent").unwrap();
    let mut both = Both::new(&plan, &fault, &[fault.clone(), other.clone()]);
    both.act(&["power on"], 3_000);
    // Phase L3 feeds nothing but the motor, and P05 is the conductor of L2 behind the tap: no signal tells.
    let line = sealin_core::Measurement::parse("volts AC", &["XD0:L3".to_string(), "XD0:PE".to_string()]);
    assert!(both.has(&other));
    both.read(&line.unwrap());
    assert!(!both.has(&other) && both.has(&fault));
}

/// A blown control fuse: by readings across what should be closed, the best one first, it is found among all that can be wrong.
#[test]
fn the_best_readings_find_a_blown_fuse() {
    let plan = main_job();
    let fault = Fault::parse("FC4 1-2 stuck open").unwrap();
    let all = by_suspect(&plan);
    let listed: Vec<Fault> = all.values().step_by(8).flatten().cloned().chain([fault.clone()]).collect();
    let mut both = Both::new(&plan, &fault, &listed);
    both.act(&["power on"], 3_000);
    both.suspects.offer(readings(&plan, true)).unwrap();
    both.suspects.catch_up().unwrap();
    assert_eq!(both.suspects.progress().behind, 0);
    let before = both.suspects.left().count();
    let mut taken = Vec::new();
    // None twice: what is left may be expected to show otherwise, and never does.
    while taken.len() < 12 {
        let best = both.suspects.best(50);
        let Some(next) = best.iter().map(|(what, _)| *what).find(|what| !taken.contains(*what)).cloned()
        else {
            break;
        };
        both.read(&next);
        taken.push(next);
        assert!(both.has(&fault), "lost after {taken:?}");
    }
    let left = both.suspects.left().count();
    println!("{before} suspects, {left} left after {} readings", taken.len());
    assert!(left * 4 < before, "{left} of {before} left");
}

/// A conductor made anew puts right what was wrong with it: the bench behaves as a sound one from then on, and the fault still explains that it did
/// not before. One that would not be cured by it is ruled out as soon as the machine is seen to work.
#[test]
fn after_a_repair_what_it_cures_explains_a_sound_machine() {
    let plan = main_job();
    let (fault, other) =
        (Fault::parse("conductor C02 open").unwrap(), Fault::parse("QA1 coil open").unwrap());
    let mut both = Both::new(&plan, &fault, &[fault.clone(), other.clone()]);
    both.act(&["power on"], 3_000);
    both.act(&["press SF2"], 400);
    both.find(Finding::Seen("QA1.closed".to_string(), both.real.signal("QA1.closed").unwrap()));
    assert_eq!(both.suspects.left().count(), 2);
    both.real.act(BenchAct::Clear(fault.clone())).unwrap();
    both.suspects.tell(Told::PutRight(Repair::Remake("C02".to_string()))).unwrap();
    both.act(&["release SF2"], 3_000);
    both.act(&["press SF2"], 400);
    both.find(Finding::Seen("QA1.closed".to_string(), both.real.signal("QA1.closed").unwrap()));
    let left: Vec<&Suspect> = both.suspects.left().collect();
    assert_eq!((both.real.signal("QA1.closed"), left), (Some(true), vec![&Suspect::of(&fault)]));
    assert!(!both.has(&other));
}

/// Another design, drawn by a learner: what is gone with a conductor that is taken out is no longer wrong, what is wrong elsewhere is.
#[test]
fn the_suspects_go_on_with_another_plan() {
    let plan = main_job();
    let fault = Fault::parse("FC4 1-2 stuck open").unwrap();
    let gone = Fault::parse(&format!("conductor {} open", plan.conductors[0].id)).unwrap();
    let mut both = Both::new(&plan, &fault, &[fault.clone(), gone.clone()]);
    both.act(&["power on"], 3_000);
    let mut without = plan.clone();
    without.conductors.remove(0);
    let mut real = without.clone();
    real.faults.insert(fault.clone());
    both.real.replan(real).unwrap();
    both.suspects.tell(Told::Plan(Box::new(without))).unwrap();
    both.act(&["press SF2"], 400);
    for signal in ["QA1.closed", "KF1.on"] {
        both.find(Finding::Seen(signal.to_string(), both.real.signal(signal).unwrap()));
        assert!(both.has(&fault));
    }
}
