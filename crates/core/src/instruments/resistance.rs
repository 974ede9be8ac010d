//! Resistance, on a dead circuit only: the meter's ohms, earth continuity, insulation.

use super::figure::{CONTINUITY, Figure, INSULATION, OHMS, Quantity, Range};
use super::volts::DETECTOR_OHM;
use super::{Danger, Measured, Probes, Shown};
use crate::network::Node;
use crate::part::{Kind, Part};
use crate::plan::Terminal;

/// Test voltage of the insulation tester, V DC (IEC 61557-2; IEC 60204-1 clause 18.3 asks for 500 V).
pub const INSULATION_VOLTS: u32 = 500;

/// Between the probes a circuit is live above this, V: more than the drops along conductors that carry current.
const LIVE_BETWEEN_VOLTS: f64 = 0.1;

/// Against earth a place is live above this, V, on the load of a detector.
const LIVE_TO_EARTH_VOLTS: f64 = 1.0;

/// What the insulation tester's charged output is behind at the moment of contact, ohm (typical). Its steady current is
/// limited to 15 mA (IEC 61557-2), but what is touched first sees the charge of its output filter.
const CONTACT_OHM: f64 = 1_000.0;

/// Voltage at which electronics count as being in the path, and that destroys an input channel, V (typical, as in the
/// step of the controllers).
const ELECTRONICS_VOLTS: f64 = 60.0;

/// An input channel that the test voltage destroys.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Harm {
    /// Tag of the controller.
    pub part: String,
    /// Number of the channel.
    pub channel: u8,
    /// Voltage across it, V.
    pub volts: u32,
}

pub(super) fn ohms(probes: &Probes<'_>) -> Measured {
    on_a_dead_circuit(probes, &OHMS)
}

pub(super) fn continuity(probes: &Probes<'_>) -> Measured {
    on_a_dead_circuit(probes, &CONTINUITY)
}

fn on_a_dead_circuit(probes: &Probes<'_>, ranges: &[Range]) -> Measured {
    match live(probes) {
        Some(danger) => Measured { danger: Some(danger), ..Measured::plain(Shown::Refused) },
        None => Measured::plain(figure(probes, ranges)),
    }
}

fn figure(probes: &Probes<'_>, ranges: &[Range]) -> Shown {
    Figure::of(Quantity::Ohms, probes.resistance(), ranges).map_or(Shown::Over, Shown::Figure)
}

pub(super) fn insulation(probes: &Probes<'_>) -> Measured {
    if let Some(danger) = live(probes) {
        return Measured { danger: Some(danger), ..Measured::plain(Shown::Refused) };
    }
    let touched = Touched::by(probes);
    let danger = touched.electronics(probes).map(|part| Danger::Electronics { part });
    Measured { danger, harm: touched.harm(probes), ..Measured::plain(figure(probes, &INSULATION)) }
}

/// The circuit is live: between the probes, or one of them against earth. What a detector does not find is no supply.
fn live(probes: &Probes<'_>) -> Option<Danger> {
    let volts = |p: &Probes<'_>| {
        let (dc, ac) = (p.loaded_dc(DETECTOR_OHM), p.loaded_ac(DETECTOR_OHM));
        (dc * dc + ac * ac).sqrt()
    };
    let between = volts(probes);
    let (from, to) = (volts(&probes.to_earth(probes.from)), volts(&probes.to_earth(probes.to)));
    let live = between > LIVE_BETWEEN_VOLTS || from > LIVE_TO_EARTH_VOLTS || to > LIVE_TO_EARTH_VOLTS;
    let larger = |a: f64, b: f64| if a > b { a } else { b };
    let millivolts = (larger(between, larger(from, to)) * 1000.0) as u32;
    live.then_some(Danger::Live { millivolts })
}

/// Volts of every node against earth at the moment at which the insulation tester touches.
struct Touched(Vec<f64>);

impl Touched {
    fn by(probes: &Probes<'_>) -> Touched {
        let network = &probes.seen.design.network;
        // For one ampere first: the voltage between the probes is then the resistance that the tester sees.
        let mut touched = Touched(network.injected_dc(&probes.seen.key, probes.from, probes.to));
        let ohm = touched.at(probes.from) - touched.at(probes.to);
        let amperes = f64::from(INSULATION_VOLTS) / (CONTACT_OHM + ohm);
        touched.0.iter_mut().for_each(|volts| *volts *= amperes);
        touched
    }

    /// Volts of a node against earth.
    fn at(&self, node: Node) -> f64 {
        self.0.get(node as usize).copied().unwrap_or(0.0)
    }

    /// The first device with electronics, by tag, of which a terminal is lifted by the test voltage.
    fn electronics(&self, probes: &Probes<'_>) -> Option<String> {
        let design = probes.seen.design;
        let lifted = |part: &&Part| {
            let node = |name: &String| design.node(&Terminal::new(&part.tag, name));
            part.terminals().iter().filter_map(node).any(|node| size(self.at(node)) > ELECTRONICS_VOLTS)
        };
        let electronic = |part: &&Part| matches!(part.kind, Kind::Controller(_) | Kind::DcSupply(_));
        design.parts.iter().filter(electronic).find(lifted).map(|part| part.tag.clone())
    }

    fn harm(&self, probes: &Probes<'_>) -> Vec<Harm> {
        let mut harm = Vec::new();
        for c in &probes.seen.design.controllers {
            for (channel, input) in c.data.inputs.iter().enumerate() {
                let (a, b) = input.nodes;
                let volts = size(self.at(a) - self.at(b));
                if volts > ELECTRONICS_VOLTS {
                    harm.push(Harm { part: c.tag.clone(), channel: channel as u8, volts: volts as u32 });
                }
            }
        }
        harm
    }
}

fn size(volts: f64) -> f64 {
    if volts < 0.0 { -volts } else { volts }
}
