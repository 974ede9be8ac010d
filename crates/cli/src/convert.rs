//! `sealin convert SCENARIO OUT.cir --group dc|ac`: the network of a scenario's bench as a netlist for an outside
//! circuit simulator.

use crate::Answer;
use crate::input::{Work, text};
use crate::run;
use sealin_core::network::netlist::Group;
use sealin_core::part::Kind;
use sealin_core::{Bench, Design, Trace};
use sealin_proof::steps::Outcome;
use std::path::{Path, PathBuf};

/// Options of `convert`.
#[derive(clap::Args)]
pub struct Convert {
    /// Path to a scenario file or folder, or the id of a shipped one.
    scenario: String,
    /// Where the netlist goes: a file whose name ends in `.cir`.
    out: PathBuf,
    /// Which of the two groups that are solved apart.
    #[arg(long)]
    group: Frequency,
    /// Script after which the netlist is taken; without it the supply is still off.
    #[arg(long, value_name = "FILE")]
    steps: Option<PathBuf>,
    #[command(flatten)]
    work: Work,
}

#[derive(Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
enum Frequency {
    /// Direct current.
    Dc,
    /// Mains frequency.
    Ac,
}

impl Convert {
    /// Runs the script and writes the netlist. The answer is no when an expectation of the script is not met.
    pub fn run(self) -> Result<Answer, String> {
        if self.out.extension().and_then(|e| e.to_str()) != Some("cir") {
            return Err(format!("{}: a netlist is written as .cir", self.out.display()));
        }
        let session = self.work.session(&self.scenario)?;
        let mut bench = session.bench().clone();
        if let Some(path) = &self.steps
            && !follow(path, &mut bench)?
        {
            return Ok(Answer::No);
        }
        if bench.tick() == 0 {
            // The contacts are known from the first tick on.
            bench.step();
        }
        let netlist = netlist(&bench, self.group)?;
        std::fs::write(&self.out, netlist).map_err(|e| format!("{}: {e}", self.out.display()))?;
        Ok(Answer::Yes)
    }
}

/// Runs a script; whether all its expectations were met.
fn follow(path: &Path, bench: &mut Bench) -> Result<bool, String> {
    let script = run::read(&text(path)?, path)?;
    let wrong = script.check(bench);
    if !wrong.is_empty() {
        return Err(run::told(&wrong, path));
    }
    match sealin_proof::steps::run(&script, bench, &mut Trace::default()) {
        Outcome::Kept => Ok(true),
        Outcome::Broken(failure) => {
            println!("{}", run::broken(&failure));
            Ok(false)
        }
    }
}

/// The netlist, with the terminals of each node in comments.
fn netlist(bench: &Bench, group: Frequency) -> Result<String, String> {
    let design = &bench.design;
    let group = match group {
        Frequency::Dc => Group::Dc,
        Frequency::Ac => Group::Ac { millihertz: millihertz(design)? },
    };
    let body = design.network.netlist(&bench.state.key, group, &design.drawn(&bench.state));
    let (title, elements) = body.split_once('\n').unwrap_or((&body, ""));
    let mut out =
        format!("{title}\n* Training model: simplified, not a design. {} ms of bench time.\n", bench.tick());
    for terminal in design.terminals() {
        if let Some(node) = design.node(terminal) {
            out += &format!("* n{node} is {terminal}\n");
        }
    }
    Ok(out + elements)
}

/// Frequency of the first supply.
fn millihertz(design: &Design) -> Result<u32, String> {
    let found = design.parts.iter().find_map(|p| match &p.kind {
        Kind::Supply(s) => Some(s.frequency_mhz),
        _ => None,
    });
    found
        .filter(|&f| f > 0)
        .ok_or_else(|| "the scenario has no supply from which the frequency comes".to_string())
}
