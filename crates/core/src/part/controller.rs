//! Controllers with their groups of channels.

/// A controller with grouped inputs and outputs.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Controller {
    /// Groups of inputs, in order of address.
    pub inputs: Vec<Group<InputCircuit>>,
    /// Groups of outputs, in order of address.
    pub outputs: Vec<Group<OutputCircuit>>,
    /// Scan period, ms.
    pub scan_ms: u8,
    /// Input filter, ms.
    pub filter_ms: u8,
    /// From supply voltage to the first scan, ms.
    pub start_up_ms: u16,
    /// Longest scan, ms: a longer one puts the controller into stop mode. Typical: 100 ms to 500 ms.
    pub watchdog_ms: u16,
    /// Time for one contact or output of the program, ns. Typical of a small controller: 500 ns.
    pub contact_ns: u32,
}

/// Channels that share a common terminal. Channel `k` over all groups has the address `%IX(k/8).(k mod 8)` (or `%QX`).
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Group<C> {
    /// Name of the common terminal.
    pub common: String,
    /// Names of the channels' terminals.
    pub channels: Vec<String>,
    /// What stands between each channel and the common.
    pub circuit: C,
}

/// Circuit of the inputs of a group.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub struct InputCircuit {
    /// Type after IEC 61131-2.
    pub kind: InputType,
    /// Which way the current flows at the channel's terminal.
    pub current: Current,
}

/// Type of a 24 V DC input, IEC 61131-2.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub enum InputType {
    /// For mechanical contacts: up to 0.5 mA must read 0.
    Type1,
    /// For contacts and two-wire sensors: up to 1.5 mA must read 0.
    #[default]
    Type3,
}

/// Which way the current flows at an input's terminal, in the words of IEC 61131-2.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub enum Current {
    /// Into the input: common to 0 V, contact to +24 V. An earth fault on a signal wire reads 0.
    #[default]
    Sinking,
    /// Out of the input: common to +24 V, contact to 0 V. With 0 V earthed, an earth fault on a signal wire reads 1.
    Sourcing,
}

/// Circuit of the outputs of a group.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub enum OutputCircuit {
    /// A relay contact between channel and common, for any voltage and polarity.
    #[default]
    Relay,
    /// A transistor, 24 V DC, 0.5 A, current-sourcing: the common takes +24 V and the channel gives it to the load.
    Transistor,
}

/// Name of the negative supply terminal, IEC 60445.
const MINUS: &str = "L-";

/// What older files call it.
const OLDER_MINUS: &str = "M";

impl Controller {
    /// The watchdog of one for which nothing else is declared, ms.
    pub const WATCHDOG_MS: u16 = 200;

    /// The time for a contact where nothing else is declared, ns.
    pub const CONTACT_NS: u32 = 500;

    /// Names of the terminals, in the order in which they are drawn.
    pub fn terminals(&self) -> Vec<String> {
        let mut all: Vec<String> = Self::SUPPLY.iter().chain(&["PE"]).map(ToString::to_string).collect();
        for (channels, common) in self.groups() {
            all.extend(channels.iter().chain([common]).cloned());
        }
        all
    }

    /// Channels and common of each group, inputs first.
    pub fn groups(&self) -> impl Iterator<Item = (&[String], &String)> {
        let inputs = self.inputs.iter().map(|g| (&g.channels[..], &g.common));
        inputs.chain(self.outputs.iter().map(|g| (&g.channels[..], &g.common)))
    }

    /// Name of the terminal of an output, by its number in the order of address; empty for none.
    pub fn output(&self, number: usize) -> &str {
        self.outputs.iter().flat_map(|g| &g.channels).nth(number).map_or("", String::as_str)
    }

    /// The supply terminals, positive and negative.
    pub const SUPPLY: [&str; 2] = ["L+", MINUS];

    /// The name of a terminal for one that older files call otherwise.
    pub(super) fn renamed(&self, name: &str) -> Option<&'static str> {
        (name == OLDER_MINUS && !self.terminals().iter().any(|t| t == OLDER_MINUS)).then_some(MINUS)
    }

    /// The name by which a terminal counts in canonical bytes: the older one, so that what was hashed keeps its hash.
    pub(super) fn hashed(name: &str) -> &str {
        if name == MINUS { OLDER_MINUS } else { name }
    }
}
