//! The result in one box: passed or not, and why.

use crate::hooks::use_selector;
use crate::store::checks::Marks;
use crate::t;
use yew::prelude::*;

/// Passed or not passed, the marks, and the reason.
#[component]
pub fn ResultBox() -> Html {
    let checks = use_selector(|workshop| (workshop.checks().marked.clone(), workshop.checks_stale()));
    let pass = use_selector(|workshop| workshop.scenario().pass_marks);
    let Some(marked) = checks.0.as_ref() else {
        return html! { <p class="faint">{ t!("signoff-never") }</p> };
    };
    let marks = &marked.marks;
    let (sign, word) =
        if marks.passed { ("✓ ", t!("signoff-passed")) } else { ("✗ ", t!("signoff-not-passed")) };
    html! {
        <section class={classes!("result", if marks.passed { "result-kept" } else { "result-broken" })}
            role="status">
            <p class="result-word"><span aria-hidden="true">{ sign }</span>{ word }</p>
            <p class="result-marks">{ t!("signoff-total", earned = marks.earned, of = marks.of) }</p>
            <p>{ why(marks, *pass) }</p>
            if !marks.errors.is_empty() {
                <p>{ t!("signoff-errors") }</p>
                <ul>{ for marks.errors.iter().map(|error| html! { <li>{ error.clone() }</li> }) }</ul>
            }
            if checks.1 {
                <p><strong>{ "△ " }{ t!("signoff-stale") }</strong></p>
            }
        </section>
    }
}

fn why(marks: &Marks, pass: u32) -> String {
    let mut reasons = Vec::new();
    if marks.earned < pass {
        reasons.push(t!("signoff-why-marks", pass = pass, missing = pass - marks.earned));
    }
    let musts: Vec<&str> =
        marks.lines.iter().filter(|line| line.must && !line.kept()).map(|line| line.id.as_str()).collect();
    if !musts.is_empty() {
        reasons.push(t!("signoff-why-musts", musts = musts.join(", ")));
    }
    if reasons.is_empty() { t!("signoff-why-ok").to_string() } else { reasons.join(" ") }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::store::checks::MarkLine;

    fn line(id: &str, earned: u32, must: bool) -> MarkLine {
        MarkLine { id: id.into(), text: String::new(), earned, of: 10, must, trials: Vec::new() }
    }

    #[test]
    fn the_reason_names_the_musts_and_the_missing_marks() {
        let lines = vec![line("R1", 10, true), line("R2", 0, true), line("R3", 0, false)];
        let marks =
            Marks { lines, earned: 10, of: 30, beside: Vec::new(), passed: false, errors: Vec::new() };
        let reason = why(&marks, 25);
        assert!(reason.contains("15") && reason.contains("R2"), "{reason}");
        assert!(!reason.contains("R1") && !reason.contains("R3"), "{reason}");
    }

    #[test]
    fn a_pass_says_so() {
        let marks = Marks {
            lines: vec![line("R1", 10, true)],
            earned: 10,
            of: 10,
            beside: Vec::new(),
            passed: true,
            errors: vec![],
        };
        assert_eq!(why(&marks, 10), t!("signoff-why-ok"));
    }
}
