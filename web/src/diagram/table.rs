//! The diagram as words and as a table of changes, read when it is opened.

use super::more::More;
use super::source::Source;
use super::span::clock;
use super::view::View;
use super::words::{rows, summary};
use crate::hooks::use_workshop;
use crate::t;
use std::rc::Rc;
use yew::prelude::*;

/// What is read.
#[derive(Properties, PartialEq)]
pub struct ChangesProps {
    /// Where the tracks come from.
    pub source: Source,
    /// Names of the signals.
    pub names: Rc<Vec<String>>,
    /// What is in view.
    pub view: View,
}

/// Words and table, as they were when opened or read again.
#[component]
pub fn Changes(props: &ChangesProps) -> Html {
    let shop = use_workshop();
    let count = use_state(|| 0u32);
    let read = |count: &UseStateHandle<u32>| {
        let count = count.clone();
        move || count.set(*count + 1)
    };
    let (opened, again) = (read(&count), read(&count));
    let on_open = Callback::from(move |()| opened());
    let again = Callback::from(move |_: MouseEvent| again());
    html! {
        <More summary={html! { t!("diagram-table") }} {on_open}>
            // Nothing is read before it has been opened once.
            if *count > 0 {
                { body(props, &shop) }
                <button type="button" onclick={again}>{ t!("diagram-table-again") }</button>
            }
        </More>
    }
}

fn body(props: &ChangesProps, shop: &crate::store::Shop) -> Html {
    let (words, (rows, left_out)) = shop.with(|workshop| {
        let span = props.view.span(props.source.end(workshop));
        let tracks = props.source.tracks(workshop, &props.names, span);
        (summary(&tracks, span), rows(&tracks, span))
    });
    html! {
        <>
            <p class="diagram-words" role="status">{ words }</p>
            if rows.is_empty() {
                <p class="faint">{ t!("diagram-table-none") }</p>
            } else {
                if left_out > 0 { <p class="faint small">{ t!("diagram-table-left-out", count = left_out) }</p> }
                <table class="diagram-table">
                    <thead><tr>
                        <th scope="col">{ t!("diagram-table-time") }</th>
                        <th scope="col">{ t!("diagram-table-signal") }</th>
                        <th scope="col">{ t!("diagram-table-value") }</th>
                    </tr></thead>
                    <tbody>{ for rows.iter().map(|row| html! {
                        <tr><td class="mono">{ clock(row.tick, 1) }</td><td>{ row.name.clone() }</td>
                            <td class="mono">{ u8::from(row.value) }</td></tr>
                    }) }</tbody>
                </table>
            }
        </>
    }
}
