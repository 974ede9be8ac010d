//! Why a bit is 0 or 1. By hand on small programs; and on generated ones, where the counterfactual is made by changing
//! the program and scanning again: a contact that is turned over is one of the other kind (normally open, normally
//! closed), and an old value that is turned over is turned by a rung put before.

use sealin_ladder::generate::{Numbers, Shape, program};
use sealin_ladder::{
    Compiled, Contact, Decided, Memory, Network, Output, Program, Reason, Rung, Seen, VarKind, compile,
    parse, reason,
};

const REFERENCE: &str = include_str!("cases/paddle/reference.st");
const SF1: u64 = 1 << 0;
const SF2: u64 = 1 << 1;
const QA1_IN: u64 = 1 << 4;
const QA2_IN: u64 = 1 << 5;

fn decided(program: &Program, compiled: &Compiled, memory: &Memory, settled: bool, name: &str) -> Decided {
    match reason(program, compiled, memory, settled, name) {
        Some(Reason::Rungs(decided)) => decided,
        other => panic!("{name}: {other:?}"),
    }
}

/// `name = value`, with an apostrophe for an old value.
fn told(set: &[Seen]) -> Vec<String> {
    set.iter()
        .map(|s| format!("{}{}={}", s.var, if s.before { "'" } else { "" }, u8::from(s.value)))
        .collect()
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

/// T#200ms of which 15 ms have gone: the third scan after the one in which IN rose.
#[test]
fn a_timer_tells_its_time() {
    let mut run = Run::new(REFERENCE);
    run.scans(SF1, 4);
    let timer = |run: &Run| reason(&run.program, &run.compiled, &run.memory, false, "rest.Q");
    let expected = |elapsed_ms, running| {
        Some(Reason::Timer { instance: "rest".into(), elapsed_ms, preset_ms: 200, running })
    };
    assert_eq!(timer(&run), expected(15, true));
    run.scans(0, 1);
    assert_eq!(timer(&run), expected(0, false));
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
    let d = decided(&run.program, &run.compiled, &run.memory, false, "m");
    assert_eq!((d.rung, d.sure), (0, false), "an old 1 would be kept, too");
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

/// The program in which these bits are read as their opposite by the rungs that write `target`.
fn turned(program: &Program, target: &str, flips: &[&Seen]) -> Program {
    let mut changed = program.clone();
    for flip in flips {
        for &(rung, contact) in &flip.places {
            let mut index = 0;
            turn(&mut changed.rungs[rung as usize].logic, contact, &mut index);
        }
    }
    // The target's own old value is turned before the first rung that writes it, which does for all its contacts.
    if let Some(own) = flips.iter().find(|f| f.before && f.var.eq_ignore_ascii_case(target)) {
        for &(rung, contact) in &own.places {
            turn(&mut changed.rungs[rung as usize].logic, contact, &mut 0);
        }
        let first = changed.rungs.iter().position(|r| r.output.var().eq_ignore_ascii_case(target)).unwrap();
        let var = changed.rungs[first].output.var().to_string();
        let rung =
            Rung { comment: String::new(), logic: Network::open(&var), output: Output::Negated { var } };
        changed.rungs.insert(first, rung);
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

/// Every reason that is sure: with its set turned over the scan gives the opposite, with any part of the set it does not.
#[test]
fn reasons_of_generated_programs_hold_against_the_compiled_scan() {
    let (mut sure, mut unsure, mut large) = (0, 0, 0);
    for seed in 0..60 {
        let program = program(
            seed,
            &Shape { timers: 0, counters: 0, others: 0, compares: false, edges: false, ..Shape::SMALL },
        );
        let compiled = compile(&program, 5);
        let mut numbers = Numbers::new(seed);
        let mut memory = compiled.cold_start();
        let mut inputs = numbers.bits();
        for _ in 0..12 {
            let before = memory.clone();
            compiled.scan(&mut memory, inputs);
            for var in compiled.variables().iter().filter(|v| v.kind == VarKind::Bool) {
                let value = compiled.value(&memory, &var.name).unwrap();
                let settled = before == memory;
                let Some(Reason::Rungs(d)) = reason(&program, &compiled, &memory, settled, &var.name) else {
                    continue;
                };
                if !d.sure {
                    unsure += 1;
                    continue;
                }
                if d.set.is_empty() {
                    continue;
                }
                sure += 1;
                large += usize::from(d.set.len() > 1);
                let again = |flips: &[&Seen]| {
                    let compiled = compile(&turned(&program, &var.name, flips), 5);
                    let mut memory = before.clone();
                    compiled.scan(&mut memory, inputs);
                    compiled.value(&memory, &var.name).unwrap()
                };
                for part in 0..1u32 << d.set.len() {
                    let flips: Vec<&Seen> = d
                        .set
                        .iter()
                        .enumerate()
                        .filter(|(k, _)| part >> k & 1 != 0)
                        .map(|(_, s)| s)
                        .collect();
                    let all = flips.len() == d.set.len();
                    assert_eq!(again(&flips) != value, all, "seed {seed}, {}: {d:?}, {flips:?}", var.name);
                }
            }
            inputs ^= 1 << numbers.below(64);
        }
    }
    assert!(sure > 1_000 && large > 100, "{sure} sure, {unsure} not, {large} of more than one");
}
