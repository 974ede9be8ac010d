//! A job of fault finding from the author's hands to the learner's: started, checked, sealed, and marked without the open file.

use sealin_exercise::attempt::Attempt;
use sealin_exercise::scenario::Scenario;
use std::path::{Path, PathBuf};
use std::process::Command;

/// Status, standard output and standard error.
fn sealin(args: &[&str]) -> (i32, String, String) {
    let output = Command::new(env!("CARGO_BIN_EXE_sealin")).args(args).output().unwrap();
    let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
    (output.status.code().unwrap(), text(&output.stdout), text(&output.stderr))
}

/// A job as it is started, in a folder of its own, and that folder.
fn started(name: &str) -> (String, PathBuf) {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).unwrap();
    let into = folder.display().to_string();
    let (status, told, err) = sealin(&["new", "does-not-start", "--fault-finding", "--into", &into]);
    assert_eq!(status, 0, "{err}");
    assert!(told.contains("scenario.toml;") && !told.contains("reference"), "{told}");
    (folder.join("does-not-start").display().to_string(), folder)
}

/// 10 + 10 + 10 + 10 marks of the task and 10 of craft, by hand.
#[test]
fn started_checked_and_sealed() {
    let (job, folder) = started("seal");
    let (status, told, err) = sealin(&["check", &job]);
    assert_eq!((status, err.as_str()), (0, ""));
    assert!(told.contains("50 marks"), "{told}");
    let out = folder.join("sealed.toml").display().to_string();
    let (status, told, err) = sealin(&["seal", &job, &out]);
    assert_eq!((status, err.as_str()), (0, ""));
    assert!(told.contains("sealed; keep"), "{told}");
    let text = std::fs::read_to_string(&out).unwrap();
    for word in ["[[fault_finding.hidden]]", "conductor L1 open", "coil open"] {
        assert!(!text.contains(word), "{word}");
    }
    assert_eq!(sealin(&["check", &out]).0, 0);
    // The same to standard output, and nothing else.
    assert_eq!(sealin(&["seal", &job]), (0, text.clone(), String::new()));
    // A learner's attempt on the sealed file, handed in by whoever has nothing but it: both hide the same for the same seed.
    let open = Scenario::parse(&std::fs::read_to_string(format!("{job}/scenario.toml")).unwrap()).unwrap();
    let sealed = Scenario::parse(&text).unwrap();
    assert_eq!(open.fault_finding.as_ref().unwrap().how, sealed.fault_finding.as_ref().unwrap().how);
    let attempt = folder.join("one.attempt.json").display().to_string();
    let (status, _, err) = sealin(&["attempt", &out, &attempt, "--given"]);
    assert_eq!((status, err.as_str()), (0, ""));
    let made = Attempt::parse(&std::fs::read_to_string(&attempt).unwrap()).unwrap();
    assert!(made.head.embedded.as_deref().is_some_and(|text| !text.contains("conductor L1 open")));
    // Nothing handed in, nothing earned: below the pass mark.
    assert_eq!(sealin(&["grade", &attempt]).0, 1);
}

#[test]
fn what_cannot_be_sealed_is_told_and_nothing_is_written() {
    let (job, folder) = started("seal-refused");
    let file = format!("{job}/scenario.toml");
    let before = std::fs::read_to_string(&file).unwrap();
    let out = folder.join("out.toml").display().to_string();
    for (args, says) in [
        (vec!["seal", job.as_str(), file.as_str()], "would be lost"),
        (vec!["seal", "paddle-wont-raise", out.as_str()], "sealed already"),
        (vec!["seal", "paddle-closed-loop", out.as_str()], "there is no [fault_finding]"),
        (vec!["seal", "nowhere", out.as_str()], "no such file"),
        (vec!["seal"], "SCENARIO"),
    ] {
        let (status, told, err) = sealin(&args);
        assert_eq!((status, told.as_str()), (2, ""), "{args:?}");
        assert!(err.contains(says), "{args:?}: {err}");
    }
    assert!(!Path::new(&out).exists());
    assert_eq!(std::fs::read_to_string(&file).unwrap(), before);
}

/// What a seal cannot do is said where it is offered.
#[test]
fn help_is_honest() {
    let (status, told, _) = sealin(&["seal", "--help"]);
    assert_eq!(status, 0);
    assert!(told.contains("It is no lock"), "{told}");
}
