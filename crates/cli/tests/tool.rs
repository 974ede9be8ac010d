//! The tool as a person calls it: exit status, what it prints, and what it does with bad input.

mod support;

use std::io::Write;
use std::process::{Command, Stdio};
use support::{Folder, ID, json, sealin, told};

#[test]
fn the_shipped_scenario_is_well_formed() {
    let (status, out, _) = told(&sealin(&["check", ID]));
    assert_eq!(status, 0);
    assert!(out.contains("14 requirements, 120 marks"), "{out}");
}

#[test]
fn the_reference_earns_full_marks_and_the_given_start_does_not() {
    // Nobody answered the predictions, 8 of 120 marks. The given start earns 26 of the requirements' 100, and of the marks for craft that
    // share: 0 of 3, 0 of 3 and 1 of 6.
    let folder = Folder::new("marks");
    let (reference, given) = (folder.path("reference.json"), folder.path("given.json"));
    assert_eq!(told(&sealin(&["attempt", ID, &reference])).0, 0);
    assert_eq!(told(&sealin(&["attempt", ID, &given, "--given"])).0, 0);
    let (status, out, _) = told(&sealin(&["grade", &reference, "--json"]));
    assert_eq!(status, 0);
    let marks = json(&out);
    assert_eq!((marks["earned"].as_u64(), marks["passed"].as_bool()), (Some(112), Some(true)));
    assert_eq!((marks["chain"].as_bool(), marks["claim"].as_bool()), (Some(true), Some(true)));
    let (status, out, _) = told(&sealin(&["grade", &given, "--json"]));
    assert_eq!(status, 1);
    assert_eq!(json(&out)["earned"], 27);
}

/// By proof, a work that never does anything earns nothing, though it breaks nothing that it is asked; where a proof comes to nothing
/// the trials decide, and that is told.
#[test]
fn marks_by_proof() {
    let folder = Folder::new("marks-by-proof");
    let program = folder.file("idle.st", "PROGRAM idle\nEND_PROGRAM\n");
    let attempt = folder.path("idle.json");
    assert_eq!(told(&sealin(&["attempt", ID, &attempt, "--program", &program])).0, 0);
    let proofs = |args: &[&str]| {
        let (status, out, _) = told(&sealin(&[&["grade", &attempt, "--json", "--prove"], args].concat()));
        let marks = json(&out);
        let r5 = marks["lines"].as_array().unwrap().iter().find(|line| line["id"] == "R5").unwrap();
        (
            status,
            marks["earned"].as_u64(),
            r5["proof"].as_str().unwrap().to_string(),
            marks["remarks"].to_string(),
        )
    };
    let (status, earned, r5, _) = proofs(&[]);
    assert_eq!((status, earned, r5.as_str()), (1, Some(0), "proven, never exercised"));
    let (_, _, r5, remarks) = proofs(&["--max-states", "1"]);
    assert!(r5 == "undecided" && remarks.contains("R5: undecided; its trials decide"), "{remarks}");
    assert_eq!(
        told(&sealin(&["grade", &attempt, "--max-states", "1"])).0,
        2,
        "without --prove it says nothing"
    );
}

/// Trivial designs earn at most a fifth: doing nothing, and doing everything, is no answer.
#[test]
fn trivial_programs_earn_at_most_a_fifth() {
    let folder = Folder::new("trivial");
    let vars = "VAR a AT %QX0.0 : BOOL; b AT %QX0.1 : BOOL; c AT %QX0.4 : BOOL; END_VAR\n";
    for (name, body) in [
        ("empty", String::new()),
        ("off", format!("{vars}a := FALSE; b := FALSE; c := FALSE;\n")),
        ("on", format!("{vars}a := TRUE; b := TRUE; c := TRUE;\n")),
    ] {
        let program = folder.file(&format!("{name}.st"), format!("PROGRAM {name}\n{body}END_PROGRAM\n"));
        let attempt = folder.path(&format!("{name}.json"));
        let (status, _, error) = told(&sealin(&["attempt", ID, &attempt, "--program", &program]));
        assert_eq!(status, 0, "{error}");
        let (status, out, _) = told(&sealin(&["grade", &attempt, "--json"]));
        assert_eq!(status, 1);
        let earned = json(&out)["earned"].as_u64().unwrap();
        assert!(earned <= 20, "{name} earns {earned}");
    }
}

#[test]
fn a_script_is_kept_or_broken_and_its_trace_written() {
    let folder = Folder::new("run");
    let steps = folder.file(
        "restart.steps",
        "power on; wait 2s\npress SF2; wait 200ms; release SF2\nexpect QA1.closed\n\
         trip FC1; wait 1s; reset FC1\nexpect not QA1.closed for 2s\n",
    );
    let trace = folder.path("trace.vcd");
    let (status, out, _) = told(&sealin(&["run", ID, "--steps", &steps, "--trace", &trace]));
    assert_eq!((status, out.contains("kept")), (0, true), "{out}");
    let text = std::fs::read_to_string(&trace).unwrap();
    assert!(text.contains("$timescale 1 ms $end") && text.contains("QA1.closed"), "{text}");
    let (status, out, _) = told(&sealin(&["run", ID, "--steps", &steps, "--given"]));
    assert_eq!(status, 1);
    assert!(out.contains("broken at line 5") && out.contains("QA1.closed"), "{out}");
    // The diagram: the contactor that came in again, and the reset that brought it.
    let line = |name: &str| out.lines().find(|line| line.trim_start().starts_with(name)).map(str::to_string);
    let moved = ["QA1.closed ", "FC1.tripped "].map(|name| line(name).unwrap_or_default().contains('│'));
    assert_eq!(moved, [true; 2], "{out}");
}

#[test]
fn bad_input_ends_with_status_2_and_a_place() {
    let folder = Folder::new("bad");
    let good = folder.path("good.json");
    sealin(&["attempt", ID, &good]);
    let text = std::fs::read_to_string(&good).unwrap();
    let noise: Vec<u8> = (0..50u32 << 20).map(|k| (k.wrapping_mul(2_654_435_761) >> 24) as u8).collect();
    let printable: String = noise.iter().take(9 << 20).map(|b| (b % 90 + 33) as char).collect();
    for (name, body, expected) in [
        ("cut.json", text.as_bytes()[..text.len() / 2].to_vec(), "line "),
        ("newer.json", text.replacen("\"version\": 6", "\"version\": 9", 1).into_bytes(), "newer"),
        ("act.json", text.replacen("\"cold\"", "\"lukewarm\"", 1).into_bytes(), "lukewarm"),
        // The entry in which the colour stands ends on that line.
        ("colour.json", text.replacen("dark blue", "pink", 1).into_bytes(), "line 30, column"),
        ("other.json", text.replacen("\"entries\"", "\"things\"", 1).into_bytes(), "things"),
        ("noise.json", noise.clone(), "at most"),
        ("bytes.json", noise[..4096].to_vec(), "UTF-8"),
        ("long.json", printable.clone().into_bytes(), "at most"),
        ("empty.json", Vec::new(), "line 1"),
    ] {
        let path = folder.file(name, body);
        let (status, _, error) = told(&sealin(&["grade", &path]));
        assert_eq!(status, 2, "{name}: {error}");
        assert!(error.contains(expected), "{name}: {error}");
    }
    let scenario = include_str!("../../../scenarios/paddle-closed-loop/scenario.toml");
    for (name, body, expected) in [
        ("cut.toml", scenario.as_bytes()[..scenario.len() / 2].to_vec(), ":"),
        ("newer.toml", scenario.replacen("version = 1", "version = 9", 1).into_bytes(), "version"),
        ("noise.toml", noise, "UTF-8"),
        ("long.toml", printable.into_bytes(), "at most"),
    ] {
        let path = folder.file(name, body);
        let (status, _, error) = told(&sealin(&["check", &path]));
        assert_eq!(status, 2, "{name}: {error}");
        assert!(error.contains(expected), "{name}: {error}");
    }
    let steps = folder.file("bad.steps", "power on\nhop\n");
    let (status, _, error) = told(&sealin(&["run", ID, "--steps", &steps]));
    assert_eq!((status, error.contains("line 2")), (2, true), "{error}");
    let program = folder.file("bad.st", "PROGRAM p\nVAR\nEND_VAR\nx := ;\nEND_PROGRAM\n");
    let (status, _, error) = told(&sealin(&["run", ID, "--steps", &steps, "--program", &program]));
    assert_eq!((status, error.contains("line 4")), (2, true), "{error}");
    assert_eq!(told(&sealin(&["grade", "no-such-file.json"])).0, 2);
    assert_eq!(told(&sealin(&["fly"])).0, 2);
}

#[test]
fn json_lines_go_in_and_out_and_a_bad_line_stops_nobody() {
    let folder = Folder::new("lines");
    let (reference, given) = (folder.path("reference.json"), folder.path("given.json"));
    sealin(&["attempt", ID, &reference]);
    sealin(&["attempt", ID, &given, "--given"]);
    let line = |path: &str| json(&std::fs::read_to_string(path).unwrap()).to_string();
    let mut child = Command::new(env!("CARGO_BIN_EXE_sealin"))
        .args(["grade", "-"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let input = format!("{}\n{{\"head\": 1}}\n{}\n", line(&reference), line(&given));
    child.stdin.take().unwrap().write_all(input.as_bytes()).unwrap();
    let (status, out, _) = told(&child.wait_with_output().unwrap());
    assert_eq!(status, 2);
    let lines: Vec<serde_json::Value> = out.lines().map(json).collect();
    assert_eq!(lines.len(), 3);
    assert_eq!((lines[0]["earned"].as_u64(), lines[2]["earned"].as_u64()), (Some(112), Some(27)));
    assert!(lines[1]["error"].as_str().unwrap().contains("line 1"), "{}", lines[1]);
}

#[test]
fn a_class_as_table_and_page() {
    let folder = Folder::new("class");
    let (a, b) = (folder.path("a.json"), folder.path("b.json"));
    sealin(&["attempt", ID, &a, "--author", "Lock <keeper>"]);
    sealin(&["attempt", ID, &b]);
    let (csv, html) = (folder.path("class.csv"), folder.path("class.html"));
    let (status, _, error) = told(&sealin(&["grade", &a, &b, "--csv", &csv, "--html", &html]));
    assert_eq!(status, 0, "{error}");
    assert!(error.contains("the same acts"), "{error}");
    let table = std::fs::read_to_string(csv).unwrap();
    assert_eq!(table.lines().count(), 3, "{table}");
    let page = std::fs::read_to_string(html).unwrap();
    assert!(page.contains("112 of 120") && !page.contains("<keeper>"), "{page}");
}

/// An attempt on a scenario that is not shipped carries it, and is marked by it.
#[test]
fn a_scenario_of_ones_own_travels_with_the_attempt() {
    let folder = Folder::new("own");
    let shipped = include_str!("../../../scenarios/paddle-closed-loop/scenario.toml");
    let own = folder.file("own.toml", shipped.replacen("pass_marks = 84", "pass_marks = 20", 1));
    let attempt = folder.path("own.json");
    let (status, _, error) = told(&sealin(&["attempt", &own, &attempt, "--given"]));
    assert_eq!(status, 0, "{error}");
    assert!(std::fs::read_to_string(&attempt).unwrap().contains("embedded"));
    let (status, out, _) = told(&sealin(&["grade", &attempt, "--json"]));
    // 27 marks of the given start are enough now, but musts are lost.
    assert_eq!((status, json(&out)["earned"].as_u64()), (1, Some(27)));
    let other = std::fs::read_to_string(&attempt).unwrap().replacen("pass_marks = 20", "pass_marks = 30", 1);
    let changed = folder.file("changed.json", other);
    let (status, _, error) = told(&sealin(&["grade", &changed]));
    assert_eq!((status, error.contains("another version")), (2, true), "{error}");
}

/// Why the coil was off, by hand: STOP is held, so its break contact is open and the rung is blocked.
#[test]
fn a_run_tells_why() {
    let folder = Folder::new("why");
    let steps = folder.file("stop.steps", "power on; wait 2s\npress SF1; wait 500ms\n");
    let (status, out, error) =
        told(&sealin(&["run", ID, "--steps", &steps, "--why", "clear@2400", "--why", "MA1.turning@9999"]));
    assert_eq!(status, 0, "{error}");
    assert!(
        out.contains(
            "clear at 2400 ms: clear is 0, rung 1 is blocked at SF1_in = 0: SF1_in is 0: IX0.0 is 0: \
             no volts at input 0 of KF1: 11-12 of SF1 is open: SF1 is pressed"
        ),
        "{out}"
    );
    assert!(out.contains("the run ended at 2500 ms"), "{out}");
    let (_, out, _) = told(&sealin(&["run", ID, "--steps", &steps, "--why", "KF1:I0,KF1:CI1@2400"]));
    assert!(out.contains("no volts at KF1:I0 to KF1:CI1: 11-12 of SF1 is open: SF1 is pressed"), "{out}");
    let (status, out, _) = told(&sealin(&["run", ID, "--steps", &steps, "--why", "QA1.coil", "--json"]));
    assert_eq!(status, 0);
    assert!(json(&out)["why"][0].as_str().unwrap().starts_with("QA1.coil: coil QA1 is off"), "{out}");
    for (question, expected) in
        [("QA9.coil", "QA9.coil"), ("KF1:I0,KF1:I99", "I99"), ("QA1.coil@soon", "whole milliseconds")]
    {
        let (status, _, error) = told(&sealin(&["run", ID, "--steps", &steps, "--why", question]));
        assert_eq!((status, error.contains(expected)), (2, true), "{error}");
    }
}

/// By hand: with 97-98 stuck open the trip does not reach rung 6, so the lamp stays dark while FC1 has tripped, which breaks R14; a
/// person sees the dark lamp where a trial trips, and the alarm, which is that very bit, does not rise.
#[test]
fn a_fault_is_told_with_who_notices_it() {
    let fault = "FC1 97-98 stuck open";
    let asked = ["prove", "paddle-closed-loop", "--requirement", "R14-1", "--fault", fault];
    let (status, lines, _) = told(&sealin(&[&asked[..], &["--json"]].concat()));
    assert_eq!(status, 1);
    let row = json(&lines);
    assert_eq!((row["verdict"].as_str(), row["fault"].as_str()), (Some("broken"), Some(fault)));
    assert_eq!(row["noticed_by_program"], serde_json::Value::Null);
    assert_eq!(row["noticed_by_person"]["signal"], "PF1.lit");
    assert_eq!(row["noticed_by_person"]["on"], false);
    let (_, table, _) = told(&sealin(&[&asked[..], &["--csv"]].concat()));
    assert!(table.lines().next().unwrap().contains("noticed by the program,noticed by a person"), "{table}");
    assert!(table.contains(",broken,no,\"PF1.lit off at "), "{table}");
}

/// What is hidden in a job of fault finding is in no trace: the pump, whose START does nothing on the bench of a learner, starts as drawn.
#[test]
fn no_trace_tells_what_is_hidden() {
    let folder = Folder::new("hidden");
    let steps = folder.file("steps.txt", "power on\nwait 3s\npress SF2\nwait 500ms\nexpect QA1.closed\n");
    let (status, out, error) = told(&sealin(&["run", "gate-pump-wont-start", "--steps", &steps]));
    assert_eq!(status, 0, "{out}{error}");
}
