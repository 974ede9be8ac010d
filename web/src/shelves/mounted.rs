//! The parts that were taken from stores: moved to another place, or given back with their conductors.

use super::Pick;
use super::shelf::places;
use crate::hooks::{use_selector, use_workshop};
use crate::store::model::Change;
use crate::store::{Command, ScreenAct, Sheet, Thing};
use crate::t;
use sealin_exercise::stores::{StoresPart, place_of, place_word};
use yew::prelude::*;

/// The list, newest tags last.
#[component]
pub fn MountedParts() -> Html {
    let taken = use_selector(|workshop| {
        let project = workshop.project();
        project.taken.values().map(|taken| taken.stores.clone()).collect::<Vec<_>>()
    });
    if taken.is_empty() {
        return html! { <p class="small faint">{ t!("stores-empty") }</p> };
    }
    html! {
        <ul class="stores-list" aria-label={t!("stores-list")}>
            { for taken.iter().map(|part| html! { <Row key={part.tag.clone()} part={part.clone()} /> }) }
        </ul>
    }
}

#[derive(Properties, PartialEq)]
struct RowProps {
    part: StoresPart,
}

#[component]
fn Row(props: &RowProps) -> Html {
    let shop = use_workshop();
    let part = &props.part;
    let show = {
        let (shop, tag) = (shop.clone(), part.tag.clone());
        Callback::from(move |_: MouseEvent| {
            shop.dispatch(Command::Screen(ScreenAct::Show(Sheet::Wiring, Thing::Part(tag.clone()))));
        })
    };
    let put = {
        let (shop, before) = (shop.clone(), part.clone());
        Callback::from(move |word: String| {
            let Some(place) = place_of(&word).filter(|place| *place != before.place) else { return };
            let after = StoresPart { place, ..before.clone() };
            shop.dispatch(Command::Change(Change::Move { before: before.clone(), after }));
        })
    };
    let give_back = {
        let (shop, tag) = (shop.clone(), part.tag.clone());
        Callback::from(move |_: MouseEvent| {
            if let Some(mounted) = shop.with(|workshop| workshop.project().mounted(&tag)) {
                shop.dispatch(Command::Change(Change::Unmount(mounted)));
            }
        })
    };
    let tag = part.tag.clone();
    html! {
        <li>
            <button type="button" class="button-quiet mono" onclick={show} aria-label={t!("stores-show", tag = tag)}>{ tag.clone() }</button>
            <span class="stores-model small">{ part.model.clone() }
                if !part.function.is_empty() { <span class="faint">{ format!(", {}", part.function) }</span> }
            </span>
            <Pick silent={true} label={t!("stores-place-of", tag = tag)} options={places()} value={place_word(part.place)} on_pick={put} />
            <button type="button" onclick={give_back} aria-label={t!("stores-give-back-of", tag = tag)}>{ t!("stores-give-back") }</button>
        </li>
    }
}
