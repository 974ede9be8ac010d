//! What is written into the log: acts, readings, changes of the work, and what belongs to a search.

use super::*;

impl Workshop {
    /// What is written into the log.
    pub(super) fn work(&mut self, command: Command) -> Result<(), String> {
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
}

/// Diagnostics as lines of text, the first few.
fn lines(found: &[sealin_ladder::Diagnostic]) -> String {
    found.iter().take(3).map(ToString::to_string).collect::<Vec<_>>().join("\n")
}
