//! `sealin check SCENARIO…`: errors with place and what was expected.

use crate::{Answer, input};
use sealin_exercise::scenario::Scenario;

/// Options of `check`.
#[derive(clap::Args)]
pub struct Check {
    /// Paths to scenario files or folders, or ids of shipped scenarios.
    #[arg(required = true, value_name = "SCENARIO")]
    scenarios: Vec<String>,
    /// One JSON object a scenario.
    #[arg(long)]
    json: bool,
}

impl Check {
    /// Reads each scenario; errors go to standard error, one a line.
    pub fn run(self) -> Result<Answer, String> {
        let mut errors = 0;
        for name in &self.scenarios {
            let (place, text) = match input::scenario_text(name) {
                Ok(found) => found,
                Err(message) => {
                    errors += 1;
                    self.tell(name, &[message]);
                    continue;
                }
            };
            match Scenario::parse(&text) {
                Ok(s) if self.json => println!(
                    "{}",
                    serde_json::json!({ "scenario": s.id, "title": s.title, "requirements": s.requirements.len(),
                        "marks": s.total_marks(), "problems": [] })
                ),
                Ok(s) => println!(
                    "{place}: well formed; {} parts, {} conductors given, {} requirements, {} marks",
                    s.parts.len(),
                    s.given.len(),
                    s.requirements.len(),
                    s.total_marks()
                ),
                Err(problems) => {
                    errors += problems.len();
                    let lines: Vec<String> = problems.iter().map(|p| format!("{place}:{p}")).collect();
                    self.tell(name, &lines);
                }
            }
        }
        if errors > 0 { Err(format!("{errors} errors")) } else { Ok(Answer::Yes) }
    }

    fn tell(&self, name: &str, lines: &[String]) {
        if self.json {
            println!("{}", serde_json::json!({ "scenario": name, "problems": lines }));
        } else {
            lines.iter().for_each(|l| eprintln!("{l}"));
        }
    }
}
