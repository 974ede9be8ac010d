//! `sealin convert IN OUT`: programs between structured text and XML, the network of a scenario's bench as a netlist
//! for an outside circuit simulator, a requirement of it as a model for an outside model checker. The name of OUT says which.

mod exchange;
mod model;

use crate::Answer;
use crate::input::{Work, as_drawn, text};
use crate::run;
use crate::task::Wanted;
use sealin_core::network::netlist::Group;
use sealin_core::part::Kind;
use sealin_core::{Bench, Design, Trace};
use sealin_proof::steps::Outcome;
use std::path::{Path, PathBuf};

/// Options of `convert`.
#[derive(clap::Args)]
pub struct Convert {
    /// A program as .st or .xml; for a netlist or a model a scenario: path to its file or folder, or the id of a shipped one.
    #[arg(value_name = "IN")]
    input: String,
    /// Where it goes: .xml or .st for a program, .cir for a netlist, .pml for a model.
    out: PathBuf,
    #[command(flatten)]
    heading: exchange::Heading,
    /// For a netlist: which of the two groups that are solved apart.
    #[arg(long)]
    group: Option<Frequency>,
    /// For a netlist: script after which it is taken; without it the supply is still off.
    #[arg(long, value_name = "FILE")]
    steps: Option<PathBuf>,
    /// For a model: every device tick by tick in place of a table; of a small hard-wired bench only.
    #[arg(long)]
    ticks: bool,
    #[command(flatten)]
    wanted: Wanted,
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
    /// Converts. The answer is no when something was not understood or an expectation of the script is not met.
    pub fn run(self) -> Result<Answer, String> {
        match self.out.extension().and_then(|e| e.to_str()) {
            Some("cir") => self.netlist(),
            Some("xml") => exchange::to_xml(Path::new(&self.input), &self.out, &self.heading),
            Some("pml") => self.model(),
            Some("st") => exchange::to_text(Path::new(&self.input), &self.out),
            _ => Err(format!(
                "{}: a name that ends in .xml, .st, .cir or .pml is expected",
                self.out.display()
            )),
        }
    }

    /// Writes the model of what is wanted.
    fn model(self) -> Result<Answer, String> {
        model::write(&self.work.session(&self.input, 0)?, &self.out, &self.wanted, self.ticks)
    }

    /// Runs the script and writes the netlist.
    fn netlist(self) -> Result<Answer, String> {
        let group = self.group.ok_or("a netlist needs --group dc or --group ac")?;
        let session = self.work.session(&self.input, 0)?;
        let mut bench = as_drawn(&session)?;
        if let Some(path) = &self.steps
            && !follow(path, &mut bench)?
        {
            return Ok(Answer::No);
        }
        if bench.tick() == 0 {
            // The contacts are known from the first tick on.
            bench.step();
        }
        let netlist = netlist(&bench, group)?;
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
