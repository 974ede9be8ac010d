//! The two programs of the paddle gear job: read, printed, run. Expectations are worked out by hand from the rungs.

use sealin_ladder::{Block, Call, Compiled, Figures, Memory, Output, compile, parse, print, read};

const OPEN_LOOP: &str = include_str!("cases/paddle/open-loop.st");
const REFERENCE: &str = include_str!("cases/paddle/reference.st");

const SF1: u64 = 1 << 0;
const SF2: u64 = 1 << 1;
const SF3: u64 = 1 << 2;
const QA1_IN: u64 = 1 << 4;
const FC1: u64 = 1 << 6;
const QA1_OUT: u64 = 1 << 0;
const QA2_OUT: u64 = 1 << 1;
const PF1_OUT: u64 = 1 << 4;

fn scans(compiled: &Compiled, memory: &mut Memory, inputs: u64, count: u32) -> u64 {
    (0..count).map(|_| compiled.scan(memory, inputs)).last().unwrap_or(0)
}

#[test]
fn both_are_read_and_print_to_the_same_program() {
    for source in [OPEN_LOOP, REFERENCE] {
        let program = parse(source).expect("no errors");
        assert_eq!(program.name, "paddle");
        assert_eq!(parse(&print(&program)).expect("no errors"), program);
    }
}

#[test]
fn comments_stay_with_their_rung_and_variable() {
    let program = parse(REFERENCE).expect("no errors");
    assert_eq!(program.vars[0].comment, "STOP, break contact: 1 = not pressed and wire whole");
    assert_eq!(program.vars[6].comment, "");
    assert_eq!(program.vars[11].comment, "the next press counts");
    assert_eq!(
        program.rungs[2].comment,
        "3\nboth pressed: neither counts\nlet go before QA1 answered: start again"
    );
    assert_eq!(program.rungs[1].output, Output::Block(Call::timer("rest", Block::Ton, 200)));
    assert_eq!(program.rungs[5].comment, "6");
    assert_eq!(read(REFERENCE).rung_places[2].line, 19);
}

#[test]
fn the_open_loop_holds_itself_whatever_the_contactor_does() {
    let compiled = compile(&parse(OPEN_LOOP).expect("no errors"), 5);
    let mut memory = compiled.cold_start();
    assert_eq!(scans(&compiled, &mut memory, SF1, 3), 0);
    assert_eq!(scans(&compiled, &mut memory, SF1 | SF2, 1), QA1_OUT);
    assert_eq!(scans(&compiled, &mut memory, SF1, 1000), QA1_OUT);
    // The first rung is evaluated first, so the second sees its coil in the same scan.
    assert_eq!(scans(&compiled, &mut memory, SF1 | SF3, 1), QA1_OUT);
    assert_eq!(scans(&compiled, &mut memory, 0, 1), 0);
    assert_eq!(scans(&compiled, &mut memory, SF1 | SF2 | SF3, 1), QA1_OUT);
}

#[test]
fn the_reference_needs_200_ms_of_rest_a_press_and_the_answer() {
    let compiled = compile(&parse(REFERENCE).expect("no errors"), 5);
    let mut memory = compiled.cold_start();
    // 200 ms are 40 scans after the one in which IN rose.
    scans(&compiled, &mut memory, SF1, 40);
    assert_eq!(compiled.value(&memory, "fresh"), Some(false));
    assert_eq!(compiled.figures(&memory, "rest"), Some(Figures { value: 195, preset: 200 }));
    assert!(!compiled.quiet(&memory));
    scans(&compiled, &mut memory, SF1, 1);
    assert_eq!(compiled.value(&memory, "rest.Q"), Some(true));
    assert_eq!(compiled.value(&memory, "FRESH"), Some(true));
    assert!(compiled.quiet(&memory));
    assert_eq!(scans(&compiled, &mut memory, SF1 | SF2, 3), QA1_OUT);
    assert_eq!(scans(&compiled, &mut memory, SF1 | SF2 | QA1_IN, 5), QA1_OUT);
    assert_eq!(scans(&compiled, &mut memory, SF1 | QA1_IN, 100), QA1_OUT);
    assert_eq!(scans(&compiled, &mut memory, SF1 | QA1_IN | SF3, 10), QA1_OUT);
    assert_eq!(scans(&compiled, &mut memory, SF1 | FC1, 1), PF1_OUT);
    // Reset while the button is held: nothing starts until it is let go and all has rested.
    assert_eq!(scans(&compiled, &mut memory, SF1 | SF2, 500), 0);
    scans(&compiled, &mut memory, SF1, 41);
    assert_eq!(scans(&compiled, &mut memory, SF1 | SF3, 1), QA2_OUT);
    // The answer does not come, and the button is let go.
    assert_eq!(scans(&compiled, &mut memory, SF1, 1), 0);
}
