//! What a person is told about a text that is wrong: line, column, what was expected, what to try. Places are counted by
//! hand. Every error of a text comes in one reading, and what is right beside it is still read.

use sealin_ladder::{MAX_DIAGNOSTICS, Severity, parse, read};

/// Line 1 to 4 of every text below; the statement under test begins in line 5.
const HEAD: &str = "PROGRAM p
VAR
    a AT %IX0.0 : BOOL; q AT %QX0.0 : BOOL; fresh : BOOL; t : TON; n : CTU; ud : CTUD; b1 : SR; e : R_TRIG; first_scan : BOOL; edge_1 : R_TRIG;
END_VAR
";

/// Statement; line, column and message of each error, the first one's hint.
type Case = (&'static str, &'static [(u32, u32, &'static str)], Option<&'static str>);

/// Text; line, column and message of each error.
type Framed = (&'static str, &'static [(u32, u32, &'static str)]);

const STATEMENTS: &[Case] = &[
    (
        "q := a AND NOT fresh AND;",
        &[(5, 25, "a name or NOT is expected")],
        Some("the rung ends with AND; take it away or go on"),
    ),
    (
        "q := a\n    AND NOT fresh AND\n\nfresh := a;",
        &[(6, 22, "a name or NOT is expected")],
        Some("the rung ends with AND; take it away or go on"),
    ),
    (
        "q := NOT;",
        &[(5, 9, "a name or NOT is expected")],
        Some("the rung ends with NOT; take it away or go on"),
    ),
    (
        "q := a OR AND a;",
        &[(5, 11, "a name or NOT is expected")],
        Some("the text breaks off after OR; take it away or go on"),
    ),
    ("q := ;", &[(5, 6, "a name or NOT is expected")], None),
    ("q := (a OR fresh;", &[(5, 17, ") is expected")], Some("the ( of column 6 is still open")),
    ("q := (a OR\n fresh;", &[(6, 7, ") is expected")], Some("the ( of line 5, column 6 is still open")),
    ("q := (a fresh);", &[(5, 9, "AND, OR or ) is expected")], Some("the ( of column 6 is still open")),
    ("q := a OR fresh);", &[(5, 16, "; is expected")], Some("there is one ) too many")),
    ("q := a fresh;", &[(5, 8, "AND, OR or ; is expected")], None),
    ("q := a\nfresh := a;", &[(5, 7, "; is expected")], None),
    ("q = a;", &[(5, 3, ":= is expected")], Some("an assignment is written :=")),
    ("a := q;", &[(5, 1, "a is the input %IX0.0 and cannot be written")], None),
    ("IF q THEN a := TRUE; END_IF;", &[(5, 11, "a is the input %IX0.0 and cannot be written")], None),
    ("q := a XOR fresh;", &[(5, 8, "XOR cannot be drawn as a rung")], None),
    ("q := a = TRUE;", &[(5, 8, "= cannot be drawn as a rung")], Some("a bit stands alone: a, or NOT a")),
    (
        "q := a + fresh;",
        &[(5, 8, "+ cannot be drawn as a rung")],
        Some(
            "a rung calculates nothing: it has AND, OR, NOT and parentheses, and compares counts and durations",
        ),
    ),
    ("q := fresch;", &[(5, 6, "fresch is not declared")], Some("is fresh meant?")),
    (
        "q := motor;",
        &[(5, 6, "motor is not declared")],
        Some("declare it between VAR and END_VAR, as motor : BOOL;"),
    ),
    ("motor := a;", &[(5, 1, "motor is not declared")], None),
    (
        "q := t;",
        &[(5, 6, "t.Q is expected")],
        Some("t is a timer; a contact reads its output or compares t.ET"),
    ),
    (
        "q := t.ET;",
        &[(5, 10, "a comparison is expected")],
        Some("t.ET is a duration: compare it, as t.ET >= T#2s"),
    ),
    ("q := a.Q;", &[(5, 7, "AND, OR or ; is expected: a is a BOOL and has no pins")], None),
    ("q := %IX0.0;", &[(5, 6, "a name is expected")], Some("%IX0.0 is a")),
    ("q := %IX3.0;", &[(5, 6, "a name is expected")], Some("declare it: name AT %IX3.0 : BOOL;")),
    ("q := 5;", &[(5, 6, "a name or NOT is expected, not 5")], None),
    ("t := a;", &[(5, 1, "a BOOL is expected on the left; t is a timer")], None),
    ("t.IN := a;", &[(5, 1, "a variable is expected on the left")], None),
    ("q(IN := a);", &[(5, 1, ":= is expected after q, which is a BOOL")], None),
    ("t(IN := a);", &[(5, 10, "PT := and a duration is expected")], None),
    ("t(PT := T#1s);", &[(5, 13, "IN := and what starts the timer is expected")], None),
    (
        "t(IN := a, PT := 200);",
        &[(5, 18, "a duration such as T#200ms is expected")],
        Some("PT is a figure in the program and stays as it is"),
    ),
    ("t(IN := a PT := T#1s);", &[(5, 11, ", or ) is expected")], None),
    ("t(IN := a, IN := a, PT := T#1s);", &[(5, 12, "IN is given twice")], None),
    ("t(a, T#1s);", &[(5, 3, "IN := or PT := is expected")], None),
    (
        "t(IN := a, PT := T#1s, Q => q);",
        &[(5, 24, "Q => cannot be drawn as a rung")],
        Some("read t.Q in the rung that needs it"),
    ),
    (
        "t(IN := a, PT := T#1s);\nt(IN := q, PT := T#2s);",
        &[(6, 1, "t is called already, in line 5")],
        Some("declare another TON for it"),
    ),
    ("u(IN := a, PT := T#1s);", &[(5, 1, "u is not declared")], None),
    ("IF a THEN q := fresh; END_IF;", &[(5, 11, "this IF cannot be drawn as a rung")], None),
    (
        "IF a THEN q := TRUE; ELSE q := FALSE; END_IF;",
        &[(5, 22, "END_IF is expected: a rung drives one coil")],
        None,
    ),
    ("IF a q := TRUE; END_IF;", &[(5, 6, "AND, OR or THEN is expected")], None),
    ("IF a THEN q := TRUE; END_IF", &[(5, 28, "; is expected")], None),
    ("FOR i := 1 TO 5 DO q := a; END_FOR;", &[(5, 1, "FOR cannot be drawn as a rung")], None),
    (
        "WHILE a DO WHILE q DO q := a; END_WHILE; END_WHILE;",
        &[(5, 1, "WHILE cannot be drawn as a rung")],
        None,
    ),
    (
        "q := a AND £€ fresh;",
        &[(5, 12, "£€ has no meaning here; a name, a mark or a number is expected")],
        None,
    ),
    (
        "größe := a;",
        &[(5, 3, "öß has no meaning here; a name, a mark or a number is expected"), (5, 1, "")],
        None,
    ),
    ("END_IF;", &[(5, 1, "a rung or END_PROGRAM is expected")], Some("END_IF is a word of the language")),
    (
        ":= a;",
        &[(5, 1, "a rung or END_PROGRAM is expected")],
        Some("a rung begins with the name that it drives"),
    ),
    ("(* no end", &[(5, 1, "the comment that begins here has no end; *) is expected"), (0, 0, "")], None),
    ("q := a; *)", &[(5, 9, "*) ends a comment that was not begun; (* is expected before it")], None),
];

/// Calls of blocks and comparisons.
const BLOCKS: &[Case] = &[
    (
        "q := n;",
        &[(5, 6, "n.Q is expected")],
        Some("n is a counter; a contact reads its output or compares n.CV"),
    ),
    ("q := b1;", &[(5, 6, "b1.Q1 is expected")], Some("b1 is a bistable; a contact reads its output")),
    (
        "q := ud.Q;",
        &[(5, 8, "ud.QU or ud.QD is expected")],
        Some("a contact reads ud.QU or ud.QD or compares ud.CV"),
    ),
    ("q := b1.Q;", &[(5, 8, "b1.Q1 is expected")], Some("a contact reads b1.Q1")),
    ("q := e.CV;", &[(5, 7, "e.Q is expected")], Some("a contact reads e.Q")),
    ("q := n.CU;", &[(5, 7, "n.Q is expected")], Some("CU is an input of n; read what drives it")),
    ("q := n.PV;", &[(5, 7, "n.Q is expected")], Some("a contact reads n.Q or compares n.CV")),
    ("q := n.;", &[(5, 8, "a pin such as Q is expected")], None),
    (
        "n(R := a, PV := 5);",
        &[(5, 18, "CU := and what counts up is expected")],
        Some("CU := FALSE if it is not used"),
    ),
    ("n(CU := a, R := a);", &[(5, 18, "PV := and a count is expected")], None),
    ("b1(R := a);", &[(5, 10, "S1 := and what sets the bit is expected")], None),
    ("e(CLOCK := a);", &[(5, 3, "CLK is expected, not CLOCK")], None),
    ("n(CU := a, CD := a, PV := 5);", &[(5, 12, "CU, R or PV is expected, not CD")], None),
    (
        "b1(S := a, R1 := q);",
        &[(5, 4, "S1 or R is expected, not S"), (5, 12, "S1 or R is expected, not R1")],
        None,
    ),
    ("n(CU := a, R := q, R := a, PV := 5);", &[(5, 20, "R is given twice")], None),
    ("n(CU := a, PV := 5, PV := 6);", &[(5, 21, "PV is given twice")], None),
    ("n(CU := a, PV := T#5s);", &[(5, 18, "a count such as 5 is expected")], None),
    (
        "n(CU := a, PV := fresh);",
        &[(5, 18, "a count such as 5 is expected")],
        Some("PV is a figure in the program and stays as it is"),
    ),
    ("n(CU := a, PV := 32768);", &[(5, 18, "a count from -32768 to 32767 is expected")], None),
    ("n(CU := a, PV := -32769);", &[(5, 18, "a count from -32768 to 32767 is expected")], None),
    ("n(CU := a, PV := 5.0);", &[(5, 18, "a whole number is expected")], None),
    ("n(CU := a, PV := INT#);", &[(5, 18, "a whole number is expected")], None),
    ("n(CU := a, PV := 2#102);", &[(5, 18, "a whole number is expected")], None),
    (
        "n(CU := a, PV := 99999999999999999999999);",
        &[(5, 18, "a count from -32768 to 32767 is expected")],
        None,
    ),
    (
        "n(CU := a, PV := 5, CV => q);",
        &[(5, 21, "CV => cannot be drawn as a rung")],
        Some("compare n.CV in the rung that needs it"),
    ),
    ("n(a, 5);", &[(5, 3, "CU :=, R := or PV := is expected")], Some("as in n(CU := …, R := …, PV := 5);")),
    ("n(CU := a, PV := 5) AND a;", &[(5, 21, "; is expected")], None),
    (
        "n(CU := zz, R := yy, PV := x);",
        &[
            (5, 9, "zz is not declared"),
            (5, 18, "yy is not declared"),
            (5, 28, "a count such as 5 is expected"),
        ],
        None,
    ),
    (
        "k(CU := a, PV := 5);",
        &[(5, 1, "k is not declared")],
        Some("declare a counter between VAR and END_VAR, as k : CTU;"),
    ),
    (
        "k(CLK := a);",
        &[(5, 1, "k is not declared")],
        Some("declare an edge detector between VAR and END_VAR, as k : R_TRIG;"),
    ),
    (
        "n := a;",
        &[(5, 1, "a BOOL is expected on the left; n is a counter")],
        Some("a counter is called: n(CU := …, R := …, PV := 5);"),
    ),
    (
        "n(CU := a, PV := 1);\nn(CU := q, PV := 2);",
        &[(6, 1, "n is called already, in line 5")],
        Some("declare another CTU for it"),
    ),
    // Comparisons.
    ("q := n.CV;", &[(5, 10, "a comparison is expected")], Some("n.CV is a count: compare it, as n.CV >= 5")),
    ("q := a AND (n.CV OR a);", &[(5, 18, "a comparison is expected")], None),
    ("q := n.CV >= T#5s;", &[(5, 14, "a count such as 5 is expected")], Some("n.CV is a count")),
    ("q := t.ET >= 5;", &[(5, 14, "a duration such as T#200ms is expected")], Some("t.ET is a duration")),
    ("q := t.ET < n.CV;", &[(5, 13, "a duration such as T#200ms is expected")], None),
    ("q := 5 < t.ET;", &[(5, 10, "a count such as 5 is expected")], None),
    (
        "q := n.CV >= a;",
        &[(5, 14, "a count such as 5 is expected")],
        Some("n.CV is a count, and is compared with another"),
    ),
    ("q := n.CV = TRUE;", &[(5, 13, "a count such as 5 is expected")], None),
    (
        "q := a >= 5;",
        &[(5, 6, "the CV of a counter is expected")],
        Some(">= compares counts and durations; a bit is read by its name"),
    ),
    ("q := a OR fresh < T#1s;", &[(5, 11, "the ET of a timer is expected")], None),
    (
        "q := a <> fresh;",
        &[(5, 8, "<> cannot be drawn as a rung")],
        Some("a and b differ: a AND NOT b OR NOT a AND b"),
    ),
    (
        "q := a = fresh;",
        &[(5, 8, "= cannot be drawn as a rung")],
        Some("a and b are equal: a AND b OR NOT a AND NOT b"),
    ),
    (
        "q := a > fresh;",
        &[(5, 8, "> cannot be drawn as a rung")],
        Some("a rung compares counts and durations; bits are joined by AND, OR and NOT"),
    ),
    (
        "q := 5 > 3;",
        &[(5, 6, "the CV of a counter is expected")],
        Some("two figures compare the same for ever"),
    ),
    ("q := T#1s = T#2s;", &[(5, 6, "the ET of a timer is expected")], None),
    ("q := 1 < n.CV < 5;", &[(5, 15, "< cannot be drawn as a rung")], Some("join two comparisons with AND")),
    ("q := n.CV >= 5 = TRUE;", &[(5, 16, "= cannot be drawn as a rung")], None),
    ("q := n.CV + 1 >= 5;", &[(5, 11, "+ cannot be drawn as a rung")], None),
    ("q := n.CV >= 2 * 3;", &[(5, 16, "* cannot be drawn as a rung")], None),
    (
        "q := n.CV MOD 2 = 0 AND zz;",
        &[(5, 11, "MOD cannot be drawn as a rung"), (5, 25, "zz is not declared")],
        None,
    ),
    ("q := n.CV >=;", &[(5, 13, "a count or a duration is expected")], Some("nothing stands after >=")),
    ("q := n.CV >= 40000;", &[(5, 14, "a count from -32768 to 32767 is expected")], None),
    ("q := n.CV >= 5s;", &[(5, 14, "a whole number is expected")], None),
    ("q := t.ET >= T#5;", &[(5, 14, "a unit is expected after the number: d, h, m, s or ms")], None),
    (
        "q := NOT n.CV >= 5;",
        &[(5, 6, "a bit or ( is expected after NOT, not n.CV")],
        Some("NOT takes what stands next to it: NOT (n.CV >= …), or n.CV < …"),
    ),
    ("q := -5;", &[(5, 6, "a name or NOT is expected, not -5")], None),
    ("q := - a;", &[(5, 6, "a name or NOT is expected")], None),
    ("q := n.CV >= x.CV;", &[(5, 14, "x is not declared")], None),
    ("IF n.CV >= 5 XOR a THEN q := TRUE; END_IF;", &[(5, 14, "XOR cannot be drawn as a rung")], None),
];

/// Edges of rungs, and the first-scan bit.
const EDGES: &[Case] = &[
    (
        "edge_1(CLK := a);",
        &[(5, 1, "edge_1.Q in the next rung is expected")],
        Some("an edge belongs to the rung behind it: … AND edge_1.Q"),
    ),
    ("edge_1(CLK := a);\nq := a;\nfresh := q;", &[(5, 1, "edge_1.Q in the next rung is expected")], None),
    (
        "q := edge_1.Q;",
        &[(5, 6, "a call of edge_1 is expected directly before this rung")],
        Some("as in edge_1(CLK := SF2_in);"),
    ),
    (
        "edge_1(CLK := a);\nq := edge_1.Q;\nfresh := edge_1.Q;",
        &[(7, 10, "a call of edge_1 is expected directly before this rung")],
        Some("it is called in line 5, for another rung; call another edge for this one"),
    ),
    (
        "q := edge_5.Q;",
        &[(5, 6, "a call of edge_5 is expected directly before this rung")],
        Some("declare it between VAR and END_VAR, as edge_5 : R_TRIG; and call it"),
    ),
    (
        "edge_5(CLK := a); q := edge_5.Q;",
        &[(5, 1, "edge_5 is not declared")],
        Some("declare it between VAR and END_VAR, as edge_5 : R_TRIG;"),
    ),
    (
        "edge_1(CLK := a);\nq := edge_1.Q AND EDGE_1.Q;",
        &[(6, 19, "EDGE_1.Q is read already")],
        Some("one call, one contact: call another edge, or declare an R_TRIG with another name"),
    ),
    (
        "edge_1(CLK := a);\nq := edge_1.Q;\nedge_1(CLK := q); fresh := edge_1.Q;",
        &[(7, 1, "edge_1 is called already, in line 5")],
        Some("give it the next number that is free"),
    ),
    (
        "edge_1(CLK := a); q := edge_1;",
        &[(5, 24, "edge_1.Q is expected")],
        Some("edge_1 is an edge contact; the rung reads edge_1.Q"),
    ),
    ("edge_1(CLK := a); q := edge_1.M;", &[(5, 24, "edge_1.Q is expected")], None),
    (
        "edge_1(CLK := a); q := fresh AND NOT edge_1.Q;",
        &[(5, 38, "NOT over the edge edge_1.Q cannot be drawn")],
        Some("give the edge a bit of its own, pulse := edge_1.Q; and read NOT pulse"),
    ),
    (
        "edge_1(CLK := a); q := fresh AND NOT (zz OR edge_1.Q);",
        &[(5, 39, "zz is not declared"), (5, 45, "NOT over the edge edge_1.Q cannot be drawn")],
        None,
    ),
    (
        "edge_1(CLK := a AND fresh); q := edge_1.Q AND a;",
        &[(5, 34, "the edge edge_1.Q of a rung cannot be drawn as a contact")],
        Some("a contact watches one name, edge_1(CLK := a); a coil takes the edge of a rung, q := edge_1.Q;"),
    ),
    (
        "edge_1(CLK := NOT a); IF edge_1.Q THEN q := TRUE; END_IF;",
        &[(5, 26, "the edge edge_1.Q of a rung cannot be drawn as a contact")],
        None,
    ),
    (
        "edge_1(IN := a); q := edge_1.Q;",
        &[(5, 8, "CLK := is expected")],
        Some("as in edge_1(CLK := SF2_in);"),
    ),
    ("edge_1(); q := edge_1.Q;", &[(5, 8, "CLK := is expected")], None),
    (
        "edge_1(CLK := zz); q := edge_1.Q AND yy;",
        &[(5, 15, "zz is not declared"), (5, 38, "yy is not declared")],
        None,
    ),
    ("edge_1(CLK := a, Q => q); q := edge_1.Q;", &[(5, 16, "AND, OR or ) is expected")], None),
    ("edge_1(CLK := a;\nq := edge_1.Q;", &[(5, 16, "AND, OR or ) is expected")], None),
    ("edge_1(CLK := a)\nq := edge_1.Q;", &[(5, 17, "; is expected")], None),
    ("edge_1(CLK := );\nq := edge_1.Q;", &[(5, 15, "a name or NOT is expected")], None),
    (
        "edge_1 := a;",
        &[(5, 1, "edge_1 cannot be written")],
        Some("edge_1 is the edge contact of a rung; drive another name"),
    ),
    ("IF a THEN edge_1 := TRUE; END_IF;", &[(5, 11, "edge_1 cannot be written")], None),
    ("edge_1.CLK := a;", &[(5, 1, "a variable is expected on the left")], None),
    (
        "First_Scan := a;",
        &[(5, 1, "first_scan cannot be written")],
        Some("the controller sets it in the first scan after a restart"),
    ),
    ("IF a THEN first_scan := FALSE; END_IF;", &[(5, 11, "first_scan cannot be written")], None),
];

#[test]
fn statements() {
    for (statement, expected, hint) in STATEMENTS.iter().chain(BLOCKS).chain(EDGES) {
        let errors = parse(&format!("{HEAD}{statement}\nEND_PROGRAM\n")).expect_err(statement);
        for (line, column, message) in expected.iter().filter(|(_, _, message)| !message.is_empty()) {
            let found = errors.iter().find(|error| (error.line, error.column) == (*line, *column));
            let found =
                found.unwrap_or_else(|| panic!("{statement}: nothing at {line}, {column}: {errors:?}"));
            assert_eq!(found.message, *message, "{statement}");
            if hint.is_some() {
                assert_eq!(found.hint.as_deref(), *hint, "{statement}");
            }
            assert_eq!(found.severity, Severity::Error);
        }
        // An empty message above stands for whatever else follows from the first.
        if expected.iter().all(|(_, _, message)| !message.is_empty()) {
            assert_eq!(errors.len(), expected.len(), "{statement}: {errors:?}");
        }
    }
}

#[test]
fn declarations() {
    let cases = [
        ("a : BOOL b : BOOL;", 10, "; is expected"),
        ("a BOOL;", 3, "AT or : is expected"),
        ("a : INT;", 5, "BOOL or a block such as TON is expected"),
        ("a : ;", 5, "BOOL or a block such as TON is expected"),
        ("a : BOOL; A : BOOL;", 11, "A is declared already, in line 3"),
        ("a AT %IX8.0 : BOOL;", 6, "a byte from 0 to 7 is expected in an address of this area"),
        ("a AT %MX256.0 : BOOL;", 6, "a byte from 0 to 255 is expected in an address of this area"),
        ("a AT %QX99999999999.0 : BOOL;", 6, "a byte from 0 to 7 is expected in an address of this area"),
        ("a AT %IX0.8 : BOOL;", 6, "a bit from 0 to 7 is expected after the point"),
        ("a AT %IW3 : BOOL;", 6, "a single bit such as %IX0.5 is expected"),
        ("a AT IX0.1 : BOOL;", 6, "an address such as %IX0.5 is expected"),
        ("a AT %IX0 : BOOL;", 6, "an address such as %IX0.5, %QX0.1 or %MX3.0 is expected"),
        ("a AT %QX0.0 : BOOL; b AT %QX0.0 : BOOL;", 26, "%QX0.0 belongs to a already"),
        ("a, b AT %QX0.0 : BOOL;", 9, "one name is expected before AT"),
        ("a : BOOL := 5;", 13, "TRUE or FALSE is expected"),
        ("a AT %IX0.0 : BOOL := TRUE;", 20, "; is expected: an input has no initial value"),
        ("a : TON := TRUE;", 9, "; is expected: a timer has no initial value"),
        ("a : CTD := 3;", 9, "; is expected: a counter has no initial value"),
        ("a : RS := 0;", 8, "; is expected: a bistable has no initial value"),
        ("CTU : CTU;", 1, "a name is expected"),
        ("edge_1 : BOOL;", 1, "edge_1 is a reserved name"),
        ("EDGE_12 AT %IX0.0 : BOOL;", 1, "EDGE_12 is a reserved name"),
        ("edge_1 : TON;", 1, "edge_1 is a reserved name"),
        ("edge_1 : R_TRIG; Edge_1 : F_TRIG;", 18, "Edge_1 is declared already, in line 3"),
        ("a, edge_1 : R_TRIG;", 4, "edge_1 is expected in a declaration of its own"),
        ("first_scan AT %MX0.0 : BOOL;", 12, ": is expected: first_scan has no address"),
        ("FIRST_SCAN : BOOL := TRUE;", 19, "; is expected: first_scan has no initial value"),
        ("first_scan : TON;", 14, "BOOL is expected: first_scan is a bit"),
        ("a AT %QX0.0 : F_TRIG;", 15, "BOOL is expected: %QX0.0 is one bit"),
        ("a AT %QX0.0 : TON;", 15, "BOOL is expected: %QX0.0 is one bit"),
        ("AND : BOOL;", 1, "a name is expected"),
        ("a__b : BOOL;", 1, "a__b is not a name"),
        ("5 : BOOL;", 1, "a name or END_VAR is expected"),
    ];
    for (declaration, column, message) in cases {
        let source = format!("PROGRAM p\nVAR\n{declaration}\nEND_VAR\nEND_PROGRAM\n");
        let errors = parse(&source).expect_err(declaration);
        let found: Vec<_> =
            errors.iter().map(|error| (error.line, error.column, error.message.as_str())).collect();
        assert_eq!(found, [(3, column, message)], "{declaration}");
    }
}

/// A reserved name that is declared otherwise is told once, not at each use.
#[test]
fn reserved_names() {
    let cases: [Framed; 3] = [
        (
            "PROGRAM p VAR edge_1 : BOOL; q : BOOL; END_VAR edge_1 := q; q := edge_1; q := edge_1.Q; END_PROGRAM",
            &[(1, 15, "edge_1 is a reserved name")],
        ),
        (
            "PROGRAM p VAR edge_1, q : BOOL; END_VAR edge_1(CLK := q); q := NOT edge_1.Q; END_PROGRAM",
            &[(1, 15, "edge_1 is a reserved name")],
        ),
        (
            "PROGRAM p VAR RETAIN edge_1 : R_TRIG; q : BOOL; END_VAR edge_1(CLK := q); q := edge_1.Q; END_PROGRAM",
            &[(1, 22, "edge_1 is expected in a VAR without RETAIN")],
        ),
    ];
    for (source, expected) in cases {
        let errors = parse(source).expect_err(source);
        let found: Vec<_> =
            errors.iter().map(|error| (error.line, error.column, error.message.as_str())).collect();
        assert_eq!(found, expected, "{source}");
        assert!(errors[0].hint.is_some(), "{source}");
    }
}

#[test]
fn frame() {
    let cases: [Framed; 9] = [
        ("", &[(1, 1, "PROGRAM is expected"), (1, 1, "END_PROGRAM is expected")]),
        ("PROGRAM\nEND_PROGRAM", &[(1, 8, "a name for the program is expected")]),
        ("PROGRAM VAR END_VAR END_PROGRAM", &[(1, 9, "a name for the program is expected")]),
        ("PROGRAM OR END_PROGRAM", &[(1, 9, "a name for the program is expected")]),
        ("PROGRAM p", &[(1, 10, "END_PROGRAM is expected")]),
        ("PROGRAM p END_PROGRAM x", &[(1, 23, "the end of the text is expected after END_PROGRAM")]),
        ("PROGRAM p VAR a : BOOL;\na := a; END_PROGRAM", &[(1, 24, "END_VAR is expected")]),
        ("PROGRAM p VAR_INPUT a : BOOL; END_VAR END_PROGRAM", &[(1, 11, "VAR is expected")]),
        (
            "PROGRAM p VAR a : BOOL; END_VAR a := a; VAR b : BOOL; END_VAR END_PROGRAM",
            &[(1, 41, "a rung or END_PROGRAM is expected")],
        ),
    ];
    for (source, expected) in cases {
        let errors = parse(source).expect_err(source);
        let found: Vec<_> =
            errors.iter().map(|error| (error.line, error.column, error.message.as_str())).collect();
        assert_eq!(found, expected, "{source}");
    }
}

#[test]
fn all_errors_come_in_order_and_the_rest_is_read() {
    let source = format!(
        "{HEAD}q := a AND;\nfresh := a;\nq := zz;\nt(IN := fresh, PT := T#1s);\nq := (a;\nEND_PROGRAM\n"
    );
    let reading = read(&source);
    let lines: Vec<u32> = reading.diagnostics.iter().map(|error| error.line).collect();
    assert_eq!(lines, [5, 7, 9]);
    let driven: Vec<&str> = reading.program.rungs.iter().map(|rung| rung.output.var()).collect();
    assert_eq!(driven, ["fresh", "t"]);
    let places: Vec<_> =
        reading.rung_places.iter().map(|place| &source[place.start as usize..place.end as usize]).collect();
    assert_eq!(places, ["fresh := a;", "t(IN := fresh, PT := T#1s);"]);
}

#[test]
fn a_flood_of_errors_is_cut_and_says_so() {
    let errors = parse(&format!("{HEAD}{}END_PROGRAM", "q := zz;\n".repeat(120))).expect_err("errors");
    assert_eq!(errors.len(), MAX_DIAGNOSTICS + 1);
    assert_eq!(errors[MAX_DIAGNOSTICS].to_string(), "line 55, column 6: 70 more errors from here on");
}

#[test]
fn an_error_is_shown_with_its_place() {
    let errors = parse(&format!("{HEAD}q := a AND;\nEND_PROGRAM")).expect_err("errors");
    assert_eq!(errors[0].to_string(), "line 5, column 11: a name or NOT is expected");
}

#[test]
fn columns_count_characters_and_lines_count_any_line_break() {
    let errors = parse("\u{feff}PROGRAM p\r\nVAR q : BOOL; END_VAR\r\n(* größer *) q := zz;\r\nEND_PROGRAM")
        .expect_err("an error");
    assert_eq!((errors[0].line, errors[0].column), (3, 19));
}
