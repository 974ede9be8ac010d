//! The work in progress: the session with its bench, and the screen. The only module that calls the exercise crate.

use super::command::{Command, Notice};
use super::model::*;
use super::pace::Pace;
use super::screen::Screen;
use std::rc::Rc;

/// Everything the page works on.
pub struct Workshop {
    session: Session,
    scenario: Rc<Scenario>,
    screen: Screen,
    pace: Pace,
    revision: u64,
    notice: Option<Notice>,
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
            notice: None,
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
            Command::Act(act) => {
                let structure = matches!(act, BenchAct::Inject(_) | BenchAct::Clear(_) | BenchAct::ClearAll);
                self.session.bench_act(act)?;
                self.revision += u64::from(structure);
            }
            Command::Change(change) => {
                self.session.change(change)?;
                self.revision += 1;
            }
            Command::Undo => {
                self.session.undo()?;
                self.revision += 1;
            }
            Command::Redo => {
                self.session.redo()?;
                self.revision += 1;
            }
            Command::Transfer { cold } => {
                self.session
                    .transfer(cold)
                    .map_err(|found| found.first().map(ToString::to_string).unwrap_or_default())?;
                self.revision += 1;
            }
            Command::Reading { from, to, function, shown } => {
                self.session.reading(from, to, function, shown)?;
            }
            Command::Screen(act) => self.screen = self.screen.reduce(act),
            Command::Speed(speed) => {
                self.pace.speed = speed;
                self.pace.paused = false;
            }
            Command::Pause(paused) => self.pace.paused = paused,
            Command::Step(ticks) => {
                self.pace.paused = true;
                self.session.advance(ticks);
            }
            Command::Notice(notice) => self.notice = Some(notice),
            Command::DismissNotice => self.notice = None,
        }
        Ok(())
    }

    /// Runs the bench for the time that has passed on the wall clock. `clock` gives the time in ms; stepping stops when
    /// it has taken `budget_ms`.
    pub fn run(&mut self, wall_ms: f64, budget_ms: f64, clock: &dyn Fn() -> f64) {
        let due = self.pace.due(wall_ms);
        let start = clock();
        let (mut done, mut slice) = (0, 16);
        while done < due {
            let ticks = slice.min(due - done);
            let before = clock();
            self.session.advance(ticks);
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
    }
}
