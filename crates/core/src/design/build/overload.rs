//! Overload relays.

use super::*;

impl Builder<'_> {
    pub(super) fn overload(&mut self, tag: &str, o: &Overload) -> Result<(), BuildError> {
        if o.dial_ma == 0 || o.dial_ma < o.dial_min_ma || o.dial_ma > o.dial_max_ma {
            return Err(self.wrong(tag, "the dial must stand inside its range"));
        }
        let number = self.overloads.len();
        let poles = o.heaters().map(|[a, b]| (self.node(tag, a), self.node(tag, b)));
        let mut per_ohm_square = [1.0 / (HEATER_OHM * HEATER_OHM); 3];
        for (k, at) in ["1-2", "3-4", "5-6"].into_iter().enumerate() {
            match self.fault(Mode::HeaterOpen, tag, at) {
                Some(_) => per_ohm_square[k] = 0.0,
                None => self.resistor(poles[k].0, poles[k].1, HEATER_OHM),
            }
        }
        self.contact(tag, "95", "96", ContactSource::TripBreak(number), CONTACT_OHM);
        self.contact(tag, "97", "98", ContactSource::TripMake(number), CONTACT_OHM);
        let data = OverloadData {
            overload: o.clone(),
            poles,
            per_ohm_square,
            never_trips: self.has(Mode::NeverTrips, tag),
            never_resets: self.has(Mode::DoesNotReset, tag),
        };
        self.overloads.push(Tagged { tag: tag.to_string(), data });
        Ok(())
    }
}
