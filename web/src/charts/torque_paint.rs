//! Drawing the torque-speed diagram: torque above, current below, over the same speed.

use super::axes::{Field, Scale};
use super::sheet_of_paper::{Mark, Pen, begin, curve, grid, line, running_point, word};
use super::torque::{At, TorquePicture};
use crate::services::canvas::{Inks, Paper};
use crate::t;

/// Room at the left for the figures, above and between for the names of the measures, at the right, below for the speeds.
const LEFT: f64 = 40.0;
const NAME: f64 = 20.0;
const RIGHT: f64 = 14.0;
const BOTTOM: f64 = 24.0;

/// Part of the height that the torque takes; the current has the rest.
const TORQUE_PART: f64 = 0.62;

/// Draws it all.
pub fn paint(paper: &Paper<'_>, inks: &Inks, picture: &TorquePicture) {
    begin(paper);
    let height = (paper.height - 2.0 * NAME - BOTTOM - 8.0).max(2.0);
    let field = |top: f64, height: f64, y: Scale| Field {
        left: LEFT,
        top,
        width: (paper.width - LEFT - RIGHT).max(1.0),
        height,
        x: Scale::Even { from: -1.0, to: 1.0 },
        y,
    };
    let (torque_end, current_end) = (round_up(picture.ends.0), round_up(picture.ends.1));
    let torque = field(NAME, height * TORQUE_PART, Scale::Even { from: -torque_end, to: torque_end });
    let current = field(
        torque.bottom() + 8.0 + NAME,
        height * (1.0 - TORQUE_PART),
        Scale::Even { from: 0.0, to: current_end },
    );
    let bare = [-1.0, -0.5, 0.0, 0.5, 1.0].map(|speed| (speed, None));
    let named = [-1.0, -0.5, 0.0, 0.5, 1.0].map(|speed: f64| (speed, Some(figure(speed * 100.0))));
    grid(paper, inks, &torque, &bare, &steps(-torque_end, torque_end, torque_end / 2.0));
    grid(paper, inks, &current, &named, &steps(0.0, current_end, current_end / 2.0));
    word(paper, &inks.faint, "left", (4.0, torque.top - 7.0), t!("torque-axis-torque"));
    word(paper, &inks.faint, "left", (4.0, current.top - 7.0), t!("torque-axis-current"));
    word(paper, &inks.faint, "right", (torque.right(), torque.top - 7.0), t!("torque-axis-speed"));
    axes(paper, inks, &torque);
    curve(paper, &torque, Pen { ink: &inks.kept, width: 2.0 }, picture.load());
    let (thin, heavy) = (Pen { ink: &inks.faint, width: 1.2 }, Pen { ink: &inks.ink, width: 2.8 });
    let pair = |value: fn(&At) -> f64| move |at: &At| (at.speed, value(at));
    for (pen, all) in [(thin, picture.at_rated()), (heavy, picture.curve())] {
        curve(paper, &torque, pen, all.iter().map(pair(|at| at.torque_nm)));
        curve(paper, &current, pen, all.iter().map(pair(|at| at.amperes)));
    }
    let at = picture.point;
    for (field, value) in [(&torque, at.torque_nm), (&current, at.amperes)] {
        running_point(paper, inks, field.held((at.speed, value)));
    }
}

/// Standstill and no torque, heavier than the grid.
fn axes(paper: &Paper<'_>, inks: &Inks, field: &Field) {
    let pen = Pen { ink: &inks.faint, width: 1.0 };
    let (x, y) = (field.at_x(0.0).round() + 0.5, field.at_y(0.0).round() + 0.5);
    line(paper, pen, (x, field.top), (x, field.bottom()));
    line(paper, pen, (field.left, y), (field.right(), y));
}

/// The end of a measure: the next round figure above a value.
fn round_up(value: f64) -> f64 {
    let mut step = 1.0;
    loop {
        for end in [step, 2.0 * step, 4.0 * step, 6.0 * step, 8.0 * step] {
            if end >= value {
                return end;
            }
        }
        step *= 10.0;
    }
}

fn steps(from: f64, to: f64, step: f64) -> Vec<Mark> {
    let count = ((to - from) / step).round() as usize;
    (0..=count).map(|n| from + n as f64 * step).map(|value| (value, Some(figure(value)))).collect()
}

/// A round figure with a true minus.
fn figure(value: f64) -> String {
    format!("{value:.0}").replace("-0", "0").replace('-', "\u{2212}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_measure_ends_at_a_round_figure() {
        assert_eq!([73.9, 54.3, 0.3, 110.0].map(round_up), [80.0, 60.0, 1.0, 200.0]);
        let figures: Vec<String> = steps(-80.0, 80.0, 40.0).into_iter().filter_map(|(_, f)| f).collect();
        assert_eq!(figures, ["−80", "−40", "0", "40", "80"]);
    }
}
