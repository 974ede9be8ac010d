//! Readings on a running bench.

use super::{Measured, Measurement, Probes, Seen, amperes, measure};
use crate::bench::Bench;
use crate::plan::Terminal;
use crate::state::Awake;
use crate::step::{Note, contacts_now};

impl Bench {
    /// What an instrument shows now. The bench stays as it is.
    ///
    /// # Errors
    /// A terminal or conductor that is not there.
    pub fn measure(&self, what: &Measurement) -> Result<Measured, String> {
        self.look(|seen| measure(seen, what))
    }

    /// Takes a reading, with the harm that it does: an input channel that the test voltage lands on is destroyed.
    ///
    /// # Errors
    /// A terminal or conductor that is not there; then nothing happens.
    pub fn take_reading(&mut self, what: &Measurement) -> Result<(Measured, Vec<Note>), String> {
        let measured = self.measure(what)?;
        let mut notes = Vec::new();
        for harm in &measured.harm {
            let Some(k) = self.design.controllers.iter().position(|c| c.tag == harm.part) else { continue };
            let controller = &mut self.state.controllers[k];
            let bit = 1u64 << harm.channel;
            if controller.destroyed & bit == 0 {
                controller.destroyed |= bit;
                // The channels are read anew in the next tick.
                self.state.stale = true;
                self.state.awake = Awake::ALL;
                let (part, channel, volts) = (harm.part.clone(), harm.channel, harm.volts);
                notes.push(Note::ChannelDestroyed { part, channel, volts });
            }
        }
        Ok((measured, notes))
    }

    /// DC volts between two terminals, as they stand without a meter.
    pub fn volts_dc(&self, a: &Terminal, b: &Terminal) -> Option<f64> {
        self.between(a, b, |p| p.open_dc())
    }

    /// AC volts (RMS) between two terminals, as they stand without a meter.
    pub fn volts_ac(&self, a: &Terminal, b: &Terminal) -> Option<f64> {
        self.between(a, b, |p| p.open_ac().abs())
    }

    /// DC volts on a meter of [`super::METER_OHM`], before its display rounds them.
    pub fn meter_volts_dc(&self, a: &Terminal, b: &Terminal) -> Option<f64> {
        self.between(a, b, |p| p.loaded_dc(super::METER_OHM))
    }

    /// AC volts on a meter of [`super::METER_OHM`], before its display rounds them.
    pub fn meter_volts_ac(&self, a: &Terminal, b: &Terminal) -> Option<f64> {
        self.between(a, b, |p| p.loaded_ac(super::METER_OHM))
    }

    /// DC resistance between two terminals with every source dead, ohm, before a display rounds it.
    pub fn resistance(&self, a: &Terminal, b: &Terminal) -> Option<f64> {
        self.between(a, b, |p| p.resistance())
    }

    /// Current in a conductor, A (DC and RMS of AC together).
    pub fn amperes(&self, conductor: &str) -> Option<f64> {
        self.look(|seen| amperes(seen, conductor)).ok()
    }

    fn between(&self, a: &Terminal, b: &Terminal, value: impl Fn(&Probes<'_>) -> f64) -> Option<f64> {
        self.look(|seen| Probes::on(seen, a, b).map(|p| value(&p))).ok()
    }

    /// The bench as instruments see it: as the last tick left it, or, where the design has changed since, with the
    /// contacts as they stand.
    fn look<T>(&self, see: impl FnOnce(Seen<'_>) -> T) -> T {
        let (design, state) = (&*self.design, &self.state);
        let key = if state.stale { contacts_now(design, state) } else { state.key };
        let solution = self.solution(&key);
        see(Seen { design, state, key, solution: &solution })
    }
}
