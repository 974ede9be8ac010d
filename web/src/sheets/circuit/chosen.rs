//! What is chosen, in words, with the ways to its place on the other sheets.

use super::Shared;
use super::element::Figure;
use super::words::name;
use crate::hooks::use_workshop;
use crate::loop_strip::follow::Wiring;
use crate::sheets::wiring::words::conductor;
use crate::store::{Command, ScreenAct, Sheet, Thing, Workshop};
use crate::t;
use sealin_core::plan::Terminal;
use yew::prelude::*;

/// What is chosen.
#[derive(Properties, PartialEq)]
pub struct ChosenProps {
    /// The diagram.
    pub drawn: Shared,
    /// What is chosen.
    pub selection: Option<Thing>,
    /// The symbol that the keys are at.
    pub at: usize,
}

/// A line of words and buttons under the title.
#[component]
pub fn Chosen(props: &ChosenProps) -> Html {
    let shop = use_workshop();
    let drawn = &props.drawn;
    let button = |words: String, sheet: Sheet, thing: Thing| {
        let shop = shop.clone();
        let show = Callback::from(move |_: MouseEvent| {
            shop.dispatch(Command::Screen(ScreenAct::Show(sheet, thing.clone())));
        });
        html! { <button type="button" onclick={show}>{ words }</button> }
    };
    let (said, ways) = match &props.selection {
        Some(Thing::Conductor(id)) => {
            let Some(c) = drawn.0.conductors.iter().find(|c| c.id == *id) else { return lead() };
            let given = shop.with(|workshop| workshop.scenario().given.iter().any(|g| g.id == *id));
            let way = button(
                t!("circuit-to-wiring", place = words_of(id, c)),
                Sheet::Wiring,
                Thing::Conductor(id.clone()),
            );
            (conductor(c, given), vec![way])
        }
        Some(Thing::Part(_) | Thing::Terminal(_)) => {
            let Some(symbol) = drawn.symbols.get(props.at) else { return lead() };
            let terminals = symbol.element.ports.iter().filter_map(|p| p.terminal.clone());
            let mut ways: Vec<Html> = terminals
                .map(|t| button(t!("circuit-to-wiring", place = t), Sheet::Wiring, Thing::Terminal(t)))
                .collect();
            if let Some((name, rung)) = shop.with(|workshop| rung_of(workshop, drawn, props.at)) {
                ways.push(button(
                    t!("circuit-to-program", name = name, rung = rung),
                    Sheet::Program,
                    Thing::Rung(rung),
                ));
            }
            (name(symbol), ways)
        }
        _ => return lead(),
    };
    html! {
        <div class="circuit-chosen">
            <p role="status">{ said }</p>
            <p class="circuit-ways">{ for ways }</p>
        </div>
    }
}

fn lead() -> Html {
    html! { <div class="circuit-chosen"><p role="status">{ t!("circuit-lead") }</p></div> }
}

fn words_of(id: &str, c: &sealin_core::plan::Conductor) -> String {
    if c.number.is_empty() { id.to_string() } else { c.number.clone() }
}

/// The name and the first rung of the program that reads the input which a symbol feeds, or is.
fn rung_of(workshop: &Workshop, drawn: &Shared, at: usize) -> Option<(String, usize)> {
    let element = &drawn.symbols.get(at)?.element;
    let terminals: Vec<&Terminal> = element.ports.iter().filter_map(|p| p.terminal.as_ref()).collect();
    let address = match (element.figure, &terminals[..]) {
        (Figure::Input, _) => element.address.clone(),
        (Figure::Contact { .. }, [a, b]) => {
            let wiring = Wiring::new(&drawn.0.parts, &drawn.0.conductors);
            let input = wiring.input_of(&element.tag, (&a.name, &b.name));
            input.or_else(|| wiring.input_of(&element.tag, (&b.name, &a.name)))?.address()
        }
        _ => return None,
    };
    let program = sealin_ladder::parse(workshop.source()).ok()?;
    let var = program.vars.iter().find(|v| v.address.is_some_and(|a| a.to_string() == address))?;
    let reads = |rung: &sealin_ladder::Rung| {
        let mut found = false;
        rung.each_contact(&mut |contact| {
            if let sealin_ladder::Contact::Bit { var: name, .. } = contact {
                found |= name.eq_ignore_ascii_case(&var.name);
            }
        });
        found
    };
    let rung = program.rungs.iter().position(reads)?;
    Some((var.name.clone(), rung + 1))
}
