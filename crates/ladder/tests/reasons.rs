//! Why a bit is 0 or 1. By hand on small programs; and on generated ones, where the counterfactual is a scan by the
//! evaluator by definition that reads things as their opposite.

mod support;

use sealin_ladder::generate::{Numbers, Shape, program};
use sealin_ladder::{
    Compiled, Contact, Decided, Memory, Network, Output, Program, Reason, Rung, Seen, Test, VarInfo, VarKind,
    What, compile, parse, reason,
};
use std::collections::BTreeMap;
use support::{ByDefinition, otherwise};

const REFERENCE: &str = include_str!("cases/paddle/reference.st");
const SF1: u64 = 1 << 0;
const SF2: u64 = 1 << 1;
const QA1_IN: u64 = 1 << 4;
const QA2_IN: u64 = 1 << 5;

fn decided(program: &Program, compiled: &Compiled, memory: &Memory, settled: bool, name: &str) -> Decided {
    match reason(program, compiled, memory, settled, name) {
        Some(Reason::Rungs(decided) | Reason::Block(decided)) => decided,
        other => panic!("{name}: {other:?}"),
    }
}

/// `name = value`, with an apostrophe for an old value and two for one that an edge remembers.
fn told(set: &[Seen]) -> Vec<String> {
    let tell = |seen: &Seen| {
        let name = match &seen.what {
            What::Bit(var) => format!("{var}{}", if seen.before { "'" } else { "" }),
            What::Remembered(var) => format!("{var}\""),
            What::Passed(rung) => format!("rung {}\"", rung + 1),
            What::TimeUp(instance) => format!("time of {instance}"),
            What::Compared(c) => format!(
                "{} {} {:?}{}",
                c.value,
                c.relation.sign(),
                c.with,
                if seen.before { "'" } else { "" }
            ),
        };
        format!("{name}={}", u8::from(seen.value))
    };
    set.iter().map(tell).collect()
}

struct Run {
    program: Program,
    compiled: Compiled,
    memory: Memory,
}

impl Run {
    fn new(source: &str) -> Run {
        let program = parse(source).unwrap();
        let compiled = compile(&program, 5);
        let memory = compiled.cold_start();
        Run { program, compiled, memory }
    }

    fn scans(&mut self, inputs: u64, count: u32) -> &mut Self {
        for _ in 0..count {
            self.compiled.scan(&mut self.memory, inputs);
        }
        self
    }

    /// Rung from 1, set and whether it is sure, with no word about the scan before.
    fn just(&self, name: &str) -> (u32, Vec<String>, bool) {
        let d = decided(&self.program, &self.compiled, &self.memory, false, name);
        (d.rung + 1, told(&d.set), d.sure)
    }

    fn why(&self, name: &str) -> (u32, Vec<String>) {
        let d = decided(&self.program, &self.compiled, &self.memory, true, name);
        assert!(d.sure && !d.bounded);
        (d.rung + 1, told(&d.set))
    }
}

/// By hand from the rungs of the reference.
#[test]
fn the_reference_by_hand() {
    let mut run = Run::new(REFERENCE);
    // The other contactor is in. Nobody presses either, so two things keep QA1_out at 0: no branch passes, and the
    // contact of QA2_in behind them.
    run.scans(SF1 | QA2_IN, 3);
    assert_eq!(run.why("clear"), (1, vec!["QA2_in=1".into()]));
    assert_eq!(run.why("QA1_out"), (4, vec!["SF2_in=0".into(), "fresh=0".into(), "QA2_in=1".into()]));
    // At rest, ready: only the button is missing.
    run.scans(SF1, 60);
    assert_eq!(run.why("QA1_out"), (4, vec!["SF2_in=0".into()]));
    assert_eq!(run.why("PF1_out"), (6, vec!["FC1_in=0".into()]));
    // Running with the button let go: it holds itself.
    run.scans(SF1 | SF2, 5).scans(SF1 | SF2 | QA1_IN, 5).scans(SF1 | QA1_IN, 5);
    assert_eq!(run.why("QA1_out"), (4, vec!["QA1_out'=1".into()]));
    // Stopped: `clear` is 0 by SF1_in alone, once QA1 is out.
    run.scans(0, 5);
    assert_eq!(run.why("clear"), (1, vec!["SF1_in=0".into()]));
}

#[test]
fn a_timer_waits_for_its_time() {
    let mut run = Run::new(REFERENCE);
    run.scans(SF1, 4);
    assert_eq!(run.why("rest.Q"), (2, vec!["time of rest=0".into()]));
    run.scans(0, 1);
    assert_eq!(run.why("rest.Q"), (2, vec!["rest.IN=0".into(), "time of rest=0".into()]));
    assert_eq!(run.why("rest.IN"), (2, vec!["clear=0".into()]));
    assert!(matches!(
        reason(&run.program, &run.compiled, &run.memory, true, "SF1_in"),
        Some(Reason::Input(a)) if a.to_string() == "%IX0.0"
    ));
    assert_eq!(reason(&run.program, &run.compiled, &run.memory, true, "nobody"), None);
}

#[test]
fn set_and_reset_by_hand() {
    let mut run = Run::new(
        "PROGRAM latch
         VAR a AT %IX0.0 : BOOL; b AT %IX0.1 : BOOL; m : BOOL; n : BOOL; k : BOOL; END_VAR
         IF a THEN m := TRUE; END_IF;
         IF b THEN m := FALSE; END_IF;
         k := TRUE;
         END_PROGRAM",
    );
    // Never set: the set coil's rung does not pass.
    run.scans(0, 2);
    assert_eq!(run.why("m"), (1, vec!["a=0".into()]));
    // Set just now, by the contact.
    run.scans(1, 1);
    // An old 1 would be kept without it, too; whatever it was, the reset coil would have cleared it.
    let d = decided(&run.program, &run.compiled, &run.memory, false, "m");
    assert_eq!((d.rung, d.sure, told(&d.set)), (1, true, vec!["b=0".into()]));
    // Kept since.
    run.scans(0, 2);
    assert_eq!(run.why("m"), (2, vec!["m'=1".into()]));
    // Reset wins over set, as it comes after.
    run.scans(3, 2);
    assert_eq!(run.why("m"), (2, vec!["b=1".into()]));
    // No contact matters; no rung writes.
    assert_eq!(run.why("k"), (3, vec![]));
    assert_eq!(reason(&run.program, &run.compiled, &run.memory, true, "n"), Some(Reason::Unwritten));
}

/// An edge contact passes by its bit; it does not where the bit was the same before, or is not there now.
#[test]
fn edges_by_hand() {
    let mut run = Run::new(
        "PROGRAM p VAR a AT %IX0.0 : BOOL; b AT %IX0.1 : BOOL; q : BOOL; r : BOOL; edge_1 : R_TRIG;
         edge_2 : R_TRIG; END_VAR
         edge_1(CLK := a);
         q := edge_1.Q AND b;
         edge_2(CLK := a AND b);
         r := edge_2.Q;
         END_PROGRAM",
    );
    let rising =
        |network: &Network| matches!(network, Network::Contact(Contact::Bit { test: Test::Rising, .. }));
    let Network::Series(parts) = &run.program.rungs[0].logic else { panic!("{:?}", run.program) };
    assert!(rising(&parts[0]) && matches!(run.program.rungs[1].output, Output::Rising { .. }));
    run.scans(0b10, 2);
    assert_eq!(run.why("q"), (1, vec!["a=0".into()]));
    assert_eq!(run.why("r"), (2, vec!["a=0".into()]));
    // In the very scan. What was before is told by the edge itself.
    run.scans(0b11, 1);
    assert_eq!(run.just("q"), (1, vec!["a=1".into()], true));
    assert_eq!(run.just("r"), (2, vec!["a=1".into()], true));
    // Held: only another value in the scan before would have done.
    run.scans(0b11, 2);
    assert_eq!(run.why("q"), (1, vec!["a\"=1".into()]));
    assert_eq!(run.why("r"), (2, vec!["rung 2\"=1".into()]));
    // Gone in this scan: a would have to be there, and to be new.
    run.scans(0b10, 1);
    assert_eq!(run.just("q").1, ["a=0"]);
    assert!(!run.just("q").2, "a of 1 before would have been needed otherwise, too");
}

#[test]
fn counters_and_comparisons_by_hand() {
    let mut run = Run::new(
        "PROGRAM p VAR a AT %IX0.0 : BOOL; b AT %IX0.1 : BOOL; q : BOOL; early : BOOL; late : BOOL; n : CTU;
         t : TON; END_VAR
         early := n.CV >= 2;
         n(CU := a, R := b, PV := 2);
         late := n.CV > 1 OR t.ET >= T#1s;
         t(IN := late, PT := T#2s);
         END_PROGRAM",
    );
    run.scans(0, 2);
    assert_eq!(run.why("n.Q"), (2, vec!["n.CV >= Constant(Count(2))=0".into()]));
    assert_eq!(run.why("early"), (1, vec!["n.CV >= Constant(Count(2))'=0".into()]));
    assert_eq!(
        run.why("late").1,
        ["n.CV > Constant(Count(1))=0"],
        "either of two would do, the first is told"
    );
    // Reset holds it at 0: that must go, and the count be there.
    run.scans(2, 2);
    assert_eq!(run.why("n.Q"), (2, vec!["n.CV >= Constant(Count(2))=0".into(), "n.R=1".into()]));
    assert_eq!(run.why("n.R"), (2, vec!["b=1".into()]));
    run.scans(0, 1).scans(1, 1).scans(0, 1).scans(1, 1);
    assert_eq!(run.just("n.Q"), (2, vec!["n.CV >= Constant(Count(2))=1".into()], true));
    assert_eq!(run.just("early").1, ["n.CV >= Constant(Count(2))'=0"]);
    // The old ET would have been enough, too, as far as the memory tells.
    assert_eq!(run.just("late"), (3, vec!["n.CV > Constant(Count(1))=1".into()], false));
}

#[test]
fn blocks_by_hand() {
    let mut run = Run::new(
        "PROGRAM p VAR a AT %IX0.0 : BOOL; b AT %IX0.1 : BOOL; first_scan : BOOL; x : RS; y : SR; t : TOF; u : TP;
         e : F_TRIG; lamp : BOOL; END_VAR
         x(S := a, R1 := b);
         y(S1 := a, R := b);
         t(IN := a, PT := T#1s);
         u(IN := a, PT := T#1s);
         lamp := first_scan;
         END_PROGRAM",
    );
    run.scans(0, 2);
    assert_eq!(run.why("x.Q1"), (1, vec!["x.S=0".into()]));
    assert_eq!(run.why("t.Q"), (3, vec!["t.IN=0".into()]));
    assert_eq!(run.why("u.Q"), (4, vec!["u.IN=0".into()]));
    assert_eq!(run.why("lamp"), (5, vec!["first_scan=0".into()]));
    assert_eq!(reason(&run.program, &run.compiled, &run.memory, true, "First_Scan"), Some(Reason::FirstScan));
    run.scans(1, 2);
    assert_eq!(run.why("t.Q"), (3, vec!["t.IN=1".into(), "time of t=0".into()]));
    assert_eq!(run.why("u.Q"), (4, vec!["time of u=0".into()]));
    run.scans(0, 2);
    assert_eq!(run.why("t.Q"), (3, vec!["time of t=0".into()]));
    // Kept, and reset.
    assert_eq!(run.why("x.Q1"), (1, vec!["x.Q1'=1".into()]));
    run.scans(3, 2);
    assert_eq!(run.why("x.Q1"), (1, vec!["x.R1=1".into()]));
    assert_eq!(run.why("y.Q1"), (2, vec!["y.S1=1".into()]));
    run.scans(1, 200);
    assert_eq!(run.why("u.Q"), (4, vec!["time of u=1".into()]));
}

/// A memory that no scan can have left: the program was not run since it was carried over.
#[test]
fn a_program_that_has_not_run_says_so() {
    let program =
        parse("PROGRAM p VAR a AT %IX0.0 : BOOL; q : BOOL := TRUE; END_VAR q := a; END_PROGRAM").unwrap();
    let compiled = compile(&program, 5);
    assert_eq!(reason(&program, &compiled, &compiled.cold_start(), false, "q"), Some(Reason::NotRun));
}

/// 24 contacts one after the other, all open: too many sets to try, found by the shape of the rung.
#[test]
fn a_long_rung_is_answered_by_its_shape() {
    let names: Vec<String> = (0..24).map(|k| format!("b{k}")).collect();
    let source = format!(
        "PROGRAM p VAR {} q : BOOL; END_VAR q := {}; END_PROGRAM",
        names.iter().map(|n| format!("{n} : BOOL; ")).collect::<String>(),
        names.join(" AND ")
    );
    let mut run = Run::new(&source);
    run.scans(0, 2);
    let d = decided(&run.program, &run.compiled, &run.memory, true, "q");
    assert_eq!((d.set.len(), d.bounded), (24, true));
}

/// What the evaluator by definition is to read as its opposite for a member of a set.
fn opposite(program: &Program, target: &str, seen: &Seen) -> Vec<String> {
    let first = |bit: &str| {
        let writes = |r: &Rung| r.output.written().iter().any(|name| name.eq_ignore_ascii_case(bit));
        program.rungs.iter().position(writes).unwrap() as u32
    };
    let places = || seen.places.iter().copied();
    match &seen.what {
        // The target's own old value is turned before the first rung that writes it, which does for all its contacts.
        What::Bit(var) if seen.before && !var.contains('.') && var.eq_ignore_ascii_case(target) => {
            vec![otherwise::before(first(var), var)]
        }
        What::Bit(var) if seen.places.is_empty() => vec![otherwise::pin(var)],
        What::Compared(_) if seen.places.is_empty() => vec![otherwise::pin(target)],
        What::Bit(_) | What::Compared(_) => places().map(otherwise::read).collect(),
        What::Remembered(var) if seen.places.is_empty() => vec![otherwise::remembered(var)],
        What::Remembered(_) => {
            places().map(|place| otherwise::remembered(&otherwise::contact(place))).collect()
        }
        What::Passed(rung) => vec![otherwise::remembered(&otherwise::coil(*rung))],
        What::TimeUp(instance) => vec![otherwise::pin(&format!("{instance}.time"))],
    }
}

/// What the trials met, so that a suite in which nothing ever happens is noticed.
#[derive(Default, Debug)]
struct Tally {
    sure: u32,
    unsure: u32,
    more_than_one: u32,
    constant: u32,
    /// Members of sets, by what they are.
    members: BTreeMap<String, u32>,
}

/// Every reason that is sure: with its set turned over the scan gives the opposite, with any part of the set it does not.
/// The scan is that of the evaluator by definition, which reads things as their opposite where it is told to.
#[test]
fn reasons_of_generated_programs_hold_against_the_definitions() {
    let mut tally = Tally::default();
    for seed in 0..80 {
        let program = program(seed, &Shape::SMALL);
        let compiled = compile(&program, 5);
        let mut definition = ByDefinition::cold_start(&program, 5);
        let mut numbers = Numbers::new(seed);
        let mut memory = compiled.cold_start();
        let mut inputs = numbers.bits();
        for scan in 0..12 {
            if scan == 7 && seed % 2 == 0 {
                memory = compiled.warm_start(&memory);
                definition.warm_restart();
            }
            let (before, found) = (memory.clone(), definition.clone());
            compiled.scan(&mut memory, inputs);
            definition.scan(inputs);
            let settled = before == memory;
            for name in compiled.variables().iter().flat_map(bits) {
                let value = compiled.value(&memory, &name).unwrap();
                let decided = match reason(&program, &compiled, &memory, settled, &name) {
                    Some(Reason::Rungs(decided) | Reason::Block(decided)) => decided,
                    Some(Reason::NotRun) => panic!("seed {seed}, {name}: it has run"),
                    _ => continue,
                };
                let again = |flips: &[&Seen]| {
                    let mut found = found.clone();
                    let names = flips.iter().flat_map(|seen| opposite(&program, &name, seen));
                    found.otherwise = names.collect();
                    found.scan(inputs);
                    found.value(&name)
                };
                tally.note(&decided);
                if !decided.sure {
                    continue;
                }
                for part in 0..1u32 << decided.set.len() {
                    let members = decided.set.iter().enumerate();
                    let flips: Vec<&Seen> =
                        members.filter(|(k, _)| part >> k & 1 != 0).map(|(_, s)| s).collect();
                    let all = !flips.is_empty() && flips.len() == decided.set.len();
                    assert_eq!(
                        again(&flips) != value,
                        all,
                        "seed {seed}, {name}: {decided:?}, {flips:?}\n{program:?}"
                    );
                }
            }
            inputs ^= 1 << numbers.below(64);
        }
    }
    println!("{tally:#?}");
    assert!(tally.sure > 5_000 && tally.more_than_one > 500, "{tally:?}");
    assert!(tally.unsure < tally.sure / 2, "{tally:?}");
    for member in ["Bit", "Bit before", "Remembered", "Passed", "TimeUp", "Compared", "Compared before"] {
        assert!(tally.members.get(member).is_some_and(|count| *count > 20), "{member}: {tally:?}");
    }
}

impl Tally {
    fn note(&mut self, decided: &Decided) {
        *if decided.sure { &mut self.sure } else { &mut self.unsure } += 1;
        self.more_than_one += u32::from(decided.set.len() > 1);
        self.constant += u32::from(decided.set.is_empty());
        for seen in decided.set.iter().filter(|_| decided.sure) {
            let what = format!("{:?}", seen.what).split('(').next().unwrap_or_default().to_owned();
            let before = seen.before && matches!(seen.what, What::Bit(_) | What::Compared(_));
            *self.members.entry(if before { what + " before" } else { what }).or_default() += 1;
        }
    }
}

/// A variable's bits.
fn bits(var: &VarInfo) -> Vec<String> {
    match var.kind {
        VarKind::Bool => vec![var.name.clone()],
        VarKind::Block(block) => block.bits().map(|pin| format!("{}.{pin}", var.name)).collect(),
    }
}
