//! What the screen may tell of the bench: all of it, or in a sealed job what eyes and ears would tell at a machine and what was measured.

use super::Workshop;
use super::model::{Terminal, Tool};
use sealin_core::design::SignalSource;
use sealin_ladder::Program;

impl Workshop {
    /// Something may be wrong that nobody is to be told yet: then the screen shows what eyes and ears would tell at a machine and what
    /// was measured, and nothing else of its inside.
    pub fn is_sealed(&self) -> bool {
        self.session().is_sealed()
    }

    /// The program in the controller may be seen at work.
    pub fn shows_program(&self) -> bool {
        let finding = self.scenario().fault_finding.as_ref().filter(|_| self.is_sealed());
        finding.is_none_or(|finding| finding.allows(Tool::Program))
    }

    /// The program as the controller has it, where it may be seen; else as it is drawn.
    pub fn program_seen(&self) -> Program {
        let as_drawn = self.bench().plan().program.as_ref();
        let as_is = self.bench().design.program.as_ref();
        if self.shows_program() { as_is } else { as_drawn }.cloned().unwrap_or_default()
    }

    /// Whether a signal is there to be seen: all of them, or in a sealed job those that eyes and ears tell of. The bits of a program
    /// that is seen at work are among them.
    pub fn in_sight(&self, name: &str) -> bool {
        let design = &self.bench().design;
        let source = design.signal(name).map(|number| design.signals[number].source);
        source.is_some_and(|source| {
            let of_program = matches!(source, SignalSource::Variable(_)) && self.shows_program();
            !self.is_sealed() || source.is_in_sight() || of_program
        })
    }

    /// Volts at the coil of a contactor, RMS; none where only an instrument may tell.
    pub fn coil_volts(&self, tag: &str) -> Option<f64> {
        if self.is_sealed() {
            return None;
        }
        self.bench().volts_ac(&Terminal::new(tag, "A1"), &Terminal::new(tag, "A2"))
    }

    /// A signal's value now; false where there is no such signal, or none to be seen.
    pub fn signal(&self, name: &str) -> bool {
        self.seen(name).unwrap_or(false)
    }

    /// A signal's value now; none where there is no such signal, or none to be seen.
    pub fn seen(&self, name: &str) -> Option<bool> {
        self.bench().signal(name).filter(|_| self.in_sight(name))
    }
}
