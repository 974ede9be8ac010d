//! Keys of machines, position switches and brakes: what is read, and that each counts in the content hash.

use sealin_core::part::{Form, Kind, Machine, Travel};
use sealin_exercise::scenario::Scenario;
use sealin_exercise::shipped;

const LOAD: &str = "load_friction_mnm = 6000\n";

const MACHINE: &str = "load_friction_mnm = 6000
load_fan_mnm = 500
mass_kg = 400
drum_mm = 300
gear_permille = 40_000
start_um = 200_000
least_um = 0
most_um = 2_000_000
";

const DEVICES: &str = "
[[device]]
tag = \"BG1\"
kind = \"position switch\"
function = \"raised\"
place = \"field\"
motor = \"MA1\"
from_um = 1_900_000
to_um = 2_000_000
contacts = [\"break\", \"make\"]
positive_opening = true

[[device]]
tag = \"MB1\"
kind = \"brake\"
function = \"holds the paddle\"
place = \"field\"
motor = \"MA1\"
coil = \"DC\"
coil_mv = 24_000
power_mw = 40_000
torque_mnm = 60_000
release_ms = 80
apply_ms = 40

# ---";

fn text() -> String {
    let good = shipped::get("paddle-closed-loop").unwrap();
    assert!(good.contains(LOAD));
    good.replacen(LOAD, MACHINE, 1).replacen("\n# ---", DEVICES, 1)
}

#[test]
fn a_machine_with_its_switch_and_brake_is_read() {
    let s = Scenario::parse(&text()).unwrap();
    let kind = |tag: &str| &s.parts.iter().find(|p| p.tag == tag).unwrap().kind;
    let Kind::Motor(motor) = kind("MA1") else { panic!() };
    // π · 300 mm / 40 = 23.562 mm a turn of the motor.
    let travel = Travel {
        um_per_turn: 23_562,
        clockwise_lowers: false,
        start_um: 200_000,
        least_um: Some(0),
        most_um: Some(2_000_000),
    };
    let machine = Machine { load_fan_mnm: 500, mass_kg: 400, rise_permille: 1000, travel: Some(travel) };
    assert_eq!(motor.machine, machine);
    let Kind::PositionSwitch(switch) = kind("BG1") else { panic!() };
    assert_eq!(switch.contacts, [Form::Break, Form::Make]);
    assert_eq!(switch.terminals(), ["11", "12", "23", "24"]);
    assert!(switch.opens_positively("11-12") && !switch.opens_positively("23-24"));
    let Kind::Brake(brake) = kind("MB1") else { panic!() };
    assert_eq!((brake.terminals(), brake.torque_mnm), (vec!["BD1".to_string(), "BD2".to_string()], 60_000));
}

#[test]
fn every_key_counts_in_the_content_hash() {
    let hash = |text: &str| Scenario::parse(text).unwrap().content_hash();
    let base = hash(&text());
    for (old, new) in [
        ("load_fan_mnm = 500", "load_fan_mnm = 501"),
        ("mass_kg = 400", "mass_kg = 401"),
        ("mass_kg = 400", "mass_kg = 400\nrise_permille = 999"),
        ("gear_permille = 40_000", "gear_permille = 41_000"),
        ("start_um = 200_000", "start_um = 200_001"),
        ("start_um = 200_000", "start_um = 200_000\nclockwise_lowers = true"),
        ("most_um = 2_000_000", "most_um = 2_000_001"),
        ("most_um = 2_000_000\n", ""),
        ("from_um = 1_900_000", "from_um = 1_900_001"),
        ("to_um = 2_000_000\ncontacts", "to_um = 2_000_001\ncontacts"),
        ("[\"break\", \"make\"]", "[\"make\", \"break\"]"),
        ("positive_opening = true\n", ""),
        ("coil = \"DC\"", "coil = \"AC\""),
        ("power_mw = 40_000", "power_mw = 40_001"),
        ("torque_mnm = 60_000", "torque_mnm = 60_001"),
        ("release_ms = 80", "release_ms = 81"),
        ("apply_ms = 40", "apply_ms = 41"),
    ] {
        assert!(text().contains(old), "{old}");
        assert_ne!(base, hash(&text().replacen(old, new, 1)), "{old}");
    }
    // The same way, given by itself.
    let given = text().replacen("drum_mm = 300\ngear_permille = 40_000", "um_per_turn = 23_562", 1);
    assert_eq!(base, hash(&given));
}

#[test]
fn what_does_not_fit_is_told() {
    for (old, new, says) in [
        ("drum_mm = 300\ngear_permille = 40_000\n", "", "needs a way"),
        ("drum_mm = 300", "drum_mm = 300\num_per_turn = 5", "leave one out"),
        ("start_um = 200_000", "start_um = 2_000_001", "between the end stops"),
        ("least_um = 0\n", "", "lower end stop"),
        ("from_um = 1_900_000", "from_um = 2_100_000", "must not be above"),
        ("[\"break\", \"make\"]", "[\"brake\"]", "make or break"),
        ("motor = \"MA1\"\nfrom_um", "motor = \"MA9\"\nfrom_um", "no motor `MA9`"),
        ("motor = \"MA1\"\ncoil", "motor = \"QA1\"\ncoil", "no motor `QA1`"),
        ("coil = \"DC\"", "coil = \"three-phase\"", "AC, DC"),
    ] {
        assert!(text().contains(old), "{old}");
        let problems = Scenario::parse(&text().replacen(old, new, 1)).expect_err(says);
        assert!(problems[0].message.contains(says), "{says}: {problems:?}");
        assert!(problems[0].line > 1, "{says}: {problems:?}");
    }
}
