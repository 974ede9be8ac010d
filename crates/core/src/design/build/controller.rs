//! Controllers.

use super::*;

/// Resistance of an input channel to its common, type 3 (IEC 61131-2; typical), ohm.
const CHANNEL_OHM: f64 = 4700.0;

/// Resistance of a closed output relay contact, ohm (typical).
const RELAY_OHM: f64 = 0.03;

/// Supply current of a controller at 24 V is about 0.15 A: 160 ohm (typical).
const CONTROLLER_OHM: f64 = 160.0;

impl Builder<'_> {
    pub(super) fn controller(&mut self, tag: &str, c: &Controller) -> Result<(), BuildError> {
        let count = |groups: &[crate::part::Group]| groups.iter().map(|g| g.channels.len()).sum::<usize>();
        if c.scan_ms == 0 || count(&c.inputs) > 64 || count(&c.outputs) > 64 {
            return Err(
                self.wrong(tag, "a scan of 1 ms or more and at most 64 inputs and outputs are expected")
            );
        }
        let number = self.controllers.len();
        let supply = (self.node(tag, "L+"), self.node(tag, "M"));
        self.resistor(supply.0, supply.1, CONTROLLER_OHM);
        let mut inputs = Vec::new();
        let mut dead = 0u64;
        for group in &c.inputs {
            let common = self.node(tag, &group.common);
            for channel in &group.channels {
                let node = self.node(tag, channel);
                self.resistor(node, common, CHANNEL_OHM);
                if self.has(&Fault::ChannelDead { part: tag.to_string(), input: channel.clone() }) {
                    dead |= 1 << inputs.len();
                }
                inputs.push((node, common));
            }
        }
        let mut outputs = 0;
        for group in &c.outputs {
            for channel in &group.channels {
                self.contact(tag, channel, &group.common, ContactSource::Output(number, outputs), RELAY_OHM);
                outputs += 1;
            }
        }
        let data = ControllerData { controller: c.clone(), supply, inputs, outputs, dead };
        self.controllers.push(Tagged { tag: tag.to_string(), data });
        Ok(())
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
                Area::Output => c.outputs,
                Area::Memory => usize::MAX,
            };
            if bit >= limit {
                return Err(BuildError::NoChannel(format!("{address}")));
            }
        }
    }
    Ok(())
}
