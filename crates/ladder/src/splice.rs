//! Changes to one rung of a text that leave the rest of it as it was typed.

use crate::model::Rung;
use crate::parse::Reading;
use crate::print::print_rung;

/// The text with rung `index` of its reading written anew, its comments included; none if there is no such rung.
///
/// All else, line breaks and comments too, stays as it was typed. Reading the result gives the program with that rung
/// changed.
pub fn replace_rung(source: &str, reading: &Reading, index: usize, rung: &Rung) -> Option<String> {
    let place = reading.rung_places.get(index)?;
    put(source, place.start as usize, place.end as usize, &print_rung(rung))
}

/// The text with a rung put before rung `index`, or behind the last one if `index` is their number; none beyond it.
pub fn insert_rung(source: &str, reading: &Reading, index: usize, rung: &Rung) -> Option<String> {
    let at = match (reading.rung_places.get(index), index.checked_sub(1)) {
        (Some(place), _) => place.start,
        (None, Some(last)) => reading.rung_places.get(last)?.end,
        (None, None) => reading.body_end,
    };
    put(source, at as usize, at as usize, &print_rung(rung))
}

/// The text without rung `index` and its comments; none if there is no such rung.
pub fn remove_rung(source: &str, reading: &Reading, index: usize) -> Option<String> {
    let place = reading.rung_places.get(index)?;
    let (before, after) = (source.get(..place.start as usize)?, source.get(place.end as usize..)?);
    // A line that becomes blank goes too.
    let line_start = before.rfind('\n').map_or(0, |at| at + 1);
    let rest = after.trim_start_matches([' ', '\t', '\r']);
    match rest.strip_prefix('\n') {
        Some(rest) if before[line_start..].trim().is_empty() => {
            Some(format!("{}{rest}", &before[..line_start]))
        }
        _ => Some(format!("{before}{after}")),
    }
}

/// Puts a statement in place of a stretch, on lines of its own so that no comment comes to stand beside another rung.
fn put(source: &str, start: usize, end: usize, statement: &str) -> Option<String> {
    let (before, after) = (source.get(..start)?, source.get(end..)?);
    let line_start = before.rfind('\n').map_or(0, |at| at + 1);
    let mut text = before.to_owned();
    if !before[line_start..].trim().is_empty() {
        text.push('\n');
    }
    text.push_str(statement.trim_end_matches('\n'));
    let line_end = after.find('\n').unwrap_or(after.len());
    if !after[..line_end].trim().is_empty() {
        text.push('\n');
    }
    text.push_str(after);
    Some(text)
}
