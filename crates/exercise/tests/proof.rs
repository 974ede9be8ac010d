//! What exploration finds about the paddle gear.

use sealin_core::fault::Mode;
use sealin_core::part::{Colour, Control, Form, Kind};
use sealin_core::step::Harm;
use sealin_core::{Fault, Plan, Terminal};
use sealin_exercise::fault_table::FaultTable;
use sealin_exercise::project::Project;
use sealin_exercise::proving::Task;
use sealin_exercise::scenario::Scenario;
use sealin_exercise::shipped;
use sealin_proof::explore::{Answer, Broken, DEFAULT_MAX_STATES, Explorer, Question, Replay, Report, ask};
use sealin_proof::expr::{Verdict, parse_requirement};

const PADDLE: &str = "paddle-closed-loop";

/// The report on one formula, and what the whole bench makes of its counterexample.
fn asked(project: &Project, scenario: &Scenario, free: &[&str], formula: &str) -> (Report, Option<Replay>) {
    asked_of(&project.plan_of_sheet(scenario).unwrap(), None, free, Some(formula))
}

/// The same of a plan, where this fault may strike; without a formula: whether anything is damaged.
fn asked_of(
    plan: &Plan,
    fault: Option<&str>,
    free: &[&str],
    formula: Option<&str>,
) -> (Report, Option<Replay>) {
    let free: Vec<String> = free.iter().map(|name| name.to_string()).collect();
    let required: Vec<Verdict> = formula.iter().map(|f| parse_requirement(f).unwrap()).collect();
    let fault = fault.map(|line| Fault::parse(line).unwrap());
    let question = Question { fault: fault.as_ref(), ..Question::new(plan, &required, &free) };
    ask(&question, &mut |_| true)
}

/// The acts of a counterexample that the whole bench plays again.
fn acts_of((report, played): &(Report, Option<Replay>)) -> Vec<String> {
    let Answer::Broken(path) = &report.answer else { panic!("{report:?}") };
    assert_eq!(*played, Some(Replay::Reproduced), "{path}");
    path.acts.iter().map(|(_, act)| act.to_string()).collect()
}

/// A design of `tests/cases/designs/paddle-closed-loop` with its own program, on the reference's wiring.
fn design(scenario: &Scenario, name: &str) -> Plan {
    let path = format!("{}/../../tests/cases/designs/{PADDLE}/{name}.toml", env!("CARGO_MANIFEST_DIR"));
    let case: toml::Table = toml::from_str(&std::fs::read_to_string(path).unwrap()).unwrap();
    planned(scenario, case["program"].as_str().unwrap())
}

/// A program on the reference's wiring.
fn planned(scenario: &Scenario, program: &str) -> Plan {
    let mut project = reference(scenario);
    project.source = program.to_string();
    project.plan_of_sheet(scenario).unwrap()
}

/// A program with these rungs.
fn rungs(rungs: &str) -> String {
    format!(
        "PROGRAM paddle\nVAR\n    SF1_in AT %IX0.0 : BOOL;\n    SF2_in AT %IX0.1 : BOOL;\n    SF3_in AT %IX0.2 : BOOL;\n    \
         QA1_in AT %IX0.4 : BOOL;\n    QA2_in AT %IX0.5 : BOOL;\n    QA1_out AT %QX0.0 : BOOL;\n    \
         QA2_out AT %QX0.1 : BOOL;\nEND_VAR\n{rungs}\nEND_PROGRAM\n"
    )
}

fn scenario() -> Scenario {
    Scenario::parse(shipped::get(PADDLE).unwrap()).unwrap()
}

fn reference(scenario: &Scenario) -> Project {
    shipped::reference(PADDLE).unwrap().work(scenario).unwrap()
}

/// What the exercise is about: power on, a press, let go, a trip and its reset, and QA1 is in again. Five acts by hand, and no
/// fewer can do, since each of the five must happen.
#[test]
fn the_open_loop_restarts_when_the_overload_is_reset() {
    let scenario = scenario();
    let formula =
        "never (rose(QA1.closed) and prev(held(not QA1.closed, 20ms)) and not once(SF2.pressed, 50ms))";
    let (report, played) = asked(&Project::given(&scenario), &scenario, &["SF2", "FC1"], formula);
    let Answer::Broken(path) = &report.answer else { panic!("{report:?}") };
    let acts: Vec<String> = path.acts.iter().map(|(_, act)| act.to_string()).collect();
    assert_eq!(acts, ["power on", "press SF2", "release SF2", "trip FC1", "reset FC1"]);
    assert_eq!(played, Some(Replay::Reproduced));
}

/// The reference never has both bits, whatever is pressed when: rungs 3 to 5 by hand. The buttons reach an input each and
/// nothing else, so that a scan sees all there is to see of them.
#[test]
fn the_reference_never_commands_both_directions() {
    let scenario = scenario();
    let project = reference(&scenario);
    let (report, _) = asked(&project, &scenario, &["SF1", "SF2", "SF3"], "never (QX0.0 and QX0.1)");
    assert_eq!(report.answer, Answer::Proven);
    assert_eq!(report.merged, ["SF1", "SF2", "SF3"]);
}

/// A breaker may open: an open pole has voltage across it, and is no short circuit for that.
#[test]
fn a_breaker_can_be_opened() {
    let scenario = scenario();
    for (tag, act) in [("FC4", "open FC4"), ("FC3", "open FC3"), ("QB1", "open QB1")] {
        let formula = format!("never not {tag}.closed");
        assert_eq!(acts_of(&asked(&reference(&scenario), &scenario, &[tag], &formula)), ["power on", act]);
    }
}

/// Nothing starts but by a press: of raise.
const RESTART: &str =
    "never (rose(QA1.closed) and prev(held(not QA1.closed, 20ms)) and not once(SF2.pressed, 50ms))";

/// A button beside the plant takes every step that it takes within it: the same states and the same answer, where nothing is merged
/// since the formula names it; with a fault in its circuit too, and with faults one after another as with each by itself.
#[test]
fn a_button_apart_does_what_it_does_in_the_plant() {
    let scenario = scenario();
    let plan = reference(&scenario).plan_of_sheet(&scenario).unwrap();
    let (required, free) = ([parse_requirement(RESTART).unwrap()], ["SF2".to_string()]);
    let question = Question::new(&plan, &required, &free);
    let (mut apart, mut within) = (Explorer::new(&question), Explorer::all_in_the_plant(&question));
    let faults = ["conductor S05 open", "SF2 13-14 stuck closed", "QA1 13-14 dirty 20000", "SF2 stuck in"];
    let faults = faults.map(|line| Some(Fault::parse(line).unwrap()));
    for fault in [None].iter().chain(&faults) {
        let (one, other) =
            (apart.explore(fault.as_ref(), &mut |_| true), within.explore(fault.as_ref(), &mut |_| true));
        assert_eq!(one.states, other.states, "{fault:?}");
        assert!(one.steps * 2 < other.steps, "{fault:?}: {} and {}", one.steps, other.steps);
        match (&one.answer, &other.answer) {
            (Answer::Broken(one), Answer::Broken(other)) => {
                assert_eq!((one.actions(), one.tick()), (other.actions(), other.tick()), "{fault:?}");
            }
            (one, other) => assert_eq!(one, other, "{fault:?}"),
        }
        let alone = Explorer::new(&question).explore(fault.as_ref(), &mut |_| true);
        assert_eq!((alone.states, alone.answer), (one.states, one.answer), "{fault:?}");
    }
}

/// A fault that puts 400 V to an input destroys it, and the way ends there; it must not have done so for any other fault, nor for any
/// other way: what was asked before changes no answer. Once the explorer's own state kept the damage, and all that came after it was
/// taken for harm.
#[test]
fn what_one_fault_destroys_is_whole_for_the_next() {
    let scenario = scenario();
    let plan = reference(&scenario).plan_of_sheet(&scenario).unwrap();
    let (required, free) = ([parse_requirement(RESTART).unwrap()], ["SF2".to_string()]);
    let question = Question::new(&plan, &required, &free);
    let faults =
        ["conductor L6 FC1:98 on FC1:1", "conductor P04 FC2:1 on FC2:2", "conductor L6 FC1:98 on FC1:1"];
    let mut explorer = Explorer::new(&question);
    for fault in faults.map(|line| Fault::parse(line).unwrap()) {
        let here = explorer.explore(Some(&fault), &mut |_| true);
        let alone = Explorer::new(&question).explore(Some(&fault), &mut |_| true);
        assert_eq!(
            (here.states, here.plants, here.answer),
            (alone.states, alone.plants, alone.answer),
            "{fault}"
        );
    }
}

/// A phase that is missing makes voltages depend on the motor's current, which is outside. What was on its way then is no state of
/// the next fault.
#[test]
fn a_fault_that_is_outside_leaves_nothing_to_the_next() {
    let scenario = scenario();
    let plan = reference(&scenario).plan_of_sheet(&scenario).unwrap();
    let (required, free) = ([parse_requirement(RESTART).unwrap()], ["SF2".to_string()]);
    let question = Question::new(&plan, &required, &free);
    let [outside, next] =
        ["conductor P01 open", "conductor S05 open"].map(|line| Fault::parse(line).unwrap());
    let mut one_after_another = Explorer::new(&question);
    let first = one_after_another.explore(Some(&outside), &mut |_| true);
    assert!(matches!(first.answer, Answer::NotProvable(_)), "{first:?}");
    let second = one_after_another.explore(Some(&next), &mut |_| true);
    let alone = Explorer::new(&question).explore(Some(&next), &mut |_| true);
    assert_eq!((second.states, second.answer), (alone.states, alone.answer));
}

/// Set, every formula of every requirement is proven, for both directions; it takes minutes.
const LONG: &str = "SEALIN_PROVE_ALL";

/// The reference keeps every requirement. In the usual run: the first formula of each, where that is quick.
#[test]
fn the_reference_keeps_every_requirement() {
    let scenario = scenario();
    let plan = reference(&scenario).plan_of_sheet(&scenario).unwrap();
    let long = std::env::var_os(LONG).is_some();
    let slow = ["R8", "R11"];
    for r in scenario.requirements.iter().filter(|r| long || !slow.contains(&r.id.as_str())) {
        assert!(!r.formulas.is_empty(), "{}", r.id);
        for formula in r.formulas.iter().take(if long { usize::MAX } else { 1 }) {
            let required = [formula.verdict.clone()];
            let question = Question::new(&plan, &required, &r.proof.free);
            let mut explorer = Explorer::new(&question);
            let faults = r.proof.faults.iter().map(Some);
            for fault in std::iter::once(None).chain(faults) {
                let (report, played) = explorer.ask(fault, &mut |_| true);
                assert_eq!(report.answer, Answer::Proven, "{} {} {fault:?} {played:?}", r.id, formula.source);
            }
        }
    }
}

/// By hand, the textbook rung, whose answer alone holds: a scan that sees the stop puts the output out, but QA1 is still in, since
/// it takes 4 ms and more to drop out, and so is its answer behind the filter when the next scan sees the stop let go: the output is on
/// again, and the stop is forgotten. A press to run and a press to stop, each let go: with power on five acts.
#[test]
fn a_stop_shorter_than_the_drop_out_is_forgotten_by_the_textbook_rung() {
    let plan = design(&scenario(), "feedback-alone");
    let formula = "never (rose(QX0.0) and prev(once(IX0.4 and not IX0.0, 100ms) and not IX0.1))";
    let mut acts = acts_of(&asked_of(&plan, None, &["SF1", "SF2"], Some(formula)));
    acts.sort();
    assert_eq!(acts, ["power on", "press SF1", "press SF2", "release SF1", "release SF2"]);
}

/// By hand: with the other's answer as the only interlock both buttons in one scan turn on both coils, since no answer is there yet,
/// and the poles make a short circuit. With 21-22 in the coils' circuits, whichever armature opens its break contact takes the other's coil
/// before its own poles close. The mechanical interlock is left out in both.
#[test]
fn the_answer_alone_is_no_interlock() {
    let answers = rungs(
        "QA1_out := (SF2_in OR QA1_out AND QA1_in) AND SF1_in AND NOT QA2_in;\n\
         QA2_out := (SF3_in OR QA2_out AND QA2_in) AND SF1_in AND NOT QA1_in;",
    );
    let mut with = planned(&scenario(), &answers);
    for part in &mut with.parts {
        if let Kind::Contactor(contactor) = &mut part.kind {
            contactor.interlocked_with = None;
        }
    }
    let mut without = with.clone();
    without.conductors.retain(|c| c.id != "C06" && c.id != "C08");
    for (id, output) in [("C07", "KF1:Q0"), ("C09", "KF1:Q1")] {
        let conductor = without.conductors.iter_mut().find(|c| c.id == id).unwrap();
        conductor.from = Terminal::parse(output).unwrap();
    }
    let buttons = ["SF1", "SF2", "SF3"];
    let found = asked_of(&without, None, &buttons, None);
    assert_eq!(acts_of(&found), ["power on", "press SF2", "press SF3"]);
    let Answer::Broken(path) = &found.0.answer else { panic!("{:?}", found.0) };
    assert!(matches!(path.broken, Broken::Harm(Harm::Short(_), _)), "{:?}", path.broken);
    assert_eq!(asked_of(&with, None, &buttons, None).0.answer, Answer::Proven);
}

/// By hand: where 97-98 is the only thing read, what opens the coil circuit without a trip leaves the bit on: the red stop actuator, and
/// the fuse of the control circuit. Run, let go, open, close: with power on five acts.
#[test]
fn reading_the_trip_contact_alone_is_no_cure() {
    let plan = design(&scenario(), "trip-contact-only");
    for (free, open, close) in
        [("FC1.stop", "press FC1.stop", "release FC1.stop"), ("FC4", "open FC4", "close FC4")]
    {
        let acts = acts_of(&asked_of(&plan, None, &["SF2", free], Some(RESTART)));
        assert_eq!(acts, ["power on", "press SF2", "release SF2", open, close]);
    }
}

/// By hand: a stop button that makes tells nothing of a broken wire. Pressed, it does not stop then; one that breaks has stopped by
/// itself. In the fault table: S01 feeds the button and S04 is its way to the input, each is all of the stop circuit; S02, the way of
/// raise, has no part in it. One that is open now and then is open while stop is pressed at times. Each broken wire is noticed in the normal use of R2, which presses stop while the motor runs: the one
/// that makes does not stop it, the one that breaks lets nothing start.
#[test]
fn the_fault_table_shows_a_stop_that_makes_unsafe_under_a_broken_wire() {
    let scenario = scenario();
    let stops = "never (QX0.0 and held(SF1.pressed, 20ms))";
    let breaks = planned(&scenario, shipped::reference(PADDLE).unwrap().program);
    let mut makes = planned(&scenario, &rungs("QA1_out := (SF2_in OR QA1_out AND QA1_in) AND NOT SF1_in;"));
    let button = makes.parts.iter_mut().find(|part| part.tag == "SF1").unwrap();
    button.kind = Kind::Control(Control::button(Form::Make, Colour::Black));
    for end in makes.conductors.iter_mut().flat_map(|c| [&mut c.from, &mut c.to]) {
        if end.part == "SF1" {
            end.name = if end.name == "11" { "13" } else { "14" }.to_string();
        }
    }
    let task = Task {
        id: "R2".to_string(),
        part: 0,
        text: String::new(),
        required: vec![parse_requirement(stops).unwrap()],
        assumed: Vec::new(),
        free: vec!["SF1".to_string(), "SF2".to_string()],
        faults: Vec::new(),
        max_states: DEFAULT_MAX_STATES,
    };
    let stop = ["conductor S01 open", "conductor S04 open"];
    let unsafe_ones: Vec<String> =
        ["", " intermittent"].iter().flat_map(|how| stop.map(|line| format!("{line}{how}"))).collect();
    for (plan, safe) in [(&breaks, true), (&makes, false)] {
        assert_eq!(asked_of(plan, None, &["SF1", "SF2"], Some(stops)).0.answer, Answer::Proven);
        let all = FaultTable::faults(plan);
        // Broken wires; one on the wrong side of the stop makes any button unsafe.
        let asked: Vec<&Fault> =
            all.iter().filter(|f| f.mode == Mode::ConductorOpen && f.subject.starts_with("S0")).collect();
        let mut shown = Vec::new();
        FaultTable::new(&scenario, plan)
            .unwrap()
            .rows(&task, asked.iter().copied(), &mut |_, _| true, &mut |row| {
                if stop.contains(&row.fault.to_string().as_str()) {
                    let motor = row.noticed.by_person.unwrap().signal;
                    assert!(motor.starts_with("MA1."), "{} {motor}", row.fault);
                }
                if row.report.answer != Answer::Proven {
                    let replay = row.report.replay(&task.question(plan, None));
                    let acts = acts_of(&(row.report, replay));
                    assert!(acts.contains(&format!("inject {}", row.fault)), "{acts:?}");
                    shown.push(row.fault.to_string());
                }
                Ok(())
            })
            .unwrap();
        assert!(asked.len() > unsafe_ones.len());
        assert_eq!(shown, if safe { &[][..] } else { &unsafe_ones[..] });
    }
}

/// By hand: R13 lets no output be on without its answer, and an answer that was lost for one scan is lost: the reference forgets its
/// command with it, and starts again by a new press only. A program that keeps the command beside the output is out for as long as
/// the wire is, which is for good where the wire stays open; where it is open for one scan, the output is on again before QA1 has let
/// go, and nobody has pressed anything: power on, press, let go, the strike.
#[test]
fn an_answer_that_is_lost_for_one_scan_is_final() {
    const FINAL: &str =
        "never (rose(QX0.0) and prev(since(not IX0.1, fell(IX0.4) and prev(held(QA1.closed, 100ms)))))";
    const OPEN: &str = "conductor KF1:I4 open";
    const INTERMITTENT: &str = "conductor KF1:I4 open intermittent";
    let scenario = scenario();
    let reference = reference(&scenario).plan_of_sheet(&scenario).unwrap();
    let answers = |plan: &Plan, formula: &str| {
        [OPEN, INTERMITTENT].map(|fault| asked_of(plan, Some(fault), &["SF2"], Some(formula)))
    };
    let r13 = scenario.requirements.iter().find(|requirement| requirement.id == "R13").unwrap();
    for formula in [FINAL, r13.formulas[0].source.as_str()] {
        for (report, played) in answers(&reference, formula) {
            assert_eq!(report.answer, Answer::Proven, "{formula} {played:?}");
        }
    }
    let text = rungs("run := (SF2_in OR run) AND SF1_in;\nQA1_out := run AND (SF2_in OR QA1_in);");
    let text = text.replace("END_VAR", "    run : BOOL;\nEND_VAR");
    let [open, intermittent] = answers(&planned(&scenario, &text), FINAL);
    assert_eq!(open.0.answer, Answer::Proven);
    let mut acts = acts_of(&intermittent);
    acts.sort();
    assert_eq!(acts, [&format!("inject {INTERMITTENT}"), "power on", "press SF2", "release SF2"]);
}

/// By hand: an input of 4.7 kilohm behind a closed contact has 24 V, behind an open one 0 V, and the coils have 230 V or none: the
/// reference meets nothing between. A film of 5 kilohm in 13-14 leaves the answer 24 · 4.7 / 9.7 = 11.6 V, 20 kilohm leave it 4.6 V,
/// both outside 5 to 11 V, and 9.4 kilohm 24 · 4.7 / 14.1 = 8.0 V, inside; where it comes and goes, too.
#[test]
fn an_input_between_its_states_is_told() {
    let plan = reference(&scenario()).plan_of_sheet(&scenario()).unwrap();
    let met = |fault: Option<&str>| {
        asked_of(&plan, fault, &["SF1", "SF2"], Some("never (QX0.0 and QX0.1)")).0.marginal
    };
    for outside in [None, Some("QA1 13-14 dirty 5000"), Some("QA1 13-14 dirty 20000")] {
        assert_eq!(met(outside), [], "{outside:?}");
    }
    for inside in ["QA1 13-14 dirty 9400", "QA1 13-14 dirty 9400 intermittent"] {
        let met = met(Some(inside));
        let [one] = met.as_slice() else { panic!("{met:?}") };
        assert_eq!(one.to_string(), "KF1 I4 at 8.0 V (input 5.0 to 11.0 V)");
    }
}

/// What never turns anything on keeps every formula, and shows nothing by it.
#[test]
fn a_program_that_does_nothing_is_told() {
    let plan = planned(&scenario(), &rungs("QA1_out := SF2_in AND NOT SF2_in;"));
    let (report, _) = asked_of(&plan, None, &["SF1", "SF2", "SF3"], Some("never (QX0.0 and QX0.1)"));
    assert_eq!(report.answer, Answer::NeverExercised);
}
