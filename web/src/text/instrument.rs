//! Instruments in words: what they measure, what they show, and what is to be said about it.

use super::quantity::measured;
use crate::store::model::{
    Caution, Danger, Function, Measured, Measurement, Polarity, Repair, Shown, Turn, UnsafeAct,
};
use crate::t;

/// Nothing is shown: a probe is in the air, or nothing has been taken yet.
pub const NOTHING: &str = "– – –";

/// What is measured, in a word or two.
pub fn function_name(function: Function) -> &'static str {
    match function {
        Function::VoltsDc => t!("meter-dc"),
        Function::VoltsAc => t!("meter-ac"),
        Function::Ohms => t!("meter-ohms"),
        Function::Detector => t!("instrument-detector"),
        Function::Continuity => t!("instrument-continuity"),
        Function::Insulation => t!("instrument-insulation"),
    }
}

/// Instrument and place: `V DC, KF1:I4 – KF1:CI2`.
pub fn measurement_text(what: &Measurement) -> String {
    let name = match what {
        Measurement::Between { function, .. } => function_name(*function),
        Measurement::Clamp { .. } => t!("instrument-clamp"),
        Measurement::ProvingUnit => return t!("meter-proving-unit").to_string(),
        Measurement::Sequence(_) => t!("instrument-sequence"),
    };
    format!("{name}, {}", place_text(what))
}

/// Where an instrument is put.
pub fn place_text(what: &Measurement) -> String {
    match what {
        Measurement::ProvingUnit => t!("meter-proving-unit").to_string(),
        _ => what.places().join(" – "),
    }
}

/// As it stands on the display.
pub fn shown_text(shown: Shown) -> String {
    match shown {
        Shown::Figure(figure) => figure.to_string(),
        Shown::Over => "OL".to_string(),
        Shown::Refused => t!("meter-refused").to_string(),
        Shown::Voltage(None) => t!("detector-dark").to_string(),
        Shown::Voltage(Some(voltage)) => {
            let polarity = match voltage.polarity {
                Polarity::Ac => t!("detector-ac"),
                Polarity::DcPlus => t!("detector-plus"),
                Polarity::DcMinus => t!("detector-minus"),
            };
            t!("detector-lit", volts = measured(voltage.step.into(), 0, "V"), polarity = polarity)
        }
        Shown::Turn(Turn::Clockwise) => t!("sequence-clockwise").to_string(),
        Shown::Turn(Turn::Counterclockwise) => t!("sequence-counterclockwise").to_string(),
        Shown::Turn(Turn::Missing(lit)) => {
            let dark: Vec<&str> = ["L1", "L2", "L3"]
                .into_iter()
                .zip(lit)
                .filter(|(_, lit)| !lit)
                .map(|(name, _)| name)
                .collect();
            if dark.is_empty() {
                t!("sequence-none").to_string()
            } else {
                t!("sequence-missing", legs = dark.join(", "))
            }
        }
    }
}

/// What is to be said beside a reading: why it was unsafe, or what to keep in mind. Empty where there is nothing.
pub fn remark_text(found: &Measured) -> String {
    match (&found.danger, found.caution) {
        (Some(danger), _) => t!("meter-unsafe", why = danger_text(danger)),
        (None, Some(Caution::NotForProvingDead)) => t!("meter-no-proof").to_string(),
        (None, None) => String::new(),
    }
}

/// Why a reading was unsafe.
pub fn danger_text(danger: &Danger) -> String {
    match danger {
        Danger::Live { millivolts } => t!("danger-live", volts = volts(*millivolts, 1)),
        Danger::Electronics { part } => t!("danger-electronics", part = part),
    }
}

fn volts(millivolts: u32, decimals: usize) -> String {
    measured(f64::from(millivolts) / 1000.0, decimals, "V")
}

/// An unsafe act, for the record.
pub fn unsafe_text(act: &UnsafeAct) -> String {
    match act {
        UnsafeAct::LiveChange { conductor } => t!("unsafe-live-change", conductor = conductor),
        UnsafeAct::LiveReplace { part, live } => t!(
            "unsafe-live-replace",
            part = part,
            at = live.at,
            to = live.to,
            volts = volts(live.millivolts, 0)
        ),
        UnsafeAct::LiveFit { part, live } => {
            t!("unsafe-live-fit", part = part, at = live.at, to = live.to, volts = volts(live.millivolts, 0))
        }
        UnsafeAct::LiveRepair { repair, live } => {
            let on = match repair {
                Repair::Swap(tag) | Repair::Adjust(tag) | Repair::Reload(tag) => tag.clone(),
                // A conductor goes by no name that a person knows; where it is live does.
                Repair::Remake(_) => t!("unsafe-a-conductor").to_string(),
                Repair::Terminate(terminal) => terminal.to_string(),
            };
            t!("unsafe-live-repair", on = on, at = live.at, to = live.to, volts = volts(live.millivolts, 0))
        }
        UnsafeAct::Reading { what, danger } => {
            t!("unsafe-reading", what = measurement_text(what), why = danger_text(danger))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::store::model::Voltage;

    #[test]
    fn detector_and_sequence_in_words() {
        let lit = |step, polarity| shown_text(Shown::Voltage(Some(Voltage { step, polarity })));
        assert_eq!(lit(230, Polarity::Ac), "230\u{a0}V AC");
        assert_eq!(lit(24, Polarity::DcMinus), "24\u{a0}V DC, red −");
        assert_eq!(shown_text(Shown::Turn(Turn::Missing([true, false, true]))), "L2 missing");
        assert_eq!(shown_text(Shown::Turn(Turn::Missing([true; 3]))), "no sequence");
    }

    #[test]
    fn danger_comes_before_caution() {
        let found = Measured {
            shown: Shown::Refused,
            phasor: None,
            caution: Some(Caution::NotForProvingDead),
            danger: Some(Danger::Live { millivolts: 229_950 }),
            harm: Vec::new(),
        };
        assert!(remark_text(&found).contains("230.0\u{a0}V") || remark_text(&found).contains("229.9\u{a0}V"));
        assert_eq!(remark_text(&Measured { danger: None, caution: None, ..found }), "");
    }
}
