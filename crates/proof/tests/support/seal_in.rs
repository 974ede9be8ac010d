//! A hard-wired contactor that holds itself.

use crate::support::{conductors, control_supply, part};
use sealin_core::Plan;
use sealin_core::part::{ArmatureDelays, Colour, Contactor, Control, Form, Kind, Overload, Reset, TripClass};

/// A quick contactor, so that a search tick by tick comes to an end.
pub const QUICK: ArmatureDelays =
    ArmatureDelays { break_open_ms: 2, main_close_ms: 4, main_open_ms: 2, break_close_ms: 1 };

/// Transformer 400/230 V, stop SF1 (break), start SF2 (make) beside the holding contact 13-14 of QA1, overload FC1 in front.
pub fn seal_in(delays: ArmatureDelays) -> Plan {
    let mut parts = control_supply().to_vec();
    parts.extend([
        part("SF1", Kind::Control(Control::button(Form::Break, Colour::Black))),
        part("SF2", Kind::Control(Control::button(Form::Make, Colour::White))),
        part(
            "FC1",
            Kind::Overload(Overload {
                class: TripClass::C10,
                dial_ma: 8_200,
                dial_min_ma: 7_000,
                dial_max_ma: 10_000,
                phase_loss_sensitive: true,
                reset: Reset::Manual,
                uncompensated_at_c: None,
            }),
        ),
        part("QA1", Kind::Contactor(Contactor { delays, ..Contactor::default() })),
    ]);
    let wires = [
        ("XD0:L1", "TA1:1U"),
        ("XD0:L2", "TA1:1V"),
        ("TA1:2U", "FC1:95"),
        ("FC1:96", "SF1:11"),
        ("SF1:12", "SF2:13"),
        ("SF2:13", "QA1:13"),
        ("SF2:14", "QA1:14"),
        ("SF2:14", "QA1:A1"),
        ("QA1:A2", "TA1:2V"),
    ];
    Plan { parts, conductors: conductors(&wires), ..Plan::default() }
}
