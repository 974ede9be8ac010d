//! Mistakes made on purpose, so that the tests that keep the proof honest are seen to find them.

use super::plant::Plant;
use sealin_core::Design;

/// A mistake in an exploration.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sabotage {
    /// Break contacts open with the main contacts.
    BreakContactsLate,
    /// An input filter is left out.
    NoFilter,
    /// A voltage that leaves a channel or coil as it was reads as off.
    KeepAsOff,
    /// What is right of a control that reaches an input channel only is done with every control: it is worked at one tick of a
    /// quantum.
    HardWiredMerged,
    /// No weight hangs on a motor.
    NoWeight,
}

impl Sabotage {
    pub(super) fn of_design(mistake: Option<Sabotage>, mut design: Design) -> Design {
        match mistake {
            Some(Sabotage::BreakContactsLate) => design.open_break_contacts_late(),
            Some(Sabotage::NoFilter) => design.drop_filters(),
            Some(Sabotage::KeepAsOff) => design.read_keep_as_off(),
            Some(Sabotage::NoWeight) => design.take_off_weights(),
            Some(Sabotage::HardWiredMerged) | None => {}
        }
        design
    }

    pub(super) fn of_plant(mistake: Option<Sabotage>, mut plant: Plant) -> Plant {
        if mistake == Some(Sabotage::HardWiredMerged) {
            let controls = plant.movers.iter().enumerate().filter(|(_, mover)| mover.device.is_some());
            plant.once = controls.fold(0, |mask, (m, _)| mask | 1 << m);
        }
        plant
    }
}
