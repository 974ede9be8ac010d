//! `cargo xtask bench`: runs the benchmarks, the only place where time is measured.
//!
//! Those of the bench itself are in the tests crate (`tests/src/bin/sealin-bench.rs`), compiled as a release. The size
//! of the first load is measured here, as it needs the site.

use anyhow::{Result, bail};
use serde_json::json;

use crate::cli::WrongUsage;
use crate::site::Site;
use crate::wasm::Profile;
use crate::{budget, run};

/// The benchmark that is done here.
const FIRST_LOAD: &str = "first-load";

/// What `bench` takes.
#[derive(clap::Args, Debug)]
pub struct Options {
    /// The benchmark; without it, all of them
    name: Option<String>,
    /// One JSON object a line: name, value, unit, and where there is a baseline its name, value and ratio
    #[arg(long)]
    json: bool,
}

/// Runs the benchmark named, or all.
///
/// # Errors
/// If there is no such benchmark, or it cannot be built or run.
pub fn run(options: &Options) -> Result<()> {
    let name = options.name.as_deref();
    if name != Some(FIRST_LOAD) {
        let mut cargo = run::cargo();
        cargo.args(["run", "--quiet", "--release", "--package", "sealin-tests", "--no-default-features"]);
        cargo.args(["--bin", "sealin-bench", "--"]).args(name);
        if options.json {
            cargo.arg("--json");
        }
        match cargo.status()?.code() {
            Some(0) => {}
            Some(2) => return Err(WrongUsage.into()),
            _ => bail!("the benchmarks could not be run"),
        }
    }
    if name.is_none_or(|name| name == FIRST_LOAD) {
        first_load(options.json)?;
    }
    Ok(())
}

/// The bytes of a first visit: everything the site has, as compressed by Brotli, with the raw size as its baseline.
fn first_load(as_json: bool) -> Result<()> {
    let size = budget::measure(&Site::build(Profile::Web)?)?["all"];
    let ratio = size.brotli_bytes as f64 / size.raw_bytes.max(1) as f64;
    if as_json {
        let line = json!({
            "name": FIRST_LOAD, "value": size.brotli_bytes, "unit": "B",
            "baseline_name": "first-load-raw", "baseline_value": size.raw_bytes, "ratio": ratio,
        });
        println!("{line}");
    } else {
        println!("{FIRST_LOAD}: {} B by Brotli, {} B raw", size.brotli_bytes, size.raw_bytes);
    }
    Ok(())
}
