//! A broken trial run again, and drawn: the signals that its step speaks of, and those that lead to them, over time.

use crate::hooks::use_selector;
use crate::store::checks::Failure;
use crate::store::marking::{Replayed, Row};
use crate::t;
use crate::text::quantity::milliseconds;
use std::rc::Rc;
use yew::prelude::*;

/// Stretch that is shown at first: so long before the break, ms.
const BEFORE_MS: u64 = 2_000;

const LEFT: f64 = 120.0;
const WIDTH: f64 = 720.0;
const ROW: f64 = 30.0;
const TOP: f64 = 8.0;

/// Runs a trial again and draws it.
#[derive(Properties, PartialEq)]
pub struct ReplayProps {
    /// Id of the requirement.
    pub requirement: AttrValue,
    /// Number of the trial, from 0.
    pub trial: usize,
    /// Where it broke.
    pub failure: Failure,
}

/// The diagram of a trial, with the moment at which it broke.
#[component]
pub fn Replay(props: &ReplayProps) -> Html {
    let whole = use_state(|| false);
    let (requirement, trial) = (props.requirement.clone(), props.trial);
    // The trial of the work that was marked, though the work may have gone on since.
    let replayed = use_selector(move |workshop| {
        let marked = workshop.checks().marked.clone();
        Memo(marked.map(|marked| marked.project.clone()).zip(Some((requirement.to_string(), trial))))
    });
    let scenario = use_selector(|workshop| workshop.scenario().clone());
    let replayed: Rc<Result<Replayed, String>> = use_memo(replayed, |replayed| match &replayed.0 {
        Some((project, (requirement, trial))) => {
            crate::store::marking::replay(&scenario, project, requirement, *trial)
        }
        None => Err(String::new()),
    });
    let replayed = match replayed.as_ref() {
        Ok(replayed) => replayed,
        Err(problem) => return html! { <p>{ t!("signoff-replay-failed", problem = problem) }</p> },
    };
    let at = props.failure.tick;
    let from = if *whole { 0 } else { at.saturating_sub(BEFORE_MS) };
    let to = at + (at - from) / 20 + 10;
    let toggle = {
        let whole = whole.clone();
        Callback::from(move |_: MouseEvent| whole.set(!*whole))
    };
    html! {
        <figure class="replay">
            <figcaption class="small">
                { t!("replay-caption", from = milliseconds(from), at = milliseconds(at)) }
                <button type="button" class="button-quiet" onclick={toggle}>
                    { if *whole { t!("replay-last") } else { t!("replay-whole") } }
                </button>
            </figcaption>
            <div class="table-scroll" tabindex="0" role="region" aria-label={t!("replay-name")}>
                { draw(&replayed.rows, from, to, at) }
            </div>
        </figure>
    }
}

#[derive(PartialEq)]
struct Memo(Option<(crate::store::model::Project, (String, usize))>);

fn draw(rows: &[Row], from: u64, to: u64, at: u64) -> Html {
    let height = TOP + rows.len() as f64 * ROW + 22.0;
    let x = |tick: u64| LEFT + (tick.clamp(from, to) - from) as f64 / (to - from).max(1) as f64 * WIDTH;
    let mark = format!("{:.1}", x(at));
    let summary: Vec<String> = rows.iter().map(|row| describe(row, from, to)).collect();
    html! {
        <svg class="replay-drawing" viewBox={format!("0 0 {} {height}", LEFT + WIDTH + 10.0)} role="img"
            aria-label={summary.join("; ")}>
            { for rows.iter().enumerate().map(|(index, row)| {
                let base = TOP + (index as f64 + 1.0) * ROW - 8.0;
                html! {
                    <g key={row.name.clone()}>
                        <text x="0" y={format!("{:.1}", base - 2.0)} class="replay-name">{ row.name.clone() }</text>
                        <line class="replay-zero" x1={LEFT.to_string()} x2={(LEFT + WIDTH).to_string()}
                            y1={base.to_string()} y2={base.to_string()} />
                        <path class="replay-signal" d={path(row, from, to, &x, base)} />
                    </g>
                }
            }) }
            <line class="replay-break" x1={mark.clone()} x2={mark.clone()} y1="2"
                y2={(height - 18.0).to_string()} />
            <text class="replay-at" x={mark} y={(height - 4.0).to_string()} text-anchor="end">
                { format!("✗ {}", milliseconds(at)) }
            </text>
        </svg>
    }
}

/// The step line of a signal.
fn path(row: &Row, from: u64, to: u64, x: &dyn Fn(u64) -> f64, base: f64) -> String {
    let y = |on: bool| if on { base - 16.0 } else { base };
    let mut on = row.value_at(from);
    let mut path = format!("M{:.1} {:.1}", x(from), y(on));
    for (tick, value) in row.changes.iter().filter(|(tick, _)| (from + 1..=to).contains(tick)) {
        path.push_str(&format!("H{:.1}V{:.1}", x(*tick), y(*value)));
        on = *value;
    }
    path.push_str(&format!("H{:.1}", x(to)));
    let _ = on;
    path
}

/// The signal in words, for those who do not see the line.
fn describe(row: &Row, from: u64, to: u64) -> String {
    let start = u8::from(row.value_at(from));
    let changes: Vec<String> = row
        .changes
        .iter()
        .filter(|(tick, _)| (from + 1..=to).contains(tick))
        .take(6)
        .map(|(tick, value)| t!("replay-change", value = u8::from(*value), time = milliseconds(*tick)))
        .collect();
    t!("replay-row", name = row.name, start = start, changes = changes.join(", "))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_line_steps_where_the_signal_changes() {
        let row = Row {
            name: "QX0.0".into(),
            before: false,
            changes: vec![(100, true), (150, false), (900, true)],
        };
        let x = |tick: u64| tick as f64;
        assert_eq!(path(&row, 120, 200, &x, 20.0), "M120.0 4.0H150.0V20.0H200.0");
        assert!(describe(&row, 120, 200).contains('1'));
    }
}
