//! The sheet: what is in hand, and how text and drawing follow each other.

use super::desk::{Act, Desk, Effect, Ground, Mode, valid};
use super::editor::Editor;
use super::facts::Facts;
use super::field_remarks::field_remarks;
use super::io_list::IoList;
use super::names::readable;
use super::places::{byte_at, utf16_at};
use super::remarks::{Remarks, RemarksLink, Said};
use super::rungs::Rungs;
use super::sketch::{Hand, Part, Sketch, Standing, standing};
use super::transfer::Transfer;
use super::variables::{self, VarChange};
use super::walk;
use crate::frame::Split;
use crate::hooks::{takes_keyboard, use_selector, use_workshop};
use crate::loop_strip::LoopStrip;
use crate::services::clipboard;
use crate::store::{Command, ScreenAct, Sheet, Shop, Thing, Workshop};
use crate::t;
use std::cell::Cell;
use std::rc::Rc;
use web_sys::HtmlTextAreaElement;
use yew::prelude::*;

/// I/O list, rungs, structured text and the loop of a contactor.
#[component]
pub fn Program() -> Html {
    let shop = use_workshop();
    let source = use_selector(|workshop| workshop.source().to_string());
    let controller = use_selector(Workshop::program_seen);
    let transferred = use_selector(|workshop| workshop.project().transferred.clone());
    let drawn = use_memo(source.clone(), |source| {
        let (sketch, good) = Sketch::read(source);
        (Rc::new(sketch), good)
    });
    let (read, good) = (&drawn.0, drawn.1);
    let kept = use_mut_ref(|| read.clone());
    // A text that nothing stands in yet can be begun on the drawing too.
    let workable = good || source.trim().is_empty();
    if workable {
        *kept.borrow_mut() = read.clone();
    }
    let sketch: Rc<Sketch> = kept.borrow().clone();
    let facts = use_facts(&sketch);
    let columns = super::room::use_columns();
    let kept_desk = use_state(Desk::default);
    let served = use_memo((), |()| Cell::new(0));
    let desk = Desk { hand: valid(sketch.program(), kept_desk.hand), ..(*kept_desk).clone() };
    let field = use_node_ref();

    let on_act = {
        let (shop, kept_desk, desk) = (shop.clone(), kept_desk.clone(), desk.clone());
        let (sketch, facts, field) = (sketch.clone(), facts.clone(), field.clone());
        let served = served.clone();
        Callback::from(move |act: Act| {
            let from_text = matches!(act, Act::Caret(_) | Act::History(_));
            let (mut next, effect) =
                desk.after(act, &Ground { sketch: &sketch, good: workable, facts: &facts });
            if let Some(refused) = carry_out(&shop, effect) {
                next.said = Some(refused);
            }
            if from_text {
                // What the drawing has not been given the keyboard for by now stays with the text.
                served.set(next.focus);
            } else {
                select(&field, &sketch, next.hand);
            }
            kept_desk.set(next);
        })
    };
    use_shown_rung(&kept_desk, &sketch);
    let on_vars = {
        let (shop, read) = (shop.clone(), read.clone());
        Callback::from(move |change: VarChange| {
            match variables::changed(&read.source, &read.reading, &change) {
                Ok(text) => {
                    put(&shop, text);
                    None
                }
                Err(why) => Some(why),
            }
        })
    };
    let remarks = use_remarks(&sketch, &facts);
    let on_caret = {
        let (on_act, sketch) = (on_act.clone(), sketch.clone());
        Callback::from(move |at: usize| on_act.emit(Act::Caret(if good { sketch.hand_at(at) } else { None })))
    };
    let on_input = {
        let shop = shop.clone();
        Callback::from(move |text: String| shop.dispatch(Command::Draft(text)))
    };
    let on_leave = Callback::from({
        let shop = shop.clone();
        move |()| shop.dispatch(Command::KeepDraft)
    });
    let on_history = on_act.reform(Act::History);

    let stands = standing(read, good, &transferred);
    let in_text = desk.hand.filter(|_| good);
    let text = html! {
        <div class="program-text">
            <div class="heading"><h2>{ t!("program-text") }</h2><span class="faint small">{ t!("program-text-follows") }</span></div>
            <Editor source={AttrValue::from(source.to_string())} field={field.clone()} names={Rc::new(readable(sketch.program(), &facts))}
                rung={in_text.and_then(|hand| sketch.rung_range(hand.rung))}
                hand={in_text.filter(|hand| hand.contact().is_some()).and_then(|hand| sketch.hand_range(hand))}
                wrong={read.diagnostics().iter().map(|d| d.line).collect::<Vec<_>>()}
                {on_input} {on_caret} {on_leave} {on_history} />
            <Errors sketch={read.clone()} facts={facts.clone()} {field} />
        </div>
    };
    html! {
        <Split companion={text} companion_name={t!("program-text")}>
            <div class="program">
                <div class="program-lists">
                    <IoList program={Rc::new(read.program().clone())} facts={facts.clone()}
                        on_change={on_vars} />
                    <Remarks remarks={(*remarks).clone()} />
                </div>
                <div class="program-rungs">
                    <div class="heading"><h2>{ t!("program-rungs") }</h2><Legend /></div>
                    <Transfer standing={stands} />
                    <RemarksLink remarks={(*remarks).clone()} />
                    if stands == Standing::Wrong && !workable {
                        <p class="program-stale" role="status">{ t!("program-stale") }</p>
                    }
                    <Rungs sketch={sketch.clone()} stale={!workable} controller={controller.clone()} {facts} {columns}
                        {desk} {served} {on_act} />
                    <LoopStrip />
                </div>
            </div>
        </Split>
    }
}

/// Does outside of the desk what it wants; says what was refused.
fn carry_out(shop: &Shop, effect: Effect) -> Option<String> {
    match effect {
        Effect::None => {}
        Effect::Put(text) => put(shop, text),
        Effect::Undo => return shop.ask(Command::Undo).err(),
        Effect::Redo => return shop.ask(Command::Redo).err(),
        Effect::Show(place) => {
            let show = ScreenAct::Show(Sheet::Circuit, Thing::Terminal(place));
            shop.dispatch(Command::Screen(show));
        }
        Effect::Copy(text, left) => {
            clipboard::write(&text);
            if let Some(left) = left {
                put(shop, left);
            }
        }
    }
    None
}

/// Puts a changed text on the sheet, as one step that can be taken back.
fn put(shop: &Shop, text: String) {
    shop.dispatch(Command::KeepDraft);
    shop.dispatch(Command::Draft(text));
    shop.dispatch(Command::KeepDraft);
}

/// What the drawing's lines and small boxes mean, and how it is changed.
#[component]
fn Legend() -> Html {
    html! {
        <span class="program-legend faint small">
            <span><svg class="program-sample" viewBox="0 0 24 6" aria-hidden="true"><path d="M0 3h24" /></svg>
                { t!("program-heavy-line") }</span>
            <span>{ t!("program-no-bit") }</span>
        </span>
    }
}

#[hook]
fn use_facts(sketch: &Rc<Sketch>) -> Rc<Facts> {
    let wiring = use_selector(|workshop| workshop.project().conductors.clone());
    let scenario = use_selector(|workshop| workshop.scenario().clone());
    use_memo((sketch.clone(), wiring, scenario), |(sketch, wiring, scenario)| {
        let conductors: Vec<_> = wiring.values().cloned().collect();
        Facts::gather(sketch.program(), &scenario.names, &scenario.parts, &conductors)
    })
}

/// What a teacher would say: of the program, then of the wiring.
#[hook]
fn use_remarks(sketch: &Rc<Sketch>, facts: &Rc<Facts>) -> Rc<Vec<Said>> {
    let scenario = use_selector(|workshop| workshop.scenario().clone());
    use_memo((sketch.clone(), facts.clone(), scenario), |(sketch, facts, scenario)| {
        let of_program = sketch.remarks.iter().map(Said::from);
        of_program.chain(field_remarks(sketch.program(), facts, &scenario.parts)).collect()
    })
}

/// Takes the rung or contact in hand that another sheet or a remark has asked for.
#[hook]
fn use_shown_rung(desk: &UseStateHandle<Desk>, sketch: &Rc<Sketch>) {
    let asked = use_selector(|workshop| match &workshop.screen().selection {
        Some(Thing::Rung(number)) => Some((*number, None, workshop.screen().shown)),
        Some(Thing::Contact(number, bit)) => Some((*number, Some(bit.clone()), workshop.screen().shown)),
        _ => None,
    });
    let shop = use_workshop();
    use_effect_with(asked, {
        let (desk, sketch) = (desk.clone(), sketch.clone());
        move |asked| {
            let Some((number, bit, _)) = &**asked else { return };
            let rung = number.saturating_sub(1);
            let contact =
                bit.as_ref().and_then(|bit| walk::contact_of(sketch.program().rungs.get(rung)?, bit));
            let hand = Some(Hand::at(rung, contact.map_or(Part::Output, Part::Contact)));
            let focus = desk.focus + u32::from(takes_keyboard(&shop));
            desk.set(Desk { hand, focus, mode: Mode::Tools, ..(*desk).clone() });
            let rung = crate::services::page::document()
                .and_then(|d| d.get_element_by_id(&format!("rung-{number}")));
            if let Some(rung) = rung {
                rung.scroll_into_view();
            }
        }
    });
}

/// Selects in the text what is in hand on the drawing, without taking the keyboard away from the drawing.
fn select(field: &NodeRef, sketch: &Sketch, hand: Option<Hand>) {
    let (Some(field), Some(range)) =
        (field.cast::<HtmlTextAreaElement>(), hand.and_then(|h| sketch.hand_range(h)))
    else {
        return;
    };
    let (start, end) = (utf16_at(&sketch.source, range.start), utf16_at(&sketch.source, range.end));
    let _ = field.set_selection_range(start, end);
}

#[derive(Properties, PartialEq)]
struct ErrorsProps {
    sketch: Rc<Sketch>,
    facts: Rc<Facts>,
    field: NodeRef,
}

/// What to do about a name that the I/O list has and the text does not declare.
fn hint(facts: &Facts, message: &str) -> Option<String> {
    let row = facts.undeclared(message.strip_suffix(" is not declared")?)?;
    Some(t!("program-in-the-list", address = row.address))
}

/// Errors with their place; choosing one puts the caret there.
#[component]
fn Errors(props: &ErrorsProps) -> Html {
    let go = |line: u32, column: u32| {
        let (field, sketch) = (props.field.clone(), props.sketch.clone());
        Callback::from(move |_: MouseEvent| {
            if let Some(field) = field.cast::<HtmlTextAreaElement>() {
                let at = utf16_at(&sketch.source, byte_at(&sketch.source, line, column));
                let _ = field.focus();
                let _ = field.set_selection_range(at, at);
            }
        })
    };
    html! {
        <div class="program-errors" id="program-errors" role="status">
            { for props.sketch.diagnostics().iter().map(|found| html! {
                <button type="button" class="program-error" onclick={go(found.line, found.column)}>
                    <span class="program-error-sign" aria-hidden="true">{ "△" }</span>
                    <span>
                        <strong>{ found.to_string() }</strong>
                        if let Some(hint) = hint(&props.facts, &found.message).or(found.hint.clone()) {
                            <span class="small faint">{ hint }</span>
                        }
                    </span>
                </button>
            }) }
        </div>
    }
}
