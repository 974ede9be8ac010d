//! What a teacher would say, and where he would say nothing.

use sealin_ladder::Rule::{self, CoilTwice, HoldWithoutAnswer, NeverRead, NeverWritten, Unused};
use sealin_ladder::{parse, remarks};

fn found(source: &str) -> Vec<(Rule, Option<u32>, String)> {
    let remarks = remarks(&parse(source).expect("no errors"));
    assert!(remarks.iter().all(|remark| !remark.why.is_empty() && remark.text.contains(&remark.var)));
    remarks.into_iter().map(|remark| (remark.rule, remark.rung, remark.var)).collect()
}

#[test]
fn the_reference_is_left_alone_and_the_open_loop_is_not() {
    assert_eq!(found(include_str!("cases/paddle/reference.st")), []);
    let open_loop = found(include_str!("cases/paddle/open-loop.st"));
    let expected = [
        (HoldWithoutAnswer, Some(0), "QA1_out".to_owned()),
        (HoldWithoutAnswer, Some(1), "QA2_out".to_owned()),
    ];
    assert_eq!(open_loop, expected);
}

/// Designs of the paddle job for the raise rung alone, and whether the hold is answered.
#[test]
fn holds() {
    let cases = [
        // The bit alone, however it is written.
        ("(SF2 OR q) AND SF1", false),
        ("SF1 AND (q OR SF2)", false),
        ("SF2 AND SF1 OR q AND SF1", false),
        ("SF2 AND SF1 AND ready OR SF1 AND q AND ready", false),
        ("(SF2 OR q) AND SF1 AND NOT FC1", false),
        ("((SF2 OR q) AND SF1 OR ready) AND NOT FC1", false),
        ("SF2 OR (ready OR q) AND SF1", false),
        // With the answer in series.
        ("(SF2 OR q AND QA1) AND SF1", true),
        ("(SF2 AND ready OR q AND QA1) AND SF1", true),
        ("SF2 AND SF1 OR q AND SF1 AND QA1", true),
        ("(SF2 OR q AND NOT QA1) AND SF1", true),
        ("(SF2 OR (q AND QA1 OR ready)) AND SF1", true),
        // Feedback alone does not hold by its own bit; that is another matter.
        ("(SF2 OR QA1) AND SF1", true),
        // Not a hold: it drops itself, or there is no start beside it.
        ("(SF2 OR NOT q) AND SF1", true),
        ("SF1 AND q AND SF2", true),
        ("(q OR q AND ready) AND SF1", true),
    ];
    for (logic, answered) in cases {
        let source = |body: &str| {
            format!(
                "PROGRAM p VAR SF1 AT %IX0.0 : BOOL; SF2 AT %IX0.1 : BOOL; QA1 AT %IX0.4 : BOOL; FC1 AT %IX0.6 : BOOL;
                 ready AT %MX0.0 : BOOL; q AT %QX0.0 : BOOL; m AT %MX0.1 : BOOL; END_VAR
                 ready := SF1 AND SF2 AND QA1 AND FC1; {body} END_PROGRAM"
            )
        };
        let expected = if answered { vec![] } else { vec![(HoldWithoutAnswer, Some(1), "q".to_owned())] };
        assert_eq!(found(&source(&format!("q := {logic}; m := m;"))), expected, "{logic}");
        // A bit that is no output may hold itself.
        let inner = source(&format!("m := {}; q := m;", logic.replace('q', "m")));
        assert_eq!(found(&inner), [], "{inner}");
    }
}

#[test]
fn coils_twice() {
    let program = |body: &str| {
        format!("PROGRAM p VAR a AT %IX0.0 : BOOL; q AT %QX0.0 : BOOL; END_VAR {body} END_PROGRAM")
    };
    let set = "IF a THEN q := TRUE; END_IF;";
    let reset = "IF NOT a THEN q := FALSE; END_IF;";
    assert_eq!(found(&program("q := a; Q := NOT (a);")), [(CoilTwice, Some(1), "q".to_owned())]);
    assert_eq!(found(&program(&format!("q := a; {set}"))), [(CoilTwice, Some(1), "q".to_owned())]);
    assert_eq!(found(&program(&format!("{set}{reset}{set}"))), []);
    let remark = remarks(&parse(&program("q := a; q := a; q := a;")).expect("no errors")).remove(0);
    assert_eq!(remark.text, "q is written by rungs 1 and 2 and 3");
}

#[test]
fn variables() {
    let source = "PROGRAM p VAR
        spare AT %IX0.0 : BOOL; a AT %IX0.1 : BOOL; q AT %QX0.0 : BOOL; idle AT %QX0.1 : BOOL; mark AT %MX0.0 : BOOL;
        first_scan : BOOL; forgotten : BOOL; nowhere : BOOL; t : TON; u : TON; w : TON; END_VAR
        nowhere := A AND first_scan AND forgotten AND t.Q;
        mark := a;
        u(IN := a, PT := T#1s);
        q := a;
        END_PROGRAM";
    let expected = [
        (Unused, "spare"),
        (Unused, "idle"),
        (NeverWritten, "forgotten"),
        (NeverRead, "nowhere"),
        (NeverWritten, "t"),
        (NeverRead, "u"),
        (Unused, "w"),
    ];
    let expected: Vec<_> = expected.into_iter().map(|(rule, var)| (rule, None, var.to_owned())).collect();
    assert_eq!(found(source), expected);
}
