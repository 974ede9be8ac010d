//! What a person works and looks at: push-buttons and lamps.

use super::{named, pairs};
use std::fmt;

/// A push-button.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Button {
    /// Its contact.
    pub form: Form,
    /// Colour after IEC 60073.
    pub colour: Colour,
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

impl Button {
    /// Names of the terminals, in the order in which they are drawn.
    pub fn terminals(&self) -> Vec<String> {
        match self.form {
            Form::Make => named(&["13", "14"]),
            Form::Break => named(&["11", "12"]),
        }
    }

    /// Contacts as their terminal pairs.
    pub fn contacts(&self) -> Vec<(String, String)> {
        match self.form {
            Form::Make => pairs(&[("13", "14")]),
            Form::Break => pairs(&[("11", "12")]),
        }
    }
}

impl Lamp {
    /// Names of the terminals, in the order in which they are drawn.
    pub fn terminals(&self) -> Vec<String> {
        named(&["X1", "X2"])
    }
}
