//! Contactors.

use super::*;

/// Power factor of a coil with the armature out and in (typical).
const COIL_PF: (f64, f64) = (0.75, 0.3);

impl Builder<'_> {
    pub(super) fn contactor(&mut self, tag: &str, c: &Contactor) -> Result<(), BuildError> {
        if c.coil_mv == 0 || c.inrush_mva == 0 || c.sealed_mva == 0 {
            return Err(self.wrong(tag, "coil voltage and apparent powers must be above 0"));
        }
        let number = self.contactors.len();
        let first = self.contacts.len();
        for (a, b) in [("1", "2"), ("3", "4"), ("5", "6")] {
            self.contact(tag, a, b, ContactSource::Main(number), CONTACT_OHM);
        }
        let mains = first..self.contacts.len();
        self.contact(tag, "13", "14", ContactSource::AuxMake(number), CONTACT_OHM);
        self.contact(tag, "21", "22", ContactSource::AuxBreak(number), CONTACT_OHM);
        let coil = (self.node(tag, "A1"), self.node(tag, "A2"));
        let coil_open = self.has(&Fault::CoilOpen { part: tag.to_string() });
        let sealed_bit = self.top_bits(1);
        if !coil_open {
            let volts = f64::from(c.coil_mv) / 1000.0;
            let out = coil_admittance(c.inrush_mva, COIL_PF.0, volts);
            let sealed = coil_admittance(c.sealed_mva, COIL_PF.1, volts);
            // The winding's resistance is the real part of the inrush impedance.
            let siemens_dc = siemens(out.recip().re);
            let (a, b) = coil;
            self.elements.push(Element::Coil { a, b, bit: sealed_bit, out, sealed, siemens_dc });
        }
        let welded = self.has(&Fault::PolesWelded { part: tag.to_string() });
        let data = ContactorData {
            contactor: c.clone(),
            delays: c.delays,
            coil,
            mains,
            coil_open,
            welded,
            interlocked: None,
            sealed_bit,
        };
        self.contactors.push(Tagged { tag: tag.to_string(), data });
        Ok(())
    }

    pub(super) fn interlocks(&mut self) {
        let tags: Vec<String> = self.contactors.iter().map(|c| c.tag.clone()).collect();
        for c in &mut self.contactors {
            let other = c.data.contactor.interlocked_with.as_deref();
            c.data.interlocked = other.and_then(|t| tags.iter().position(|x| x == t));
        }
    }
}

/// Admittance of a coil from apparent power, power factor and voltage; lagging.
pub(super) fn coil_admittance(mva: u32, pf: f64, volts: f64) -> Complex {
    let size = f64::from(mva) / 1000.0 / (volts * volts);
    Complex::new(size * pf, -size * (1.0 - pf * pf).sqrt())
}
