//! Points, boxes and polylines of the drawing, in drawing units.

/// A point.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Point {
    /// To the right.
    pub x: f64,
    /// Downwards.
    pub y: f64,
}

/// An upright box.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Rect {
    /// Left edge.
    pub x: f64,
    /// Upper edge.
    pub y: f64,
    /// Width.
    pub w: f64,
    /// Height.
    pub h: f64,
}

impl Point {
    /// The point at `x`, `y`.
    pub const fn new(x: f64, y: f64) -> Self {
        Point { x, y }
    }

    /// Distance to another point.
    pub fn distance(self, other: Point) -> f64 {
        ((self.x - other.x).powi(2) + (self.y - other.y).powi(2)).sqrt()
    }
}

impl Rect {
    /// The box with this upper left corner and size.
    pub const fn new(x: f64, y: f64, w: f64, h: f64) -> Self {
        Rect { x, y, w, h }
    }

    /// Right edge.
    pub fn right(self) -> f64 {
        self.x + self.w
    }

    /// Lower edge.
    pub fn bottom(self) -> f64 {
        self.y + self.h
    }

    /// Middle.
    pub fn middle(self) -> Point {
        Point::new(self.x + self.w / 2.0, self.y + self.h / 2.0)
    }

    /// Whether the point is strictly inside, by more than `margin` from every edge.
    pub fn contains(self, p: Point, margin: f64) -> bool {
        p.x > self.x + margin
            && p.x < self.right() - margin
            && p.y > self.y + margin
            && p.y < self.bottom() - margin
    }

    /// Whether two boxes have an area in common; those that touch have none, whatever rounding makes of it.
    pub fn overlaps(self, other: Rect) -> bool {
        const ROUNDING: f64 = 1e-9;
        let common = |from: f64, to: f64| to - from > ROUNDING;
        common(self.x, other.right())
            && common(other.x, self.right())
            && common(self.y, other.bottom())
            && common(other.y, self.bottom())
    }

    /// Distance from a point to the box; 0 inside.
    pub fn distance(self, p: Point) -> f64 {
        let near = Point::new(p.x.clamp(self.x, self.right()), p.y.clamp(self.y, self.bottom()));
        near.distance(p)
    }
}

/// Distance from a point to the segment `a`–`b`.
pub fn segment_distance(p: Point, a: Point, b: Point) -> f64 {
    let (dx, dy) = (b.x - a.x, b.y - a.y);
    let length = dx * dx + dy * dy;
    if length == 0.0 {
        return p.distance(a);
    }
    let t = (((p.x - a.x) * dx + (p.y - a.y) * dy) / length).clamp(0.0, 1.0);
    p.distance(Point::new(a.x + t * dx, a.y + t * dy))
}

/// Distance from a point to a polyline; infinite for an empty one.
pub fn polyline_distance(p: Point, line: &[Point]) -> f64 {
    match line {
        [] => f64::INFINITY,
        [only] => p.distance(*only),
        _ => line.windows(2).map(|s| segment_distance(p, s[0], s[1])).fold(f64::INFINITY, f64::min),
    }
}

/// Length of a polyline.
pub fn length(line: &[Point]) -> f64 {
    line.windows(2).map(|s| s[0].distance(s[1])).sum()
}

/// For the tests of routes: points along a polyline at most `step` apart, ends included.
#[cfg(test)]
pub fn sampled(line: &[Point], step: f64) -> Vec<Point> {
    let mut all: Vec<Point> = line.first().copied().into_iter().collect();
    for s in line.windows(2) {
        let parts = (s[0].distance(s[1]) / step).ceil().max(1.0);
        for i in 1..=parts as usize {
            let t = i as f64 / parts;
            all.push(Point::new(s[0].x + t * (s[1].x - s[0].x), s[0].y + t * (s[1].y - s[0].y)));
        }
    }
    all
}

/// SVG path of a polyline with its corners rounded by `radius`.
pub fn rounded_path(line: &[Point], radius: f64) -> String {
    use std::fmt::Write;
    let mut d = String::new();
    let Some(first) = line.first() else { return d };
    let _ = write!(d, "M{:.1} {:.1}", first.x, first.y);
    for (i, &p) in line.iter().enumerate().skip(1) {
        let before = line[i - 1];
        let Some(&after) = line.get(i + 1) else {
            let _ = write!(d, "L{:.1} {:.1}", p.x, p.y);
            break;
        };
        let r = radius.min(before.distance(p) / 2.0).min(p.distance(after) / 2.0);
        let toward = |from: Point, to: Point| {
            let d = from.distance(to);
            if d == 0.0 {
                from
            } else {
                Point::new(from.x + (to.x - from.x) * r / d, from.y + (to.y - from.y) * r / d)
            }
        };
        let (a, b) = (toward(p, before), toward(p, after));
        let _ = write!(d, "L{:.1} {:.1}Q{:.1} {:.1} {:.1} {:.1}", a.x, a.y, p.x, p.y, b.x, b.y);
    }
    d
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn distances_by_hand() {
        let line = [Point::new(0.0, 0.0), Point::new(10.0, 0.0), Point::new(10.0, 10.0)];
        assert_eq!(polyline_distance(Point::new(5.0, 3.0), &line), 3.0);
        assert_eq!(polyline_distance(Point::new(13.0, 14.0), &line), 5.0);
        assert_eq!(length(&line), 20.0);
        assert_eq!(Rect::new(0.0, 0.0, 10.0, 10.0).distance(Point::new(13.0, 14.0)), 5.0);
    }

    #[test]
    fn samples_are_no_further_apart_than_asked() {
        let all = sampled(&[Point::new(0.0, 0.0), Point::new(7.0, 0.0), Point::new(7.0, 3.0)], 2.0);
        assert!(all.windows(2).all(|s| s[0].distance(s[1]) <= 2.0));
        assert_eq!(all.len(), 1 + 4 + 2);
        assert_eq!(all.last(), Some(&Point::new(7.0, 3.0)));
    }

    #[test]
    fn a_corner_is_rounded_within_its_legs() {
        let d = rounded_path(&[Point::new(0.0, 0.0), Point::new(10.0, 0.0), Point::new(10.0, 2.0)], 4.0);
        assert_eq!(d, "M0.0 0.0L9.0 0.0Q10.0 0.0 10.0 1.0L10.0 2.0");
    }
}
