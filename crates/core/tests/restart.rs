//! Cold and warm restart, stop mode and watchdog of a controller (IEC 61131-2, operating states; IEC 61131-3, RETAIN).

use sealin_core::act::BenchAct;
use sealin_core::bench::Bench;
use sealin_core::part::*;
use sealin_core::plan::{Conductor, Insulation, Plan, Terminal};
use sealin_core::state::ControllerPhase;
use sealin_core::step::Note;

/// Three rungs of one contact each: six contacts and outputs.
const PROGRAM: &str = "PROGRAM winch
VAR RETAIN
    kept : BOOL;
END_VAR
VAR
    SF1_in  AT %IX0.0 : BOOL;
    QA1_out AT %QX0.0 : BOOL;
    gone    : BOOL;
END_VAR
IF SF1_in THEN kept := TRUE; END_IF;
IF SF1_in THEN gone := TRUE; END_IF;
QA1_out := gone;
END_PROGRAM";

fn part(tag: &str, kind: Kind) -> Part {
    Part { tag: tag.into(), function: String::new(), place: Place::Panel, kind }
}

fn group<C: Default>(common: &str, channel: &str) -> Group<C> {
    Group { common: common.into(), channels: vec![channel.into()], circuit: C::default() }
}

/// A button on an input and a free output, behind a supply that starts and holds up as fast as it can.
fn bench(watchdog_ms: u16, contact_ns: u32) -> Bench {
    let supply = Supply {
        line_voltage_mv: 400_000,
        frequency_mhz: 50_000,
        fault_current_ma: 6_000_000,
        reversed: false,
    };
    let dc =
        DcSupply { input_mv: 400_000, output_mv: 24_000, limit_ma: 3_750, hold_up_ms: 1, start_up_ms: 10 };
    let controller = Controller {
        inputs: vec![group("C1", "I0")],
        outputs: vec![group("CQ", "Q0")],
        scan_ms: 10,
        filter_ms: 0,
        start_up_ms: 20,
        watchdog_ms,
        contact_ns,
    };
    let parts = vec![
        part("XD0", Kind::Supply(supply)),
        part("TB1", Kind::DcSupply(dc)),
        part("KF1", Kind::Controller(controller)),
        part("SF1", Kind::Control(Control::button(Form::Make, Colour::White))),
    ];
    let wires = [
        ("XD0:L1", "TB1:L1"),
        ("XD0:L2", "TB1:L2"),
        ("TB1:+", "KF1:L+"),
        ("TB1:-", "KF1:L-"),
        ("TB1:+", "SF1:13"),
        ("SF1:14", "KF1:I0"),
        ("TB1:-", "KF1:C1"),
        ("TB1:-", "XD0:PE"),
    ];
    let conductors = wires.iter().enumerate().map(|(k, (from, to))| Conductor {
        id: format!("W{k:02}"),
        number: String::new(),
        from: Terminal::parse(from).unwrap(),
        to: Terminal::parse(to).unwrap(),
        section_mm2_x100: 100,
        colour: Insulation::Black,
    });
    let program = sealin_ladder::parse(PROGRAM).unwrap();
    let plan = Plan { parts, conductors: conductors.collect(), program: Some(program), ..Plan::default() };
    Bench::new(plan).unwrap()
}

/// Does an act and runs so many ticks; gives the notes.
fn act(bench: &mut Bench, line: &str, ticks: u64) -> Vec<Note> {
    bench.act(BenchAct::parse(line).unwrap()).unwrap();
    let mut notes = Vec::new();
    for _ in 0..ticks {
        notes.extend(bench.step().notes);
    }
    notes
}

fn bits(bench: &Bench) -> [bool; 4] {
    ["kept", "gone", "KF1.QX0.0", "KF1.on"].map(|name| bench.signal(name).unwrap())
}

fn pressed_once(watchdog_ms: u16, contact_ns: u32) -> Bench {
    let mut bench = bench(watchdog_ms, contact_ns);
    act(&mut bench, "power on", 100);
    act(&mut bench, "press SF1", 50);
    act(&mut bench, "release SF1", 50);
    bench
}

/// Power that returns restarts warm: what is retained is kept, the rest has its initial value.
#[test]
fn power_that_returns_is_a_warm_restart() {
    let mut bench = pressed_once(200, 500);
    assert_eq!(bits(&bench), [true, true, true, true]);
    act(&mut bench, "power off", 100);
    assert_eq!(bits(&bench), [true, false, false, false]);
    act(&mut bench, "power on", 100);
    assert_eq!(bits(&bench), [true, false, false, true]);
}

#[test]
fn stop_mode_puts_the_outputs_off_and_scans_nothing() {
    let mut bench = pressed_once(200, 500);
    // The output relay opens 5 ms after its drive is gone.
    act(&mut bench, "stop KF1", 6);
    assert_eq!(bits(&bench), [true, true, false, false]);
    assert!(!bench.controller("KF1").unwrap().relays[0].closed);
    act(&mut bench, "press SF1", 50);
    act(&mut bench, "release SF1", 50);
    assert_eq!(bench.controller("KF1").unwrap().inputs, 0, "the input image stands still");
    // A loss of the supply does not end it.
    act(&mut bench, "power off", 100);
    act(&mut bench, "power on", 200);
    assert_eq!(bench.controller("KF1").unwrap().phase, ControllerPhase::Stopped);
    act(&mut bench, "run KF1", 50);
    assert_eq!(bits(&bench), [true, false, false, true]);
}

#[test]
fn a_cold_restart_forgets_and_a_warm_one_keeps_what_is_retained() {
    let mut bench = pressed_once(200, 500);
    act(&mut bench, "restart KF1 warm", 50);
    assert_eq!(bits(&bench), [true, false, false, true]);
    act(&mut bench, "restart KF1 cold", 50);
    assert_eq!(bits(&bench), [false, false, false, true]);
}

/// Six contacts and outputs of 0.5 ms each are 3 ms: a watchdog of 3 ms lets them pass, one of 2 ms does not.
#[test]
fn the_watchdog_stops_a_scan_that_takes_too_long() {
    let mut slow = bench(3, 500_000);
    act(&mut slow, "power on", 100);
    assert_eq!(bits(&slow), [false, false, false, true]);
    let mut late = bench(2, 500_000);
    let overrun = Note::Overrun { part: "KF1".into(), scan_us: 3_000, watchdog_us: 2_000 };
    assert_eq!(act(&mut late, "power on", 300), std::slice::from_ref(&overrun));
    assert_eq!(bits(&late), [false, false, false, false]);
    assert_eq!(late.controller("KF1").unwrap().phase, ControllerPhase::Stopped);
    // Set to run again, it tries once more.
    assert_eq!(act(&mut late, "run KF1", 50), [overrun]);
}

/// A program that comes while the controller is without supply has its first scan and its initial values when power comes;
/// one that comes while it runs has neither: a transfer is no restart.
#[test]
fn the_first_scan_of_a_new_program() {
    let changed = PROGRAM
        .replace("gone    : BOOL;", "gone : BOOL := TRUE; first_scan : BOOL; first : BOOL;")
        .replace("QA1_out := gone;", "IF first_scan THEN first := TRUE; END_IF; QA1_out := gone;");
    let program = Some(sealin_ladder::parse(&changed).unwrap());
    let values = |bench: &Bench| ["gone", "first", "first_scan"].map(|name| bench.signal(name).unwrap());
    let mut off = bench(200, 500);
    off.replan(Plan { program: program.clone(), ..off.plan().clone() }).unwrap();
    act(&mut off, "power on", 100);
    assert_eq!(values(&off), [true, true, false]);
    let mut running = bench(200, 500);
    act(&mut running, "power on", 100);
    running.replan(Plan { program, ..running.plan().clone() }).unwrap();
    act(&mut running, "power on", 100);
    assert_eq!(values(&running), [false, false, false]);
}
