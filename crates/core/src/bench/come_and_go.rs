//! Faults of a running bench that come and go, or strike at an event: which are there at a tick, and the designs that belong to it.
//!
//! A fault that comes is one that strikes, and one that goes is one that is cleared: the bench goes on with the design that has
//! what is there, by the same way as after an act. Designs that were left are kept, as they are soon wanted again.

use super::{Bench, is_fed};
use crate::complex::Complex;
use crate::design::{BuildError, Design};
use crate::fault::{Event, Fault, HOT_C, Pattern, Presence};
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

/// A fault that is not always there.
#[derive(Clone, Debug)]
struct Coming {
    fault: Fault,
    when: When,
    /// The tick at which it was set.
    since: u64,
    /// The design in use has it.
    there: bool,
}

/// When it is there.
#[derive(Clone, Copy, Debug)]
enum When {
    Pattern(Pattern),
    /// From an event on, and whether that has come; of starts, how many there have been.
    Event {
        event: Event,
        come: bool,
        starts: u16,
    },
}

impl Coming {
    fn is_there(&self, tick: u64) -> bool {
        match self.when {
            When::Pattern(pattern) => pattern.is_there(tick - self.since),
            When::Event { come, .. } => come,
        }
    }
}

/// Heat and load are looked at in ticks divisible by this, whether or not the ticks between are passed over.
const LOOKED_AT_MS: u64 = 100;

/// Part of its rated current from which a motor counts as loaded, where it turns: half of it is about what it draws without load.
const LOADED_FROM: f64 = 0.55;

/// Speed from which a motor counts as turning with its load, in parts of the synchronous one: above the breakdown torque's.
const RUNNING_FROM: f64 = 0.8;

impl ComeAndGo {
    /// Takes up the faults of a new plan, and builds it without those that are away at this tick. On an error nothing changes.
    pub(super) fn build(&mut self, plan: &Plan, tick: u64) -> Result<Design, BuildError> {
        let design = Design::build(plan)?;
        self.take(&plan.faults, tick);
        if self.lacks() { Design::build(&self.present(plan)) } else { Ok(design) }
    }

    /// Takes up the faults of a new plan: those that are new strike at this tick.
    fn take(&mut self, faults: &BTreeSet<Fault>, tick: u64) {
        let before = std::mem::take(&mut self.faults);
        self.kept.clear();
        for fault in faults {
            let when = match fault.presence {
                Presence::Stays => continue,
                Presence::ComesAndGoes(pattern) => When::Pattern(pattern.unwrap_or(Pattern::USUAL)),
                Presence::Strikes(event) => When::Event { event, come: false, starts: 0 },
            };
            let known = before.iter().find(|known| known.fault == *fault);
            let (when, since) = known.map_or((when, tick), |known| (known.when, known.since));
            self.faults.push(Coming { fault: fault.clone(), when, since, there: true });
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
    fn present(&self, plan: &Plan) -> Plan {
        let mut plan = plan.clone();
        self.faults.iter().filter(|coming| !coming.there).for_each(|away| {
            plan.faults.remove(&away.fault);
        });
        plan
    }

    /// Whether one is away.
    fn lacks(&self) -> bool {
        self.faults.iter().any(|coming| !coming.there)
    }

    /// The first tick from this one on at which one comes or goes; none if none ever does.
    pub(super) fn next_change(&self, tick: u64) -> Option<u64> {
        if self.is_due(tick) {
            return Some(tick);
        }
        let next = |coming: &Coming| match coming.when {
            When::Pattern(pattern) => Some(coming.since + pattern.next_change(tick - coming.since)),
            When::Event { event: Event::Hot | Event::Load, come: false, .. } => {
                Some((tick / LOOKED_AT_MS + 1) * LOOKED_AT_MS)
            }
            When::Event { .. } => None,
        };
        self.faults.iter().filter(|_| self.held.is_none()).filter_map(next).min()
    }

    /// Whether any waits for an event still.
    fn waits(&self) -> bool {
        self.faults.iter().any(|coming| matches!(coming.when, When::Event { come: false, .. }))
    }
}

impl Bench {
    /// Whether intermittent faults are there from the next tick on, in place of what their patterns say: for one who follows what a
    /// proof has found.
    pub fn hold_intermittent(&mut self, there: bool) {
        self.come_and_go.held = Some(there);
    }

    /// The faults of the plan that are there now: those that stay, and of the others those that have come and not gone.
    pub fn faults_there(&self) -> impl Iterator<Item = &Fault> {
        let away = |fault: &Fault| self.come_and_go.faults.iter().any(|c| c.fault == *fault && !c.there);
        self.plan.faults.iter().filter(move |fault| !away(fault))
    }

    /// Whether a motor is under power.
    fn fed(&self) -> bool {
        self.state.motors.iter().any(|s| is_fed(s.current.map(Complex::abs)))
    }

    /// Counts the starts for what waits for them, after a tick.
    pub(super) fn count_starts(&mut self, fed_before: bool) {
        if fed_before || !self.come_and_go.waits() || !self.fed() {
            return;
        }
        for coming in &mut self.come_and_go.faults {
            if let When::Event { event: Event::Start(n), come, starts } = &mut coming.when {
                *starts = starts.saturating_add(1);
                *come |= *starts >= *n;
            }
        }
    }

    /// Whether a start may be counted in the next tick, and whether a motor is under power before it.
    pub(super) fn fed_before(&self) -> bool {
        self.come_and_go.waits() && self.fed()
    }

    /// Looks for heat and load.
    pub(super) fn look_for_events(&mut self) {
        if !self.state.tick.is_multiple_of(LOOKED_AT_MS) || !self.come_and_go.waits() {
            return;
        }
        let hot = self.state.motors.iter().any(|s| s.winding.celsius().iter().any(|&c| c > HOT_C));
        let loaded = self.design.motors.iter().zip(&self.state.motors).any(|(m, s)| {
            let turns = s.speed.abs() > RUNNING_FROM * m.data.circuit.synchronous;
            turns && s.current.iter().any(|a| a.abs() > LOADED_FROM * m.data.rated)
        });
        for coming in &mut self.come_and_go.faults {
            if let When::Event { event, come, .. } = &mut coming.when {
                *come |= match event {
                    Event::Start(_) => false,
                    Event::Hot => hot,
                    Event::Load => loaded,
                };
            }
        }
    }

    /// Goes on with the design of the next tick, if a fault comes or goes.
    pub(super) fn come_and_go(&mut self) {
        self.look_for_events();
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
                let present = self.come_and_go.present(&super::as_is(&self.plan, &self.hidden));
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
