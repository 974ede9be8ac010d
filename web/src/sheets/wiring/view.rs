//! What part of the drawing is in view: fit, zoom, pan. Boxes in drawing units; `screen` is the drawing's element in
//! CSS pixels.

use super::geometry::{Point, Rect};

/// Blank margin around the drawing.
pub const MARGIN: f64 = 4.0;
/// Largest magnification, CSS pixels a unit.
const LARGEST: f64 = 6.0;
/// Magnification from which each terminal of a strip can be met with a finger: 24 CSS pixels (WCAG 2.2, 2.5.8), and a
/// little for what is rounded, on the narrowest pitch of 13.6 units.
pub const READABLE: f64 = 24.5 / 13.6;

/// Magnification below which small words cannot be read: 9 units at 7 CSS pixels. There a tap looks closer.
pub const LEGIBLE: f64 = 0.78;

/// The whole drawing, in the proportions of the screen.
pub fn fit(area: Rect, screen: Rect) -> Rect {
    let (w, h) = (area.w + 2.0 * MARGIN, area.h + 2.0 * MARGIN);
    proportioned(area.middle(), w, h, screen)
}

/// CSS pixels a unit.
pub fn scale(view: Rect, screen: Rect) -> f64 {
    if view.w <= 0.0 || view.h <= 0.0 { 1.0 } else { (screen.w / view.w).min(screen.h / view.h) }
}

/// The point of the drawing under a point of the screen.
pub fn to_drawing(view: Rect, screen: Rect, client: Point) -> Point {
    let s = scale(view, screen).max(1e-6);
    let (m, c) = (view.middle(), screen.middle());
    Point::new(m.x + (client.x - c.x) / s, m.y + (client.y - c.y) / s)
}

/// The view magnified by `factor` so that the point `about` of the drawing stays where it is.
pub fn zoomed(view: Rect, area: Rect, screen: Rect, about: Point, factor: f64) -> Rect {
    let least = scale(fit(area, screen), screen);
    let now = scale(view, screen);
    let next = (now * factor).clamp(least, LARGEST.max(least));
    let k = now / next;
    let whole = proportioned(view.middle(), view.w, view.h, screen);
    let grown = Rect::new(
        about.x + (whole.x - about.x) * k,
        about.y + (whole.y - about.y) * k,
        whole.w * k,
        whole.h * k,
    );
    held(grown, area)
}

/// The view moved by so many units.
pub fn panned(view: Rect, area: Rect, dx: f64, dy: f64) -> Rect {
    held(Rect::new(view.x + dx, view.y + dy, view.w, view.h), area)
}

/// The view moved as little as shows `wanted` whole, with some room around it.
pub fn showing(view: Rect, area: Rect, wanted: Rect) -> Rect {
    let room = 24.0f64.min(view.w / 4.0).min(view.h / 4.0);
    let along = |from: f64, size: f64, a: f64, b: f64| {
        if a - room < from {
            a - room - from
        } else if b + room > from + size {
            (b + room - from - size).min(a - room - from)
        } else {
            0.0
        }
    };
    let dx = along(view.x, view.w, wanted.x, wanted.right());
    let dy = along(view.y, view.h, wanted.y, wanted.bottom());
    panned(view, area, dx, dy)
}

/// A place in the middle, magnified so that a finger meets each terminal.
pub fn close_to(place: Point, area: Rect, screen: Rect) -> Rect {
    let least = scale(fit(area, screen), screen);
    let s = READABLE.max(least);
    held(proportioned(place, screen.w / s, screen.h / s, screen), area)
}

/// The view kept over the drawing: centred where it is larger.
fn held(view: Rect, area: Rect) -> Rect {
    let along = |from: f64, size: f64, a: f64, whole: f64| {
        let (low, high) = (a - MARGIN, a + whole + MARGIN - size);
        if high < low { (low + high) / 2.0 } else { from.clamp(low, high) }
    };
    Rect::new(along(view.x, view.w, area.x, area.w), along(view.y, view.h, area.y, area.h), view.w, view.h)
}

/// A box around `middle` of at least this size in the proportions of the screen.
fn proportioned(middle: Point, w: f64, h: f64, screen: Rect) -> Rect {
    let (w, h) = if screen.w <= 0.0 || screen.h <= 0.0 {
        (w, h)
    } else if w * screen.h < h * screen.w {
        (h * screen.w / screen.h, h)
    } else {
        (w, w * screen.h / screen.w)
    };
    Rect::new(middle.x - w / 2.0, middle.y - h / 2.0, w, h)
}

#[cfg(test)]
mod tests {
    use super::*;

    const AREA: Rect = Rect::new(0.0, 0.0, 900.0, 720.0);
    const PHONE: Rect = Rect::new(10.0, 100.0, 370.0, 500.0);

    #[test]
    fn the_whole_drawing_fits() {
        let view = fit(AREA, PHONE);
        assert!(view.w >= 908.0 && view.h >= 728.0);
        assert!((view.w / view.h - 370.0 / 500.0).abs() < 1e-9);
        assert!((scale(view, PHONE) - 370.0 / 908.0).abs() < 1e-9);
        assert_eq!(to_drawing(view, PHONE, PHONE.middle()), AREA.middle());
    }

    #[test]
    fn zooming_keeps_the_point_under_the_finger() {
        let client = Point::new(60.0, 330.0);
        let mut view = fit(AREA, PHONE);
        for _ in 0..3 {
            let about = to_drawing(view, PHONE, client);
            view = zoomed(view, AREA, PHONE, about, 1.5);
            let after = to_drawing(view, PHONE, client);
            assert!((after.x - about.x).abs() < 1e-6, "{about:?} {after:?}");
        }
        assert!(scale(view, PHONE) > 1.3);
        assert!(scale(zoomed(view, AREA, PHONE, AREA.middle(), 100.0), PHONE) <= LARGEST);
        let back = zoomed(view, AREA, PHONE, AREA.middle(), 0.001);
        assert!((back.w - fit(AREA, PHONE).w).abs() < 1e-6);
    }

    #[test]
    fn panning_stays_over_the_drawing_and_shows_what_is_asked() {
        let view = zoomed(fit(AREA, PHONE), AREA, PHONE, AREA.middle(), 4.0);
        let far = panned(view, AREA, 10_000.0, -10_000.0);
        assert!(far.right() <= 904.0 + 1e-6 && far.y >= -4.0 - 1e-6);
        let wanted = Rect::new(20.0, 600.0, 10.0, 10.0);
        let shown = showing(far, AREA, wanted);
        assert!(shown.contains(wanted.middle(), 5.0), "{shown:?}");
        assert_eq!(showing(shown, AREA, wanted), shown);
    }
}
