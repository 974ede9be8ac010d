//! What is seen of the machine: the timing diagram, or a chart of the overload or the motor, one at a time.

use super::facts::tags;
use crate::charts::{TorqueChart, TripChart};
use crate::diagram::{RecordedDiagram, Recording, TimingDiagram};
use crate::hooks::use_selector;
use crate::store::Workshop;
use crate::store::model::Kind;
use crate::t;
use std::cell::RefCell;
use std::rc::Rc;
use yew::prelude::*;

/// What can be seen.
#[derive(Clone, Debug, PartialEq)]
enum View {
    Timing,
    Trip(String),
    Torque(String),
}

thread_local! {
    // What is in view is no part of the work; it stays while other sheets are in view.
    static IN_VIEW: RefCell<View> = const { RefCell::new(View::Timing) };
}

/// What is shown instead, for as long as it is.
#[derive(Properties, PartialEq)]
pub struct SeenProps {
    /// A recorded trial.
    pub recording: Option<Rc<Recording>>,
    /// Puts the recorded trial away.
    pub on_back: Callback<()>,
}

/// The choice, and what is chosen.
#[component]
pub fn Seen(props: &SeenProps) -> Html {
    let view = use_state(|| IN_VIEW.with(|kept| kept.borrow().clone()));
    let overloads = use_selector(|w| tags(&w.scenario().parts, |kind| matches!(kind, Kind::Overload(_))));
    let motors = use_selector(|w| tags(&w.scenario().parts, |kind| matches!(kind, Kind::Motor(_))));
    let sealed = use_selector(Workshop::is_sealed);
    if let Some(recording) = &props.recording {
        let back = props.on_back.reform(|_: MouseEvent| ());
        return html! {
            <>
                <button type="button" onclick={back}>{ t!("running-back") }</button>
                <RecordedDiagram key={format!("{:p}", Rc::as_ptr(recording))} recording={recording.clone()} />
            </>
        };
    }
    let views = std::iter::once(View::Timing)
        .chain(overloads.iter().cloned().map(View::Trip))
        .chain(motors.iter().cloned().map(View::Torque))
        // Heat and torque are not to be seen at a machine.
        .filter(|one| !*sealed || *one == View::Timing);
    let in_view = if *sealed { View::Timing } else { (*view).clone() };
    let choice = views.map(|one| {
        let name = match &one {
            View::Timing => t!("diagram-title").to_string(),
            View::Trip(tag) => t!("seen-trip", tag = tag),
            View::Torque(tag) => t!("seen-torque", tag = tag),
        };
        let pressed = (one == in_view).to_string();
        let choose = {
            let view = view.clone();
            Callback::from(move |_: MouseEvent| {
                IN_VIEW.with(|kept| kept.replace(one.clone()));
                view.set(one.clone());
            })
        };
        html! { <button key={name.clone()} type="button" aria-pressed={pressed} onclick={choose}>{ name }</button> }
    });
    html! {
        <>
            <div class="seen-choice" role="group" aria-label={t!("seen-choice")}>{ for choice }</div>
            { match &in_view {
                View::Timing => html! { <TimingDiagram /> },
                View::Trip(tag) => html! { <TripChart key={tag.clone()} tag={tag.clone()} /> },
                View::Torque(tag) => html! { <TorqueChart key={tag.clone()} tag={tag.clone()} /> },
            } }
        </>
    }
}
