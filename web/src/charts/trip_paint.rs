//! Drawing the time-current diagram.

use super::axes::{Field, Scale};
use super::sheet_of_paper::{Pen, begin, cross, curve, grid, line, running_point, word};
use super::trip::{MULTIPLES, SECONDS, TripPicture};
use crate::services::canvas::{Inks, Paper};
use crate::t;
use crate::text::time::about;

/// Room at the left for the times, above for the measure's name, at the right, and below for the multiples.
const MARGINS: [f64; 4] = [52.0, 20.0, 12.0, 24.0];

/// Grid of the times, s, and which of them have their figure.
const TIMES: [(f64, bool); 12] = [
    (1.0, true),
    (2.0, false),
    (5.0, false),
    (10.0, true),
    (20.0, false),
    (30.0, false),
    (60.0, true),
    (120.0, false),
    (300.0, false),
    (600.0, true),
    (3600.0, true),
    (7200.0, true),
];

/// Grid of the multiples of the dial.
const TIMES_DIAL: [f64; 10] = [1.0, 1.2, 1.5, 2.0, 3.0, 4.0, 5.0, 6.0, 7.2, 10.0];

/// Draws it all.
pub fn paint(paper: &Paper<'_>, inks: &Inks, picture: &TripPicture) {
    let [left, top, right, bottom] = MARGINS;
    let field = Field {
        left,
        top,
        width: (paper.width - left - right).max(1.0),
        height: (paper.height - top - bottom).max(1.0),
        x: Scale::Ratio { from: MULTIPLES.0, to: MULTIPLES.1 },
        y: Scale::Ratio { from: SECONDS.0, to: SECONDS.1 },
    };
    begin(paper);
    let times = TIMES.map(|(s, named)| (s, named.then(|| time_figure(s))));
    grid(paper, inks, &field, &TIMES_DIAL.map(|m| (m, Some(m.to_string()))), &times);
    word(paper, &inks.faint, "right", (field.right(), 12.0), t!("trip-axis-multiple"));
    word(paper, &inks.faint, "left", (4.0, 12.0), t!("trip-axis-time"));
    limits(paper, inks, &field, picture);
    curve(paper, &field, Pen { ink: &inks.ink, width: 1.2 }, picture.cold());
    curve(paper, &field, Pen { ink: &inks.ink, width: 2.8 }, picture.warm());
    last_trip(paper, inks, &field, picture);
    point(paper, inks, &field, picture);
}

/// A time on the measure: one minute is a minute there.
fn time_figure(seconds: f64) -> String {
    if seconds == 60.0 { t!("trip-axis-minute").to_string() } else { about(seconds) }
}

/// The limits of the class as caps across the current at which they hold: it trips on the side of the stem.
fn limits(paper: &Paper<'_>, inks: &Inks, field: &Field, picture: &TripPicture) {
    let pen = Pen { ink: &inks.kept, width: 2.0 };
    let limits = &picture.limits;
    let cap = |multiple: f64, seconds: f64| {
        let (x, y) = field.held((multiple, seconds));
        line(paper, pen, (x - 6.0, y), (x + 6.0, y));
        (x, y)
    };
    // From cold between the two; hot and warm, below the one.
    let (low, high) = (cap(7.2, limits.cold_least_s), cap(7.2, limits.cold_most_s));
    line(paper, pen, low, high);
    for (multiple, seconds) in [(1.5, limits.hot_most_s), (1.2, limits.warm_most_s)] {
        let (x, y) = cap(multiple, seconds);
        line(paper, pen, (x, y), (x, y + 16.0));
        line(paper, pen, (x - 4.0, y + 11.0), (x, y + 17.0));
        line(paper, pen, (x + 4.0, y + 11.0), (x, y + 17.0));
    }
}

/// Where it tripped last.
fn last_trip(paper: &Paper<'_>, inks: &Inks, field: &Field, picture: &TripPicture) {
    if let Some(last) = &picture.last {
        let at = field.held((last.multiple, last.after_ms as f64 / 1000.0));
        cross(paper, Pen { ink: &inks.broken, width: 2.4 }, at, 5.5);
        let (align, x) =
            if at.0 > field.right() - 90.0 { ("right", at.0 - 9.0) } else { ("left", at.0 + 9.0) };
        word(paper, &inks.broken, align, (x, at.1 - 6.0), t!("trip-mark-last"));
    }
}

/// The present current, how long it has flown, and the way that is left to the trip.
fn point(paper: &Paper<'_>, inks: &Inks, field: &Field, picture: &TripPicture) {
    let Some((multiple, seconds)) = picture.point else { return };
    let at = field.held((multiple, seconds));
    let pen = Pen { ink: &inks.choice, width: 1.2 };
    if let Some(end) = picture.trips_at {
        let end = field.held((multiple, end));
        line(paper, pen, (at.0, field.bottom()), end);
        line(paper, Pen { width: 2.4, ..pen }, (end.0 - 7.0, end.1), (end.0 + 7.0, end.1));
    }
    if multiple < MULTIPLES.0 {
        // Left of the chart: it flows and does not trip.
        let x = field.left;
        line(paper, Pen { width: 2.0, ..pen }, (x + 22.0, at.1), (x + 9.0, at.1));
        line(paper, Pen { width: 2.0, ..pen }, (x + 15.0, at.1 - 4.0), (x + 9.0, at.1));
        line(paper, Pen { width: 2.0, ..pen }, (x + 15.0, at.1 + 4.0), (x + 9.0, at.1));
        word(paper, &inks.choice, "left", (x + 26.0, at.1 + 3.5), t!("trip-mark-below"));
    }
    running_point(paper, inks, at);
}
