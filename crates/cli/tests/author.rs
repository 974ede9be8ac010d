//! The tool as an author uses it: a scenario started, checked, tried with its reference, and its predictions.

use serde_json::Value;
use std::path::{Path, PathBuf};
use std::process::Command;

/// Status, standard output and standard error.
fn sealin(args: &[&str]) -> (i32, String, String) {
    let output = Command::new(env!("CARGO_BIN_EXE_sealin")).args(args).output().unwrap();
    let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
    (output.status.code().unwrap(), text(&output.stdout), text(&output.stderr))
}

fn folder(name: &str) -> PathBuf {
    let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    let _ = std::fs::remove_dir_all(&path);
    std::fs::create_dir_all(&path).unwrap();
    path
}

/// A scenario as it is started, in a folder of its own.
fn started(name: &str) -> (String, String) {
    let folder = folder(name);
    let into = folder.display().to_string();
    let (status, _, err) = sealin(&["new", "bilge-pump", "--into", &into]);
    assert_eq!(status, 0, "{err}");
    (folder.join("bilge-pump").display().to_string(), folder.join("out.json").display().to_string())
}

fn marks(scenario: &str, out: &str, options: &[&str]) -> Value {
    let (status, _, err) = sealin(&[&["attempt", scenario, out][..], options].concat());
    assert_eq!(status, 0, "{err}");
    let (_, told, err) = sealin(&["grade", "--json", out]);
    serde_json::from_str(&told).unwrap_or_else(|e| panic!("{e}: {told} {err}"))
}

fn lines<'v>(marks: &'v Value, kind: &str) -> Vec<&'v Value> {
    marks["lines"].as_array().unwrap().iter().filter(|l| l["kind"] == kind).collect()
}

/// By hand: 6 + 4 + 6 for requirements, 2 for the prediction, 2 + 2 + 2 for craft, a bonus of 2 on top.
#[test]
fn a_started_scenario_passes_its_check_and_its_reference_earns_all() {
    let (scenario, out) = started("new");
    let (status, told, err) = sealin(&["check", &scenario]);
    assert_eq!((status, err.as_str()), (0, ""));
    assert!(
        told.contains("24 marks") && told.contains("prediction P1: the bench keeps answer 2 of 2"),
        "{told}"
    );
    let all = marks(&scenario, &out, &["--predict", "P1=2"]);
    assert_eq!(
        (all["earned"].as_u64(), all["of"].as_u64(), all["passed"].as_bool()),
        (Some(26), Some(24), Some(true)),
        "{all:#}"
    );
    let given = marks(&scenario, &out, &["--given"]);
    assert_eq!(given["passed"].as_bool(), Some(false), "{given:#}");
}

#[test]
fn predictions_and_hints_of_an_attempt() {
    let (scenario, out) = started("predict");
    // 16 + 2 + 6, the wrong answer earns nothing, the hint costs 1; the second answer does not count.
    let wrong = marks(&scenario, &out, &["--predict", "P1=1", "--predict", "P1=2", "--hint", "H1"]);
    assert_eq!(wrong["earned"].as_u64(), Some(23), "{wrong:#}");
    let [prediction] = lines(&wrong, "prediction")[..] else { panic!("{wrong:#}") };
    assert_eq!((prediction["earned"].as_i64(), prediction["of"].as_u64()), (Some(0), Some(2)));
    let [hint] = lines(&wrong, "hint")[..] else { panic!("{wrong:#}") };
    assert_eq!((hint["id"].as_str(), hint["earned"].as_i64()), (Some("H1"), Some(-1)));
    let (_, text, _) = sealin(&["grade", &out]);
    assert!(text.contains("\n  P1   0 of 2") && text.contains("\n  H1   -1 of 0"), "{text}");
    for (options, says) in [
        (["--predict", "P1"], "as P1=2"),
        (["--predict", "P1=two"], "the number of an answer"),
        (["--predict", "P1=3"], "answers 1 to 2"),
        (["--predict", "P9=1"], "no prediction `P9`"),
        (["--hint", "H9"], "no hint `H9`"),
    ] {
        let (status, _, err) = sealin(&[&["attempt", &scenario, &out][..], &options].concat());
        assert_eq!(status, 2, "{options:?}");
        assert!(err.contains(says), "{options:?}: {err}");
    }
}

#[test]
fn check_tells_of_a_prediction_that_has_not_exactly_one_answer() {
    let (scenario, _) = started("check");
    let file = Path::new(&scenario).join("scenario.toml");
    let text = std::fs::read_to_string(&file).unwrap();
    let edited =
        text.replacen("steps = \"expect not QA1.closed for 2s\"", "steps = \"expect not SF2.pressed\"", 1);
    assert_ne!(text, edited);
    std::fs::write(&file, edited).unwrap();
    let (status, _, err) = sealin(&["check", &scenario]);
    assert_eq!(status, 2);
    assert!(
        err.contains("prediction P1: the bench keeps the answers 1 and 2; exactly one is expected"),
        "{err}"
    );
    let (status, told, _) = sealin(&["check", "--json", &scenario]);
    let told: Value = serde_json::from_str(&told).unwrap();
    assert_eq!((status, told["predictions"][0]["right"].is_null()), (2, true));
    assert!(told["problems"][0].as_str().unwrap().contains("P1"), "{told}");
}

#[test]
fn a_scenario_is_not_started_over_another() {
    let (scenario, _) = started("twice");
    let into = Path::new(&scenario).parent().unwrap().display().to_string();
    let (status, _, err) = sealin(&["new", "bilge-pump", "--into", &into]);
    assert!(status == 2 && err.contains("bilge-pump"), "{err}");
    let (status, _, err) = sealin(&["new", "Bilge pump", "--into", &into]);
    assert!(status == 2 && err.contains("small letters, digits and hyphens"), "{err}");
}
