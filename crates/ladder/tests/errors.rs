//! What a person is told about a text that is wrong: line, column, what was expected, what to try. Places are counted by
//! hand. Every error of a text comes in one reading, and what is right beside it is still read.

use sealin_ladder::{MAX_DIAGNOSTICS, Severity, parse, read};

/// Line 1 to 4 of every text below; the statement under test begins in line 5.
const HEAD: &str = "PROGRAM p
VAR
    a AT %IX0.0 : BOOL; q AT %QX0.0 : BOOL; fresh : BOOL; t : TON;
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
        Some("a rung has AND, OR, NOT and parentheses"),
    ),
    ("q := fresch;", &[(5, 6, "fresch is not declared")], Some("is fresh meant?")),
    (
        "q := motor;",
        &[(5, 6, "motor is not declared")],
        Some("declare it between VAR and END_VAR, as motor : BOOL;"),
    ),
    ("motor := a;", &[(5, 1, "motor is not declared")], None),
    ("q := t;", &[(5, 6, "t.Q is expected")], Some("t is a timer; a contact reads its output")),
    ("q := t.ET;", &[(5, 7, "t.Q is expected")], Some("ET is a time; a contact reads t.Q")),
    ("q := a.Q;", &[(5, 7, "AND, OR or ; is expected: a is a BOOL and has no pins")], None),
    ("q := %IX0.0;", &[(5, 6, "a name is expected")], Some("%IX0.0 is a")),
    ("q := %IX3.0;", &[(5, 6, "a name is expected")], Some("declare it: name AT %IX3.0 : BOOL;")),
    ("q := 5;", &[(5, 6, "a name or NOT is expected, not 5")], None),
    ("t := a;", &[(5, 1, "a BOOL is expected on the left; t is a timer")], None),
    ("t.IN := a;", &[(5, 1, "a variable is expected on the left")], None),
    ("q(IN := a);", &[(5, 1, ":= is expected after q, which is a BOOL")], None),
    ("t(IN := a);", &[(5, 10, "PT := and a duration is expected")], None),
    ("t(PT := T#1s);", &[(5, 13, "IN := and what starts the timer is expected")], None),
    ("t(IN := a, PT := 200);", &[(5, 18, "a duration such as T#200ms is expected")], None),
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
        Some("declare another timer for it"),
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

#[test]
fn statements() {
    for (statement, expected, hint) in STATEMENTS {
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
        ("a : INT;", 5, "BOOL or TON is expected"),
        ("a : ;", 5, "BOOL or TON is expected"),
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
