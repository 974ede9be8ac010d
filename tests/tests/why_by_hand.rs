//! Why?, by hand on the paddle job. Each chain is worked out from the circuit and the rungs (the scenario's lists of
//! conductors, `reference.st`); times are those of the devices' data.

use sealin_core::why::{End, Flip, Load, Subject, ask, subject, why};
use sealin_core::{Bench, BenchAct, Plan};
use sealin_tests::generate::{paddle, with_reference};

fn reference() -> Plan {
    with_reference(&paddle()).bench().plan().clone()
}

/// A bench on which these acts and waits (ms) were done.
fn after(plan: Plan, lines: &str) -> Bench {
    let mut bench = Bench::new(plan).unwrap();
    for line in lines.split(';').map(str::trim).filter(|l| !l.is_empty()) {
        match line.strip_prefix("wait ") {
            Some(ms) => {
                let to = bench.tick() + ms.parse::<u64>().unwrap();
                bench.run_until(to, &mut |_, _, _| ());
            }
            None => bench.act(BenchAct::parse(line).unwrap()).unwrap(),
        }
    }
    bench
}

fn told(bench: &Bench, signal: &str) -> String {
    why(&bench.design, &bench.state, &subject(&bench.design, signal).unwrap()).unwrap().to_string()
}

fn meter(a: &str, b: &str) -> Subject {
    let [a, b] = [a, b].map(|t| sealin_core::Terminal::parse(t).unwrap());
    Subject::Volts(Load::Meter(a, b))
}

const RAISING: &str = "power on; wait 2000; press SF2; wait 300; release SF2; wait 300";

/// Signal, what was done on the reference, and the chain.
const CASES: [(&str, &str, &str); 19] = [
    ("QA1.coil", "wait 10", "coil QA1 is off: no volts at A1-A2 of QA1: the supply XD0 is off"),
    (
        "KF1.on",
        "power on; wait 2000; open QB1; wait 2000",
        "KF1 does not run: no volts at L+ and L- of KF1: TB1 gives no voltage: no volts at the input of TB1: \
         1-2 of QB1 is open: QB1 is open, by hand or by its release",
    ),
    (
        "QA1.coil",
        "power on; wait 2000",
        "coil QA1 is off: no volts at A1-A2 of QA1: output Q0 of KF1 is open: QX0.0 is 0: \
         QA1_out is 0, rung 4 is blocked at SF2_in = 0: SF2_in is 0: IX0.1 is 0: no volts at input 1 of KF1: \
         13-14 of SF2 is open: SF2 is not pressed",
    ),
    // The timer began at the first scan, some 1,000 ms after the supply came. An old QA1_out of 1 would have done as well,
    // and the memory does not tell it.
    (
        "fresh",
        "power on; wait 1150",
        "fresh is 0, probably rung 3 is blocked at rest.Q = 0: rest.Q is 0: rest is not up: 0.1 s of 0.2 s",
    ),
    // TB1 starts in ticks 0 to 499 and gives 24 V from tick 501 on; with it 199 ticks of KF1's start up to tick 699.
    ("KF1.on", "power on; wait 700", "KF1 does not run: it is starting, 199 of 500 ms"),
    ("TB1.on", "power on; wait 101", "TB1 gives no voltage: it is starting, 101 of 500 ms"),
    (
        "QA1.coil",
        RAISING,
        "coil QA1 is on: 229 V at A1-A2 of QA1: output Q0 of KF1 is closed: QX0.0 is 1: \
         QA1_out is 1, rung 4 passes by QA1_out = 1 before: it holds itself",
    ),
    // The other one is in: what keeps `clear` at 0.
    (
        "clear",
        RAISING,
        "clear is 0, rung 1 is blocked at QA1_in = 1: QA1_in is 1: IX0.4 is 1: 24 V at input 4 of KF1: \
         13-14 of QA1 is closed: QA1 is in: coil QA1 is on: 229 V at A1-A2 of QA1: output Q0 of KF1 is closed: \
         QX0.0 is 1: QA1_out is 1, rung 4 passes by QA1_out = 1 before: it holds itself",
    ),
    (
        "MA1.turning",
        RAISING,
        "MA1 turns: 400 V at the terminals of MA1: 1-2 of QA1 is closed: QA1 is in: coil QA1 is on: \
         229 V at A1-A2 of QA1: output Q0 of KF1 is closed: QX0.0 is 1: \
         QA1_out is 1, rung 4 passes by QA1_out = 1 before: it holds itself",
    ),
    // 95-96 opens in the first of three ticks, and the coil lets go in it.
    (
        "QA1.13-14",
        "power on; wait 2000; press SF2; wait 300; release SF2; wait 300; trip FC1; wait 3",
        "13-14 of QA1 is closed: QA1 is in: it is releasing, 3 of 8 ms",
    ),
    (
        "QA1.coil",
        "power on; wait 2000; press SF2; wait 300; release SF2; wait 300; trip FC1; wait 300",
        "coil QA1 is off: no volts at A1-A2 of QA1: 95-96 of FC1 is open: \
         FC1 has tripped, by its test slide, or it has cooled since",
    ),
    (
        "PF1.lit",
        "power on; wait 2000; trip FC1; wait 300",
        "lamp PF1 is lit: 24 V at X1-X2 of PF1: output Q4 of KF1 is closed: QX0.4 is 1: \
         PF1_out is 1, rung 6 passes by FC1_in = 1: FC1_in is 1: IX0.6 is 1: 24 V at input 6 of KF1: \
         97-98 of FC1 is closed: FC1 has tripped, by its test slide, or it has cooled since",
    ),
    (
        "PF1.lit",
        "power on; wait 2000",
        "lamp PF1 is dark: no volts at X1-X2 of PF1: output Q4 of KF1 is open: QX0.4 is 0: \
         PF1_out is 0, rung 6 is blocked at FC1_in = 0: FC1_in is 0: IX0.6 is 0: no volts at input 6 of KF1: \
         97-98 of FC1 is open: FC1 has not tripped",
    ),
    (
        "clear",
        "power on; wait 2000; press SF1; wait 300",
        "clear is 0, rung 1 is blocked at SF1_in = 0: SF1_in is 0: IX0.0 is 0: no volts at input 0 of KF1: \
         11-12 of SF1 is open: SF1 is pressed",
    ),
    (
        "QA1.coil",
        "power on; wait 2000; open FC4; wait 300; press SF2; wait 60",
        "coil QA1 is off: no volts at A1-A2 of QA1: 1-2 of FC4 is open: FC4 is open, by hand or by its release",
    ),
    (
        "QA1.coil",
        "power on; wait 2000; press FC1.stop; wait 300; press SF2; wait 60",
        "coil QA1 is off: no volts at A1-A2 of QA1: 95-96 of FC1 is open: the stop of FC1 is held",
    ),
    // The hand's contactor is read back, and no one presses: three bits at once keep the rung open.
    (
        "QA1.closed",
        "power on; wait 2000; push QA2; wait 100",
        "QA1 is out: coil QA1 is off: no volts at A1-A2 of QA1: output Q0 of KF1 is open: QX0.0 is 0: \
         QA1_out is 0, rung 4 is blocked at SF2_in = 0 and fresh = 0 and QA2_in = 1: SF2_in is 0: IX0.1 is 0: \
         no volts at input 1 of KF1: 13-14 of SF2 is open: SF2 is not pressed",
    ),
    (
        "QA2.13-14",
        "power on; wait 2000; push QA2; wait 100",
        "13-14 of QA2 is closed: QA2 is in: a hand pushes QA2 in",
    ),
    ("QX0.7", "power on; wait 2000", "QX0.7 is 0: no rung drives it"),
];

#[test]
fn chains_on_the_reference() {
    for (signal, lines, expected) in CASES {
        assert_eq!(told(&after(reference(), lines), signal), expected, "{lines}");
    }
}

/// The common of inputs 4 to 7 (conductor L7, XD5:6 to KF1:CI2) is not there: QA1 is in, and its bit is 0.
#[test]
fn a_missing_common_is_no_return() {
    let mut plan = reference();
    plan.conductors.retain(|c| c.to.to_string() != "KF1:CI2");
    let bench = after(plan, "power on; wait 2000; push QA1; wait 300");
    assert_eq!(
        told(&bench, "IX0.4"),
        "IX0.4 is 0: no volts at input 4 of KF1: no return: nothing joins KF1:CI2 to TB1:-"
    );
}

/// The wire from QA1:14 is not there.
#[test]
fn a_missing_wire_is_no_feed() {
    let mut plan = reference();
    plan.conductors.retain(|c| c.to.to_string() != "KF1:I4");
    let bench = after(plan, "power on; wait 2000; push QA1; wait 300");
    assert_eq!(
        told(&bench, "IX0.4"),
        "IX0.4 is 0: no volts at input 4 of KF1: no feed: nothing joins KF1:I4 to TB1:+"
    );
}

/// A jam: 50.6 A through a dial of 8.2 A trips class 10 after some nine seconds; then it is hot for two minutes.
#[test]
fn tripped_by_heat() {
    let lines = "power on; wait 2000; jam MA1; press SF2; wait 300; release SF2; wait 11000";
    let bench = after(reference(), lines);
    let chain = told(&bench, "FC1.95-96");
    assert!(chain.starts_with("95-96 of FC1 is open: FC1 has tripped, by heat: "), "{chain}");
}

/// FC6 melts on a short circuit of 201: every input of the station is 0 for it.
#[test]
fn a_melted_link() {
    let mut plan = reference();
    let mut short = plan.conductors[0].clone();
    (short.id, short.from, short.to) =
        ("X1".to_string(), sealin_core::Terminal::new("XD2", "1"), sealin_core::Terminal::new("XD5", "7"));
    plan.conductors.push(short);
    let bench = after(plan, "power on; wait 3000");
    assert_eq!(told(&bench, "FC6.1-2"), "1-2 of FC6 is open: link 1 of FC6 has melted",);
}

/// A program without closed loop: the other contactor is in by hand, and RAISE is held.
#[test]
fn the_other_is_in() {
    let mut plan = reference();
    plan.program = Some(
        sealin_ladder::parse(
            "PROGRAM p VAR SF2_in AT %IX0.1 : BOOL; QA2_in AT %IX0.5 : BOOL; QA1_out AT %QX0.0 : BOOL; END_VAR
             QA1_out := SF2_in AND NOT QA2_in; END_PROGRAM",
        )
        .unwrap(),
    );
    let bench = after(plan.clone(), "power on; wait 2000; push QA2; press SF2; wait 300");
    assert_eq!(
        told(&bench, "QA1.coil"),
        "coil QA1 is off: no volts at A1-A2 of QA1: output Q0 of KF1 is open: QX0.0 is 0: \
         QA1_out is 0, rung 1 is blocked at QA2_in = 1: QA2_in is 1: IX0.5 is 1: 24 V at input 5 of KF1: \
         13-14 of QA2 is closed: QA2 is in: a hand pushes QA2 in"
    );
    // Besides the output, the break contact of QA2 stands in the way: both are named.
    let volts = Subject::Volts(sealin_core::why::Load::Coil("QA1".into()));
    let link = sealin_core::why::ask(&bench.design, &bench.state, &volts).unwrap();
    let named: Vec<_> = link.because.iter().map(|f| f.subject.clone()).collect();
    let contact = |tag: &str, pair: &str| Subject::Contact(tag.into(), pair.into());
    assert_eq!(named, [contact("KF1", "Q0-CQ1"), contact("QA2", "21-22")]);
}

/// A counter of presses, and an edge: what is told of the block is its figure, and of a held button that it was pressed
/// before.
#[test]
fn counts_and_edges_of_the_program() {
    let mut plan = reference();
    plan.program = Some(
        sealin_ladder::parse(
            "PROGRAM p VAR SF2_in AT %IX0.1 : BOOL; QA1_out AT %QX0.0 : BOOL; fresh : BOOL; presses : CTU;
             late : TON; edge_1 : R_TRIG; END_VAR
             presses(CU := SF2_in, R := FALSE, PV := 3);
             QA1_out := presses.Q;
             edge_1(CLK := SF2_in);
             fresh := edge_1.Q;
             late(IN := SF2_in, PT := T#2s);
             QA1_out := late.ET >= T#1500ms; END_PROGRAM",
        )
        .unwrap(),
    );
    let bench = after(plan, "power on; wait 2000; press SF2; wait 1000");
    assert_eq!(told(&bench, "presses.Q"), "presses.Q is 0: presses.CV >= 3 does not hold: 1 against 3");
    // The button is seen 3 ms of filter and at most two scans of 5 ms after it was pressed.
    assert_eq!(
        told(&bench, "QA1_out"),
        "QA1_out is 0, rung 5 is blocked at late.ET >= T#1s500ms which does not hold: \
         late.ET >= T#1s500ms does not hold: 0.9 s against 1.5 s"
    );
    assert_eq!(
        told(&bench, "fresh"),
        "fresh is 0, rung 3 is blocked at SF2_in = 1 before: SF2_in is 1: IX0.1 is 1: \
         24 V at input 1 of KF1: 13-14 of SF2 is closed: SF2 is pressed"
    );
}

/// A motor that runs keeps up the voltage of a terminal that loses its line (the third phase of one that runs on two),
/// so that it takes two poles of QA1 to end the 400 V between two terminals: with one line left it draws nothing, and its
/// field fades within some tenths of a second.
#[test]
fn a_running_motor_holds_up_the_line_that_it_loses() {
    let volts = meter("XD1:U", "XD1:V");
    let bench = after(reference(), &format!("{RAISING}; wait 2000"));
    let link = ask(&bench.design, &bench.state, &volts).unwrap();
    assert!(link.value && link.millivolts.is_some_and(|mv| (380_000..410_000).contains(&mv)), "{link:?}");
    let pole = |pair: &str| Flip { subject: Subject::Contact("QA1".into(), pair.into()), value: true };
    assert_eq!(link.because, [pole("1-2"), pole("3-4")]);
}

/// SF1 opens: 60 ms later QA1 is out (scan, relay and armature take less than 40 ms), and the field, with a time constant
/// of 164 ms, is still above half. Ten times that later it is gone, and what is missing is QA1.
#[test]
fn a_field_that_fades() {
    let volts = meter("XD1:U", "XD1:V");
    let bench = after(reference(), &format!("{RAISING}; wait 2000; press SF1; wait 60"));
    assert!(!bench.signal("QA1.closed").unwrap() && bench.signal("MA1.turning").unwrap());
    let link = ask(&bench.design, &bench.state, &volts).unwrap();
    assert_eq!((link.value, &link.end), (true, &Some(End::Field)), "{link:?}");
    assert!(link.to_string().ends_with("from the field of a motor that runs out, which fades"), "{link}");
    let bench = after(reference(), &format!("{RAISING}; wait 2000; press SF1; wait 1700"));
    let link = ask(&bench.design, &bench.state, &volts).unwrap();
    let pole = |pair: &str| Flip { subject: Subject::Contact("QA1".into(), pair.into()), value: false };
    assert!(!link.value && link.because == [pole("1-2"), pole("3-4")], "{link:?}");
}

/// 24 V and 0 V joined by a wrong conductor, behind FC6 which has melted: input 1 has no volts, and it takes SF2, the fuse
/// and the conductor.
#[test]
fn a_wrong_conductor_is_named() {
    let mut plan = reference();
    let mut short = plan.conductors[0].clone();
    (short.id, short.from, short.to) =
        ("X1".to_string(), sealin_core::Terminal::new("XD2", "1"), sealin_core::Terminal::new("XD5", "7"));
    plan.conductors.push(short);
    let bench = after(plan, "power on; wait 3000");
    let volts = Subject::Volts(Load::Channel("KF1".into(), 1));
    let link = ask(&bench.design, &bench.state, &volts).unwrap();
    let mut named: Vec<_> = link.because.iter().map(|f| f.subject.clone()).collect();
    named.sort();
    let contact = |tag: &str, pair: &str| Subject::Contact(tag.into(), pair.into());
    assert_eq!(named, [contact("FC6", "1-2"), contact("SF2", "13-14"), Subject::Conductor("X1".into())]);
}

/// 13-14 of QA2 is stuck closed, and nobody knows. By the drawing nothing gives input 5 its volts: the chain ends at
/// what can be seen, and does not tell where the fault is.
#[test]
fn a_hidden_fault_ends_the_chain_where_the_drawing_does() {
    let drawn = Bench::new(reference()).unwrap();
    for (fault, signal, expected) in [
        (
            "inject QA2 13-14 stuck closed",
            "IX0.5",
            "IX0.5 is 1: input 5 of KF1 is on, and by the drawing it would be otherwise: measure here",
        ),
        (
            "inject conductor S04 open",
            "clear",
            "clear is 0, rung 1 is blocked at SF1_in = 0: SF1_in is 0: IX0.0 is 0: \
             input 0 of KF1 is off, and by the drawing it would be otherwise: measure here",
        ),
    ] {
        let bench = after(reference(), &format!("{fault}; power on; wait 2500"));
        let asked = subject(&drawn.design, signal).unwrap();
        assert_eq!(why(&drawn.design, &bench.state, &asked).unwrap().to_string(), expected);
    }
}
