//! Parts of small rigs.

use sealin_core::part::{Kind, Part, Place, Supply, Transformer};
use sealin_core::{Conductor, Insulation, Terminal};

/// A part on the panel.
pub fn part(tag: &str, kind: Kind) -> Part {
    Part { tag: tag.to_string(), function: String::new(), place: Place::Panel, kind }
}

/// Supply XD0, 400 V 50 Hz, and control transformer TA1, 400/230 V, 100 VA.
pub fn control_supply() -> [Part; 2] {
    [
        part(
            "XD0",
            Kind::Supply(Supply {
                reversed: false,
                line_voltage_mv: 400_000,
                frequency_mhz: 50_000,
                fault_current_ma: 6_000_000,
            }),
        ),
        part(
            "TA1",
            Kind::Transformer(Transformer {
                names: Default::default(),
                primary_mv: 400_000,
                secondary_mv: 230_000,
                rated_mva: 100_000,
                impedance_permille: 60,
            }),
        ),
    ]
}

/// Conductors W0, W1 … between these ends.
pub fn conductors(ends: &[(&str, &str)]) -> Vec<Conductor> {
    let conductor = |(n, (a, b)): (usize, &(&str, &str))| Conductor {
        id: format!("W{n}"),
        from: Terminal::parse(a).unwrap(),
        to: Terminal::parse(b).unwrap(),
        section_mm2_x100: 100,
        colour: Insulation::Red,
        number: String::new(),
    };
    ends.iter().enumerate().map(conductor).collect()
}
