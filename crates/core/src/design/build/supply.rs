//! Three-phase supply, control transformer, 24 V supply.

use super::*;
use crate::network::CONDUCTOR_OHM;

/// Magnetising current of a control transformer: a tenth of the rated current, lagging (typical).
const MAGNETISING_PART: f64 = 0.1;

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
        let swapped = self.has(Mode::PhasesSwapped, tag);
        let (second, third) = if s.reversed != swapped { (turn, turn * turn) } else { (turn * turn, turn) };
        for (name, angle) in [("L1", Complex::ONE), ("L2", second), ("L3", third)] {
            if self.fault(Mode::PhaseMissing, tag, name).is_some() {
                continue;
            }
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
        let [primary, secondary] = [t.primary(), t.secondary()].map(|terminals| {
            let (a, b) = self.pair(tag, terminals);
            match self.fault(Mode::WindingOpen, tag, terminals[0]) {
                Some(_) => (self.inner(), b),
                None => (a, b),
            }
        });
        self.elements.push(Element::Transformer {
            primary,
            secondary,
            ratio,
            series: Complex::real(siemens(ohm)),
            magnetising: Complex::new(0.0, -MAGNETISING_PART * power / (v1 * v1)),
            siemens_dc: (siemens(half / (ratio * ratio)), siemens(half)),
        });
        Ok(())
    }

    /// The input takes constant power in life, the more current the less voltage. Here it is the resistance that takes
    /// the rated output power at rated input voltage: right at rated load and voltage, too much at light load, and its
    /// current falls with the voltage instead of rising. It is a tenth of an ampere or two beside a motor.
    pub(super) fn dc_supply(&mut self, tag: &str, d: &DcSupply) -> Result<(), BuildError> {
        if d.input_mv == 0 || d.output_mv == 0 || d.rated_ma() == 0 {
            return Err(self.wrong(tag, "voltages and limit must be above 0"));
        }
        let input = (self.node(tag, "L1"), self.node(tag, "L2"));
        let output = (self.node(tag, "+"), self.node(tag, "-"));
        let volts = |mv: u32| f64::from(mv) / 1000.0;
        let watts = volts(d.output_mv) * f64::from(d.rated_ma()) / 1000.0;
        self.resistor(input.0, input.1, volts(d.input_mv) * volts(d.input_mv) / watts);
        let bit = self.top_bits(2);
        self.elements.push(Element::DcSource {
            plus: output.0,
            minus: output.1,
            bit,
            volts: f64::from(d.output_mv) / 1000.0,
            limit: f64::from(d.limit_ma) / 1000.0,
        });
        let data = DcData { supply: d.clone(), input, output, dead: self.has(Mode::Dead, tag), bit };
        self.dc_supplies.push(Tagged { tag: tag.to_string(), data });
        Ok(())
    }
}
