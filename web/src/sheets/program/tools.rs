//! What can be done to what is in hand, as buttons with their keys.

use super::deed::{Deed, Way};
use super::desk::{Act, Desk, in_circuit};
use super::facts::Facts;
use super::sketch::{Hand, Part};
use super::typed::Ask;
use crate::services::surface::within;
use crate::t;
use sealin_ladder::{Output, Program};
use web_sys::{Element, HtmlElement};
use yew::prelude::*;

/// One thing that can be done.
#[derive(Clone, Debug, PartialEq)]
pub struct Tool {
    /// What it is called.
    pub name: &'static str,
    /// Its key, as it is shown.
    pub key: &'static str,
    /// What it does.
    pub act: Act,
    /// Whether it is on, for one that stays on.
    pub on: Option<bool>,
}

fn tool(name: &'static str, key: &'static str, act: Act) -> Tool {
    Tool { name, key, act, on: None }
}

/// What can be done to what is in hand, most used first.
pub fn tools(program: &Program, desk: &Desk, facts: &Facts) -> Vec<Tool> {
    let mut tools = match desk.hand {
        None => Vec::new(),
        Some(hand) => match hand.part {
            Part::Contact(_) => of_contact(hand, desk.stretching),
            Part::Output => of_output(program, hand),
            Part::Pin(_) => vec![
                tool(t!("program-and-button"), "A", Act::Ask(Ask::After)),
                tool(t!("program-open-button"), "Del", Act::Do(Deed::Delete)),
            ],
            Part::Preset => vec![tool(t!("program-preset-button"), "Enter", Act::Ask(Ask::Preset))],
            Part::Rung => of_rung(),
        },
    };
    if in_circuit(program, desk.hand, facts).is_some() {
        tools.push(tool(t!("program-circuit-button"), "I", Act::Circuit));
    }
    if let Some(hand) = desk.hand {
        let copies = matches!(hand.part, Part::Contact(_) | Part::Rung);
        if copies {
            tools.push(tool(t!("program-copy"), "Ctrl C", Act::Copy));
            tools.push(tool(t!("program-cut"), "Ctrl X", Act::Cut));
        }
        if desk.clip.is_some() {
            tools.push(tool(t!("program-paste"), "Ctrl V", Act::Paste(None)));
        }
        if hand.part != Part::Rung {
            tools.push(tool(
                t!("program-whole-rung"),
                "Home",
                Act::Hand(Some(Hand::at(hand.rung, Part::Rung))),
            ));
        }
    }
    tools
}

fn of_contact(hand: Hand, stretching: bool) -> Vec<Tool> {
    let single = hand.to.is_none_or(|to| Some(to) == hand.contact());
    let shift = |way| Act::Do(Deed::Shift(way));
    let mut tools = vec![
        tool(t!("program-and-button"), "A", Act::Ask(Ask::After)),
        tool(t!("program-or-button"), "⇧A", Act::Ask(Ask::Beside)),
    ];
    if single {
        tools.push(tool(t!("program-not-button"), "N", Act::Do(Deed::Negate)));
    }
    tools.push(tool(t!("program-before-button"), "B", Act::Ask(Ask::Before)));
    if single {
        tools.push(tool(t!("program-read-button"), "R", Act::Ask(Ask::Read)));
        tools.push(tool(t!("program-kind-button"), "K", Act::Kinds));
    }
    tools.push(tool(t!("program-delete-button"), "Del", Act::Do(Deed::Delete)));
    tools.push(Tool { on: Some(stretching), ..tool(t!("program-stretch-button"), "⇧→", Act::Stretch) });
    tools.push(tool(t!("program-left-button"), "Alt ←", shift(Way::Left)));
    tools.push(tool(t!("program-right-button"), "Alt →", shift(Way::Right)));
    tools
}

fn of_output(program: &Program, hand: Hand) -> Vec<Tool> {
    let mut tools = vec![
        tool(t!("program-and-button"), "A", Act::Ask(Ask::After)),
        tool(t!("program-kind-button"), "K", Act::Kinds),
        tool(t!("program-drive-button"), "Enter", Act::Ask(Ask::Name)),
    ];
    let output = program.rungs.get(hand.rung).map(|rung| &rung.output);
    if matches!(output, Some(Output::Block(call)) if call.preset.is_some()) {
        tools.push(tool(t!("program-preset-button"), "P", Act::Ask(Ask::Preset)));
    }
    tools.push(tool(t!("program-comment-button"), "C", Act::Ask(Ask::Comment)));
    tools
}

fn of_rung() -> Vec<Tool> {
    vec![
        tool(t!("program-comment-button"), "C", Act::Ask(Ask::Comment)),
        tool(t!("program-duplicate-button"), "D", Act::Do(Deed::Duplicate)),
        tool(t!("program-up-button"), "Alt ↑", Act::Do(Deed::Shift(Way::Up))),
        tool(t!("program-down-button"), "Alt ↓", Act::Do(Deed::Shift(Way::Down))),
        tool(t!("program-delete-button"), "Del", Act::Do(Deed::Delete)),
    ]
}

/// What can be done whatever is in hand.
pub fn always() -> [Tool; 3] {
    [
        tool(t!("program-new-button"), "+", Act::Ask(Ask::Rung)),
        tool(t!("program-undo"), "Ctrl Z", Act::Undo),
        tool(t!("program-redo"), "Ctrl Y", Act::Redo),
    ]
}

/// The buttons.
#[derive(Properties, PartialEq)]
pub struct ToolsProps {
    /// What can be done.
    pub tools: Vec<Tool>,
    /// What the row is for.
    pub name: &'static str,
    /// Something is done.
    pub on_act: Callback<Act>,
}

/// A row of buttons.
#[component]
pub fn Tools(props: &ToolsProps) -> Html {
    html! {
        <div class="tools" role="toolbar" aria-label={props.name}>
            { for props.tools.iter().map(|tool| {
                let act = tool.act.clone();
                html! {
                    <button type="button" aria-pressed={tool.on.map(|on| on.to_string())}
                        onclick={props.on_act.reform(move |_: MouseEvent| act.clone())}>
                        <span>{ tool.name }</span><kbd aria-hidden="true">{ tool.key }</kbd>
                    </button>
                }
            }) }
        </div>
    }
}

/// Gives the keyboard to a button of a row: to the pressed or first one, or so many on from the one that has it.
pub fn focus_button(row: &NodeRef, by: Option<i32>) {
    let Some(row) = row.cast::<Element>() else { return };
    let buttons = within::<HtmlElement>(&row, "button");
    let focused = crate::services::page::document().and_then(|document| document.active_element());
    let pressed = |button: &HtmlElement| button.get_attribute("aria-pressed").as_deref() == Some("true");
    let at = match by {
        None => buttons.iter().position(pressed).unwrap_or(0),
        Some(by) => {
            let now =
                buttons.iter().position(|button| focused.as_ref() == Some(button.as_ref())).unwrap_or(0);
            (now as i32 + by).rem_euclid(buttons.len().max(1) as i32) as usize
        }
    };
    if let Some(button) = buttons.get(at) {
        let _ = button.focus();
    }
}
