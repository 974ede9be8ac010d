//! The handle that components hold: reading, commands and subscription.

use super::command::{Command, Notice};
use super::workshop::Workshop;
use std::cell::{Cell, RefCell};
use std::collections::VecDeque;
use std::rc::{Rc, Weak};

type Listener = Rc<dyn Fn()>;

struct Inner {
    workshop: RefCell<Workshop>,
    queue: RefCell<VecDeque<Command>>,
    listeners: RefCell<Vec<(u64, Listener)>>,
    next: Cell<u64>,
}

/// A shared handle to the workshop. Cheap to clone; equal when it is the same workshop.
#[derive(Clone)]
pub struct Shop(Rc<Inner>);

impl PartialEq for Shop {
    fn eq(&self, other: &Shop) -> bool {
        Rc::ptr_eq(&self.0, &other.0)
    }
}

/// Ends a subscription when dropped.
pub struct Subscription {
    shop: Weak<Inner>,
    number: u64,
}

impl Drop for Subscription {
    fn drop(&mut self) {
        if let Some(shop) = self.shop.upgrade() {
            shop.listeners.borrow_mut().retain(|(number, _)| *number != self.number);
        }
    }
}

impl Shop {
    /// A handle to a workshop.
    pub fn new(workshop: Workshop) -> Shop {
        Shop(Rc::new(Inner {
            workshop: RefCell::new(workshop),
            queue: RefCell::default(),
            listeners: RefCell::default(),
            next: Cell::new(0),
        }))
    }

    /// Reads from the workshop. Commands given inside are carried out afterwards, with the next one.
    pub fn with<R>(&self, read: impl FnOnce(&Workshop) -> R) -> R {
        read(&self.0.workshop.borrow())
    }

    /// Carries out a command; what is refused is said on the page.
    pub fn dispatch(&self, command: Command) {
        if let Err(text) = self.ask(command) {
            let _ = self.ask(Command::Notice(Notice { refused: true, text }));
        }
    }

    /// Carries out a command and hands back why it was refused, for those who say it themselves.
    ///
    /// # Errors
    /// What was refused and why.
    pub fn ask(&self, command: Command) -> Result<(), String> {
        let answer = match self.0.workshop.try_borrow_mut() {
            Ok(mut workshop) => {
                while let Some(earlier) = self.0.queue.borrow_mut().pop_front() {
                    let _ = workshop.carry_out(earlier);
                }
                workshop.carry_out(command)
            }
            // Asked from within a reading: the workshop is in use, so it comes after.
            Err(_) => {
                self.0.queue.borrow_mut().push_back(command);
                return Ok(());
            }
        };
        self.notify();
        answer
    }

    /// Steps the bench for one frame. Nobody is told of that: what moves is shown by the live layer.
    pub fn run(&self, wall_ms: f64, budget_ms: f64, clock: &dyn Fn() -> f64) {
        let changed = match self.0.workshop.try_borrow_mut() {
            Ok(mut workshop) => workshop.run(wall_ms, budget_ms, clock),
            Err(_) => false,
        };
        if changed {
            self.notify();
        }
    }

    /// Calls `listener` after every command, until the subscription is dropped.
    pub fn subscribe(&self, listener: impl Fn() + 'static) -> Subscription {
        let number = self.0.next.get();
        self.0.next.set(number + 1);
        self.0.listeners.borrow_mut().push((number, Rc::new(listener)));
        Subscription { shop: Rc::downgrade(&self.0), number }
    }

    fn notify(&self) {
        let listeners: Vec<Listener> =
            self.0.listeners.borrow().iter().map(|(_, call)| call.clone()).collect();
        for call in listeners {
            call();
        }
    }
}
