//! The kinds of contact and of output, each with its symbol, to choose from for what is in hand.

use super::deed::{Deed, call_of};
use super::desk::Act;
use super::symbols;
use super::typed::Ask;
use crate::t;
use sealin_ladder::{Block, Comparison, Constant, Contact, Operand, Output, Relation, Test};
use yew::prelude::*;

/// One kind.
#[derive(Clone, PartialEq)]
pub struct Kind {
    /// What it is called.
    pub name: String,
    /// Its symbol.
    pub symbol: Html,
    /// What is in hand is of this kind.
    pub is_now: bool,
    /// What makes it so.
    pub act: Act,
}

/// The kinds that a contact can be.
pub fn of_contact(contact: &Contact) -> Vec<Kind> {
    let tests = [
        (Test::Open, t!("program-kind-open")),
        (Test::Closed, t!("program-kind-closed")),
        (Test::Rising, t!("program-kind-rising")),
        (Test::Falling, t!("program-kind-falling")),
    ];
    let mut kinds: Vec<Kind> = tests
        .into_iter()
        .map(|(test, name)| Kind {
            name: name.to_string(),
            symbol: drawn(&Contact::Bit { var: String::new(), test }),
            is_now: matches!(contact, Contact::Bit { test: now, .. } if *now == test),
            act: match contact {
                Contact::Bit { .. } => Act::Do(Deed::Test(test)),
                // A comparison has no bit; it is asked for.
                Contact::Compare(_) => Act::Ask(Ask::Read),
            },
        })
        .collect();
    let some = Comparison {
        value: String::new(),
        relation: Relation::AtLeast,
        with: Operand::Constant(Constant::Count(0)),
    };
    kinds.push(Kind {
        name: t!("program-kind-compare").to_string(),
        symbol: drawn(&Contact::Compare(some)),
        is_now: matches!(contact, Contact::Compare(_)),
        act: Act::Ask(Ask::Compare),
    });
    kinds
}

/// The kinds that an output can be: coils, then blocks.
pub fn of_output(output: &Output) -> Vec<Kind> {
    let name = output.var().to_string();
    let var = || name.clone();
    let coils = [
        (Output::Coil { var: var() }, t!("program-kind-coil")),
        (Output::Negated { var: var() }, t!("program-kind-negated")),
        (Output::Set { var: var() }, t!("program-kind-set")),
        (Output::Reset { var: var() }, t!("program-kind-reset")),
        (Output::Rising { var: var() }, t!("program-kind-rising-coil")),
        (Output::Falling { var: var() }, t!("program-kind-falling-coil")),
    ];
    let is_block = matches!(output, Output::Block(_));
    let coils = coils.into_iter().map(|(coil, name)| Kind {
        name: name.to_string(),
        symbol: html! { <Symbol>{ symbols::coil(MIDDLE, LINE, &coil) }</Symbol> },
        is_now: coil == *output,
        // A block has a name that no coil can drive; another one is asked for.
        act: if is_block { Act::Ask(Ask::Name) } else { Act::Do(Deed::Drive(coil)) },
    });
    let blocks = Block::ALL.into_iter().rev().map(|block| Kind {
        name: super::block::kind_name(block).to_string(),
        symbol: html! { <span class="kind-word mono" aria-hidden="true">{ block.word() }</span> },
        is_now: matches!(output, Output::Block(call) if call.block == block),
        act: if is_block {
            Act::Do(Deed::Drive(Output::Block(call_of(block, var(), output))))
        } else {
            Act::Ask(Ask::Instance(block))
        },
    });
    coils.chain(blocks).collect()
}

const MIDDLE: i32 = 43;
const LINE: i32 = 16;

fn drawn(contact: &Contact) -> Html {
    html! {
        <Symbol>{ symbols::lead(MIDDLE, LINE, contact, NodeRef::default()) }{ symbols::contact(MIDDLE, LINE, contact) }</Symbol>
    }
}

#[derive(Properties, PartialEq)]
struct SymbolProps {
    children: Html,
}

/// The middle of a cell, small.
#[component]
fn Symbol(props: &SymbolProps) -> Html {
    html! {
        <svg class="rung kind-symbol" viewBox="18 0 50 32" width="50" height="32" aria-hidden="true">
            { props.children.clone() }
        </svg>
    }
}

/// The choice.
#[derive(Properties, PartialEq)]
pub struct KindsProps {
    /// What can be chosen.
    pub kinds: Vec<Kind>,
    /// One is chosen.
    pub on_act: Callback<Act>,
}

/// A row of buttons, the first of which has the keyboard; arrow keys go on, Escape leaves.
#[component]
pub fn Kinds(props: &KindsProps) -> Html {
    let row = use_node_ref();
    use_effect_with((), {
        let row = row.clone();
        move |()| super::tools::focus_button(&row, None)
    });
    let onkeydown = {
        let (row, on_act) = (row.clone(), props.on_act.clone());
        Callback::from(move |event: KeyboardEvent| {
            event.stop_propagation();
            match event.key().as_str() {
                "Escape" => on_act.emit(Act::Leave),
                "ArrowRight" | "ArrowDown" => super::tools::focus_button(&row, Some(1)),
                "ArrowLeft" | "ArrowUp" => super::tools::focus_button(&row, Some(-1)),
                _ => return,
            }
            event.prevent_default();
        })
    };
    html! {
        <div ref={row} class="kinds" role="group" aria-label={t!("program-kinds")} {onkeydown}>
            { for props.kinds.iter().map(|kind| {
                let act = kind.act.clone();
                html! {
                    <button type="button" class="kind" aria-pressed={kind.is_now.to_string()}
                        onclick={props.on_act.reform(move |_: MouseEvent| act.clone())}>
                        { kind.symbol.clone() }<span>{ kind.name.clone() }</span>
                    </button>
                }
            }) }
            <button type="button" onclick={props.on_act.reform(|_: MouseEvent| Act::Leave)}>{ t!("program-leave") }</button>
        </div>
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_kind_is_that_of_now() {
        for test in [Test::Open, Test::Closed, Test::Rising, Test::Falling] {
            let kinds = of_contact(&Contact::Bit { var: "a".into(), test });
            assert_eq!(kinds.iter().filter(|kind| kind.is_now).count(), 1);
            let now = kinds.iter().find(|kind| kind.is_now).unwrap();
            assert_eq!(now.act, Act::Do(Deed::Test(test)));
        }
        let coil = Output::Set { var: "q".into() };
        let kinds = of_output(&coil);
        assert_eq!(kinds.len(), 6 + Block::ALL.len());
        let now: Vec<_> = kinds.iter().filter(|kind| kind.is_now).map(|kind| kind.act.clone()).collect();
        assert_eq!(now, [Act::Do(Deed::Drive(coil))]);
    }
}
