//! What a person works and looks at: push-buttons and lamps.

use super::*;
use crate::part::{Button, Lamp};

impl Builder<'_> {
    pub(super) fn button(&mut self, tag: &str, b: &Button) {
        let number = self.buttons.len();
        let stuck = self.has(&Fault::ButtonStuck { part: tag.to_string() });
        self.buttons.push(Tagged { tag: tag.to_string(), data: ButtonData { stuck } });
        let (x, y) = if b.form == Form::Make { ("13", "14") } else { ("11", "12") };
        self.contact(tag, x, y, ContactSource::Button(number, b.form), CONTACT_OHM);
    }

    pub(super) fn lamp(&mut self, tag: &str, l: &Lamp) -> Result<(), BuildError> {
        if l.resistance_mohm == 0 || l.rated_mv == 0 {
            return Err(self.wrong(tag, "rated voltage and resistance must be above 0"));
        }
        let nodes = (self.node(tag, "X1"), self.node(tag, "X2"));
        self.resistor(nodes.0, nodes.1, f64::from(l.resistance_mohm) / 1000.0);
        self.lamps.push(Tagged { tag: tag.to_string(), data: LampData { lamp: l.clone(), nodes } });
        Ok(())
    }
}
