//! A hoist with a brake and limit switches, and a slipway winch, built in Rust and worked by acts.

use sealin_core::act::BenchAct;
use sealin_core::bench::Bench;
use sealin_core::fault::Fault;
use sealin_core::part::*;
use sealin_core::plan::{Conductor, Insulation, Plan, Terminal};
use sealin_core::step::{Guard, Note, Overheating};

fn part(tag: &str, kind: Kind) -> Part {
    Part { tag: tag.into(), function: String::new(), place: Place::Field, kind }
}

fn contactor(other: &str) -> Kind {
    Kind::Contactor(Contactor {
        coil: Coil::ac(400_000, 70_000, 7_500),
        mirror: true,
        interlocked_with: Some(other.into()),
        ..Contactor::default()
    })
}

fn button() -> Kind {
    Kind::Control(Control::button(Form::Make, Colour::White))
}

fn limit(from_um: u32, to_um: u32, positive_opening: bool) -> Kind {
    let contacts = vec![Form::Break, Form::Make];
    Kind::PositionSwitch(PositionSwitch { motor: "MA1".into(), from_um, to_um, contacts, positive_opening })
}

/// Direct-on-line reversing starter with coils for 400 V: SF1 and BG1 in front of QA1 (up), SF2 and BG2 of QA2 (down).
fn starter(machine: Machine, friction_mnm: u32) -> Plan {
    let supply = Supply {
        line_voltage_mv: 400_000,
        frequency_mhz: 50_000,
        fault_current_ma: 6_000_000,
        reversed: false,
    };
    let fuses =
        Switchgear { poles: 3, protection: Protection::FuseGg { rated_ma: 32_000 }, auxiliaries: Vec::new() };
    let motor = Motor {
        model: MotorModel::Kw4At400V,
        rated_ma: 8_200,
        load_inertia_kgmm2: 20_000,
        load_friction_mnm: friction_mnm,
        machine,
    };
    let parts = vec![
        part("XD0", Kind::Supply(supply)),
        part("FC2", Kind::Switchgear(fuses)),
        part("QA1", contactor("QA2")),
        part("QA2", contactor("QA1")),
        part("SF1", button()),
        part("SF2", button()),
        part("BG1", limit(2_900_000, 3_000_000, true)),
        part("BG2", limit(0, 100_000, false)),
        part("MA1", Kind::Motor(motor)),
    ];
    let mut plan = Plan { parts, ..Plan::default() };
    for (from, to) in [
        ("XD0:L1", "FC2:1"),
        ("XD0:L2", "FC2:3"),
        ("XD0:L3", "FC2:5"),
        ("FC2:2", "QA1:1"),
        ("FC2:4", "QA1:3"),
        ("FC2:6", "QA1:5"),
        ("QA1:1", "QA2:1"),
        ("QA1:3", "QA2:3"),
        ("QA1:5", "QA2:5"),
        ("QA1:2", "MA1:U1"),
        ("QA1:4", "MA1:V1"),
        ("QA1:6", "MA1:W1"),
        ("QA2:2", "MA1:W1"),
        ("QA2:4", "MA1:V1"),
        ("QA2:6", "MA1:U1"),
        ("XD0:PE", "MA1:PE"),
        ("FC2:2", "SF1:13"),
        ("SF1:14", "BG1:11"),
        ("BG1:12", "QA1:A1"),
        ("QA1:A2", "FC2:4"),
        ("FC2:2", "SF2:13"),
        ("SF2:14", "BG2:11"),
        ("BG2:12", "QA2:A1"),
        ("QA2:A2", "FC2:4"),
    ] {
        wire(&mut plan, from, to);
    }
    plan
}

fn wire(plan: &mut Plan, from: &str, to: &str) {
    plan.conductors.push(Conductor {
        id: format!("C{:02}", plan.conductors.len()),
        from: Terminal::parse(from).unwrap(),
        to: Terminal::parse(to).unwrap(),
        section_mm2_x100: 250,
        colour: Insulation::Black,
        number: String::new(),
    });
}

/// 1000 kg on a rope of 10 mm a turn, 3 m between the stops, from 0.5 m: 15.6 N·m at the shaft.
fn hoist_alone() -> Plan {
    let travel = Travel {
        um_per_turn: 10_000,
        clockwise_lowers: false,
        start_um: 500_000,
        least_um: Some(0),
        most_um: Some(3_000_000),
    };
    starter(Machine { load_fan_mnm: 0, mass_kg: 1_000, rise_permille: 1_000, travel: Some(travel) }, 1_000)
}

/// The same with a brake of 80 N·m whose coil hangs on the motor's own lines.
fn hoist() -> Plan {
    let mut plan = hoist_alone();
    let brake = Brake {
        motor: "MA1".into(),
        coil_mv: 400_000,
        dc: false,
        power_mw: 50_000,
        torque_mnm: 80_000,
        release_ms: 60,
        apply_ms: 40,
    };
    plan.parts.push(part("MB1", Kind::Brake(brake)));
    wire(&mut plan, "MA1:U1", "MB1:BA1");
    wire(&mut plan, "MA1:V1", "MB1:BA2");
    plan
}

/// A boat of 8 t on a slipway that rises 80 mm in a metre, hauled by 5 mm a turn: 5.0 N·m, held by 8 N·m of friction.
fn slipway() -> Plan {
    let travel = Travel {
        um_per_turn: 5_000,
        clockwise_lowers: false,
        start_um: 500_000,
        least_um: Some(0),
        most_um: Some(3_000_000),
    };
    starter(Machine { load_fan_mnm: 0, mass_kg: 8_000, rise_permille: 80, travel: Some(travel) }, 8_000)
}

struct Run {
    bench: Bench,
    notes: Vec<Note>,
}

impl Run {
    fn new(plan: Plan) -> Run {
        let mut run = Run { bench: Bench::new(plan).unwrap(), notes: Vec::new() };
        run.act("power on");
        run.ms(100);
        run
    }

    fn act(&mut self, line: &str) {
        self.bench.act(BenchAct::parse(line).unwrap()).unwrap();
    }

    fn ms(&mut self, ticks: u64) {
        let notes = &mut self.notes;
        let target = self.bench.tick() + ticks;
        self.bench.run_until(target, &mut |_, _, events| notes.extend(events.notes));
    }

    fn is(&self, signal: &str) -> bool {
        self.bench.signal(signal).unwrap()
    }

    /// Position, mm.
    fn mm(&self) -> f64 {
        self.bench.motor("MA1").unwrap().position_um.unwrap() as f64 / 1000.0
    }

    /// The chain of causes of a signal, in words.
    fn why(&self, signal: &str) -> String {
        let subject = sealin_core::why::subject(&self.bench.design, signal).unwrap();
        sealin_core::why::why(&self.bench.design, &self.bench.state, &subject).unwrap().to_string()
    }

    fn rpm(&self) -> f64 {
        self.bench.motor("MA1").unwrap().rpm
    }

    fn amperes(&self) -> f64 {
        self.bench.motor("MA1").unwrap().amperes[0]
    }

    fn volts(&self, a: &str, b: &str) -> f64 {
        self.bench.volts_ac(&Terminal::parse(a).unwrap(), &Terminal::parse(b).unwrap()).unwrap()
    }
}

/// The break contact 11-12 of the upper limit takes QA1 out, the brake holds, and the other way is still free. By hand:
/// 15.6 + 1.3 N·m need a slip of some 2.3 %, 1465 min⁻¹, 0.244 m/s: 2.4 m in 9.8 s. Stopping takes the 8 ms of QA1 and
/// the 40 ms of the brake at that speed, 12 mm, and 97 N·m stop 0.035 kg·m² from 153 rad/s in 55 ms, another 7 mm.
#[test]
fn the_upper_limit_stops_the_hoist() {
    let mut run = Run::new(hoist());
    run.act("press SF1");
    run.ms(5_000);
    assert!(run.is("MA1.clockwise") && run.is("MB1.released") && !run.is("BG1.actuated"));
    assert!((run.rpm() - 1465.0).abs() < 8.0, "{}", run.rpm());
    let mut ticks = 5_000;
    while !run.is("BG1.actuated") {
        run.ms(1);
        ticks += 1;
        assert!(ticks < 12_000);
    }
    assert!((9_600..10_100).contains(&ticks), "{ticks}");
    run.ms(1_000);
    assert!(!run.is("QA1.closed") && !run.is("MA1.turning") && !run.is("BG1.11-12") && run.is("BG1.23-24"));
    assert!((run.mm() - 2_919.0).abs() < 3.0, "{}", run.mm());
    let why = run.why("QA1.coil");
    assert!(why.ends_with("11-12 of BG1 is open: BG1 is actuated, where the machine stands"), "{why}");
    run.act("release SF1");
    run.act("press SF2");
    run.ms(2_000);
    assert!(run.is("MA1.counterclockwise") && !run.is("BG1.actuated") && run.mm() < 2_600.0, "{}", run.mm());
}

/// The supply fails while the load hangs: the spring holds it, and it stays where it is.
#[test]
fn the_brake_holds_when_the_supply_fails() {
    let mut run = Run::new(hoist());
    run.act("press SF1");
    run.ms(3_000);
    run.act("power off");
    run.ms(500);
    let held = run.mm();
    run.ms(60_000);
    assert!(!run.is("MB1.released") && !run.is("MA1.turning") && run.mm() == held);
}

/// Without a brake nothing holds the load when the motor is off: it falls to the lower stop. By hand: 15.6 − 1.3 N·m on
/// 0.035 kg·m² give 0.65 m/s²: 0.5 m in 1.24 s.
#[test]
fn without_a_brake_the_hoist_falls() {
    let mut run = Run { bench: Bench::new(hoist_alone()).unwrap(), notes: Vec::new() };
    run.ms(1_100);
    assert!(run.mm() > 50.0 && run.is("MA1.counterclockwise"), "{}", run.mm());
    run.ms(300);
    assert_eq!(run.mm(), 0.0);
    assert!(!run.is("MA1.turning") && run.is("BG2.actuated"));
}

/// A broken brake coil: the motor starts against the closed brake and stands with the current of a locked rotor, 50.6 A
/// at 400 V, until a winding burns out: 250 °C after 27.5 s from cold. What fails is a path to the frame: with the
/// earth there, the fuses clear it.
#[test]
fn a_motor_against_its_brake_burns_out() {
    let mut plan = hoist();
    plan.faults.insert(Fault::parse("MB1 coil open").unwrap());
    let mut run = Run::new(plan.clone());
    run.act("press SF1");
    run.ms(1_000);
    assert!(!run.is("MA1.turning") && (run.amperes() / 50.6 - 1.0).abs() < 0.02, "{}", run.amperes());
    assert_eq!(run.why("MA1.turning"), "MA1 stands: brake MB1 holds, by a fault");
    run.ms(25_000);
    assert!(run.is("MA1.hot") && !run.is("MA1.burnt"));
    assert!(matches!(&run.notes[..], [Note::WindingHot { part }] if part == "MA1"), "{:?}", run.notes);
    run.ms(5_000);
    assert!(run.is("MA1.burnt"), "{:?} {:?} {}", run.notes, run.bench.motor("MA1"), run.amperes());
    let burnt = run.notes.iter().find_map(|n| match n {
        Note::BurntOut(burnt) => Some(burnt),
        _ => None,
    });
    let burnt = burnt.unwrap();
    assert_eq!((burnt.how, &burnt.guard), (Overheating::Locked, &Guard::None));
    assert!((26..=29).contains(&burnt.seconds) && burnt.to_string().contains("stood still"), "{burnt}");
    assert!(
        run.notes.iter().any(|n| matches!(n, Note::Opened { part, .. } if part == "FC2")),
        "{:?}",
        run.notes
    );

    // Without the earth nothing clears it: the frame stands at the voltage of the phase.
    plan.conductors.retain(|c| c.to != Terminal::new("MA1", "PE"));
    let mut run = Run::new(plan);
    run.act("press SF1");
    run.ms(31_000);
    assert!(run.is("MA1.burnt") && run.is("FC2.closed"));
    // A failed insulation is no contact that anybody could open.
    assert!(run.why("QA1.coil").starts_with("coil QA1 is on"), "{}", run.why("QA1.coil"));
    assert!(run.volts("MA1:PE", "XD0:PE") > 200.0, "{}", run.volts("MA1:PE", "XD0:PE"));
}

/// A limit switch that does not open lets the hoist run into the upper stop, where it jams in that sense only.
#[test]
fn an_end_stop_jams_one_sense() {
    let mut plan = hoist();
    // Sticking closed is no fault of a contact that opens positively; one that does not can have it.
    let stuck = Fault::parse("BG1 11-12 stuck closed").unwrap();
    plan.faults.insert(stuck.clone());
    assert!(Bench::new(plan.clone()).unwrap_err().to_string().contains("positively"));
    let bg1 = plan.parts.iter_mut().find(|p| p.tag == "BG1").unwrap();
    bg1.kind = limit(2_900_000, 3_000_000, false);
    assert!(Fault::of_part(bg1).contains(&stuck));
    let mut run = Run::new(plan);
    run.act("press SF1");
    run.ms(12_000);
    assert_eq!(run.mm(), 3_000.0);
    assert!(run.is("QA1.closed") && !run.is("MA1.turning") && run.amperes() > 49.0, "{}", run.amperes());
    assert_eq!(run.why("MA1.turning"), "MA1 stands: its machine is at an end stop");
    run.act("release SF1");
    run.ms(200);
    run.act("press SF2");
    run.ms(1_000);
    assert!(run.is("MA1.counterclockwise") && run.mm() < 2_900.0, "{}", run.mm());
}

/// The slipway holds by its friction when the motor is off; the boat stays where the winch has left it.
#[test]
fn the_slipway_holds_by_friction() {
    let mut run = Run::new(slipway());
    run.ms(10_000);
    assert_eq!(run.mm(), 500.0);
    run.act("press SF1");
    run.ms(5_000);
    run.act("release SF1");
    run.ms(1_000);
    let stopped = run.mm();
    assert!(stopped > 1_000.0 && !run.is("MA1.turning"), "{stopped}");
    run.ms(10_000);
    assert_eq!(run.mm(), stopped);
}

/// The lines open at full speed: the terminals of the turning motor show a voltage that fades with T0 = 0.164 s. The
/// flywheel keeps the speed meanwhile: 0.35 N·m on 5 kg·m² take 0.1 rad/s from 157 in that time.
#[test]
fn a_turning_motor_shows_a_voltage_that_fades() {
    let mut plan = slipway();
    let Kind::Motor(motor) = &mut plan.parts.iter_mut().find(|p| p.tag == "MA1").unwrap().kind else {
        panic!()
    };
    // A flywheel of 5 kg·m² keeps the speed.
    motor.load_inertia_kgmm2 = 5_000_000;
    motor.load_friction_mnm = 100;
    motor.machine = Machine::default();
    plan.parts.retain(|p| !p.tag.starts_with("BG"));
    plan.conductors.retain(|c| !c.from.part.starts_with("BG") && !c.to.part.starts_with("BG"));
    let mut run = Run::new(plan);
    run.act("push QA1");
    run.ms(30_000);
    let running = run.volts("MA1:U1", "MA1:V1");
    assert!((running - 399.0).abs() < 2.0 && run.rpm() > 1_480.0, "{running} {}", run.rpm());
    run.act("release QA1");
    let first = loop {
        run.ms(1);
        let volts = run.volts("MA1:U1", "MA1:V1");
        if volts < 0.99 * running {
            break volts;
        }
        assert!(run.bench.tick() < 31_000);
    };
    // The air gap's voltage at no load: 400 V less the drop of 4 A over X1.
    assert!((350.0..395.0).contains(&first), "{first}");
    run.ms(164);
    let after = run.volts("MA1:U1", "MA1:V1") / first;
    assert!((after - 0.368).abs() < 0.03, "{after}");
    run.ms(1_500);
    assert_eq!(run.volts("MA1:U1", "MA1:V1"), 0.0);
    assert!(run.rpm() > 1_400.0);
}

/// Passing over quiet ticks, emptying the cache and building anew change no bit, and running at steady speed is quiet.
#[test]
fn quiet_ticks_change_nothing() {
    for plan in [hoist(), slipway()] {
        let script =
            ["press SF1", "release SF1", "press SF2", "jam MA1", "free MA1", "release SF2", "power off"];
        let mut ends = Vec::new();
        for (skip, fresh) in [(true, false), (false, false), (true, true)] {
            let mut run = Run::new(plan.clone());
            run.bench.set_skip(skip);
            let (mut changes, mut computed) = (Vec::new(), 0u64);
            for line in script {
                run.act(line);
                let target = run.bench.tick() + 4_321;
                if fresh {
                    run.bench.empty_cache();
                }
                run.bench.run_until(target, &mut |_, tick, events| {
                    computed += 1;
                    changes.extend(events.changed.into_iter().map(|c| (tick, c)));
                });
            }
            if skip {
                assert!(computed < 10_000, "{computed} of 30247 ticks were computed");
            } else {
                assert_eq!(computed, 7 * 4_321);
            }
            ends.push((run.bench.state.clone(), changes));
        }
        assert_eq!(ends[0], ends[1]);
        assert_eq!(ends[0], ends[2]);
    }
}
