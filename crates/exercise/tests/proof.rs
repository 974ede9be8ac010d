//! What exploration finds about the paddle gear.

use sealin_exercise::project::Project;
use sealin_exercise::scenario::{Scenario, parse_wires};
use sealin_exercise::shipped;
use sealin_proof::explore::{Answer, DEFAULT_MAX_STATES, Question, Replay, Report, ask};
use sealin_proof::expr::parse_requirement;

const PADDLE: &str = "paddle-closed-loop";

/// The report on one formula, and what the whole bench makes of its counterexample.
fn asked(project: &Project, scenario: &Scenario, free: &[&str], formula: &str) -> (Report, Option<Replay>) {
    let plan = project.plan_of_sheet(scenario).unwrap();
    let free: Vec<String> = free.iter().map(|name| name.to_string()).collect();
    let required = [parse_requirement(formula).unwrap()];
    let question = Question {
        plan: &plan,
        required: &required,
        assumed: &[],
        free: Some(&free),
        fault: None,
        max_states: DEFAULT_MAX_STATES,
    };
    ask(&question, &mut |_| true)
}

fn scenario() -> Scenario {
    Scenario::parse(shipped::get(PADDLE).unwrap()).unwrap()
}

fn reference(scenario: &Scenario) -> Project {
    let reference = shipped::reference(PADDLE).unwrap();
    let mut project = Project::given(scenario);
    project.source = reference.program.to_string();
    for c in parse_wires(reference.wires).unwrap() {
        project.conductors.insert(c.id.clone(), c);
    }
    project
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
