//! What is chosen, in words, with the ways to its place on the other sheets.

use super::element::{Element, Figure};
use super::words::name;
use super::{Drawn, Shared};
use crate::hooks::use_workshop;
use crate::loop_strip::follow::Wiring;
use crate::sheets::wiring::words::conductor;
use crate::store::{Command, ScreenAct, Sheet, Thing};
use crate::t;
use sealin_core::plan::Terminal;
use yew::prelude::*;

/// As many rungs are offered at most.
const RUNGS: usize = 4;

/// What is chosen.
#[derive(Properties, PartialEq)]
pub struct ChosenProps {
    /// The diagram.
    pub drawn: Shared,
    /// What is chosen.
    pub selection: Option<Thing>,
    /// The symbol that is chosen.
    pub at: Option<usize>,
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
            let Some(symbol) = props.at.and_then(|at| drawn.symbols.get(at)) else { return lead() };
            let terminals = symbol.element.ports.iter().filter_map(|p| p.terminal.clone());
            let terminals: Vec<Terminal> = terminals.collect();
            let places: Vec<(String, Thing)> = match &terminals[..] {
                [_] | [_, _] => {
                    terminals.iter().map(|t| (t.to_string(), Thing::Terminal(t.clone()))).collect()
                }
                // Poles and strips as a whole.
                _ => vec![(symbol.element.tag.clone(), Thing::Part(symbol.element.tag.clone()))],
            };
            let to_wiring = |(place, thing): (String, Thing)| {
                button(t!("circuit-to-wiring", place = place), Sheet::Wiring, thing)
            };
            let mut ways: Vec<Html> = places.into_iter().map(to_wiring).collect();
            for way in shop.with(|workshop| rungs_of(workshop.source(), &drawn.0, &symbol.element)) {
                let words = t!("circuit-to-program", name = way.name, rung = way.rung);
                let read = Thing::Contact(way.rung, way.name);
                let thing = if way.written { Thing::Rung(way.rung) } else { read };
                ways.push(button(words, Sheet::Program, thing));
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

/// A place of the program that a symbol leads to.
#[derive(Clone, Debug, PartialEq)]
struct Way {
    /// Name of the bit that the symbol sets or follows.
    name: String,
    /// The rung, from 1.
    rung: usize,
    /// Whether the rung writes the bit; else a contact in it reads it.
    written: bool,
}

/// The rungs in which the bit of a symbol stands: of an input those that read it, of an output the one that writes it.
fn rungs_of(source: &str, drawn: &Drawn, element: &Element) -> Vec<Way> {
    let Some(address) = address_of(drawn, element) else { return Vec::new() };
    let Ok(program) = sealin_ladder::parse(source) else { return Vec::new() };
    let Some(var) = program.vars.iter().find(|v| v.address.is_some_and(|a| a.to_string() == address)) else {
        return Vec::new();
    };
    let written = address.starts_with("%Q");
    let has = |rung: &sealin_ladder::Rung| {
        if written {
            return rung.output.var().eq_ignore_ascii_case(&var.name);
        }
        let mut found = false;
        rung.each_contact(&mut |contact| {
            if let sealin_ladder::Contact::Bit { var: name, .. } = contact {
                found |= name.eq_ignore_ascii_case(&var.name);
            }
        });
        found
    };
    let all = program.rungs.iter().enumerate().filter(|(_, rung)| has(rung));
    all.map(|(k, _)| Way { name: var.name.clone(), rung: k + 1, written }).take(RUNGS).collect()
}

/// The address of the channel that a symbol is, that a contact feeds, or that feeds a coil or a lamp.
fn address_of(drawn: &Drawn, element: &Element) -> Option<String> {
    if !element.address.is_empty() {
        return Some(element.address.clone());
    }
    let terminals: Vec<&Terminal> = element.ports.iter().filter_map(|p| p.terminal.as_ref()).collect();
    let wiring = Wiring::new(&drawn.parts, &drawn.conductors);
    let channel = match (element.figure, &terminals[..]) {
        (Figure::Contact { .. }, [a, b]) => {
            let input = wiring.input_of(&element.tag, (&a.name, &b.name));
            input.or_else(|| wiring.input_of(&element.tag, (&b.name, &a.name)))?
        }
        (Figure::Coil | Figure::Lamp | Figure::Brake, all) => all.iter().find_map(|t| wiring.output_of(t))?,
        _ => return None,
    };
    Some(channel.address())
}

#[cfg(test)]
mod tests {
    use super::super::tests::reference;
    use super::*;

    /// paddle-panel.md sections 3, 5 and 6: I4 is QA1_in, read by rungs 1, 4 and 5; coil QA1 hangs on Q0, written by rung 4;
    /// 21-22 goes to no input.
    #[test]
    fn contacts_and_coils_lead_to_their_rungs() {
        let (drawn, source) = reference();
        let rungs = |t: &str| {
            let n = drawn.diagram.symbol_of(&Terminal::parse(t).unwrap()).unwrap();
            rungs_of(&source, &drawn, &drawn.diagram.symbols[n].element)
        };
        let way = |name: &str, rung, written| Way { name: name.to_string(), rung, written };
        let read = |name, all: &[usize]| all.iter().map(|n| way(name, *n, false)).collect::<Vec<_>>();
        assert_eq!(rungs("QA1:13"), read("QA1_in", &[1, 4, 5]));
        assert_eq!(rungs("KF1:I4"), read("QA1_in", &[1, 4, 5]));
        assert_eq!(rungs("FC1:97"), read("FC1_in", &[1, 4, 5, 6]));
        assert_eq!(rungs("QA1:A1"), [way("QA1_out", 4, true)]);
        assert_eq!(rungs("KF1:Q0"), [way("QA1_out", 4, true)]);
        assert_eq!(rungs("PF1:X1"), [way("PF1_out", 6, true)]);
        assert_eq!(rungs("QA1:21"), []);
        assert_eq!(rungs("FC1:95"), []);
    }
}
