//! The README's example of marking a million attempts, run as it stands there on two hundred.

use std::path::Path;
use std::process::{Command, Stdio};

const README: &str = include_str!("../../../README.md");

const SCENARIO: &str = include_str!("../../../scenarios/paddle-closed-loop/scenario.toml");

/// The block of the README that has the example.
fn example() -> &'static str {
    let blocks = README.split("\n```\n").map(|block| block.trim());
    blocks.into_iter().find(|block| block.starts_with("parallel --pipe")).expect("the README has the example")
}

/// Four designs by many learners, some of them damaged: the lines of marks of several processes are those of one, byte for byte, and so
/// are table and page.
#[test]
fn many_processes_say_what_one_says() {
    let found = Command::new("parallel").arg("--version").stdout(Stdio::piped()).output();
    assert!(
        found.is_ok_and(|o| String::from_utf8_lossy(&o.stdout).contains("GNU parallel")),
        "GNU parallel is missing, by which the README's example runs; on Debian: apt-get install parallel"
    );
    let tool = Path::new(env!("CARGO_BIN_EXE_sealin"));
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("readme-parallel");
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).unwrap();
    // A scenario of one's own travels with the attempt and makes it large, so that blocks of 1 MB are several.
    let own = SCENARIO.replacen("pass_marks = 84", "pass_marks = 20", 1);
    std::fs::write(folder.join("own.toml"), own).unwrap();
    std::fs::write(folder.join("idle.st"), "PROGRAM idle\nEND_PROGRAM\n").unwrap();
    let works = [&["--given"][..], &[], &["--program", "idle.st"], &["--given", "--program", "idle.st"]];
    let values = works.map(|args| -> serde_json::Value {
        let mut make = Command::new(tool);
        make.current_dir(&folder).args(["attempt", "own.toml", "one.json"]).args(args);
        assert!(make.stdout(Stdio::null()).status().unwrap().success());
        serde_json::from_str(&std::fs::read_to_string(folder.join("one.json")).unwrap()).unwrap()
    });
    let (mut lines, count) = (String::new(), 200);
    for k in 0..count {
        let mut attempt = values[k % 4].clone();
        attempt["head"]["author"] = format!("Learner {k}").into();
        let line = attempt.to_string();
        lines += if k % 10 == 7 { &line[..line.len() / 2] } else { &line };
        lines += "\n";
    }
    assert!(lines.len() > 5_000_000, "{} bytes", lines.len());
    std::fs::write(folder.join("attempts.jsonl"), lines).unwrap();
    let run = |script: &str| {
        let path = std::env::var("PATH").unwrap_or_default();
        let path = format!("{}:{path}", tool.parent().unwrap().display());
        let mut shell = Command::new("bash");
        shell.current_dir(&folder).env("PATH", path).args(["-c", script]);
        let output = shell.output().unwrap();
        String::from_utf8_lossy(&output.stderr).into_owned()
    };
    let told = run(example());
    // Each process tells how many it could not mark.
    assert!(told.matches("attempts could not be marked").count() > 2, "several processes: {told}");
    run("sealin grade - --csv one.csv --html one.html < attempts.jsonl > one.jsonl");
    let read = |name: &str| std::fs::read_to_string(folder.join(name)).unwrap();
    assert_eq!(read("marks.jsonl").lines().count(), count);
    assert!(read("marks.jsonl") == read("one.jsonl"), "the lines of marks differ");
    assert!(read("class.csv") == read("one.csv"), "the tables differ");
    assert!(read("class.html") == read("one.html"), "the pages differ");
    std::fs::remove_dir_all(&folder).unwrap();
}
