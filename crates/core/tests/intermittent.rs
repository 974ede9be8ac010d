//! Faults that come and go on a running bench.

use sealin_core::part::{Contactor, Kind, Part, Place, Supply};
use sealin_core::{Bench, BenchAct, Conductor, Fault, Insulation, Plan, Terminal};

fn part(tag: &str, kind: Kind) -> Part {
    Part { tag: tag.into(), function: String::new(), place: Place::Panel, kind }
}

/// A contactor of 230 V between a phase and earth: W0 feeds it.
fn bench() -> Bench {
    let supply = Supply {
        line_voltage_mv: 400_000,
        frequency_mhz: 50_000,
        fault_current_ma: 6_000_000,
        reversed: false,
    };
    let wire = |(n, (a, b)): (usize, (&str, &str))| Conductor {
        id: format!("W{n}"),
        from: Terminal::parse(a).unwrap(),
        to: Terminal::parse(b).unwrap(),
        section_mm2_x100: 100,
        colour: Insulation::Red,
        number: String::new(),
    };
    let wires = [("XD0:L1", "QA1:A1"), ("QA1:A2", "XD0:PE")];
    let plan = Plan {
        parts: vec![part("XD0", Kind::Supply(supply)), part("QA1", Kind::Contactor(Contactor::default()))],
        conductors: wires.into_iter().enumerate().map(wire).collect(),
        ..Plan::default()
    };
    Bench::new(plan).unwrap()
}

fn act(bench: &mut Bench, line: &str) {
    bench.act(BenchAct::parse(line).unwrap()).unwrap();
}

/// Ticks at which a signal changes, and to what, while these are done at their ticks.
fn changes(bench: &mut Bench, acts: &[(u64, &str)], end: u64, signal: &str) -> Vec<(u64, bool)> {
    let mut all = Vec::new();
    for (at, line) in acts.iter().copied().chain([(end, "")]) {
        bench.run_until(at, &mut |bench, tick, events| {
            let changed = events.changed.iter().filter(|(n, _)| bench.design.signals[*n].name == signal);
            all.extend(changed.map(|(_, value)| (tick, *value)));
        });
        if !line.is_empty() {
            act(bench, line);
        }
    }
    all
}

/// By hand: set at 100 ms it is there up to 139 ms, away up to 299 ms, there again up to 339 ms; cleared at 500 ms, when it has just
/// come, it stays away. The coil attracts in the first tick in which it has its voltage.
#[test]
fn it_is_there_at_the_start_of_each_stretch() {
    let acts = [
        (0, "power on"),
        (100, "inject conductor W0 open intermittent 40ms in 200ms"),
        (510, "clear conductor W0 open intermittent 40ms in 200ms"),
    ];
    let coil = [(0, true), (100, false), (140, true), (300, false), (340, true), (500, false), (510, true)];
    assert_eq!(changes(&mut bench(), &acts, 1_500, "QA1.coil"), coil);
    let mut every_tick = bench();
    every_tick.set_skip(false);
    assert_eq!(changes(&mut every_tick, &acts, 1_500, "QA1.coil"), coil);
}

/// A fault that comes and goes by itself is one that is set and cleared by hand at the same ticks: poles, auxiliary contacts, everything
/// that is a signal.
#[test]
fn it_is_as_one_that_is_set_and_cleared_by_hand() {
    let mut by_itself = bench();
    let mut by_hand = bench();
    for bench in [&mut by_itself, &mut by_hand] {
        act(bench, "power on");
        bench.set_skip(false);
    }
    for tick in 0..900u64 {
        match tick {
            100 => act(&mut by_itself, "inject conductor W0 open intermittent 12ms in 90ms"),
            700 => act(&mut by_itself, "clear all"),
            _ => {}
        }
        match tick.checked_sub(100).map(|since| since % 90) {
            Some(0) if tick < 700 => act(&mut by_hand, "inject conductor W0 open"),
            Some(12) if tick < 700 => act(&mut by_hand, "clear all"),
            _ => {}
        }
        assert_eq!(by_itself.step(), by_hand.step(), "{tick} ms");
        assert_eq!(by_itself.state, by_hand.state, "{tick} ms");
    }
}

/// Two at once are each there by their own time, and what a proof has found goes before both.
#[test]
fn two_at_once_and_held() {
    let mut bench = bench();
    act(&mut bench, "power on");
    act(&mut bench, "inject conductor W0 open intermittent 10ms in 40ms");
    bench.run_until(20, &mut |_, _, _| {});
    act(&mut bench, "inject conductor W1 open intermittent 10ms in 40ms");
    let coil = |bench: &mut Bench| {
        bench.step();
        bench.signal("QA1.coil").unwrap()
    };
    // From 20 on: W1 for 10 ms, none for 10 ms, W0 for 10 ms, none for 10 ms.
    let seen: Vec<bool> = (0..80).map(|_| coil(&mut bench)).collect();
    let expected: Vec<bool> = (0..80).map(|tick| tick / 10 % 2 == 1).collect();
    assert_eq!(seen, expected);
    bench.hold_intermittent(false);
    assert!((0..80).all(|_| coil(&mut bench)));
    bench.hold_intermittent(true);
    assert!((0..80).all(|_| !coil(&mut bench)));
}

/// Hidden, a fault does to the bench what one that was set does, tick by tick; the plan does not have it, it outlives a change of the
/// plan, and it is gone when it is put right.
#[test]
fn what_is_hidden_acts_and_is_not_told() {
    for line in ["conductor W0 open", "conductor W0 open intermittent 40ms in 200ms", "QA1 armature blocked"]
    {
        let fault = Fault::parse(line).unwrap();
        let mut set = bench();
        set.act(BenchAct::Inject(fault.clone())).unwrap();
        let mut hidden = bench();
        hidden.hide([fault.clone()].into()).unwrap();
        assert!(hidden.design.faults.contains(&fault.lasting()) && hidden.plan().faults.is_empty());
        let mut again = hidden.plan().clone();
        again.conductors[1].section_mm2_x100 = 150;
        hidden.replan(again).unwrap();
        let acts = [(0, "power on")];
        let of_set = changes(&mut set, &acts, 1_000, "QA1.closed");
        assert_eq!(changes(&mut hidden, &acts, 1_000, "QA1.closed"), of_set, "{line}");
        assert_ne!(of_set, changes(&mut bench(), &acts, 1_000, "QA1.closed"), "{line}");
        hidden.hide([].into()).unwrap();
        hidden.run_until(1_200, &mut |_, _, _| {});
        assert_eq!((hidden.design.faults.len(), hidden.signal("QA1.closed")), (0, Some(true)), "{line}");
    }
}

/// Of faults that were set, those are told as there that are: by hand, there up to 139 ms, away up to 299 ms.
#[test]
fn which_faults_are_there() {
    let mut bench = bench();
    let lines = ["QA1 armature blocked", "conductor W0 open intermittent 40ms in 200ms"];
    bench.run_until(100, &mut |_, _, _| {});
    lines.iter().for_each(|line| act(&mut bench, &format!("inject {line}")));
    for (tick, there) in [(120, vec![0, 1]), (200, vec![0]), (320, vec![0, 1])] {
        bench.run_until(tick, &mut |_, _, _| {});
        let told: Vec<String> = bench.faults_there().map(ToString::to_string).collect();
        let mut expected: Vec<&str> = there.iter().map(|&n| lines[n]).collect();
        expected.sort_by_key(|line| Fault::parse(line).unwrap());
        assert_eq!(told, expected, "{tick}");
    }
}
