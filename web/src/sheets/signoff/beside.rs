//! Marks beside the requirements: predictions, craft, hints, each with its reasons.

use crate::hooks::{use_selector, use_workshop};
use crate::store::checks::{BesideKind, BesideLine, Evidence, Reason};
use crate::store::{Command, ScreenAct, Sheet, Thing};
use crate::t;
use crate::text::time::bench_time;
use yew::prelude::*;

/// The lines; nothing before the checks were run, or where the job has none.
#[component]
pub fn Beside() -> Html {
    let marked = use_selector(|workshop| workshop.checks().marked.clone());
    let mut lines = marked.as_ref().as_ref().map_or(Vec::new(), |marked| marked.marks.beside.clone());
    lines.retain(counts);
    if lines.is_empty() {
        return html! {};
    }
    html! {
        <section class="beside" aria-labelledby="beside">
            <h2 class="heading" id="beside">{ t!("beside-title") }</h2>
            <p class="small faint">{ t!("beside-note") }</p>
            <ul>
                { for lines.iter().map(|line| html! { <Line key={format!("{:?}{}", line.kind, line.id)} line={line.clone()} /> }) }
            </ul>
        </section>
    }
}

/// A hint that was not opened is not worth a line.
pub fn counts(line: &BesideLine) -> bool {
    line.of > 0 || line.earned != 0
}

/// What a line is called.
pub fn name(line: &BesideLine) -> String {
    match line.kind {
        BesideKind::Prediction => t!("beside-prediction", id = line.id),
        BesideKind::Wiring => t!("beside-wiring").into(),
        BesideKind::Program => t!("beside-program").into(),
        BesideKind::Time => t!("beside-time").into(),
        BesideKind::SafeWork => t!("beside-safe-work").into(),
        BesideKind::Hint => t!("beside-hint", id = line.id),
        BesideKind::Finding => match line.id.as_str() {
            "part" => t!("beside-finding-part").into(),
            "fault" => t!("beside-finding-fault").into(),
            "evidence" => t!("beside-finding-evidence").into(),
            "readings" => t!("beside-finding-readings").into(),
            "worth" => t!("beside-finding-worth").into(),
            "repaired" => t!("beside-finding-repaired").into(),
            "shown" => t!("beside-finding-shown").into(),
            "look" => t!("beside-finding-look").into(),
            _ => line.text.clone(),
        },
    }
}

/// Marks earned, of how many; a hint only takes some away.
pub fn marks(line: &BesideLine) -> String {
    match line.of {
        0 => line.earned.to_string().replace('-', "−"),
        of => format!("{} / {of}", line.earned),
    }
}

#[derive(Properties, PartialEq)]
struct LineProps {
    line: BesideLine,
}

#[component]
fn Line(props: &LineProps) -> Html {
    let line = &props.line;
    html! {
        <li class="beside-line">
            <div>
                <strong>{ name(line) }</strong>
                if line.kind == BesideKind::Prediction { <span>{ ": " }{ line.text.clone() }</span> }
                <ul class="small">{ for line.reasons.iter().map(|reason| html! { <li><Why reason={reason.clone()} /></li> }) }</ul>
            </div>
            <span class="number line-marks">{ marks(line) }</span>
        </li>
    }
}

#[derive(Properties, PartialEq)]
struct WhyProps {
    reason: Reason,
}

/// A reason, and the way to what it speaks of.
#[component]
fn Why(props: &WhyProps) -> Html {
    let shop = use_workshop();
    let there = match &props.reason.at {
        Evidence::Conductor(id) => Some((Sheet::Wiring, Thing::Conductor(id.clone()))),
        Evidence::Rung(number, _) => Some((Sheet::Program, Thing::Rung(*number as usize + 1))),
        _ => None,
    };
    let when = match props.reason.at {
        Evidence::Entry { entry, tick } => t!("beside-entry", entry = entry, time = bench_time(tick)),
        _ => String::new(),
    };
    html! {
        <>
            { props.reason.text.clone() }
            if !when.is_empty() { <span class="faint">{ " " }{ when }</span> }
            if let Some((sheet, thing)) = there {
                { " " }
                <button type="button" class="button-quiet" onclick={move |_| {
                    shop.dispatch(Command::Screen(ScreenAct::Show(sheet, thing.clone())));
                }}>{ t!("beside-show") }</button>
            }
        </>
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_hint_takes_marks_away() {
        let line = |kind, earned, of| BesideLine {
            kind,
            id: "H1".into(),
            text: String::new(),
            earned,
            of,
            reasons: Vec::new(),
        };
        assert_eq!(marks(&line(BesideKind::Hint, -2, 0)), "−2");
        assert_eq!(marks(&line(BesideKind::Time, 1, 2)), "1 / 2");
    }
}
