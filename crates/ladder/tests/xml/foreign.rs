//! Projects of another hand, each with the program that they mean and with what has to be told of them.
//!
//! The cases lie in `tests/cases/xml`: `NAME.xml` is the project, `NAME.st` the program in structured text, `NAME.notes`
//! the notes, a line each. All three are written by hand from TC6 XML 0201 and IEC 61131-3 (ladder diagram: evaluation
//! of networks).

use std::path::{Path, PathBuf};

use sealin_ladder::xml::read;
use sealin_ladder::{Network, Output, Test, print};

fn cases() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/cases/xml");
    let files = std::fs::read_dir(folder).expect("the folder of cases");
    let mut cases: Vec<PathBuf> = files.map(|file| file.expect("a file").path()).collect();
    cases.retain(|path| path.extension().is_some_and(|kind| kind == "xml"));
    cases.sort();
    cases
}

/// The lines with single spaces: how names are lined up is another test's matter.
fn words(text: &str) -> Vec<String> {
    text.lines().map(|line| line.split_whitespace().collect::<Vec<_>>().join(" ")).collect()
}

#[test]
fn a_project_of_another_hand_is_read_as_it_means() {
    let cases = cases();
    assert!(cases.len() >= 16, "{} cases", cases.len());
    let mut wrong = Vec::new();
    for path in cases {
        let text =
            |kind: &str| std::fs::read_to_string(path.with_extension(kind)).expect("a file of the case");
        let name = path.file_stem().unwrap_or_default().to_string_lossy().into_owned();
        match read(&text("xml")) {
            Ok(found) => {
                let notes: String = found.notes.iter().map(|note| format!("{note}\n")).collect();
                let printed = print(&found.program);
                if notes != text("notes") || words(&printed) != words(&text("st")) {
                    wrong.push(format!(
                        "{name}:\n{notes}--- expected:\n{}\n{printed}--- expected:\n{}",
                        text("notes"),
                        text("st")
                    ));
                }
            }
            Err(error) => wrong.push(format!("{name}: {error}")),
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n\n"));
}

/// Edges at contacts and coils (TC6 XML 0201, `edge`), and contacts that several outputs share while one of them writes
/// what they read.
#[test]
fn edges_are_read() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/cases/xml/coils-in-a-chain.xml");
    let text = std::fs::read_to_string(path).expect("the case");
    let text = text.replacen("<contact localId=\"2\"", "<contact edge=\"rising\" localId=\"2\"", 1).replacen(
        "<coil localId=\"3\"",
        "<coil edge=\"falling\" localId=\"3\"",
        1,
    );
    let found = read(&text).expect("a project");
    assert_eq!(found.notes, []);
    let outputs: Vec<&Output> = found.program.rungs.iter().map(|rung| &rung.output).collect();
    let var = |name: &str| name.to_owned();
    assert_eq!(
        outputs,
        [
            &Output::Falling { var: var("q") },
            &Output::Reset { var: var("r") },
            &Output::Negated { var: var("s") }
        ]
    );
    let rising = || Network::bit("a", Test::Rising);
    let logics: Vec<&Network> = found.program.rungs.iter().map(|rung| &rung.logic).collect();
    assert_eq!(logics, [&rising(), &rising(), &Network::Series(vec![rising(), Network::open("b")])]);
    // An edge and a negation together mean nothing in the standard.
    let text = text.replacen("edge=\"rising\"", "edge=\"rising\" negated=\"true\"", 1);
    let found = read(&text).expect("a project");
    assert_eq!((found.program.rungs.len(), found.notes.len()), (0, 4), "{:?}", found.notes);
}

/// A counter's box whose instance is declared as a bit gives no count: it once came through its connection into a
/// comparison that nothing else could read.
#[test]
fn a_count_comes_only_from_a_counter() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/cases/xml/counter-and-comparison.xml");
    let text = std::fs::read_to_string(path).expect("the case");
    let declared = text.find(r#"<variable name="parts">"#).expect("the counter");
    let (before, after) = text.split_at(declared);
    let bit = format!("{before}{}", after.replacen(r#"<derived name="CTU"/>"#, "<BOOL/>", 1));
    let found = read(&bit).expect("a project");
    let mut names = Vec::new();
    for rung in &found.program.rungs {
        rung.each_contact(&mut |contact| names.extend(contact.names().map(str::to_owned)));
    }
    assert!(!names.iter().any(|name| name == "parts.CV"), "{names:?}");
    assert!(found.notes.iter().any(|note| note.to_string().contains("parts")), "{:?}", found.notes);
}
