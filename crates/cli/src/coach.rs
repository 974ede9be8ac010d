//! `sealin coach SCENARIO`: how many readings the coach takes to what a job of fault finding hides, and what it leaves.

use crate::{Answer, input};
use sealin_core::Fault;
use sealin_exercise::hunt::Coach;
use sealin_exercise::scenario::Scenario;
use sealin_proof::suspects::Path;

/// Options of `coach`.
#[derive(clap::Args)]
pub struct CoachArgs {
    /// Path to a scenario file or folder, or the id of one that ships.
    scenario: String,
    /// A fault to find in place of what is hidden, such as "QA1 coil open"; with it each reading of the way is told.
    #[arg(long)]
    fault: Option<String>,
}

impl CoachArgs {
    /// Rehearses the job, and finds what is hidden in it, one at a time. Of a sealed job it tells only how many readings it took, and how many suspects they left.
    pub fn run(self) -> Result<Answer, String> {
        let (place, text) = input::scenario_text(&self.scenario)?;
        let scenario = Scenario::parse(&text).map_err(|all| {
            format!("{place}: {}", all.first().map(ToString::to_string).unwrap_or_default())
        })?;
        let mut coach = Coach::new(&scenario)?;
        while coach.advance(1_000)?.0 > 0 {}
        if let Some(line) = &self.fault {
            let path = coach.path(&Fault::parse(line)?)?;
            for step in &path.steps {
                println!(
                    "{:5.2} bit  {:4} ruled out, {:4} left  {:?}",
                    step.bits, step.out, step.left, step.finding
                );
            }
            println!("{} readings, of which {} told something; left:", path.readings(), path.told());
            path.left.iter().for_each(|(suspect, _)| println!("  {suspect:?}"));
            return Ok(Answer::Yes);
        }
        let paths = scenario.of_each_hidden(&mut |fault| coach.path(fault))?;
        let readings = paths.iter().map(Path::told).max().unwrap_or(0);
        let left = paths.iter().map(Path::likely).fold(0.0, f64::max);
        println!("needed_readings = {readings}");
        println!("suspects_left = {:.0}", left.ceil());
        Ok(Answer::Yes)
    }
}
