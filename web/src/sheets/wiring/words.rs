//! Words of the sheet that are made from data: ratings on the devices.

use super::panel::shape::wrapped;
use crate::t;
use sealin_core::part::{Kind, MotorModel, Part, Protection, TripClass};

/// Thousandths as a number without needless noughts: 8200 is `8.2`.
pub fn thousandths(n: u32) -> String {
    let text = format!("{}.{:03}", n / 1000, n % 1000);
    text.trim_end_matches('0').trim_end_matches('.').to_string()
}

/// Hundredths of mm² as on the schedule: 75 is `0.75`, 600 is `6`.
pub fn section(mm2_x100: u32) -> String {
    thousandths(mm2_x100.saturating_mul(10))
}

/// What a plate on the device says, in short lines.
pub fn rating(part: &Part) -> Vec<String> {
    match &part.kind {
        Kind::Switchgear(gear) => match gear.protection {
            Protection::None => wrapped(&part.function, 60.0),
            Protection::FuseGg { rated_ma } => {
                vec![t!("wiring-amperes", amperes = thousandths(rated_ma)), "gG".into()]
            }
            Protection::FuseFast { rated_ma } => {
                vec![t!("wiring-amperes", amperes = thousandths(rated_ma)), t!("wiring-fast").into()]
            }
            Protection::Breaker { rated_ma, magnetic } => {
                let letter = match magnetic {
                    0..=5 => "B",
                    6..=10 => "C",
                    _ => "D",
                };
                vec![format!("{letter} {}", t!("wiring-amperes", amperes = thousandths(rated_ma)))]
            }
        },
        Kind::Overload(o) => {
            let class = match o.class {
                TripClass::C5 => "5",
                TripClass::C10A => "10A",
                TripClass::C10 => "10",
                TripClass::C20 => "20",
                TripClass::C30 => "30",
            };
            vec![t!("wiring-amperes", amperes = thousandths(o.dial_ma)), t!("wiring-class", class = class)]
        }
        Kind::Transformer(w) => vec![
            t!("wiring-ratio", primary = thousandths(w.primary_mv), secondary = thousandths(w.secondary_mv)),
            t!("wiring-volt-amperes", power = thousandths(w.rated_mva)),
        ],
        Kind::DcSupply(d) => vec![
            t!("wiring-volts-dc", volts = thousandths(d.output_mv)),
            t!("wiring-limit", amperes = thousandths(d.limit_ma)),
        ],
        Kind::Controller(c) => vec![part.function.clone(), t!("wiring-scan", scan = c.scan_ms)],
        Kind::Motor(m) => {
            let power = match m.model {
                MotorModel::Kw4At400V => t!("wiring-4-kw"),
                MotorModel::Hp5At460V => t!("wiring-5-hp"),
            };
            vec![part.function.clone(), format!("{power} {}", t!("wiring-amperes", amperes = thousandths(m.rated_ma)))]
        }
        Kind::Supply(s) => vec![
            part.function.clone(),
            t!("wiring-supply", volts = thousandths(s.line_voltage_mv), hertz = thousandths(s.frequency_mhz)),
        ],
        Kind::Contactor(_) | Kind::Button(_) | Kind::Lamp(_) | Kind::Strip(_) => Vec::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_carry_no_needless_noughts() {
        assert_eq!(thousandths(8200), "8.2");
        assert_eq!(thousandths(500), "0.5");
        assert_eq!(thousandths(24_000), "24");
        assert_eq!(section(75), "0.75");
        assert_eq!(section(600), "6");
    }
}
