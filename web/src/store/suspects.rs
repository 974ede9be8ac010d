//! What is still suspected of a machine with a hidden fault: as the worker finds it out, and as the page knows it.

use super::model::{Act, Attempt, Entry, Fault, Measurement, Plan};
use crate::sheets::faults::words::place;
use crate::text::instrument::place_text;
use sealin_core::fault::Value;
use sealin_exercise::grade;
use sealin_exercise::hunt::{Coach, Heard};
use sealin_proof::suspects::{Finding, Suspect, Suspects, Told};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::rc::Rc;

/// Most readings that are proposed.
const MOST_PROPOSED: usize = 5;

/// What is still suspected.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct SuspectList {
    /// How many there were at first.
    pub of: usize,
    /// What is left of faults that stay, by part or conductor.
    pub left: Vec<Suspected>,
    /// What may be wrong besides if it comes and goes.
    pub now_and_then: Vec<Suspected>,
    /// Readings that are expected to tell most, the best first; none before that is found out.
    pub next: Option<Vec<Proposed>>,
    /// Findings that ruled something out, in order.
    pub ruled_out: Vec<RuledOut>,
    /// No single fault explained everything, so that only what was found since the last repair counts.
    pub since_repair: bool,
}

/// What is suspected of one part or conductor.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Suspected {
    /// The part or conductor, as a fitter finds it.
    pub on: String,
    /// What may be wrong with it.
    pub faults: Vec<String>,
}

/// A reading that is proposed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Proposed {
    /// Instrument and function.
    pub with: String,
    /// Where.
    pub at: String,
    /// What it is expected to tell, hundredths of a bit.
    pub worth: u32,
}

/// A finding that ruled something out.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct RuledOut {
    /// With what, and where; or the signal that was seen.
    pub by: String,
    /// How many it ruled out.
    pub count: usize,
}

/// The learner's way to what was wrong, and the coach's own.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Paths {
    /// The learner's.
    pub learner: Vec<PathStep>,
    /// The coach's, to the first of what was wrong.
    pub coach: Vec<PathStep>,
}

/// A step of a way: a reading, or what was seen and ruled something out.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct PathStep {
    /// With what, and where; or the signal that was seen.
    pub by: String,
    /// It was seen without an instrument.
    pub seen: bool,
    /// How many it ruled out, of the faults that stay.
    pub out: usize,
    /// How many were left.
    pub left: usize,
}

/// What the page knows of it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Suspicion {
    /// Number of the run; answers to an earlier one are dropped.
    pub job: u32,
    /// The worker is behind by so many benches, of how many; none while nothing is asked.
    pub behind: Option<(usize, usize)>,
    /// What was found out last, and how many entries the log had then.
    pub list: Option<(Rc<SuspectList>, usize)>,
    /// The two ways, once they were asked for after the handing in.
    pub paths: Option<Rc<Paths>>,
}

/// What happens to it.
#[derive(Clone, Debug)]
pub enum SuspectEvent {
    /// A look is asked for.
    Asked,
    /// The benches are behind by so many, of how many.
    Behind(usize, usize),
    /// All is known of a log of so many entries.
    Known(Box<SuspectList>, usize),
    /// The two ways are known.
    Paths(Box<Paths>),
    /// There is no worker, or it failed.
    Ended,
}

impl Suspicion {
    /// After an event.
    pub fn reduce(&self, event: SuspectEvent) -> Suspicion {
        let next = self.clone();
        match event {
            SuspectEvent::Asked => Suspicion { behind: Some((0, 0)), ..next },
            SuspectEvent::Behind(behind, of) if self.behind.is_some() => {
                Suspicion { behind: Some((behind, of)), ..next }
            }
            SuspectEvent::Behind(..) => next,
            SuspectEvent::Known(list, entries) => {
                Suspicion { behind: None, list: Some((Rc::from(list), entries)), ..next }
            }
            SuspectEvent::Paths(paths) => Suspicion { behind: None, paths: Some(Rc::from(paths)), ..next },
            SuspectEvent::Ended => Suspicion { job: self.job + 1, behind: None, ..next },
        }
    }

    /// Nothing is known of other work.
    pub fn of_other_work(&self) -> Suspicion {
        Suspicion { job: self.job + 1, ..Suspicion::default() }
    }
}

/// The worker's side: an attempt that is followed, and the benches of everything suspected.
pub struct Following {
    heard: Heard,
    plan: Plan,
    faults: Vec<Fault>,
    suspects: Suspects,
    told: Vec<Told>,
    since_repair: bool,
    /// Entries of the log so far.
    pub entries: usize,
}

impl Following {
    /// Of an attempt file.
    ///
    /// # Errors
    /// What is wrong with it.
    pub fn new(json: &str) -> Result<Following, String> {
        let attempt = Attempt::parse(json).map_err(|e| e.to_string())?;
        let scenario = grade::scenario_of(&attempt).map_err(|e| e.to_string())?;
        let heard = Heard::new(&scenario).map_err(|e| e.to_string())?;
        let (plan, faults) = heard.suspected();
        let suspects = Suspects::new(&plan, &faults).map_err(|e| e.to_string())?;
        let mut following =
            Following { heard, plan, faults, suspects, told: Vec::new(), since_repair: false, entries: 0 };
        // What is done after the handing in is no search any more.
        for entry in attempt.entries.iter().take_while(|entry| entry.act != Act::HandIn) {
            following.take(entry)?;
        }
        following.offer()?;
        Ok(following)
    }

    /// More of the log, a line of JSON an entry, and the tick up to which the bench has run since.
    ///
    /// # Errors
    /// What is wrong with it.
    pub fn go_on(&mut self, entries: &[String], tick: u64) -> Result<(), String> {
        for line in entries {
            self.take(&Entry::parse(line)?)?;
        }
        let told = self.heard.run_to(tick);
        self.tell(told)?;
        self.offer()
    }

    fn take(&mut self, entry: &Entry) -> Result<(), String> {
        self.entries += 1;
        let told = self.heard.take(entry)?;
        self.tell(told)
    }

    fn tell(&mut self, told: Vec<Told>) -> Result<(), String> {
        for told in told {
            self.told.push(told.clone());
            self.suspects.tell(told)?;
        }
        Ok(())
    }

    fn offer(&mut self) -> Result<(), String> {
        self.suspects.offer(self.heard.offered())
    }

    /// Works on by so many pieces: how many benches are behind, of how many. Where no single fault explains everything, what was found
    /// before the last repair counts no more: there may have been another fault.
    ///
    /// # Errors
    /// Why a bench cannot be built.
    pub fn advance(&mut self, pieces: usize) -> Result<(usize, usize), String> {
        let progress = self.suspects.advance(pieces).map_err(|e| e.to_string())?;
        let none = || {
            self.suspects.left().next().is_none() && self.suspects.left_coming_and_going().next().is_none()
        };
        if !self.since_repair
            && self.is_judged()
            && none()
            && let Some(repaired) = self.told.iter().rposition(|told| matches!(told, Told::PutRight(_)))
        {
            self.since_repair = true;
            self.suspects = Suspects::new(&self.plan, &self.faults).map_err(|e| e.to_string())?;
            for (n, told) in self.told.clone().into_iter().enumerate() {
                // A repair in vain: what is wrong now came after it, or was not cured by it.
                let counts = n > repaired || !matches!(told, Told::Found(_) | Told::PutRight(_));
                if counts {
                    self.suspects.tell(told)?;
                }
            }
            self.offer()?;
            let progress = self.suspects.progress();
            return Ok((progress.behind.max(1), progress.benches));
        }
        Ok((progress.behind, progress.benches))
    }

    /// Whether what is left is known; what to read next may not be.
    pub fn is_judged(&self) -> bool {
        self.suspects.is_judged()
    }

    /// Readings that are expected to tell most, the best first. Takes longer than all else that is known.
    pub fn next(&self) -> Vec<Proposed> {
        let proposed = |(what, bits): (&Measurement, f64)| Proposed {
            with: what.word().to_string(),
            at: place_text(what),
            worth: (bits * 100.0).round() as u32,
        };
        self.suspects.best(MOST_PROPOSED).into_iter().map(proposed).collect()
    }

    /// What is known, with what to read next if that was found out.
    pub fn list(&self, next: Option<Vec<Proposed>>) -> SuspectList {
        let left = self.by_subject(self.suspects.left_by_weight().into_iter());
        let stays: Vec<&Suspect> = self.suspects.left().collect();
        let others = self.suspects.left_coming_and_going().filter(|suspect| !stays.contains(suspect));
        let now_and_then = self.by_subject(others.map(|suspect| (suspect, 0.0)));
        let ruled_out = self.suspects.found().filter(|(_, out)| !out.is_empty());
        let mut of: Vec<Suspect> = self.faults.iter().map(Suspect::of).collect();
        of.sort();
        of.dedup();
        SuspectList {
            of: of.len(),
            left,
            now_and_then,
            next,
            ruled_out: ruled_out.map(|(by, out)| RuledOut { by: found(by), count: out.len() }).collect(),
            since_repair: self.since_repair,
        }
    }

    /// What each finding has ruled out, step by step.
    fn path(&self) -> Vec<PathStep> {
        let all = self.suspects.narrowing();
        all.into_iter().filter_map(|(finding, out, left)| step(finding, out, left)).collect()
    }

    /// By what they are on, the likeliest first.
    fn by_subject<'s>(&self, all: impl Iterator<Item = (&'s Suspect, f64)>) -> Vec<Suspected> {
        let mut by: BTreeMap<String, (f64, Vec<String>)> = BTreeMap::new();
        for (suspect, weight) in all {
            let value = suspect.other.clone().map_or(Value::None, Value::Terminal);
            let fault = Fault::new(suspect.mode, &suspect.subject, &suspect.at, value);
            let (sum, said) = by.entry(place(&fault, &self.plan.conductors)).or_default();
            *sum += weight;
            said.push(fault.said_of_its_kind());
        }
        let mut by: Vec<_> = by.into_iter().collect();
        by.sort_by(|(_, (one, _)), (_, (other, _))| other.total_cmp(one));
        by.into_iter().map(|(on, (_, faults))| Suspected { on, faults }).collect()
    }
}

/// A step of a way; none of what was seen and told nothing.
fn step(finding: &Finding, out: usize, left: usize) -> Option<PathStep> {
    let seen = matches!(finding, Finding::Seen(..));
    (!seen || out > 0).then(|| PathStep { by: found(finding), seen, out, left })
}

/// Both ways of an attempt that was handed in: `progress` is told how many benches are behind, of how many.
///
/// # Errors
/// What is wrong with it, or that it was not handed in.
pub fn paths(json: &str, progress: &mut dyn FnMut(usize, usize)) -> Result<Paths, String> {
    let mut following = Following::new(json)?;
    through(&mut |pieces| following.advance(pieces), progress)?;
    let learner = following.path();
    let attempt = Attempt::parse(json).map_err(|e| e.to_string())?;
    let scenario = grade::scenario_of(&attempt).map_err(|e| e.to_string())?;
    let end = sealin_exercise::fold::fold(&scenario, &attempt).map_err(|e| e.to_string())?;
    let wrong = end.hunt.was_wrong().next().map(|(fault, _)| fault.clone());
    let wrong = wrong.ok_or("the work has not been handed in")?;
    let mut coach = Coach::new(&scenario)?;
    through(&mut |pieces| coach.advance(pieces), progress)?;
    let path = coach.path(&wrong)?;
    let coach = path.steps.iter().filter_map(|one| step(&one.finding, one.out, one.left)).collect();
    Ok(Paths { learner, coach })
}

/// Works on until nothing is behind; `advance` does so many pieces, and tells how many benches are behind, of how many.
fn through(
    advance: &mut dyn FnMut(usize) -> Result<(usize, usize), String>,
    progress: &mut dyn FnMut(usize, usize),
) -> Result<(), String> {
    loop {
        match advance(PIECES)? {
            (0, _) => return Ok(()),
            (behind, of) => progress(behind, of),
        }
    }
}

/// Pieces of work of the suspects between two words of progress, or two looks for another message.
pub const PIECES: usize = 20;

fn found(finding: &Finding) -> String {
    match finding {
        Finding::Reading(what, _) => format!("{}, {}", what.word(), place_text(what)),
        Finding::Seen(signal, _) => signal.clone(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::store::Command;
    use crate::store::fixture::{act, sealed};
    use crate::store::model::BenchAct;

    fn list(following: &mut Following) -> SuspectList {
        through(&mut |pieces| following.advance(pieces), &mut |_, _| {}).unwrap();
        following.list(Some(following.next()))
    }

    /// QA1 does not come in with the light of Q0 on, and 230 V stand between KF1:Q0 and QA2:21: the break between them is left, and the
    /// whole of another way to the same symptom, an open coil of QA1, is not.
    #[test]
    fn what_is_left_is_told_as_a_fitter_says_it() {
        let mut w = sealed();
        act(&mut w, "power on");
        w.carry_out(Command::Step(3_000)).unwrap();
        let mut following = Following::new(&w.session().attempt().to_json()).unwrap();
        let first = list(&mut following);
        let count = |list: &SuspectList| list.left.iter().map(|one| one.faults.len()).sum::<usize>();
        assert!(count(&first) > 100 && first.of >= count(&first), "{} of {}", count(&first), first.of);
        assert!(first.next.as_ref().is_some_and(|next| !next.is_empty()));
        let entries = following.entries;
        w.carry_out(Command::Act(BenchAct::Press("SF2".into()))).unwrap();
        w.carry_out(Command::Step(1_000)).unwrap();
        let what = Measurement::parse("volts AC", &["KF1:Q0".into(), "QA2:21".into()]).unwrap();
        w.carry_out(Command::Measure(what)).unwrap();
        let more: Vec<String> = w.session().entries_from(entries - 1).iter().map(Entry::to_json).collect();
        following.go_on(&more, w.session().tick()).unwrap();
        let then = list(&mut following);
        let said: Vec<(&str, &str)> = then
            .left
            .iter()
            .flat_map(|one| one.faults.iter().map(|said| (one.on.as_str(), said.as_str())))
            .collect();
        assert!(said.contains(&("110, KF1:Q0 – QA2:21", "broken, or off its terminal")), "{said:?}");
        assert!(!said.iter().any(|(on, said)| *on == "QA1" && *said == "coil open"), "{said:?}");
        assert!(count(&then) < count(&first) / 4, "{said:?}");
        assert!(then.ruled_out.iter().any(|out| out.by.contains("KF1:Q0 – QA2:21")));
    }
}
