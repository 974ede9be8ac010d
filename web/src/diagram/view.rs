//! What is in view of a timing diagram: length, end, two cursors. A pure reducer.

use super::span::{SHORTEST_MS, Span};
use std::rc::Rc;
use yew::Reducible;

/// The state of a diagram.
#[derive(Clone, Debug, PartialEq)]
pub struct View {
    /// Length in view, ms.
    pub length_ms: u64,
    /// Last tick in view; none while it follows the bench.
    pub end: Option<u64>,
    /// The two cursors.
    pub cursors: [Option<u64>; 2],
    /// The cursor that the keys move: 0 or 1.
    pub in_hand: usize,
}

/// Something done to the view.
#[derive(Clone, Debug, PartialEq)]
pub enum ViewAct {
    /// Choose a length; the end stays.
    Length(u64),
    /// Look back to this tick.
    LookBack(u64),
    /// Follow the bench again.
    Follow,
    /// Put the cursor in hand at a tick; the view, which ended at `end`, stands still from then on.
    Put {
        /// Tick of the cursor.
        tick: u64,
        /// End of the view until now.
        end: u64,
    },
    /// Take a cursor in hand.
    Take(usize),
    /// Take both cursors away.
    Clear,
}

impl View {
    /// A view that follows the bench.
    pub fn following(length_ms: u64) -> View {
        View { length_ms, end: None, cursors: [None, None], in_hand: 0 }
    }

    /// A view that stands at a stretch.
    pub fn at(span: Span) -> View {
        View { end: Some(span.end), ..View::following(span.length_ms) }
    }

    /// The stretch in view when the source ends at `now`.
    pub fn span(&self, now: u64) -> Span {
        Span { end: self.end.unwrap_or(now).min(now), length_ms: self.length_ms }
    }

    /// Milliseconds from the first cursor to the second.
    pub fn between(&self) -> Option<i64> {
        match self.cursors {
            [Some(a), Some(b)] => Some(b as i64 - a as i64),
            _ => None,
        }
    }

    /// The view after something was done to it.
    pub fn after(&self, act: ViewAct) -> View {
        let mut next = self.clone();
        match act {
            ViewAct::Length(length_ms) => next.length_ms = length_ms.max(SHORTEST_MS),
            ViewAct::LookBack(end) => next.end = Some(end),
            ViewAct::Follow => next.end = None,
            ViewAct::Put { tick, end } => {
                next.cursors[next.in_hand] = Some(tick);
                // Brought into view if a key has moved it out.
                let span = Span { end, length_ms: self.length_ms };
                next.end = Some(if tick > end {
                    tick
                } else if tick < span.from() {
                    tick + self.length_ms
                } else {
                    end
                });
            }
            ViewAct::Take(cursor) => next.in_hand = cursor.min(1),
            ViewAct::Clear => next = View { cursors: [None, None], in_hand: 0, ..next },
        }
        next
    }
}

impl Reducible for View {
    type Action = ViewAct;

    fn reduce(self: Rc<Self>, act: ViewAct) -> Rc<View> {
        Rc::new(self.after(act))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cursor_stops_the_view_and_two_measure() {
        let view = View::following(1_500);
        assert_eq!(view.span(9_000).end, 9_000);
        let one = view.after(ViewAct::Put { tick: 8_000, end: 9_000 });
        assert_eq!((one.end, one.between()), (Some(9_000), None));
        let two = one.after(ViewAct::Take(1)).after(ViewAct::Put { tick: 8_037, end: 9_000 });
        assert_eq!(two.between(), Some(37));
        assert_eq!(two.after(ViewAct::Clear).cursors, [None, None]);
        assert_eq!(two.after(ViewAct::Follow).span(12_000).end, 12_000);
    }

    #[test]
    fn a_cursor_moved_out_of_view_is_brought_back() {
        let view = View::at(Span { end: 9_000, length_ms: 1_000 });
        let put = |tick| view.after(ViewAct::Put { tick, end: 9_000 }).end;
        assert_eq!([put(9_100), put(7_500), put(8_500)], [Some(9_100), Some(8_500), Some(9_000)]);
    }
}
