//! What a person asks of the sheet, and what comes of it.

use super::drawing::Shared;
use super::paste::{self, Row};
use super::status::status;
use super::together::Together;
use super::words;
use crate::store::model::Change;
use crate::store::{Command, ScreenAct, Sheet, Shop, Thing};
use crate::t;
use sealin_core::plan::{Conductor, Terminal};
use std::rc::Rc;
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
    /// Something is chosen.
    Select(Option<Thing>),
    /// Something is chosen and brought into view on the drawing.
    Show(Thing),
    /// The next of the things that a text means is chosen and brought into view.
    Find(String),
    /// The keys go to a terminal.
    Walk(Terminal),
    /// The keys go to the schedule, to a conductor of the terminal where they were.
    ToSchedule,
    /// The keys go from the schedule to a terminal on the drawing.
    ToDrawing(Terminal),
    /// Rows of a spreadsheet are read and offered.
    Paste(String),
    /// The rows that were offered and can be read are made.
    Take,
    /// They are left; the keys go back to the schedule.
    Leave,
    /// Something is said.
    Say(String),
    /// One of several terminals under a finger is to be chosen.
    Crowd(Vec<Terminal>),
    /// The drawing is to be seen closer at a terminal.
    Closer(Terminal),
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
    /// Rows that were pasted and are offered.
    pub offer: Option<Rc<Vec<Row>>>,
    /// Counts how often the keys went to the schedule.
    pub to_schedule: u32,
    /// Counts how often the drawing was to be seen closer.
    pub closer: u32,
    /// What was looked for last, and which of the things it means was shown.
    sought: Option<(String, usize)>,
    together: Together,
}

impl Desk {
    /// At the first terminal of the drawing.
    pub fn new(drawing: &Shared) -> Desk {
        let at = drawing.panel.order().next().cloned().unwrap_or_else(|| Terminal::new("", ""));
        Desk {
            from: None,
            at,
            crowd: Vec::new(),
            said: None,
            offer: None,
            to_schedule: 0,
            closer: 0,
            sought: None,
            together: Together::default(),
        }
    }

    /// The terminal that the keys are at; the first one once that has gone with its part.
    pub fn at_on(&self, drawing: &Shared) -> Terminal {
        if drawing.panel.spots.contains_key(&self.at) { self.at.clone() } else { Desk::new(drawing).at }
    }

    /// The desk after something was asked; what it asks of the page in turn goes through `shop`.
    pub fn after(&self, ask: Ask, drawing: &Shared, shop: &Shop) -> Desk {
        let mut next = Desk { said: None, crowd: Vec::new(), offer: None, ..self.clone() };
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
            Ask::Show(thing) => {
                next.from = None;
                show(shop, thing);
            }
            Ask::Find(text) => next.find(text, drawing, shop),
            Ask::Walk(t) => {
                next.said = self.said.clone();
                next.at = t;
            }
            Ask::ToSchedule => {
                let here = drawing.conductors.iter().find(|c| c.from == self.at || c.to == self.at);
                if let (Some(c), false) = (here, matches!(choice, Some(Thing::Conductor(_)))) {
                    select(shop, Some(Thing::Conductor(c.id.clone())));
                }
                shop.dispatch(Command::Screen(ScreenAct::Companion(true)));
                next.to_schedule += 1;
            }
            Ask::ToDrawing(t) => {
                next.at = t;
                if let Some(thing) = choice {
                    show(shop, thing);
                }
            }
            Ask::Paste(text) => {
                next.offer = Some(Rc::new(paste::read(drawing, &text)));
                shop.dispatch(Command::Screen(ScreenAct::Companion(true)));
            }
            Ask::Take => next.take(self.offer.as_deref(), shop),
            Ask::Leave => next.to_schedule += 1,
            Ask::Say(text) => next.said = Some(text),
            Ask::Crowd(terminals) => next.crowd = terminals,
            Ask::Closer(t) => {
                next.at = t;
                next.closer += 1;
            }
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
                let redo = ask == Ask::Redo;
                let said = if redo { t!("wiring-redone") } else { t!("wiring-undone") };
                next.from = None;
                next.said = Some(next.together.step(shop, redo).err().unwrap_or_else(|| said.to_string()));
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

    fn find(&mut self, text: String, drawing: &Shared, shop: &Shop) {
        let found = drawing.found(&text);
        let again = self.sought.as_ref().filter(|(last, _)| *last == text);
        let at = again.map_or(0, |(_, at)| at + 1) % found.len().max(1);
        self.from = None;
        match found.get(at) {
            Some(thing) => {
                show(shop, thing.clone());
                if let Thing::Terminal(t) = thing {
                    self.at = t.clone();
                }
                if found.len() > 1 {
                    let here = Desk { said: None, ..self.clone() };
                    let what = status(&here, Some(thing), drawing);
                    self.said = Some(t!("wiring-found", at = at + 1, count = found.len(), what = what));
                }
                self.sought = Some((text, at));
            }
            None => {
                self.said = Some(t!("wiring-not-found", text = text));
                self.sought = None;
            }
        }
    }

    fn take(&mut self, offer: Option<&Vec<Row>>, shop: &Shop) {
        let rows = offer.into_iter().flatten().filter_map(|row| row.read.clone().ok());
        let mut made = 0;
        let mut last = None;
        for row in rows {
            let id = shop.with(|workshop| workshop.session().next_conductor_id());
            if let Err(why) = change(shop, Change::Add(Conductor { id: id.clone(), ..row })) {
                self.said = Some(why);
                break;
            }
            made += 1;
            last = Some(Thing::Conductor(id));
        }
        self.together.made(shop, made);
        self.to_schedule += 1;
        if self.said.is_none() {
            self.said = Some(t!("wiring-rows-made", count = made));
        }
        select(shop, last);
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

fn select(shop: &Shop, thing: Option<Thing>) {
    shop.dispatch(Command::Screen(ScreenAct::Select(thing)));
}

/// Chooses, brings into view, and closes the drawer that would cover it on a narrow screen.
fn show(shop: &Shop, thing: Thing) {
    shop.dispatch(Command::Screen(ScreenAct::Show(Sheet::Wiring, thing)));
    shop.dispatch(Command::Screen(ScreenAct::Companion(false)));
}

fn change(shop: &Shop, change: Change) -> Result<(), String> {
    shop.ask(Command::Change(change))
}

/// How the parts of the sheet ask.
pub type Asking = Callback<Ask>;
