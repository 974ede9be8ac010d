//! The work in progress: the session with its bench, and the screen. The only module that calls the exercise crate.

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

    /// What is written into the log.
    fn work(&mut self, command: Command) -> Result<(), String> {
        if self.saved == Saved::Elsewhere && !self.on_example() {
            return Err(t!("attempt-elsewhere").into());
        }
        match command {
            Command::Act(act) => {
                let structure = matches!(act, BenchAct::Inject(_) | BenchAct::Clear(_) | BenchAct::ClearAll);
                self.session.bench_act(act)?;
                self.revision += u64::from(structure);
                return Ok(());
            }
            Command::Hold(tag) => {
                let tick = self.session.tick();
                if self.hand.press(&tag, tick) {
                    self.session.bench_act(BenchAct::Press(tag))?;
                }
                return Ok(());
            }
            Command::LetGo(tag) => {
                self.hand.let_go(&tag, self.pace.paused);
                return self.release_due();
            }
            Command::Measure(what) => return self.measure(what),
            Command::Predict { prediction, answer } => {
                self.session.predict(&prediction, answer)?;
                return Ok(());
            }
            Command::OpenHint(id) => {
                self.session.open_hint(&id)?;
                return Ok(());
            }
            Command::Record { check, text } => return self.session.record(&check, &text),
            Command::Look => return self.session.look(),
            Command::Diagnose(diagnosis) => return self.session.diagnose(diagnosis),
            Command::Repair(repair) => self.repair(repair)?,
            Command::HandIn => {
                self.session.hand_in()?;
                self.why = Why::Closed;
            }
            Command::Change(change) => self.session.change(change)?,
            Command::Undo => self.session.undo()?,
            Command::Redo => self.session.redo()?,
            Command::Transfer { cold } => self.session.transfer(cold).map_err(|found| lines(&found))?,
            Command::Seek(tick) => {
                let (entry, tick) = self.session.place(tick).ok_or(t!("attempt-nothing-earlier"))?;
                self.session.seek(entry, tick)?;
                self.pace.paused = true;
                self.hand = Hand::default();
                self.let_go_of_all();
            }
            _ => return Ok(()),
        }
        self.scenario = self.session.project().scenario(self.session.scenario());
        self.revision += 1;
        Ok(())
    }

    /// Something is put right. What was unsafe about it is told at once.
    fn repair(&mut self, repair: Repair) -> Result<(), String> {
        let before = self.session.unsafe_acts().len();
        self.session.repair(repair)?;
        if let Some(recorded) = self.session.unsafe_acts().get(before) {
            self.notice = Some(Notice { refused: true, text: unsafe_text(&recorded.act) });
        }
        Ok(())
    }

    /// A reading into the log. What was unsafe about it is told at once.
    fn measure(&mut self, what: Measurement) -> Result<(), String> {
        if self.hand.next_due().is_some() {
            // A finger that has let go is off the button before there is an instrument in the hand.
            self.advance(SHORTEST_PRESS_MS);
        }
        let found = self.session.measure(what)?;
        if found.danger.is_some() {
            self.notice = Some(Notice { refused: true, text: remark_text(&found) });
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

    /// What a hand holds pressed now.
    pub fn hand(&self) -> &Hand {
        &self.hand
    }

    /// A bench that was left or gone back to may have buttons pressed by a hand that is no longer there: it lets go.
    fn let_go_of_all(&mut self) {
        let bench = self.session.bench();
        let on = |name: &str| bench.signal(name).unwrap_or(false);
        let pressed = |part: &Part| match &part.kind {
            // An emergency stop stays in with nobody there.
            Kind::Control(control) if control.actuator == Actuator::Button => {
                on(&format!("{}.pressed", part.tag)).then(|| part.tag.clone()).into_iter().collect()
            }
            Kind::Overload(_) => ["stop", "reset"]
                .map(|what| format!("{}.{what}", part.tag))
                .into_iter()
                .filter(|n| on(n))
                .collect(),
            Kind::Contactor(_) | Kind::Relay(_) => {
                let pushed = bench.contactor(&part.tag).is_some_and(|(_, _, pushed)| pushed);
                pushed.then(|| part.tag.clone()).into_iter().collect()
            }
            _ => Vec::new(),
        };
        let held: Vec<String> = self.scenario.parts.iter().flat_map(pressed).collect();
        let tick = self.session.tick();
        for tag in held {
            self.hand.press(&tag, tick);
            self.hand.let_go(&tag, true);
        }
    }

    fn release_due(&mut self) -> Result<(), String> {
        for tag in self.hand.due(self.session.tick()) {
            self.session.bench_act(BenchAct::Release(tag))?;
        }
        Ok(())
    }

    /// Runs the bench by so many ticks; a hand that has let go does so in time.
    fn advance(&mut self, ticks: u64) {
        let end = self.session.tick() + ticks;
        while self.session.tick() < end {
            let now = self.session.tick();
            let next = self.hand.next_due().map_or(end, |due| due.clamp(now + 1, end));
            if self.session.advance(next - now) == 0 {
                return;
            }
            // A button that the design no longer has needs no letting go.
            let _ = self.release_due();
        }
    }

    /// Runs the bench for the time that has passed on the wall clock. `clock` gives the time in ms; stepping stops when
    /// it has taken `budget_ms`. True when something besides the bench has changed.
    pub fn run(&mut self, wall_ms: f64, budget_ms: f64, clock: &dyn Fn() -> f64) -> bool {
        let mut changed = false;
        if let Some(draft) = &mut self.draft {
            draft.age_ms += wall_ms;
            if draft.age_ms >= DRAFT_PAUSE_MS {
                changed = self.keep_draft().is_ok();
                self.look_for_hints();
            }
        }
        self.session.pass_wall(wall_ms.round() as u32);
        let due = self.pace.due(wall_ms);
        let start = clock();
        let (mut done, mut slice) = (0, 16);
        while done < due {
            let ticks = slice.min(due - done);
            let before = clock();
            self.advance(ticks);
            done += ticks;
            let now = clock();
            if now - start >= budget_ms {
                break;
            }
            // Larger slices where they are cheap: a bench at rest passes many ticks at once.
            if now - before < budget_ms / 8.0 {
                slice *= 2;
            }
        }
        self.pace.book(done, wall_ms);
        // Fast time stops by itself where it would only be waiting.
        if self.pace.fast() && self.hand.next_due().is_none() && self.rest.reached(self.session.bench()) {
            self.pace.come_to_rest();
            changed = true;
        }
        changed
    }
}

/// Diagnostics as lines of text, the first few.
fn lines(found: &[sealin_ladder::Diagnostic]) -> String {
    found.iter().take(3).map(ToString::to_string).collect::<Vec<_>>().join("\n")
}

#[cfg(test)]
mod tests;
