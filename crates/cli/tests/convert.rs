//! `sealin convert` as a person calls it. That the netlists stand at the bench's voltages is tried with an outside
//! simulator in `tests/tests/oracle.rs`; here: what is written, when, and what is refused.

use std::path::{Path, PathBuf};
use std::process::Command;

const ID: &str = "paddle-closed-loop";

/// Status, and standard output and standard error together.
fn sealin(args: &[&str]) -> (i32, String) {
    let output = Command::new(env!("CARGO_BIN_EXE_sealin")).args(args).output().unwrap();
    let text = [output.stdout, output.stderr].concat();
    (output.status.code().unwrap(), String::from_utf8_lossy(&text).into_owned())
}

fn folder(name: &str) -> PathBuf {
    let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    let _ = std::fs::remove_dir_all(&path);
    std::fs::create_dir_all(&path).unwrap();
    path
}

/// The netlist after a script, by lines.
fn netlist(folder: &Path, group: &str, script: &str) -> Vec<String> {
    let (steps, out) = (folder.join("script.steps"), folder.join("out.cir"));
    std::fs::write(&steps, script).unwrap();
    let (steps, out) = (steps.to_str().unwrap(), out.to_str().unwrap());
    let (status, told) = sealin(&["convert", ID, out, "--group", group, "--steps", steps]);
    assert_eq!(status, 0, "{told}");
    std::fs::read_to_string(out).unwrap().lines().map(str::to_string).collect()
}

fn count(lines: &[String], first: char, with: &str) -> usize {
    lines.iter().filter(|l| l.starts_with(first) && l.contains(with)).count()
}

/// 400 V between phases are 230.940 V against earth; at L1 in phase, at L2 and L3 half of it against it, and ±200 V a
/// quarter apart.
#[test]
fn the_phases_are_there_while_the_supply_is_on() {
    let folder = folder("convert-ac");
    let off = netlist(&folder, "ac", "wait 10ms\n");
    assert_eq!(count(&off, 'V', " AC "), 0);
    let on = netlist(&folder, "ac", "power on; wait 10ms\n");
    let mut sources: Vec<f64> = on
        .iter()
        .filter(|l| l.starts_with('V') && l.contains(" AC "))
        .map(|l| l.split(' ').rev().nth(1).unwrap().parse().unwrap())
        .collect();
    sources.sort_by(f64::total_cmp);
    let wanted = [-200.0, -115.470_05, -115.470_05, 0.0, 200.0, 230.940_11];
    assert_eq!(sources.len(), wanted.len());
    assert!(sources.iter().zip(wanted).all(|(a, b)| (a - b).abs() < 1e-4), "{sources:?}");
    assert!(on.ends_with(&[".ac lin 1 50 50".to_string(), ".print ac all".to_string(), ".end".to_string()]));
    assert_eq!(count(&on, '*', "is QA1:A1"), 1);
}

/// The 24 V of the controller comes half a second after the mains; a running motor draws at mains frequency.
#[test]
fn the_state_is_that_at_the_end_of_the_script() {
    let folder = folder("convert-state");
    let starting = netlist(&folder, "dc", "power on; wait 10ms\n");
    assert_eq!(count(&starting, 'V', "DC 2.4e1"), 0);
    let running = "power on; wait 2s\npress SF2; wait 1s\nexpect MA1.turning\n";
    let dc = netlist(&folder, "dc", running);
    assert_eq!(count(&dc, 'V', "DC 2.4e1"), 1);
    assert!(dc.ends_with(&[".op".to_string(), ".end".to_string()]));
    let drawn = |lines: &[String]| {
        let amperes = |l: &String| l.split(' ').rev().nth(1).unwrap().parse::<f64>().unwrap().abs();
        lines.iter().filter(|l| l.starts_with("Ip0")).map(amperes).fold(0.0, f64::max)
    };
    let still = netlist(&folder, "ac", "power on; wait 2s\n");
    assert_eq!(drawn(&still), 0.0);
    assert!(drawn(&netlist(&folder, "ac", running)) > 1.0);
}

#[test]
fn what_does_not_fit_is_refused_and_nothing_is_written() {
    let folder = folder("convert-bad");
    let out = folder.join("out.cir");
    let path = out.to_str().unwrap();
    let (status, told) = sealin(&["convert", ID, folder.join("out.txt").to_str().unwrap(), "--group", "dc"]);
    assert_eq!((status, told.contains(".cir")), (2, true), "{told}");
    assert_eq!(sealin(&["convert", ID, path, "--group", "hf"]).0, 2);
    assert_eq!(sealin(&["convert", ID, path]).0, 2);
    assert_eq!(sealin(&["convert", "no-such-scenario", path, "--group", "dc"]).0, 2);
    let steps = folder.join("bad.steps");
    std::fs::write(&steps, "power on\nhop\n").unwrap();
    let (status, told) = sealin(&["convert", ID, path, "--group", "dc", "--steps", steps.to_str().unwrap()]);
    assert_eq!((status, told.contains("line 2")), (2, true), "{told}");
    std::fs::write(&steps, "wait 1s\nexpect QA1.closed\n").unwrap();
    let (status, told) = sealin(&["convert", ID, path, "--group", "dc", "--steps", steps.to_str().unwrap()]);
    assert_eq!((status, told.contains("broken at line 2")), (1, true), "{told}");
    assert!(!out.exists());
    assert_eq!(sealin(&["convert", ID, path, "--group", "dc"]).0, 0);
    assert!(out.exists());
}

/// A requirement as a model with its tables beside it. What Spin makes of such models is tried in `tests/tests/judge.rs`.
#[test]
fn a_requirement_becomes_a_model() {
    let folder = folder("convert-model");
    let (out, tables) = (folder.join("out.pml"), folder.join("out.h"));
    let path = out.to_str().unwrap();
    let formula = "never (QX0.0 and QX0.1)";
    let asked = ["convert", ID, path, "--formula", formula, "--free", "SF2,SF3"];
    let (status, told) = sealin(&[&asked[..], &["--max-states", "3"]].concat());
    assert_eq!((status, told.contains("undecided")), (2, true), "{told}");
    assert_eq!(sealin(&["convert", ID, path, "--requirement", "R99"]).0, 2);
    assert!(!out.exists() && !tables.exists());
    assert_eq!(sealin(&asked).0, 0);
    let model = std::fs::read_to_string(&out).unwrap();
    assert!(model.contains("\\#include \"out.h\"") && model.contains(formula), "{model}");
    // Rung 6 of the reference.
    assert!(model.contains("PF1_out = v5_FC1_in;"), "{model}");
    assert!(std::fs::read_to_string(&tables).unwrap().contains("WAY_TO"));
}
