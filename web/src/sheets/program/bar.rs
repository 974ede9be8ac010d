//! The bar under the drawing: what is in hand, and what can be done to it; a field or a choice in its place while one is
//! open. On a phone it lies at the thumb.

use super::ask::AskField;
use super::completion::Offer;
use super::desk::{Act, Desk, Mode, contact, output};
use super::facts::Facts;
use super::kinds::{self, Kinds};
use super::labels;
use super::names;
use super::sketch::{Hand, Part};
use super::tools::{Tools, always, tools};
use super::typed::Ask;
use crate::t;
use sealin_ladder::layout::ItemKind;
use sealin_ladder::{Contact, Network, Output, Program, print_network};
use std::rc::Rc;
use yew::prelude::*;

/// The bar.
#[derive(Properties, PartialEq)]
pub struct BarProps {
    /// The program drawn.
    pub program: Rc<Program>,
    /// What is known of the names.
    pub facts: Rc<Facts>,
    /// What is going on.
    pub desk: Desk,
    /// The text has errors, and nothing can be changed.
    pub stale: bool,
    /// Something is done.
    pub on_act: Callback<Act>,
}

/// The bar.
#[component]
pub fn Bar(props: &BarProps) -> Html {
    let (desk, program) = (&props.desk, &*props.program);
    let inside = match desk.mode {
        // The comment is written in its place.
        Mode::Asks(ask) if ask != Ask::Comment => field(props, ask),
        Mode::Kinds => html! { <Kinds kinds={kinds_of(program, desk.hand)} on_act={props.on_act.clone()} /> },
        _ => html! {
            <div class="bar-tools">
                <Tools tools={always().to_vec()} name={t!("program-tools-always")} on_act={props.on_act.clone()} />
                if let Some(help) = help(desk.hand).filter(|_| !props.stale) {
                    <p class="bar-help small faint">{ help }</p>
                }
                if desk.hand.is_some() && !props.stale {
                    <Tools tools={tools(program, desk, &props.facts)} name={t!("program-tools")} on_act={props.on_act.clone()} />
                }
            </div>
        },
    };
    html! {
        <div class="bar">
            <p class="bar-hand small" role="status">
                { in_hand(program, desk) }
                if desk.hand.is_none() { <span class="bar-keys">{ t!("program-how-by-keys") }</span> }
                if let Some(said) = &desk.said { <strong class="bar-said">{ said.clone() }</strong> }
            </p>
            { inside }
        </div>
    }
}

/// What the buttons for what is in hand mean.
fn help(hand: Option<Hand>) -> Option<&'static str> {
    Some(match hand?.part {
        Part::Contact(_) => t!("program-about-contact"),
        Part::Output => t!("program-about-output"),
        Part::Pin(_) => t!("program-about-pin"),
        Part::Preset => t!("program-about-preset"),
        Part::Rung => t!("program-about-rung"),
    })
}

fn field(props: &BarProps, ask: Ask) -> Html {
    let (desk, program) = (&props.desk, &*props.program);
    let write = props.on_act.reform(move |(text, declares)| Act::Write(ask, text, declares));
    let leave = props.on_act.reform(|()| Act::Leave);
    let offers: Vec<Offer> = names::offers(ask, program, &props.facts, desk.hand);
    html! {
        <AskField key={format!("{ask:?} {:?}", desk.hand)} {ask} text={first_text(ask, program, desk.hand)} offers={Rc::new(offers)}
            refused={desk.refused.clone()} on_write={write} on_leave={leave} />
    }
}

/// What stands in a field when it is opened.
fn first_text(ask: Ask, program: &Program, hand: Option<Hand>) -> String {
    let output = output(program, hand);
    match ask {
        Ask::Read => contact(program, hand).map(|c| print_network(&Network::Contact(c))).unwrap_or_default(),
        Ask::Compare => match contact(program, hand) {
            Some(Contact::Compare(comparison)) => {
                print_network(&Network::Contact(Contact::Compare(comparison)))
            }
            _ => names::values(program).first().map(|value| format!("{value} >= ")).unwrap_or_default(),
        },
        Ask::Preset => super::desk::preset(program, hand).map_or(String::new(), |preset| preset.to_string()),
        Ask::Name => output.map(|output| output.var().to_string()).unwrap_or_default(),
        _ => String::new(),
    }
}

fn kinds_of(program: &Program, hand: Option<Hand>) -> Vec<kinds::Kind> {
    match (contact(program, hand), output(program, hand)) {
        (Some(contact), _) => kinds::of_contact(&contact),
        (None, Some(output)) => kinds::of_output(output),
        (None, None) => Vec::new(),
    }
}

/// What is in hand, in words; without it, how to begin.
fn in_hand(program: &Program, desk: &Desk) -> String {
    let Some(hand) = desk.hand else { return t!("program-how-to-change").to_string() };
    if desk.stretching {
        return t!("program-how-to-stretch").to_string();
    }
    let number = hand.rung + 1;
    let what = match hand.part {
        Part::Rung => return t!("program-in-hand-rung", number = number),
        Part::Contact(_) => match (hand.stretch(), contact(program, Some(hand))) {
            (Some((first, last)), _) if first != last => {
                t!("program-in-hand-stretch", count = last - first + 1)
            }
            (_, Some(contact)) => labels::label(&ItemKind::Contact { contact, index: 0 }),
            _ => return String::new(),
        },
        Part::Output => output(program, Some(hand)).map(labels::output_label).unwrap_or_default(),
        Part::Pin(_) | Part::Preset => match output(program, Some(hand)) {
            Some(Output::Block(call)) => {
                let pin = match hand.part {
                    Part::Pin(pin) => call.block.inputs().get(pin + 1).copied(),
                    _ => call.block.preset().map(sealin_ladder::Preset::pin),
                };
                format!("{}.{}", call.instance, pin.unwrap_or_default())
            }
            _ => String::new(),
        },
    };
    t!("program-in-hand", what = what, number = number)
}
