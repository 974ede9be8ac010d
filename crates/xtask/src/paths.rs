//! Where things are.

use std::path::{Path, PathBuf};

/// The root of the repository: the folder two above this crate.
pub fn root() -> PathBuf {
    let crate_dir = Path::new(env!("CARGO_MANIFEST_DIR"));
    crate_dir.ancestors().nth(2).unwrap_or(crate_dir).to_path_buf()
}

/// The folder of what is built, kept out of git: `CARGO_TARGET_DIR` if it is set, else `target`.
pub fn target() -> PathBuf {
    match std::env::var_os("CARGO_TARGET_DIR") {
        Some(dir) => root().join(dir),
        None => root().join("target"),
    }
}

/// The front end's folder.
pub fn web() -> PathBuf {
    root().join("web")
}
