//! The circuit diagram: what is really wired, as numbered current paths between two potentials, live.
//!
//! `element` takes the plan apart, `nets` joins it, `rows`, `columns` and `layout` say where everything stands, `grid`
//! and `routing` find a way for each line, `symbol` and `words` draw: plain functions of parts and conductors with native
//! tests. `sight`, `live`, `surface` and `chosen` show them.

mod chosen;
mod columns;
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
mod words;

use crate::hooks::{use_selector, use_workshop};
use crate::store::model::Region;
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
    fn of(workshop: &Workshop) -> Shared {
        let (parts, conductors) = (workshop.bench().plan().parts.clone(), workshop.conductors());
        let american = workshop.scenario().region == Region::V480Hz60;
        let diagram = Diagram::new(&parts, &conductors, american);
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
    let at = use_state(|| 0usize);
    let (selection, bring) = (*choice).clone();
    let here = symbol_at(&drawn, *at, selection.as_ref());
    let choose = {
        let (shop, at, drawn) = (shop.clone(), at.clone(), drawn.clone());
        Callback::from(move |thing: Meant| {
            let thing = match thing {
                Meant::Symbol(n) => {
                    at.set(n);
                    drawn.symbols.get(n).map(|s| Thing::Part(s.element.tag.clone()))
                }
                Meant::Walk(n) => return at.set(n),
                Meant::Conductor(id) => Some(Thing::Conductor(id)),
                Meant::Nothing => None,
            };
            shop.dispatch(Command::Screen(ScreenAct::Select(thing)));
        })
    };
    html! {
        <div class="circuit">
            <header class="circuit-head">
                <h1>{ t!("circuit-title") }</h1>
                <p class="circuit-hint">{ t!("circuit-hint") }</p>
            </header>
            <Chosen drawn={drawn.clone()} selection={selection.clone()} at={here} />
            <Surface {drawn} {selection} at={here} {bring} ask={choose} />
        </div>
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

/// The symbol that the keys are at: the last one, as long as it belongs to what is chosen.
fn symbol_at(drawn: &Diagram, at: usize, choice: Option<&Thing>) -> usize {
    let is = |n: &usize, thing: &Thing| {
        drawn.symbols.get(*n).is_some_and(|s| match thing {
            Thing::Part(tag) => s.element.tag == *tag,
            Thing::Terminal(t) => s.element.ports.iter().any(|p| p.terminal.as_ref() == Some(t)),
            _ => false,
        })
    };
    let last = at.min(drawn.symbols.len().saturating_sub(1));
    match choice {
        Some(thing) if !is(&last, thing) => (0..drawn.symbols.len()).find(|n| is(n, thing)).unwrap_or(last),
        _ => last,
    }
}
