//! Three-phase supply, control transformer, 24 V supply.

use super::*;

/// Magnetising current of a control transformer: a tenth of the rated current, lagging (typical).
const MAGNETISING_PART: f64 = 0.1;

/// Input of a DC supply of 60 W at 400 V, as a resistance, ohm (typical).
const DC_INPUT_OHM: f64 = 2667.0;

impl Builder<'_> {
    pub(super) fn supply(&mut self, tag: &str, s: &Supply) -> Result<(), BuildError> {
        if s.line_voltage_mv == 0 || s.fault_current_ma == 0 {
            return Err(self.wrong(tag, "line voltage and fault current must be above 0"));
        }
        let phase = f64::from(s.line_voltage_mv) / 1000.0 / 3f64.sqrt();
        // Impedance from the prospective short-circuit current, taken as half resistive: R = X.
        let size = phase / (f64::from(s.fault_current_ma) / 1000.0);
        let part = size / 2f64.sqrt();
        let admittance = Complex::new(part, part).recip();
        let bit = self.top_bits(1);
        let turn = Complex::new(-0.5, 3f64.sqrt() / 2.0);
        for (name, angle) in [("L1", Complex::ONE), ("L2", turn * turn), ("L3", turn)] {
            let a = self.node(tag, name);
            self.elements.push(Element::AcSource { a, bit, volts: angle.scale(phase), admittance });
        }
        let pe = self.node(tag, "PE");
        self.resistor(pe, EARTH, CONDUCTOR_OHM);
        self.supplies.push(Tagged { tag: tag.to_string(), data: bit });
        Ok(())
    }

    pub(super) fn transformer(&mut self, tag: &str, t: &Transformer) -> Result<(), BuildError> {
        if t.primary_mv == 0 || t.secondary_mv == 0 || t.rated_mva == 0 || t.impedance_permille == 0 {
            return Err(self.wrong(tag, "voltages, power and impedance must be above 0"));
        }
        let (v1, v2) = (f64::from(t.primary_mv) / 1000.0, f64::from(t.secondary_mv) / 1000.0);
        let power = f64::from(t.rated_mva) / 1000.0;
        // Small control transformers: the short-circuit impedance is nearly all resistance.
        let ohm = f64::from(t.impedance_permille) / 1000.0 * v2 * v2 / power;
        let ratio = v2 / v1;
        let half = ohm / 2.0;
        self.elements.push(Element::Transformer {
            primary: (self.node(tag, "1U"), self.node(tag, "1V")),
            secondary: (self.node(tag, "2U"), self.node(tag, "2V")),
            ratio,
            series: Complex::real(siemens(ohm)),
            magnetising: Complex::new(0.0, -MAGNETISING_PART * power / (v1 * v1)),
            siemens_dc: (siemens(half / (ratio * ratio)), siemens(half)),
        });
        Ok(())
    }

    pub(super) fn dc_supply(&mut self, tag: &str, d: &DcSupply) {
        let input = (self.node(tag, "L1"), self.node(tag, "L2"));
        let output = (self.node(tag, "+"), self.node(tag, "-"));
        self.resistor(input.0, input.1, DC_INPUT_OHM);
        let bit = self.top_bits(2);
        self.elements.push(Element::DcSource {
            plus: output.0,
            minus: output.1,
            bit,
            volts: f64::from(d.output_mv) / 1000.0,
            limit: f64::from(d.limit_ma) / 1000.0,
        });
        let data = DcData { supply: d.clone(), input, output, bit };
        self.dc_supplies.push(Tagged { tag: tag.to_string(), data });
    }
}
