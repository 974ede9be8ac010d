//! Switching and protective devices.

use super::*;
use crate::devices::protection::curve;

impl Builder<'_> {
    pub(super) fn switchgear(&mut self, tag: &str, s: &Switchgear) -> Result<(), BuildError> {
        if !(1..=3).contains(&s.poles) {
            return Err(self.wrong(tag, "one to three poles are expected"));
        }
        if let Protection::Motor { dial_ma, dial_min_ma, dial_max_ma } = s.protection
            && (s.poles != 3 || dial_ma == 0 || dial_ma < dial_min_ma || dial_ma > dial_max_ma)
        {
            return Err(self.wrong(tag, "three poles and a dial inside its range are expected"));
        }
        let number = self.switches.len();
        let mut poles = Vec::new();
        for pole in 0..usize::from(s.poles) {
            let (a, b) = ((2 * pole + 1).to_string(), (2 * pole + 2).to_string());
            self.contact(tag, &a, &b, ContactSource::Switch(number, pole), CONTACT_OHM);
            poles.push((self.node(tag, &a), self.node(tag, &b)));
        }
        let data = SwitchData { protection: s.protection, curve: curve(s.protection), poles };
        self.switches.push(Tagged { tag: tag.to_string(), data });
        Ok(())
    }
}
