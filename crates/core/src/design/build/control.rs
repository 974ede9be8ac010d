//! What a person works and looks at: push-buttons and lamps.

use super::*;
use crate::part::{Control, Lamp};

impl Builder<'_> {
    pub(super) fn control(&mut self, tag: &str, c: &Control) -> Result<(), BuildError> {
        if !(1..=c.positions()).contains(&c.start()) || !(2..=3).contains(&c.positions()) {
            return Err(self.wrong(tag, "two or three positions, and a start in one of them, are expected"));
        }
        let number = self.controls.len();
        let kept = match (self.has(Mode::StuckIn, tag), self.has(Mode::Detached, tag)) {
            (true, _) => Some(2),
            (false, true) => Some(c.start()),
            (false, false) => None,
        };
        self.controls.push(Tagged { tag: tag.to_string(), data: ControlData { control: c.clone(), kept } });
        for contact in &c.contacts {
            let source = ContactSource::Control(number, contact.closed_in);
            self.contact(tag, &contact.a, &contact.b, source, CONTACT_OHM);
        }
        Ok(())
    }

    pub(super) fn lamp(&mut self, tag: &str, l: &Lamp) -> Result<(), BuildError> {
        if l.resistance_mohm == 0 || l.rated_mv == 0 {
            return Err(self.wrong(tag, "rated voltage and resistance must be above 0"));
        }
        let nodes = (self.node(tag, "X1"), self.node(tag, "X2"));
        let dark = self.has(Mode::Dark, tag);
        if !dark {
            self.resistor(nodes.0, nodes.1, f64::from(l.resistance_mohm) / 1000.0);
        }
        self.lamps.push(Tagged { tag: tag.to_string(), data: LampData { lamp: l.clone(), nodes, dark } });
        Ok(())
    }
}
