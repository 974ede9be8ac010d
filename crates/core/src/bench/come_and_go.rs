//! Intermittent faults of a running bench: which are there at a tick, and the designs that belong to it.
//!
//! A fault that comes is one that strikes, and one that goes is one that is cleared: the bench goes on with the design that has
//! what is there, by the same way as after an act. Designs that were left are kept, as they are soon wanted again.

use super::Bench;
use crate::design::Design;
use crate::fault::{Fault, Pattern};
use crate::plan::Plan;
use crate::step::Cache;
use std::collections::BTreeSet;
use std::rc::Rc;

/// Most designs that are kept beside the one in use; beyond, all are dropped.
const MOST_KEPT: usize = 8;

/// What comes and goes on a bench.
#[derive(Clone, Debug, Default)]
pub(super) struct ComeAndGo {
    faults: Vec<Coming>,
    /// All are there, or none, whatever their patterns say.
    held: Option<bool>,
    /// By which faults are there.
    kept: Vec<(Vec<bool>, Rc<Design>, Cache)>,
}

/// An intermittent fault.
#[derive(Clone, Debug)]
struct Coming {
    fault: Fault,
    pattern: Pattern,
    /// The tick at which it struck.
    since: u64,
    /// The design in use has it.
    there: bool,
}

impl Coming {
    fn is_there(&self, tick: u64) -> bool {
        self.pattern.is_there(tick - self.since)
    }
}

impl ComeAndGo {
    /// Takes up the faults of a new plan: those that are new strike at this tick.
    pub(super) fn take(&mut self, faults: &BTreeSet<Fault>, tick: u64) {
        let before = std::mem::take(&mut self.faults);
        self.kept.clear();
        for fault in faults {
            let Fault::Intermittent { pattern, .. } = fault else { continue };
            let since = before.iter().find(|known| known.fault == *fault).map_or(tick, |known| known.since);
            let pattern = pattern.unwrap_or(Pattern::USUAL);
            self.faults.push(Coming { fault: fault.clone(), pattern, since, there: true });
        }
        self.turn(tick);
    }

    fn is_there(&self, coming: &Coming, tick: u64) -> bool {
        self.held.unwrap_or_else(|| coming.is_there(tick))
    }

    /// Whether one comes or goes at this tick.
    fn is_due(&self, tick: u64) -> bool {
        self.faults.iter().any(|coming| coming.there != self.is_there(coming, tick))
    }

    /// From now on what is there at this tick is there.
    fn turn(&mut self, tick: u64) {
        for k in 0..self.faults.len() {
            self.faults[k].there = self.is_there(&self.faults[k], tick);
        }
    }

    fn there(&self) -> Vec<bool> {
        self.faults.iter().map(|coming| coming.there).collect()
    }

    /// A plan without what is away.
    pub(super) fn present(&self, plan: &Plan) -> Plan {
        let mut plan = plan.clone();
        self.faults.iter().filter(|coming| !coming.there).for_each(|away| {
            plan.faults.remove(&away.fault);
        });
        plan
    }

    /// Whether one is away.
    pub(super) fn lacks(&self) -> bool {
        self.faults.iter().any(|coming| !coming.there)
    }

    /// The first tick from this one on at which one comes or goes; none if none ever does.
    pub(super) fn next_change(&self, tick: u64) -> Option<u64> {
        if self.is_due(tick) {
            return Some(tick);
        }
        let next = |coming: &Coming| coming.since + coming.pattern.next_change(tick - coming.since);
        self.faults.iter().filter(|_| self.held.is_none()).map(next).min()
    }
}

impl Bench {
    /// Whether intermittent faults are there from the next tick on, in place of what their patterns say: for one who follows what a
    /// proof has found.
    pub fn hold_intermittent(&mut self, there: bool) {
        self.come_and_go.held = Some(there);
    }

    /// Goes on with the design of the next tick, if a fault comes or goes.
    pub(super) fn come_and_go(&mut self) {
        let tick = self.state.tick;
        if !self.come_and_go.is_due(tick) {
            return;
        }
        let before = self.come_and_go.there();
        self.come_and_go.turn(tick);
        let now = self.come_and_go.there();
        let kept = &mut self.come_and_go.kept;
        let known = kept.iter().position(|(there, ..)| *there == now).map(|k| kept.swap_remove(k));
        let (design, cache) = known.map_or_else(
            || {
                let present = self.come_and_go.present(&self.plan);
                let built = Design::build(&present).expect("a plan that fits with a fault fits without it");
                (Rc::new(built), Cache::default())
            },
            |(_, design, cache)| (design, cache),
        );
        debug_assert!(design.signals.len() == self.design.signals.len(), "a signal came with a fault");
        self.state = design.carry(&self.design, &self.state);
        let left = std::mem::replace(&mut self.design, design);
        let cache = std::mem::replace(&mut self.cache, cache);
        if self.come_and_go.kept.len() >= MOST_KEPT {
            self.come_and_go.kept.clear();
        }
        self.come_and_go.kept.push((before, left, cache));
    }
}
