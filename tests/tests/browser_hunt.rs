//! Jobs of fault finding on the screen by real events, from the report to the marks (`sealin_tests::hunt`): those of every run.

use sealin_exercise::scenario::Scenario;
use sealin_exercise::shipped;
use sealin_tests::browser::{View, with_browser};
use sealin_tests::hunt::{LONG, USUAL, work};

fn job(id: &'static str) {
    assert!(USUAL.contains(&id));
    with_browser(&format!("hunt-{id}"), View::Desk, async |browser| work(browser, id).await);
}

#[test]
#[ignore = "needs a browser; run by `cargo xtask test`"]
fn the_gate_pump_does_not_start() {
    job("gate-pump-wont-start");
}

#[test]
#[ignore = "needs a browser; run by `cargo xtask test`"]
fn the_conveyor_does_not_hold() {
    job("conveyor-wont-hold");
}

#[test]
#[ignore = "needs a browser; run by `cargo xtask test`"]
fn the_paddle_does_not_raise() {
    job("paddle-wont-raise");
}

#[test]
#[ignore = "needs a browser; run by `cargo xtask test`"]
fn the_gate_pump_blows_its_fuses() {
    job("gate-pump-blows-fuses");
}

#[test]
#[ignore = "needs a browser; run by `cargo xtask test`"]
fn the_lock_gate_does_not_open() {
    job("lock-gate-wont-open");
}

#[test]
#[ignore = "needs a browser; run by `cargo xtask test`"]
fn the_boat_lift_is_dead() {
    job("boat-lift-dead");
}

/// None that ships is in neither list.
#[test]
fn every_job_is_in_a_list() {
    let finds = |(id, text): (&'static str, &str)| {
        Scenario::parse(text).is_ok_and(|scenario| scenario.fault_finding.is_some()).then_some(id)
    };
    let mut ship: Vec<&str> = shipped::all().filter_map(finds).collect();
    let mut here = [USUAL, LONG].concat();
    ship.sort_unstable();
    here.sort_unstable();
    assert_eq!(here, ship);
}
