//! Where an instrument is put, found in a design once: for who takes the same readings on many benches.

use super::probes::node;
use super::{Function, Measured, Measurement, Probes, Seen, clamp, resistance, sequence, volts};
use crate::design::Design;
use crate::network::Node;

/// A measurement with its places found. It holds for every design of the same parts and conductors, whatever their faults: these change
/// neither the numbers of terminals nor those of conductors.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Spot {
    /// Two probes on two nodes.
    Between(Function, Node, Node),
    /// The clamp around a conductor, by its number.
    Clamp(usize),
    /// The two-pole detector on its proving unit.
    ProvingUnit,
    /// The phase-sequence indicator on three nodes.
    Sequence([Node; 3]),
}

impl Design {
    /// Finds the places of a measurement.
    ///
    /// # Errors
    /// A terminal or conductor that is not there.
    pub fn spot(&self, what: &Measurement) -> Result<Spot, String> {
        Ok(match what {
            Measurement::Between { function, from, to } => {
                Spot::Between(*function, node(self, from)?, node(self, to)?)
            }
            Measurement::Clamp { conductor } => Spot::Clamp(clamp::wire(self, conductor)?),
            Measurement::ProvingUnit => Spot::ProvingUnit,
            Measurement::Sequence([a, b, c]) => {
                Spot::Sequence([node(self, a)?, node(self, b)?, node(self, c)?])
            }
        })
    }
}

/// Takes a reading in a place of this design.
pub(super) fn measure_at(seen: Seen<'_>, spot: Spot) -> Measured {
    match spot {
        Spot::Between(function, from, to) => {
            let probes = Probes { seen, from, to };
            match function {
                Function::VoltsDc => volts::dc(&probes),
                Function::VoltsAc => volts::ac(&probes),
                Function::Detector => volts::detector(&probes),
                Function::Ohms => resistance::ohms(&probes),
                Function::Continuity => resistance::continuity(&probes),
                Function::Insulation => resistance::insulation(&probes),
            }
        }
        Spot::Clamp(wire) => clamp::clamp(seen, wire),
        Spot::ProvingUnit => volts::proving_unit(),
        Spot::Sequence(at) => sequence::sequence(seen, at),
    }
}
