//! What a person works and looks at: push-buttons, emergency stops, selectors, lamps.

use super::named;
use std::fmt;

/// A device worked by hand: an actuator with positions, and contacts each of which is closed in some of them.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Control {
    /// What the hand moves.
    pub actuator: Actuator,
    /// Its contacts, in the order in which they are drawn.
    pub contacts: Vec<ControlContact>,
    /// Colour of the actuator after IEC 60073.
    pub colour: Colour,
}

/// What the hand moves. Positions count from 1.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Actuator {
    /// A push-button with spring return: position 2 while it is pressed.
    Button,
    /// An emergency stop (ISO 13850, IEC 60947-5-5): pressed it latches in position 2 until it is turned. Its break
    /// contacts open positively.
    EmergencyStop,
    /// A selector that stays where it is turned to.
    Selector {
        /// Number of positions, 2 or 3.
        positions: u8,
        /// Where it stands before anybody has turned it.
        start: u8,
    },
}

/// A contact of a control device.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct ControlContact {
    /// One terminal.
    pub a: String,
    /// The other terminal.
    pub b: String,
    /// In which positions it is closed: position 1 is bit 0.
    pub closed_in: u8,
}

/// Whether a contact closes or opens on actuation.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Form {
    /// Normally open: closes on actuation.
    Make,
    /// Normally closed: opens on actuation.
    Break,
}

/// Colours of push-buttons and lamps, IEC 60204-1 clause 10 and IEC 60073.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Colour {
    /// Black.
    Black,
    /// White.
    White,
    /// Red.
    Red,
    /// Yellow.
    Yellow,
    /// Green.
    Green,
    /// Blue.
    Blue,
}

impl fmt::Display for Colour {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Colour::Black => "black",
            Colour::White => "white",
            Colour::Red => "red",
            Colour::Yellow => "yellow",
            Colour::Green => "green",
            Colour::Blue => "blue",
        })
    }
}

/// An indicator lamp with LED.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Lamp {
    /// Rated voltage, mV.
    pub rated_mv: u32,
    /// Resistance at rated voltage, milliohm.
    pub resistance_mohm: u32,
    /// Colour.
    pub colour: Colour,
}

impl Control {
    /// A push-button with one contact: make 13-14, or break 11-12.
    pub fn button(form: Form, colour: Colour) -> Control {
        let pair = match form {
            Form::Make => ("13", "14"),
            Form::Break => ("11", "12"),
        };
        Control { actuator: Actuator::Button, contacts: vec![ControlContact::of_form(pair, form)], colour }
    }

    /// Number of positions.
    pub fn positions(&self) -> u8 {
        match self.actuator {
            Actuator::Button | Actuator::EmergencyStop => 2,
            Actuator::Selector { positions, .. } => positions,
        }
    }

    /// Position before anybody has worked it.
    pub fn start(&self) -> u8 {
        match self.actuator {
            Actuator::Button | Actuator::EmergencyStop => 1,
            Actuator::Selector { start, .. } => start,
        }
    }

    /// It is pressed and let go, rather than turned to a position.
    pub fn is_pressed(&self) -> bool {
        !matches!(self.actuator, Actuator::Selector { .. })
    }

    /// The actuator forces this contact open, a welded one too (positive opening, IEC 60947-5-1 Annex K).
    pub fn opens_positively(&self, contact: &ControlContact) -> bool {
        self.actuator == Actuator::EmergencyStop && contact.form() == Some(Form::Break)
    }

    /// Names of the terminals, in the order in which they are drawn.
    pub fn terminals(&self) -> Vec<String> {
        self.contacts.iter().flat_map(|c| [c.a.clone(), c.b.clone()]).collect()
    }

    /// Contacts as their terminal pairs.
    pub fn contacts(&self) -> Vec<(String, String)> {
        self.contacts.iter().map(|c| (c.a.clone(), c.b.clone())).collect()
    }
}

impl ControlContact {
    /// A contact of a device with two positions.
    pub fn of_form((a, b): (&str, &str), form: Form) -> ControlContact {
        ControlContact { a: a.to_string(), b: b.to_string(), closed_in: form.closed_in() }
    }

    /// Whether it is closed in this position.
    pub fn closed(&self, position: u8) -> bool {
        self.closed_in >> (position.saturating_sub(1) & 7) & 1 != 0
    }

    /// Make or break, as of a device with two positions.
    pub fn form(&self) -> Option<Form> {
        [Form::Make, Form::Break].into_iter().find(|form| form.closed_in() == self.closed_in)
    }
}

impl Form {
    /// The form that the terminal numbers tell: function digits 1 and 2 break, 3 and 4 make (IEC 60947-1 Annex L, formerly
    /// EN 50005). `None` where they are not the two terminals of such a contact.
    pub fn of_numbers(a: &str, b: &str) -> Option<Form> {
        let number = |text: &str| match text.as_bytes() {
            [sequence @ b'1'..=b'9', function] => Some((*sequence, *function)),
            _ => None,
        };
        let ((first, from), (second, to)) = (number(a)?, number(b)?);
        match (first == second, from, to) {
            (true, b'1', b'2') => Some(Form::Break),
            (true, b'3', b'4') => Some(Form::Make),
            _ => None,
        }
    }

    /// Positions of a device with two positions in which it is closed, as [`ControlContact::closed_in`].
    fn closed_in(self) -> u8 {
        match self {
            Form::Make => 0b10,
            Form::Break => 0b01,
        }
    }
}

impl Lamp {
    /// Names of the terminals, in the order in which they are drawn.
    pub fn terminals(&self) -> Vec<String> {
        named(&["X1", "X2"])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// IEC 60947-1: 13-14 and 23-24 make, 11-12 and 21-22 break; 95-96 is no contact of a control device, and the two
    /// terminals of a contact share their sequence digit.
    #[test]
    fn numbers_tell_the_form() {
        for (a, b, form) in [
            ("13", "14", Some(Form::Make)),
            ("23", "24", Some(Form::Make)),
            ("11", "12", Some(Form::Break)),
            ("21", "22", Some(Form::Break)),
            ("95", "96", None),
            ("13", "24", None),
            ("14", "13", None),
            ("X1", "X2", None),
        ] {
            assert_eq!(Form::of_numbers(a, b), form, "{a}-{b}");
        }
    }
}
