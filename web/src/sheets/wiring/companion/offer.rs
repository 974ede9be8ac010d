//! Rows that were pasted, before they are taken: what each would make, or what is wrong with it.

use crate::services::surface;
use crate::sheets::wiring::desk::{Ask, Asking};
use crate::sheets::wiring::paste::Row;
use crate::sheets::wiring::words;
use crate::t;
use std::rc::Rc;
use yew::prelude::*;

/// Rows to take or leave.
#[derive(Properties, PartialEq)]
pub struct OfferProps {
    /// The rows.
    pub rows: Rc<Vec<Row>>,
    /// What is asked.
    pub ask: Asking,
}

/// The rows in the place of the schedule; what is wrong comes first.
#[component]
pub fn Offer(props: &OfferProps) -> Html {
    let node = use_node_ref();
    {
        let node = node.clone();
        use_effect_with(props.rows.clone(), move |_| surface::focus(&node));
    }
    let good = props.rows.iter().filter(|row| row.read.is_ok()).count();
    let asked = |what: Ask| props.ask.reform(move |_: MouseEvent| what.clone());
    let onkeydown = {
        let ask = props.ask.clone();
        Callback::from(move |event: KeyboardEvent| {
            if event.key() == "Escape" {
                ask.emit(Ask::Leave);
            }
        })
    };
    let (bad, fine): (Vec<&Row>, Vec<&Row>) = props.rows.iter().partition(|row| row.read.is_err());
    html! {
        <section class="offer" aria-label={t!("wiring-offer")} {onkeydown}>
            <h3>{ t!("wiring-offer") }</h3>
            <p role="status">{ t!("wiring-offer-lead", good = good, all = props.rows.len()) }</p>
            <div class="offer-ways">
                // The focus comes here: Enter makes them, Escape leaves them.
                if good > 0 {
                    <button ref={node.clone()} type="button" onclick={asked(Ask::Take)}>
                        { t!("wiring-offer-take", count = good) }
                    </button>
                    <button type="button" onclick={asked(Ask::Leave)}>{ t!("wiring-offer-leave") }</button>
                } else {
                    <button ref={node} type="button" onclick={asked(Ask::Leave)}>
                        { t!("wiring-offer-leave") }
                    </button>
                }
            </div>
            <ul>
                { for bad.into_iter().chain(fine).map(|row| html! {
                    <li key={row.line} class={classes!(row.read.is_err().then_some("offer-wrong"))}>
                        <span class="small faint">
                            if row.read.is_err() { <span aria-hidden="true">{ "✗ " }</span> }
                            { t!("wiring-offer-line", line = row.line) }
                        </span>
                        <span>{ words::row(row) }</span>
                    </li>
                }) }
            </ul>
        </section>
    }
}
