//! Why?, by hand on the paddle job.

use sealin_core::why::{self, Subject};
use sealin_core::{Bench, BenchAct};
use sealin_tests::generate::{paddle, with_reference};

fn bench() -> Bench {
    with_reference(&paddle()).bench().clone()
}

fn play(bench: &mut Bench, lines: &str) {
    for line in lines.split(';').map(str::trim).filter(|l| !l.is_empty()) {
        match line.strip_prefix("wait ") {
            Some(ms) => {
                let to = bench.tick() + ms.parse::<u64>().unwrap();
                bench.run_until(to, &mut |_, _, _| ());
            }
            None => bench.act(BenchAct::parse(line).unwrap()).unwrap(),
        }
    }
}

#[test]
fn look() {
    for (lines, signals) in [
        ("wait 10", "QA1.coil PF1.lit KF1.on IX0.4"),
        ("power on; wait 2000", "QA1.coil PF1.lit IX0.4 IX0.0 MA1.turning QX0.0 TB1.on KF1.on fresh"),
        ("power on; wait 2000; press SF2; wait 300; release SF2; wait 300", "QA1.coil QA1.closed QA2.coil MA1.turning IX0.4 IX0.5 QX0.1 PF1.lit"),
        ("power on; wait 2000; press SF2; wait 300; release SF2; wait 300; trip FC1; wait 3", "QA1.coil QA1.closed QA1.13-14"),
        ("power on; wait 2000; press SF2; wait 300; release SF2; wait 300; trip FC1; wait 300", "QA1.coil PF1.lit QX0.0 FC1.95-96"),
        ("power on; wait 2000; press SF1; wait 300; press SF2; wait 300", "QA1.coil QX0.0 IX0.0"),
        ("power on; wait 2000; open FC4; wait 300; press SF2; wait 40", "QA1.coil MA1.turning"),
        ("power on; wait 2000; open FC4; wait 300; press SF2; wait 400", "QA1.coil"),
        ("power on; wait 1200", "fresh rest.Q QA1.coil"),
        ("power on; wait 2000; press SF3; wait 300; press SF2; wait 100", "QA1.coil"),
    ] {
        let mut b = bench();
        play(&mut b, lines);
        println!("== {lines}");
        for s in signals.split(' ') {
            let subject = why::subject(&b.design, s).unwrap();
            println!("{s}: {}", why::why(&b.design, &b.state, &subject).unwrap());
        }
        let l = why::ask(&b.design, &b.state, &Subject::Volts(why::Load::Motor("MA1".into()))).unwrap();
        println!("   {l:?}");
    }
}
