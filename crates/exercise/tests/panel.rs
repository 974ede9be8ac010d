//! The shipped panel: its conductors are as a fitter would make them, and the meter reads on it what was reasoned.

use sealin_core::part::Kind;
use sealin_core::{Bench, BenchAct, Insulation, Terminal};
use sealin_exercise::project::Project;
use sealin_exercise::scenario::{Scenario, parse_wires};
use sealin_exercise::shipped;
use sealin_proof::steps;
use std::collections::{BTreeMap, BTreeSet};

const ID: &str = "paddle-closed-loop";

fn scenario() -> Scenario {
    Scenario::parse(shipped::get(ID).unwrap()).unwrap()
}

/// The reference, without one of its conductors.
fn bench_without(left_out: &str) -> Bench {
    let scenario = scenario();
    let reference = shipped::reference(ID).unwrap();
    let mut project = Project::given(&scenario);
    project.transferred = reference.program.to_string();
    for c in parse_wires(reference.wires).unwrap().into_iter().filter(|c| c.id != left_out) {
        project.conductors.insert(c.id.clone(), c);
    }
    Bench::new(project.plan(&scenario)).unwrap()
}

fn after(mut bench: Bench, script: &str) -> Bench {
    let script = steps::parse(script).unwrap();
    assert_eq!(steps::run(&script, &mut bench, &mut ()), steps::Outcome::Kept);
    bench
}

fn dc(bench: &Bench, a: &str, b: &str) -> f64 {
    bench.meter_volts_dc(&Terminal::parse(a).unwrap(), &Terminal::parse(b).unwrap()).unwrap()
}

fn ac(bench: &Bench, a: &str, b: &str) -> f64 {
    bench.meter_volts_ac(&Terminal::parse(a).unwrap(), &Terminal::parse(b).unwrap()).unwrap()
}

/// The job's list: P01-P32, E01-E10, C01-C13, D01-D15, S01-S08, and nine to make.
#[test]
fn all_conductors_are_there() {
    let scenario = scenario();
    let count = |letter: char| scenario.given.iter().filter(|c| c.id.starts_with(letter)).count();
    assert_eq!(['P', 'E', 'C', 'D', 'S'].map(count), [32, 10, 13, 15, 8]);
    assert_eq!(scenario.given.len(), 78);
    assert_eq!(parse_wires(shipped::reference(ID).unwrap().wires).unwrap().len(), scenario.todo.len());
}

#[test]
fn at_most_two_conductors_in_a_terminal() {
    let mut ends: BTreeMap<Terminal, usize> = BTreeMap::new();
    let learner = parse_wires(shipped::reference(ID).unwrap().wires).unwrap();
    for c in scenario().given.iter().chain(&learner) {
        *ends.entry(c.from.clone()).or_default() += 1;
        *ends.entry(c.to.clone()).or_default() += 1;
    }
    let full: Vec<_> = ends.iter().filter(|(_, n)| **n > 2).collect();
    assert!(full.is_empty(), "{full:?}");
}

/// One number is one potential: conductors joined by terminals and bridges carry the same one, and no two potentials
/// share one. The link C03 and the two earthing conductors join what is apart without them.
#[test]
fn wire_numbers_tell_potentials() {
    let scenario = scenario();
    let learner = parse_wires(shipped::reference(ID).unwrap().wires).unwrap();
    let mut nets: Vec<(BTreeSet<Terminal>, BTreeSet<String>)> = Vec::new();
    let mut join = |ends: [Terminal; 2], number: Option<&String>| {
        let (mut terminals, mut numbers) =
            (BTreeSet::from(ends), number.into_iter().cloned().collect::<BTreeSet<_>>());
        nets.retain(|(t, n)| {
            let apart = t.is_disjoint(&terminals);
            if !apart {
                terminals.extend(t.iter().cloned());
                numbers.extend(n.iter().cloned());
            }
            apart
        });
        nets.push((terminals, numbers));
    };
    for part in &scenario.parts {
        if let Kind::Strip(strip) = &part.kind {
            for pair in strip.bridges.iter().flat_map(|b| b.windows(2)) {
                join([Terminal::new(&part.tag, &pair[0]), Terminal::new(&part.tag, &pair[1])], None);
            }
        }
    }
    for c in scenario.given.iter().chain(&learner) {
        if !["C03", "C13", "D15"].contains(&c.id.as_str()) {
            join([c.from.clone(), c.to.clone()], Some(&c.number));
        }
    }
    let mut seen = BTreeSet::new();
    for (terminals, numbers) in nets {
        let numbers: Vec<String> = numbers.into_iter().collect();
        assert_eq!(numbers.len(), 1, "{numbers:?} at {terminals:?}");
        assert!(seen.insert(numbers[0].clone()), "{} is on two potentials", numbers[0]);
    }
}

/// IEC 60204-1 13.2: green-yellow is PE and PE is green-yellow; red AC control; dark blue, never light blue, DC control.
#[test]
fn colours_tell_circuits() {
    for c in scenario().given {
        let pe = c.from.name == "PE" || c.to.name == "PE" || c.to.part.starts_with("UC");
        assert_eq!(c.colour == Insulation::GreenYellow, pe, "{}", c.id);
        assert_ne!(c.colour, Insulation::LightBlue, "{}", c.id);
        if c.id.starts_with('C') {
            assert_eq!(c.colour, Insulation::Red, "{}", c.id);
        }
    }
}

/// The table "Meter, QA1 in" of the job's design note: with the common missing there are 24 V at the terminal and the bit
/// is 0, and the neighbour's terminal shows them too, through two channels and the floating common.
#[test]
fn missing_common_has_volts_and_no_bit() {
    let run = "power on; wait 2s; press SF2; wait 200ms; expect QA1.closed";
    let missing = after(bench_without("L7"), run);
    assert!((dc(&missing, "KF1:I4", "XD5:1") - 24.0).abs() < 0.5);
    assert!((dc(&missing, "KF1:I5", "XD5:1") - 24.0).abs() < 0.5);
    assert!(dc(&missing, "KF1:I4", "KF1:CI2").abs() < 0.5);
    assert_eq!((missing.signal("IX0.4"), missing.signal("IX0.5")), (Some(false), Some(false)));

    let made = after(bench_without(""), run);
    assert!((dc(&made, "KF1:I4", "XD5:1") - 24.0).abs() < 0.5);
    assert!((dc(&made, "KF1:I4", "KF1:CI2") - 24.0).abs() < 0.5);
    assert!(dc(&made, "KF1:I5", "XD5:1").abs() < 0.5);
    assert_eq!((made.signal("IX0.4"), made.signal("IX0.5")), (Some(true), Some(false)));
}

/// After a trip of the open loop: 230 V across 95-96, nothing behind it, and the output still on.
#[test]
fn open_loop_after_a_trip() {
    let scenario = scenario();
    let given = Bench::new(Project::given(&scenario).plan(&scenario)).unwrap();
    let tripped = after(
        given,
        "power on; wait 2s; press SF2; wait 200ms; release SF2; wait 300ms; trip FC1; wait 300ms; expect QX0.0",
    );
    assert!((ac(&tripped, "FC1:95", "FC1:96") - 230.0).abs() < 23.0);
    assert!(ac(&tripped, "FC1:96", "XD3:3") < 1.0);
    assert_eq!(tripped.signal("QA1.closed"), Some(false));
}

/// A complete power failure clears the bit: it does not show an open loop. The loss of the coil supply does.
#[test]
fn only_the_coil_supply_shows_the_open_loop() {
    let scenario = scenario();
    let given = Bench::new(Project::given(&scenario).plan(&scenario)).unwrap();
    let run = "power on; wait 2s; press SF2; wait 200ms; release SF2; wait 300ms; expect QA1.closed\n";
    after(given.clone(), &format!("{run}power off; wait 5s; power on; expect not QA1.closed for 3s"));
    after(
        given,
        &format!("{run}open FC4; wait 1s; expect not QA1.closed; close FC4; expect QA1.closed within 100ms"),
    );
}

/// Canonical bytes are in normal form C: the shipped texts hold no combining mark, so they are.
#[test]
fn shipped_texts_are_in_normal_form_c() {
    for (id, text) in shipped::all() {
        let Some(reference) = shipped::reference(id) else { continue };
        for text in [text, reference.program, reference.wires] {
            assert!(!text.chars().any(|c| ('\u{300}'..='\u{36f}').contains(&c)), "{id}");
        }
    }
}

/// Each trial is on a bench of its own, which is handed over with the supply off.
#[test]
fn trials_begin_at_power_off() {
    for r in scenario().requirements {
        for t in &r.trials {
            let first = &t.script.steps[0].kind;
            assert_eq!(*first, steps::StepKind::Act(BenchAct::Power(true)), "{} {}", r.id, t.name);
        }
    }
}

/// Both ways: a requirement's trials for raise have their like for lower, with the signals exchanged.
#[test]
fn trials_are_symmetrical() {
    let swap = |text: &str| {
        let pairs = [("SF2", "SF3"), ("QA1", "QA2"), ("QX0.0", "QX0.1"), ("I4", "I5"), ("raise", "lower")];
        let pairs = pairs.iter().chain(&[("clockwise", "counterclockwise")]);
        pairs
            .fold(text.replace("counterclockwise", "\u{1}"), |text, (a, b)| {
                let b = if *a == "clockwise" { "\u{1}" } else { b };
                text.replace(a, "\u{2}").replace(b, a).replace('\u{2}', b)
            })
            .replace('\u{1}', "counterclockwise")
    };
    for r in scenario().requirements {
        let scripts: BTreeSet<String> = r.trials.iter().map(|t| canonical(&t.script.to_string())).collect();
        for t in &r.trials {
            let other = canonical(&swap(&t.script.to_string()));
            assert!(scripts.contains(&other), "{} {}: no trial is like\n{other}", r.id, t.name);
        }
    }
}

/// Operands that may change places without a change of meaning, in one order.
fn canonical(script: &str) -> String {
    script
        .replace("QX0.1 and QX0.0", "QX0.0 and QX0.1")
        .replace("not QX0.1 and not QX0.0", "not QX0.0 and not QX0.1")
        .replace("press SF3\npress SF2", "press SF2\npress SF3")
}

/// The reference without a given conductor and with a fault that joins two terminals, powered for 2 s.
fn faulty(left_out: Option<&str>, joined: [&str; 2]) -> Bench {
    let scenario = scenario();
    let mut plan = bench_without("").plan().clone();
    let before = plan.conductors.len();
    plan.conductors.retain(|c| Some(c.id.as_str()) != left_out);
    assert_eq!(before - plan.conductors.len(), usize::from(left_out.is_some()));
    let ends = joined.map(|text| Terminal::parse(text).unwrap());
    let mut fault = scenario.given[0].clone();
    fault.id = "X1".to_string();
    [fault.from, fault.to] = ends;
    plan.conductors.push(fault);
    after(Bench::new(plan).unwrap(), "power on; wait 2s")
}

/// IEC 60204-1, 9.4.3.1: with one side of the coil supply earthed, the first earth fault on the other opens its breaker:
/// 0.43 A / 0.06 = 7 A, above the 5 A of C 0.5 A. Without the earthing conductor C13 nothing tells of it.
#[test]
fn an_earth_fault_of_the_coil_supply_is_hidden_without_its_earthing() {
    let earth_fault = ["XD3:2", "XE1:2"];
    let with = faulty(None, earth_fault);
    assert_eq!(with.signal("FC4.closed"), Some(false));
    let without = faulty(Some("C13"), earth_fault);
    assert_eq!(without.signal("FC4.closed"), Some(true));
    assert!(ac(&without, "XD3:3", "XE1:1") > 200.0, "the other side stands at full voltage to earth");
}

/// The same of 24 V: with D15 an earth fault on the signal wire of STOP pulls the 24 V down until FC6 opens, and the input
/// reads 0: a stop. Without D15 it goes on reading 1.
#[test]
fn an_earth_fault_of_the_24_v_is_hidden_without_its_earthing() {
    let earth_fault = ["KF1:I0", "XE1:2"];
    let with = faulty(None, earth_fault);
    assert_eq!((with.signal("FC6.closed"), with.signal("KF1.IX0.0")), (Some(false), Some(false)));
    let without = faulty(Some("D15"), earth_fault);
    assert_eq!((without.signal("FC6.closed"), without.signal("KF1.IX0.0")), (Some(true), Some(true)));
    assert!(dc(&without, "XE1:1", "XD5:1") > 23.0, "the cabinet stands at +24 V against 0 V");
}

/// A phase that touches the cabinet: with the protective conductor of the supply its fuse melts; without E01 the cabinet
/// stands at 230 V to earth, and nothing opens.
#[test]
fn a_cabinet_without_protective_conductor_becomes_live() {
    let earth_fault = ["FC2:2", "UC1:plate"];
    let with = faulty(None, earth_fault);
    assert_eq!(with.signal("FC2.closed"), Some(false));
    let without = faulty(Some("E01"), earth_fault);
    assert_eq!(without.signal("FC2.closed"), Some(true));
    let touch = ac(&without, "UC1:door", "XD0:PE");
    assert!((touch - 230.9).abs() < 2.0, "{touch}");
}

/// Files and attempts from before the controller's negative terminal got its name of IEC 60445 still read: `M` is `L-`.
#[test]
fn older_names_of_terminals_read() {
    use sealin_exercise::attempt::Change;
    let text = shipped::get(ID).unwrap();
    let older = text.replace("\"KF1:L-\"", "\"KF1:M\"");
    assert_ne!(text, older);
    let (now, before) = (scenario(), Scenario::parse(&older).unwrap());
    assert_eq!(now.content_hash(), before.content_hash());
    assert_eq!(now.given, before.given);
    let mut project = Project::given(&now);
    let mut made = now.given[0].clone();
    made.id = "L1".to_string();
    (made.from, made.to) = (Terminal::new("XD5", "6"), Terminal::new("KF1", "M"));
    project.apply(&now, &Change::Add(made.clone())).unwrap();
    assert_eq!(project.conductors["L1"].to, Terminal::new("KF1", "L-"));
    project.apply(&now, &Change::Remove(made)).unwrap();
    assert!(!project.conductors.contains_key("L1"));
}
