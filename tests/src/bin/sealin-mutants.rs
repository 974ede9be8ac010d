//! Mutants of the references marked, run as a release by `cargo xtask mutate-designs`: a table on the standard output, progress on the
//! other. Ends with 0 if enough lose marks and each that keeps them is listed, 1 if not, 2 where nothing was run.
//!
//! `sealin-mutants [--scenario ID] [--most N] [--states N] [--json]`

use sealin_tests::mutants::job::Job;
use sealin_tests::mutants::report::{self, Counts};
use sealin_tests::mutants::run::{Found, Options, run};
use sealin_tests::mutants::same::Bounds;
use std::process::ExitCode;

/// Which mutants are taken of a job that has more than are asked for.
const SEED: u64 = 1;

/// Scans of both programs on free inputs: some seconds.
const SCANS: u64 = 10_000_000;

fn main() -> ExitCode {
    match asked(std::env::args().skip(1)).and_then(|asked| Ok((found(&asked)?, asked.json))) {
        Ok((all, json)) => {
            print!("{}", if json { report::json(&all) } else { report::table(&all) });
            let counts: Vec<Counts> = all.iter().map(Counts::of).collect();
            let good = Counts::sum(&counts).are_good() && all.iter().all(|found| found.wrong.is_empty());
            ExitCode::from(u8::from(!good))
        }
        Err(why) => {
            eprintln!("{why}");
            ExitCode::from(2)
        }
    }
}

struct Asked {
    ids: Vec<String>,
    options: Options,
    json: bool,
}

fn asked(mut arguments: impl Iterator<Item = String>) -> Result<Asked, String> {
    let bounds = Bounds { scans: SCANS, states: 30_000 };
    let mut asked = Asked {
        ids: Job::ids().map(str::to_string).collect(),
        options: Options { most: 320, seed: SEED, bounds },
        json: false,
    };
    while let Some(argument) = arguments.next() {
        let mut value = || arguments.next().ok_or_else(|| format!("{argument}: a value is expected"));
        let number =
            |text: String| text.parse::<u64>().map_err(|_| format!("`{text}`: a number is expected"));
        match argument.as_str() {
            "--scenario" => asked.ids = vec![value()?],
            "--most" => asked.options.most = number(value()?)? as usize,
            "--states" => asked.options.bounds.states = number(value()?)?,
            "--json" => asked.json = true,
            other => {
                return Err(format!("`{other}`: --scenario ID, --most N, --states N or --json is expected"));
            }
        }
    }
    Ok(asked)
}

fn found(asked: &Asked) -> Result<Vec<Found>, String> {
    asked.ids.iter().map(|id| run(id, &asked.options, &|told| eprintln!("{told}"))).collect()
}
