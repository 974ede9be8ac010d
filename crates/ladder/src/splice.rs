//! Changes to one rung of a text that leave the rest of it as it was typed.

use std::collections::BTreeSet;

use crate::block::Block;
use crate::model::Rung;
use crate::parse::{EdgePlace, Place, Reading};
use crate::print::{Edges, rung_text};

/// The text with rung `index` of its reading written anew, its comments included; none if there is no such rung.
///
/// All else, line breaks and comments too, stays as it was typed, but for the declarations of the rung's edges. Reading the
/// result gives the program with that rung changed.
pub fn replace_rung(source: &str, reading: &Reading, index: usize, rung: &Rung) -> Option<String> {
    let place = reading.rung_places.get(index)?;
    let old = edges_of(reading, index);
    let (statement, edges) = printed(reading, &old, rung);
    let mut changes = declarations(source, reading, &old, &edges);
    changes.push(on_lines(source, place.start as usize, place.end as usize, &statement)?);
    apply(source, changes)
}

/// The text with a rung put before rung `index`, or behind the last one if `index` is their number; none beyond it.
pub fn insert_rung(source: &str, reading: &Reading, index: usize, rung: &Rung) -> Option<String> {
    let at = match (reading.rung_places.get(index), index.checked_sub(1)) {
        (Some(place), _) => place.start,
        (None, Some(last)) => reading.rung_places.get(last)?.end,
        (None, None) => reading.body_end,
    };
    let (statement, edges) = printed(reading, &[], rung);
    let mut changes = declarations(source, reading, &[], &edges);
    changes.push(on_lines(source, at as usize, at as usize, &statement)?);
    apply(source, changes)
}

/// The text without rung `index`, its comments and the declarations of its edges; none if there is no such rung.
pub fn remove_rung(source: &str, reading: &Reading, index: usize) -> Option<String> {
    let place = reading.rung_places.get(index)?;
    let mut changes = declarations(source, reading, &edges_of(reading, index), &[]);
    changes.push(without(source, place.start as usize, place.end as usize)?);
    apply(source, changes)
}

/// A stretch of the text, by bytes, and what comes in its place.
pub(crate) type Change = (usize, usize, String);

/// The declarations of a rung's edges, in the order of the text.
fn edges_of(reading: &Reading, rung: usize) -> Vec<&EdgePlace> {
    reading.edge_places.iter().filter(|edge| edge.rung == Some(rung as u32)).collect()
}

/// A rung's statement, and the names and blocks of its edges: those it had, then the lowest that are free.
fn printed(reading: &Reading, old: &[&EdgePlace], rung: &Rung) -> (String, Vec<(String, Block)>) {
    let mut taken: BTreeSet<String> =
        reading.edge_places.iter().map(|edge| edge.name.to_ascii_uppercase()).collect();
    let mut had = old.iter().map(|edge| edge.name.clone());
    let mut number = 0u32;
    let mut edges = Edges::named(move || {
        had.next().unwrap_or_else(|| {
            loop {
                number += 1;
                let name = format!("edge_{number}");
                if taken.insert(name.to_ascii_uppercase()) {
                    return name;
                }
            }
        })
    });
    let statement = rung_text(rung, &mut edges);
    (statement, edges.used)
}

/// What changes in the declarations when a rung with the edges `old` gets the edges `new`, which keep the old names as
/// far as they go.
fn declarations(source: &str, reading: &Reading, old: &[&EdgePlace], new: &[(String, Block)]) -> Vec<Change> {
    let declared = |(name, block): &(String, Block)| format!("{name} : {};", block.word());
    let mut changes: Vec<Change> = Vec::new();
    for (edge, new) in old.iter().zip(new) {
        changes.push((edge.place.start as usize, edge.place.end as usize, declared(new)));
    }
    if old.len() > new.len() {
        changes.extend(undeclared(source, &old[new.len()..]));
    }
    let more: Vec<String> = new.iter().skip(old.len()).map(declared).collect();
    if more.is_empty() {
        return changes;
    }
    match old.last().copied().or(reading.edge_places.last()) {
        Some(beside) => {
            let line_break = format!("\n{}", " ".repeat(beside.place.column.saturating_sub(1) as usize));
            let text: String = more.iter().map(|one| format!("{line_break}{one}")).collect();
            match changes.last_mut() {
                Some((_, _, last)) => last.push_str(&text),
                None => changes.push((beside.place.end as usize, beside.place.end as usize, text)),
            }
        }
        None => {
            let at = reading.declarations_end as usize;
            let block = format!("VAR\n    {}\nEND_VAR", more.join("\n    "));
            changes.extend(on_lines(source, at, at, &block));
        }
    }
    changes
}

/// Takes declarations out, and each `VAR … END_VAR` that holds nothing else.
fn undeclared(source: &str, edges: &[&EdgePlace]) -> Vec<Change> {
    let mut changes: Vec<Change> = Vec::new();
    let mut blocks: Vec<Place> = edges.iter().map(|edge| edge.var_block).collect();
    blocks.dedup();
    for block in blocks {
        let inside: Vec<&Place> =
            edges.iter().filter(|edge| edge.var_block == block).map(|edge| &edge.place).collect();
        let mut rest = String::new();
        let mut from = block.start as usize;
        for place in &inside {
            rest.push_str(source.get(from..place.start as usize).unwrap_or_default());
            from = place.end as usize;
        }
        rest.push_str(source.get(from..block.end as usize).unwrap_or_default());
        let rest: String = rest.split_whitespace().collect::<Vec<_>>().join(" ").to_ascii_uppercase();
        if matches!(rest.trim_end_matches(';'), "VAR END_VAR" | "VAR NON_RETAIN END_VAR") {
            changes.extend(without(source, block.start as usize, block.end as usize));
        } else {
            changes.extend(inside.iter().filter_map(|p| without(source, p.start as usize, p.end as usize)));
        }
    }
    changes
}

/// A stretch taken out; a line that becomes blank goes too.
pub(crate) fn without(source: &str, start: usize, end: usize) -> Option<Change> {
    let (before, after) = (source.get(..start)?, source.get(end..)?);
    let line_start = before.rfind('\n').map_or(0, |at| at + 1);
    let rest = after.trim_start_matches([' ', '\t', '\r']);
    match rest.strip_prefix('\n') {
        Some(rest) if before[line_start..].trim().is_empty() => {
            Some((line_start, source.len() - rest.len(), String::new()))
        }
        _ => Some((start, end, String::new())),
    }
}

/// A statement in place of a stretch, on lines of its own so that no comment comes to stand beside another rung.
pub(crate) fn on_lines(source: &str, start: usize, end: usize, statement: &str) -> Option<Change> {
    let (before, after) = (source.get(..start)?, source.get(end..)?);
    let line_start = before.rfind('\n').map_or(0, |at| at + 1);
    let mut text = String::new();
    if !before[line_start..].trim().is_empty() {
        text.push('\n');
    }
    text.push_str(statement.trim_end_matches('\n'));
    let line_end = after.find('\n').unwrap_or(after.len());
    if !after[..line_end].trim().is_empty() {
        text.push('\n');
    }
    Some((start, end, text))
}

/// The text with all changes made; of two at one place the first stands first.
pub(crate) fn apply(source: &str, mut changes: Vec<Change>) -> Option<String> {
    changes.sort_by_key(|(start, _, _)| *start);
    let mut text = String::new();
    let mut from = 0;
    for (start, end, put) in changes {
        text.push_str(source.get(from..start)?);
        text.push_str(&put);
        from = end;
    }
    text.push_str(source.get(from..)?);
    Some(text)
}
