//! Thermal overload relays.

use super::{named, pairs};

/// A thermal overload relay after IEC 60947-4-1, trip-free.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Overload {
    /// Trip class.
    pub class: TripClass,
    /// Dial, mA.
    pub dial_ma: u32,
    /// Lowest value of the dial, mA.
    pub dial_min_ma: u32,
    /// Highest value of the dial, mA.
    pub dial_max_ma: u32,
    /// Reacts to the difference between the poles as well as to the hottest.
    pub phase_loss_sensitive: bool,
    /// How the latch goes back after a trip.
    pub reset: Reset,
    /// Not compensated for temperature, and this is the ambient temperature, °C; `None` for a compensated relay.
    pub uncompensated_at_c: Option<i8>,
}

/// How the latch of an overload relay goes back, once it has cooled.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub enum Reset {
    /// When the reset is pushed.
    #[default]
    Manual,
    /// By itself: 95-96 closes again with nobody there. A command that is maintained then restarts the motor.
    Automatic,
}

/// Trip class after IEC 60947-4-1, table of trip times at 7.2 times the setting.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum TripClass {
    /// Class 5.
    C5,
    /// Class 10A.
    C10A,
    /// Class 10.
    C10,
    /// Class 20.
    C20,
    /// Class 30.
    C30,
}

impl Overload {
    /// Names of the terminals, in the order in which they are drawn.
    pub fn terminals(&self) -> Vec<String> {
        named(&["1", "3", "5", "95", "97", "2", "4", "6", "96", "98"])
    }

    /// Contacts as their terminal pairs.
    pub fn contacts(&self) -> Vec<(String, String)> {
        pairs(&[("95", "96"), ("97", "98")])
    }

    /// Terminals of the heater of each pole.
    pub fn heaters(&self) -> [[&'static str; 2]; 3] {
        [["1", "2"], ["3", "4"], ["5", "6"]]
    }
}
