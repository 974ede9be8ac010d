//! Contactors and relays that are abused: what a person is told, and what a new device puts right. The same laws with
//! figures only are in `tests/cases/core`.

use sealin_core::part::{
    Contactor, Kind, Machine, Motor, MotorModel, Part, Place, Protection, Supply, Switchgear,
};
use sealin_core::step::{CoilCause, WeldCause};
use sealin_core::{Bench, BenchAct, Conductor, Insulation, Note, Plan, Terminal};

fn part(tag: &str, kind: Kind) -> Part {
    Part { tag: tag.into(), function: String::new(), place: Place::Panel, kind }
}

fn wires(list: &[(&str, &str)]) -> Vec<Conductor> {
    let conductor = |(n, (a, b)): (usize, &(&str, &str))| Conductor {
        id: format!("W{n:02}"),
        from: Terminal::parse(a).unwrap(),
        to: Terminal::parse(b).unwrap(),
        section_mm2_x100: 250,
        colour: Insulation::Black,
        number: String::new(),
    };
    list.iter().enumerate().map(conductor).collect()
}

fn supply() -> Part {
    let supply = Supply {
        line_voltage_mv: 400_000,
        frequency_mhz: 50_000,
        fault_current_ma: 6_000_000,
        reversed: false,
    };
    part("XD0", Kind::Supply(supply))
}

fn contactor(tag: &str, other: Option<&str>) -> Part {
    let interlocked_with = other.map(str::to_string);
    part(tag, Kind::Contactor(Contactor { mirror: true, interlocked_with, ..Contactor::default() }))
}

fn fuses(rated_ma: u32) -> Part {
    part(
        "FC2",
        Kind::Switchgear(Switchgear {
            poles: 3,
            protection: Protection::FuseGg { rated_ma },
            auxiliaries: Vec::new(),
        }),
    )
}

/// Fuses, a reversing pair worked by hand, a 4 kW motor.
fn reversing(rated_ma: u32) -> Bench {
    let motor = Motor {
        model: MotorModel::Kw4At400V,
        rated_ma: 8_200,
        load_inertia_kgmm2: 0,
        load_friction_mnm: 0,
        machine: Machine::default(),
    };
    let parts = vec![
        supply(),
        fuses(rated_ma),
        contactor("QA1", None),
        contactor("QA2", None),
        part("MA1", Kind::Motor(motor)),
    ];
    let conductors = wires(&[
        ("XD0:L1", "FC2:1"),
        ("XD0:L2", "FC2:3"),
        ("XD0:L3", "FC2:5"),
        ("FC2:2", "QA1:1"),
        ("FC2:4", "QA1:3"),
        ("FC2:6", "QA1:5"),
        ("QA1:1", "QA2:1"),
        ("QA1:3", "QA2:3"),
        ("QA1:5", "QA2:5"),
        ("QA2:2", "QA1:6"),
        ("QA2:4", "QA1:4"),
        ("QA2:6", "QA1:2"),
        ("QA1:2", "MA1:U1"),
        ("QA1:4", "MA1:V1"),
        ("QA1:6", "MA1:W1"),
    ]);
    let mut bench = Bench::new(Plan { parts, conductors, ..Plan::default() }).unwrap();
    act(&mut bench, "power on");
    bench
}

fn act(bench: &mut Bench, line: &str) {
    bench.act(BenchAct::parse(line).unwrap()).unwrap();
}

fn run(bench: &mut Bench, ms: u64) -> Vec<Note> {
    let mut notes = Vec::new();
    bench.run_until(bench.tick() + ms, &mut |_, _, events| notes.extend(events.notes));
    notes
}

/// Both contactors in: L1 and L3 short. QA2 closes onto it, 25 A links let 2 · 1750 A²s through: QA2's two poles weld
/// (5 · 144 = 720 A²s), QA1's stay free (50 · 144 = 7200 A²s).
#[test]
fn the_contactor_that_closes_onto_a_short_circuit_welds() {
    let mut bench = reversing(25_000);
    act(&mut bench, "push QA1");
    run(&mut bench, 500);
    act(&mut bench, "push QA2");
    let notes = run(&mut bench, 100);
    let welds: Vec<&Note> = notes.iter().filter(|n| matches!(n, Note::PolesWelded { .. })).collect();
    let [Note::PolesWelded { part, poles, cause: WeldCause::MadeShort { amperes } }] = welds[..] else {
        panic!("{notes:?}")
    };
    assert_eq!((part.as_str(), poles.as_slice()), ("QA2", [1, 3].as_slice()));
    // Between the 144 A that a 12 A frame makes and the 6 kA of the supply.
    assert!((1_000..6_000).contains(amperes), "{amperes}");
    assert!(
        welds[0].to_string().starts_with("poles 1 and 3 of QA2 welded: they closed onto a short circuit")
    );
    assert_eq!(bench.relay("QA2").unwrap().welded, [true, false, true]);
    assert_eq!(bench.relay("QA1").unwrap().welded, [false; 3]);
    // New links alone help nothing: the next time QA1 closes it makes the same short circuit, and welds in its turn.
    act(&mut bench, "release QA2");
    act(&mut bench, "release QA1");
    run(&mut bench, 500);
    for line in ["open FC2", "close FC2", "push QA1"] {
        act(&mut bench, line);
        run(&mut bench, 100);
    }
    assert_eq!(bench.relay("QA1").unwrap().welded, [true, false, true]);
    for line in ["release QA1", "open FC2", "replace QA1", "replace QA2", "close FC2", "push QA1"] {
        act(&mut bench, line);
        run(&mut bench, 500);
    }
    assert!(bench.motor("MA1").unwrap().rpm > 1_400.0);
    assert_eq!(bench.relay("QA1").unwrap().welded, [false; 3]);
}

/// A short circuit between U1 and V1 while QA1 is in. Behind 63 A links 2 · 11 113 A²s may get through, more than the
/// 7200 A²s that closed contacts stand: the two poles weld (no co-ordination). Behind 25 A links they hold.
#[test]
fn a_fuse_too_large_lets_closed_poles_weld() {
    for (rated_ma, welded) in [(63_000, [true, true, false]), (25_000, [false; 3])] {
        let mut bench = reversing(rated_ma);
        act(&mut bench, "push QA1");
        run(&mut bench, 500);
        let mut plan = bench.plan().clone();
        let mut short = plan.conductors[0].clone();
        short.id = "W99".into();
        (short.from, short.to) = (Terminal::new("MA1", "U1"), Terminal::new("MA1", "V1"));
        plan.conductors.push(short);
        bench.replan(plan).unwrap();
        let notes = run(&mut bench, 100);
        assert_eq!(bench.relay("QA1").unwrap().welded, welded, "{notes:?}");
        let through = |n: &Note| matches!(n, Note::PolesWelded { cause: WeldCause::ThroughShort { .. }, .. });
        assert_eq!(notes.iter().filter(|n| through(n)).count(), usize::from(welded[0]), "{notes:?}");
        assert!(notes.iter().any(|n| matches!(n, Note::Opened { part, .. } if part == "FC2")));
    }
}

/// Jogging a jammed motor each half second: 50.6 A made and broken give (0.045 + 0.18) · 50.6/0.624 = 18.2 K each time;
/// 18.2/(1 − e^(−0.5/25)) = 919 K in the end, so 300 K after −25/0.5 · ln(1 − 300/919) = 20 times. A plain start each
/// half minute never does.
#[test]
fn jogging_welds_hot_contacts() {
    let mut bench = reversing(63_000);
    let mut times = 0;
    act(&mut bench, "jam MA1");
    let cause = loop {
        times += 1;
        assert!(times < 60, "it never welds");
        act(&mut bench, "push QA1");
        let mut notes = run(&mut bench, 250);
        act(&mut bench, "release QA1");
        notes.extend(run(&mut bench, 250));
        if let Some(Note::PolesWelded { poles, cause, .. }) =
            notes.into_iter().find(|n| matches!(n, Note::PolesWelded { .. }))
        {
            assert_eq!(poles, [1, 2, 3]);
            break cause;
        }
    };
    assert_eq!(cause, WeldCause::Hot);
    assert!((19..=23).contains(&times), "{times}");
    assert_eq!(bench.signal("QA1.closed"), Some(true));
    assert_eq!(bench.signal("QA1.21-22"), Some(false), "the mirror contact stays open");

    let mut bench = reversing(25_000);
    for _ in 0..40 {
        act(&mut bench, "push QA1");
        run(&mut bench, 15_000);
        act(&mut bench, "release QA1");
        assert!(run(&mut bench, 15_000).is_empty());
    }
    assert!(bench.relay("QA1").unwrap().pole_kelvin.iter().all(|&k| k < 60));
}

/// Two coils on 400 V, the armature of the second held by the interlock: burnt after 116 s by hand (see `devices::coil`).
#[test]
fn a_coil_held_out_burns_and_says_why() {
    let coil = |tag: &str, other: &str| {
        let mut part = contactor(tag, Some(other));
        if let Kind::Contactor(c) = &mut part.kind {
            c.coil.rated_mv = 400_000;
        }
        part
    };
    let switch = |tag: &str| {
        part(
            tag,
            Kind::Switchgear(Switchgear { poles: 1, protection: Protection::None, auxiliaries: Vec::new() }),
        )
    };
    let parts = vec![supply(), switch("QB1"), switch("QB2"), coil("QA1", "QA2"), coil("QA2", "QA1")];
    let conductors = wires(&[
        ("XD0:L1", "QB1:1"),
        ("XD0:L1", "QB2:1"),
        ("QB1:2", "QA1:A1"),
        ("QB2:2", "QA2:A1"),
        ("QA1:A2", "XD0:L2"),
        ("QA2:A2", "XD0:L2"),
    ]);
    let mut bench = Bench::new(Plan { parts, conductors, ..Plan::default() }).unwrap();
    act(&mut bench, "power on");
    let notes = run(&mut bench, 115_000);
    assert!(notes.is_empty(), "{notes:?}");
    assert_eq!(bench.signal("QA2.hums"), Some(true));
    let notes = run(&mut bench, 3_000);
    let [Note::CoilBurnt { part, seconds, cause: CoilCause::HeldOut { by } }] = &notes[..] else {
        panic!("{notes:?}")
    };
    assert_eq!((part.as_str(), by.as_str(), *seconds), ("QA2", "QA1", 116));
    assert_eq!(
        notes[0].to_string(),
        "the coil of QA2 has burnt out: its armature was held out by the mechanical interlock with QA1 for 116 s while \
         the coil drew inrush current"
    );
    assert!(bench.relay("QA2").unwrap().burnt && !bench.relay("QA1").unwrap().burnt);
    for line in ["open QB1", "replace QA2"] {
        act(&mut bench, line);
        run(&mut bench, 100);
    }
    assert_eq!(bench.signal("QA2.closed"), Some(true));
    assert_eq!(bench.relay("QA2").unwrap().coil_permille, 0);
}

/// The padlock: only on an open handle, and nobody closes past it, not even in the same tick.
#[test]
fn a_locked_handle_cannot_be_closed() {
    let mut bench = reversing(25_000);
    let refused = |bench: &mut Bench, line: &str| bench.act(BenchAct::parse(line).unwrap()).unwrap_err();
    assert!(refused(&mut bench, "lock FC2").contains("only its open position"));
    act(&mut bench, "open FC2");
    act(&mut bench, "lock FC2");
    assert!(refused(&mut bench, "close FC2").contains("locked off"));
    run(&mut bench, 10);
    assert!(refused(&mut bench, "close FC2").contains("unlock FC2"));
    assert_eq!(bench.signal("FC2.closed"), Some(false));
    act(&mut bench, "unlock FC2");
    act(&mut bench, "close FC2");
    run(&mut bench, 10);
    assert_eq!(bench.signal("FC2.closed"), Some(true));
    assert!(refused(&mut bench, "lock QA1").contains("switching device with a handle"));
    assert!(refused(&mut bench, "replace XD0").contains("can be damaged"));
}

/// Welded, burnt, hot or bouncing: passing over quiet ticks changes no bit, nor does an empty cache.
#[test]
fn skipping_and_forgetting_change_no_bit() {
    let script = |bench: &mut Bench, forget: bool| {
        for line in
            ["push QA1", "release QA1", "push QA2", "push QA1", "release QA2", "replace QA2", "close FC2"]
        {
            act(bench, line);
            for _ in 0..20 {
                run(bench, 40);
                if forget {
                    bench.empty_cache();
                }
            }
        }
    };
    let (mut plain, mut other) = (reversing(63_000), reversing(63_000));
    script(&mut plain, false);
    other.set_skip(false);
    script(&mut other, true);
    assert_eq!(plain.state, other.state);
    assert!(plain.relay("QA1").unwrap().welded.contains(&true));
}
