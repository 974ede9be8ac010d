//! A survey shows what the instruments show one by one, whose figures are held against hand calculations and ngspice elsewhere.

use sealin_core::instruments::{Function, Shown, Spot};
use sealin_core::{Bench, BenchAct, Fault, Measurement};
use sealin_proof::suspects::readings;
use sealin_tests::coach::main_job;

/// Into circuits that are off, live and under load, and behind a motor that runs out.
const WORK: [(&str, u64); 5] =
    [("power on", 3_000), ("press SF2", 600), ("release SF2", 300), ("press SF1", 60), ("power off", 3_000)];

/// The same up to one step of the display: an impedance from the inverse may differ in the last digits.
fn same(a: Shown, b: Shown) -> bool {
    match (a, b) {
        (Shown::Figure(a), Shown::Figure(b)) => (a.thousandths - b.thousandths).abs() <= a.step.max(b.step),
        (a, b) => a == b,
    }
}

#[test]
fn a_survey_shows_what_each_instrument_shows() {
    let plan = main_job();
    let all = Fault::catalogue(&plan.parts, &plan.conductors);
    let (mut compared, mut figures) = (0, 0);
    for fault in all.iter().filter(|fault| !fault.is_intermittent()).step_by(61) {
        let mut with = plan.clone();
        with.faults.insert(fault.clone());
        let mut bench = Bench::new(with).unwrap();
        for (act, ticks) in WORK {
            bench.act(BenchAct::parse(act).unwrap()).unwrap();
            bench.run_until(bench.tick() + ticks, &mut |_, _, _| {});
            let mut what = readings(&plan, act != "power off");
            // The other functions in the same places.
            for (number, function) in
                Function::ALL.into_iter().cycle().zip(0..what.len()).map(|(f, n)| (n, f))
            {
                if let (0, Measurement::Between { function: own, .. }) = (number % 3, &mut what[number]) {
                    *own = function;
                }
            }
            let spots: Vec<Spot> = what.iter().map(|what| bench.design.spot(what).unwrap()).collect();
            for (what, (shown, _)) in what.iter().zip(bench.survey(&spots)) {
                let alone = bench.measure(what).unwrap().shown;
                assert!(same(shown, alone), "{fault}, {act}: {what}: {shown:?}, by itself {alone:?}");
                compared += 1;
                figures += usize::from(matches!(shown, Shown::Figure(figure) if figure.thousandths != 0));
            }
        }
    }
    println!("{compared} readings, {figures} of them figures other than nil");
    assert!(compared > 30_000 && figures > 10_000);
}

/// What the survey of one design has found holds for the same job with any fault: numbers of terminals and conductors stay.
#[test]
fn places_are_the_same_with_any_fault() {
    let plan = main_job();
    let sound = Bench::new(plan.clone()).unwrap();
    let what: Vec<Measurement> = readings(&plan, true);
    let spots: Vec<Spot> = what.iter().map(|what| sound.design.spot(what).unwrap()).collect();
    for fault in Fault::catalogue(&plan.parts, &plan.conductors).into_iter().step_by(7) {
        let mut with = plan.clone();
        with.faults.insert(fault.clone());
        let bench = Bench::new(with).unwrap();
        assert!(what.iter().zip(&spots).all(|(what, spot)| bench.design.spot(what) == Ok(*spot)), "{fault}");
    }
}

/// By hand: an open pole and an open conductor behind it are not the same design, nor are two values; the same two terminals bridged or
/// exchanged are, whichever is named first.
#[test]
fn designs_that_do_the_same() {
    let plan = main_job();
    let design = |line: &str| {
        let mut with = plan.clone();
        with.faults.insert(Fault::parse(line).unwrap());
        Bench::new(with).unwrap().design
    };
    for (a, b, same) in [
        ("QA1 coil open", "QA1 coil open", true),
        ("QA1 coil open", "QA2 coil open", false),
        ("FC4 1-2 stuck open", "conductor C02 open", false),
        ("conductor P22 earthed 1", "conductor P22 earthed 20000", false),
        ("KF1 I0 exchanged I1", "KF1 I1 exchanged I0", true),
        ("XD4 1 bridged 2", "XD4 2 bridged 1", true),
    ] {
        let (a, b) = (design(a), design(b));
        assert_eq!((a.does_as(&b), a.bucket() == b.bucket()), (same, same));
    }
}
