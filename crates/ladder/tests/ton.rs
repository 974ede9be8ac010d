//! TON by its definition in IEC 61131-3: a rising IN starts the time; Q is 1 once IN has been 1 for PT; IN at 0 puts Q and
//! ET to 0; ET stops at PT. Time passes from scan to scan by the scan period.

use sealin_ladder::{Compiled, Figures, compile, parse};

fn timer(preset: &str, period_ms: u32) -> Compiled {
    let source = format!(
        "PROGRAM p VAR a AT %IX0.0 : BOOL; q AT %QX0.0 : BOOL; early AT %QX0.1 : BOOL; t : TON; END_VAR
         early := t.Q;
         t(IN := a, PT := {preset});
         q := t.Q;
         END_PROGRAM"
    );
    compile(&parse(&source).expect("no errors"), period_ms)
}

/// IN scan by scan, with the expected Q and ET after each.
fn check(preset: &str, period_ms: u32, scans: &[(u64, u64, i32)]) {
    let compiled = timer(preset, period_ms);
    let mut memory = compiled.cold_start();
    let mut before = 0;
    for (index, (input, q, elapsed_ms)) in scans.iter().enumerate() {
        let outputs = compiled.scan(&mut memory, *input);
        assert_eq!(outputs & 1, *q, "{preset} at {period_ms} ms: Q in scan {index}");
        assert_eq!(
            outputs >> 1,
            before,
            "{preset}: a rung above the timer sees Q of the scan before, scan {index}"
        );
        let elapsed = compiled.figures(&memory, "T").expect("a timer").value;
        assert_eq!(elapsed, *elapsed_ms, "{preset} at {period_ms} ms: ET in scan {index}");
        before = *q;
    }
}

#[test]
fn a_multiple_of_the_period() {
    check(
        "T#15ms",
        5,
        &[(0, 0, 0), (1, 0, 0), (1, 0, 5), (1, 0, 10), (1, 1, 15), (1, 1, 15), (0, 0, 0), (0, 0, 0)],
    );
}

#[test]
fn between_two_scans_the_time_is_up_at_the_later() {
    check("T#11ms", 5, &[(1, 0, 0), (1, 0, 5), (1, 0, 10), (1, 1, 11), (1, 1, 11)]);
    check("T#1ms", 5, &[(1, 0, 0), (1, 1, 1)]);
}

#[test]
fn no_time_is_up_at_once() {
    check("T#0ms", 5, &[(0, 0, 0), (1, 1, 0), (1, 1, 0), (0, 0, 0), (1, 1, 0)]);
}

#[test]
fn an_interruption_starts_the_time_anew() {
    check(
        "T#10ms",
        5,
        &[(1, 0, 0), (1, 0, 5), (0, 0, 0), (1, 0, 0), (1, 0, 5), (1, 1, 10), (0, 0, 0), (1, 0, 0)],
    );
}

#[test]
fn the_longest_time_does_not_overflow() {
    let compiled = timer("T#2147483647ms", 1);
    let mut memory = compiled.cold_start();
    for _ in 0..1000 {
        compiled.scan(&mut memory, 1);
    }
    assert_eq!(compiled.figures(&memory, "t"), Some(Figures { value: 999, preset: 2_147_483_647 }));
    assert!(!compiled.quiet(&memory));
}

#[test]
fn quiet_is_at_rest_or_up() {
    let compiled = timer("T#10ms", 5);
    let mut memory = compiled.cold_start();
    let quiet: Vec<bool> = [0, 1, 1, 1, 1, 0]
        .into_iter()
        .map(|input| {
            compiled.scan(&mut memory, input);
            compiled.quiet(&memory)
        })
        .collect();
    assert_eq!(quiet, [true, false, false, true, true, true]);
}

#[test]
fn quiet_and_unchanged_is_a_fixed_point() {
    let compiled = timer("T#10ms", 5);
    let mut memory = compiled.cold_start();
    for _ in 0..5 {
        compiled.scan(&mut memory, 1);
    }
    let before = memory.clone();
    compiled.scan(&mut memory, 1);
    assert!(compiled.quiet(&memory) && memory == before);
}

#[test]
fn what_a_new_program_takes_over() {
    let source = |extra: &str, preset: &str| {
        format!(
            "PROGRAM p VAR a AT %IX0.0 : BOOL; {extra} hold : BOOL; t : TON; END_VAR VAR RETAIN kept : BOOL; END_VAR
             IF a THEN HOLD := TRUE; END_IF;
             IF a THEN kept := TRUE; END_IF;
             T(IN := a, PT := {preset});
             END_PROGRAM"
        )
    };
    let old = compile(&parse(&source("", "T#20ms")).expect("no errors"), 5);
    let mut memory = old.cold_start();
    for _ in 0..4 {
        old.scan(&mut memory, 1);
    }
    assert_eq!(old.figures(&memory, "t"), Some(Figures { value: 15, preset: 20 }));

    let next = compile(&parse(&source("fresh : BOOL := TRUE; other : TON;", "T#1s")).expect("no errors"), 5);
    let carried = next.carry(&old, &memory);
    assert_eq!(next.value(&carried, "hold"), Some(true));
    assert_eq!(next.value(&carried, "fresh"), Some(true));
    assert_eq!(next.value(&carried, "t.IN"), Some(true));
    assert_eq!(next.figures(&carried, "t"), Some(Figures { value: 15, preset: 1000 }));
    assert_eq!(next.figures(&carried, "other"), Some(Figures { value: 0, preset: 0 }));

    // The preset time has become shorter than what has passed: the time is up.
    let next = compile(&parse(&source("", "T#8ms")).expect("no errors"), 5);
    let carried = next.carry(&old, &memory);
    assert_eq!(
        (next.figures(&carried, "t"), next.value(&carried, "t.Q")),
        (Some(Figures { value: 8, preset: 8 }), Some(true))
    );

    // Another kind under the same name starts anew.
    let next =
        compile(&parse("PROGRAM p VAR t : BOOL; hold : TON; END_VAR END_PROGRAM").expect("no errors"), 5);
    assert_eq!(next.carry(&old, &memory), next.cold_start());

    // Onto itself nothing changes; a warm restart keeps what is retained, a cold one nothing.
    assert_eq!(old.carry(&old, &memory), memory);
    let warm = old.warm_start(&memory);
    assert_eq!((old.value(&warm, "kept"), old.value(&warm, "hold")), (Some(true), Some(false)));
    assert_eq!(old.figures(&warm, "t"), Some(Figures { value: 0, preset: 20 }));
}
