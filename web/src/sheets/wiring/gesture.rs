//! Pointers on the drawing: dragging a conductor, tapping, panning, pinching. Pure: it is fed with pointers and says what
//! they mean.

use super::geometry::{Point, Rect};
use super::panel::Panel;
use super::view;
use sealin_core::plan::Terminal;
use std::collections::BTreeMap;

/// How far a pointer may stray and still tap, CSS pixels.
const STRAY: f64 = 6.0;
/// How far beside a terminal the mouse still takes it, CSS pixels.
const MOUSE_REACH: f64 = 3.0;
/// How far beside a terminal a finger still takes it, CSS pixels.
const FINGER_REACH: f64 = 14.0;
/// Terminals within this distance of a finger compete for it, CSS pixels: half of a target of 44.
const CROWD_REACH: f64 = 22.0;

/// The drawing as the pointer meets it.
#[derive(Clone, Copy)]
pub struct Ground<'a> {
    /// The drawing.
    pub panel: &'a Panel,
    /// What of it is in view.
    pub view: Rect,
    /// Its element, CSS pixels.
    pub screen: Rect,
}

/// A pointer event.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pointer {
    /// Its id.
    pub id: i32,
    /// Where, CSS pixels.
    pub at: Point,
    /// A finger, not a mouse or pen.
    pub finger: bool,
}

/// What the pointers mean.
#[derive(Clone, Debug, PartialEq)]
pub enum Meaning {
    /// Nothing, or nothing yet.
    Nothing,
    /// A conductor is being drawn from a terminal to this point; `target` would take it.
    Drawing {
        /// Where it begins.
        from: Terminal,
        /// Where the pointer is.
        to: Point,
        /// The terminal under the pointer.
        target: Option<Terminal>,
    },
    /// A conductor was drawn between two terminals.
    Drawn(Terminal, Terminal),
    /// Drawing ended nowhere.
    Dropped,
    /// A terminal was tapped.
    Terminal(Terminal),
    /// A finger met several terminals at once: choose from these, nearest first.
    Crowd(Vec<Terminal>),
    /// A place without a terminal was tapped; conductors within the distance may be meant.
    Place(Point, f64),
    /// Another part of the drawing is in view.
    View(Rect),
}

#[derive(Clone, Debug, Default, PartialEq)]
enum State {
    #[default]
    Idle,
    Pressed {
        start: Point,
        on: Option<Terminal>,
    },
    Drawing {
        from: Terminal,
    },
    Panning {
        last: Point,
    },
    Pinching,
}

/// The pointers that are down.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Gesture {
    pointers: BTreeMap<i32, Point>,
    state: State,
}

impl Gesture {
    /// A pointer goes down.
    pub fn down(&mut self, p: Pointer, ground: Ground<'_>) -> Meaning {
        self.pointers.insert(p.id, p.at);
        if self.pointers.len() > 1 {
            let dropped = matches!(self.state, State::Drawing { .. });
            self.state = State::Pinching;
            return if dropped { Meaning::Dropped } else { Meaning::Nothing };
        }
        let on = ground.terminal(p).cloned();
        // Below the readable size a finger moves the drawing: it cannot tell one terminal from the next.
        let may_draw = !p.finger || ground.scale() >= view::READABLE;
        self.state = State::Pressed { start: p.at, on: on.filter(|_| may_draw) };
        Meaning::Nothing
    }

    /// A pointer moves.
    pub fn moved(&mut self, p: Pointer, ground: Ground<'_>) -> Meaning {
        let Some(before) = self.pointers.insert(p.id, p.at) else {
            self.pointers.remove(&p.id);
            return Meaning::Nothing;
        };
        match self.state.clone() {
            State::Idle => Meaning::Nothing,
            State::Pressed { start, on } => {
                if start.distance(p.at) <= STRAY {
                    return Meaning::Nothing;
                }
                match on {
                    Some(from) => {
                        self.state = State::Drawing { from: from.clone() };
                        ground.drawing(from, p)
                    }
                    None => {
                        self.state = State::Panning { last: p.at };
                        ground.pan(start, p.at)
                    }
                }
            }
            State::Drawing { from } => ground.drawing(from, p),
            State::Panning { last } => {
                self.state = State::Panning { last: p.at };
                ground.pan(last, p.at)
            }
            State::Pinching => self.pinched(p.id, before, p.at, ground),
        }
    }

    /// A pointer goes up.
    pub fn up(&mut self, p: Pointer, ground: Ground<'_>) -> Meaning {
        if self.pointers.remove(&p.id).is_none() {
            return Meaning::Nothing;
        }
        let state = self.state.clone();
        if !self.pointers.is_empty() {
            // The finger that stays goes on panning.
            if let (State::Pinching, Some(&last)) = (&state, self.pointers.values().next()) {
                self.state = if self.pointers.len() == 1 { State::Panning { last } } else { State::Pinching };
            }
            return Meaning::Nothing;
        }
        self.state = State::Idle;
        match state {
            State::Pressed { .. } => ground.tapped(p),
            State::Drawing { from } => match ground.drawing(from.clone(), p) {
                Meaning::Drawing { target: Some(to), .. } => Meaning::Drawn(from, to),
                _ => Meaning::Dropped,
            },
            _ => Meaning::Nothing,
        }
    }

    /// The browser took the pointers away, or the person gave up.
    pub fn cancel(&mut self) -> Meaning {
        let dropped = matches!(self.state, State::Drawing { .. });
        *self = Gesture::default();
        if dropped { Meaning::Dropped } else { Meaning::Nothing }
    }

    fn pinched(&self, id: i32, before: Point, now: Point, ground: Ground<'_>) -> Meaning {
        let Some(&other) = self.pointers.iter().find(|(i, _)| **i != id).map(|(_, at)| at) else {
            return Meaning::Nothing;
        };
        let (was, is) = (other.distance(before), other.distance(now));
        if was < 1.0 || is < 1.0 {
            return Meaning::Nothing;
        }
        let middle = |p: Point| Point::new((p.x + other.x) / 2.0, (p.y + other.y) / 2.0);
        let about = view::to_drawing(ground.view, ground.screen, middle(before));
        let grown = view::zoomed(ground.view, ground.panel.area, ground.screen, about, is / was);
        Ground { view: grown, ..ground }.pan(middle(before), middle(now))
    }
}

impl Ground<'_> {
    /// CSS pixels a unit.
    pub fn scale(&self) -> f64 {
        view::scale(self.view, self.screen)
    }

    fn point(&self, client: Point) -> Point {
        view::to_drawing(self.view, self.screen, client)
    }

    fn reach(&self, finger: bool) -> f64 {
        (if finger { FINGER_REACH } else { MOUSE_REACH }) / self.scale().max(1e-6)
    }

    fn terminal(&self, p: Pointer) -> Option<&Terminal> {
        self.panel.terminal_at(self.point(p.at), self.reach(p.finger))
    }

    fn drawing(&self, from: Terminal, p: Pointer) -> Meaning {
        let target = self.terminal(p).filter(|t| **t != from).cloned();
        Meaning::Drawing { from, to: self.point(p.at), target }
    }

    fn pan(&self, from: Point, to: Point) -> Meaning {
        let s = self.scale().max(1e-6);
        Meaning::View(view::panned(self.view, self.panel.area, (from.x - to.x) / s, (from.y - to.y) / s))
    }

    fn tapped(&self, p: Pointer) -> Meaning {
        if p.finger && self.scale() < view::READABLE {
            let near = self.panel.terminals_near(self.point(p.at), CROWD_REACH / self.scale().max(1e-6));
            if near.len() > 1 {
                return Meaning::Crowd(near.into_iter().cloned().collect());
            }
        }
        match self.terminal(p) {
            None if p.finger && self.scale() < view::LEGIBLE => {
                Meaning::View(view::close_to(self.point(p.at), self.panel.area, self.screen))
            }
            Some(t) => Meaning::Terminal(t.clone()),
            None => Meaning::Place(self.point(p.at), self.reach(p.finger) * 2.0),
        }
    }
}
