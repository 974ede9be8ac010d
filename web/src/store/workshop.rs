//! The work in progress: the session with its bench, and the screen. The only module that calls the exercise crate.

mod time;
mod work;

use super::checks::Checks;
use super::command::{Command, Notice, Saved};
use super::example;
use super::fault_table::FaultTable;
use super::hand::{Hand, SHORTEST_PRESS_MS};
use super::model::*;
use super::pace::Pace;
use super::proofs::Proofs;
use super::rest::Rest;
use super::screen::{Screen, ScreenAct, Sheet};
use super::suspects::Suspicion;
use super::why::{Answer, Why, WhyAct};
use crate::hints::Hints;
use crate::t;
use crate::text::instrument::{remark_text, unsafe_text};
use crate::text::time::bench_time;
use sealin_core::canon::hex;
use sealin_exercise::grade;
use std::rc::Rc;

/// How long after the last key a draft of the program becomes a change of the work, ms.
const DRAFT_PAUSE_MS: f64 = 800.0;

/// Everything the page works on.
pub struct Workshop {
    session: Session,
    scenario: Rc<Scenario>,
    screen: Screen,
    pace: Pace,
    rest: Rest,
    revision: u64,
    draft: Option<Draft>,
    notice: Option<Notice>,
    saved: Saved,
    hand: Hand,
    checks: Checks,
    proofs: Proofs,
    fault_table: FaultTable,
    suspicion: Suspicion,
    hints: Hints,
    why: Why,
    epoch: u64,
    /// Counts the attempts that were the work in progress; an example is none.
    work: u64,
    /// Where the work in progress lies in this browser, as far as is known.
    place: Option<u32>,
    /// The work in progress while an example is in its place.
    own: Option<Own>,
}

/// Work that waits.
struct Own {
    session: Session,
    checks: Checks,
}

/// An attempt as a file.
#[derive(Clone, Debug)]
pub struct AttemptFile {
    /// Name that is proposed for it.
    pub name: String,
    /// Its content.
    pub text: String,
}

/// The text of the program while it is being typed.
struct Draft {
    text: String,
    age_ms: f64,
}

impl Workshop {
    /// Work on a session.
    pub fn new(session: Session) -> Workshop {
        let mut workshop = Workshop {
            scenario: session.project().scenario(session.scenario()),
            session,
            screen: Screen::default(),
            pace: Pace::default(),
            rest: Rest::default(),
            revision: 0,
            draft: None,
            notice: None,
            saved: Saved::Fresh,
            hand: Hand::default(),
            checks: Checks::default(),
            proofs: Proofs::default(),
            fault_table: FaultTable::default(),
            suspicion: Suspicion::default(),
            hints: Hints::default(),
            why: Why::default(),
            epoch: 0,
            work: 0,
            place: None,
            own: None,
        };
        workshop.let_go_of_all();
        workshop
    }

    /// Work on a session that lies at a place in this browser, or nowhere yet.
    pub fn lying_at(session: Session, place: Option<u32>) -> Workshop {
        Workshop { place, ..Workshop::new(session) }
    }

    /// The exercise, with the parts that were taken from stores as if they were its own.
    pub fn scenario(&self) -> &Rc<Scenario> {
        &self.scenario
    }

    /// The attempt and its bench.
    pub fn session(&self) -> &Session {
        &self.session
    }

    /// The bench at this instant.
    pub fn bench(&self) -> &Bench {
        self.session.bench()
    }

    /// Conductors, program and dials.
    pub fn project(&self) -> &Project {
        self.session.project()
    }

    /// Text of the program on the sheet, as it is being typed.
    pub fn source(&self) -> &str {
        self.draft.as_ref().map_or(&self.session.project().source, |draft| &draft.text)
    }

    /// What the screen shows.
    pub fn screen(&self) -> &Screen {
        &self.screen
    }

    /// Speed and pause.
    pub fn pace(&self) -> &Pace {
        &self.pace
    }

    /// Counts changes of structure: wiring, program, dials, faults, another attempt. Time passing does not count.
    pub fn revision(&self) -> u64 {
        self.revision
    }

    /// The message on the page.
    pub fn notice(&self) -> Option<&Notice> {
        self.notice.as_ref()
    }

    /// Faults in effect, in a fixed order.
    pub fn faults(&self) -> Vec<Fault> {
        self.bench().plan().faults.iter().cloned().collect()
    }

    /// Conductors, given and made, by id.
    pub fn conductors(&self) -> Vec<Conductor> {
        self.project().conductors.values().cloned().collect()
    }

    /// Where the checks stand, with the last marks.
    pub fn checks(&self) -> &Checks {
        &self.checks
    }

    /// Where the proofs stand.
    pub fn proofs(&self) -> &Proofs {
        &self.proofs
    }

    /// What is known of what is still suspected.
    pub fn suspicion(&self) -> &Suspicion {
        &self.suspicion
    }

    /// Where the fault table stands.
    pub fn fault_table(&self) -> &FaultTable {
        &self.fault_table
    }

    /// The work has been changed since it was marked.
    pub fn checks_stale(&self) -> bool {
        // What is being typed counts, too.
        let same = |project: &Project| project.source == self.source() && project.same_panel(self.project());
        self.checks.marked.as_ref().is_some_and(|marked| !same(&marked.project))
    }

    /// The hints of the first steps.
    pub fn hints(&self) -> &Hints {
        &self.hints
    }

    /// The work in progress and its number, whether or not an example is in its place: what is kept.
    pub fn own(&self) -> (&Session, u64) {
        (self.own.as_ref().map_or(&self.session, |own| &own.session), self.work)
    }

    /// Where the work in progress lies in this browser, as far as is known.
    pub fn place(&self) -> Option<u32> {
        self.place
    }

    /// A worked example is in the place of the work in progress.
    pub fn on_example(&self) -> bool {
        self.own.is_some()
    }

    /// The job has an example that may be looked at.
    pub fn has_example(&self) -> bool {
        example::of(&self.scenario).is_some()
    }

    /// Counts attempts: raised when another one takes the place of the work in progress.
    pub fn epoch(&self) -> u64 {
        self.epoch
    }

    /// The name on the attempt.
    pub fn author(&self) -> &str {
        &self.session.head().author
    }

    /// Trace hash and exact hash of the line, in hexadecimal.
    pub fn hashes(&self) -> (String, String) {
        let trace = self.session.trace();
        (hex(&trace.trace_hash()), hex(&trace.exact_hash()))
    }

    /// The attempt as a file, computed again from its log.
    ///
    /// # Errors
    /// If that gives another trace than the one shown, or it is an example.
    pub fn export(&self) -> Result<AttemptFile, String> {
        let text = self.exported()?.to_json();
        Ok(AttemptFile { name: format!("{}.attempt.json", self.scenario.id), text })
    }

    /// The attempt, computed again from its log.
    ///
    /// # Errors
    /// If that gives another trace than the one shown, or it is an example.
    pub fn exported(&self) -> Result<Attempt, String> {
        match self.on_example() {
            true => Err(t!("example-no-file").into()),
            false => self.session.export(),
        }
    }

    /// Where the attempt stands in storage.
    pub fn saved(&self) -> Saved {
        self.saved
    }

    /// The supply cable is live.
    pub fn supply_on(&self) -> bool {
        self.bench().state.supplies.iter().any(|on| *on)
    }

    /// Carries out a command.
    ///
    /// # Errors
    /// What was refused and why, for a person to read.
    pub fn carry_out(&mut self, command: Command) -> Result<(), String> {
        self.do_it(command)?;
        self.look_for_hints();
        Ok(())
    }

    fn look_for_hints(&mut self) {
        self.hints.look(&self.scenario.id, self.epoch, self.session.entries_from(0), &self.screen);
    }

    fn do_it(&mut self, command: Command) -> Result<(), String> {
        match command {
            Command::Draft(text) => {
                self.revision += 1;
                self.draft = Some(Draft { text, age_ms: 0.0 });
            }
            Command::KeepDraft => self.keep_draft()?,
            Command::Screen(act) => {
                let before = self.screen.sheet;
                if act.sheet().is_none_or(|sheet| sheet.is_open_in(&self.scenario)) {
                    self.screen = self.screen.reduce(act);
                }
                if before != self.screen.sheet {
                    self.forget_done();
                }
            }
            Command::Why(act) => self.why = self.answered(act),
            Command::Speed(speed) => {
                self.pace.run_at(speed);
                self.rest = Rest::default();
            }
            Command::Pause(paused) => self.pace.paused = paused,
            Command::Author(name) => {
                self.session.set_author(&name);
                self.revision += 1;
            }
            Command::Open(attempt) => self.open(&attempt)?,
            Command::Job { session, place } => {
                self.keep_draft()?;
                self.replace(Session::clone(&session), place);
            }
            Command::Placed { work, place } => {
                if work == self.work {
                    self.place = Some(place);
                }
            }
            Command::StartOver { seed, started } => {
                let mut session =
                    Session::new(self.session.scenario().clone(), seed).map_err(|e| e.to_string())?;
                session.set_started(&started);
                self.replace(session, None);
                self.notice = Some(Notice { refused: false, text: t!("attempt-fresh").into() });
            }
            Command::Hints(act) => self.hints = self.hints.after(act, &self.scenario.id),
            Command::Example(look) => self.example(look)?,
            Command::Checks(event) => self.checks = self.checks.reduce(event),
            Command::Proofs(event) => self.proofs = self.proofs.reduce(event),
            Command::Faults(event) => self.fault_table = self.fault_table.reduce(event),
            Command::Suspects(event) => self.suspicion = self.suspicion.reduce(event),
            Command::Saved(saved) => self.saved = saved,
            Command::Notice(notice) => self.notice = Some(notice),
            Command::DismissNotice => self.notice = None,
            Command::Step(ticks) => {
                self.pace.paused = true;
                self.advance(ticks);
            }
            act => {
                self.keep_draft()?;
                self.forget_done();
                self.work(act)?;
            }
        }
        Ok(())
    }

    /// That something was done need not be said any longer once a person goes on; what was refused stays until it is put away.
    fn forget_done(&mut self) {
        self.notice = self.notice.take().filter(|notice| notice.refused);
    }

    /// What stands in the place for the answer to Why?.
    pub fn why(&self) -> &Why {
        &self.why
    }

    fn answered(&self, act: WhyAct) -> Why {
        if self.is_sealed() && act != WhyAct::Close {
            return Why::Sealed;
        }
        let (subjects, at) = match act {
            WhyAct::Open => return Why::Open,
            WhyAct::Close => return Why::Closed,
            WhyAct::Ask(subjects, at) => (subjects, at.filter(|tick| *tick < self.bench().tick())),
        };
        let earlier = at.map(|tick| self.session.bench_at(tick));
        let answer = match &earlier {
            None => Answer::of(self.bench(), subjects, false),
            Some(then) => then.as_ref().and_then(|then| Answer::of(then, subjects, true)),
        };
        answer.map_or(Why::Silent, |answer| Why::Answered(Rc::new(answer)))
    }

    /// Opens an attempt; the work in progress goes only when the log has been followed to its end.
    fn open(&mut self, attempt: &Attempt) -> Result<(), String> {
        let scenario = grade::scenario_of(attempt).map_err(|error| error.to_string())?;
        let damaged = attempt.chain_holds() == Some(false);
        let session = Session::open(scenario, attempt.clone()).map_err(|error| error.to_string())?;
        let mut text = t!("attempt-opened", acts = session.acts(), time = bench_time(session.tick()));
        if damaged {
            text.push_str(" △ ");
            text.push_str(t!("attempt-damaged"));
        }
        self.replace(session, None);
        self.notice = Some(Notice { refused: false, text });
        Ok(())
    }

    /// Another attempt becomes the work in progress.
    fn replace(&mut self, session: Session, place: Option<u32>) {
        self.own = None;
        self.put(session);
        self.work += 1;
        self.place = place;
    }

    /// Puts another attempt on the bench; what belongs to the screen stays.
    fn put(&mut self, session: Session) {
        let fresh = Workshop::new(session);
        let last = std::mem::replace(self, fresh);
        self.checks.job = last.checks.job + 1;
        self.proofs.job = last.proofs.job + 1;
        self.fault_table = last.fault_table.of_other_work();
        self.suspicion = last.suspicion.of_other_work();
        self.revision = last.revision + 1;
        self.epoch = last.epoch + 1;
        (self.screen, self.hints, self.saved) = (last.screen, last.hints, last.saved);
        if !self.screen.sheet.is_open_in(&self.scenario) {
            self.screen = self.screen.reduce(ScreenAct::GoTo(Sheet::Brief));
        }
        (self.work, self.place, self.own) = (last.work, last.place, last.own);
    }

    /// Looks at the example, or goes back to the work in progress, which stands still meanwhile.
    fn example(&mut self, look: bool) -> Result<(), String> {
        if look && self.own.is_none() {
            self.keep_draft()?;
            let session = example::session(self.session.scenario())?;
            let own = Own { session: self.session.clone(), checks: self.checks.clone() };
            self.put(session);
            self.own = Some(own);
        } else if !look && let Some(own) = self.own.take() {
            self.put(own.session);
            self.checks.marked = own.checks.marked;
        }
        Ok(())
    }

    fn keep_draft(&mut self) -> Result<(), String> {
        if let Some(draft) = self.draft.take() {
            self.session.set_source(&draft.text)?;
            self.revision += 1;
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests;
