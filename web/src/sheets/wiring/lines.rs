//! The rows of the schedule, and how keys walk its cells.

use super::cells::Column;
use super::drawing::Drawing;
use super::wanted::Wanted;
use sealin_core::plan::Conductor;

/// A row of the schedule.
#[derive(Clone, Debug, PartialEq)]
pub enum Line {
    /// A conductor, and whether it is given.
    Laid(Conductor, bool),
    /// One that the job sheet asks for, and the key of its row.
    ToDo(Wanted, String),
}

/// Rows that a key for a page passes over.
const PAGE: usize = 10;

impl Line {
    /// What tells the row from all others.
    pub fn key(&self) -> &str {
        match self {
            Line::Laid(c, _) => &c.id,
            Line::ToDo(_, key) => key,
        }
    }

    /// The conductor that is laid.
    pub fn conductor(&self) -> Option<&Conductor> {
        match self {
            Line::Laid(c, _) => Some(c),
            Line::ToDo(..) => None,
        }
    }
}

/// The rows that hold what is searched for, the person's own first, then what is to be made, then what is given.
pub fn lines(drawing: &Drawing, search: &str) -> Vec<Line> {
    let search = search.trim().to_lowercase();
    let holds =
        |texts: &[&str]| search.is_empty() || texts.iter().any(|t| t.to_lowercase().contains(&search));
    let held = |c: &&Conductor| holds(&[&c.number, &c.from.to_string(), &c.to.to_string(), &c.id]);
    let asked = drawing.wanted.iter().filter(|w| !w.done && holds(&[&w.number, &w.from.to_string()]));
    let to_do = asked.map(|w| Line::ToDo(w.clone(), format!("to do {}", w.from)));
    let own = drawing.own().filter(held).map(|c| Line::Laid(c.clone(), false));
    let given = drawing.given().filter(held).map(|c| Line::Laid(c.clone(), true));
    own.chain(to_do).chain(given).collect()
}

/// The cell that a key goes to from another, in a table of so many rows; nothing for a key that does not walk.
pub fn moved(key: &str, command: bool, (row, column): (usize, usize), rows: usize) -> Option<(usize, usize)> {
    let (last, right) = (rows.saturating_sub(1), Column::ALL.len() - 1);
    Some(match key {
        "ArrowUp" => (row.saturating_sub(1), column),
        "ArrowDown" => ((row + 1).min(last), column),
        "ArrowLeft" => (row, column.saturating_sub(1)),
        "ArrowRight" => (row, (column + 1).min(right)),
        "PageUp" => (row.saturating_sub(PAGE), column),
        "PageDown" => ((row + PAGE).min(last), column),
        "Home" => (if command { 0 } else { row }, 0),
        "End" => (if command { last } else { row }, right),
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheets::wiring::fixture::{drawing, learners};

    #[test]
    fn own_rows_come_first_then_what_is_to_do_then_what_is_given() {
        let d = drawing(learners()[..2].to_vec());
        let keys: Vec<String> = lines(&d, "").iter().map(|l| l.key().to_string()).collect();
        assert_eq!(keys[..3], ["L1", "L2", "to do QA2:13"], "seven of nine are left");
        assert_eq!(keys.len(), 2 + 7 + 78);
        let found: Vec<String> = lines(&d, "kf1:cq2").iter().map(|l| l.key().to_string()).collect();
        assert_eq!(
            found,
            Vec::<String>::new(),
            "XD4:9 to KF1:CQ2 is to do, and its end is the learner's to find"
        );
        assert_eq!(lines(&d, "qa1:13").len(), 2);
    }

    #[test]
    fn keys_walk_the_cells_and_stop_at_the_edges() {
        let at = |key: &str, command: bool, from: (usize, usize)| moved(key, command, from, 30).unwrap();
        assert_eq!(at("ArrowUp", false, (0, 2)), (0, 2));
        assert_eq!(at("ArrowDown", false, (29, 2)), (29, 2));
        assert_eq!(at("ArrowRight", false, (3, 4)), (3, 4));
        assert_eq!(at("PageDown", false, (3, 1)), (13, 1));
        assert_eq!(at("End", true, (3, 1)), (29, 4));
        assert_eq!(at("Home", false, (3, 1)), (3, 0));
        assert_eq!(moved("x", false, (0, 0), 30), None);
        assert_eq!(at("ArrowDown", false, (0, 0)).0, 1);
        assert_eq!(moved("ArrowDown", false, (0, 0), 0), Some((0, 0)));
    }
}
