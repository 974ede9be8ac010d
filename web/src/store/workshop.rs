//! The work in progress: the session with its bench, and the screen. The only module that calls the exercise crate.

use super::command::{Command, Notice, Saved};
use super::hand::Hand;
use super::model::*;
use super::pace::Pace;
use super::screen::Screen;
use std::rc::Rc;

/// How long after the last key a draft of the program becomes a change of the work, ms.
const DRAFT_PAUSE_MS: f64 = 800.0;

/// Everything the page works on.
pub struct Workshop {
    session: Session,
    scenario: Rc<Scenario>,
    screen: Screen,
    pace: Pace,
    revision: u64,
    draft: Option<Draft>,
    notice: Option<Notice>,
    saved: Saved,
    hand: Hand,
}

/// The text of the program while it is being typed.
struct Draft {
    text: String,
    age_ms: f64,
}

impl Workshop {
    /// A fresh attempt at a scenario.
    pub fn new(scenario: Rc<Scenario>, seed: u64) -> Workshop {
        let session = Session::new(scenario.clone(), seed);
        Workshop {
            session,
            scenario,
            screen: Screen::default(),
            pace: Pace::default(),
            revision: 0,
            draft: None,
            notice: None,
            saved: Saved::Fresh,
            hand: Hand::default(),
        }
    }

    /// The exercise.
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

    /// Where the attempt stands in storage.
    pub fn saved(&self) -> Saved {
        self.saved
    }

    /// The supply cable is live.
    pub fn supply_on(&self) -> bool {
        self.bench().state.supplies.iter().any(|on| *on)
    }

    /// A signal's value now; false where there is no such signal.
    pub fn signal(&self, name: &str) -> bool {
        self.bench().signal(name).unwrap_or(false)
    }

    /// Carries out a command.
    ///
    /// # Errors
    /// What was refused and why, for a person to read.
    pub fn carry_out(&mut self, command: Command) -> Result<(), String> {
        match command {
            Command::Draft(text) => {
                self.revision += 1;
                self.draft = Some(Draft { text, age_ms: 0.0 });
            }
            Command::KeepDraft => self.keep_draft()?,
            Command::Screen(act) => self.screen = self.screen.reduce(act),
            Command::Speed(speed) => {
                self.pace.speed = speed;
                self.pace.paused = false;
            }
            Command::Pause(paused) => self.pace.paused = paused,
            Command::Saved(saved) => self.saved = saved,
            Command::Notice(notice) => self.notice = Some(notice),
            Command::DismissNotice => self.notice = None,
            Command::Step(ticks) => {
                self.pace.paused = true;
                self.advance(ticks);
            }
            act => {
                self.keep_draft()?;
                self.work(act)?;
            }
        }
        Ok(())
    }

    /// What is written into the log.
    fn work(&mut self, command: Command) -> Result<(), String> {
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
            Command::Reading(reading) => return self.session.reading(reading),
            Command::Change(change) => self.session.change(change)?,
            Command::Undo => self.session.undo()?,
            Command::Redo => self.session.redo()?,
            Command::Transfer { cold } => self.session.transfer(cold).map_err(|found| lines(&found))?,
            Command::Seek { entry, tick } => self.session.seek(entry, tick)?,
            _ => return Ok(()),
        }
        self.revision += 1;
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
            }
        }
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
        changed
    }
}

/// Diagnostics as lines of text, the first few.
fn lines(found: &[sealin_ladder::Diagnostic]) -> String {
    found.iter().take(3).map(ToString::to_string).collect::<Vec<_>>().join("\n")
}
