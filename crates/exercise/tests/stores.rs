//! Parts from stores: taken, wired, moved, given back and undone, on the free bench.

use sealin_core::part::Place;
use sealin_core::{BenchAct, Conductor, Terminal};
use sealin_exercise::attempt::{Act, Attempt, Change, Mounted};
use sealin_exercise::fold::{UnsafeAct, fold};
use sealin_exercise::scenario::Scenario;
use sealin_exercise::session::Session;
use sealin_exercise::shipped;
use sealin_exercise::stores::{Family, StoresPart, next_tag};
use std::rc::Rc;

fn session() -> Session {
    let scenario = Scenario::parse(shipped::get("free-bench").unwrap()).unwrap();
    Session::new(Rc::new(scenario), 1).unwrap()
}

fn stores(kind: &str, model: &str, keys: &str, place: Place) -> StoresPart {
    let texts = |text: &str| text.to_string();
    let (tag, function) = (String::from("X0"), String::from("trial"));
    StoresPart { tag, kind: texts(kind), model: texts(model), keys: texts(keys), function, place }
}

/// Takes a part; returns its tag.
fn take(s: &mut Session, kind: &str, model: &str, keys: &str) -> String {
    let family = Family::of(kind).unwrap();
    let mut part = stores(kind, model, keys, family.place);
    let parts: Vec<_> = s.project().parts(s.scenario()).cloned().collect();
    part.tag = next_tag(&part.build().unwrap().0.kind, family, &parts);
    let tag = part.tag.clone();
    s.change(Change::Mount(bare(part))).unwrap();
    tag
}

fn bare(part: StoresPart) -> Mounted {
    Mounted { part, conductors: Vec::new(), dial_ma: None }
}

fn wire(s: &mut Session, from: &str, to: &str) {
    let reel = s.scenario().new_conductor;
    let conductor = Conductor {
        id: s.next_conductor_id(),
        from: Terminal::parse(from).unwrap(),
        to: Terminal::parse(to).unwrap(),
        section_mm2_x100: reel.section_mm2_x100,
        colour: reel.colour,
        number: "1".into(),
    };
    s.change(Change::Add(conductor)).unwrap();
}

fn act(s: &mut Session, line: &str) {
    s.bench_act(BenchAct::parse(line).unwrap()).unwrap();
}

/// A 24 V supply, a push-button and a lamp, wired so that the lamp is lit while the button is pressed.
fn lamp_circuit() -> Session {
    let mut s = session();
    assert_eq!(take(&mut s, "DC supply", "400 V AC, 24 V 2.5 A", ""), "TB1");
    assert_eq!(take(&mut s, "button", "start, white, 1 make", ""), "SF1");
    assert_eq!(take(&mut s, "lamp", "LED 24 V", "colour = \"green\""), "PF1");
    for (from, to) in [
        ("QB1:2", "TB1:L1"),
        ("QB1:4", "TB1:L2"),
        ("TB1:+", "SF1:13"),
        ("SF1:14", "PF1:X1"),
        ("PF1:X2", "TB1:-"),
    ] {
        wire(&mut s, from, to);
    }
    s
}

fn lit(s: &Session) -> bool {
    s.bench().signal("PF1.lit").unwrap()
}

/// The lamp follows the button: a part from stores is a part like any other.
#[test]
fn a_circuit_of_parts_from_stores_works() {
    let mut s = lamp_circuit();
    act(&mut s, "power on");
    s.advance(3_000);
    assert!(!lit(&s));
    act(&mut s, "press SF1");
    s.advance(100);
    assert!(lit(&s));
    act(&mut s, "release SF1");
    s.advance(100);
    assert!(!lit(&s));
}

/// Given back, a part takes its conductors along; one undo brings all of it back, and the design is the one it was.
#[test]
fn giving_back_is_one_step_and_so_is_its_undo() {
    let mut s = lamp_circuit();
    let before = s.project().clone();
    let hash = before.design_hash(s.scenario());
    let button = before.mounted("SF1").unwrap();
    assert_eq!(button.conductors.len(), 2);
    s.change(Change::Unmount(button)).unwrap();
    assert_eq!(s.project().conductors.len(), before.conductors.len() - 2);
    assert!(s.project().mounted("SF1").is_none());
    assert_ne!(s.project().design_hash(s.scenario()), hash);
    s.undo().unwrap();
    assert_eq!(*s.project(), before);
    assert_eq!(s.project().design_hash(s.scenario()), hash);
    act(&mut s, "power on");
    s.advance(3_000);
    act(&mut s, "press SF1");
    s.advance(100);
    assert!(lit(&s));
    // And undone again, to the empty panel: five conductors, three parts.
    s.redo().unwrap();
    for _ in 0..9 {
        s.undo().unwrap();
    }
    assert!(s.project().taken.is_empty());
    assert_eq!(*s.project(), session().project().clone());
    assert!(s.undo().is_err());
}

/// A place, a function or a key is changed under the same tag, and comes back by undo; the dial goes and comes with its
/// part.
#[test]
fn moved_altered_and_with_its_dial() {
    let mut s = session();
    let tag = take(&mut s, "timer relay", "on-delay, 24 V DC", "time_ms = 500");
    let before = s.project().taken[&tag].stores.clone();
    let after = StoresPart {
        keys: "time_ms = 900".into(),
        place: Place::Field,
        function: "pause".into(),
        ..before.clone()
    };
    s.change(Change::Move { before: before.clone(), after: after.clone() }).unwrap();
    let part = &s.project().taken[&tag].part;
    assert_eq!((part.place, part.function.as_str()), (Place::Field, "pause"));
    s.undo().unwrap();
    assert_eq!(s.project().taken[&tag].stores, before);
    let other = StoresPart { model: "off-delay, 24 V DC".into(), ..after };
    assert!(s.change(Change::Move { before, after: other }).is_err(), "another type is another part");

    let overload = Family::of("overload").unwrap().models()[0];
    let tag = take(&mut s, "overload", overload, "");
    let (dial, range) = s.project().taken[&tag].part.kind.dial_ma().unwrap();
    let turned = if dial == *range.end() { *range.start() } else { *range.end() };
    s.change(Change::Dial { part: tag.clone(), before_ma: dial, after_ma: turned }).unwrap();
    let mounted = s.project().mounted(&tag).unwrap();
    assert_eq!(mounted.dial_ma, Some(turned));
    s.change(Change::Unmount(mounted)).unwrap();
    assert!(s.project().dials.is_empty());
    s.undo().unwrap();
    assert_eq!(s.project().dials[&tag], turned);
}

/// The log gives the same bench again, from memory and from the file, and its chain holds.
#[test]
fn replayed_exactly_and_read_again() {
    let mut s = lamp_circuit();
    act(&mut s, "power on");
    s.advance(3_000);
    act(&mut s, "press SF1");
    s.advance(50);
    let lamp = s.project().mounted("PF1").unwrap();
    s.change(Change::Unmount(lamp)).unwrap();
    s.advance(50);
    s.undo().unwrap();
    s.advance(50);
    assert!(lit(&s));
    // Conductors were taken out and put in with the supply on: two each time.
    let unsafe_acts = s.unsafe_acts();
    assert_eq!(unsafe_acts.len(), 4);
    assert!(unsafe_acts.iter().all(|r| matches!(r.act, UnsafeAct::LiveChange { .. })));
    let attempt = s.export().unwrap();
    let read = Attempt::parse(&attempt.to_json()).unwrap();
    assert_eq!(read.chain_holds(), Some(true));
    assert_eq!(read.entries, attempt.entries);
    let again = fold(s.scenario(), &read).unwrap();
    assert_eq!(again.trace.exact_hash(), s.trace().exact_hash());
    assert_eq!(again.project, *s.project());
    assert_eq!(Session::open(s.scenario().clone(), read).unwrap().project(), s.project());
}

/// What does not fit is refused with its reason, and nothing changes.
#[test]
fn what_does_not_fit_is_refused() {
    let mut s = lamp_circuit();
    let before = s.project().clone();
    let refused = |s: &mut Session, change: Change, why: &str| {
        let told = s.change(change).unwrap_err();
        assert!(told.contains(why), "{told}");
        assert_eq!(*s.project(), before);
    };
    let named = |tag: &str, part: StoresPart| StoresPart { tag: tag.into(), ..part };
    let lamp = || stores("lamp", "LED 24 V", "colour = \"red\"", Place::Panel);
    refused(&mut s, Change::Mount(bare(named("PF1", lamp()))), "there is a part `PF1` already");
    refused(&mut s, Change::Mount(bare(named("QB1", lamp()))), "there is a part `QB1` already");
    refused(&mut s, Change::Unmount(bare(named("QB1", lamp()))), "there is no part `QB1` from stores");
    // The two conductors are there, and the act does not have them.
    let button = before.taken["SF1"].stores.clone();
    refused(&mut s, Change::Unmount(bare(button.clone())), "there is no part `SF1` from stores like this");
    let elsewhere = before.conductors.values().find(|c| c.from.part == "TB1").unwrap().clone();
    let with = Mounted { conductors: vec![elsewhere], ..bare(named("PF2", lamp())) };
    refused(&mut s, Change::Mount(with), "does not end at `PF2`");
    let with = Mounted { dial_ma: Some(1), ..bare(named("PF2", lamp())) };
    refused(&mut s, Change::Mount(with), "`PF2` has no dial");
    // A break contact has other terminals than the conductors are at.
    let after = StoresPart { keys: "contacts = [\"21-22\"]".into(), ..button.clone() };
    refused(&mut s, Change::Move { before: button, after }, "there is no terminal `SF1:1");
    let brake = stores("brake", "400 V AC, 60 N·m", "motor = \"MA9\"", Place::Field);
    refused(&mut s, Change::Mount(bare(named("MZ1", brake))), "MA9");

    let paddle = Scenario::parse(shipped::get("paddle-closed-loop").unwrap()).unwrap();
    let mut closed = Session::new(Rc::new(paddle), 1).unwrap();
    let told = closed.change(Change::Mount(bare(named("PF9", lamp())))).unwrap_err();
    assert!(told.contains("stores of this job are closed"), "{told}");
}

/// A motor that a brake is on stays until the brake has gone.
#[test]
fn what_another_part_needs_stays() {
    let mut s = session();
    take(&mut s, "motor", "4 kW 400 V 50 Hz", "");
    let brake = take(&mut s, "brake", "400 V AC, 60 N·m", "motor = \"MA1\"");
    let motor = Change::Unmount(s.project().mounted("MA1").unwrap());
    assert!(s.change(motor.clone()).is_err());
    s.change(Change::Unmount(s.project().mounted(&brake).unwrap())).unwrap();
    s.change(motor).unwrap();
    assert!(s.project().taken.is_empty());
}

#[test]
fn at_most_a_hundred_parts() {
    let mut s = session();
    for _ in 0..100 {
        take(&mut s, "lamp", "LED 24 V", "colour = \"white\"");
    }
    let one_more = stores("lamp", "LED 24 V", "colour = \"white\"", Place::Panel);
    assert!(s.change(Change::Mount(bare(one_more))).unwrap_err().contains("at most 100 parts"));
}

/// An older file says nothing of parts from stores; one that does and calls itself older is refused.
#[test]
fn a_file_of_version_2_has_none() {
    let text = lamp_circuit().export().unwrap().to_json();
    let older = text.replacen("\"version\": 6", "\"version\": 2", 1);
    assert_ne!(older, text);
    let told = Attempt::parse(&older).unwrap_err();
    assert!(told.message.contains("a file of version 3 has first"), "{told}");
    assert!(
        Attempt::parse(&text).unwrap().entries.iter().any(|e| matches!(e.act, Act::Design(Change::Mount(_))))
    );
    let wrong = text.replacen("\"place\": \"panel\"", "\"place\": \"cellar\"", 1);
    assert!(Attempt::parse(&wrong).unwrap_err().message.contains("panel, station or field is expected"));
}
