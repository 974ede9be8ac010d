//! Overload relays.

use super::*;

impl Builder<'_> {
    pub(super) fn overload(&mut self, tag: &str, o: &Overload) -> Result<(), BuildError> {
        if o.dial_ma == 0 || o.dial_ma < o.dial_min_ma || o.dial_ma > o.dial_max_ma {
            return Err(self.wrong(tag, "the dial must stand inside its range"));
        }
        let number = self.overloads.len();
        let poles = [("1", "2"), ("3", "4"), ("5", "6")].map(|(a, b)| (self.node(tag, a), self.node(tag, b)));
        for ((a, b), at) in poles.into_iter().zip(["1-2", "3-4", "5-6"]) {
            if self.fault(Mode::HeaterOpen, tag, at).is_none() {
                self.resistor(a, b, HEATER_OHM);
            }
        }
        self.contact(tag, "95", "96", ContactSource::TripBreak(number), CONTACT_OHM);
        self.contact(tag, "97", "98", ContactSource::TripMake(number), CONTACT_OHM);
        let data = OverloadData {
            overload: o.clone(),
            poles,
            never_trips: self.has(Mode::NeverTrips, tag),
            never_resets: self.has(Mode::DoesNotReset, tag),
        };
        self.overloads.push(Tagged { tag: tag.to_string(), data });
        Ok(())
    }
}
