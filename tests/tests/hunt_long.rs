//! The longer jobs of fault finding on the screen by real events, run by hand: `cargo nextest run --workspace --test hunt_long
//! --run-ignored only`, with SEALIN_DIST naming the site.

use sealin_tests::browser::{View, with_browser};
use sealin_tests::hunt::{LONG, work};

fn job(id: &'static str) {
    assert!(LONG.contains(&id));
    with_browser(&format!("hunt-{id}"), View::Desk, async |browser| work(browser, id).await);
}

#[test]
#[ignore = "needs a browser, and a minute or two"]
fn the_conveyor_trips() {
    job("conveyor-trips");
}

#[test]
#[ignore = "needs a browser, and a minute or two"]
fn the_sluice_does_not_move() {
    job("sluice-wont-move");
}

#[test]
#[ignore = "needs a browser, and a minute or two"]
fn the_winch_does_not_lower() {
    job("winch-wont-lower");
}

#[test]
#[ignore = "needs a browser, and a minute or two"]
fn the_dredging_conveyor_is_wrong_both_ways() {
    job("dredging-conveyor-troubles");
}

#[test]
#[ignore = "needs a browser, and a minute or two"]
fn the_paddle_lets_go() {
    job("paddle-lets-go");
}

#[test]
#[ignore = "needs a browser, and a minute or two"]
fn the_crane_growls() {
    job("crane-growls");
}
