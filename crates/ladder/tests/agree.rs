//! The compiled scan agrees with the evaluator by definition on generated programs and inputs.

mod support;

use sealin_ladder::generate::{Numbers, Shape, input_sequence, program, thousand_rungs};
use sealin_ladder::{
    Block, Compiled, LANES, Memory, Network, Output, Preset, Program, Rung, Var, VarKind, compile, parse,
    print, transpose,
};
use support::ByDefinition;

/// Scans of a generated sequence.
const SCANS: u32 = 24;

/// The names of everything a program has.
struct Watch<'a> {
    program: &'a Program,
    bits: Vec<String>,
    values: Vec<String>,
}

impl<'a> Watch<'a> {
    fn new(program: &'a Program) -> Self {
        let mut watch = Watch { program, bits: Vec::new(), values: Vec::new() };
        for Var { name, kind, .. } in &program.vars {
            match kind {
                VarKind::Bool => watch.bits.push(name.clone()),
                VarKind::Block(block) => {
                    watch.bits.extend(block.bits().map(|pin| format!("{name}.{pin}")));
                    watch.values.extend(block.value().map(|value| format!("{name}.{value}")));
                }
            }
        }
        watch
    }

    /// Every bit and value is as by definition.
    fn agree(&self, compiled: &Compiled, memory: &Memory, definition: &ByDefinition, scan: usize) {
        for name in &self.bits {
            let value = compiled.value(memory, name);
            assert_eq!(value, Some(definition.value(name)), "{name} in scan {scan}:\n{:?}", self.program);
        }
        for name in &self.values {
            let value = compiled.number(memory, name).map(i64::from);
            assert_eq!(value, Some(definition.number(name)), "{name} in scan {scan}:\n{:?}", self.program);
        }
    }
}

/// Runs one pair and compares every output image, bit and value after every scan; half-way there may be a warm restart.
/// Gives how often an output was 1, so that a suite in which nothing ever happens is noticed.
fn agrees(program: &Program, period_ms: u32, inputs: &[u64], restart: bool) -> u64 {
    let watch = Watch::new(program);
    let compiled = compile(program, period_ms);
    let mut memory = compiled.cold_start();
    let mut definition = ByDefinition::cold_start(program, period_ms);
    let mut ones = 0;
    for (scan, image) in inputs.iter().enumerate() {
        if restart && scan == inputs.len() / 2 {
            memory = compiled.warm_start(&memory);
            definition.warm_restart();
        }
        let outputs = compiled.scan(&mut memory, *image);
        assert_eq!(outputs, definition.scan(*image), "outputs of scan {scan}:\n{program:?}");
        ones += u64::from(outputs.count_ones());
        watch.agree(&compiled, &memory, &definition, scan);
    }
    ones
}

fn pairs(from: u64, count: u64) {
    let mut ones = 0;
    for seed in from..from + count {
        let mut numbers = Numbers::new(seed ^ 0x5ea1);
        let program = program(seed, &any_shape(&mut numbers));
        let inputs = input_sequence(seed, Shape::SMALL.inputs, SCANS);
        ones += agrees(&program, 1 + numbers.below(20), &inputs, numbers.one_in(2));
    }
    assert!(ones > count * 4, "outputs were on {ones} times only");
}

fn any_shape(numbers: &mut Numbers) -> Shape {
    Shape {
        depth: numbers.below(7),
        contacts: 1 + numbers.below(10),
        timers: numbers.below(4),
        counters: numbers.below(3),
        others: numbers.below(3),
        ..Shape::SMALL
    }
}

/// Runs one program on 64 input sequences at once, given as the images of all lanes scan by scan; every lane is as by its
/// definition.
fn lanes_agree(program: &Program, period_ms: u32, inputs: &[[u64; LANES]], restart: bool) -> u64 {
    let watch = Watch::new(program);
    let compiled = compile(program, period_ms);
    let mut lanes = compiled.lanes(&compiled.cold_start());
    let mut definitions = [(); LANES].map(|()| ByDefinition::cold_start(program, period_ms));
    let mut ones = 0;
    for (scan, images) in inputs.iter().enumerate() {
        // One lane in three restarts, so that lanes are put back one by one.
        for lane in (0..LANES).filter(|lane| restart && scan == inputs.len() / 2 && lane % 3 == 1) {
            lanes.set(lane, &compiled.warm_start(&lanes.get(lane)));
            definitions[lane].warm_restart();
        }
        let outputs = transpose(&compiled.scan_lanes(&mut lanes, &transpose(images)));
        for (lane, definition) in definitions.iter_mut().enumerate() {
            let wanted = definition.scan(images[lane]);
            assert_eq!(outputs[lane], wanted, "outputs of lane {lane} in scan {scan}:\n{program:?}");
            ones += u64::from(wanted.count_ones());
            watch.agree(&compiled, &lanes.get(lane), definition, scan);
        }
    }
    ones
}

fn pairs_in_lanes(from: u64, count: u64) {
    let mut ones = 0;
    for seed in from..from + count.div_ceil(LANES as u64) {
        let mut numbers = Numbers::new(seed ^ 0x1a7e5);
        let program = program(seed, &any_shape(&mut numbers));
        let sequence = |lane: usize| input_sequence(seed ^ (lane as u64) << 40, Shape::SMALL.inputs, SCANS);
        let sequences: [Vec<u64>; LANES] = std::array::from_fn(sequence);
        let images = (0..SCANS as usize).map(|scan| std::array::from_fn(|lane| sequences[lane][scan]));
        let inputs: Vec<[u64; LANES]> = images.collect();
        ones += lanes_agree(&program, 1 + numbers.below(20), &inputs, numbers.one_in(2));
    }
    assert!(ones > count * 4, "outputs were on {ones} times only");
}

#[test]
fn ten_thousand_pairs_in_64_lanes() {
    pairs_in_lanes(0, 10_000);
}

/// The long mode: `cargo test --release -- --ignored a_million_pairs`.
#[test]
#[ignore = "takes minutes"]
fn a_million_pairs_in_64_lanes() {
    pairs_in_lanes(2_000_000, 1_000_000);
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
    let contacts: u32 = program.rungs.iter().map(Rung::contacts).sum();
    assert_eq!(program.rungs.len(), 1000);
    assert!((6_700..7_300).contains(&contacts), "{contacts} contacts");
    assert_eq!(program.rungs.iter().map(|rung| depth(&rung.logic)).max(), Some(6));
    let called = |sort| {
        let blocks = program.rungs.iter().filter_map(|rung| match &rung.output {
            Output::Block(call) => Some(call.block),
            _ => None,
        });
        blocks.filter(|block: &Block| block.preset() == Some(sort)).count()
    };
    assert_eq!((called(Preset::Time), called(Preset::Count)), (50, 20));
    assert_eq!(program, thousand_rungs(1));
    // Bits and pins, one constant and one idle bit, at most a part a contact of one rung; 4 bytes for each block.
    let mut bytes = Vec::new();
    compile(&program, 5).cold_start().write_bytes(&mut bytes);
    let pins: usize = program
        .vars
        .iter()
        .filter_map(|var| match var.kind {
            VarKind::Block(block) => Some(block.bits().count()),
            VarKind::Bool => None,
        })
        .sum();
    let least = 480 + pins + 2 + 4 * 70;
    assert!((least..=least + 12).contains(&bytes.len()), "{} bytes", bytes.len());
    assert!(agrees(&program, 5, &input_sequence(1, 16, 200), true) > 1000);
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
