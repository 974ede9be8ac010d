//! The standard library for the browser, compiled once from the distribution's sources.
//!
//! Where rustup cannot fetch a target, Debian's packages still bring a compiler and the sources of its library. The
//! library is compiled with `-Zbuild-std` in a scratch crate; that needs `RUSTC_BOOTSTRAP`, which is why it is done apart
//! and once, and not in every build. The result is a folder whose `bin/rustc` finds the browser's library in the folder
//! and all else in the distribution's own.

use std::fs;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, bail};

use crate::toolchain::{TARGET, Toolchain};
use crate::{paths, run};

/// What Debian 12 needs for it.
const INSTALL: &str = "apt-get install --no-install-recommends rustc-web cargo-web rust-web-src rust-web-clippy rustfmt-web lld-19";

/// Files of the distribution that a private toolchain stands on.
const RUSTC: &str = "/usr/bin/rustc";
const RUSTDOC: &str = "/usr/bin/rustdoc";
const CARGO: &str = "/usr/bin/cargo";
const RUSTLIB: &str = "/usr/lib/rustlib";
const SOURCES: &str = "/usr/lib/rustlib/src/rust/library/std/Cargo.toml";
const LINKERS: [&str; 3] = ["/usr/lib/llvm-19/bin/lld", "/usr/lib/llvm-22/bin/lld", "/usr/bin/lld"];

/// Returns the private toolchain, and makes it if it is missing or of another compiler than the present one.
///
/// # Errors
/// If a file of the distribution is missing (the message says how to get it), or compiling fails.
pub fn find_or_make() -> Result<Toolchain> {
    let linker = LINKERS.iter().map(Path::new).find(|path| path.is_file());
    let missing: Vec<&str> =
        [RUSTC, RUSTDOC, CARGO, SOURCES].into_iter().filter(|path| !Path::new(path).is_file()).collect();
    let Some(linker) = linker.filter(|_| missing.is_empty()) else {
        let linker = if linker.is_none() { LINKERS[0] } else { "" };
        bail!(
            "no compiler for {TARGET}: rustup could not add it (rustup target add {TARGET}), \
             and for a private one there is no {} {linker}\non Debian: {INSTALL}",
            missing.join(" ")
        );
    };

    let dir = paths::target().join("wasm-toolchain");
    let found = Toolchain::Private { dir: dir.clone(), cargo: PathBuf::from(CARGO) };
    let version = run::output(run::command(RUSTC).env_remove("RUSTUP_TOOLCHAIN").arg("-vV"))?;
    let stamp = dir.join("stamp");
    if fs::read_to_string(&stamp).is_ok_and(|text| text == version) {
        return Ok(found);
    }

    println!("making a toolchain for {TARGET} from the distribution's sources, once (about a minute)");
    if dir.exists() {
        fs::remove_dir_all(&dir).with_context(|| format!("could not remove {}", dir.display()))?;
    }
    let scratch = paths::target().join("wasm-toolchain-scratch");
    let library = compile_library(&scratch)?;
    lay_out(&dir, &library, linker, host(&version)?)?;
    fs::remove_dir_all(&scratch)?;
    fs::write(&stamp, version)?;
    Ok(found)
}

/// Compiles the standard library. Returns the folder with its `.rlib` files.
fn compile_library(scratch: &Path) -> Result<PathBuf> {
    fs::create_dir_all(scratch.join("src"))?;
    fs::write(
        scratch.join("Cargo.toml"),
        "[package]\nname = \"scratch\"\nversion = \"0.0.0\"\nedition = \"2024\"\n\n[workspace]\n\n\
         [profile.release]\ncodegen-units = 1\ndebug = false\n",
    )?;
    fs::write(scratch.join("src/lib.rs"), "")?;
    let mut command = run::command(CARGO);
    command.current_dir(scratch);
    for name in ["CARGO", "RUSTUP_TOOLCHAIN", "RUSTC_WRAPPER", "RUSTC_WORKSPACE_WRAPPER", "RUSTDOC"] {
        command.env_remove(name);
    }
    command
        .env("RUSTC", RUSTC)
        .env("RUSTC_BOOTSTRAP", "1")
        // The library must keep its bitcode, or the front end could not be optimised across crates.
        .env("RUSTFLAGS", "-Cembed-bitcode=yes")
        .env("CARGO_TARGET_DIR", scratch.join("target"))
        .args(["build", "--release", "--target", TARGET, "-Zbuild-std=std,panic_abort,proc_macro,test"]);
    run::check(&mut command).context("the standard library could not be compiled")?;
    Ok(scratch.join("target").join(TARGET).join("release/deps"))
}

/// Lays the toolchain out as `rustc --sysroot` expects it.
fn lay_out(dir: &Path, library: &Path, linker: &Path, host: &str) -> Result<()> {
    let rustlib = dir.join("lib/rustlib");
    let target_lib = rustlib.join(TARGET).join("lib");
    let host_dir = rustlib.join(host);
    let bin = dir.join("bin");
    for folder in [&target_lib, &host_dir.join("bin"), &bin] {
        fs::create_dir_all(folder)?;
    }
    for file in fs::read_dir(library)? {
        let path = file?.path();
        let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
        if name.ends_with(".rlib") && !name.starts_with("libscratch-") {
            fs::copy(&path, target_lib.join(&name))?;
        }
    }
    link(&Path::new(RUSTLIB).join(host).join("lib"), &host_dir.join("lib"))?;
    for shared in ["etc", "src"] {
        link(&Path::new(RUSTLIB).join(shared), &rustlib.join(shared))?;
    }
    link(linker, &host_dir.join("bin/rust-lld"))?;
    for (name, program) in [("rustc", RUSTC), ("rustdoc", RUSTDOC)] {
        write_wrapper(&bin.join(name), program, dir)?;
    }
    Ok(())
}

fn host(version: &str) -> Result<&str> {
    version
        .lines()
        .find_map(|line| line.strip_prefix("host: "))
        .with_context(|| format!("{RUSTC} -vV names no host"))
}

#[cfg(unix)]
fn link(to: &Path, at: &Path) -> Result<()> {
    std::os::unix::fs::symlink(to, at).with_context(|| format!("could not link {}", at.display()))
}

#[cfg(unix)]
fn write_wrapper(at: &Path, program: &str, sysroot: &Path) -> Result<()> {
    use std::os::unix::fs::PermissionsExt;
    let quoted = sysroot.display().to_string().replace('\'', r"'\''");
    fs::write(at, format!("#!/bin/sh\nexec {program} --sysroot '{quoted}' \"$@\"\n"))?;
    fs::set_permissions(at, fs::Permissions::from_mode(0o755))?;
    Ok(())
}

#[cfg(not(unix))]
fn link(_: &Path, _: &Path) -> Result<()> {
    bail!("a private toolchain is made on Debian only")
}

#[cfg(not(unix))]
fn write_wrapper(_: &Path, _: &str, _: &Path) -> Result<()> {
    bail!("a private toolchain is made on Debian only")
}
