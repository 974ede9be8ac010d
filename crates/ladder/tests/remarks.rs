//! What a teacher would say, and where he would say nothing.

use sealin_ladder::Rule::{
    self, CoilTwice, HeldStart, HoldByAnswerAlone, HoldWithoutAnswer, NeverRead, NeverReset, NeverSet,
    NeverWritten, RetainedHold, SetWins, Unused,
};
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
        (HeldStart, Some(0), "QA1_out".to_owned()),
        (HoldWithoutAnswer, Some(1), "QA2_out".to_owned()),
        (HeldStart, Some(1), "QA2_out".to_owned()),
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
        let mut all = found(&source(&format!("q := {logic}; m := m;")));
        all.retain(|(rule, _, _)| *rule == HoldWithoutAnswer);
        assert_eq!(all, expected, "{logic}");
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
    let set = "IF q THEN q := TRUE; END_IF;";
    let reset = "IF NOT a THEN q := FALSE; END_IF;";
    assert_eq!(found(&program("q := a; Q := NOT (a);")), [(CoilTwice, Some(1), "q".to_owned())]);
    assert_eq!(found(&program(&format!("q := a; {set}"))), [(CoilTwice, Some(1), "q".to_owned())]);
    assert_eq!(found(&program(&format!("{set}{set}{reset}"))), []);
    let edge =
        program("edge_1(CLK := a); q := edge_1.Q; q := a;").replace("END_VAR", "edge_1 : R_TRIG; END_VAR");
    assert_eq!(found(&edge), [(CoilTwice, Some(1), "q".to_owned())]);
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

#[test]
fn set_and_reset() {
    let program = |vars: &str, body: &str| {
        format!(
            "PROGRAM p VAR a AT %IX0.0 : BOOL; b AT %MX0.0 : BOOL; q AT %QX0.0 : BOOL; {vars} END_VAR b := q AND a; {body} END_PROGRAM"
        )
    };
    let set = "IF b THEN Q := TRUE; END_IF;";
    let reset = "IF a THEN q := FALSE; END_IF;";
    let q = |rule, rung| vec![(rule, Some(rung), "q".to_owned())];
    assert_eq!(found(&program("", &format!("{set}{reset}"))), []);
    assert_eq!(found(&program("", &format!("{set}{set}"))), q(NeverReset, 2));
    assert_eq!(found(&program("", reset)), q(NeverSet, 1));
    assert_eq!(found(&program("", &format!("{reset}{set}"))), q(SetWins, 2));
    // A bit that begins at 1 may be reset only; a bit that is no output may be set last.
    let begins_at_1 = program("", reset).replace("q AT %QX0.0 : BOOL;", "q AT %QX0.0 : BOOL := TRUE;");
    assert_eq!(found(&begins_at_1), []);
    let inner = program("m : BOOL;", "IF a THEN m := FALSE; END_IF; IF a THEN m := TRUE; END_IF; q := m;");
    assert_eq!(found(&inner), []);
}

/// Designs of one contactor, and whether its answer holds it alone. The rest is as it should be but for the start.
#[test]
fn holds_by_the_answer_alone() {
    let cases = [
        ("(SF2_in OR QA1_in) AND SF1_in", true),
        ("SF1_in AND (qa1_IN OR SF2_in)", true),
        ("SF2_in AND SF1_in OR QA1_in AND SF1_in", true),
        ("(SF2_in OR NOT QA1_in) AND SF1_in", true),
        ("(SF2_in AND fresh OR QA1_in AND fresh) AND SF1_in", true),
        ("((SF2_in OR QA1_in) AND SF1_in OR fresh) AND fresh", true),
        // With the bit in series, or no hold at all.
        ("(SF2_in OR QA1_in AND QA1_out) AND SF1_in", false),
        ("(SF2_in OR QA1_out AND QA1_in) AND SF1_in", false),
        ("SF2_in AND QA1_in AND SF1_in", false),
        ("(QA1_in OR QA1_in AND fresh) AND SF1_in", false),
        // Another device's answer is a condition, and a second button a start.
        ("(SF2_in OR QA2_in) AND SF1_in", false),
        ("(SF2_in OR SF1_in) AND QA1_in", false),
    ];
    for (logic, alone) in cases {
        let source = contactor(&format!("QA1_out := {logic};"));
        assert_eq!(has(&source, HoldByAnswerAlone), alone, "{logic}");
    }
}

fn contactor(body: &str) -> String {
    format!(
        "PROGRAM p VAR SF1_in AT %IX0.0 : BOOL; SF2_in AT %IX0.1 : BOOL; QA1_in AT %IX0.4 : BOOL; QA2_in AT %IX0.5 : BOOL;
         fresh AT %MX0.0 : BOOL; edge_1 : R_TRIG; END_VAR
         VAR QA1_out AT %QX0.0 : BOOL; END_VAR
         fresh := SF1_in AND SF2_in AND QA1_in AND QA2_in; {body} END_PROGRAM"
    )
}

fn has(source: &str, rule: Rule) -> bool {
    found(source).iter().any(|(found, _, _)| *found == rule)
}

/// Designs of one contactor, and the start that starts it again while it is held.
#[test]
fn held_starts() {
    let cases = [
        ("QA1_out := (SF2_in OR QA1_out AND QA1_in) AND SF1_in;", Some("SF2_in")),
        ("QA1_out := (SF2_in OR QA1_in) AND SF1_in;", Some("SF2_in")),
        ("QA1_out := SF2_in AND SF1_in OR QA1_out AND SF1_in;", Some("SF2_in")),
        ("QA1_out := SF1_in AND SF2_in OR SF1_in AND QA1_out;", Some("SF2_in")),
        ("QA1_out := SF2_in OR QA1_out AND QA1_in;", Some("SF2_in")),
        ("QA1_out := (SF2_in AND NOT QA2_in OR QA1_out) AND SF1_in;", Some("SF2_in")),
        ("QA1_out := (SF2_in OR QA2_in OR QA1_out) AND SF1_in;", Some("SF2_in or QA2_in")),
        (
            "IF SF2_in THEN QA1_out := TRUE; END_IF; IF NOT SF1_in THEN QA1_out := FALSE; END_IF;",
            Some("SF2_in"),
        ),
        // Started by the press, or by a bit that stands for one.
        ("edge_1(CLK := SF2_in); QA1_out := (edge_1.Q OR QA1_out) AND SF1_in;", None),
        ("QA1_out := (SF2_in AND fresh OR QA1_out AND QA1_in) AND SF1_in;", None),
        (
            "edge_1(CLK := SF2_in); IF edge_1.Q THEN QA1_out := TRUE; END_IF; IF NOT SF1_in THEN QA1_out := FALSE; END_IF;",
            None,
        ),
        // No hold: a jog, which is meant to run while the button is held. Nothing that stops: nothing to come back.
        ("QA1_out := SF2_in AND SF1_in;", None),
        ("QA1_out := SF2_in OR QA1_out;", None),
        // A negated coil and a bit that is no output are other matters.
        ("QA1_out := NOT ((SF2_in OR QA1_out) AND SF1_in);", None),
        ("fresh := (SF2_in OR fresh) AND SF1_in; QA1_out := fresh;", None),
    ];
    for (body, start) in cases {
        let all = remarks(&parse(&contactor(body)).expect("no errors"));
        let texts: Vec<&str> =
            all.iter().filter(|remark| remark.rule == HeldStart).map(|remark| remark.text.as_str()).collect();
        let expected: Vec<String> = start
            .iter()
            .map(|start| format!("QA1_out starts again by itself while {start} is held"))
            .collect();
        assert_eq!(texts, expected, "{body}");
    }
}

#[test]
fn retained_holds() {
    let retained = |body: &str| contactor(body).replace("VAR QA1_out", "VAR RETAIN QA1_out");
    assert!(has(&retained("QA1_out := (fresh OR QA1_out) AND SF1_in;"), RetainedHold));
    assert!(has(&retained("IF fresh THEN QA1_out := TRUE; END_IF;"), RetainedHold));
    assert!(!has(&retained("QA1_out := fresh AND SF1_in;"), RetainedHold));
    assert!(!has(&contactor("QA1_out := (fresh OR QA1_out) AND SF1_in;"), RetainedHold));
}
