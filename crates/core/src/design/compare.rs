//! Designs beside each other: what they have in common is kept once, and two that do the same are found out.

use super::Design;
use crate::network::Element;
use rustc_hash::FxHasher;
use std::hash::{Hash, Hasher};

impl Design {
    /// Keeps once what is equal in another design. It changes nothing but memory.
    pub fn share(&mut self, with: &Design) {
        self.parts.share(&with.parts);
        self.conductors.share(&with.conductors);
        self.cables.share(&with.cables);
        self.program.share(&with.program);
        self.signals.share(&with.signals);
        self.compiled.share(&with.compiled);
        self.nodes.share(&with.nodes);
        self.contacts.share(&with.contacts);
        self.network.share(&with.network);
    }

    /// A number that is the same for two designs of which [`Design::does_as`] holds, and seldom for others.
    pub fn bucket(&self) -> u64 {
        let mut hash = FxHasher::default();
        self.sorted_elements().hash(&mut hash);
        self.contacts.iter().for_each(|contact| contact.forced.hash(&mut hash));
        hash.finish()
    }

    /// Whether it is built of the same elements, contacts, devices and program as another, so that it does the same in all that can be
    /// seen and measured, whatever faults have made it so. The order of the elements does not count.
    pub fn does_as(&self, other: &Design) -> bool {
        self.contacts == other.contacts
            && self.wires == other.wires
            && self.contactors == other.contactors
            && self.controllers == other.controllers
            && self.controls == other.controls
            && self.overloads == other.overloads
            && self.switches == other.switches
            && self.supplies == other.supplies
            && self.dc_supplies == other.dc_supplies
            && self.lamps == other.lamps
            && self.motors == other.motors
            && self.position_switches == other.position_switches
            && self.brakes == other.brakes
            && self.program == other.program
            && (&self.parts, &self.conductors) == (&other.parts, &other.conductors)
            && self.network.ports == other.network.ports
            && self.sorted_elements() == other.sorted_elements()
    }

    fn sorted_elements(&self) -> Vec<[u64; 12]> {
        let mut elements: Vec<[u64; 12]> = self.network.elements.iter().map(Element::words).collect();
        elements.sort_unstable();
        elements
    }
}
