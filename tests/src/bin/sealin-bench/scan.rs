//! The scan of 1,000 rungs, against the same logic as straight Rust, and of 64 lanes at once.

use super::Finding;
use sealin_ladder::{Compiled, Rung, compile, generate, transpose};
use std::hint::black_box;
use std::time::Instant;

/// What `tests/build/straight.rs` writes.
#[allow(clippy::all, missing_docs, unused_assignments, unused_parens)]
mod straight {
    include!(concat!(env!("OUT_DIR"), "/straight.rs"));
}

/// Scans over which the results are compared.
const COMPARED: u32 = 2_000;

/// Scans of a lap, so few that most laps are not interrupted by other work.
const SCANS: u32 = 32;

/// Laps of which the fastest is reported.
const LAPS: usize = 2_000;

struct Rungs {
    compiled: Compiled,
    contacts: u32,
    inputs: Vec<u64>,
}

impl Rungs {
    fn new() -> Self {
        let program = generate::thousand_rungs(straight::SEED);
        let contacts = program.rungs.iter().map(Rung::contacts).sum();
        let inputs = generate::input_sequence(straight::SEED, 16, COMPARED);
        Rungs { compiled: compile(&program, straight::PERIOD_MS), contacts, inputs }
    }

    /// Nanoseconds a contact in each of two laps that take turns, the fastest of each: other work only adds time.
    fn fastest(&self, mut laps: [&mut dyn FnMut(u64) -> u64; 2]) -> [f64; 2] {
        let mut fastest = [f64::INFINITY; 2];
        for _ in 0..LAPS {
            for (lap, fastest) in laps.iter_mut().zip(&mut fastest) {
                let start = Instant::now();
                for image in &self.inputs[..SCANS as usize] {
                    black_box(lap(black_box(*image)));
                }
                let nanoseconds = start.elapsed().as_secs_f64() * 1e9;
                *fastest = fastest.min(nanoseconds / f64::from(SCANS) / f64::from(self.contacts));
            }
        }
        fastest
    }
}

/// Nanoseconds a contact of one scan; the baseline is the same logic as straight Rust, compiled with the same
/// optimisation. Both must first agree on the outputs.
pub fn one_lane() -> Finding {
    let rungs = Rungs::new();
    let (mut memory, mut state) = (rungs.compiled.cold_start(), straight::START);
    for image in &rungs.inputs {
        let outputs = rungs.compiled.scan(&mut memory, *image);
        assert!(outputs == straight::scan(&mut state, *image), "both must agree");
    }
    let mut scan = |image| rungs.compiled.scan(&mut memory, image);
    let mut baseline = |image| straight::scan(&mut state, image);
    let [value, baseline] = rungs.fastest([&mut scan, &mut baseline]);
    Finding { value, unit: "ns/contact", baseline: Some(("straight-rust", baseline)), also: Vec::new() }
}

/// Nanoseconds a contact of one scan of 64 lanes at once; the baseline is the scan of one lane. Every lane must first agree
/// with straight Rust on the outputs.
pub fn sixty_four_lanes() -> Finding {
    let rungs = Rungs::new();
    let mut memory = rungs.compiled.cold_start();
    let mut lanes = rungs.compiled.lanes(&memory);
    let mut states: [straight::State; 64] = std::array::from_fn(|_| straight::START);
    // Every lane goes through the same inputs with a start of its own.
    let images = |scan: usize| {
        transpose(&std::array::from_fn(|lane| rungs.inputs[(scan + lane * 31) % rungs.inputs.len()]))
    };
    let all: Vec<[u64; 64]> = (0..COMPARED as usize).map(images).collect();
    for images in &all {
        let outputs = transpose(&rungs.compiled.scan_lanes(&mut lanes, images));
        let images = transpose(images);
        for (lane, state) in states.iter_mut().enumerate() {
            assert!(outputs[lane] == straight::scan(state, images[lane]), "lane {lane} must agree");
        }
    }
    let mut turns = all.iter().cycle();
    let mut scan = |_| black_box(rungs.compiled.scan_lanes(&mut lanes, turns.next().unwrap()))[0];
    let mut baseline = |image| rungs.compiled.scan(&mut memory, image);
    let [value, baseline] = rungs.fastest([&mut scan, &mut baseline]);
    Finding { value, unit: "ns/contact", baseline: Some(("one-lane", baseline)), also: Vec::new() }
}
