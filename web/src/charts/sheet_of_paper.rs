//! What both charts draw: grid with figures, curves, the point where the machine is.

use super::axes::Field;
use crate::services::canvas::{Inks, Paper};

/// A mark on a measure: value, and the figure beside it (none for a grid line alone).
pub type Mark = (f64, Option<String>);

/// How a line is drawn.
#[derive(Clone, Copy)]
pub struct Pen<'a> {
    /// Ink.
    pub ink: &'a str,
    /// Width, CSS pixels.
    pub width: f64,
}

/// Empties the paper and makes it sharp.
pub fn begin(paper: &Paper<'_>) {
    let c = paper.context;
    let _ = c.set_transform(paper.scale, 0.0, 0.0, paper.scale, 0.0, 0.0);
    c.clear_rect(0.0, 0.0, paper.width, paper.height);
}

/// Grid lines with their figures: those of x under the field, those of y at its left.
pub fn grid(paper: &Paper<'_>, inks: &Inks, field: &Field, x: &[Mark], y: &[Mark]) {
    let c = paper.context;
    c.set_fill_style_str(&inks.faint);
    c.set_stroke_style_str(&inks.hair);
    c.set_line_width(1.0);
    c.begin_path();
    for (value, figure) in x {
        let at = field.at_x(*value).round() + 0.5;
        c.move_to(at, field.top);
        c.line_to(at, field.bottom() + if figure.is_some() { 4.0 } else { 0.0 });
        if let Some(figure) = figure {
            c.set_text_align("center");
            let _ = c.fill_text(figure, at, field.bottom() + 15.0);
        }
    }
    for (value, figure) in y {
        let at = field.at_y(*value).round() + 0.5;
        c.move_to(field.left - if figure.is_some() { 4.0 } else { 0.0 }, at);
        c.line_to(field.right(), at);
        if let Some(figure) = figure {
            c.set_text_align("right");
            let _ = c.fill_text(figure, field.left - 7.0, at + 3.5);
        }
    }
    c.stroke();
    c.set_stroke_style_str(&inks.faint);
    c.stroke_rect(field.left + 0.5, field.top + 0.5, field.width, field.height);
}

/// A curve through points, cut off at the edges of the field.
pub fn curve(paper: &Paper<'_>, field: &Field, pen: Pen<'_>, points: impl IntoIterator<Item = (f64, f64)>) {
    let c = paper.context;
    c.save();
    c.begin_path();
    c.rect(field.left, field.top, field.width, field.height);
    c.clip();
    c.begin_path();
    c.set_stroke_style_str(pen.ink);
    c.set_line_width(pen.width);
    for (n, (x, y)) in points.into_iter().enumerate() {
        let (x, y) = (field.at_x(x), field.at_y(y));
        if n == 0 {
            c.move_to(x, y);
        } else {
            c.line_to(x, y);
        }
    }
    c.stroke();
    c.restore();
}

/// A straight line between two places of the paper.
pub fn line(paper: &Paper<'_>, pen: Pen<'_>, from: (f64, f64), to: (f64, f64)) {
    let c = paper.context;
    c.begin_path();
    c.set_stroke_style_str(pen.ink);
    c.set_line_width(pen.width);
    c.move_to(from.0, from.1);
    c.line_to(to.0, to.1);
    c.stroke();
}

/// The point where the machine is: a ring with a dot, seen on any ground.
pub fn running_point(paper: &Paper<'_>, inks: &Inks, (x, y): (f64, f64)) {
    let c = paper.context;
    for (ink, radius) in [(&inks.sheet, 8.0), (&inks.choice, 6.5), (&inks.sheet, 4.0), (&inks.choice, 2.6)] {
        c.begin_path();
        c.set_fill_style_str(ink);
        let _ = c.arc(x, y, radius, 0.0, std::f64::consts::TAU);
        c.fill();
    }
}

/// A cross, for a place that is an end.
pub fn cross(paper: &Paper<'_>, pen: Pen<'_>, (x, y): (f64, f64), size: f64) {
    line(paper, pen, (x - size, y - size), (x + size, y + size));
    line(paper, pen, (x - size, y + size), (x + size, y - size));
}

/// A word on the paper.
pub fn word(paper: &Paper<'_>, ink: &str, align: &str, (x, y): (f64, f64), text: &str) {
    let c = paper.context;
    c.set_fill_style_str(ink);
    c.set_text_align(align);
    let _ = c.fill_text(text, x, y);
}
