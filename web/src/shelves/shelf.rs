//! The counter of stores: family, type and place are chosen, and the part is taken.

use super::Pick;
use super::choice::{COLOURS, Choice, tags};
use crate::hooks::{use_selector, use_workshop};
use crate::store::model::{Change, Kind, Mounted, Part, Place};
use crate::store::{Command, ScreenAct, Sheet, Shop, Thing};
use crate::t;
use crate::text::device::{place_name, rating};
use sealin_exercise::stores::{FAMILIES, Family, StoresPart, place_of, place_word};
use web_sys::HtmlInputElement;
use yew::prelude::*;

/// The choice, what it is, and the button that takes it.
#[component]
pub fn Shelf() -> Html {
    let shop = use_workshop();
    let scenario = use_selector(|workshop| workshop.scenario().clone());
    let choice = use_state(Choice::first);
    let said = use_state(String::new);
    let parts = &scenario.parts;
    let ready = ready(&choice, parts);
    let found = ready.part(parts);
    let set = |change: fn(&mut Choice, String)| {
        let (choice, said) = (choice.clone(), said.clone());
        Callback::from(move |value: String| {
            let mut next = (*choice).clone();
            change(&mut next, value);
            said.set(String::new());
            choice.set(next);
        })
    };
    let take = {
        let (said, found) = (said.clone(), found.clone());
        Callback::from(move |event: SubmitEvent| {
            event.prevent_default();
            said.set(match found.clone().and_then(|(part, _)| take(&shop, part)) {
                Ok(tag) => t!("stores-taken", tag = tag),
                Err(why) => why,
            });
        })
    };
    let same = |name: &str| (name.to_string(), name.to_string());
    let families =
        FAMILIES.iter().map(|f| (f.kind.to_string(), family_name(f.kind).to_string())).collect::<Vec<_>>();
    let models = ready.family.models().into_iter().map(same).collect::<Vec<_>>();
    html! {
        <form class="stores-shelf" onsubmit={take}>
            <Pick label={t!("stores-family")} options={families} value={ready.family.kind.to_string()}
                on_pick={set(|c, v| if let Some(family) = Family::of(&v) { *c = Choice { function: c.function.clone(), ..Choice::of(family) } })} />
            <Pick label={t!("stores-place")} options={places()} value={place_word(ready.place)}
                on_pick={set(|c, v| c.place = place_of(&v).unwrap_or(c.place))} />
            <div class="stores-type">
                <Pick label={t!("stores-type")} options={models} value={ready.model.clone()} on_pick={set(|c, v| c.model = v)} />
            </div>
            { own_keys(&ready, parts, &set) }
            <label class="stores-pick">
                <span class="small faint">{ t!("stores-function") }</span>
                <input type="text" maxlength="60" value={ready.function.clone()} oninput={set(|c, v| c.function = v).reform(typed)} />
            </label>
            <p class="stores-rating small faint">
                { match &found { Ok((part, kind)) => rating_of(part, kind), Err(why) => why.clone() } }
            </p>
            <button type="submit" class="button-main" disabled={found.is_err()}>
                { match &found { Ok((part, _)) => t!("stores-take", tag = part.tag), Err(_) => t!("stores-take-none").into() } }
            </button>
            <p class="small" role="status">{ (*said).clone() }</p>
        </form>
    }
}

/// The places that there are.
pub fn places() -> Vec<(String, String)> {
    let all = [Place::Panel, Place::Station, Place::Field];
    all.map(|place| (place_word(place).to_string(), place_name(place).to_string())).to_vec()
}

/// The choice with a motor where it needs one and none was chosen.
fn ready(choice: &Choice, parts: &[Part]) -> Choice {
    let mut ready = choice.clone();
    let motors = choice.motors(parts);
    if ready.needs_motor() && !motors.contains(&ready.motor) {
        ready.motor = motors.first().cloned().unwrap_or_default();
    }
    ready
}

/// What the job has to say of a part of this family.
fn own_keys(
    choice: &Choice,
    parts: &[Part],
    set: &dyn Fn(fn(&mut Choice, String)) -> Callback<String>,
) -> Html {
    let named = |tags: Vec<String>| tags.into_iter().map(|tag| (tag.clone(), tag)).collect::<Vec<_>>();
    let with_none = |mut all: Vec<(String, String)>| {
        all.insert(0, (String::new(), t!("stores-none").to_string()));
        all
    };
    let number = |label: &'static str, value: u32, change: fn(&mut Choice, String)| {
        html! {
            <label class="stores-pick">
                <span class="small faint">{ label }</span>
                <input type="number" min="0" value={value.to_string()} oninput={set(change).reform(typed)} />
            </label>
        }
    };
    let motor = || {
        html! {
            <Pick label={t!("stores-motor")} options={named(choice.motors(parts))}
                value={choice.motor.clone()} on_pick={set(|c, v| c.motor = v)} />
        }
    };
    match choice.family.kind {
        "lamp" => html! {
            <Pick label={t!("stores-colour")} options={named(COLOURS.map(String::from).to_vec())}
                value={choice.colour.clone()} on_pick={set(|c, v| c.colour = v)} />
        },
        "timer relay" => number(t!("stores-time"), choice.time_ms, |c, v| c.time_ms = v.parse().unwrap_or(0)),
        "brake" => motor(),
        "position switch" => html! {
            <>
                { motor() }
                { number(t!("stores-from"), choice.from_um / 1_000, |c, v| c.from_um = millimetres(&v)) }
                { number(t!("stores-to"), choice.to_um / 1_000, |c, v| c.to_um = millimetres(&v)) }
            </>
        },
        "motor" => html! {
            <Pick label={t!("stores-machine")} value={choice.machine.clone()} on_pick={set(|c, v| c.machine = v)}
                options={with_none(named(Choice::machines().into_iter().map(String::from).collect()))} />
        },
        "contactor" => html! {
            <Pick label={t!("stores-interlock")} value={choice.interlock.clone()} on_pick={set(|c, v| c.interlock = v)}
                options={with_none(named(tags(parts, |kind| matches!(kind, Kind::Contactor(_)))))} />
        },
        _ => html! {},
    }
}

fn millimetres(text: &str) -> u32 {
    text.parse::<u32>().unwrap_or(0).saturating_mul(1_000)
}

fn typed(event: InputEvent) -> String {
    event.target_dyn_into::<HtmlInputElement>().map(|input| input.value()).unwrap_or_default()
}

fn rating_of(part: &StoresPart, kind: &Kind) -> String {
    let StoresPart { tag, function, place, .. } = part.clone();
    rating(&Part { tag, function, place, kind: kind.clone() })
}

/// Takes a part, and shows it.
fn take(shop: &Shop, part: StoresPart) -> Result<String, String> {
    let tag = part.tag.clone();
    shop.ask(Command::Change(Change::Mount(Mounted { part, conductors: Vec::new(), dial_ma: None })))?;
    shop.dispatch(Command::Screen(ScreenAct::Show(Sheet::Wiring, Thing::Part(tag.clone()))));
    Ok(tag)
}

/// A family in the plural.
fn family_name(kind: &str) -> &'static str {
    match kind {
        "supply" => t!("stores-supplies"),
        "switchgear" => t!("stores-switchgear"),
        "transformer" => t!("stores-transformers"),
        "DC supply" => t!("stores-dc-supplies"),
        "controller" => t!("stores-controllers"),
        "relay" => t!("stores-relays"),
        "timer relay" => t!("stores-timer-relays"),
        "contactor" => t!("stores-contactors"),
        "overload" => t!("stores-overloads"),
        "button" => t!("stores-buttons"),
        "emergency stop" => t!("stores-emergency-stops"),
        "selector" => t!("stores-selectors"),
        "lamp" => t!("stores-lamps"),
        "motor" => t!("stores-motors"),
        "brake" => t!("stores-brakes"),
        _ => t!("stores-position-switches"),
    }
}
