//! Scripts: text and back, places of errors, and what each step means in ticks.

mod support;

use sealin_core::part::{Colour, Contactor, Control, Form, Kind, Lamp, Switchgear};
use sealin_core::{Bench, Events, Plan, Trace};
use sealin_proof::steps::{
    MOST_BYTES, MOST_STEPS, Observer, Outcome, Script, Step, StepKind, StepRun, When, parse, run,
};
use support::{conductors, control_supply, part};

/// A contactor on a push-button: transformer 400/230 V, SF1 make, QA1, no controller.
fn bench() -> Bench {
    let mut parts = control_supply().to_vec();
    parts.extend([
        part("SF1", Kind::Control(Control::button(Form::Make, Colour::White))),
        part("SF2", Kind::Control(Control::button(Form::Make, Colour::White))),
        part("QA1", Kind::Contactor(Contactor { mirror: true, ..Contactor::default() })),
        part(
            "QB1",
            Kind::Switchgear(Switchgear {
                poles: 2,
                protection: sealin_core::part::Protection::None,
                auxiliaries: Vec::new(),
            }),
        ),
        part(
            "PF1",
            Kind::Lamp(Lamp { rated_mv: 230_000, resistance_mohm: 12_000_000, colour: Colour::White }),
        ),
    ]);
    let wires = [
        ("XD0:L1", "QB1:1"),
        ("XD0:L2", "QB1:3"),
        ("QB1:2", "TA1:1U"),
        ("QB1:4", "TA1:1V"),
        ("TA1:2U", "SF1:13"),
        ("SF1:14", "QA1:A1"),
        ("QA1:A2", "TA1:2V"),
    ];
    Bench::new(Plan { parts, conductors: conductors(&wires), ..Plan::default() }).unwrap()
}

fn outcome(text: &str) -> Outcome {
    run(&parse(text).unwrap(), &mut bench(), &mut ())
}

fn kept(text: &str) -> bool {
    outcome(text).kept()
}

#[test]
fn text_and_back() {
    let text = "power on\nwait 2s\npress SF2\nwait 80ms\nrelease SF2\nexpect QA1.closed for 2s\n\
                expect not QX0.0 and not QX0.1 within 100ms\nexpect QA1.closed\n\
                inject conductor S04 open\npress FC1.stop\nopen FC4\nclear all\n";
    let script = parse(text).unwrap();
    assert_eq!(script.to_string(), text);
    assert_eq!(Script::parse(&script.to_string()).unwrap(), script);
    assert_eq!(script.longest_ms(), 2000 + 80 + 2000 + 100 + 1 + 7);
}

#[test]
fn pieces_lines_and_remarks() {
    let script =
        parse("press SF2 SF3; wait 1s # both; not a step\r\n\r\n# nothing\n  release SF3 ;; ").unwrap();
    let places: Vec<(u32, u32)> = script.steps.iter().map(|s| (s.line, s.column)).collect();
    assert_eq!(places, [(1, 1), (1, 1), (1, 16), (4, 3)]);
    assert_eq!(script.to_string(), "press SF2\npress SF3\nwait 1s\nrelease SF3\n");
    assert_eq!(parse("").unwrap(), Script::default());
}

#[test]
fn errors_have_line_and_column() {
    let text =
        "press SF2; wait soon\nhop\nexpect a and\nexpect a within 2h\n  expect é\nwait\nexpect a for 0ms";
    let errors = parse(text).unwrap_err();
    let places: Vec<(u32, u32)> = errors.iter().map(|e| (e.line, e.column)).collect();
    assert_eq!(places, [(1, 17), (2, 1), (3, 13), (4, 10), (5, 10), (6, 5), (7, 10)]);
    assert!(errors[1].message.contains("wait or expect"), "{}", errors[1]);
    assert!(errors[3].message.contains("after within"), "{}", errors[3]);
}

#[test]
fn scripts_are_bounded() {
    assert!(parse(&"#".repeat(MOST_BYTES + 1)).unwrap_err()[0].message.contains("at most"));
    assert!(parse(&"wait 1ms\n".repeat(MOST_STEPS)).is_ok());
    assert!(parse(&"wait 1ms\n".repeat(MOST_STEPS + 1)).is_err());
    assert!(parse("wait 1s\nwait 1800s").unwrap_err()[0].message.contains("1800 s are allowed"));
    assert!(parse(&"hop\n".repeat(5000)).unwrap_err().len() <= 51);
}

#[test]
fn names_are_checked_against_a_bench() {
    let script = parse("press SF9\nexpect QA1.closed and\t QA1.shut\nwait 1s; open QA1\npress SF1").unwrap();
    let errors = script.check(&bench());
    let places: Vec<(u32, u32)> = errors.iter().map(|e| (e.line, e.column)).collect();
    assert_eq!(places, [(1, 1), (2, 24), (3, 10)]);
    assert!(errors[0].message.contains("SF1, SF2"), "{}", errors[0]);
}

/// Device data: mains close 18 ms after the coil; the button bounces for at most 3 ms and the coil sees the voltage of
/// the same tick at the earliest. So the contactor is in after 18 to 22 ms, never before.
#[test]
fn within_and_for_look_at_the_ticks_of_their_time() {
    let press = "power on; wait 100ms; press SF1\n";
    assert!(kept(&format!("{press}expect not QA1.closed for 17ms")));
    assert!(kept(&format!("{press}expect QA1.closed within 22ms")));
    assert!(!kept(&format!("{press}expect QA1.closed within 17ms")));
    assert!(!kept(&format!("{press}expect not QA1.closed for 22ms")));
    // `within` ends at the tick at which it became true, so the next time begins there.
    assert!(kept(&format!("{press}expect QA1.closed within 1s; expect QA1.closed for 1s")));
    assert!(!kept(&format!("{press}expect QA1.closed within 1s; expect not QA1.closed")));
    // It may be true already, and then no time passes.
    let mut bench = bench();
    let script = parse("power on; wait 100ms; expect not QA1.closed within 1s").unwrap();
    assert!(run(&script, &mut bench, &mut ()).kept());
    assert_eq!(bench.tick(), 100);
}

/// Acts without a wait between them fall in one tick, and an expectation reads the state after it.
#[test]
fn acts_share_a_tick() {
    let mut trace = Trace::default();
    let mut bench = bench();
    let script =
        parse("power on; wait 50ms; press SF1; press SF2; expect SF1.pressed and SF2.pressed").unwrap();
    assert!(run(&script, &mut bench, &mut trace).kept());
    assert_eq!(bench.tick(), 51);
    let tick = |name: &str| {
        let n = trace.number(name).unwrap();
        trace.changes().iter().find(|c| c.name == n).map(|c| c.tick)
    };
    assert_eq!((tick("SF1.pressed"), tick("SF2.pressed")), (Some(50), Some(50)));
}

#[test]
fn a_break_tells_line_step_expectation_sight_and_tick() {
    let text = "power on\nwait 100ms\n  expect QA1.closed or not SF2.pressed and QA1.coil within 50ms";
    let Outcome::Broken(b) = outcome(text) else { panic!("kept") };
    assert_eq!((b.line, b.column, b.tick), (3, 3, 149));
    assert_eq!(b.step, text.lines().last().unwrap().trim());
    assert!(b.expected.contains("within 50ms"), "{}", b.expected);
    assert_eq!(b.seen, "QA1.closed = 0, SF2.pressed = 0, QA1.coil = 0");
}

#[test]
fn an_act_that_does_not_fit_breaks_the_script() {
    let Outcome::Broken(b) = outcome("wait 5ms; trip FC1") else { panic!("kept") };
    assert_eq!((b.line, b.column), (1, 11));
    assert!(b.seen.contains("`FC1` is no overload"), "{}", b.seen);
    let Outcome::Broken(b) = outcome("expect FC1.tripped") else { panic!("kept") };
    assert!(b.seen.contains("there is no signal `FC1.tripped`"), "{}", b.seen);
}

/// What looks back remembers from the script's first tick, also over ticks that the bench passes over.
#[test]
fn what_looks_back_sees_every_tick() {
    let text = "power on; wait 100ms; press SF1; wait 50ms; release SF1; wait 10s\n\
                expect once(QA1.closed) and not once(QA1.closed, 1s)\n\
                expect held(not QA1.closed, 9s) and not held(not QA1.closed, 20s)\n\
                press SF1; expect not QA1.closed or not held(not QA1.closed, 20ms) for 100ms\n\
                expect since(true, QA1.closed)";
    assert_eq!(outcome(text), Outcome::Kept);
    assert!(!kept("power on; wait 1s; expect once(QA1.closed)"));
}

/// The same script in slices of any size gives the same outcome and leaves the same bench.
#[test]
fn slices_change_nothing() {
    let script = parse(
        "power on; wait 300ms; press SF1; expect QA1.closed within 100ms; wait 1s\n\
         open QB1; wait 60ms; close QB1; expect QA1.closed within 100ms; expect QA1.closed for 500ms; release SF1",
    )
    .unwrap();
    let mut whole = bench();
    assert_eq!(run(&script, &mut whole, &mut ()), Outcome::Kept);
    for slice in [1, 3, 7, 100, 10_000] {
        let mut run = StepRun::new(script.clone(), bench());
        let mut slices = 0;
        while run.advance(slice, &mut ()).is_none() {
            slices += 1;
            assert!(slices < 10_000);
        }
        assert_eq!(run.advance(slice, &mut ()), Some(&Outcome::Kept));
        assert_eq!(run.bench().state, whole.state, "slices of {slice}");
    }
}

#[test]
fn an_observer_sees_steps_and_changes() {
    #[derive(Default)]
    struct Seen {
        starts: usize,
        begins: Vec<(u64, String)>,
        changed: usize,
    }
    impl Observer for Seen {
        fn starts(&mut self, _: &Bench) {
            self.starts += 1;
        }
        fn begins(&mut self, tick: u64, step: &Step) {
            self.begins.push((tick, step.to_string()));
        }
        fn ticked(&mut self, _: &Bench, _: u64, events: &Events) {
            self.changed += events.changed.len();
        }
    }
    let mut seen = Seen::default();
    let script = parse("power on; wait 20ms; press SF1; wait 40ms; expect QA1.closed for 5ms").unwrap();
    assert!(run(&script, &mut bench(), &mut seen).kept());
    assert_eq!(seen.starts, 1);
    let ticks: Vec<u64> = seen.begins.iter().map(|(tick, _)| *tick).collect();
    assert_eq!(ticks, [0, 0, 20, 20, 60]);
    assert_eq!(seen.begins[4].1, "expect QA1.closed for 5ms");
    // Supply, button and its contact, coil, main poles (three and their signal), 13-14, 21-22.
    assert!(seen.changed >= 9, "{}", seen.changed);
}

#[test]
fn when_is_read() {
    let script = parse("expect a within 3s; expect within_x for 5ms").unwrap();
    let when = |s: &Step| match &s.kind {
        StepKind::Expect(_, when) => *when,
        other => panic!("{other:?}"),
    };
    assert_eq!(script.steps.iter().map(when).collect::<Vec<_>>(), [When::Within(3000), When::For(5)]);
}

/// Any text is read or refused with a place inside it, and what is read prints to what reads as the same.
#[test]
fn no_text_makes_the_reader_panic() {
    let words = [
        "press", "expect", " ", "SF1", "within", "for", "5ms", ";", "\n", "#", "é", "wait", "(", "inject",
        "\r",
    ];
    let mut seed = 5u64;
    let mut below = move |n: usize| {
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((seed >> 33) as usize) % n
    };
    let mut read = 0;
    for _ in 0..20_000 {
        let text: String = (0..below(14)).map(|_| words[below(words.len())]).collect();
        match parse(&text) {
            Ok(script) => {
                read += usize::from(!script.steps.is_empty());
                assert_eq!(parse(&script.to_string()).as_ref(), Ok(&script), "{text:?}");
            }
            Err(errors) => {
                let lines = text.matches('\n').count() as u32 + 1;
                assert!(errors.iter().all(|e| (1..=lines).contains(&e.line) && e.column >= 1), "{text:?}");
            }
        }
    }
    assert!(read > 50, "{read} scripts were read");
}
