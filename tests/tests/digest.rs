//! A committed digest of fifty generated attempts: whatever changes a trace must raise the model revision.
//!
//! The file is recorded from our own output on purpose; it says nothing about right or wrong, only that something
//! changed. When it differs: raise `MODEL_REVISION` in sealin-core if traces of existing attempts change, say so in
//! CHANGELOG.md, and write the new digest with `SEALIN_WRITE_DIGEST=1 cargo test -p sealin-tests --test digest`.

use sealin_core::MODEL_REVISION;
use sealin_core::canon::{Writer, hex};
use sealin_tests::generate::{paddle, session};
use std::path::PathBuf;

const ATTEMPTS: u64 = 50;

#[test]
fn traces_are_those_of_this_model_revision() {
    let scenario = paddle();
    let mut w = Writer::new("sealin digest 1");
    for seed in 0..ATTEMPTS {
        let s = session(&scenario, seed);
        w.bytes(&s.trace().trace_hash()).bytes(&s.trace().exact_hash());
    }
    let found = format!("model revision {MODEL_REVISION}, {ATTEMPTS} attempts: {}\n", hex(&w.finish()));
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("cases/digest/attempts.txt");
    if std::env::var_os("SEALIN_WRITE_DIGEST").is_some() {
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(&path, &found).unwrap();
    }
    let committed = std::fs::read_to_string(&path).unwrap_or_default();
    assert_eq!(found, committed, "traces have changed; the header of this test says what to do");
}
