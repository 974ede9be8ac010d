//! Cables of a known length: resistance of their cores, and the capacitance between neighbours.
//!
//! A core that is connected at neither end still shows a voltage to a meter of 10 megaohm, through the capacitance to a
//! live neighbour: a ghost voltage. A load of some kilohm takes it away.

use crate::network::CONDUCTOR_OHM;
use crate::plan::{Cable, Conductor};

/// Resistance of a copper conductor at 20 °C, by cross-section in hundredths of mm²; milliohm per metre. IEC 60228,
/// classes 1 and 2, plain copper, maximum values.
const MOHM_PER_M: [(u32, f64); 14] = [
    (50, 36.0),
    (75, 24.5),
    (100, 18.1),
    (150, 12.1),
    (250, 7.41),
    (400, 4.61),
    (600, 3.08),
    (1_000, 1.83),
    (1_600, 1.15),
    (2_500, 0.727),
    (3_500, 0.524),
    (5_000, 0.387),
    (7_000, 0.268),
    (9_500, 0.193),
];

/// Resistivity of copper at 20 °C for cross-sections that the table does not have, milliohm · mm² / m (typical).
const MOHM_MM2_PER_M: f64 = 17.8;

/// Capacitance between two neighbouring cores, F/m (typical).
const FARAD_PER_M: f64 = 100e-12;

/// Least resistance of a core, ohm: keeps the network well-conditioned.
const LEAST_OHM: f64 = 1e-3;

/// Resistance of a conductor: of a core by its cable's length, of any other [`CONDUCTOR_OHM`].
pub fn conductor_ohm(c: &Conductor, cables: &[Cable]) -> f64 {
    let Some(cable) = cables.iter().find(|cable| cable.cores.contains(&c.id)) else { return CONDUCTOR_OHM };
    let section = c.section_mm2_x100;
    let per_m = MOHM_PER_M
        .iter()
        .find(|row| row.0 == section)
        .map_or_else(|| MOHM_MM2_PER_M * 100.0 / f64::from(section), |row| row.1);
    let ohm = per_m * metres(cable) / 1000.0;
    if ohm < LEAST_OHM { LEAST_OHM } else { ohm }
}

/// Susceptance between neighbouring cores over the whole length of a cable, siemens.
pub fn neighbours_siemens(cable: &Cable, omega: f64) -> f64 {
    omega * FARAD_PER_M * metres(cable)
}

/// Neighbours among `cores` cores that are laid up in a ring, as places in their order.
pub fn neighbours(cores: usize) -> Vec<(usize, usize)> {
    match cores {
        0 | 1 => Vec::new(),
        2 => vec![(0, 1)],
        _ => (0..cores).map(|k| (k, (k + 1) % cores)).collect(),
    }
}

fn metres(cable: &Cable) -> f64 {
    f64::from(cable.length_mm) / 1000.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::{Insulation, Terminal};

    fn core(section_mm2_x100: u32) -> Conductor {
        Conductor {
            id: "W1".to_string(),
            from: Terminal::new("X1", "1"),
            to: Terminal::new("X2", "1"),
            section_mm2_x100,
            colour: Insulation::Black,
            number: String::new(),
        }
    }

    /// By hand from IEC 60228: 30 m of 2.5 mm² at 7.41 ohm/km are 0.2223 ohm; of 3 mm², which the table does not have,
    /// 0.0178 · 30 / 3 = 0.178 ohm; a wire that is in no cable has the typical resistance.
    #[test]
    fn resistance_by_length() {
        let cables = [Cable { tag: "W".to_string(), length_mm: 30_000, cores: vec!["W1".to_string()] }];
        assert!((conductor_ohm(&core(250), &cables) - 0.2223).abs() < 1e-12);
        assert!((conductor_ohm(&core(300), &cables) - 0.178).abs() < 1e-12);
        assert_eq!(conductor_ohm(&core(250), &[]), CONDUCTOR_OHM);
    }

    /// By hand: 50 m · 100 pF/m = 5 nF, which is 1 / (2π · 50 · 5e-9) = 636.6 kilohm at 50 Hz.
    #[test]
    fn capacitance_by_length() {
        let cable = Cable { tag: "W".to_string(), length_mm: 50_000, cores: Vec::new() };
        let ohm = 1.0 / neighbours_siemens(&cable, 100.0 * std::f64::consts::PI);
        assert!((ohm - 636_620.0).abs() < 1.0, "{ohm}");
        assert_eq!(neighbours(2), [(0, 1)]);
        assert_eq!(neighbours(4), [(0, 1), (1, 2), (2, 3), (3, 0)]);
    }
}
