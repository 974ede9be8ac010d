//! The network of a small bench as a table: what every coil does for every place of every contact.

use sealin_core::devices::armature::{Armature, Place};
use sealin_core::part::{Actuator, Kind};
use sealin_core::step::{End, FreeCache, free_step};
use sealin_core::{Design, State};
use sealin_proof::explore::Question;
use std::fmt::Write as _;

/// The bit of an entry that tells of harm; below it two for each coil: what it does when it let go before, and when it attracted.
pub const HARM_BIT: u32 = 14;

/// Most entries.
const MOST_ENTRIES: usize = 1 << 20;

/// A bench that has a model tick by tick.
pub struct Bench {
    pub design: Design,
    /// Of each button, its position at rest.
    pub controls: Vec<u8>,
    /// Tags.
    pub overloads: Vec<String>,
    pub contactors: Vec<String>,
}

impl Bench {
    /// # Errors
    /// A part that such a model does not have.
    pub fn new(question: &Question) -> Result<Bench, String> {
        if question.fault.is_some() {
            return Err("a fault is not part of a model tick by tick".to_string());
        }
        let design = Design::build(question.plan).map_err(|e| e.to_string())?;
        let (mut overloads, mut contactors) = (Vec::new(), Vec::new());
        for part in &design.parts {
            let tag = part.tag.clone();
            match &part.kind {
                Kind::Supply(_) | Kind::Transformer(_) | Kind::Strip(_) => {}
                Kind::Control(c) if !matches!(c.actuator, Actuator::Selector { .. }) => {}
                Kind::Overload(_) => overloads.push(tag),
                Kind::Contactor(c) if c.interlocked_with.is_none() && c.bounce_ms == 0 => {
                    contactors.push(tag)
                }
                _ => return Err(format!("{tag} is not part of a model tick by tick")),
            }
        }
        let controls = design.initial_state().controls.iter().map(|c| c.position).collect();
        if 2 * contactors.len() > HARM_BIT as usize {
            return Err(format!("{} contactors are too many", contactors.len()));
        }
        Ok(Bench { design, controls, overloads, contactors })
    }

    /// The table as C, power first, then buttons, overloads and contactors, the last one varying first.
    ///
    /// # Errors
    /// If it would be too large, or the network depends on what is free.
    pub fn table(&self) -> Result<String, String> {
        let (c, o, k) =
            (self.controls.len() as u32, self.overloads.len() as u32, self.contactors.len() as u32);
        let entries = 2usize.pow(1 + c + 2 * o).saturating_mul(3usize.pow(k));
        if entries > MOST_ENTRIES {
            return Err(format!("{entries} places of contacts are too many"));
        }
        let mut free = FreeCache::default();
        let mut out = "static const unsigned short NETWORK[] = {".to_string();
        for entry in 0..entries {
            let _ =
                write!(out, "{}{},", if entry % 16 == 0 { "\n" } else { "" }, self.entry(entry, &mut free)?);
        }
        Ok(out + "\n};\n")
    }

    fn entry(&self, entry: usize, free: &mut FreeCache) -> Result<u16, String> {
        let mut all = 0u16;
        for (was, attracted) in [false, true].into_iter().enumerate() {
            let mut state = self.state(entry);
            state.contactors.iter_mut().for_each(|s| s.attracted = attracted);
            match free_step(&self.design, &mut state, free) {
                Ok(()) => {
                    let coils = state.contactors.iter().enumerate();
                    all |= coils.fold(0, |all, (k, s)| all | u16::from(s.attracted) << (2 * k + was));
                }
                Err(End::Harm(_)) => return Ok(1 << HARM_BIT),
                Err(End::Outside(why)) => return Err(why),
            }
        }
        Ok(all)
    }

    /// A state with its contacts in these places.
    fn state(&self, mut entry: usize) -> State {
        let mut digit = |base: usize| {
            let digit = entry % base;
            entry /= base;
            digit
        };
        let mut state = self.design.initial_state();
        for s in state.contactors.iter_mut().rev() {
            let place = [Place::Out, Place::ClosingAllOpen, Place::In][digit(3)];
            s.armature = Armature { place, elapsed: 0 };
        }
        for s in state.overloads.iter_mut().rev() {
            s.stop_held = digit(2) == 1;
            s.tripped = digit(2) == 1;
        }
        for s in state.controls.iter_mut().rev() {
            s.position = 1 + digit(2) as u8;
            (s.before, s.bounce) = (s.position, 0);
        }
        state.supplies.fill(digit(2) == 1);
        state
    }
}
