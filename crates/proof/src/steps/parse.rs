//! Reads scripts.

use super::{Script, Step, StepError, StepKind, When};
use crate::duration::parse_duration_ms;
use crate::expr::parse_before;
use sealin_core::BenchAct;

/// Longest script, bytes.
pub const MOST_BYTES: usize = 64 << 10;

/// Most steps of a script.
pub const MOST_STEPS: usize = 1_000;

/// Longest time a script may take on the bench, ms: half an hour.
pub const MOST_MS: u64 = 30 * 60 * 1000;

/// Most errors that one reading reports.
const MOST_ERRORS: usize = 50;

/// Reads a script to its end whatever is wrong, so that all errors come at once.
pub fn parse(text: &str) -> Result<Script, Vec<StepError>> {
    if text.len() > MOST_BYTES {
        let message = format!("the script has {} bytes; at most {MOST_BYTES} are read", text.len());
        return Err(vec![StepError { line: 1, column: 1, message }]);
    }
    let mut script = Script::default();
    let mut errors = Vec::new();
    for (line, content) in (1..).zip(text.split('\n')) {
        let content = content.split('#').next().unwrap_or("");
        let mut before = 0;
        for piece in content.split(';') {
            let start = before + piece.chars().take_while(|c| c.is_whitespace()).count() as u32;
            before += piece.chars().count() as u32 + 1;
            if piece.trim().is_empty() {
                continue;
            }
            let column = start + 1;
            match step(piece.trim()) {
                Ok((kinds, expr_at)) => {
                    let made = |kind| Step { line, column, expr_column: column + expr_at, kind };
                    script.steps.extend(kinds.into_iter().map(made));
                }
                Err((at, message)) => errors.push(StepError { line, column: column + at, message }),
            }
            if script.steps.len() > MOST_STEPS || errors.len() >= MOST_ERRORS {
                let message =
                    format!("reading stops here: {MOST_STEPS} steps or {MOST_ERRORS} errors at most");
                errors.push(StepError { line, column, message });
                return Err(errors);
            }
        }
    }
    if errors.is_empty() && script.longest_ms() > MOST_MS {
        let last = script.steps.last().map_or(1, |s| s.line);
        let message = format!(
            "the script takes {} s at most; {} s are allowed",
            script.longest_ms().div_ceil(1000),
            MOST_MS / 1000
        );
        errors.push(StepError { line: last, column: 1, message });
    }
    if errors.is_empty() { Ok(script) } else { Err(errors) }
}

/// Reads one step. The error has the column from its start, from 0.
fn step(text: &str) -> Result<(Vec<StepKind>, u32), (u32, String)> {
    let (verb, rest) = text.split_once(char::is_whitespace).unwrap_or((text, ""));
    let rest_at = (text.chars().count() - rest.chars().count()) as u32;
    match verb {
        "wait" => {
            let lead = rest.chars().take_while(|c| c.is_whitespace()).count() as u32;
            let ms = parse_duration_ms(rest.trim()).map_err(|message| (rest_at + lead, message))?;
            Ok((vec![StepKind::Wait(ms)], 0))
        }
        "expect" => {
            let kind = expect(rest).map_err(|(at, message)| (rest_at + at, message))?;
            Ok((vec![kind], rest_at))
        }
        "press" | "release" if rest.split_whitespace().nth(1).is_some() => {
            let act = |tag| BenchAct::parse(&format!("{verb} {tag}")).map(StepKind::Act);
            let acts: Result<Vec<_>, _> = rest.split_whitespace().map(act).collect();
            acts.map(|acts| (acts, 0)).map_err(|message| (0, message))
        }
        _ => match BenchAct::parse(text) {
            Ok(act) => Ok((vec![StepKind::Act(act)], 0)),
            Err(message) => Err((0, message.replace("inject or clear", "inject, clear, wait or expect"))),
        },
    }
}

fn expect(text: &str) -> Result<StepKind, (u32, String)> {
    let (expr, end) = parse_before(text, &["within", "for"]).map_err(|e| (e.column - 1, e.message))?;
    let Some(end) = end else { return Ok(StepKind::Expect(expr, When::Now)) };
    let tail = &text[end..];
    let at = text[..end].chars().count() as u32;
    let (word, time) = tail.split_once(char::is_whitespace).unwrap_or((tail, ""));
    let ms = parse_duration_ms(time.trim()).map_err(|message| (at, format!("after {word}: {message}")))?;
    if ms == 0 {
        return Err((at, format!("{word} 0ms has no tick in it; a time of 1ms or more is expected")));
    }
    let when = if word == "within" { When::Within(ms) } else { When::For(ms) };
    Ok(StepKind::Expect(expr, when))
}
