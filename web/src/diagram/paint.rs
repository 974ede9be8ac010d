//! Drawing a timing diagram on a canvas, in the inks of the page.

use super::span::{Span, clock};
use super::tracks::Track;
use crate::services::canvas::{Inks, Paper};

/// Height of a row.
pub const ROW: f64 = 30.0;
/// Height of the measure under the rows.
pub const MEASURE: f64 = 22.0;

/// What is drawn.
pub struct Picture<'a> {
    /// The stretch in view.
    pub span: Span,
    /// The signals, top to bottom.
    pub tracks: &'a [Track],
    /// The two cursors, and which is in hand.
    pub cursors: [Option<u64>; 2],
    /// The cursor in hand.
    pub in_hand: usize,
    /// A moment to be marked.
    pub moment: Option<u64>,
}

/// Draws it all.
pub fn paint(paper: &Paper<'_>, inks: &Inks, picture: &Picture<'_>) {
    let c = paper.context;
    let _ = c.set_transform(paper.scale, 0.0, 0.0, paper.scale, 0.0, 0.0);
    c.clear_rect(0.0, 0.0, paper.width, paper.height);
    measure(paper, inks, picture);
    for (row, track) in picture.tracks.iter().enumerate() {
        trace(paper, inks, picture.span, track, row as f64 * ROW);
    }
    for (n, cursor) in picture.cursors.iter().enumerate() {
        if let Some(tick) = cursor {
            let width = if n == picture.in_hand { 2.0 } else { 1.0 };
            upright(paper, picture.span, *tick, &Upright { ink: &inks.choice, width, sign: ["1", "2"][n] });
        }
    }
    if let Some(tick) = picture.moment {
        upright(paper, picture.span, tick, &Upright { ink: &inks.broken, width: 2.5, sign: "✕" });
    }
}

fn measure(paper: &Paper<'_>, inks: &Inks, picture: &Picture<'_>) {
    let c = paper.context;
    let bottom = picture.tracks.len() as f64 * ROW;
    let step = picture.span.step_ms();
    c.set_line_width(1.0);
    c.set_stroke_style_str(&inks.hair);
    c.set_fill_style_str(&inks.faint);
    c.set_text_align("center");
    c.begin_path();
    for tick in picture.span.marks() {
        let x = (picture.span.place(tick) * paper.width).round() + 0.5;
        c.move_to(x, 0.0);
        c.line_to(x, bottom + 4.0);
        if x > 22.0 && x < paper.width - 22.0 {
            let _ = c.fill_text(&clock(tick, step), x, bottom + 16.0);
        }
    }
    for row in 0..picture.tracks.len() {
        let y = row as f64 * ROW + ROW - 6.5;
        c.move_to(0.0, y);
        c.line_to(paper.width, y);
    }
    c.stroke();
}

/// One signal: 1 above and heavy, 0 below and thin.
fn trace(paper: &Paper<'_>, inks: &Inks, span: Span, track: &Track, top: f64) {
    let c = paper.context;
    let Some(before) = track.value_at(span.from()).or(track.before) else {
        c.set_fill_style_str(&inks.faint);
        c.set_text_align("left");
        let _ = c.fill_text("–", 4.0, top + ROW - 10.0);
        return;
    };
    let level = |on: bool| if on { top + 8.0 } else { top + ROW - 6.5 };
    c.set_stroke_style_str(&inks.ink);
    for heavy in [false, true] {
        c.begin_path();
        c.set_line_width(if heavy { 3.0 } else { 1.5 });
        let (mut x, mut on) = (span.place(span.from()).max(0.0) * paper.width, before);
        for (tick, value) in track.changes.iter().filter(|(tick, _)| *tick > span.from() && *tick <= span.end)
        {
            let next = span.place(*tick) * paper.width;
            if on == heavy {
                c.move_to(x, level(on));
                c.line_to(next, level(on));
            }
            if !heavy {
                c.move_to(next, level(false));
                c.line_to(next, level(true));
            }
            (x, on) = (next, *value);
        }
        if on == heavy {
            c.move_to(x, level(on));
            c.line_to(paper.width, level(on));
        }
        c.stroke();
    }
}

struct Upright<'a> {
    ink: &'a str,
    width: f64,
    sign: &'a str,
}

fn upright(paper: &Paper<'_>, span: Span, tick: u64, line: &Upright<'_>) {
    let place = span.place(tick);
    if !(0.0..=1.0).contains(&place) {
        return;
    }
    let c = paper.context;
    let x = (place * paper.width).clamp(1.0, paper.width - 1.0);
    c.set_stroke_style_str(line.ink);
    c.set_line_width(line.width);
    c.begin_path();
    c.move_to(x, 0.0);
    c.line_to(x, paper.height - MEASURE + 6.0);
    c.stroke();
    c.set_fill_style_str(line.ink);
    let near_edge = x > paper.width - 14.0;
    c.set_text_align(if near_edge { "right" } else { "left" });
    let _ = c.fill_text(line.sign, if near_edge { x - 4.0 } else { x + 4.0 }, 10.0);
}
