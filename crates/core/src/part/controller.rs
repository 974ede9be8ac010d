//! Controllers with their groups of channels.

/// A controller with grouped inputs and outputs.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Controller {
    /// Groups of inputs, in order of address.
    pub inputs: Vec<Group>,
    /// Groups of relay outputs, in order of address.
    pub outputs: Vec<Group>,
    /// Scan period, ms.
    pub scan_ms: u8,
    /// Input filter, ms.
    pub filter_ms: u8,
    /// From supply voltage to the first scan, ms.
    pub start_up_ms: u16,
}

/// Channels that share a common terminal. Channel `k` over all groups has the address `%IX(k/8).(k mod 8)` (or `%QX`).
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Group {
    /// Name of the common terminal.
    pub common: String,
    /// Names of the channels' terminals.
    pub channels: Vec<String>,
}

impl Controller {
    /// Names of the terminals, in the order in which they are drawn.
    pub fn terminals(&self) -> Vec<String> {
        let mut all = vec!["L+".to_string(), "M".to_string(), "PE".to_string()];
        for group in self.inputs.iter().chain(&self.outputs) {
            all.extend(group.channels.iter().cloned());
            all.push(group.common.clone());
        }
        all
    }
}
