//! The names that fit, as a list under the field in which one is written.

use super::completion::{Completion, Offer};
use crate::t;
use yew::prelude::*;

/// The list.
#[derive(Properties, PartialEq)]
pub struct OffersProps {
    /// What fits.
    pub completion: Completion,
    /// The one that the arrow keys have gone to.
    pub at: Option<usize>,
    /// Id of the list; those of its options begin with it.
    pub id: &'static str,
    /// One is taken by pointer or touch.
    pub on_take: Callback<(Completion, Offer)>,
}

/// A list box whose options can be tapped. The field keeps the keyboard.
#[component]
pub fn Offers(props: &OffersProps) -> Html {
    let keep = Callback::from(|event: MouseEvent| event.prevent_default());
    html! {
        <ul class="offers" id={props.id} role="listbox" aria-label={t!("program-offers")} onmousedown={keep}>
            { for props.completion.offers.iter().enumerate().map(|(n, offer)| {
                let taken = (props.completion.clone(), offer.clone());
                let onclick = props.on_take.reform(move |_: MouseEvent| taken.clone());
                html! {
                    <li role="option" id={format!("{}-{n}", props.id)} aria-selected={(props.at == Some(n)).to_string()}
                        aria-label={offer.name.clone()} {onclick}>
                        <span class="mono">{ offer.name.clone() }</span>
                        <span class="small faint">{ offer.note.clone() }</span>
                    </li>
                }
            }) }
        </ul>
    }
}
