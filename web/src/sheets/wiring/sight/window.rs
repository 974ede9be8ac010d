//! The window through which the drawing is seen.

use crate::services::surface;
use crate::sheets::wiring::geometry::{Point, Rect};
use crate::sheets::wiring::view;
use std::cell::RefCell;
use std::rc::Rc;
use yew::prelude::*;

/// What part of the drawing is in view; `None` is all of it. Read at once by the next event, and rendered.
#[derive(Clone, PartialEq)]
pub struct Window {
    now: Rc<RefCell<Option<Rect>>>,
    shown: UseStateHandle<Option<Rect>>,
    node: NodeRef,
}

impl Window {
    /// A window on the element of the drawing.
    pub fn new(now: Rc<RefCell<Option<Rect>>>, shown: UseStateHandle<Option<Rect>>, node: NodeRef) -> Self {
        Window { now, shown, node }
    }

    /// The element.
    pub fn node(&self) -> &NodeRef {
        &self.node
    }

    /// Where it is on the screen.
    pub fn screen(&self) -> Rect {
        let [x, y, w, h] = surface::bounds(&self.node).unwrap_or([0.0; 4]);
        Rect::new(x, y, w, h)
    }

    /// What is in view.
    pub fn view(&self, area: Rect) -> Rect {
        self.now.borrow().unwrap_or_else(|| view::fit(area, self.screen()))
    }

    /// Looks elsewhere; `None` is at all of it.
    pub fn turn(&self, to: Option<Rect>) {
        self.now.replace(to);
        self.shown.set(to);
    }

    /// Around a place that is in view, else around the middle.
    pub fn zoom(&self, area: Rect, about: Option<Point>, factor: f64) {
        let (now, screen) = (self.view(area), self.screen());
        let about = about.filter(|p| now.contains(*p, 0.0)).unwrap_or(now.middle());
        let next = view::zoomed(now, area, screen, about, factor);
        let whole = view::scale(next, screen) <= view::scale(view::fit(area, screen), screen) * 1.001;
        self.turn((!whole).then_some(next));
    }

    /// Shows a place, magnified where all of the drawing is too small to be read.
    pub fn bring(&self, area: Rect, wanted: Rect) {
        let screen = self.screen();
        if view::scale(self.view(area), screen) < view::LEGIBLE {
            self.turn(Some(view::close_to(wanted.middle(), area, screen)));
        } else {
            self.show(area, wanted);
        }
    }

    /// Moves only when not all is in view.
    pub fn show(&self, area: Rect, wanted: Rect) {
        let now = *self.now.borrow();
        if let Some(now) = now {
            self.turn(Some(view::showing(now, area, wanted)));
        }
    }
}

/// The wheel with Ctrl, or two fingers on a touch pad, magnifies; without it moves the drawing where not all is in view.
pub fn wheel(window: &Window, area: Rect, event: &web_sys::WheelEvent) -> bool {
    // In lines or pages on some systems; a line is about 16 CSS pixels.
    let unit = if event.delta_mode() == web_sys::WheelEvent::DOM_DELTA_PIXEL { 1.0 } else { 16.0 };
    let (dx, dy) = (event.delta_x() * unit, event.delta_y() * unit);
    let (now, screen) = (window.view(area), window.screen());
    if event.ctrl_key() {
        let at = Point::new(event.client_x().into(), event.client_y().into());
        window.zoom(area, Some(view::to_drawing(now, screen, at)), (-dy / 240.0).exp2());
        return true;
    }
    if window.now.borrow().is_none() {
        return false;
    }
    let s = view::scale(now, screen).max(1e-6);
    let next = view::panned(now, area, dx / s, dy / s);
    let moved = next != now;
    window.turn(Some(next));
    moved
}
