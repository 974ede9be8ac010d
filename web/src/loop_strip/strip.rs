//! The strip: one line of cells for the contactor in hand, each with its value now, each going to its place.

use super::stages::{Loop, contactors};
use super::value::{Stage, Value, value};
use crate::hooks::{use_live, use_one_stop, use_selector, use_workshop};
use crate::services::live::Binding;
use crate::services::page;
use crate::store::model::Terminal;
use crate::store::{Command, ScreenAct, Sheet, Thing};
use crate::t;
use crate::why::WhyOf;
use std::cell::RefCell;
use std::rc::Rc;
use web_sys::Element;
use yew::prelude::*;

/// The loop of a contactor.
#[component]
pub fn LoopStrip() -> Html {
    let tags = use_selector(|workshop| contactors(&workshop.scenario().parts));
    let chosen = use_state(|| 0usize);
    let choice = use_node_ref();
    use_one_stop(&choice, "button");
    let Some(tag) = tags.get(*chosen).or_else(|| tags.first()).cloned() else { return Html::default() };
    html! {
        <section class="loop" aria-labelledby="loop-title">
            <div class="loop-head">
                <h2 id="loop-title">{ t!("loop-title", contactor = tag) }</h2>
                <div ref={choice} class="loop-choice" role="group" aria-label={t!("loop-choice")}>
                    { for tags.iter().enumerate().map(|(n, tag)| {
                        let chosen_now = *chosen == n;
                        let chosen = chosen.clone();
                        let choose = Callback::from(move |_: MouseEvent| chosen.set(n));
                        html! { <button type="button" aria-pressed={chosen_now.to_string()} onclick={choose}>{ tag.clone() }</button> }
                    }) }
                </div>
            </div>
            <Cells key={tag.clone()} contactor={tag.clone()} />
        </section>
    }
}

#[derive(Properties, PartialEq)]
struct CellsProps {
    contactor: String,
}

#[component]
fn Cells(props: &CellsProps) -> Html {
    let contactor = props.contactor.clone();
    let whole = use_selector(move |workshop| {
        let program = workshop.program_seen();
        let conductors: Vec<_> = workshop.project().conductors.values().cloned().collect();
        Loop::of(&workshop.scenario().parts, &conductors, &program, &contactor)
    });
    let nodes = use_memo((), |()| Stage::ALL.map(|_| (NodeRef::default(), NodeRef::default())));
    use_live(whole.clone(), {
        let nodes = nodes.clone();
        move |whole| {
            let (whole, last) = (whole.clone(), RefCell::new(Stage::ALL.map(|_| None::<Value>)));
            vec![Binding::frame(Rc::new(move |workshop| {
                for (n, stage) in Stage::ALL.into_iter().enumerate() {
                    let now = value(&whole, stage, workshop);
                    if last.borrow()[n].as_ref() != Some(&now) {
                        write(&nodes[n], &now);
                        last.borrow_mut()[n] = Some(now);
                    }
                }
            }))]
        }
    });
    let list = use_node_ref();
    use_one_stop(&list, "button");
    html! {
        <ol ref={list} class="loop-cells">
            { for Stage::ALL.into_iter().zip(nodes.iter()).map(|(stage, (cell, text))| html! {
                <li class="loop-step">
                    <Cell whole={whole.clone()} {stage} cell={cell.clone()} text={text.clone()} />
                </li>
            }) }
        </ol>
    }
}

fn write(nodes: &(NodeRef, NodeRef), value: &Value) {
    if let Some(cell) = nodes.0.cast::<Element>() {
        let _ = cell.set_attribute("data-on", if value.on { "1" } else { "0" });
    }
    if let Some(text) = nodes.1.get() {
        page::write_text(&text, &value.text);
    }
}

#[derive(Properties, PartialEq)]
struct CellProps {
    whole: Rc<Loop>,
    stage: Stage,
    cell: NodeRef,
    text: NodeRef,
}

#[component]
fn Cell(props: &CellProps) -> Html {
    let shop = use_workshop();
    let place = place(&props.whole, props.stage);
    let missing = place.is_none();
    let go = Callback::from(move |_: MouseEvent| {
        if let Some((sheet, thing)) = place.clone() {
            shop.dispatch(Command::Screen(ScreenAct::Show(sheet, thing)));
        }
    });
    let of = asked(&props.whole, props.stage);
    html! {
        <>
            <button type="button" ref={props.cell.clone()} class={classes!("loop-cell", missing.then_some("loop-cell-missing"))}
                onclick={go} data-why={of.clone()}>
                <span class="loop-place mono">{ name(&props.whole, props.stage) }</span>
                <strong ref={props.text.clone()} class="loop-value"></strong>
                <span class="loop-caption">{ caption(props.stage) }</span>
            </button>
            if let Some(of) = of {
                <WhyOf {of} name={format!("{} {}", name(&props.whole, props.stage), caption(props.stage))} />
            }
        </>
    }
}

fn name(whole: &Loop, stage: Stage) -> String {
    match stage {
        Stage::Contact => "13-14".to_string(),
        Stage::InputVolts => whole.input.as_ref().map_or("–".into(), |c| c.terminal.name.clone()),
        Stage::InputBit => whole.input.as_ref().map_or("–".into(), |c| c.image()),
        Stage::Rung => match &whole.rung {
            Some((number, _)) => t!("loop-rung", number = number),
            None => t!("loop-no-rung").to_string(),
        },
        Stage::OutputBit => whole.output.as_ref().map_or("–".into(), |c| c.image()),
        Stage::CoilVolts => "A1-A2".to_string(),
        Stage::Armature => whole.contactor.clone(),
    }
}

/// What is asked about at a stage, as in `data-why`; none where it is not wired or not programmed.
fn asked(whole: &Loop, stage: Stage) -> Option<String> {
    Some(match stage {
        Stage::Contact => format!("{}.13-14", whole.contactor),
        Stage::InputVolts => whole.input.as_ref()?.terminal.to_string(),
        Stage::InputBit => whole.input.as_ref()?.signal(),
        Stage::Rung => whole.output_name.clone().filter(|_| whole.rung.is_some())?,
        Stage::OutputBit => whole.output.as_ref()?.signal(),
        Stage::CoilVolts => format!("{}:A1", whole.contactor),
        Stage::Armature => format!("{}.closed", whole.contactor),
    })
}

fn caption(stage: Stage) -> &'static str {
    match stage {
        Stage::Contact => t!("loop-contact"),
        Stage::InputVolts => t!("loop-input-volts"),
        Stage::InputBit => t!("loop-input-bit"),
        Stage::Rung => t!("loop-program"),
        Stage::OutputBit => t!("loop-output-bit"),
        Stage::CoilVolts => t!("loop-coil"),
        Stage::Armature => t!("loop-armature"),
    }
}

/// Where a stage is to be found; none where it is not wired or not programmed.
fn place(whole: &Loop, stage: Stage) -> Option<(Sheet, Thing)> {
    let terminal = |part: &str, name: &str| Thing::Terminal(Terminal::new(part, name));
    Some(match stage {
        Stage::Contact => (Sheet::Wiring, terminal(&whole.contactor, "14")),
        Stage::InputVolts => (Sheet::Wiring, Thing::Terminal(whole.input.as_ref()?.terminal.clone())),
        Stage::InputBit => {
            let channel = whole.input.as_ref()?;
            (Sheet::Program, Thing::Signal(whole.input_name.clone().unwrap_or_else(|| channel.signal())))
        }
        Stage::Rung => (Sheet::Program, Thing::Rung(whole.rung.as_ref()?.0)),
        Stage::OutputBit => {
            let channel = whole.output.as_ref()?;
            (Sheet::Program, Thing::Signal(whole.output_name.clone().unwrap_or_else(|| channel.signal())))
        }
        Stage::CoilVolts => (Sheet::Wiring, terminal(&whole.contactor, "A1")),
        Stage::Armature => (Sheet::Wiring, Thing::Part(whole.contactor.clone())),
    })
}
