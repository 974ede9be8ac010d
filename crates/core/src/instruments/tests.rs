//! Readings on small panels, each expectation by hand.

use super::*;
use crate::part::{
    Colour, Control, Controller, Form, Group, Kind, Lamp, Motor, MotorModel, Part, Place, Protection, Strip,
    Supply as Cable, Switchgear, Transformer,
};
use crate::plan::{Conductor, Insulation, Plan};
use crate::{Bench, BenchAct};

fn part(tag: &str, kind: Kind) -> Part {
    Part { tag: tag.into(), function: String::new(), place: Place::Panel, kind }
}

fn strip(tag: &str, names: &[&str]) -> Part {
    let terminals = names.iter().map(|n| n.to_string()).collect();
    part(tag, Kind::Strip(Strip { terminals, bridges: Vec::new() }))
}

fn lamp(tag: &str, kilohm: u32) -> Part {
    let lamp = Lamp { rated_mv: 230_000, resistance_mohm: kilohm * 1_000_000, colour: Colour::White };
    part(tag, Kind::Lamp(lamp))
}

fn cable() -> Part {
    part(
        "X0",
        Kind::Supply(Cable {
            line_voltage_mv: 400_000,
            frequency_mhz: 50_000,
            fault_current_ma: 6_000_000,
            reversed: false,
        }),
    )
}

fn disconnector(tag: &str) -> Part {
    part(
        tag,
        Kind::Switchgear(Switchgear { poles: 3, protection: Protection::None, auxiliaries: Vec::new() }),
    )
}

fn bench(parts: Vec<Part>, wires: &[(&str, &str)]) -> Bench {
    let conductors = wires
        .iter()
        .enumerate()
        .map(|(k, (from, to))| Conductor {
            id: format!("C{k}"),
            from: Terminal::parse(from).unwrap(),
            to: Terminal::parse(to).unwrap(),
            section_mm2_x100: 250,
            colour: Insulation::Black,
            number: String::new(),
        })
        .collect();
    let mut bench = Bench::new(Plan { parts, conductors, ..Plan::default() }).unwrap();
    bench.step();
    bench
}

fn on(mut bench: Bench) -> Bench {
    bench.act(BenchAct::Power(true)).unwrap();
    bench.step();
    bench.step();
    bench
}

fn at(function: Function, from: &str, to: &str) -> Measurement {
    Measurement::parse(function.word(), &[from.to_string(), to.to_string()]).unwrap()
}

fn shown(bench: &Bench, function: Function, from: &str, to: &str) -> Shown {
    bench.measure(&at(function, from, to)).unwrap().shown
}

fn figure(bench: &Bench, function: Function, from: &str, to: &str) -> String {
    match shown(bench, function, from, to) {
        Shown::Figure(figure) => figure.to_string().replace('\u{a0}', " "),
        other => format!("{other:?}"),
    }
}

fn step(bench: &Bench, from: &str, to: &str) -> Option<(u16, Polarity)> {
    match shown(bench, Function::Detector, from, to) {
        Shown::Voltage(found) => found.map(|v| (v.step, v.polarity)),
        other => unreachable!("{other:?}"),
    }
}

/// A core that is open at both ends, coupled to 230 V by 1 MΩ. By hand: the meter takes 230.9 · 10 / 11 = 209.9 V; the
/// detector 230.9 · 7.5 k / 1,007.5 k = 1.7 V, below its first step.
#[test]
fn a_ghost_voltage_collapses_on_the_detector() {
    let parts = vec![cable(), lamp("P1", 1_000), strip("X1", &["1", "2"])];
    let b = on(bench(parts, &[("X0:L1", "P1:X1"), ("P1:X2", "X1:1"), ("X0:PE", "X1:2")]));
    assert_eq!(figure(&b, Function::VoltsAc, "X1:1", "X1:2"), "209.9 V");
    assert_eq!(step(&b, "X1:1", "X1:2"), None);
    assert_eq!(step(&b, "X0:L1", "X1:2"), Some((230, Polarity::Ac)));
    assert_eq!(step(&b, "X0:L1", "X0:L2"), Some((400, Polarity::Ac)));
}

/// Two lamps of 12 kΩ in series on 230.9 V: half of it at the middle, less a part in a thousand by the meter:
/// 115.47 · 10 M / (10 M + 6 k) = 115.4 V. The detector: 115.47 · 7.5 / (7.5 + 6) = 64.2 V, so its 50 V step.
#[test]
fn a_divider_is_loaded_by_what_measures_it() {
    let parts = vec![cable(), lamp("P1", 12), lamp("P2", 12)];
    let b = on(bench(parts, &[("X0:L1", "P1:X1"), ("P1:X2", "P2:X1"), ("P2:X2", "X0:PE")]));
    assert_eq!(figure(&b, Function::VoltsAc, "P2:X1", "X0:PE"), "115.4 V");
    assert_eq!(step(&b, "P2:X1", "X0:PE"), Some((50, Polarity::Ac)));
    // 230.94 V / 24 kΩ = 9.6 mA, which the clamp rounds to its resolution.
    let Shown::Figure(clamp) = b.measure(&Measurement::Clamp { conductor: "C1".into() }).unwrap().shown
    else {
        unreachable!()
    };
    assert_eq!(clamp.thousandths, 10);
}

/// A conductor of 20 mΩ; two of them and a contact of 10 mΩ in series are 50 mΩ. The meter's 0.1 Ω cannot tell.
#[test]
fn small_resistances_need_the_continuity_tester() {
    let button = part("S1", Kind::Control(Control::button(Form::Break, Colour::Red)));
    let b = bench(vec![button, strip("X1", &["1", "2"])], &[("X1:1", "S1:11"), ("S1:12", "X1:2")]);
    assert_eq!(figure(&b, Function::Continuity, "X1:1", "S1:11"), "0.02 Ω");
    assert_eq!(figure(&b, Function::Continuity, "X1:1", "X1:2"), "0.05 Ω");
    assert_eq!(figure(&b, Function::Ohms, "X1:1", "S1:11"), "0.0 Ω");
    let mut pressed = b;
    pressed.act(BenchAct::Press("S1".into())).unwrap();
    (0..8).for_each(|_| drop(pressed.step()));
    assert_eq!(shown(&pressed, Function::Continuity, "X1:1", "X1:2"), Shown::Over);
}

/// A bench of which the first tick has not been computed, or whose wiring has just been changed, is read as it stands.
#[test]
fn a_bench_that_has_not_moved_yet_is_read_as_it_stands() {
    let button = part("S1", Kind::Control(Control::button(Form::Break, Colour::Red)));
    let b = Bench::new(Plan { parts: vec![button], ..Plan::default() }).unwrap();
    assert_eq!(figure(&b, Function::Continuity, "S1:11", "S1:12"), "0.01 Ω");
}

/// Every node leaks to earth by 5 GΩ. Three terminals joined to one bar: 5 / 3 GΩ = 1,667 MΩ against earth (the bar's
/// own way to earth is a short). With a lamp of 500 kΩ to the bar: 0.50 MΩ, less a part in three thousand.
#[test]
fn insulation_is_what_leaks() {
    let parts = vec![cable(), strip("X1", &["1", "2", "3"]), lamp("P1", 500)];
    let b = bench(parts.clone(), &[("X1:1", "X1:2"), ("X1:2", "X1:3")]);
    assert_eq!(figure(&b, Function::Insulation, "X1:1", "X0:PE"), "1667 MΩ");
    let leaky = bench(parts, &[("X1:1", "X1:2"), ("X1:3", "P1:X1"), ("P1:X2", "X0:PE")]);
    assert_eq!(figure(&leaky, Function::Insulation, "X1:3", "X0:PE"), "0.50 MΩ");
    // Two nodes: 2.5 GΩ is more than the tester can show.
    assert_eq!(shown(&leaky, Function::Insulation, "X1:1", "X0:PE"), Shown::Over);
}

/// Ohms, continuity and insulation refuse on a live circuit, also where both probes stand on one live conductor; the
/// highest voltage is that to earth, 230.9 V on a few milliohms.
#[test]
fn resistance_on_a_live_circuit_is_unsafe() {
    let b = bench(vec![cable(), strip("X1", &["1", "2"])], &[("X0:L1", "X1:1"), ("X1:1", "X1:2")]);
    let live = on(b.clone());
    for function in [Function::Ohms, Function::Continuity, Function::Insulation] {
        let dead = b.measure(&at(function, "X1:1", "X1:2")).unwrap();
        assert_eq!(dead.danger, None);
        let found = live.measure(&at(function, "X1:1", "X1:2")).unwrap();
        assert_eq!(found.shown, Shown::Refused);
        let Some(Danger::Live { millivolts }) = found.danger else { unreachable!("{found:?}") };
        assert!((230_700..=231_000).contains(&millivolts), "{millivolts}");
    }
    assert_eq!(
        Danger::Live { millivolts: 230_940 }.to_string(),
        "resistance measured on a live circuit of 230.9 V"
    );
}

#[test]
fn a_meter_at_nothing_is_no_proof() {
    let b = on(bench(vec![cable(), disconnector("Q1")], &[("X0:L1", "Q1:1")]));
    let caution = |to: &str| b.measure(&at(Function::VoltsAc, "Q1:1", to)).unwrap().caution;
    assert_eq!(caution("Q1:2"), Some(Caution::NotForProvingDead));
    assert_eq!(caution("X0:PE"), None);
    assert_eq!(b.measure(&at(Function::Detector, "Q1:1", "Q1:2")).unwrap().caution, None);
    let proved = b.measure(&Measurement::ProvingUnit).unwrap().shown;
    assert_eq!(proved, Shown::Voltage(Some(Voltage { step: 690, polarity: Polarity::Ac })));
}

fn indicator(bench: &Bench, at: [&str; 3]) -> Turn {
    let what = Measurement::parse("phase sequence", &at.map(String::from)).unwrap();
    match bench.measure(&what).unwrap().shown {
        Shown::Turn(turn) => turn,
        other => unreachable!("{other:?}"),
    }
}

#[test]
fn phase_sequence_tells_order_and_missing_phase() {
    let wires = [("X0:L1", "Q1:1"), ("X0:L2", "Q1:3"), ("X0:L3", "Q1:5")];
    let b = on(bench(vec![cable(), disconnector("Q1")], &wires));
    assert_eq!(indicator(&b, ["Q1:2", "Q1:4", "Q1:6"]), Turn::Clockwise);
    assert_eq!(indicator(&b, ["Q1:4", "Q1:2", "Q1:6"]), Turn::Counterclockwise);
    assert_eq!(indicator(&b, ["Q1:2", "Q1:2", "Q1:6"]), Turn::Missing([true; 3]));
    // The third probe on nothing: its node floats, and the star stands between the other two.
    let open = on(bench(vec![cable(), disconnector("Q1")], &wires[..2]));
    assert_eq!(indicator(&open, ["Q1:2", "Q1:4", "Q1:6"]), Turn::Missing([true, true, false]));
}

fn controller(wires: &[(&str, &str)]) -> Bench {
    fn group<C: Default>(common: &str, channel: &str) -> Group<C> {
        Group { common: common.into(), channels: vec![channel.into()], circuit: C::default() }
    }
    let k1 = Controller {
        inputs: vec![group("C1", "I0"), group("C2", "I1")],
        outputs: vec![group("CQ", "Q0")],
        scan_ms: 10,
        filter_ms: 3,
        start_up_ms: 100,
        watchdog_ms: Controller::WATCHDOG_MS,
        contact_ns: Controller::CONTACT_NS,
    };
    bench(vec![cable(), part("K1", Kind::Controller(k1)), strip("X1", &["1"])], wires)
}

/// 500 V behind 1 kΩ at the moment of contact, on a channel of 4.7 kΩ whose common is earthed: 500 · 4.7 / 5.7 = 412 V.
/// With the common in the air the whole channel is lifted, and nothing stands across it: unsafe, but not destroyed.
#[test]
fn insulation_tester_on_an_input_destroys_it() {
    let mut earthed = controller(&[("K1:I1", "X1:1"), ("K1:C2", "X0:PE")]);
    let what = at(Function::Insulation, "X1:1", "X0:PE");
    let (found, notes) = earthed.take_reading(&what).unwrap();
    assert_eq!(found.danger, Some(Danger::Electronics { part: "K1".into() }));
    assert_eq!(found.harm, [Harm { part: "K1".into(), channel: 1, volts: 412 }]);
    assert_eq!(notes.len(), 1);
    assert_eq!(earthed.controller("K1").unwrap().destroyed, 0b10);
    // What is destroyed is destroyed once.
    assert_eq!(earthed.take_reading(&what).unwrap().1, []);
    let mut lifted = controller(&[("K1:I1", "X1:1")]);
    let (found, _) = lifted.take_reading(&what).unwrap();
    assert_eq!((found.danger, found.harm), (Some(Danger::Electronics { part: "K1".into() }), vec![]));
    let mut away = controller(&[]);
    assert_eq!(away.take_reading(&what).unwrap().0.danger, None);
}

/// The meter's 1 mA and the 4.7 kΩ of a channel; a transformer's secondary of 230 V and 100 VA with 6 %: half of
/// 0.06 · 230² / 100 = 31.74 Ω.
#[test]
fn ohms_of_windings_and_channels() {
    assert_eq!(figure(&controller(&[]), Function::Ohms, "K1:I1", "K1:C2"), "4.700 kΩ");
    let t1 = Transformer {
        names: Default::default(),
        primary_mv: 400_000,
        secondary_mv: 230_000,
        rated_mva: 100_000,
        impedance_permille: 60,
    };
    let b = bench(vec![part("T1", Kind::Transformer(t1))], &[]);
    assert_eq!(figure(&b, Function::Ohms, "T1:2U", "T1:2V"), "15.9 Ω");
}

/// A stalled motor of 4 kW on 400 V draws 50.6 A (models, table of the equivalent circuit): above 40 A the clamp shows
/// tenths. The display must agree with the motor's own current within its resolution.
#[test]
fn clamp_on_a_stalled_motor() {
    let motor = Motor {
        model: MotorModel::Kw4At400V,
        rated_ma: 8_200,
        load_inertia_kgmm2: 0,
        load_friction_mnm: 0,
        machine: crate::part::Machine::default(),
    };
    let wires = [("X0:L1", "M1:U1"), ("X0:L2", "M1:V1"), ("X0:L3", "M1:W1")];
    let mut b = bench(vec![cable(), part("M1", Kind::Motor(motor))], &wires);
    b.act(BenchAct::Jam("M1".into())).unwrap();
    let b = on(b);
    let Shown::Figure(shown) = b.measure(&Measurement::Clamp { conductor: "C1".into() }).unwrap().shown
    else {
        unreachable!()
    };
    assert_eq!(shown.step, 100);
    assert!((49_500..=51_000).contains(&shown.thousandths), "{shown}");
    assert!(b.measure(&Measurement::Clamp { conductor: "C9".into() }).is_err());
}

#[test]
fn words_both_ways() {
    let two = ["QA1:14".to_string(), "X1:1".to_string()];
    for function in Function::ALL {
        let what = Measurement::parse(function.word(), &two).unwrap();
        assert_eq!(Measurement::parse(what.word(), &what.places()), Ok(what));
    }
    for (word, places) in
        [("clamp", &["C05"][..]), ("proving unit", &[]), ("phase sequence", &["Q1:2", "Q1:4", "Q1:6"])]
    {
        let places: Vec<String> = places.iter().map(|p| p.to_string()).collect();
        let what = Measurement::parse(word, &places).unwrap();
        assert_eq!((what.word(), what.places()), (word, places));
    }
    for (word, places) in
        [("clamp", &two[..]), ("ohms", &two[..1]), ("dowsing rod", &two), ("proving unit", &two)]
    {
        assert!(Measurement::parse(word, places).is_err(), "{word}");
    }
    assert!(Measurement::parse("ohms", &["QA1".to_string(), "X1:1".to_string()]).is_err());
}
