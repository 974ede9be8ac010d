//! A packed memory decides what follows.

use sealin_ladder::generate::{Shape, input_sequence, program};
use sealin_ladder::{compile, print};

/// One memory goes on as it is, another from a cold start and what was packed: both give the same outputs, scan by scan, and
/// are packed alike again. Programs with every block, edges, comparisons and counters.
#[test]
fn what_is_packed_decides_what_follows() {
    let mut widest = 0;
    for seed in 0..300 {
        let program = program(seed, &Shape { timers: 3, counters: 3, ..Shape::SMALL });
        let compiled = compile(&program, 10);
        let packing = compiled.packing();
        widest = widest.max(packing.width());
        let mut memory = compiled.cold_start();
        for inputs in input_sequence(seed, 4, 60) {
            let words = packing.pack(&memory);
            assert_eq!(words.len() as u32, packing.width().div_ceil(64));
            let mut other = compiled.cold_start();
            packing.unpack(&words, &mut other);
            assert_eq!(words, packing.pack(&other));
            let outputs = compiled.scan(&mut memory, inputs);
            assert_eq!(outputs, compiled.scan(&mut other, inputs), "{}", print(&program));
        }
    }
    assert!(widest > 64, "{widest} bits at most: no memory of several words was tried");
}

/// A counter far below nil and a timer as wide as a counter come back as they were.
#[test]
fn signs_and_long_times_come_back() {
    let text = "PROGRAM p VAR a AT %IX0.0 : BOOL; b : BOOL; down : CTD; long : TON; END_VAR
        down(CD := a, PV := 3); long(IN := NOT a, PT := T#400s);
        b := down.CV > -2 AND long.ET < T#395s; END_PROGRAM";
    let compiled = compile(&sealin_ladder::parse(text).expect("it parses"), 10);
    let packing = compiled.packing();
    let mut memory = compiled.cold_start();
    for scan in 0..40_000u64 {
        compiled.scan(&mut memory, if scan < 100 { scan & 1 } else { 0 });
        let words = packing.pack(&memory);
        let mut other = compiled.cold_start();
        packing.unpack(&words, &mut other);
        assert_eq!(memory.counts(), other.counts());
    }
    assert_eq!(compiled.number(&memory, "down.CV"), Some(-50));
    assert_eq!(compiled.number(&memory, "long.ET"), Some(399_000 - 10));
}
