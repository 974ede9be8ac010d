//! The diagram put together: plot, looking back, cursors, signals, table.

use super::chosen;
use super::plot::Plot;
use super::readout::{Cursors, Lengths, LookBack};
use super::signals::Signals;
use super::source::{Recording, Source};
use super::table::Changes;
use super::view::{View, ViewAct};
use crate::hooks::use_workshop;
use crate::t;
use std::rc::Rc;
use yew::prelude::*;

/// Length in view at first, ms.
const FIRST_LENGTH_MS: u64 = 5_000;

/// The diagram of the bench as it runs.
#[component]
pub fn TimingDiagram() -> Html {
    let shop = use_workshop();
    let names = use_state(|| Rc::new(shop.with(chosen::chosen)));
    let view = use_reducer(|| View::following(FIRST_LENGTH_MS));
    let on_view = dispatcher(&view);
    let on_names = {
        let names = names.clone();
        Callback::from(move |next: Vec<String>| {
            chosen::keep(&next);
            names.set(Rc::new(next));
        })
    };
    let (names, view) = ((*names).clone(), (*view).clone());
    html! {
        <section class="diagram" aria-labelledby="diagram-title">
            <div class="diagram-head">
                <h2 id="diagram-title">{ t!("diagram-title") }</h2>
                <Lengths source={Source::Bench} names={names.clone()} view={view.clone()} on_view={on_view.clone()} />
            </div>
            <Body source={Source::Bench} names={names.clone()} {view} {on_view}
                signals={html! { <Signals {names} {on_names} /> }} />
        </section>
    }
}

/// A recorded trial.
#[derive(Properties, PartialEq)]
pub struct RecordedProps {
    /// The trial.
    pub recording: Rc<Recording>,
}

/// The diagram of a recorded trial, with its moment marked and said.
#[component]
pub fn RecordedDiagram(props: &RecordedProps) -> Html {
    let first = match props.recording.played {
        Some(_) => View::following(FIRST_LENGTH_MS),
        None => View::at(props.recording.first_view()),
    };
    let view = use_reducer(move || first);
    let on_view = dispatcher(&view);
    let source = Source::Recorded(props.recording.clone());
    let names = use_memo(props.recording.clone(), |recording| {
        recording.tracks.iter().map(|track| track.name.clone()).collect::<Vec<_>>()
    });
    let view = (*view).clone();
    html! {
        <div class="diagram">
            <div class="diagram-head">
                if let Some((_, text)) = &props.recording.moment {
                    <p class="broken diagram-moment"><span aria-hidden="true">{ "✕ " }</span>{ t!("diagram-moment", text = text) }</p>
                }
                if let Some((_, heading)) = &props.recording.played { <h2>{ heading.clone() }</h2> }
                <Lengths source={source.clone()} names={names.clone()} view={view.clone()} on_view={on_view.clone()} />
            </div>
            <Body {source} {names} {view} {on_view} />
        </div>
    }
}

fn dispatcher(view: &UseReducerHandle<View>) -> Callback<ViewAct> {
    let dispatcher = view.dispatcher();
    Callback::from(move |act| dispatcher.dispatch(act))
}

#[derive(Properties, PartialEq)]
struct BodyProps {
    source: Source,
    names: Rc<Vec<String>>,
    view: View,
    on_view: Callback<ViewAct>,
    #[prop_or_default]
    signals: Html,
}

#[component]
fn Body(props: &BodyProps) -> Html {
    let (source, names, view, on_view) =
        (props.source.clone(), props.names.clone(), props.view.clone(), props.on_view.clone());
    html! {
        <>
            <Plot source={source.clone()} names={names.clone()} view={view.clone()} on_view={on_view.clone()} />
            <LookBack source={source.clone()} names={names.clone()} view={view.clone()} on_view={on_view.clone()} />
            <Cursors source={source.clone()} names={names.clone()} view={view.clone()} {on_view} />
            <div class="diagram-under">
                <Changes {source} {names} {view} />
                { props.signals.clone() }
            </div>
        </>
    }
}
