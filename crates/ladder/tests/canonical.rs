//! The bytes of a program's meaning, worked out by hand from the description of the form.

use sealin_ladder::generate::{Shape, program};
use sealin_ladder::{Program, canonical_bytes, parse, print};

fn bytes(source: &str) -> Vec<u8> {
    of(&parse(source).expect("no errors"))
}

fn of(program: &Program) -> Vec<u8> {
    let mut out = Vec::new();
    canonical_bytes(program, &mut out);
    out
}

#[test]
fn golden() {
    let source =
        "PROGRAM p VAR a AT %IX1.2 : BOOL; q AT %QX0.7 : BOOL := TRUE; END_VAR VAR RETAIN t : TON; END_VAR
        t(IN := a OR NOT q, PT := T#300ms); IF a AND TRUE THEN q := FALSE; END_IF; END_PROGRAM";
    let expected = [
        1, // version
        1, b'p', // name
        3,    // variables
        1, b'a', 1, 1, 2, 0, 0, 0, // name, input, byte, bit, BOOL, initial, retain
        1, b'q', 2, 0, 7, 0, 1, 0, // output
        1, b't', 0, 1, 0, 1, // no address, TON, retain
        2, // rungs
        3, 2, 0, 1, b'a', 1, 1, b'q', // parallel of two: open a, closed q
        4, 1, b't', 0xac, 2, // timer t, 300 = 0b10_0101100
        2, 2, 0, 1, b'a', 4, // series of two: open a, link
        3, 1, b'q', // reset q
    ];
    assert_eq!(bytes(source), expected);
}

#[test]
fn golden_of_blocks_edges_and_comparisons() {
    let source =
        "PROGRAM p VAR a AT %IX0.0 : BOOL; q : BOOL; k : CTU; edge_1 : F_TRIG; edge_2 : R_TRIG; END_VAR
        k(CU := a, PV := -2);
        edge_1(CLK := a); edge_2(CLK := edge_1.Q AND k.CV >= 300); q := edge_2.Q;
        q := k.CV = k.CV; END_PROGRAM";
    let mut expected = vec![
        1, // version
        1, b'p', 3, // name, variables: the edges are none
        1, b'a', 1, 0, 0, 0, 0, 0, 1, b'q', 0, 0, 0, 0, 1, b'k', 0, 4, 0, 0, // input, bit, CTU
        3, // rungs
        0, 1, b'a', 10, 1, b'k', 0, 0xfe, 0xff, // open a; CTU k, R left open, PV -2 in two bytes
        2, 2, 7, 1, b'a', // series of two: falling a,
    ];
    expected.extend([8, 4]); // and a comparison
    expected.extend(b"k.CV");
    expected.extend([3, 1, 0x2c, 1]); // at least, count, 300
    expected.extend([5, 1, b'q']); // rising-edge coil q
    expected.extend([8, 4]);
    expected.extend(b"k.CV");
    expected.extend([4, 2, 4]); // equal, value
    expected.extend(b"k.CV");
    expected.extend([0, 1, b'q']); // coil q
    assert_eq!(bytes(source), expected);
}

#[test]
fn comments_layout_and_case_of_words_do_not_count() {
    let plain = bytes("PROGRAM p VAR a:BOOL; END_VAR a := a AND NOT (a OR a); END_PROGRAM");
    let other = bytes(
        "(* x *) program p\nvar A2 : bool; end_var var\n a // y\n : BOOL;\nEND_VAR\na := A and (not a & NOT a); end_program",
    );
    assert_ne!(plain, other);
    let same = bytes(
        "(* x *) program p\nvar\n a // y\n : bool;\nEND_VAR\n\na := A and (not a & NOT a); end_program",
    );
    assert_eq!(plain, same);
}

#[test]
fn different_programs_give_different_bytes() {
    let mut seen = std::collections::BTreeMap::new();
    for seed in 0..500 {
        let mut program = program(seed, &Shape::SMALL);
        let with_comments = of(&program);
        program.vars.iter_mut().for_each(|var| var.comment.clear());
        program.rungs.iter_mut().for_each(|rung| rung.comment.clear());
        let bytes = of(&program);
        assert_eq!(bytes, with_comments);
        let text = print(&program);
        if let Some(other) = seen.insert(bytes, text.clone()) {
            assert_eq!(other, text);
        }
    }
    assert_eq!(seen.len(), 500);
}
