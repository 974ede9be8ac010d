//! `cargo xtask bench`: runs the benchmarks, the only place where time is measured.
//!
//! Those of the bench itself are in the tests crate: `tests/src/bin/sealin-bench.rs`, compiled as a release, and
//! `sealin-bench-page.rs`, which has the same laps run in the page by a browser, `sealin-bench-worker.rs`, which has the
//! same question explored in a worker, `sealin-bench-suspects.rs` and `sealin-bench-frame.rs`. The size of the first load is
//! measured here, as it needs the site.

use std::path::PathBuf;
use std::process::Stdio;

use anyhow::{Context, Result, bail};
use serde_json::{Value, json};

use crate::cli::WrongUsage;
use crate::site::Site;
use crate::wasm::Profile;
use crate::{budget, paths, run};

/// The benchmark that is done here.
const FIRST_LOAD: &str = "first-load";

/// The benchmark of a frame of the page.
const FRAME: &str = "frame";

/// The benchmark of the tool, which is built for it.
const GRADE: &str = "grade-attempts";

/// The benchmark of what is suspected, which is done in a worker of the page as well.
const SUSPECTS: &str = "suspects";

/// The benchmark that is done in the page as well.
const REALTIME: &str = "bench-realtime";

/// The benchmarks that are done in a worker of the page as well.
const PROOFS: [&str; 2] = ["proof-states", "proof-paddle"];

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
    if !matches!(name, Some(FIRST_LOAD | FRAME)) {
        let mut proofs = Vec::new();
        for line in native(name)? {
            show(&line, options.json);
            if line["name"] == REALTIME {
                in_the_page(&line, options.json)?;
            }
            if line["name"] == SUSPECTS {
                looked_at(&line, options.json)?;
            }
            if PROOFS.iter().any(|proof| line["name"] == *proof) {
                proofs.push(line);
            }
        }
        if !proofs.is_empty() {
            in_a_worker(&proofs, options.json)?;
        }
    }
    if name.is_none_or(|name| name == FRAME) {
        frame(options.json)?;
    }
    if name.is_none_or(|name| name == FIRST_LOAD) {
        first_load(options.json)?;
    }
    Ok(())
}

/// What the native benchmarks found, an object each.
fn native(name: Option<&str>) -> Result<Vec<Value>> {
    let mut cargo = run::cargo();
    cargo.args(["run", "--quiet", "--release", "--package", "sealin-tests", "--no-default-features"]);
    cargo.args(["--features", "bench", "--bin", "sealin-bench", "--"]).args(name);
    if name.is_none_or(|name| name == GRADE) {
        cargo.env("SEALIN_TOOL", tool()?);
    }
    let ended = cargo.stdout(Stdio::piped()).spawn()?.wait_with_output()?;
    match ended.status.code() {
        Some(0) => {}
        Some(2) => return Err(WrongUsage.into()),
        _ => bail!("the benchmarks could not be run"),
    }
    let text = String::from_utf8_lossy(&ended.stdout);
    text.lines().map(|line| serde_json::from_str(line).context("a line of a benchmark is JSON")).collect()
}

/// The program `sealin`, built as a release.
fn tool() -> Result<PathBuf> {
    run::check(run::cargo().args(["build", "--quiet", "--release", "--package", "sealin"]))?;
    Ok(paths::target().join("release").join(format!("sealin{}", std::env::consts::EXE_SUFFIX)))
}

/// The laps of [`REALTIME`] in the page, with what they took natively as their baseline.
fn in_the_page(native: &Value, as_json: bool) -> Result<()> {
    let Some(found) = by_a_browser("sealin-bench-page")? else { return Ok(()) };
    for (name, page, native) in [
        ("bench-realtime-page", &found["every_tick"], &native["value"]),
        ("bench-realtime-page-quiet-passed-over", &found["passed_over"], &native["baseline_value"]),
    ] {
        let ratio = page.as_f64().unwrap_or(f64::NAN) / native.as_f64().unwrap_or(f64::NAN);
        let line = json!({
            "name": name, "value": page, "unit": "x real time",
            "baseline_name": "native", "baseline_value": native, "ratio": ratio,
        });
        show(&line, as_json);
    }
    Ok(())
}

/// The questions of [`PROOFS`] in a worker of the page, each with the same baseline; there must be as many states.
fn in_a_worker(natives: &[Value], as_json: bool) -> Result<()> {
    let Some(found) = by_a_browser("sealin-bench-worker")? else { return Ok(()) };
    let number = |of: &Value, key: &str| of[key].as_f64().unwrap_or(f64::NAN);
    for native in natives {
        let name = native["name"].as_str().unwrap_or_default();
        let found = &found[name];
        let (states, seconds) = (number(found, "states"), number(found, "seconds"));
        if states != number(native, "states") {
            bail!("{found} in the worker, and here {native}");
        }
        let value = if native["unit"] == "ms" { seconds * 1000.0 } else { states / seconds };
        let line = json!({
            "name": format!("{name}-worker"), "value": value, "unit": native["unit"],
            "baseline_name": native["baseline_name"], "baseline_value": native["baseline_value"],
            "ratio": value / number(native, "baseline_value"), "states": states,
        });
        show(&line, as_json);
    }
    Ok(())
}

/// From the press of Look to the list in the page, with the worker that has followed; four times, for a processor at a quarter.
fn looked_at(native: &Value, as_json: bool) -> Result<()> {
    const SLOWER: f64 = 4.0;
    let Some(found) = by_a_browser("sealin-bench-suspects")? else { return Ok(()) };
    let slower = |key: &str| found[key].as_f64().unwrap_or(f64::NAN) * SLOWER;
    let line = json!({
        "name": format!("{SUSPECTS}-page"), "value": slower("listed_ms"), "unit": "ms",
        "baseline_name": "native, as fast as it is", "baseline_value": native["value"],
        "ratio": slower("listed_ms") / native["value"].as_f64().unwrap_or(f64::NAN),
        "weighed_ms": slower("weighed_ms"), "first_look_ms": slower("first_ms"),
        "at_first": found["at_first"], "at_last": found["at_last"],
    });
    show(&line, as_json);
    Ok(())
}

/// Time of the main thread for a frame, the 95th percentile, with the motor running and with the bench standing still; the baseline is
/// a page with one changing number, which takes what the browser needs for itself.
fn frame(as_json: bool) -> Result<()> {
    let Some(found) = by_a_browser("sealin-bench-frame")? else { return Ok(()) };
    let number = |key: &str| found[key].as_f64().unwrap_or(f64::NAN);
    for (name, key) in [(FRAME, "running_ms"), ("frame-still", "still_ms")] {
        let line = json!({
            "name": name, "value": found[key], "unit": "ms",
            "baseline_name": "a page with one number", "baseline_value": found["empty_ms"],
            "ratio": number(key) / number("empty_ms"),
        });
        show(&line, as_json);
    }
    Ok(())
}

/// What a program of the tests crate finds in the built page; none where there is no browser.
fn by_a_browser(program: &str) -> Result<Option<Value>> {
    if ["chromium", "chromedriver"].iter().any(|program| run::find_program(program).is_none()) {
        eprintln!("{program}: not run, as it needs chromium and chromedriver");
        return Ok(None);
    }
    let dir = paths::target().join("site").join("bench");
    Site::build(Profile::Web)?.write(&dir)?;
    let mut cargo = run::cargo();
    cargo.args(["run", "--quiet", "--package", "sealin-tests", "--bin", program]);
    Ok(Some(serde_json::from_str(&run::output(cargo.env("SEALIN_DIST", &dir))?)?))
}

/// A finding as it is, or in words.
fn show(line: &Value, as_json: bool) {
    if as_json {
        println!("{line}");
        return;
    }
    let number = |key: &str| line[key].as_f64().unwrap_or(f64::NAN);
    let word = |key: &str| line[key].as_str().unwrap_or_default();
    print!("{}: {:.3} {}", word("name"), number("value"), word("unit"));
    if line["baseline_value"].is_number() {
        print!(" ({}: {:.3}, ratio {:.3})", word("baseline_name"), number("baseline_value"), number("ratio"));
    }
    // What else a benchmark tells of the same run.
    let known = ["name", "value", "unit", "baseline_name", "baseline_value", "ratio"];
    for (key, value) in
        line.as_object().into_iter().flatten().filter(|(key, _)| !known.contains(&key.as_str()))
    {
        print!(", {key} {value}");
    }
    println!();
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
