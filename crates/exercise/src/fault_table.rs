//! The fault table of a design: every single fault of the catalogue against every requirement.

use crate::noticed::{Noticed, Noticing};
use crate::proving::Task;
use crate::scenario::Scenario;
use sealin_core::{Fault, Plan};
use sealin_proof::explore::{Explorer, Progress, Report};

/// One row: a requirement, proven where this fault may strike at any scan, and stays or, if it is intermittent, comes and goes.
pub struct Row<'a> {
    /// What is to be proven.
    pub task: &'a Task,
    /// The fault.
    pub fault: &'a Fault,
    /// What was found out. A path to a break is yet to be played on the whole bench.
    pub report: Report,
    /// By whom the fault is noticed in the normal use of the requirement.
    pub noticed: Noticed,
}

/// Explores the rows of a table.
pub struct FaultTable<'a> {
    plan: &'a Plan,
    noticing: Noticing<'a>,
}

impl<'a> FaultTable<'a> {
    /// The table of a bench with its program.
    ///
    /// # Errors
    /// Why no bench can be built of the plan.
    pub fn new(scenario: &'a Scenario, plan: &'a Plan) -> Result<FaultTable<'a>, String> {
        Ok(FaultTable { plan, noticing: Noticing::new(scenario, plan)? })
    }

    /// Every single fault that fits the parts and conductors, each with each of its values, in a fixed order.
    pub fn faults(plan: &Plan) -> Vec<Fault> {
        Fault::catalogue(&plan.parts, &plan.conductors)
    }

    /// Whether any alarm is declared that this design has.
    pub fn has_alarms(&self) -> bool {
        self.noticing.has_alarms()
    }

    /// Explores the rows of one requirement with these faults: `progress` is told how far the one is that is explored and ends it by
    /// `false`, `row` takes each.
    ///
    /// # Errors
    /// Why there is no bench with a fault.
    pub fn rows<'t>(
        &mut self,
        task: &'t Task,
        faults: impl IntoIterator<Item = &'t Fault>,
        progress: &mut dyn FnMut(&Fault, Progress) -> bool,
        row: &mut dyn FnMut(Row<'t>) -> Result<(), String>,
    ) -> Result<(), String> {
        let mut explorer = Explorer::new(&task.question(self.plan, None));
        for fault in faults {
            let report = explorer.explore(Some(fault), &mut |now| progress(fault, now));
            let noticed = self.noticing.of(&task.id, fault)?;
            row(Row { task, fault, report, noticed })?;
        }
        Ok(())
    }
}
