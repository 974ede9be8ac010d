//! The sheet: what is in hand, and how text and drawing follow each other.

use super::change::{self, RungChange, readable};
use super::declare::{declare, new_rung};
use super::editor::Editor;
use super::facts::{Facts, Row};
use super::io_list::IoList;
use super::places::{byte_at, utf16_at};
use super::remarks::Remarks;
use super::rungs::Rungs;
use super::sketch::{Hand, Part, Sketch, Standing, standing};
use super::tools::Asking;
use super::transfer::Transfer;
use crate::frame::Split;
use crate::hooks::{use_selector, use_workshop};
use crate::loop_strip::LoopStrip;
use crate::store::{Command, Shop, Thing};
use crate::t;
use sealin_ladder::Reading;
use std::rc::Rc;
use web_sys::HtmlTextAreaElement;
use yew::prelude::*;

/// I/O list, rungs, structured text and the loop of a contactor.
#[component]
pub fn Program() -> Html {
    let shop = use_workshop();
    let source = use_selector(|workshop| workshop.source().to_string());
    let controller = use_selector(|workshop| workshop.bench().design.program.clone().unwrap_or_default());
    let transferred = use_selector(|workshop| workshop.project().transferred.clone());
    let drawn = use_memo(source.clone(), |source| {
        let (sketch, good) = Sketch::read(source);
        (Rc::new(sketch), good)
    });
    let (read, good) = (&drawn.0, drawn.1);
    let kept = use_mut_ref(|| read.clone());
    if good {
        *kept.borrow_mut() = read.clone();
    }
    let sketch: Rc<Sketch> = kept.borrow().clone();
    let facts = use_facts(&sketch);
    let columns = super::room::use_columns();
    let (hand, focus, asking) =
        (use_state(|| None::<Hand>), use_state(|| 0u32), use_state(|| None::<Asking>));
    use_shown_rung(&hand);
    let field = use_node_ref();

    let on_hand = {
        let (hand, focus, asking, field, sketch) =
            (hand.clone(), focus.clone(), asking.clone(), field.clone(), sketch.clone());
        Callback::from(move |(next, follow): (Option<Hand>, bool)| {
            asking.set(None);
            hand.set(next);
            if follow {
                focus.set(*focus + 1);
            }
            select(&field, &sketch, next);
        })
    };
    let on_change = {
        let (shop, sketch, hand, asking, focus, facts) =
            (shop.clone(), sketch.clone(), hand.clone(), asking.clone(), focus.clone(), facts.clone());
        Callback::from(move |what: RungChange| {
            let Some(at) = *hand else { return };
            let (source, reading) = declared(&sketch, &facts, what.name());
            let made = match (at.contact(), &what) {
                (Some(contact), _) => change::change(&source, &reading, at.rung, contact, &what),
                (None, RungChange::InSeries(name)) => change::append(&source, &reading, at.rung, name),
                (None, _) => None,
            };
            asking.set(None);
            if let Some(made) = made {
                put(&shop, made.source);
                hand.set(Some(Hand::at(at.rung, made.contact.map_or(Part::Output, Part::Contact))));
                focus.set(*focus + 1);
            }
        })
    };
    let on_declare = {
        let (shop, read) = (shop.clone(), read.clone());
        Callback::from(move |row: Row| {
            if let Some(text) = declare(&read.source, &read.reading, &row) {
                put(&shop, text);
            }
        })
    };
    let on_new = {
        let (shop, sketch, hand, asking, facts) =
            (shop.clone(), sketch.clone(), hand.clone(), asking.clone(), facts.clone());
        Callback::from(move |name: String| {
            let (source, reading) = declared(&sketch, &facts, Some(&name));
            if let Some(text) = new_rung(&source, &reading, &name) {
                put(&shop, text);
                hand.set(Some(Hand::at(reading.program.rungs.len(), Part::Output)));
                asking.set(Some(Asking::Series));
            }
        })
    };
    let on_ask = {
        let (asking, focus) = (asking.clone(), focus.clone());
        Callback::from(move |what: Option<Asking>| {
            if what.is_none() {
                focus.set(*focus + 1);
            }
            asking.set(what);
        })
    };
    let on_caret = {
        let (hand, sketch, asking) = (hand.clone(), sketch.clone(), asking.clone());
        Callback::from(move |at: usize| {
            asking.set(None);
            hand.set(if good { sketch.hand_at(at) } else { None });
        })
    };
    let on_input = {
        let shop = shop.clone();
        Callback::from(move |text: String| shop.dispatch(Command::Draft(text)))
    };
    let on_leave = Callback::from(move |()| shop.dispatch(Command::KeepDraft));

    let stands = standing(read, good, &transferred);
    let in_text = hand.filter(|_| good);
    let text = html! {
        <div class="program-text">
            <div class="heading"><h2>{ t!("program-text") }</h2><span class="faint small">{ t!("program-text-follows") }</span></div>
            <Editor source={AttrValue::from(source.to_string())} field={field.clone()} names={readable(sketch.program())}
                rung={in_text.and_then(|hand| sketch.rung_range(hand.rung))}
                hand={in_text.filter(|hand| hand.contact().is_some()).and_then(|hand| sketch.hand_range(hand))}
                wrong={read.diagnostics().iter().map(|d| d.line).collect::<Vec<_>>()}
                {on_input} {on_caret} {on_leave} />
            <Errors sketch={read.clone()} facts={facts.clone()} {field} />
        </div>
    };
    html! {
        <Split companion={text} companion_name={t!("program-text")}>
            <div class="program">
                <div class="program-lists">
                    <IoList facts={facts.clone()} {on_declare} />
                    <Remarks remarks={sketch.remarks.clone()} />
                </div>
                <div class="program-rungs">
                    <div class="heading"><h2>{ t!("program-rungs") }</h2><Legend /></div>
                    <Transfer standing={stands} />
                    if stands == Standing::Wrong {
                        <p class="program-stale" role="status">{ t!("program-stale") }</p>
                    }
                    <Rungs sketch={sketch.clone()} stale={!good} controller={controller.clone()} {facts} {columns}
                        hand={*hand} focus={*focus} asking={*asking} {on_hand} {on_change} {on_ask} {on_new} />
                    <LoopStrip />
                </div>
            </div>
        </Split>
    }
}

/// Puts a changed text on the sheet, as one step that can be taken back.
fn put(shop: &Shop, text: String) {
    shop.dispatch(Command::KeepDraft);
    shop.dispatch(Command::Draft(text));
    shop.dispatch(Command::KeepDraft);
}

/// The text in which a name can be used: with its declaration, if it is of the I/O list and has none.
fn declared(sketch: &Sketch, facts: &Facts, name: Option<&str>) -> (String, Reading) {
    let row = name.and_then(|name| facts.undeclared(name));
    match row.and_then(|row| declare(&sketch.source, &sketch.reading, row)) {
        Some(source) => {
            let reading = sealin_ladder::read(&source);
            (source, reading)
        }
        None => (sketch.source.clone(), sketch.reading.clone()),
    }
}

/// What the drawing's lines and small boxes mean, and how it is changed.
#[component]
fn Legend() -> Html {
    html! {
        <span class="program-legend faint small">
            <span>{ t!("program-how-to-change") }</span>
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

/// Takes the rung in hand that another sheet or a remark has asked for.
#[hook]
fn use_shown_rung(hand: &UseStateHandle<Option<Hand>>) {
    let asked = use_selector(|workshop| match workshop.screen().selection {
        Some(Thing::Rung(number)) => Some((number, workshop.screen().shown)),
        _ => None,
    });
    use_effect_with(*asked, {
        let hand = hand.clone();
        move |asked| {
            let Some((number, _)) = asked else { return };
            hand.set(Some(Hand::at(number.saturating_sub(1), Part::Output)));
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
