//! What is left of a course: what has been done is read from the log, what was put away is remembered.

use super::course::{Course, Deed, Step, of};
use crate::store::model::{Entry, Terminal};
use crate::store::{Screen, Thing};
use std::collections::BTreeSet;

/// Something asked about the hints.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum HintAct {
    /// Show them, those too that were put away.
    Start,
    /// Put away the one that is shown.
    PutAway,
    /// Show no more.
    Stop,
    /// Go on as an earlier visit left it.
    Remember(String),
}

/// The hints of the attempt in hand.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Hints {
    on: bool,
    away: BTreeSet<String>,
    done: BTreeSet<&'static str>,
    /// The attempt, and how many of its entries have been looked at.
    seen: (u64, usize),
}

/// A hint as it is shown.
#[derive(Clone, Copy)]
pub struct Shown {
    /// Its step.
    pub step: &'static Step,
    /// Its number in the course, from 1.
    pub number: usize,
    /// Steps of the course.
    pub of: usize,
}

impl PartialEq for Shown {
    fn eq(&self, other: &Shown) -> bool {
        std::ptr::eq(self.step, other.step)
    }
}

impl Hints {
    /// The hints after something was asked. What has been done stays done.
    pub fn after(&self, act: HintAct, job: &str) -> Hints {
        let mut next = self.clone();
        match act {
            HintAct::Start => {
                next.on = true;
                next.away.clear();
                next.on = next.shown(job).is_some();
            }
            HintAct::PutAway => {
                if let Some(shown) = self.shown(job) {
                    next.away.insert(shown.step.key.to_string());
                }
                next.on &= next.shown(job).is_some();
            }
            HintAct::Stop => next.on = false,
            HintAct::Remember(words) => {
                let mut words = words.split(' ').filter(|word| !word.is_empty()).map(String::from);
                next.on = words.next().as_deref() == Some("on");
                next.away = words.collect();
            }
        }
        next
    }

    /// What is to be remembered, for [`HintAct::Remember`].
    pub fn words(&self) -> String {
        let mut words = vec![if self.on { "on" } else { "off" }];
        words.extend(self.away.iter().map(String::as_str));
        words.join(" ")
    }

    /// They are being shown.
    pub fn on(&self) -> bool {
        self.on
    }

    /// The first step that is neither done nor put away, while the hints are shown.
    pub fn shown(&self, job: &str) -> Option<Shown> {
        let course = of(job).filter(|_| self.on)?;
        let left = |step: &&Step| !self.done.contains(step.key) && !self.away.contains(step.key);
        let step = course.steps.iter().find(left)?;
        let number = course.steps.iter().take_while(|other| other.key != step.key).count() + 1;
        Some(Shown { step, number, of: course.steps.len() })
    }

    /// Looks at what is new: entries of the log of attempt number `epoch`, and the screen.
    pub fn look(&mut self, job: &str, epoch: u64, entries: &[Entry], screen: &Screen) {
        let Some(course) = of(job) else { return };
        let (seen, from) = self.seen;
        if seen != epoch || from > entries.len() {
            self.done.clear();
            self.seen = (epoch, 0);
        }
        for entry in &entries[self.seen.1..] {
            self.take(course, entry);
        }
        self.seen.1 = entries.len();
        let Some(shown) = self.shown(job) else { return };
        let by_screen = match shown.step.done {
            Deed::Chosen(terminal, _) => {
                screen.sheet == shown.step.sheet
                    && Terminal::parse(terminal).map(Thing::Terminal) == screen.selection
            }
            Deed::Left => screen.sheet != shown.step.sheet,
            Deed::Logged(_) => false,
        };
        if by_screen {
            self.done.insert(shown.step.key);
            self.on = self.shown(job).is_some();
        }
    }

    fn take(&mut self, course: &'static Course, entry: &Entry) {
        for step in course.steps {
            if let Deed::Chosen(_, done) | Deed::Logged(done) = step.done
                && done(&entry.act)
            {
                self.done.insert(step.key);
            }
        }
    }
}

#[cfg(test)]
mod tests;
