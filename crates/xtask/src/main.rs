//! `cargo xtask`: see [`xtask::cli`].

use std::process::ExitCode;

fn main() -> ExitCode {
    xtask::cli::run()
}
