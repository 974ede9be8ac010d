//! Thermal overload relays.

use super::{named, pairs};

/// A thermal overload relay after IEC 60947-4-1, trip-free, manual reset.
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
}
