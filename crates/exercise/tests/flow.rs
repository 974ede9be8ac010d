//! What flows through the overload of the shipped panel, and the trip that it comes to.

use sealin_core::BenchAct;
use sealin_exercise::scenario::Scenario;
use sealin_exercise::session::Session;
use sealin_exercise::shipped;
use std::rc::Rc;

fn session() -> Session {
    let scenario = Scenario::parse(shipped::get("paddle-closed-loop").unwrap()).unwrap();
    Session::new(Rc::new(scenario), 1).unwrap()
}

/// Locked rotor at 400 V: 50.6 A on a dial of 8.2 A are 6.17 times the dial, up to 4 % less behind the wiring; class 10
/// from cold trips after 270 s · ln(38.1/36.8) = 9.0 s (hand calculation from the fitted figures).
#[test]
fn a_blocked_motor_is_one_current_until_it_trips() {
    let mut session = session();
    let act = |session: &mut Session, line: &str| session.bench_act(BenchAct::parse(line).unwrap()).unwrap();
    act(&mut session, "power on");
    act(&mut session, "jam MA1");
    session.advance(1_000);
    assert_eq!(session.fold().flows.of("FC1").unwrap().since, None);
    act(&mut session, "push QA1");
    session.advance(5_000);
    let flow = session.fold().flows.of("FC1").unwrap().clone();
    // The armature is in after 18 ms.
    assert!(flow.since.is_some_and(|since| (1_010..1_030).contains(&since)), "{flow:?}");
    assert!((5.9..6.2).contains(&flow.multiple) && flow.heat == [0.0; 3], "{flow:?}");
    assert!(session.fold().flows.trips().is_empty());
    session.advance(6_000);
    let [trip] = session.fold().flows.trips() else { panic!("{:?}", session.fold().flows) };
    assert!((8_900..9_900).contains(&trip.after_ms), "{trip:?}");
    assert_eq!((trip.part.as_str(), trip.heat_before), ("FC1", 0.0));
    // The hand still holds the contactor in: the current goes on, as 95-96 opens the coil alone.
    assert_eq!(session.fold().flows.of("FC1").unwrap().since, flow.since);
    act(&mut session, "release QA1");
    session.advance(1_000);
    assert_eq!(session.fold().flows.of("FC1").unwrap().since, None);
}
