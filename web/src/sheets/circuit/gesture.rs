//! Pointers on the diagram: a tap chooses, a drag moves the view, two fingers magnify. Pure.

use crate::sheets::wiring::geometry::{Point, Rect};
use crate::sheets::wiring::view;
use std::collections::BTreeMap;

/// How far a pointer may stray and still tap, CSS pixels.
const STRAY: f64 = 6.0;

/// What the pointers mean.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Meaning {
    /// Nothing, or nothing yet.
    Nothing,
    /// A place of the drawing was tapped.
    Tap(Point),
    /// Another part of the drawing is in view.
    View(Rect),
}

/// The pointers that are down.
#[derive(Clone, Debug, Default)]
pub struct Gesture {
    down: BTreeMap<i32, Point>,
    /// Where a tap began, as long as it still is one.
    tap: Option<Point>,
}

impl Gesture {
    /// A pointer goes down.
    pub fn down(&mut self, id: i32, at: Point) {
        self.down.insert(id, at);
        self.tap = (self.down.len() == 1).then_some(at);
    }

    /// A pointer moves over the drawing, of which `seen` is in view on `screen`.
    pub fn moved(&mut self, id: i32, at: Point, area: Rect, seen: Rect, screen: Rect) -> Meaning {
        let Some(&before) = self.down.get(&id) else { return Meaning::Nothing };
        if self.tap.is_some_and(|start| start.distance(at) <= STRAY) {
            return Meaning::Nothing;
        }
        self.tap = None;
        let other = self.down.iter().find(|(o, _)| **o != id).map(|(_, p)| *p);
        self.down.insert(id, at);
        let middle = |p: Point| other.map_or(p, |o| Point::new((p.x + o.x) / 2.0, (p.y + o.y) / 2.0));
        let mut next = seen;
        if let Some(o) = other {
            let (was, is) = (o.distance(before), o.distance(at));
            if was > 1.0 && is > 1.0 {
                let about = view::to_drawing(seen, screen, middle(before));
                next = view::zoomed(seen, area, screen, about, is / was);
            }
        }
        let (from, to, s) = (middle(before), middle(at), view::scale(next, screen).max(1e-6));
        Meaning::View(view::panned(next, area, (from.x - to.x) / s, (from.y - to.y) / s))
    }

    /// A pointer goes up.
    pub fn up(&mut self, id: i32, seen: Rect, screen: Rect) -> Meaning {
        self.down.remove(&id);
        match self.tap.take() {
            Some(at) => Meaning::Tap(view::to_drawing(seen, screen, at)),
            None => Meaning::Nothing,
        }
    }

    /// The browser took the pointers away.
    pub fn cancel(&mut self) {
        *self = Gesture::default();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const AREA: Rect = Rect::new(0.0, 0.0, 1000.0, 500.0);
    const SCREEN: Rect = Rect::new(0.0, 0.0, 500.0, 250.0);
    const SEEN: Rect = Rect::new(100.0, 100.0, 500.0, 250.0);

    #[test]
    fn a_tap_a_drag_and_two_fingers() {
        let mut g = Gesture::default();
        g.down(1, Point::new(10.0, 20.0));
        assert_eq!(g.moved(1, Point::new(12.0, 21.0), AREA, SEEN, SCREEN), Meaning::Nothing);
        assert_eq!(g.up(1, SEEN, SCREEN), Meaning::Tap(Point::new(110.0, 120.0)));

        g.down(1, Point::new(100.0, 100.0));
        let Meaning::View(v) = g.moved(1, Point::new(80.0, 100.0), AREA, SEEN, SCREEN) else { panic!() };
        assert_eq!((v.x, v.y), (120.0, 100.0), "20 pixels to the left show 20 units more at the right");
        assert_eq!(g.up(1, v, SCREEN), Meaning::Nothing);

        g.down(1, Point::new(200.0, 100.0));
        g.down(2, Point::new(300.0, 100.0));
        let Meaning::View(v) = g.moved(2, Point::new(400.0, 100.0), AREA, SEEN, SCREEN) else { panic!() };
        assert!((v.w - 250.0).abs() < 1e-6, "twice as far apart, twice as large: {v:?}");
        g.cancel();
        assert_eq!(g.moved(2, Point::new(0.0, 0.0), AREA, SEEN, SCREEN), Meaning::Nothing);
    }
}
