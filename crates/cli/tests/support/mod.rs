//! The tool as a person calls it, and a folder of its own for each test.

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

pub const ID: &str = "paddle-closed-loop";

pub fn sealin(args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_sealin")).args(args).output().unwrap()
}

/// Status, standard output and standard error.
pub fn told(output: &Output) -> (i32, String, String) {
    let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
    (output.status.code().unwrap(), text(&output.stdout), text(&output.stderr))
}

pub fn json(text: &str) -> serde_json::Value {
    serde_json::from_str(text.trim()).unwrap_or_else(|e| panic!("{e}: {text}"))
}

pub struct Folder(pub PathBuf);

impl Folder {
    pub fn new(name: &str) -> Folder {
        let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
        let _ = std::fs::remove_dir_all(&path);
        std::fs::create_dir_all(&path).unwrap();
        Folder(path)
    }

    pub fn file(&self, name: &str, text: impl AsRef<[u8]>) -> String {
        let path = self.0.join(name);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(&path, text).unwrap();
        path.display().to_string()
    }

    pub fn path(&self, name: &str) -> String {
        self.0.join(name).display().to_string()
    }
}
