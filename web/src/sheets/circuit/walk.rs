//! Walking the symbols by arrow keys: up and down along the current path, to the sides from path to path.

use super::diagram::Diagram;
use crate::sheets::wiring::geometry::Rect;

/// The next symbol from `at` in a direction.
pub fn next(diagram: &Diagram, at: usize, dx: f64, dy: f64) -> Option<usize> {
    let here = diagram.symbols.get(at)?;
    let from = here.area.middle();
    let cost = |area: Rect| {
        let m = area.middle();
        let (along, across) =
            ((m.x - from.x) * dx + (m.y - from.y) * dy, (m.x - from.x) * dy + (m.y - from.y) * dx);
        (along > 1.0).then_some(along + 3.0 * across.abs())
    };
    let nearest = |same_path: bool| {
        let all = diagram
            .symbols
            .iter()
            .enumerate()
            .filter(|(n, s)| *n != at && (!same_path || s.path == here.path));
        all.filter_map(|(n, s)| Some((cost(s.area)?, n))).min_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, n)| n)
    };
    if dy != 0.0 { nearest(true).or_else(|| nearest(false)) } else { nearest(false) }
}
