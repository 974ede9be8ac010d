//! The live layer: once a frame it steps the bench and writes what changed into the nodes that were registered.
//!
//! Components render on structure only. A node that follows the bench registers a [`Binding`]; the layer evaluates it
//! after stepping and touches the node only where the value is another one. No component owns a timer.

use super::page;
use crate::store::{Shop, Workshop};
use gloo::render::{AnimationFrame, request_animation_frame};
use std::cell::{Cell, RefCell};
use std::rc::{Rc, Weak};
use web_sys::Element;
use yew::prelude::NodeRef;

/// Longest time that stepping the bench may take in one frame, ms.
const STEP_BUDGET_MS: f64 = 4.0;

/// What a binding reads.
pub type Read<T> = Rc<dyn Fn(&Workshop) -> T>;

enum Target {
    Class {
        node: NodeRef,
        class: &'static str,
        read: Read<bool>,
        last: Cell<Option<bool>>,
    },
    Text {
        node: NodeRef,
        read: Read<String>,
        last: RefCell<Option<String>>,
    },
    Attribute {
        node: NodeRef,
        name: &'static str,
        read: Read<Option<String>>,
        last: RefCell<Option<Option<String>>>,
    },
    Frame(Read<()>),
}

/// One node that follows the bench, or a call once a frame.
pub struct Binding(Target);

impl Binding {
    /// Puts a class on the node while `read` is true.
    pub fn class(node: NodeRef, class: &'static str, read: impl Fn(&Workshop) -> bool + 'static) -> Binding {
        Binding(Target::Class { node, class, read: Rc::new(read), last: Cell::new(None) })
    }

    /// Keeps the text of the node. The node must have no children of Yew's own.
    pub fn text(node: NodeRef, read: impl Fn(&Workshop) -> String + 'static) -> Binding {
        Binding(Target::Text { node, read: Rc::new(read), last: RefCell::default() })
    }

    /// Keeps an attribute of the node; `None` takes it away.
    pub fn attribute(
        node: NodeRef,
        name: &'static str,
        read: impl Fn(&Workshop) -> Option<String> + 'static,
    ) -> Binding {
        Binding(Target::Attribute { node, name, read: Rc::new(read), last: RefCell::default() })
    }

    /// Calls `draw` each frame.
    pub fn frame(draw: Read<()>) -> Binding {
        Binding(Target::Frame(draw))
    }

    fn update(&self, workshop: &Workshop) {
        match &self.0 {
            Target::Class { node, class, read, last } => {
                let now = read(workshop);
                if last.get() != Some(now)
                    && let Some(element) = node.cast::<Element>()
                {
                    let list = element.class_list();
                    let _ = if now { list.add_1(class) } else { list.remove_1(class) };
                    last.set(Some(now));
                }
            }
            Target::Text { node, read, last } => {
                let now = read(workshop);
                if last.borrow().as_ref() != Some(&now)
                    && let Some(node) = node.get()
                {
                    page::write_text(&node, &now);
                    last.replace(Some(now));
                }
            }
            Target::Attribute { node, name, read, last } => {
                let now = read(workshop);
                if last.borrow().as_ref() != Some(&now)
                    && let Some(element) = node.cast::<Element>()
                {
                    let _ = match &now {
                        Some(value) => element.set_attribute(name, value),
                        None => element.remove_attribute(name),
                    };
                    last.replace(Some(now));
                }
            }
            Target::Frame(draw) => draw(workshop),
        }
    }
}

struct Inner {
    shop: Shop,
    groups: RefCell<Vec<(u64, Rc<Vec<Binding>>)>>,
    next: Cell<u64>,
    last_frame_ms: Cell<Option<f64>>,
    frame: RefCell<Option<AnimationFrame>>,
}

/// A shared handle to the live layer.
#[derive(Clone)]
pub struct Live(Rc<Inner>);

impl PartialEq for Live {
    fn eq(&self, other: &Live) -> bool {
        Rc::ptr_eq(&self.0, &other.0)
    }
}

/// Takes its bindings out of the live layer when dropped.
pub struct Registered {
    live: Weak<Inner>,
    number: u64,
}

impl Drop for Registered {
    fn drop(&mut self) {
        if let Some(live) = self.live.upgrade() {
            live.groups.borrow_mut().retain(|(number, _)| *number != self.number);
        }
    }
}

impl Live {
    /// A live layer for a workshop. It stands still until [`Live::start`].
    pub fn new(shop: Shop) -> Live {
        Live(Rc::new(Inner {
            shop,
            groups: RefCell::default(),
            next: Cell::new(0),
            last_frame_ms: Cell::new(None),
            frame: RefCell::default(),
        }))
    }

    /// Adds bindings and writes their values at once.
    pub fn register(&self, bindings: Vec<Binding>) -> Registered {
        let number = self.0.next.get();
        self.0.next.set(number + 1);
        self.0.shop.with(|workshop| bindings.iter().for_each(|binding| binding.update(workshop)));
        self.0.groups.borrow_mut().push((number, Rc::new(bindings)));
        Registered { live: Rc::downgrade(&self.0), number }
    }

    /// Asks the browser for frames from now on.
    pub fn start(&self) {
        let weak = Rc::downgrade(&self.0);
        let frame = request_animation_frame(move |now_ms| {
            if let Some(inner) = weak.upgrade() {
                let live = Live(inner);
                live.frame(now_ms);
                live.start();
            }
        });
        self.0.frame.replace(Some(frame));
    }

    fn frame(&self, now_ms: f64) {
        let wall_ms = self.0.last_frame_ms.replace(Some(now_ms)).map_or(0.0, |last| now_ms - last);
        if page::hidden() {
            return;
        }
        self.0.shop.run(wall_ms, STEP_BUDGET_MS, &page::clock_ms);
        let groups: Vec<Rc<Vec<Binding>>> =
            self.0.groups.borrow().iter().map(|(_, group)| group.clone()).collect();
        self.0.shop.with(|workshop| {
            for binding in groups.iter().flat_map(|group| group.iter()) {
                binding.update(workshop);
            }
        });
    }
}
