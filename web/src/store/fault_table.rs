//! The fault table: every single fault against every requirement, as far as it was explored, and what of it is listed.

use super::model::{Conductor, Fault, Project, Scenario};
use super::proofs::{ProofLine, ProofProgress};
use sealin_core::fault::Mode;
use sealin_exercise::proofs::ProofVerdict;
use sealin_exercise::proving::tasks;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::rc::Rc;

/// Where a fault shows in normal use.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Sighting {
    /// The signal that differs.
    pub signal: String,
    /// It is on with the fault and off without, or the other way round.
    pub on: bool,
    /// The trial.
    pub trial: String,
    /// From when on, ms from the start of the trial.
    pub tick: u64,
}

/// One row: what was found out of a requirement with a fault, and by whom the fault is noticed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct FaultRow {
    /// What was found out; its fault is that of the row.
    pub line: ProofLine,
    /// Where the program notices it.
    pub by_program: Option<Sighting>,
    /// Where a person notices it.
    pub by_person: Option<Sighting>,
    /// Whether there is any alarm to notice it by.
    pub alarms: bool,
}

/// Rows that a worker is to explore: a task by its name, with faults by their lines.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Wanted {
    /// Name of the task.
    pub task: String,
    /// The faults.
    pub faults: Vec<String>,
}

/// Kinds of fault, in the order in which they are offered.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// On a conductor.
    Conductor,
    /// Wired or bridged wrongly.
    Wiring,
    /// A contact never closes.
    StuckOpen,
    /// A contact never opens.
    StuckClosed,
    /// A contact closes through a film.
    Dirty,
    /// Main poles are welded.
    Welded,
    /// A coil or its armature.
    Coil,
    /// A mechanical interlock.
    Interlock,
    /// Overload, fuses, breakers.
    Protection,
    /// The controller and its channels.
    Controller,
    /// What a hand or a machine works, and lamps.
    Operated,
    /// What feeds the job.
    Supply,
    /// A motor, its brake, what it turns.
    Motor,
    /// It comes and goes.
    Intermittent,
}

impl Kind {
    /// All kinds.
    pub const ALL: [Kind; 14] = [
        Kind::Conductor,
        Kind::Wiring,
        Kind::StuckOpen,
        Kind::StuckClosed,
        Kind::Dirty,
        Kind::Welded,
        Kind::Coil,
        Kind::Interlock,
        Kind::Protection,
        Kind::Controller,
        Kind::Operated,
        Kind::Supply,
        Kind::Motor,
        Kind::Intermittent,
    ];

    /// The kind of a fault.
    pub fn of(fault: &Fault) -> Kind {
        if fault.is_intermittent() {
            return Kind::Intermittent;
        }
        match fault.mode {
            Mode::ConductorOpen | Mode::ConductorLoose | Mode::ConductorEarthed => Kind::Conductor,
            Mode::ConductorMoved | Mode::Exchanged | Mode::Bridged => Kind::Wiring,
            Mode::StuckOpen => Kind::StuckOpen,
            Mode::StuckClosed => Kind::StuckClosed,
            Mode::Dirty => Kind::Dirty,
            Mode::PolesWelded | Mode::PoleWelded => Kind::Welded,
            Mode::CoilOpen
            | Mode::TurnsShorted
            | Mode::ArmatureBlocked
            | Mode::ArmatureSticks
            | Mode::ReleaseSlow
            | Mode::MirrorLost => Kind::Coil,
            Mode::InterlockBroken | Mode::InterlockJams => Kind::Interlock,
            Mode::DialAt
            | Mode::ResetsByItself
            | Mode::NeverTrips
            | Mode::CompensationLost
            | Mode::HeaterOpen
            | Mode::PhaseLossUnnoticed
            | Mode::DoesNotReset
            | Mode::RatedAt => Kind::Protection,
            Mode::Dead
            | Mode::ReadsOne
            | Mode::Leaks
            | Mode::Stopped
            | Mode::FilterAt
            | Mode::Inverted
            | Mode::Passes
            | Mode::RungMissing => Kind::Controller,
            Mode::StuckIn | Mode::Detached | Mode::Dark | Mode::Displaced => Kind::Operated,
            Mode::PhaseMissing | Mode::PhasesSwapped | Mode::VoltageAt | Mode::HoldUpLost | Mode::LimitAt => {
                Kind::Supply
            }
            Mode::WindingOpen | Mode::Earthed | Mode::LoadAt | Mode::DoesNotRelease => Kind::Motor,
        }
    }
}

/// What a row can have come to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Came {
    /// Proven.
    Kept,
    /// Broken, and the whole bench does the same.
    Broken,
    /// Neither: not decided, not provable, not reproduced.
    Open,
    /// Not explored.
    NotComputed,
}

impl Came {
    /// All of them.
    pub const ALL: [Came; 4] = [Came::Broken, Came::Kept, Came::Open, Came::NotComputed];

    /// What a row has come to.
    pub fn of(row: Option<&FaultRow>) -> Came {
        match row.map(|row| row.line.finding) {
            None => Came::NotComputed,
            Some(ProofVerdict::Proven) => Came::Kept,
            Some(ProofVerdict::Broken) => Came::Broken,
            Some(_) => Came::Open,
        }
    }
}

/// Who notices a fault.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum By {
    /// The program.
    Program,
    /// A person.
    Person,
    /// Nobody.
    Nobody,
}

impl By {
    /// All of them.
    pub const ALL: [By; 3] = [By::Program, By::Person, By::Nobody];

    fn fits(self, row: &FaultRow) -> bool {
        match self {
            By::Program => row.by_program.is_some(),
            By::Person => row.by_person.is_some(),
            By::Nobody => row.unnoticed(),
        }
    }
}

/// What of the table is listed.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Filter {
    /// Id of a requirement.
    pub requirement: Option<String>,
    /// Tag of a device: its own faults, and those of the conductors that end at it.
    pub device: Option<String>,
    /// Kind of fault.
    pub kind: Option<Kind>,
    /// What it has come to.
    pub came: Option<Came>,
    /// Who notices it.
    pub by: Option<By>,
}

/// A row of the table, explored or not.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry {
    /// Name of the task.
    pub task: String,
    /// The fault.
    pub fault: Fault,
    /// What was found out.
    pub row: Option<Rc<FaultRow>>,
}

/// Where the fault table stands.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct FaultTable {
    /// Number of the run; answers to an earlier one are dropped.
    pub job: u32,
    /// An exploration runs.
    pub running: bool,
    /// How far the row is that is being explored.
    pub progress: Option<ProofProgress>,
    /// What was found out, by task and fault.
    rows: Rc<BTreeMap<(String, String), Rc<FaultRow>>>,
    /// The work that it was found out of.
    project: Option<Rc<Project>>,
    /// What is listed; none before anyone has chosen.
    filter: Option<Filter>,
    /// The row that is looked at.
    chosen: Option<(String, String)>,
}

/// What happens to the fault table.
#[derive(Clone, Debug)]
pub enum FaultEvent {
    /// A run begins, on this work.
    Started(Box<Project>),
    /// It has come so far.
    Progress(ProofProgress),
    /// One row is done.
    Done(Box<FaultRow>),
    /// The run is over: all done, or stopped.
    Ended,
    /// Something else is listed.
    Filter(Filter),
    /// A row is looked at: its task and its fault.
    Chosen(String, String),
}

impl FaultRow {
    /// Neither the program nor a person notices the fault.
    pub fn unnoticed(&self) -> bool {
        self.by_program.is_none() && self.by_person.is_none()
    }
}

impl FaultTable {
    /// The table after an event.
    pub fn reduce(&self, event: FaultEvent) -> FaultTable {
        let mut next = self.clone();
        match event {
            FaultEvent::Started(project) => {
                if !self.is_of(&project) {
                    next.rows = Rc::default();
                }
                (next.job, next.running, next.progress) = (self.job + 1, true, None);
                next.project = Some(Rc::from(project));
            }
            FaultEvent::Progress(progress) if self.running => next.progress = Some(progress),
            FaultEvent::Done(row) if self.running => {
                let key = (row.line.id.clone(), row.line.fault.clone().unwrap_or_default());
                Rc::make_mut(&mut next.rows).insert(key, Rc::from(row));
            }
            FaultEvent::Progress(_) | FaultEvent::Done(_) => {}
            FaultEvent::Ended => (next.job, next.running, next.progress) = (self.job + 1, false, None),
            FaultEvent::Filter(filter) => next.filter = Some(filter),
            FaultEvent::Chosen(task, fault) => next.chosen = Some((task, fault)),
        }
        next
    }

    /// The table of another work: nothing of it is known.
    pub fn of_other_work(&self) -> FaultTable {
        FaultTable { job: self.job + 1, ..FaultTable::default() }
    }

    fn is_of(&self, project: &Project) -> bool {
        self.project.as_ref().is_some_and(|explored| explored.same_work(project))
    }

    /// Something was explored, but of a work that has been changed since.
    pub fn is_stale(&self, project: &Project) -> bool {
        !self.rows.is_empty() && !self.is_of(project)
    }

    /// What is listed; at first the first requirement that is a must, as all of them are long to explore.
    pub fn filter(&self, scenario: &Scenario) -> Filter {
        let first = || {
            let must = scenario.requirements.iter().find(|requirement| requirement.must);
            let first = must.or(scenario.requirements.first());
            Filter { requirement: first.map(|requirement| requirement.id.clone()), ..Filter::default() }
        };
        self.filter.clone().unwrap_or_else(first)
    }

    /// The rows that fit a filter, in their order: requirement by requirement, fault by fault.
    pub fn listed(&self, scenario: &Scenario, project: &Project, filter: &Filter) -> Vec<Entry> {
        let conductors: Vec<Conductor> = project.conductors.values().cloned().collect();
        let is_now = self.is_of(project);
        let fits = |fault: &&Fault| {
            filter.kind.is_none_or(|kind| Kind::of(fault) == kind)
                && filter.device.as_ref().is_none_or(|tag| is_of_device(fault, tag, &conductors))
        };
        let all = Fault::catalogue(&scenario.parts, &conductors);
        let faults: Vec<(&Fault, String)> = all.iter().filter(fits).map(|f| (f, f.to_string())).collect();
        let mut entries = Vec::new();
        let tasks = tasks(scenario, None);
        for task in tasks.iter().filter(|task| filter.requirement.as_ref().is_none_or(|id| task.id == *id)) {
            for (fault, line) in &faults {
                let key = (task.name(), line.clone());
                let row = self.rows.get(&key).filter(|_| is_now).cloned();
                let came = filter.came.is_none_or(|came| Came::of(row.as_deref()) == came);
                if came && filter.by.is_none_or(|by| row.as_ref().is_some_and(|row| by.fits(row))) {
                    entries.push(Entry { task: key.0, fault: (*fault).clone(), row });
                }
            }
        }
        entries
    }

    /// The rows of this filter's requirement, device and kind that have not been explored: what a run explores.
    pub fn wanted(&self, scenario: &Scenario, project: &Project) -> Vec<Wanted> {
        let filter = Filter { came: Some(Came::NotComputed), by: None, ..self.filter(scenario) };
        let entries = self.listed(scenario, project, &filter);
        let mut wanted: Vec<Wanted> = Vec::new();
        for entry in entries {
            match wanted.last_mut().filter(|last| last.task == entry.task) {
                Some(last) => last.faults.push(entry.fault.to_string()),
                None => wanted.push(Wanted { task: entry.task, faults: vec![entry.fault.to_string()] }),
            }
        }
        wanted
    }

    /// The row that is looked at.
    pub fn chosen(&self, project: &Project) -> Option<Entry> {
        let key = self.chosen.as_ref()?;
        let row = self.rows.get(key).filter(|_| self.is_of(project)).cloned();
        Some(Entry { task: key.0.clone(), fault: Fault::parse(&key.1).ok()?, row })
    }

    /// The table without the run that is under way: what changes with the rows alone.
    pub fn found(&self) -> FaultTable {
        FaultTable { job: 0, running: false, progress: None, ..self.clone() }
    }
}

/// Whether a fault is one of a device, or of a conductor that ends at it.
fn is_of_device(fault: &Fault, tag: &str, conductors: &[Conductor]) -> bool {
    let Some(conductor) = fault.conductor() else { return fault.part() == Some(tag) };
    let mut wires = conductors.iter().filter(|wire| wire.id == conductor);
    wires.any(|wire| [&wire.from, &wire.to].iter().any(|end| end.part == tag))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::store::Workshop;
    use crate::store::fixture::workshop;

    fn row(id: &str, fault: &str, finding: ProofVerdict) -> Box<FaultRow> {
        let line = ProofLine {
            id: id.to_string(),
            finding,
            why: None,
            fault: Some(fault.to_string()),
            faults: vec![fault.to_string()],
            states: 1,
            scans: 1,
            free: Vec::new(),
            marginal: Vec::new(),
            way: None,
        };
        Box::new(FaultRow { line, by_program: None, by_person: None, alarms: true })
    }

    fn lines(table: &FaultTable, w: &Workshop, filter: Filter) -> Vec<String> {
        let table = table.reduce(FaultEvent::Filter(filter.clone()));
        let all = table.listed(w.scenario(), w.project(), &filter);
        all.iter().map(|entry| format!("{} {}", entry.task, entry.fault)).collect()
    }

    /// Read off the exercise: SF1 is a push-button with one break contact, 11-12, which is not forced open as that of an emergency stop
    /// is; S01 and S04 are its conductors to the terminals, S02 goes on to SF2.
    #[test]
    fn a_device_has_its_own_faults_and_those_of_its_conductors() {
        let w = workshop();
        let filter =
            Filter { requirement: Some("R3".into()), device: Some("SF1".into()), ..Filter::default() };
        let all = lines(&FaultTable::default(), &w, filter.clone());
        let of_one: Vec<&str> = all.iter().filter_map(|line| line.strip_prefix("R3-1 ")).collect();
        let own = ["conductor S01 ", "conductor S02 ", "conductor S04 ", "SF1 "];
        assert!(of_one.iter().all(|line| own.iter().any(|own| line.starts_with(own))), "{of_one:?}");
        let expected = [
            "conductor S01 open",
            "conductor S02 open",
            "conductor S04 open",
            "SF1 11-12 stuck open",
            "SF1 11-12 stuck closed",
            "SF1 stuck in",
            "conductor S01 open intermittent",
            "conductor S02 open intermittent",
            "conductor S04 open intermittent",
            "SF1 11-12 stuck open intermittent",
            "SF1 11-12 stuck closed intermittent",
        ];
        assert!(expected.iter().all(|line| of_one.contains(line)), "{of_one:?}");
        // Of each conductor: open, loose with three resistances, earthed with two.
        let of_conductors = Filter { kind: Some(Kind::Conductor), ..filter };
        let of_one = lines(&FaultTable::default(), &w, of_conductors);
        assert_eq!(of_one.iter().filter(|line| line.starts_with("R3-1 ")).count(), 3 * (1 + 3 + 2));
    }

    #[test]
    fn what_was_explored_stays_for_the_next_run_and_goes_with_a_change_of_the_work() {
        let w = workshop();
        let (scenario, project) = (w.scenario().clone(), w.project().clone());
        let filter =
            Filter { requirement: Some("harm".into()), device: Some("SF1".into()), ..Filter::default() };
        // The faults of the test above.
        let begun = FaultTable::default()
            .reduce(FaultEvent::Filter(filter.clone()))
            .reduce(FaultEvent::Started(Box::new(project.clone())));
        let listed = lines(&FaultTable::default(), &w, filter.clone()).len();
        assert_eq!(begun.wanted(&scenario, &project)[0].faults.len(), listed);
        let done = begun.reduce(FaultEvent::Done(row("harm", "conductor S04 open", ProofVerdict::Broken)));
        let stopped = done.reduce(FaultEvent::Ended);
        let late = stopped.reduce(FaultEvent::Done(row("harm", "conductor S01 open", ProofVerdict::Proven)));
        assert_eq!(late.wanted(&scenario, &project)[0].faults.len(), listed - 1);
        let again = late.reduce(FaultEvent::Started(Box::new(project.clone())));
        assert_eq!(again.wanted(&scenario, &project)[0].faults.len(), listed - 1);
        assert_eq!(lines(&again, &w, Filter { came: Some(Came::Broken), ..filter.clone() }).len(), 1);
        assert_eq!(lines(&again, &w, Filter { by: Some(By::Nobody), ..filter.clone() }).len(), 1);
        assert_eq!(lines(&again, &w, Filter { by: Some(By::Person), ..filter }).len(), 0);
        let changed = Project { source: "PROGRAM other END_PROGRAM".to_string(), ..project };
        assert!(again.is_stale(&changed));
        assert_eq!(again.wanted(&scenario, &changed)[0].faults.len(), listed);
    }

    /// A must comes first: it is where a fault matters most.
    #[test]
    fn the_first_must_is_listed_first() {
        let w = workshop();
        let first = FaultTable::default().filter(w.scenario());
        assert_eq!(first.requirement.as_deref(), Some("R2"));
    }
}
