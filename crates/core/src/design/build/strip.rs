//! Terminal strips: joined terminals.

use super::*;
use crate::part::Strip;

impl Builder<'_> {
    pub(super) fn strip(&mut self, tag: &str, s: &Strip) {
        for bridge in &s.bridges {
            for pair in bridge.windows(2) {
                let (a, b) = (self.node(tag, &pair[0]), self.node(tag, &pair[1]));
                self.resistor(a, b, CONTACT_OHM);
            }
        }
    }
}
