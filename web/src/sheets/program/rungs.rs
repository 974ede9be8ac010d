//! The rungs, one under the other, with the keys that walk and change them and the bar below.

use super::bar::Bar;
use super::comment::CommentField;
use super::desk::{Act, Desk, Mode, clip};
use super::facts::Facts;
use super::fold::fold;
use super::keys::{Pressed, meaning};
use super::rung::RungDrawing;
use super::sketch::{Hand, Part, Sketch};
use super::typed::Ask;
use crate::services::surface::is_text;
use crate::services::{clipboard, page};
use crate::t;
use sealin_ladder::Program;
use std::cell::Cell;
use std::rc::Rc;
use web_sys::{KeyboardEvent, ScrollIntoViewOptions, ScrollLogicalPosition};
use yew::prelude::*;

/// The drawing.
#[derive(Properties, PartialEq)]
pub struct RungsProps {
    /// The program drawn.
    pub sketch: Rc<Sketch>,
    /// The text has errors: this is the last drawing without, and cannot be changed.
    pub stale: bool,
    /// The program in the controller.
    pub controller: Rc<Program>,
    /// Addresses and contacts in the field.
    pub facts: Rc<Facts>,
    /// Cells in a line.
    pub columns: u32,
    /// What is going on.
    pub desk: Desk,
    /// The count of `desk.focus` for which the keyboard has been given.
    pub served: Rc<Cell<u32>>,
    /// Something is done.
    pub on_act: Callback<Act>,
}

/// All rungs, and the bar.
#[component]
pub fn Rungs(props: &RungsProps) -> Html {
    let key = use_callback((props.sketch.clone(), props.desk.hand, props.columns), {
        let on_act = props.on_act.clone();
        move |event: KeyboardEvent, (sketch, hand, columns)| {
            let layout = |rung: usize| Some(fold(sketch.program().rungs.get(rung)?, *columns).layout);
            let pressed = Pressed {
                key: event.key(),
                shift: event.shift_key(),
                control: event.ctrl_key() || event.meta_key(),
                alt: event.alt_key(),
            };
            if let Some(act) = meaning(sketch, *hand, &layout, &pressed) {
                event.prevent_default();
                on_act.emit(act);
            }
        }
    });
    let copying = |act: Act| {
        let (on_act, sketch, hand) = (props.on_act.clone(), props.sketch.clone(), props.desk.hand);
        Callback::from(move |event: Event| {
            let clip = clip(sketch.program(), hand).filter(|_| !is_text(&event));
            if let Some(clip) = clip {
                clipboard::give(&event, &clip.text);
                on_act.emit(act.clone());
            }
        })
    };
    let pasting = {
        let on_act = props.on_act.clone();
        Callback::from(move |event: Event| {
            if !is_text(&event) {
                event.prevent_default();
                on_act.emit(Act::Paste(clipboard::pasted(&event)));
            }
        })
    };
    let is_open = props.desk.mode != Mode::Tools;
    use_effect_with((props.desk.hand.map(|hand| hand.rung), is_open), |(rung, _)| {
        let section =
            rung.and_then(|rung| page::document()?.get_element_by_id(&format!("rung-{}", rung + 1)));
        if let Some(section) = section {
            let options = ScrollIntoViewOptions::new();
            options.set_block(ScrollLogicalPosition::Nearest);
            section.scroll_into_view_with_scroll_into_view_options(&options);
        }
    });
    let program = Rc::new(props.sketch.program().clone());
    html! {
        <div class={classes!("rungs", is_open.then_some("rungs-open"))} oncopy={copying(Act::Copy)} oncut={copying(Act::Cut)} onpaste={pasting}>
            <div class="rungs-list" onkeydown={key}>
                { for (0..program.rungs.len()).map(|index| rung(props, index)) }
                if program.rungs.is_empty() {
                    <p class="faint">{ t!("program-no-rung") }</p>
                }
            </div>
            <Bar {program} facts={props.facts.clone()} desk={props.desk.clone()} stale={props.stale}
                on_act={props.on_act.clone()} />
        </div>
    }
}

fn rung(props: &RungsProps, index: usize) -> Html {
    let rung = &props.sketch.program().rungs[index];
    let hand = props.desk.hand.filter(|hand| hand.rung == index);
    let writes = hand.is_some() && props.desk.mode == Mode::Asks(Ask::Comment);
    let touch = props.on_act.reform(|(hand, further)| Act::Touch { hand, further });
    let comment = if writes {
        let write = props.on_act.reform(|text: String| Act::Write(Ask::Comment, text, false));
        html! { <CommentField text={rung.comment.clone()} on_write={write} on_leave={props.on_act.reform(|()| Act::Leave)} /> }
    } else if rung.comment.is_empty() {
        Html::default()
    } else {
        let whole = Hand::at(index, Part::Rung);
        let on_act = props.on_act.clone();
        let edit =
            Callback::from(move |_: MouseEvent| on_act.emit(Act::Touch { hand: whole, further: false }));
        html! { <p class="rungs-comment" onclick={edit}>{ rung.comment.clone() }</p> }
    };
    html! {
        <section class={classes!("rungs-rung", hand.map(|_| "rungs-rung-hand"))} id={format!("rung-{}", index + 1)}>
            { comment }
            <RungDrawing rung={rung.clone()} {index} columns={props.columns} {hand}
                first={index == 0 && props.desk.hand.is_none()} focus={props.desk.focus} served={props.served.clone()}
                runs={props.sketch.runs(index, &props.controller)} facts={props.facts.clone()}
                on_hand={touch} />
        </section>
    }
}
