//! The proof beside an outside model checker, on the same exported models.

use super::Finding;
use sealin_core::Plan;
use sealin_exercise::shipped;
use sealin_judge::{Case, export};
use sealin_proof::explore::{Answer, Question, Report, explore};
use sealin_proof::expr::{Verdict, parse_requirement};
use sealin_tests::checker::{Checker, Judgement, TABLES};
use sealin_tests::generate::{MANY_STATES, RESTART, paddle as paddle_job};
use std::time::Instant;

/// Times of which the shortest counts: other work only adds time.
const ROUNDS: usize = 3;

/// States a second; the baseline is Spin on the same model. Both must first agree on verdict and number of states, of which
/// there must be a million.
pub fn states() -> Finding {
    let compared = compare("states", MANY_STATES.0, MANY_STATES.1);
    assert!(compared.report.states >= 1_000_000, "{}", compared.report.states);
    let a_second = |seconds: f64| compared.report.states as f64 / seconds;
    Finding {
        value: a_second(compared.here),
        unit: "states/s",
        baseline: Some(("spin", a_second(compared.spin))),
        also: vec![
            ("states", compared.report.states as f64),
            ("bytes_a_state", compared.report.bytes.into()),
            ("bits_a_state", compared.report.bits.into()),
        ],
    }
}

/// Milliseconds for what the job's main requirement asks of the reference, without faults; the baseline is Spin.
pub fn paddle() -> Finding {
    let compared = compare("paddle", RESTART.0, RESTART.1);
    Finding {
        value: compared.here * 1000.0,
        unit: "ms",
        baseline: Some(("spin", compared.spin * 1000.0)),
        also: vec![("states", compared.report.states as f64)],
    }
}

struct Compared {
    report: Report,
    /// Seconds of the exploration, plant and all, and of Spin's search.
    here: f64,
    spin: f64,
}

fn compare(name: &str, required: &[&str], free: &[&str]) -> Compared {
    let plan = reference();
    let required: Vec<Verdict> = required.iter().map(|text| parse_requirement(text).unwrap()).collect();
    let free: Vec<String> = free.iter().map(|name| name.to_string()).collect();
    let question = Question::new(&plan, &required, &free);
    let case = Case::explored(name, question.clone()).unwrap();
    let report = case.report().clone();
    let folder = std::env::temp_dir().join(format!("sealin-bench-{}-{name}", std::process::id()));
    let checker = Checker::new(&folder, &export(&[case], TABLES).unwrap(), true);
    let (mut here, mut spin) = (f64::INFINITY, f64::INFINITY);
    for _ in 0..ROUNDS {
        let start = Instant::now();
        let again = explore(&question, &mut |_| true);
        here = here.min(start.elapsed().as_secs_f64());
        assert_eq!(again, report, "the same each time");
        let judged = checker.judge(0);
        assert_eq!(judged.judgement == Judgement::Broken, matches!(report.answer, Answer::Broken(_)));
        assert_eq!(judged.states, report.states, "the same states must have been stored");
        spin = spin.min(judged.seconds);
    }
    let _ = std::fs::remove_dir_all(&folder);
    Compared { report, here, spin }
}

/// The paddle panel as its reference has it.
pub fn reference() -> Plan {
    let scenario = paddle_job();
    shipped::reference(&scenario.id).unwrap().work(&scenario).unwrap().plan_of_sheet(&scenario).unwrap()
}
