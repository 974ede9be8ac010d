//! Switching and protective devices.

use super::*;
use crate::devices::protection::curve;
use crate::part::Auxiliary;

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
        if let Some(number) = Auxiliary::shared(&s.auxiliaries) {
            return Err(self.wrong(tag, &format!("terminal {number} is given to two contacts")));
        }
        if s.auxiliaries.iter().any(|a| a.function.special()) && !s.protection.opens_all_poles() {
            return Err(self.wrong(tag, "only a breaker has a contact that signals a trip"));
        }
        let number = self.switches.len();
        let mut poles = Vec::new();
        let first = self.contacts.len();
        for (pole, (a, b)) in s.mains().into_iter().enumerate() {
            self.contact(tag, &a, &b, ContactSource::Switch(number, pole), CONTACT_OHM);
            poles.push((self.node(tag, &a), self.node(tag, &b)));
        }
        let mains = first..self.contacts.len();
        for gap in s.auxiliaries.iter().flat_map(|a| a.gaps()) {
            let form = if gap.at_rest { Form::Break } else { Form::Make };
            let source = match gap.special {
                true => ContactSource::SwitchTrip(number, form),
                false => ContactSource::SwitchAux(number, form),
            };
            self.contact(tag, &gap.a, &gap.b, source, CONTACT_OHM);
        }
        let data = SwitchData { protection: s.protection, curve: curve(s.protection), mains, poles };
        self.switches.push(Tagged { tag: tag.to_string(), data });
        Ok(())
    }
}
