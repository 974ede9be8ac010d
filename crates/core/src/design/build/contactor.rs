//! Contactors and relays: coil, main poles, auxiliary contacts.

use super::*;
use crate::devices::coil::CoilData;
use crate::part::{AuxFunction, Auxiliary, Coil, CoilCurrent, Relay, Suppressor, TimerFunction};

/// A varistor lengthens the release by 2 to 5 ms (typical).
const VARISTOR_MS: u8 = 3;

/// A diode across a DC coil lengthens the release 3 to 10 times (typical).
const DIODE_TIMES: u8 = 6;

/// Times of timer relays, ms.
const TIMES_MS: std::ops::RangeInclusive<u32> = 50..=3_600_000;

impl Builder<'_> {
    pub(super) fn contactor(&mut self, tag: &str, c: &Contactor) -> Result<(), BuildError> {
        if c.poles != 0 && c.poles != 3 {
            return Err(self.wrong(tag, "three main poles or none are expected"));
        }
        if c.poles != 0 && c.rated_ma == 0 {
            return Err(self.wrong(tag, "the rated current must be above 0"));
        }
        let number = self.contactors.len();
        let mut poles = Vec::new();
        let first = self.contacts.len();
        for (pole, (a, b)) in c.mains().into_iter().enumerate() {
            self.contact(tag, &a, &b, ContactSource::Main(number, pole), CONTACT_OHM);
            poles.push((self.node(tag, &a), self.node(tag, &b)));
        }
        let mains = first..self.contacts.len();
        let welded = self.welded(tag, mains.clone());
        self.auxiliaries(tag, &c.auxiliaries, c.linked, false)?;
        let data = ContactorData {
            delays: c.delays,
            mains,
            poles,
            welded,
            mirror: c.mirror,
            rated: f64::from(c.rated_ma) / 1000.0,
            bounce: c.bounce_ms,
            interlocked_with: c.interlocked_with.clone(),
            ..self.coil(tag, &c.coil)?
        };
        self.electromagnet(tag, &c.coil, data)
    }

    /// Poles that a fault welds: all of them, or one that is stuck closed; one bit each.
    fn welded(&self, tag: &str, mains: std::ops::Range<usize>) -> u8 {
        if self.has(Mode::PolesWelded, tag) {
            return 0b111;
        }
        let stuck = |(k, c): (usize, &Contact)| {
            let at = c.name.strip_prefix(tag).and_then(|rest| rest.strip_prefix('.')).unwrap_or_default();
            let welded = self.fault(Mode::PoleWelded, tag, at).is_some();
            u8::from(welded || c.forced == Some(true)) << k
        };
        self.contacts[mains].iter().enumerate().map(stuck).fold(0, |mask, bit| mask | bit)
    }

    pub(super) fn relay(&mut self, tag: &str, r: &Relay) -> Result<(), BuildError> {
        if r.timing.is_some_and(|t| !TIMES_MS.contains(&t.setting_ms)) {
            return Err(self.wrong(tag, "a time from 50 ms to one hour is expected"));
        }
        self.auxiliaries(tag, &r.contacts, r.linked, r.timing.is_some())?;
        let data = ContactorData {
            delays: r.delays,
            bounce: r.bounce_ms,
            timing: r.timing.map(|t| (t.function == TimerFunction::OffDelay, u64::from(t.setting_ms))),
            ..self.coil(tag, &r.coil)?
        };
        self.electromagnet(tag, &r.coil, data)
    }

    /// Auxiliary contacts. Of linked ones, a make contact that a fault holds closed keeps every break contact open, and
    /// the other way round; contacts with a special function are not linked.
    fn auxiliaries(
        &mut self,
        tag: &str,
        all: &[Auxiliary],
        linked: bool,
        timer: bool,
    ) -> Result<(), BuildError> {
        if !timer && all.iter().any(|a| a.function == AuxFunction::SpecialChangeover) {
            return Err(self.wrong(tag, "a timed changeover contact belongs to a timer relay"));
        }
        if let Some(number) = Auxiliary::shared(all) {
            return Err(self.wrong(tag, &format!("terminal {number} is given to two contacts")));
        }
        let number = self.contactors.len();
        let gaps: Vec<_> = all.iter().flat_map(|a| a.gaps()).collect();
        let first = self.contacts.len();
        for gap in &gaps {
            let source = match (gap.at_rest, gap.special) {
                (false, false) => ContactSource::AuxMake(number),
                (true, false) => ContactSource::AuxBreak(number),
                (false, true) if timer => ContactSource::TimedMake(number),
                (true, true) if timer => ContactSource::TimedBreak(number),
                (false, true) => ContactSource::EarlyMake(number),
                (true, true) => ContactSource::LateBreak(number),
            };
            self.contact(tag, &gap.a, &gap.b, source, CONTACT_OHM);
        }
        if linked {
            for at_rest in [true, false] {
                let stuck = (gaps.iter().zip(&self.contacts[first..]))
                    .any(|(gap, c)| !gap.special && gap.at_rest == at_rest && c.forced == Some(true));
                for (gap, c) in gaps.iter().zip(&mut self.contacts[first..]) {
                    if stuck && !gap.special && gap.at_rest != at_rest {
                        c.forced = Some(false);
                    }
                }
            }
        }
        Ok(())
    }

    /// What every device with a coil has, checked; everything else as of a plain relay.
    fn coil(&mut self, tag: &str, c: &Coil) -> Result<ContactorData, BuildError> {
        if c.rated_mv == 0 || c.inrush_mva == 0 || c.sealed_mva == 0 {
            return Err(self.wrong(tag, "coil voltage and apparent powers must be above 0"));
        }
        let (least, most) = (c.current.least_drop_out(), c.pick_up_percent);
        if most > 85 || c.drop_out_percent < least || c.drop_out_percent >= most || c.drop_out_percent > 75 {
            return Err(self.wrong(
                tag,
                &format!(
                    "a pick-up of at most 85 % and a drop-out from {least} to 75 %, below the pick-up, are expected \
                     (IEC 60947-4-1)"
                ),
            ));
        }
        if c.suppressor == Suppressor::Diode && c.current == CoilCurrent::Ac {
            return Err(
                self.wrong(tag, "a diode across an AC coil is a short circuit; RC or varistor is expected")
            );
        }
        Ok(ContactorData {
            electrics: CoilData::of(c),
            delays: ArmatureDelays::default(),
            coil: (self.node(tag, "A1"), self.node(tag, "A2")),
            coil_open: self.has(Mode::CoilOpen, tag),
            stays_out: self.has(Mode::ArmatureBlocked, tag),
            stays_in: self.has(Mode::ArmatureSticks, tag),
            jammed: self.has(Mode::InterlockJams, tag),
            mains: 0..0,
            poles: Vec::new(),
            welded: 0,
            mirror: false,
            rated: 0.0,
            bounce: 0,
            timing: None,
            interlocked_with: None,
            interlocked: None,
            sealed_bit: self.top_bits(2),
        })
    }

    fn electromagnet(&mut self, tag: &str, coil: &Coil, mut data: ContactorData) -> Result<(), BuildError> {
        let open = data.delays.main_open_ms;
        data.delays.main_open_ms = match coil.suppressor {
            Suppressor::None | Suppressor::Rc => open,
            Suppressor::Varistor => open.saturating_add(VARISTOR_MS),
            Suppressor::Diode => open.saturating_mul(DIODE_TIMES),
        };
        if let Some(ms) = self.number(Mode::ReleaseSlow, tag, "") {
            data.delays.main_open_ms =
                data.delays.main_open_ms.saturating_add(u8::try_from(ms).unwrap_or(u8::MAX));
        }
        if !data.coil_open {
            let ((a, b), e) = (data.coil, &data.electrics);
            // What is left of the turns has an impedance by the square of their number.
            let left = 1.0 - f64::from(self.number(Mode::TurnsShorted, tag, "").unwrap_or(0)) / 1000.0;
            let more = if left > 0.01 { 1.0 / (left * left) } else { 1e4 };
            let (out, sealed, siemens_dc) = (e.out.scale(more), e.sealed.scale(more), e.siemens_dc * more);
            self.elements.push(Element::Coil {
                a,
                b,
                bit: data.sealed_bit,
                burnt: data.sealed_bit + 1,
                out,
                sealed,
                siemens_dc,
            });
        }
        self.contactors.push(Tagged { tag: tag.to_string(), data });
        Ok(())
    }

    pub(super) fn interlocks(&mut self) {
        let tags: Vec<String> = self.contactors.iter().map(|c| c.tag.clone()).collect();
        let faults = self.faults;
        let broken = |tag: &str| faults.iter().any(|f| f.mode == Mode::InterlockBroken && f.subject == tag);
        for c in &mut self.contactors {
            if broken(&c.tag) {
                continue;
            }
            let other = c.data.interlocked_with.as_deref();
            c.data.interlocked = other.and_then(|t| tags.iter().position(|x| x == t));
        }
    }
}
