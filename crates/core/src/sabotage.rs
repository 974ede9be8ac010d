//! Mistakes made on purpose in a design, so that the tests that must find them are seen to do so.

use crate::design::{ContactSource, Design};

impl Design {
    /// Break contacts of contactors and relays open where the main poles close, and close where they open.
    pub fn open_break_contacts_late(&mut self) {
        let mut contacts = Vec::clone(&self.contacts);
        for contact in &mut contacts {
            if let ContactSource::AuxBreak(i) = contact.source {
                contact.source = ContactSource::LateBreak(i);
            }
        }
        self.contacts = contacts.into();
    }

    /// Input channels are not filtered: a bit follows its channel in the same tick.
    pub fn drop_filters(&mut self) {
        self.controllers.iter_mut().for_each(|c| c.data.controller.filter_ms = 1);
    }

    /// Nothing hangs on the shafts: what a motor turns has inertia and friction, and no weight.
    pub fn take_off_weights(&mut self) {
        self.motors.iter_mut().for_each(|m| m.data.load.pull = 0.0);
    }

    /// Between its two thresholds a channel reads 0 and a coil lets go, whatever was before.
    pub fn read_keep_as_off(&mut self) {
        for c in &mut self.controllers {
            c.data.inputs.iter_mut().for_each(|input| input.levels.off = f64::INFINITY);
        }
        self.contactors.iter_mut().for_each(|c| c.data.electrics.drop_out = f64::INFINITY);
    }
}
