//! What a person asks of the sheet, and what comes of it.

use super::drawing::Shared;
use super::words;
use crate::store::model::Change;
use crate::store::{Command, ScreenAct, Shop, Thing};
use crate::t;
use sealin_core::plan::{Conductor, Terminal};
use yew::prelude::*;

/// One thing asked.
#[derive(Clone, Debug, PartialEq)]
pub enum Ask {
    /// A terminal is chosen: it begins a conductor, or ends the one that was begun.
    Choose(Terminal),
    /// A conductor begins at a terminal, whatever was begun before.
    Begin(Terminal),
    /// A conductor between two terminals.
    Join(Terminal, Terminal),
    /// Something is to be shown.
    Select(Option<Thing>),
    /// The keys go to a terminal.
    Walk(Terminal),
    /// One of several terminals under a finger is to be chosen.
    Crowd(Vec<Terminal>),
    /// Let go of everything.
    LetGo,
    /// Take the chosen conductor out.
    Remove,
    /// Change number, colour or section of a conductor.
    Alter(Conductor),
    /// Take back the last change.
    Undo,
    /// Make it again.
    Redo,
}

/// What the sheet remembers by itself; the choice is the page's.
#[derive(Clone, Debug, PartialEq)]
pub struct Desk {
    /// The terminal from which a conductor is being made.
    pub from: Option<Terminal>,
    /// The terminal that the keys are at.
    pub at: Terminal,
    /// Terminals to choose from.
    pub crowd: Vec<Terminal>,
    /// What came of the last thing asked, when the choice does not say it.
    pub said: Option<String>,
}

impl Desk {
    /// At the first terminal of the drawing.
    pub fn new(drawing: &Shared) -> Desk {
        let at = drawing.panel.order().next().cloned().unwrap_or_else(|| Terminal::new("", ""));
        Desk { from: None, at, crowd: Vec::new(), said: None }
    }

    /// The desk after something was asked; what it asks of the page in turn goes through `shop`.
    pub fn after(&self, ask: Ask, drawing: &Shared, shop: &Shop) -> Desk {
        let mut next = Desk { said: None, crowd: Vec::new(), ..self.clone() };
        let choice = shop.with(|workshop| workshop.screen().selection.clone());
        match ask {
            Ask::Choose(t) => {
                next.at = t.clone();
                match self.from.clone() {
                    None => {
                        next.from = Some(t.clone());
                        select(shop, Some(Thing::Terminal(t)));
                    }
                    Some(from) if from == t => {
                        next.from = None;
                        select(shop, None);
                    }
                    Some(from) => next.join(&from, &t, drawing, shop),
                }
            }
            Ask::Begin(t) => {
                next.at = t.clone();
                next.from = Some(t.clone());
                select(shop, Some(Thing::Terminal(t)));
            }
            Ask::Join(from, to) => {
                next.at = to.clone();
                next.join(&from, &to, drawing, shop);
            }
            Ask::Select(thing) => {
                next.from = None;
                if let Some(Thing::Terminal(t)) = &thing {
                    next.at = t.clone();
                }
                select(shop, thing);
            }
            Ask::Walk(t) => {
                next.said = self.said.clone();
                next.at = t;
            }
            Ask::Crowd(terminals) => next.crowd = terminals,
            Ask::LetGo => {
                next.from = None;
                select(shop, None);
            }
            Ask::Remove => next.remove(choice, drawing, shop),
            Ask::Alter(after) => {
                if let Some(before) = drawing.conductor(&after.id).filter(|before| **before != after) {
                    next.said = change(shop, Change::Alter { before: before.clone(), after }).err();
                }
            }
            Ask::Undo | Ask::Redo => {
                let (command, said) = if ask == Ask::Undo {
                    (Command::Undo, t!("wiring-undone"))
                } else {
                    (Command::Redo, t!("wiring-redone"))
                };
                next.from = None;
                next.said = Some(shop.ask(command).err().unwrap_or_else(|| said.to_string()));
            }
        }
        next
    }

    fn join(&mut self, from: &Terminal, to: &Terminal, drawing: &Shared, shop: &Shop) {
        let id = shop.with(|workshop| workshop.session().next_conductor_id());
        let conductor = drawing.made(id.clone(), from, to);
        let made = t!("wiring-made", conductor = words::conductor(&conductor, false));
        match change(shop, Change::Add(conductor)) {
            Ok(()) => {
                self.from = None;
                self.said = Some(made);
                select(shop, Some(Thing::Conductor(id)));
            }
            Err(why) => self.said = Some(why),
        }
    }

    fn remove(&mut self, choice: Option<Thing>, drawing: &Shared, shop: &Shop) {
        let Some(Thing::Conductor(id)) = choice else {
            self.said = Some(t!("wiring-nothing-chosen").to_string());
            return;
        };
        let Some(c) = drawing.conductor(&id) else { return };
        if drawing.given.contains(&id) {
            self.said = Some(t!("wiring-given-stays", conductor = words::conductor(c, true)));
            return;
        }
        let gone = t!("wiring-removed", conductor = words::conductor(c, false));
        match change(shop, Change::Remove(c.clone())) {
            Ok(()) => {
                self.said = Some(gone);
                select(shop, None);
            }
            Err(why) => self.said = Some(why),
        }
    }
}

/// What stands under the drawing: what came of the last thing asked, else what is chosen, else what can be done.
pub fn status(desk: &Desk, choice: Option<&Thing>, drawing: &Shared) -> String {
    if let Some(said) = &desk.said {
        return said.clone();
    }
    let terminal = |t: &Terminal| drawing.occupancy.get(t).map(|o| words::terminal(t, o)).unwrap_or_default();
    if let Some(from) = &desk.from {
        return t!("wiring-begun", terminal = terminal(from));
    }
    match choice {
        Some(Thing::Conductor(id)) => match drawing.conductor(id) {
            Some(c) => words::conductor(c, drawing.given.contains(id)),
            None => t!("wiring-lead").to_string(),
        },
        Some(Thing::Terminal(t)) => terminal(t),
        Some(Thing::Part(tag)) => match drawing.parts.iter().find(|p| p.tag == *tag) {
            Some(part) => t!("wiring-part", tag = part.tag, function = part.function),
            None => t!("wiring-lead").to_string(),
        },
        _ => t!("wiring-lead").to_string(),
    }
}

fn select(shop: &Shop, thing: Option<Thing>) {
    shop.dispatch(Command::Screen(ScreenAct::Select(thing)));
}

fn change(shop: &Shop, change: Change) -> Result<(), String> {
    shop.ask(Command::Change(change))
}

/// How the parts of the sheet ask.
pub type Asking = Callback<Ask>;
