//! Where a person who has never seen the bench begins: what the job is, and the way to the first steps.

use super::course::of;
use super::progress::HintAct;
use crate::hooks::{use_selector, use_workshop};
use crate::store::model::Act;
use crate::store::{Command, Notice, ScreenAct, Shop};
use crate::t;
use yew::prelude::*;

/// What the job is in one sentence, and a button that shows the first steps. Once something has been done it is only that
/// button.
#[component]
pub fn StartHere() -> Html {
    let shop = use_workshop();
    let job = use_selector(|workshop| workshop.scenario().id.clone());
    let (fresh, on) = *use_selector(|workshop| {
        let hints = workshop.hints();
        let fresh =
            workshop.session().entries_from(0).iter().all(|entry| matches!(entry.act, Act::Run { .. }));
        (fresh, hints.on() && hints.shown(&workshop.scenario().id).is_some())
    });
    let Some(course) = of(&job) else { return html! {} };
    let show = {
        let shop = shop.clone();
        Callback::from(move |_: MouseEvent| show(&shop))
    };
    let stop = Callback::from(move |_: MouseEvent| shop.dispatch(Command::Hints(HintAct::Stop)));
    let button = if on {
        html! { <button type="button" onclick={stop}>{ t!("hint-stop") }</button> }
    } else {
        html! { <button type="button" class={classes!(fresh.then_some("button-main"))} onclick={show}>{ t!("start-show") }</button> }
    };
    if !fresh && !on {
        return html! { <p class="start-again">{ button }</p> };
    }
    html! {
        <section class="start box" aria-labelledby="start-here">
            <h2 id="start-here">{ t!("start-title") }</h2>
            <p>{ (course.lead)() }</p>
            { button }
        </section>
    }
}

/// Shows the first steps, and turns to the sheet of the first that is left.
fn show(shop: &Shop) {
    shop.dispatch(Command::Hints(HintAct::Start));
    let next = shop.with(|workshop| workshop.hints().shown(&workshop.scenario().id));
    match next {
        Some(shown) => shop.dispatch(Command::Screen(ScreenAct::GoTo(shown.step.sheet))),
        None => shop.dispatch(Command::Notice(Notice { refused: false, text: t!("start-all-done").into() })),
    }
}
