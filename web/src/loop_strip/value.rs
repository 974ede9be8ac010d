//! The value of each stage of the loop, now.

use super::stages::Loop;
use crate::store::Workshop;
use crate::store::model::{ArmaturePlace, Terminal};
use crate::t;

/// A stage of the loop, in the order of cause and effect.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stage {
    /// The make contact 13-14 of the contactor.
    Contact,
    /// Volts at the input terminal, to its common.
    InputVolts,
    /// Bit of the input image.
    InputBit,
    /// The rung that writes the output.
    Rung,
    /// Bit of the output image.
    OutputBit,
    /// Volts at the coil.
    CoilVolts,
    /// Place of the armature.
    Armature,
}

impl Stage {
    /// All stages, in order.
    pub const ALL: [Stage; 7] = [
        Stage::Contact,
        Stage::InputVolts,
        Stage::InputBit,
        Stage::Rung,
        Stage::OutputBit,
        Stage::CoilVolts,
        Stage::Armature,
    ];
}

/// A value as it is shown.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Value {
    /// In words or figures.
    pub text: String,
    /// Closed, live, 1, passing or in: drawn heavy.
    pub on: bool,
}

/// DC volts from which an input of type 3 must read 1 (IEC 61131-2, table of digital inputs).
const INPUT_ON_VOLTS: f64 = 11.0;

/// The value of a stage.
pub fn value(whole: &Loop, stage: Stage, workshop: &Workshop) -> Value {
    let bench = workshop.bench();
    if unseen(stage, workshop) {
        return Value { text: t!("loop-unseen").to_string(), on: false };
    }
    let words = |on: bool, yes: &str, no: &str| Value { text: if on { yes } else { no }.to_string(), on };
    let bit = |signal: Option<String>| match signal.and_then(|name| bench.signal(&name)) {
        Some(on) => words(on, "1", "0"),
        None => missing(),
    };
    match stage {
        Stage::Contact => {
            let closed = bench.signal(&format!("{}.13-14", whole.contactor));
            words(closed.unwrap_or(false), t!("loop-closed"), t!("loop-open"))
        }
        Stage::InputVolts => match &whole.input {
            Some(input) => {
                let volts = bench.volts_dc(&input.terminal, &input.common).unwrap_or(0.0);
                Value { text: volts_text(volts), on: volts.abs() >= INPUT_ON_VOLTS }
            }
            None => missing(),
        },
        Stage::InputBit => bit(whole.input.as_ref().map(|c| c.signal())),
        Stage::Rung => {
            let scanning = bench
                .state
                .controllers
                .iter()
                .any(|c| c.phase == sealin_core::state::ControllerPhase::Running);
            match whole.passes(&|rung, index, contact| bench.contact_passes(rung, index, contact)) {
                Some(passes) if scanning => words(passes, t!("loop-passes"), t!("loop-blocks")),
                Some(_) => Value { text: t!("loop-stands").to_string(), on: false },
                None => missing(),
            }
        }
        Stage::OutputBit => bit(whole.output.as_ref().map(|c| c.signal())),
        Stage::CoilVolts => {
            let (a1, a2) = (Terminal::new(&whole.contactor, "A1"), Terminal::new(&whole.contactor, "A2"));
            let volts = bench.volts_ac(&a1, &a2).unwrap_or(0.0);
            let attracted = bench.signal(&format!("{}.coil", whole.contactor)).unwrap_or(false);
            Value { text: volts_text(volts), on: attracted }
        }
        Stage::Armature => {
            let place = bench.contactor(&whole.contactor).map(|(place, _, _)| place);
            match place {
                Some(ArmaturePlace::In) => words(true, t!("loop-in"), ""),
                Some(ArmaturePlace::Out) | None => words(false, "", t!("loop-out")),
                Some(_) => Value { text: t!("loop-travelling").to_string(), on: false },
            }
        }
    }
}

/// Only an instrument would tell of it.
fn unseen(stage: Stage, workshop: &Workshop) -> bool {
    match stage {
        Stage::Contact | Stage::InputVolts | Stage::CoilVolts => workshop.is_sealed(),
        Stage::Rung => !workshop.shows_program(),
        Stage::InputBit | Stage::OutputBit | Stage::Armature => false,
    }
}

fn missing() -> Value {
    Value { text: t!("loop-missing").to_string(), on: false }
}

/// Volts with one decimal up to 100 V, whole above; never minus nought.
pub fn volts_text(volts: f64) -> String {
    let decimals = if volts.abs() < 99.95 { 1 } else { 0 };
    let text = format!("{volts:.decimals$} V");
    if text.starts_with("-0.0 ") { text[1..].to_string() } else { text }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn volts_are_short_and_never_minus_nought() {
        let seen = [23.94, 230.4, -0.01, 99.96, -24.0].map(volts_text);
        assert_eq!(seen, ["23.9 V", "230 V", "0.0 V", "100 V", "-24.0 V"]);
    }
}
