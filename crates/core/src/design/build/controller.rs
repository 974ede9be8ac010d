//! Controllers.

use super::*;
use crate::devices::channel;
use crate::devices::output::RELAY_OHM;
use crate::part::{Current, OutputCircuit};

/// Supply current of a controller at 24 V is about 0.15 A: 160 ohm (typical).
const CONTROLLER_OHM: f64 = 160.0;

/// Time of a scan, µs: every contact and every output of the program takes the controller's time for one.
pub(super) fn scan_us(program: &Program, c: &Controller) -> u32 {
    let elements: u64 = program.rungs.iter().map(|rung| u64::from(rung.contacts()) + 1).sum();
    let us = elements * u64::from(c.contact_ns) / 1_000;
    us.min(u64::from(u32::MAX)) as u32
}

impl Builder<'_> {
    pub(super) fn controller(&mut self, tag: &str, c: &Controller) -> Result<(), BuildError> {
        let inputs = c.inputs.iter().map(|g| g.channels.len()).sum::<usize>();
        let outputs = c.outputs.iter().map(|g| g.channels.len()).sum::<usize>();
        if c.scan_ms == 0 || inputs > 64 || outputs > 64 {
            return Err(
                self.wrong(tag, "a scan of 1 ms or more and at most 64 inputs and outputs are expected")
            );
        }
        let supply = self.pair(tag, Controller::SUPPLY);
        self.resistor(supply.0, supply.1, CONTROLLER_OHM);
        let inputs = self.inputs(tag, c);
        let outputs = self.outputs(tag, c);
        let channels: Vec<&String> = c.inputs.iter().flat_map(|g| &g.channels).collect();
        let kept = |mode: Mode| {
            let bit = |(k, name): (usize, &&String)| u64::from(self.fault(mode, tag, name).is_some()) << k;
            channels.iter().enumerate().map(bit).fold(0, |all, bit| all | bit)
        };
        let (dead, ones, lifeless) = (kept(Mode::Dead), kept(Mode::ReadsOne), self.has(Mode::Dead, tag));
        let controller = c.clone();
        let data = ControllerData { controller, supply, inputs, outputs, dead, ones, lifeless, scan_us: 0 };
        self.controllers.push(Tagged { tag: tag.to_string(), data });
        Ok(())
    }

    /// Inputs in order of address.
    fn inputs(&mut self, tag: &str, c: &Controller) -> Vec<InputData> {
        let mut all = Vec::new();
        for group in &c.inputs {
            let common = self.node(tag, &group.common);
            let levels = channel::levels(group.circuit.kind);
            for name in &group.channels {
                let node = self.node(tag, name);
                self.resistor(node, common, levels.ohm);
                if let Some(ohms) = self.number(Mode::Leaks, tag, name) {
                    // From what makes it read 1: plus where current flows in, minus where it flows out.
                    let from = match group.circuit.current {
                        Current::Sinking => Controller::SUPPLY[0],
                        Current::Sourcing => Controller::SUPPLY[1],
                    };
                    let from = self.node(tag, from);
                    self.resistor(from, node, ohms.into());
                }
                let nodes = match group.circuit.current {
                    Current::Sinking => (node, common),
                    Current::Sourcing => (common, node),
                };
                all.push(InputData { nodes, levels });
            }
        }
        all
    }

    /// Outputs in order of address.
    fn outputs(&mut self, tag: &str, c: &Controller) -> Vec<OutputData> {
        let number = self.controllers.len();
        let mut all = Vec::new();
        for group in &c.outputs {
            for name in &group.channels {
                let nodes = self.pair(tag, [&group.common, name]);
                let source = ContactSource::Output(number, all.len());
                let contact = self.contacts.len();
                let transistor = match group.circuit {
                    OutputCircuit::Relay => {
                        self.contact(tag, name, &group.common, source, RELAY_OHM);
                        None
                    }
                    OutputCircuit::Transistor => Some(self.transistor(tag, name, &group.common, source)),
                };
                all.push(OutputData { nodes, contact, transistor });
            }
        }
        all
    }

    /// A transistor from the common to the channel, with its leakage. Returns the bit of its limit.
    fn transistor(&mut self, tag: &str, channel: &str, common: &str, source: ContactSource) -> usize {
        let (a, b) = self.pair(tag, [common, channel]);
        let limiting_bit = self.top_bits(1);
        let bit = self.contacts.len();
        let (name, forced) = self.named_contact(tag, channel, common);
        self.contacts.push(Contact { name, source, forced, ohm: channel::TRANSISTOR_OHM });
        self.elements.push(Element::LimitedContact {
            a,
            b,
            bit,
            limiting_bit,
            siemens: siemens(channel::TRANSISTOR_OHM),
            limit: channel::TRANSISTOR_LIMIT_A,
        });
        self.resistor(a, b, channel::TRANSISTOR_LEAK_OHM);
        limiting_bit
    }
}

/// Every address of the program must be a channel of the controller.
pub(super) fn check_channels(program: &Program, c: &ControllerData) -> Result<(), BuildError> {
    use sealin_ladder::Area;
    for var in &program.vars {
        if let Some(address) = &var.address {
            let bit = usize::from(address.byte) * 8 + usize::from(address.bit);
            let limit = match address.area {
                Area::Input => c.inputs.len(),
                Area::Output => c.outputs.len(),
                Area::Memory => usize::MAX,
            };
            if bit >= limit {
                return Err(BuildError::NoChannel(format!("{address}")));
            }
        }
    }
    Ok(())
}
