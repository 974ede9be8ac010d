//! What must never be joined gives the harmful answer; each expectation is reasoned beside its test.

use sealin_core::{BenchAct, Conductor, Insulation, Note, Terminal};
use sealin_exercise::attempt::Change;
use sealin_exercise::session::Session;
use sealin_tests::generate::{paddle, with_reference};

fn running() -> Session {
    let mut s = with_reference(&paddle());
    act(&mut s, "power on");
    s.advance(2_000);
    act(&mut s, "press SF2");
    s.advance(200);
    act(&mut s, "release SF2");
    s.advance(1_000);
    assert_eq!(s.bench().signal("QA1.closed"), Some(true));
    s
}

fn act(s: &mut Session, line: &str) {
    s.bench_act(BenchAct::parse(line).unwrap()).unwrap();
}

fn join(s: &mut Session, from: &str, to: &str) {
    let conductor = Conductor {
        id: s.next_conductor_id(),
        from: Terminal::parse(from).unwrap(),
        to: Terminal::parse(to).unwrap(),
        section_mm2_x100: 250,
        colour: Insulation::Black,
        number: String::new(),
    };
    s.change(Change::Add(conductor)).unwrap();
}

fn notes(s: &Session) -> Vec<String> {
    s.fold().notes.iter().map(|(_, n)| n.to_string()).collect()
}

/// A short between two phases behind the motor fuses: kiloamperes, so both their links melt within milliseconds; the
/// third line carries no fault current and keeps its link. The overload is far too slow to trip.
#[test]
fn a_phase_to_phase_short_takes_the_two_fuses_of_its_phases() {
    let mut s = running();
    join(&mut s, "XD1:U", "XD1:V");
    s.advance(50);
    assert_eq!(s.bench().switch("FC2"), Some((true, [true, true, false])), "{:?}", notes(&s));
    assert_eq!(s.bench().signal("FC1.tripped"), Some(false));
    assert_eq!(s.fold().unsafe_acts.len(), 1, "it was an unsafe act");
    // Single-phased, the motor hums or coasts; with the short gone and new links it starts again only by a press.
    s.undo().unwrap();
    act(&mut s, "open FC2");
    s.advance(100);
    act(&mut s, "close FC2");
    s.advance(100);
    assert_eq!(s.bench().switch("FC2"), Some((true, [false; 3])));
}

/// 230 V (325 V peak) on a 24 V channel: far above the 60 V it stands. The channel stays dead when the wire is gone.
#[test]
fn mains_on_an_input_destroys_the_channel() {
    let mut s = running();
    join(&mut s, "FC4:1", "KF1:I3");
    s.advance(20);
    let destroyed = |s: &Session| s.bench().controller("KF1").unwrap().destroyed;
    assert_ne!(destroyed(&s) & 1 << 3, 0, "{:?}", notes(&s));
    assert!(s.fold().notes.iter().any(|(_, n)| matches!(n, Note::ChannelDestroyed { channel: 3, .. })));
    s.undo().unwrap();
    s.advance(100);
    assert_ne!(destroyed(&s) & 1 << 3, 0);
}

/// A short on 201: the supply limits at 3.75 A, nearly four times FC6's 1 A, so the 24 V falls, the controller goes off,
/// and FC6 opens by its fast characteristic. The breaker upstream does not see it. Afterwards the controller starts anew.
#[test]
fn a_short_on_the_field_supply_takes_its_fuse_and_the_controller_restarts() {
    let mut s = running();
    join(&mut s, "XD4:7", "XD5:7");
    s.advance(20);
    assert_eq!(s.bench().signal("KF1.on"), Some(false));
    s.advance(2_000);
    assert_eq!(s.bench().switch("FC6"), Some((true, [true, false, false])), "{:?}", notes(&s));
    assert_eq!(s.bench().switch("FC5"), Some((true, [false; 3])));
    assert_eq!(s.bench().signal("KF1.on"), Some(true));
    assert_eq!(s.bench().signal("QA1.closed"), Some(false));
}

/// The coil circuit shorted behind FC4: 7 A from the transformer, above the 5 A at which C 0.5 A opens at once.
#[test]
fn a_short_in_the_coil_circuit_trips_its_breaker() {
    let mut s = running();
    join(&mut s, "XD3:1", "XD3:3");
    s.advance(20);
    assert!(!s.bench().switch("FC4").unwrap().0, "{:?}", notes(&s));
    assert_eq!(s.bench().signal("QA1.closed"), Some(false));
    assert_eq!(s.bench().switch("FC2"), Some((true, [false; 3])));
}

/// One fuse of the motor taken out by its link: the motor single-phases, and the sensitive overload trips although only
/// two lines carry current. At standstill, cold, by hand: 10.4 s.
#[test]
fn a_missing_phase_at_standstill_hums_and_trips() {
    let mut s = running();
    act(&mut s, "press SF1");
    s.advance(3_000);
    act(&mut s, "release SF1");
    act(&mut s, "inject FC2 1-2 stuck open");
    s.advance(500);
    act(&mut s, "press SF2");
    s.advance(200);
    act(&mut s, "release SF2");
    s.advance(1_000);
    let motor = s.bench().motor("MA1").unwrap();
    assert!(motor.rpm.abs() < 1.0, "{motor:?}");
    assert!(motor.amperes[0] < 0.1 && motor.amperes[1] > 35.0, "{motor:?}");
    s.advance(12_000);
    assert_eq!(s.bench().signal("FC1.tripped"), Some(true));
    assert_eq!(s.bench().signal("QA1.closed"), Some(false));
}

/// Welded poles: the overload trips and nothing happens to the motor; the mirror contact keeps the other coil dead.
#[test]
fn welded_poles_outlive_stop_and_trip() {
    let mut s = running();
    act(&mut s, "inject QA1 poles welded");
    s.advance(100);
    act(&mut s, "trip FC1");
    s.advance(3_000);
    assert_eq!(s.bench().signal("QX0.0"), Some(false));
    assert_eq!(s.bench().signal("MA1.clockwise"), Some(true));
    act(&mut s, "reset FC1");
    act(&mut s, "press SF3");
    s.advance(1_000);
    assert_eq!(s.bench().signal("QA2.coil"), Some(false));
    assert_eq!(s.bench().signal("QA1.21-22"), Some(false));
}
