//! The bench's time as the wall clock goes, and the hand that lets go in it.

use super::*;

impl Workshop {
    /// What a hand holds pressed now.
    pub fn hand(&self) -> &Hand {
        &self.hand
    }

    /// A bench that was left or gone back to may have buttons pressed by a hand that is no longer there: it lets go.
    pub(super) fn let_go_of_all(&mut self) {
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

    pub(super) fn release_due(&mut self) -> Result<(), String> {
        for tag in self.hand.due(self.session.tick()) {
            self.session.bench_act(BenchAct::Release(tag))?;
        }
        Ok(())
    }

    /// Runs the bench by so many ticks; a hand that has let go does so in time.
    pub(super) fn advance(&mut self, ticks: u64) {
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
