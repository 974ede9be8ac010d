//! The panel as built: the whole of it, and in windows that are large enough to be read.

use super::content::Body;
use super::list::Work;
use super::paper::{LEAST_MM, windows};
use crate::sheets::wiring::{AsBuilt, Rect};
use crate::t;
use yew::prelude::*;

/// The smallest figures of the drawing, units: wire numbers on narrow ferrules (`wiring_drawing.css`).
const SMALLEST: f64 = 6.0;

/// Units of its neighbours that a window shows.
const OVERLAP: f64 = 8.0;

/// The drawing of the panel.
pub fn panel(work: &Work) -> Body {
    let drawing = &work.drawing;
    let area = drawing.panel.area;
    let shows = |window: Rect, plan: bool| html! { <AsBuilt drawing={drawing.clone()} {window} {plan} /> };
    let (across, down) = windows(work.paper, (area.w, area.h), OVERLAP, LEAST_MM / SMALLEST);
    let mut all = vec![(None, shows(area, across * down > 1))];
    if across * down > 1 {
        for n in 0..across * down {
            let (column, row) = (n % across, n / across);
            let (w, h) = (area.w / across as f64, area.h / down as f64);
            let x = area.x + column as f64 * w - OVERLAP;
            let y = area.y + row as f64 * h - OVERLAP;
            let window = Rect::new(x, y, w + 2.0 * OVERLAP, h + 2.0 * OVERLAP);
            let what =
                t!("doc-window", part = n + 1, parts = across * down, row = row + 1, column = column + 1);
            all.push((Some(what), shows(window, false)));
        }
    }
    Body::Drawings(all)
}
