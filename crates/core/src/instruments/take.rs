//! Readings on a running bench.

use super::spot::measure_at;
use super::{Measured, Measurement, Probes, Seen, Shown, Spot, amperes, measure};
use crate::bench::Bench;
use crate::complex::Complex;
use crate::network::{Impedances, Key};
use crate::plan::Terminal;
use crate::state::Awake;
use crate::step::{Note, contacts_now};

/// All of a bench that decides what its instruments show: with the same design and the same face they show the same.
#[derive(Clone, Debug, PartialEq)]
pub struct Face {
    key: Key,
    /// Currents, speed and field of each motor, and whether it is apart from everything.
    motors: Vec<([Complex; 3], f64, f64, bool)>,
}

impl Bench {
    /// What decides the readings now.
    pub fn face(&self) -> Face {
        let motors = self.state.motors.iter().map(|m| (m.current, m.stamped, m.field, m.apart));
        Face { key: self.key_now(), motors: motors.collect() }
    }

    /// What an instrument shows now. The bench stays as it is.
    ///
    /// # Errors
    /// A terminal or conductor that is not there.
    pub fn measure(&self, what: &Measurement) -> Result<Measured, String> {
        self.look(|seen| measure(seen, what))
    }

    /// What an instrument shows now in each of these places, which [`crate::Design::spot`] has found, and its phasor
    /// ([`Measured::phasor`]). One by one by [`Bench::measure`] they would take some hundred times as long; a resistance may differ from
    /// that by some microohm.
    pub fn survey(&self, spots: &[Spot]) -> Vec<(Shown, Option<[i64; 2]>)> {
        self.look(|seen| {
            let impedances = Impedances::new(&seen.design.network, &seen.key);
            let seen = Seen { impedances: Some(&impedances), ..seen };
            let shown = |&spot: &Spot| {
                let measured = measure_at(seen, spot);
                (measured.shown, measured.phasor)
            };
            spots.iter().map(shown).collect()
        })
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

    fn key_now(&self) -> Key {
        if self.state.stale { contacts_now(&self.design, &self.state) } else { self.state.key }
    }

    /// The bench as instruments see it: as the last tick left it, or, where the design has changed since, with the
    /// contacts as they stand.
    fn look<T>(&self, see: impl FnOnce(Seen<'_>) -> T) -> T {
        let (design, state) = (&*self.design, &self.state);
        let key = self.key_now();
        let solution = self.solution(&key);
        let drawn = design.drawn(state);
        see(Seen { design, state, key, solution: &solution, drawn: &drawn, impedances: None })
    }
}
