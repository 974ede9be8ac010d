//! `sealin faults [SCENARIO]`: the catalogue of kinds of fault, or every single fault that fits a scenario's parts and conductors.

use crate::{Answer, input};
use sealin_core::fault::{KINDS, Kind, Value as FaultValue};
use sealin_core::{Fault, Plan};
use serde_json::{Value, json};

/// Options of `faults`.
#[derive(clap::Args)]
pub struct Faults {
    /// Path to a scenario file or folder, or the id of a shipped one: every single fault that fits it, with the reference's
    /// conductors and program. Without it the kinds.
    scenario: Option<String>,
    #[command(flatten)]
    work: input::Work,
    /// One JSON object a line.
    #[arg(long)]
    json: bool,
}

impl Faults {
    /// Writes the list.
    pub fn run(self) -> Result<Answer, String> {
        let Some(scenario) = &self.scenario else {
            if self.work != input::Work::default() {
                return Err("a work is that of a scenario; SCENARIO is expected".to_string());
            }
            KINDS.iter().for_each(|kind| println!("{}", self.kind(kind)));
            return Ok(Answer::Yes);
        };
        let session = self.work.session(scenario, 0)?;
        let plan = session.bench().plan();
        for fault in Fault::of_plan(plan) {
            println!("{}", self.fault(&fault, plan));
        }
        Ok(Answer::Yes)
    }

    fn kind(&self, kind: &Kind) -> String {
        if self.json {
            return json!({ "form": kind.mode.form(), "on": kind.class.said(), "unit": kind.mode.unit().word(),
                "danger": kind.danger.word(), "intermittent": kind.mode.may_come_and_go(),
                "explored": kind.mode.is_explored(), "shows": kind.shows, "measured": kind.measured })
            .to_string();
        }
        let constant = if kind.mode.may_come_and_go() { "constant or intermittent" } else { "constant" };
        format!(
            "{}: {}; {}; {constant}\n    shows:    {}\n    measured: {}",
            kind.class.said(),
            kind.mode.form(),
            kind.danger.word(),
            kind.shows,
            kind.measured
        )
    }

    fn fault(&self, fault: &Fault, plan: &Plan) -> String {
        if !self.json {
            return fault.to_string();
        }
        let value = match &fault.value {
            FaultValue::None => Value::Null,
            FaultValue::Number(number) => json!(number),
            FaultValue::Terminal(name) => json!(name),
        };
        let kind = fault.kind(&plan.parts, &plan.conductors);
        json!({ "fault": fault.to_string(), "form": fault.mode.form(), "part": fault.part(),
            "conductor": fault.conductor(), "at": fault.at, "value": value, "intermittent": fault.is_intermittent(),
            "on": kind.map(|kind| kind.class.said()), "danger": kind.map(|kind| kind.danger.word()),
            "shows": kind.map(|kind| kind.shows) })
        .to_string()
    }
}
