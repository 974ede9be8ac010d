//! A controller whose program latches what a button asks for, as small and quick as a controller can be.

use crate::seal_in::QUICK;
use crate::support::{conductors, control_supply, part};
use sealin_core::Plan;
use sealin_core::part::{
    Coil, Colour, Contactor, Control, Controller, DcSupply, Form, Group, Kind, Suppressor,
};

/// Scan period, ms.
pub const SCAN_MS: u8 = 2;

/// The first press sets the output for good.
const PROGRAM: &str = "PROGRAM latch
VAR
    SF2_in  AT %IX0.0 : BOOL;
    QA1_out AT %QX0.0 : BOOL;
    kept    : BOOL;
END_VAR
kept := SF2_in OR kept;
QA1_out := kept;
END_PROGRAM";

/// Supply of 24 V, controller, button SF2 on its input, contactor QA1 of 24 V on its output.
pub fn latched() -> Plan {
    let [supply, _] = control_supply();
    let dc =
        DcSupply { input_mv: 400_000, output_mv: 24_000, limit_ma: 3_750, hold_up_ms: 1, start_up_ms: 1 };
    let group = |common: &str, channel: &str| (common.to_string(), vec![channel.to_string()]);
    let ((ci, i), (cq, q)) = (group("CI", "I0"), group("CQ", "Q0"));
    let controller = Controller {
        inputs: vec![Group { common: ci, channels: i, circuit: Default::default() }],
        outputs: vec![Group { common: cq, channels: q, circuit: Default::default() }],
        scan_ms: SCAN_MS,
        filter_ms: 2,
        start_up_ms: 2,
        watchdog_ms: Controller::WATCHDOG_MS,
        contact_ns: Controller::CONTACT_NS,
    };
    let contactor =
        Contactor { coil: Coil::dc(24_000, 3_000, Suppressor::None), delays: QUICK, ..Contactor::default() };
    let parts = vec![
        supply,
        part("TB1", Kind::DcSupply(dc)),
        part("KF1", Kind::Controller(controller)),
        part("SF2", Kind::Control(Control::button(Form::Make, Colour::White))),
        part("QA1", Kind::Contactor(contactor)),
    ];
    let wires = [
        ("XD0:L1", "TB1:L1"),
        ("XD0:L2", "TB1:L2"),
        ("TB1:+", "KF1:L+"),
        ("TB1:-", "KF1:L-"),
        ("TB1:-", "XD0:PE"),
        ("TB1:+", "SF2:13"),
        ("SF2:14", "KF1:I0"),
        ("KF1:CI", "TB1:-"),
        ("TB1:+", "KF1:CQ"),
        ("KF1:Q0", "QA1:A1"),
        ("QA1:A2", "TB1:-"),
    ];
    let program = Some(sealin_ladder::parse(PROGRAM).unwrap());
    Plan { parts, conductors: conductors(&wires), program, ..Plan::default() }
}
