//! `sealin convert` with programs, as a person calls it.

use std::path::{Path, PathBuf};
use std::process::Command;

const PROGRAM: &str = "(* Paddle *)
PROGRAM paddle
VAR
    up   AT %IX0.0 : BOOL; (* RAISE & hold *)
    q    AT %QX0.0 : BOOL;
    rest : TON;
END_VAR

(* seal-in *)
q := up OR q;
rest(IN := q, PT := T#2s);
END_PROGRAM
";

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

fn convert(folder: &Path, from: &str, out: &str, options: &[&str]) -> (i32, String) {
    let (from, out) = (folder.join(from), folder.join(out));
    sealin(&[&["convert", from.to_str().unwrap(), out.to_str().unwrap()], options].concat())
}

#[test]
fn a_program_goes_to_xml_and_back() {
    let folder = folder("exchange");
    let text = |name: &str| std::fs::read_to_string(folder.join(name)).unwrap();
    std::fs::write(folder.join("a.st"), PROGRAM).unwrap();
    let fixed = ["--date", "2026-01-31T12:00:00", "--scan-ms", "10"];
    assert_eq!(convert(&folder, "a.st", "a.xml", &fixed), (0, String::new()));
    assert!(text("a.xml").contains("creationDateTime=\"2026-01-31T12:00:00\""), "{}", text("a.xml"));
    assert!(text("a.xml").contains("interval=\"T#10ms\""));
    assert_eq!(convert(&folder, "a.xml", "b.st", &[]), (0, String::new()));
    assert_eq!(text("b.st"), PROGRAM);
    // The period goes with the file.
    assert_eq!(convert(&folder, "a.xml", "b.xml", &fixed[..2]).0, 0);
    assert_eq!(text("b.xml"), text("a.xml"));
    assert_eq!(convert(&folder, "a.st", "c.xml", &["--form", "iec10"]), (0, String::new()));
    assert!(text("c.xml").contains("<Rung evaluationOrder=\"2\">"), "{}", text("c.xml"));
}

#[test]
fn what_is_not_understood_is_listed_and_the_answer_is_no() {
    let folder = folder("exchange-notes");
    std::fs::write(folder.join("a.st"), PROGRAM).unwrap();
    assert_eq!(convert(&folder, "a.st", "a.xml", &[]).0, 0);
    let xml = std::fs::read_to_string(folder.join("a.xml")).unwrap();
    std::fs::write(folder.join("b.xml"), xml.replace("<rightPowerRail", "<sluice/><rightPowerRail")).unwrap();
    let (status, told) = convert(&folder, "b.xml", "b.st", &[]);
    assert_eq!(status, 1, "{told}");
    assert_eq!(told.lines().count(), 1, "{told}");
    assert!(told.contains("line ") && told.contains("<sluice>: is not understood; left out"), "{told}");
    assert_eq!(std::fs::read_to_string(folder.join("b.st")).unwrap(), PROGRAM);
}

#[test]
fn what_cannot_be_read_is_refused_and_nothing_is_written() {
    let folder = folder("exchange-bad");
    for (name, content, wanted) in [
        ("a.st", "PROGRAM p\nq := a;\nEND_PROGRAM\n", "line 2"),
        ("b.xml", "<project>", "the file ends inside an element"),
        ("c.xml", "<project/>", "tc6_0201"),
        ("d.xml", "<!DOCTYPE project><project/>", "document type"),
        ("e.xml", &"<a>".repeat(100), "inside each other"),
    ] {
        std::fs::write(folder.join(name), content).unwrap();
        let (status, told) = convert(&folder, name, "out.st", &[]);
        assert_eq!((status, told.contains(wanted)), (2, true), "{name}: {told}");
    }
    assert_eq!(convert(&folder, "missing.st", "out.xml", &[]).0, 2);
    assert_eq!(convert(&folder, "a.st", "out.txt", &[]).0, 2);
    assert_eq!(convert(&folder, "a.st", "out.xml", &["--date", "today"]).0, 2);
    assert!(!folder.join("out.st").exists() && !folder.join("out.xml").exists());
}
