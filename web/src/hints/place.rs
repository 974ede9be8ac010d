//! Where a note goes: beside the thing it speaks of, and never over it.

/// A box on the screen, CSS pixels.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Area {
    /// Left edge.
    pub x: f64,
    /// Upper edge.
    pub y: f64,
    /// Width.
    pub w: f64,
    /// Height.
    pub h: f64,
}

/// Between a note and what it speaks of, CSS pixels.
const GAP: f64 = 18.0;

/// Around the note, inside of the room there is, CSS pixels.
const MARGIN: f64 = 8.0;

impl Area {
    /// What both have in common, CSS pixels squared.
    pub fn common(self, other: Area) -> f64 {
        let along = |a: f64, b: f64, c: f64, d: f64| (a + b).min(c + d) - a.max(c);
        let (w, h) = (along(self.x, self.w, other.x, other.w), along(self.y, self.h, other.y, other.h));
        if w > 0.0 && h > 0.0 { w * h } else { 0.0 }
    }

    /// Moved, and cut where that is not enough, so that it lies inside of `room`.
    pub fn held(self, room: Area) -> Area {
        let (w, h) = (self.w.min(room.w), self.h.min(room.h));
        let x = self.x.clamp(room.x, room.x + room.w - w);
        Area { x, y: self.y.clamp(room.y, room.y + room.h - h), w, h }
    }

    /// The point of it that is nearest to a point.
    pub fn nearest(self, (x, y): (f64, f64)) -> (f64, f64) {
        (x.clamp(self.x, self.x + self.w), y.clamp(self.y, self.y + self.h))
    }

    /// Its middle.
    pub fn middle(self) -> (f64, f64) {
        (self.x + self.w / 2.0, self.y + self.h / 2.0)
    }
}

/// The place of a note of `w` by `h` that speaks of `at`: below, above, at the right or left, else in a corner of the
/// room; the first that covers neither `at` nor anything of `clear`. Where there is none, the one that covers least, and
/// `at` last of all.
pub fn place((w, h): (f64, f64), at: Area, clear: &[Area], room: Area) -> Area {
    let room =
        Area { x: room.x + MARGIN, y: room.y + MARGIN, w: room.w - 2.0 * MARGIN, h: room.h - 2.0 * MARGIN };
    let (cx, cy) = at.middle();
    let (right, below) = (room.x + room.w - w, room.y + room.h - h);
    let places = [
        (cx - w / 2.0, at.y + at.h + GAP),
        (cx - w / 2.0, at.y - GAP - h),
        (at.x + at.w + GAP, cy - h / 2.0),
        (at.x - GAP - w, cy - h / 2.0),
        (room.x, below),
        (right, below),
        (room.x, room.y),
        (right, room.y),
    ];
    let places = places.map(|(x, y)| Area { x, y, w, h }.held(room));
    let covered = |note: &Area| {
        let least = |area: &Area| note.common(*area);
        1e6 * note.common(at) + clear.iter().map(least).sum::<f64>()
    };
    let mut best = places[0];
    for note in &places[1..] {
        if covered(note) < covered(&best) {
            best = *note;
        }
    }
    best
}

#[cfg(test)]
mod tests {
    use super::*;

    const fn area(x: f64, y: f64, w: f64, h: f64) -> Area {
        Area { x, y, w, h }
    }

    const PHONE: Area = area(0.0, 0.0, 390.0, 844.0);
    const DESK: Area = area(0.0, 0.0, 1440.0, 900.0);

    /// By hand: below is 18 under the thing, in the middle of it; held within 8 of the edge.
    #[test]
    fn below_where_there_is_room() {
        let note = place((280.0, 100.0), area(700.0, 300.0, 40.0, 20.0), &[], DESK);
        assert_eq!(note, area(580.0, 338.0, 280.0, 100.0));
        let note = place((280.0, 100.0), area(0.0, 300.0, 40.0, 20.0), &[], DESK);
        assert_eq!((note.x, note.y), (8.0, 338.0));
    }

    #[test]
    fn above_where_there_is_none_below_and_beside_where_neither_is() {
        let note = place((280.0, 100.0), area(100.0, 820.0, 60.0, 44.0), &[], PHONE);
        assert_eq!(note.y, 820.0 - 18.0 - 100.0);
        let tall = area(100.0, 10.0, 60.0, 880.0);
        assert_eq!(place((280.0, 100.0), tall, &[], DESK).x, 178.0);
    }

    #[test]
    fn another_thing_it_speaks_of_is_left_clear() {
        let (at, other) = (area(700.0, 300.0, 40.0, 20.0), area(650.0, 380.0, 40.0, 20.0));
        let note = place((280.0, 100.0), at, &[other], DESK);
        assert_eq!((note.common(at), note.common(other)), (0.0, 0.0));
        assert_eq!(note.y, 300.0 - 18.0 - 100.0);
    }

    /// Every place of a thing on phone and desk, in steps: what is spoken of is never covered, and nothing is cut off.
    #[test]
    fn it_never_covers_what_it_speaks_of() {
        for room in [PHONE, DESK] {
            let (w, h) = (room.w as usize - 44, room.h as usize - 44);
            for x in (0..w).step_by(17) {
                for y in (0..h).step_by(13) {
                    let at = area(x as f64, y as f64, 44.0, 44.0);
                    let note = place((280.0, 170.0), at, &[], room);
                    assert_eq!(note.common(at), 0.0, "{at:?} {note:?}");
                    assert_eq!(note.held(room), note);
                }
            }
        }
    }
}
