//! The bench against standards and hand calculations: every file of `tests/cases/core`.

use sealin_tests::cases::run_case;
use std::path::{Path, PathBuf};
use std::sync::Mutex;

fn files() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("cases/core");
    let mut all: Vec<PathBuf> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|e| e == "toml"))
        .collect();
    all.sort();
    all
}

#[test]
fn every_case_holds() {
    let files = files();
    let (next, broken) = (Mutex::new(files.iter()), Mutex::new(Vec::new()));
    let threads = std::thread::available_parallelism().map_or(1, |n| n.get());
    std::thread::scope(|scope| {
        for _ in 0..threads {
            scope.spawn(|| {
                loop {
                    let Some(file) = next.lock().unwrap().next() else { break };
                    if let Err(e) = run_case(file) {
                        broken.lock().unwrap().push(format!("{}: {e}", file.file_stem().unwrap().display()));
                    }
                }
            });
        }
    });
    let mut broken = broken.into_inner().unwrap();
    broken.sort();
    assert!(broken.is_empty(), "{} of {} cases break:\n{}", broken.len(), files.len(), broken.join("\n"));
    println!("{} cases of the bench hold", files.len());
    assert!(files.len() >= 40, "{}", files.len());
}

/// A figure that is wrong must break its case.
#[test]
fn a_wrong_expectation_breaks_its_case() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("cases/core");
    let text = std::fs::read_to_string(folder.join("overload-10-d-cold.toml")).unwrap();
    let wrong = text.replace("between 4s and 10s", "between 1s and 4s");
    assert_ne!(text, wrong);
    let place = folder.join("rigs/../wrong-on-purpose.tmp");
    std::fs::write(&place, wrong).unwrap();
    let result = run_case(&place);
    std::fs::remove_file(&place).unwrap();
    assert!(result.unwrap_err().contains("not within 4000 ms"));
}
