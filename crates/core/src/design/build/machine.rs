//! Motors with what sits on their shafts: machine, position switches, brakes.

use super::*;
use crate::devices::field::step_factor;
use crate::devices::machine::Load;
use crate::devices::winding::FAILED_OHM;
use crate::part::{Brake, Motor, MotorModel, PositionSwitch};

/// Most contacts of a position switch: the digit of the sequence stands before the function.
const MOST_CONTACTS: usize = 4;

impl Builder<'_> {
    pub(super) fn motor(&mut self, tag: &str, m: &Motor) -> Result<(), BuildError> {
        if let MotorModel::Figures(f) = m.model
            && [
                f.frequency_mhz,
                f.pole_pairs,
                f.r1_mohm,
                f.x1_mohm,
                f.r2_mohm,
                f.x2_mohm,
                f.xm_mohm,
                f.rfe_mohm,
            ]
            .contains(&0)
        {
            return Err(self.wrong(tag, "every figure of the equivalent circuit must be above 0"));
        }
        self.check_machine(tag, m)?;
        let names = ["U1", "V1", "W1"];
        let nodes = names.map(|n| match self.fault(Mode::WindingOpen, tag, n) {
            Some(_) => self.inner(),
            None => self.node(tag, n),
        });
        let circuit = circuit_at(m.model, self.millihertz);
        // Star resistance R1 per phase as a delta of 3·R1 between the terminals.
        for (a, b) in [(0, 1), (1, 2), (2, 0)] {
            self.elements.push(Element::DcOnly {
                a: nodes[a],
                b: nodes[b],
                siemens: siemens(3.0 * circuit.r1),
            });
        }
        let failed_bit = self.top_bits(3);
        let frame = self.node(tag, "PE");
        for (k, &a) in nodes.iter().enumerate() {
            let bit = failed_bit + k;
            self.elements.push(Element::Contact { a, b: frame, bit, siemens: siemens(FAILED_OHM) });
        }
        for (k, name) in names.into_iter().enumerate() {
            if let Some(permille) = self.number(Mode::TurnsShorted, tag, name) {
                // Seen from the phase, a part p of its turns that is shorted is a load of R1/p; here beside the other load
                // between two terminals, three times as much, as star and delta.
                let ohm = 3000.0 * circuit.r1 / f64::from(permille);
                self.resistor(nodes[k], nodes[(k + 1) % 3], ohm);
            }
            if let Some(ohms) = self.number(Mode::Earthed, tag, name) {
                self.resistor(nodes[k], frame, ohms.into());
            }
        }
        let port = self.ports.len();
        self.ports.push(nodes);
        let data = MotorData {
            circuit,
            port,
            nodes,
            load: Load::new(m, &circuit),
            rated: f64::from(m.rated_ma) / 1000.0,
            fade: step_factor(&circuit),
            failed_bit,
            brakes: Vec::new(),
        };
        self.motors.push(Tagged { tag: tag.to_string(), data });
        Ok(())
    }

    fn check_machine(&self, tag: &str, m: &Motor) -> Result<(), BuildError> {
        if m.rated_ma == 0 {
            return Err(self.wrong(tag, "the rated current must be above 0"));
        }
        let Some(t) = &m.machine.travel else {
            return match m.machine.mass_kg {
                0 => Ok(()),
                _ => Err(self.wrong(tag, "a mass needs a way along which it moves")),
            };
        };
        let (least, most) = (t.least_um.unwrap_or(0), t.most_um.unwrap_or(u32::MAX));
        if t.um_per_turn == 0 {
            return Err(self.wrong(tag, "the way per turn must be above 0"));
        }
        if least >= most || !(least..=most).contains(&t.start_um) {
            return Err(self.wrong(tag, "the start must lie between the end stops, the lower one first"));
        }
        if m.machine.mass_kg > 0 && m.machine.rise_permille > 0 && t.least_um.is_none() {
            return Err(self.wrong(tag, "a mass that can fall needs a lower end stop"));
        }
        Ok(())
    }

    pub(super) fn position_switch(&mut self, tag: &str, s: &PositionSwitch) -> Result<(), BuildError> {
        if s.from_um > s.to_um {
            return Err(self.wrong(tag, "the lower end of the part of the way comes first"));
        }
        if s.contacts.is_empty() || s.contacts.len() > MOST_CONTACTS {
            return Err(self.wrong(tag, "one to four contacts are expected"));
        }
        let number = self.position_switches.len();
        for ((a, b), &form) in s.contacts().iter().zip(&s.contacts) {
            self.contact(tag, a, b, ContactSource::Position(number, form), CONTACT_OHM);
        }
        let data = PositionSwitchData { switch: s.clone(), motor: 0 };
        self.position_switches.push(Tagged { tag: tag.to_string(), data });
        Ok(())
    }

    pub(super) fn brake(&mut self, tag: &str, b: &Brake) -> Result<(), BuildError> {
        if b.coil_mv == 0 || b.power_mw == 0 || b.release_ms == 0 || b.apply_ms == 0 {
            return Err(self.wrong(tag, "voltage, power and times of the coil must be above 0"));
        }
        let (x, y) = if b.dc { ("BD1", "BD2") } else { ("BA1", "BA2") };
        let coil = (self.node(tag, x), self.node(tag, y));
        let coil_open = self.has(Mode::CoilOpen, tag);
        if !coil_open {
            let volts = f64::from(b.coil_mv) / 1000.0;
            self.resistor(coil.0, coil.1, volts * volts / (f64::from(b.power_mw) / 1000.0));
        }
        let holds = self.has(Mode::DoesNotRelease, tag);
        let data = BrakeData { brake: b.clone(), coil, coil_open, holds };
        self.brakes.push(Tagged { tag: tag.to_string(), data });
        Ok(())
    }

    /// Finds the motors that position switches and brakes name, once all parts are there.
    pub(super) fn machines(&mut self) -> Result<(), BuildError> {
        let no_motor = |tag: &str, motor: &str| BuildError::Part {
            tag: tag.to_string(),
            reason: format!("there is no motor `{motor}`"),
        };
        for s in &mut self.position_switches {
            let place = self.motors.iter().position(|m| m.tag == s.data.switch.motor);
            s.data.motor = place.ok_or_else(|| no_motor(&s.tag, &s.data.switch.motor))?;
            let Some(way) = &mut self.motors[s.data.motor].data.load.way else {
                return Err(BuildError::Part {
                    tag: s.tag.clone(),
                    reason: format!("the machine of `{}` has no way to be within", s.data.switch.motor),
                });
            };
            way.watch(s.data.switch.from_um, s.data.switch.to_um);
        }
        for (number, b) in self.brakes.iter().enumerate() {
            let motor = self.motors.iter_mut().find(|m| m.tag == b.data.brake.motor);
            let motor = motor.ok_or_else(|| no_motor(&b.tag, &b.data.brake.motor))?;
            let torque = f64::from(b.data.brake.torque_mnm) * 1e-3;
            motor.data.brakes.push(OnShaft { number, torque });
        }
        Ok(())
    }
}
