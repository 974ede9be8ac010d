//! `sealin check SCENARIO…`: errors with place and what was expected, and what the answers of predictions come to.

use crate::{Answer, input};
use sealin_exercise::attempt;
use sealin_exercise::predictions::right;
use sealin_exercise::scenario::{self, Scenario};

/// Options of `check`.
#[derive(clap::Args)]
pub struct Check {
    /// Paths to scenario files or folders, or ids of shipped scenarios.
    #[arg(required_unless_present = "schema", value_name = "SCENARIO")]
    scenarios: Vec<String>,
    /// One JSON object a scenario.
    #[arg(long)]
    json: bool,
    /// Write the JSON Schema of a form of file instead, for an editor that checks while one types.
    #[arg(long, value_name = "FORM", conflicts_with_all = ["scenarios", "json"])]
    schema: Option<Form>,
}

/// A form of file that has a schema.
#[derive(clap::ValueEnum, Clone, Copy)]
enum Form {
    Scenario,
    Attempt,
}

impl Check {
    /// Reads each scenario; errors go to standard error, one a line.
    pub fn run(self) -> Result<Answer, String> {
        if let Some(form) = self.schema {
            print!(
                "{}",
                match form {
                    Form::Scenario => scenario::SCHEMA,
                    Form::Attempt => attempt::SCHEMA,
                }
            );
            return Ok(Answer::Yes);
        }
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
                Ok(s) => errors += self.well_formed(&place, &s),
                Err(problems) => {
                    errors += problems.len();
                    let lines: Vec<String> = problems.iter().map(|p| format!("{place}:{p}")).collect();
                    self.tell(name, &lines);
                }
            }
        }
        if errors > 0 { Err(format!("{errors} errors")) } else { Ok(Answer::Yes) }
    }

    /// Tells of a scenario that reads without errors, and tries its predictions; how many of them are wrong.
    fn well_formed(&self, place: &str, s: &Scenario) -> usize {
        let tried: Vec<_> = s.predictions.iter().map(|p| (p, right(s, p))).collect();
        let problems: Vec<String> = tried
            .iter()
            .filter_map(|(p, right)| Some(format!("{place}: prediction {}: {}", p.id, right.as_ref().err()?)))
            .collect();
        if self.json {
            let predictions: Vec<_> = tried
                .iter()
                .map(|(p, right)| serde_json::json!({ "id": p.id, "right": right.as_ref().ok() }))
                .collect();
            println!(
                "{}",
                serde_json::json!({ "scenario": s.id, "title": s.title, "requirements": s.requirements.len(),
                    "marks": s.total_marks(), "predictions": predictions, "problems": problems })
            );
            return problems.len();
        }
        println!(
            "{place}: well formed; {} parts, {} conductors given, {} requirements, {} marks",
            s.parts.len(),
            s.given.len(),
            s.requirements.len(),
            s.total_marks()
        );
        for (p, right) in &tried {
            if let Ok(right) = right {
                println!(
                    "{place}: prediction {}: the bench keeps answer {right} of {}",
                    p.id,
                    p.answers.len()
                );
            }
        }
        problems.iter().for_each(|problem| eprintln!("{problem}"));
        problems.len()
    }

    fn tell(&self, name: &str, lines: &[String]) {
        if self.json {
            println!("{}", serde_json::json!({ "scenario": name, "problems": lines }));
        } else {
            lines.iter().for_each(|l| eprintln!("{l}"));
        }
    }
}
