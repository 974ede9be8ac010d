//! The place for the answer: a strip over the list of drawings, in the way of nothing. Never in front of the sheet.

use super::pick::{KEY, listen};
use super::place::of_link;
use super::subjects::{of_text, of_thing};
use crate::hooks::{use_selector, use_workshop};
use crate::services::{page, surface};
use crate::store::model::Kind;
use crate::store::{Answer, Command, ScreenAct, Shop, Step, Why, WhyAct};
use crate::t;
use crate::text::time::bench_time;
use sealin_core::why::{End, Subject};
use std::cell::{Cell, RefCell};
use std::rc::Rc;
use wasm_bindgen::JsCast;
use web_sys::HtmlElement;
use yew::prelude::*;

/// The button that opens and closes the place for the answer.
#[component]
pub fn WhyButton() -> Html {
    let shop = use_workshop();
    let open = use_selector(|workshop| *workshop.why() != Why::Closed);
    let act = if *open { WhyAct::Close } else { WhyAct::Open };
    let press = Callback::from(move |_: MouseEvent| shop.dispatch(Command::Why(act.clone())));
    html! {
        <button type="button" class="why-button" aria-expanded={open.to_string()} aria-controls="why"
            aria-keyshortcuts={KEY} title={t!("why-title")} onclick={press}>{ t!("why") }</button>
    }
}

/// The answer, with its way back to where it was asked by key.
#[component]
pub fn WhyPanel() -> Html {
    let shop = use_workshop();
    let why = use_selector(|workshop| workshop.why().clone());
    let (heading, by_key) = (use_node_ref(), use_memo((), |()| Cell::new(false)));
    let from = use_memo((), |()| RefCell::new(None::<HtmlElement>));
    use_effect_with(shop.clone(), {
        let (by_key, from) = (by_key.clone(), from.clone());
        move |shop| {
            let listeners = listen(shop, move || {
                by_key.set(true);
                let focus = page::document().and_then(|d| d.active_element());
                from.replace(focus.and_then(|element| element.dyn_into().ok()));
            });
            move || drop(listeners)
        }
    });
    use_effect_with(why.clone(), {
        let (heading, by_key) = (heading.clone(), by_key.clone());
        move |_| {
            if by_key.replace(false) {
                surface::focus(&heading);
            }
        }
    });
    use_ask_about_choice(&shop, &why);
    let close = {
        let (shop, from) = (shop.clone(), from.clone());
        Callback::from(move |()| {
            shop.dispatch(Command::Why(WhyAct::Close));
            if let Some(element) = from.take() {
                // Where it was asked may be on another sheet by now.
                let sheet = || page::document()?.get_element_by_id("drawing")?.dyn_into().ok();
                let back = if element.is_connected() { Some(element) } else { sheet() };
                if let Some(back) = back {
                    let _ = back.focus();
                }
            }
        })
    };
    if *why == Why::Closed {
        return Html::default();
    }
    // Escape is the stop button's key outside of here.
    let onkeydown = {
        let close = close.clone();
        Callback::from(move |event: KeyboardEvent| {
            if event.key() == "Escape" {
                event.prevent_default();
                event.stop_propagation();
                close.emit(());
            }
        })
    };
    let (title, when) = match &*why {
        Why::Answered(answer) => (asked_text(answer), Some(when(answer))),
        Why::Silent => (t!("why-silent").to_string(), None),
        Why::Sealed => (t!("why-sealed").to_string(), None),
        Why::Open | Why::Closed => (t!("why-open").to_string(), None),
    };
    html! {
        <section class="why" id="why" aria-labelledby="why-title" {onkeydown}>
            <div class="why-head">
                <h2 id="why-title" ref={heading} tabindex="-1" aria-live="polite">{ title }</h2>
                if let Some(when) = when { <span class="faint small why-when">{ when }</span> }
                if let Why::Answered(answer) = &*why { <Again answer={answer.clone()} /> }
                <button type="button" class="why-close" aria-label={t!("why-close")}
                    onclick={close.reform(|_: MouseEvent| ())}>{ "×" }</button>
            </div>
            { match &*why {
                Why::Answered(answer) => html! { <Steps key={format!("{:p}", Rc::as_ptr(answer))} answer={answer.clone()} /> },
                Why::Sealed => html! {},
                _ => html! { <Devices /> },
            } }
        </section>
    }
}

/// While nothing is asked yet, what is chosen next on a sheet is asked about.
#[hook]
fn use_ask_about_choice(shop: &Shop, why: &Why) {
    let chosen = use_selector(|workshop| workshop.screen().selection.clone());
    let before = use_memo((), |()| RefCell::new(None));
    use_effect_with((chosen, *why == Why::Open), {
        let shop = shop.clone();
        move |(chosen, open)| {
            let changed = *before.borrow() != **chosen;
            before.replace((**chosen).clone());
            let Some(thing) = (**chosen).clone().filter(|_| *open && changed) else { return };
            let subjects = shop.with(|workshop| of_thing(workshop, &thing));
            if !subjects.is_empty() {
                shop.dispatch(Command::Why(WhyAct::Ask(subjects, None)));
            }
        }
    });
}

fn asked_text(answer: &Answer) -> String {
    answer.steps.first().map_or(String::new(), |step| t!("why-asked", what = step.link.what()))
}

fn when(answer: &Answer) -> String {
    if answer.earlier {
        // As the diagram counts: a tick is over before what it left behind is looked at.
        t!("why-then", time = bench_time(answer.tick.saturating_sub(1)))
    } else {
        t!("why-now", time = bench_time(answer.tick))
    }
}

#[derive(Properties, PartialEq)]
struct AnswerProps {
    answer: Rc<Answer>,
}

/// Asks the same of this instant, and what else can be asked of the same thing.
#[component]
fn Again(props: &AnswerProps) -> Html {
    let shop = use_workshop();
    let asking = |subjects: Vec<Subject>| {
        let shop = shop.clone();
        Callback::from(move |_: MouseEvent| {
            shop.dispatch(Command::Why(WhyAct::Ask(subjects.clone(), None)));
        })
    };
    let answer = &props.answer;
    let beside = answer.beside.iter().enumerate().map(|(n, text)| {
        let mut subjects = answer.subjects.clone();
        subjects.swap(0, n + 1);
        html! { <button type="button" class="why-of" onclick={asking(subjects)}>{ t!("why-of", name = text) }</button> }
    });
    html! {
        <div class="why-again">
            { for beside }
            <button type="button" class="why-of" onclick={asking(answer.subjects.clone())}>{ t!("why-again") }</button>
        </div>
    }
}

/// The chain.
#[component]
fn Steps(props: &AnswerProps) -> Html {
    let steps = props.answer.steps.iter().enumerate();
    // The link that was followed last; on a small screen the rest then makes way for its place.
    let followed = use_state(|| None::<usize>);
    html! {
        <ol class={classes!("why-steps", followed.map(|_| "why-followed"))} aria-label={t!("why-chain")}>
            { for steps.map(|(n, step)| {
                let on_go = { let followed = followed.clone(); Callback::from(move |()| followed.set(Some(n))) };
                html! {
                    <li key={n}>
                        <OneStep step={step.clone()} first={n == 0} at={props.answer.at()}
                            followed={*followed == Some(n)} {on_go} />
                    </li>
                }
            }) }
        </ol>
    }
}

#[derive(Properties, PartialEq)]
struct StepProps {
    step: Step,
    first: bool,
    at: Option<u64>,
    followed: bool,
    on_go: Callback<()>,
}

/// A link: to its place, and asking on from it.
#[component]
fn OneStep(props: &StepProps) -> Html {
    let shop = use_workshop();
    let step = &props.step;
    let place = use_memo(step.link.clone(), |link| shop.with(|workshop| of_link(workshop, link)));
    let go = {
        let (shop, place, on_go) = (shop.clone(), place.clone(), props.on_go.clone());
        Callback::from(move |_: MouseEvent| {
            if let Some((sheet, thing)) = (*place).clone() {
                on_go.emit(());
                shop.dispatch(Command::Screen(ScreenAct::Show(sheet, thing)));
            }
        })
    };
    let asking = |subject: &Subject| {
        let (shop, act) = (shop.clone(), WhyAct::Ask(vec![subject.clone()], props.at));
        Callback::from(move |_: MouseEvent| shop.dispatch(Command::Why(act.clone())))
    };
    let node = use_node_ref();
    use_effect_with(props.followed, {
        let node = node.clone();
        move |followed| {
            if *followed {
                surface::reveal(&node);
            }
        }
    });
    let sheet = (*place).as_ref().map(|(sheet, _)| sheet.number().to_string());
    let root = matches!(&step.link.end, Some(end) if !matches!(end, End::Holds(_)));
    html! {
        <>
            <button type="button" class={classes!("why-step", root.then_some("why-root"))} disabled={place.is_none()} onclick={go}
                ref={node} aria-current={props.followed.then_some("true")}>
                <span>{ step.text.clone() }</span>
                if let Some(number) = sheet {
                    <span class="why-sheet" title={t!("why-sheet", number = number)}>{ number.clone() }</span>
                }
            </button>
            if !props.first {
                <button type="button" class="why-of" onclick={asking(&step.link.subject)}
                    aria-label={t!("why-of", name = step.link.what())}>{ t!("why") }</button>
            }
            { for step.others.iter().map(|(flip, text)| html! {
                <button type="button" class="why-of" onclick={asking(&flip.subject)}>{ t!("why-other", what = text) }</button>
            }) }
        </>
    }
}

/// The devices of the job, to be asked about by their tags.
#[component]
fn Devices() -> Html {
    let shop = use_workshop();
    let scenario = use_selector(|workshop| workshop.scenario().clone());
    let shown = scenario.parts.iter().filter(|part| {
        matches!(
            part.kind,
            Kind::Contactor(_)
                | Kind::Relay(_)
                | Kind::Motor(_)
                | Kind::Overload(_)
                | Kind::Lamp(_)
                | Kind::Controller(_)
                | Kind::DcSupply(_)
                | Kind::Brake(_)
        )
    });
    html! {
        <div class="why-devices">
            { for shown.map(|part| {
                let (shop, tag) = (shop.clone(), part.tag.clone());
                let ask = Callback::from(move |_: MouseEvent| {
                    let subjects = shop.with(|workshop| of_text(workshop, &tag));
                    shop.dispatch(Command::Why(WhyAct::Ask(subjects, None)));
                });
                html! {
                    <button key={part.tag.clone()} type="button" onclick={ask} aria-label={t!("why-of", name = part.tag)}>
                        { part.tag.clone() }
                    </button>
                }
            }) }
        </div>
    }
}
