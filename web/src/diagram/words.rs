//! A timing diagram in words and as a table, for those who do not see it.

use super::span::{Span, clock};
use super::tracks::{Track, label};
use crate::t;

/// Most rows of the table; the newest are kept.
pub const MOST_ROWS: usize = 200;

/// A row of the table.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ChangeRow {
    /// Bench time of the change, ms.
    pub tick: u64,
    /// Name of the signal, as on the diagram.
    pub name: String,
    /// What it changed to.
    pub value: bool,
}

/// All changes in view by time, the newest [`MOST_ROWS`] of them; beside them how many were left out.
pub fn rows(tracks: &[Track], span: Span) -> (Vec<ChangeRow>, usize) {
    let mut rows: Vec<ChangeRow> = tracks
        .iter()
        .flat_map(|track| {
            let in_view = track.changes.iter().filter(|(tick, _)| (span.from()..=span.end).contains(tick));
            in_view.map(|(tick, value)| ChangeRow { tick: *tick, name: label(&track.name), value: *value })
        })
        .collect();
    rows.sort_by_key(|row| row.tick);
    let left_out = rows.len().saturating_sub(MOST_ROWS);
    (rows.split_off(left_out), left_out)
}

/// One sentence a signal: its value at the end of the view, how often it changed and when last.
pub fn summary(tracks: &[Track], span: Span) -> String {
    let sentences = tracks.iter().map(|track| {
        let name = label(&track.name);
        let in_view = || track.changes.iter().filter(|(tick, _)| (span.from()..=span.end).contains(tick));
        let value = track.value_at(span.end).map_or("–".to_string(), |on| u8::from(on).to_string());
        match in_view().next_back() {
            Some((tick, _)) => t!(
                "diagram-summary-changed",
                name = name,
                value = value,
                count = in_view().count(),
                last = clock(*tick, 1)
            ),
            None => t!("diagram-summary-still", name = name, value = value),
        }
    });
    sentences.collect::<Vec<_>>().join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tracks() -> Vec<Track> {
        let track = |name: &str, changes: &[(u64, bool)]| Track {
            name: name.into(),
            before: Some(false),
            changes: changes.to_vec(),
        };
        vec![track("SF2.pressed", &[(100, true), (900, false)]), track("QA1.closed", &[(146, true)])]
    }

    #[test]
    fn rows_are_by_time_and_in_view() {
        let (all, left_out) = rows(&tracks(), Span { end: 1_000, length_ms: 870 });
        let seen: Vec<(u64, &str, bool)> = all.iter().map(|r| (r.tick, r.name.as_str(), r.value)).collect();
        assert_eq!(seen, [(146, "QA1 closed", true), (900, "SF2 pressed", false)]);
        assert_eq!(left_out, 0);
    }

    #[test]
    fn too_many_rows_leave_the_newest() {
        let busy = Track {
            name: "a".into(),
            before: Some(false),
            changes: (0..500).map(|tick| (tick, tick % 2 == 0)).collect(),
        };
        let (kept, left_out) = rows(&[busy], Span { end: 500, length_ms: 500 });
        assert_eq!((kept.len(), left_out, kept[MOST_ROWS - 1].tick), (MOST_ROWS, 300, 499));
    }
}
