//! `sealin faults [SCENARIO]`: the catalogue of kinds of fault, or every single fault that fits a scenario's parts and conductors.

use crate::{Answer, input};
use sealin_core::{Fault, FaultKind};
use sealin_exercise::fault_table::FaultTable;
use serde_json::{Value, json};

/// Options of `faults`.
#[derive(clap::Args)]
pub struct Faults {
    /// Path to a scenario file or folder, or the id of a shipped one: every single fault that fits it, with the reference's
    /// conductors. Without it the kinds.
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
            FaultKind::ALL.into_iter().for_each(|kind| println!("{}", self.kind(kind)));
            return Ok(Answer::Yes);
        };
        let session = self.work.session(scenario, 0)?;
        for fault in FaultTable::faults(session.bench().plan()) {
            println!("{}", self.fault(&fault));
        }
        Ok(Answer::Yes)
    }

    fn kind(&self, kind: FaultKind) -> String {
        let (values, unit) = kind.values();
        if self.json {
            return json!({ "kind": kind.form(), "places": kind.places(), "values": values, "unit": unit,
                "intermittent": kind.may_come_and_go(), "shows": kind.shows() })
            .to_string();
        }
        let values: Vec<String> = values.iter().map(u32::to_string).collect();
        let values =
            if values.is_empty() { String::new() } else { format!("; {} {unit}", values.join(", ")) };
        format!("{:<25} {}{values}; {}\n    {}", kind.form(), kind.places(), constant(kind), kind.shows())
    }

    fn fault(&self, fault: &Fault) -> String {
        if !self.json {
            return fault.to_string();
        }
        let kind = fault.kind();
        let value = match fault.lasting() {
            Fault::ContactDirty { ohms, .. } => json!(ohms),
            _ => Value::Null,
        };
        json!({ "fault": fault.to_string(), "kind": kind.form(), "part": fault.part(), "conductor": conductor(fault),
            "value": value, "intermittent": fault.is_intermittent(), "shows": kind.shows() })
        .to_string()
    }
}

fn constant(kind: FaultKind) -> &'static str {
    if kind.may_come_and_go() { "constant or intermittent" } else { "constant" }
}

fn conductor(fault: &Fault) -> Option<&str> {
    match fault.lasting() {
        Fault::ConductorOpen { conductor } => Some(conductor),
        _ => None,
    }
}
