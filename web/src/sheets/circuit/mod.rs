//! The circuit diagram: what is really wired, as numbered current paths between two potentials, live.
//!
//! `element` takes the plan apart, `nets` joins it, `rows`, `columns` and `layout` say where everything stands, `grid`
//! and `routing` find a way for each line, `symbol` and `words` draw: plain functions of parts and conductors with native
//! tests. `sight`, `live`, `surface` and `chosen` show them; `windows` divides them for paper, `as_drawn` shows that.

mod as_drawn;
mod chosen;
mod columns;
mod current;
mod diagram;
mod element;
mod figure;
mod gesture;
mod grid;
mod layout;
mod live;
mod nets;
mod routing;
mod rows;
mod sight;
mod surface;
mod symbol;
#[cfg(test)]
mod tests;
mod walk;
mod windows;
mod words;

pub use as_drawn::as_drawn;

use crate::hooks::{use_selector, use_workshop};
use crate::sheets::wiring::Practice;
use crate::store::{Command, ScreenAct, Thing, Workshop};
use crate::t;
use chosen::Chosen;
use diagram::Diagram;
use sealin_core::part::{Kind, Part};
use sealin_core::plan::{Conductor, Terminal};
use std::ops::Deref;
use std::rc::Rc;
use surface::Surface;
use yew::prelude::*;

/// A shared diagram; equal when it is the same one.
#[derive(Clone)]
pub struct Shared(Rc<Drawn>);

/// The diagram with what it was drawn from.
pub struct Drawn {
    diagram: Diagram,
    parts: Vec<Part>,
    conductors: Vec<Conductor>,
}

impl PartialEq for Shared {
    fn eq(&self, other: &Shared) -> bool {
        Rc::ptr_eq(&self.0, &other.0)
    }
}

impl Deref for Shared {
    type Target = Diagram;
    fn deref(&self) -> &Diagram {
        &self.0.diagram
    }
}

impl Shared {
    /// The diagram of the wiring as it is.
    pub fn of(workshop: &Workshop) -> Shared {
        let (parts, conductors) = (workshop.bench().plan().parts.clone(), workshop.conductors());
        let practice = Practice::of(workshop.scenario().region);
        let diagram = Diagram::new(&parts, &conductors, practice);
        Shared(Rc::new(Drawn { diagram, parts, conductors }))
    }

    /// The earth terminal against which potentials are told.
    fn earth(&self) -> Option<Terminal> {
        let supply = self.0.parts.iter().find(|p| matches!(p.kind, Kind::Supply(_)))?;
        Some(Terminal::new(&supply.tag, "PE"))
    }
}

/// The sheet.
#[component]
pub fn Circuit() -> Html {
    let shop = use_workshop();
    let structure = use_selector(|workshop| (workshop.scenario().id.clone(), workshop.conductors()));
    let choice = use_selector(|workshop| (workshop.screen().selection.clone(), workshop.screen().shown));
    let drawn = {
        let shop = shop.clone();
        (*use_memo((*structure).clone(), move |_| shop.with(Shared::of))).clone()
    };
    let kept = use_state(At::default);
    let (selection, bring) = (*choice).clone();
    let at = kept.on(&drawn, selection.clone());
    let choose = {
        let (shop, kept, drawn, at) = (shop.clone(), kept.clone(), drawn.clone(), at.clone());
        Callback::from(move |thing: Meant| {
            let (choice, symbol) = match thing {
                Meant::Walk(n) => return kept.set(At { keys: n, ..at.clone() }),
                Meant::Symbol(n) => {
                    (drawn.symbols.get(n).map(|s| Thing::Part(s.element.tag.clone())), Some(n))
                }
                Meant::Conductor(id) => {
                    let choice = Some(Thing::Conductor(id));
                    (choice.clone(), chosen_at(&drawn, choice.as_ref()))
                }
                Meant::Nothing => (None, None),
            };
            kept.set(At { keys: symbol.unwrap_or(at.keys), chosen: symbol, choice: choice.clone() });
            shop.dispatch(Command::Screen(ScreenAct::Select(choice)));
        })
    };
    html! {
        <div class="circuit">
            <header class="circuit-head">
                <h1>{ t!("circuit-title") }</h1>
                <p class="circuit-hint">{ t!("circuit-hint") }</p>
                <p class="circuit-legend">
                    <span>{ sample("circuit-line is-live") }{ t!("circuit-live") }</span>
                    <span>{ sample("circuit-line is-live has-current") }{ t!("circuit-carries") }</span>
                </p>
            </header>
            <Chosen drawn={drawn.clone()} selection={selection.clone()} at={at.chosen} />
            <Surface {drawn} {selection} chosen={at.chosen} at={at.keys} {bring} ask={choose} />
        </div>
    }
}

/// A short line as it is drawn.
fn sample(class: &'static str) -> Html {
    html! {
        <svg viewBox="0 0 26 8" aria-hidden="true">
            <g {class}><path d="M0 4H26" /><path class="circuit-core" d="M0 4H26" /></g>
        </svg>
    }
}

/// What was meant on the drawing.
#[derive(Clone, Debug, PartialEq)]
pub enum Meant {
    /// A symbol is chosen.
    Symbol(usize),
    /// The keys go to a symbol.
    Walk(usize),
    /// A conductor is chosen.
    Conductor(String),
    /// Nothing is to be chosen.
    Nothing,
}

/// Where the keys are, and the symbol of what is chosen: a part has several, and walking on chooses nothing.
#[derive(Clone, Debug, Default, PartialEq)]
struct At {
    keys: usize,
    chosen: Option<usize>,
    choice: Option<Thing>,
}

impl At {
    /// The same on a diagram as it is now, or where a choice made elsewhere brings the keys.
    fn on(&self, drawn: &Shared, choice: Option<Thing>) -> At {
        let last = drawn.symbols.len().saturating_sub(1);
        if self.choice == choice {
            return At { keys: self.keys.min(last), chosen: self.chosen.filter(|n| *n <= last), choice };
        }
        let chosen = chosen_at(drawn, choice.as_ref());
        At { keys: chosen.unwrap_or(self.keys.min(last)), chosen, choice }
    }
}

/// The first symbol of what is chosen; of a conductor the one at its first end.
fn chosen_at(drawn: &Shared, choice: Option<&Thing>) -> Option<usize> {
    match choice? {
        Thing::Part(tag) => drawn.symbols.iter().position(|s| s.element.tag == *tag),
        Thing::Terminal(t) => drawn.symbol_of(t),
        Thing::Conductor(id) => {
            drawn.0.conductors.iter().find(|c| c.id == *id).and_then(|c| drawn.symbol_of(&c.from))
        }
        _ => None,
    }
}
