//! `cargo xtask serve`: builds the bench and serves it on this machine.

use std::path::{Path, PathBuf};
use std::time::{Duration, SystemTime};

use anyhow::{Context, Result};

use crate::site::Site;
use crate::wasm::Profile;
use crate::{paths, run, server};

/// What `serve` takes.
#[derive(clap::Args, Debug)]
pub struct Options {
    /// The port on 127.0.0.1; 0 takes any that is free
    #[arg(long, default_value_t = 8420)]
    port: u16,
    /// Open the page in the browser
    #[arg(long)]
    open: bool,
    /// Build again when a source changes; quicker to build, larger and slower to run
    #[arg(long)]
    watch: bool,
}

/// Builds, prints the address and serves until it is interrupted.
///
/// # Errors
/// If the port is taken, or the first build fails. With `--watch` a later build that fails is shown, and what was built
/// before goes on being served.
pub fn run(options: &Options) -> Result<()> {
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build()?;
    // The port first: whoever finds it taken should not wait for a build.
    let listener = runtime.block_on(server::bind(options.port))?;
    let address = listener.local_addr()?;
    let profile = if options.watch { Profile::WebWatch } else { Profile::Web };
    let dir = paths::target().join("site").join(if options.watch { "watch" } else { "serve" });
    Site::build(profile)?.write(&dir)?;

    let address = format!("http://{address}/");
    println!("Sealin is at {address}");
    println!("Ctrl+C ends it.");
    if options.open {
        open(&address);
    }
    if options.watch {
        let dir = dir.clone();
        std::thread::spawn(move || watch(profile, &dir));
    }
    runtime.block_on(server::serve(listener, dir))
}

/// Builds again whenever a source is newer than at the last build.
fn watch(profile: Profile, dir: &Path) {
    let sources: Vec<PathBuf> = ["Cargo.toml", "Cargo.lock", "crates", "scenarios", "web"]
        .map(|name| paths::root().join(name))
        .into();
    let mut seen = newest(&sources);
    loop {
        std::thread::sleep(Duration::from_millis(500));
        let now = newest(&sources);
        if now == seen {
            continue;
        }
        seen = now;
        match Site::build(profile).and_then(|site| site.write(dir)) {
            Ok(()) => println!("Built again; load the page again."),
            Err(error) => eprintln!("error: {error:#}"),
        }
    }
}

/// The time of the newest file, and how many files there are, so that a removed one is noticed too.
fn newest(paths: &[PathBuf]) -> (SystemTime, usize) {
    let mut newest = (SystemTime::UNIX_EPOCH, 0);
    let mut open: Vec<PathBuf> = paths.to_vec();
    while let Some(path) = open.pop() {
        let Ok(data) = std::fs::metadata(&path) else { continue };
        if data.is_dir() {
            open.extend(std::fs::read_dir(&path).into_iter().flatten().flatten().map(|entry| entry.path()));
        } else {
            newest = (newest.0.max(data.modified().unwrap_or(SystemTime::UNIX_EPOCH)), newest.1 + 1);
        }
    }
    newest
}

fn open(address: &str) {
    let program = match std::env::consts::OS {
        "macos" => "open",
        "windows" => "explorer",
        _ => "xdg-open",
    };
    if let Err(error) =
        run::command(program).arg(address).spawn().with_context(|| format!("could not start {program}"))
    {
        eprintln!("{error:#}; open the address by hand");
    }
}
