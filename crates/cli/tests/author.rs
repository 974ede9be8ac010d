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

/// Two hints are opened by one learner and none by another: by hand from the scenario, H1 costs 1.
#[test]
fn hints_have_a_column_of_their_own() {
    let (scenario, out) = started("hints");
    let folder = folder("hints-class");
    let text = std::fs::read_to_string(Path::new(&scenario).join("scenario.toml")).unwrap();
    let costs: Vec<u32> =
        text.lines().filter_map(|l| l.strip_prefix("costs = ")?.split(' ').next()?.parse().ok()).collect();
    assert!(!costs.is_empty());
    let ids: Vec<String> = (1..=costs.len()).map(|n| format!("H{n}")).collect();
    let opened: Vec<&str> = ids.iter().flat_map(|id| ["--hint", id.as_str()]).collect();
    for (name, options) in [("asked", &opened[..]), ("alone", &[])] {
        let (status, _, err) =
            sealin(&[&["attempt", &scenario, &out, "--author", name][..], options].concat());
        assert_eq!(status, 0, "{err}");
        std::fs::copy(&out, folder.join(format!("{name}.json"))).unwrap();
    }
    let path = |name: &str| folder.join(name).display().to_string();
    let (table, page) = (path("class.csv"), path("class.html"));
    sealin(&["grade", &folder.display().to_string(), "--csv", &table, "--html", &page]);
    let table = std::fs::read_to_string(table).unwrap();
    let rows: Vec<Vec<&str>> = table.lines().map(|line| line.split(',').collect()).collect();
    let column = |name: &str| rows[0].iter().position(|head| *head == name).unwrap();
    let cells = |row: usize| (rows[row][column("hints")], rows[row][column("hints_cost")]);
    let (all, cost) = (ids.join(" "), costs.iter().sum::<u32>().to_string());
    assert_eq!((cells(1), cells(2)), (("", ""), (all.as_str(), cost.as_str())));
    let page = std::fs::read_to_string(page).unwrap();
    assert!(
        page.contains(&format!("<bdi>{all}</bdi>: {cost}</td>")) && page.contains("opened by 1"),
        "{page}"
    );
}

/// Both schemas come out as JSON with the title of their form.
#[test]
fn schemas_are_written() {
    for (form, title) in [("scenario", "Sealin scenario"), ("attempt", "Sealin attempt")] {
        let (status, told, _) = sealin(&["check", "--schema", form]);
        let schema: Value = serde_json::from_str(&told).unwrap();
        assert_eq!((status, schema["title"].as_str()), (0, Some(title)));
    }
    assert_eq!(sealin(&["check"]).0, 2);
    assert_eq!(sealin(&["check", "--schema", "scenario", "x"]).0, 2);
}

/// The kinds of fault; and of the seal-in without a controller, by hand: no input can be dead, no phase of a conductor, and each conductor
/// can be open, for good or intermittently.
#[test]
fn faults_are_listed() {
    let lines = |args: &[&str]| -> Vec<Value> {
        let (status, told, err) = sealin(&[&["faults", "--json"][..], args].concat());
        assert_eq!(status, 0, "{err}");
        told.lines().map(|line| serde_json::from_str(line).unwrap()).collect()
    };
    let kinds = lines(&[]);
    assert!(kinds.len() >= 70, "{}", kinds.len());
    let welded = kinds.iter().find(|k| k["form"] == "TAG poles welded").unwrap();
    assert_eq!((&welded["intermittent"], &welded["danger"]), (&false.into(), &"immediate".into()));
    let all = lines(&["conveyor-seal-in", "--given"]);
    let of = |form: &str| all.iter().filter(|f| f["form"] == form).count();
    assert_eq!(of("TAG TERMINAL reads 1"), 0);
    assert_eq!((of("TAG PHASE missing"), of("TAG phases swapped")), (3, 1));
    let open = |id: &str| {
        all.iter()
            .filter(|f| f["conductor"] == id && f["form"] == "conductor ID open")
            .map(|f| f["intermittent"].as_bool().unwrap())
            .collect::<Vec<_>>()
    };
    assert_eq!(open("C01"), [false, true]);
    // With its reference there are four conductors more.
    let more = lines(&["conveyor-seal-in"]).iter().filter(|f| f["form"] == "conductor ID open").count();
    assert_eq!(more, of("conductor ID open") + 2 * 4);
    let (status, told, _) = sealin(&["faults"]);
    assert_eq!((status, told.lines().count()), (0, 3 * kinds.len()));
    assert_eq!(sealin(&["faults", "no-such-job"]).0, 2);
}

/// A job with variants under a seed: the reference goes with it, a program of another seed does not fit.
#[test]
fn a_seed_deals_a_job_out() {
    let folder = folder("seeds");
    let out = folder.join("out.json").display().to_string();
    let earned = |seed: &str, options: &[&str]| {
        let (status, _, err) =
            sealin(&[&["attempt", "conveyor-controller", &out, "--seed", seed][..], options].concat());
        assert_eq!(status, 0, "{err}");
        let file: Value = serde_json::from_str(&std::fs::read_to_string(&out).unwrap()).unwrap();
        assert_eq!(file["head"]["seed"].to_string(), seed);
        let told = sealin(&["grade", "--json", &out]).1;
        let told: Value = serde_json::from_str(&told).unwrap();
        let requirements =
            lines(&told, "requirement").iter().map(|l| l["earned"].as_u64().unwrap()).sum::<u64>();
        assert!(told["error"].is_null(), "{told}");
        requirements
    };
    // 14 + 14 + 10 + 16 + 10 + 8.
    let program =
        Path::new(env!("CARGO_MANIFEST_DIR")).join("../../scenarios/conveyor-controller/reference.st");
    let program = program.display().to_string();
    let all: Vec<u64> = ["0", "1", "2", "3"].iter().map(|seed| earned(seed, &[])).collect();
    assert_eq!(all, [72; 4]);
    assert_eq!(earned("0", &["--program", &program]), 72);
    let copied: Vec<u64> =
        ["1", "2", "3"].iter().map(|seed| earned(seed, &["--program", &program])).collect();
    assert!(copied.iter().all(|earned| *earned < 72), "{copied:?}");
}
