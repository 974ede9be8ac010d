//! Finding what compiles for the browser.

use std::path::PathBuf;
use std::process::Command;
use std::time::Duration;

use anyhow::{Result, bail};

use crate::{paths, private_toolchain, run};

/// The target of the front end.
pub const TARGET: &str = "wasm32-unknown-unknown";

/// The time that rustup gets to fetch the target; without a network it fails much sooner or not at all.
const FETCH_LIMIT: Duration = Duration::from_secs(60);

/// The variable that leaves only one way: `rustup` or `private`.
const CHOICE: &str = "SEALIN_WASM_TOOLCHAIN";

/// A toolchain that has the standard library for [`TARGET`].
#[derive(Clone, Debug)]
pub enum Toolchain {
    /// The one that started this program: it has the target already, or rustup added it.
    Own,
    /// A folder of ours over the distribution's compiler.
    Private {
        /// The folder, with `bin/rustc` and `bin/rustdoc`.
        dir: PathBuf,
        /// The distribution's cargo.
        cargo: PathBuf,
    },
}

impl Toolchain {
    /// Finds a toolchain, and makes one if there is none.
    ///
    /// In this order: the toolchain in use if it has the target; the same after `rustup target add`; a private folder
    /// (see [`private_toolchain`]).
    ///
    /// # Errors
    /// If none of them works; the message names what to install and the command that installs it.
    pub fn find() -> Result<Toolchain> {
        let choice = std::env::var(CHOICE).unwrap_or_default();
        if choice != "private" && (own_has_target() || (rustup_adds_target() && own_has_target())) {
            return Ok(Toolchain::Own);
        }
        if choice == "rustup" {
            bail!("{CHOICE}=rustup, but the Rust in use has no {TARGET} and rustup could not add it");
        }
        private_toolchain::find_or_make()
    }

    /// A cargo command that compiles with this toolchain into [`Toolchain::target_dir`].
    pub fn cargo(&self) -> Command {
        let mut command = match self {
            Toolchain::Own => run::cargo(),
            Toolchain::Private { dir, cargo } => {
                let mut command = run::command(cargo);
                for name in ["CARGO", "RUSTUP_TOOLCHAIN", "RUSTC_WRAPPER", "RUSTC_WORKSPACE_WRAPPER"] {
                    command.env_remove(name);
                }
                command.env("RUSTC", dir.join("bin/rustc")).env("RUSTDOC", dir.join("bin/rustdoc"));
                command
            }
        };
        command.env("CARGO_TARGET_DIR", self.target_dir());
        command
    }

    /// The folder it compiles into: its own, so that two compilers do not undo each other's work and the native tests do
    /// not wait for this build.
    pub fn target_dir(&self) -> PathBuf {
        paths::target().join(match self {
            Toolchain::Own => "wasm",
            Toolchain::Private { .. } => "wasm-private",
        })
    }
}

fn own_has_target() -> bool {
    let rustc = std::env::var_os("RUSTC").unwrap_or_else(|| "rustc".into());
    let Ok(dir) = run::output(run::command(rustc).args(["--print", "target-libdir", "--target", TARGET]))
    else {
        return false;
    };
    std::fs::read_dir(dir.trim()).is_ok_and(|files| {
        files.flatten().any(|file| file.file_name().to_string_lossy().starts_with("libcore-"))
    })
}

fn rustup_adds_target() -> bool {
    if run::find_program("rustup").is_none() {
        return false;
    }
    println!("rustup target add {TARGET}");
    let added = run::succeeds_within(run::command("rustup").args(["target", "add", TARGET]), FETCH_LIMIT);
    if !added {
        println!("rustup could not add it; going on without");
    }
    added
}
