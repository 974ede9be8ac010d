//! The compiled scan agrees with the evaluator by definition on generated programs and inputs.

mod support;

use sealin_ladder::generate::{Numbers, Shape, input_sequence, program, thousand_rungs};
use sealin_ladder::{Network, Program, VarKind, compile, parse, print};
use support::ByDefinition;

/// Runs one pair and compares every output image, bit and timer after every scan. Gives how often a bit was 1, so that
/// a suite in which nothing ever happens is noticed.
fn agrees(program: &Program, period_ms: u32, inputs: &[u64]) -> u64 {
    let compiled = compile(program, period_ms);
    let mut memory = compiled.cold_start();
    let mut definition = ByDefinition::cold_start(program, period_ms);
    let mut ones = 0;
    for (scan, image) in inputs.iter().enumerate() {
        let outputs = compiled.scan(&mut memory, *image);
        assert_eq!(outputs, definition.scan(*image), "outputs of scan {scan}:\n{}", print(program));
        ones += u64::from(outputs.count_ones());
        for var in &program.vars {
            let names = match var.kind {
                VarKind::Bool => vec![var.name.clone()],
                VarKind::Block(_) => vec![format!("{}.IN", var.name), format!("{}.Q", var.name)],
            };
            for name in names {
                let value = compiled.value(&memory, &name);
                assert_eq!(
                    value,
                    Some(definition.value(&name)),
                    "{name} in scan {scan}:\n{}",
                    print(program)
                );
            }
            if var.kind != VarKind::Bool {
                let figures = compiled.figures(&memory, &var.name).expect("a timer");
                let elapsed_ms = definition.elapsed_ms(&var.name, figures.preset as u64);
                assert_eq!(figures.value as u64, elapsed_ms);
            }
        }
    }
    ones
}

fn pairs(from: u64, count: u64) {
    let mut ones = 0;
    for seed in from..from + count {
        let mut numbers = Numbers::new(seed ^ 0x5ea1);
        let shape = Shape { depth: numbers.below(7), contacts: 1 + numbers.below(10), ..Shape::SMALL };
        let program = program(seed, &shape);
        let inputs = input_sequence(seed, shape.inputs, 24);
        ones += agrees(&program, 1 + numbers.below(20), &inputs);
    }
    assert!(ones > count * 4, "outputs were on {ones} times only");
}

#[test]
fn ten_thousand_pairs() {
    pairs(0, 10_000);
}

/// The long mode: `cargo test --release -- --ignored a_million_pairs`.
#[test]
#[ignore = "takes minutes"]
fn a_million_pairs() {
    pairs(1_000_000, 1_000_000);
}

#[test]
fn the_thousand_rungs_are_as_large_as_they_say_and_agree() {
    let program = thousand_rungs(1);
    let contacts: u32 = program.rungs.iter().map(|rung| rung.logic.contacts()).sum();
    assert_eq!(program.rungs.len(), 1000);
    assert!((6_700..7_300).contains(&contacts), "{contacts} contacts");
    assert_eq!(program.rungs.iter().map(|rung| depth(&rung.logic)).max(), Some(6));
    let timers = program.rungs.iter().filter(|rung| matches!(rung.output, sealin_ladder::Output::Block(_)));
    assert_eq!(timers.count(), 50);
    assert_eq!(program, thousand_rungs(1));
    // Bits, IN and Q of each timer, one constant and one idle bit, at most a part a contact of one rung; timers of 4 bytes.
    let mut bytes = Vec::new();
    compile(&program, 5).cold_start().write_bytes(&mut bytes);
    assert!((480 + 100 + 2 + 200..=480 + 100 + 2 + 9 + 200).contains(&bytes.len()), "{} bytes", bytes.len());
    assert!(agrees(&program, 5, &input_sequence(1, 16, 200)) > 1000);
}

/// Groups inside each other.
fn depth(logic: &Network) -> u32 {
    match logic {
        Network::Series(parts) | Network::Parallel(parts) => 1 + parts.iter().map(depth).max().unwrap_or(0),
        _ => 0,
    }
}

#[test]
fn generated_programs_print_and_read_to_themselves() {
    for seed in 0..3_000 {
        let program = program(seed, &Shape { depth: (seed % 7) as u32, ..Shape::SMALL });
        let text = print(&program);
        match parse(&text) {
            Ok(read) => assert_eq!(read, program, "seed {seed}:\n{text}"),
            Err(errors) => panic!("seed {seed}: {errors:?}\n{text}"),
        }
    }
}
