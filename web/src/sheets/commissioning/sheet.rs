//! The sheet: the machine runs, and everything that shows it stands around it.

use super::at_hand::AtHand;
use super::before::Before;
use super::checks::Checks;
use super::happened::Happened;
use super::machine::Machine;
use super::meter::Meter;
use super::overload::Overloads;
use super::probes::Probes;
use super::proofs::Proofs;
use super::seen::Seen;
use super::settings::Settings;
use super::starting::Starting;
use super::station::Station;
use super::stop_key::StopKey;
use super::supply::Supply;
use super::time::Time;
use crate::diagram::Recording;
use crate::frame::Split;
use crate::hooks::{use_brought, use_selector, use_workshop};
use crate::loop_strip::LoopStrip;
use crate::store::model::Measurement;
use crate::store::{Command, ScreenAct, Thing, Workshop};
use crate::t;
use std::cell::RefCell;
use std::rc::Rc;
use web_sys::HtmlElement;
use yew::prelude::*;

thread_local! {
    // Where the probes are is no part of the work; it stays while other sheets are in view.
    static PROBES: RefCell<Option<Probes>> = const { RefCell::new(None) };
}

/// The instrument that was in the hand; at first the meter.
fn first_probes(workshop: &Workshop) -> Probes {
    PROBES.with(|kept| kept.borrow().clone()).unwrap_or_else(|| {
        let conductor = workshop.conductors().first().map(|c| c.id.clone()).unwrap_or_default();
        Probes::first(&workshop.scenario().parts, &conductor)
    })
}

/// Brings what is seen of the machine into view, and the keyboard to it.
fn go_to(diagram: &NodeRef) {
    if let Some(place) = diagram.cast::<HtmlElement>() {
        place.focus().ok();
        place.scroll_into_view();
    }
}

/// Supply, station, machine, instruments, diagram, loop, checks.
#[component]
pub fn Commissioning() -> Html {
    let shop = use_workshop();
    let chosen = use_selector(|workshop| match &workshop.screen().selection {
        Some(Thing::Part(tag)) => Some((tag.clone(), workshop.screen().shown)),
        _ => None,
    });
    use_brought((*chosen).clone());
    let probes = {
        let shop = shop.clone();
        use_state(move || shop.with(first_probes))
    };
    let shown = use_state(|| None::<Rc<Recording>>);
    let on_probes = {
        let probes = probes.clone();
        Callback::from(move |next: Probes| {
            PROBES.with(|kept| kept.replace(Some(next.clone())));
            probes.set(next);
        })
    };
    let on_put = {
        let probes = probes.clone();
        on_probes.reform(move |what: Measurement| probes.put(&what))
    };
    let diagram = use_node_ref();
    let on_show = {
        let (shown, diagram) = (shown.clone(), diagram.clone());
        Callback::from(move |recording: Rc<Recording>| {
            shown.set(Some(recording));
            // Before the drawer closes, or the keyboard would be lost with the button that was pressed in it.
            go_to(&diagram);
            shop.dispatch(Command::Screen(ScreenAct::Companion(false)));
        })
    };
    let on_back = {
        let (shown, diagram) = (shown.clone(), diagram.clone());
        Callback::from(move |()| {
            go_to(&diagram);
            shown.set(None);
        })
    };
    let companion = html! {
        <div class="split-scrolled"><Before {on_put} /><Checks on_show={on_show.clone()} /><Proofs {on_show} /></div>
    };
    html! {
        <Split {companion} companion_name={t!("checks-drawer")}>
            <div class="running-top">
                <h1>{ t!("running-title") }</h1>
                <Time />
            </div>
            <AtHand />
            <Supply />
            <Starting />
            <StopKey />
            <div class="running">
                <div class="running-machine">
                    <Station />
                    <Overloads />
                    <Settings />
                    <Machine />
                    <Meter probes={(*probes).clone()} {on_probes} />
                </div>
                <div class="running-seen">
                    <Happened />
                    <section ref={diagram} class="running-diagram" tabindex="-1" aria-label={t!("seen-choice")}>
                        <Seen recording={(*shown).clone()} {on_back} />
                    </section>
                    <LoopStrip />
                </div>
            </div>
        </Split>
    }
}
