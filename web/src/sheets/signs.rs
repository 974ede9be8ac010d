//! What the machine shows, on a small space: buttons to press, contactors, bits, lamp, motor, supply. For the
//! fault-finding sheet, where what a fault does is to be seen at once.

use crate::hooks::{use_hold, use_live, use_selector, use_workshop};
use crate::services::live::Binding;
use crate::sheets::commissioning::turned::{EmergencyStop, Selector};
use crate::store::model::{Actuator, BenchAct, Kind, Part};
use crate::store::{Command, Workshop};
use crate::t;
use crate::text::quantity::measured;
use yew::prelude::*;

/// The signs of the machine.
#[component]
pub fn Signs() -> Html {
    let scenario = use_selector(|workshop| workshop.scenario().clone());
    let bits = use_selector(bits);
    let of = |fits: fn(&Kind) -> bool| scenario.parts.iter().filter(move |part| fits(&part.kind));
    let shows =
        of(|kind| matches!(kind, Kind::Contactor(_) | Kind::Overload(_) | Kind::Lamp(_) | Kind::Motor(_)));
    let shows = shows.count() > 0;
    html! {
        <div class="signs">
            <section>
                <h2 class="heading">{ t!("signs-station") }</h2>
                <div class="signs-buttons">
                    <Supply />
                    { for scenario.parts.iter().filter_map(control) }
                    { for of(|kind| matches!(kind, Kind::Overload(_))).map(|part| html! {
                        <OverloadButtons key={part.tag.clone()} tag={part.tag.clone()} />
                    }) }
                </div>
            </section>
            <section hidden={!shows}>
                <h2 class="heading">{ t!("signs-machine") }</h2>
                <dl class="signs-list">
                    { for of(|kind| matches!(kind, Kind::Contactor(_))).map(|part| sign(part, contactor)) }
                    { for of(|kind| matches!(kind, Kind::Overload(_))).map(|part| sign(part, overload)) }
                    { for of(|kind| matches!(kind, Kind::Lamp(_))).map(|part| sign(part, lamp)) }
                    { for of(|kind| matches!(kind, Kind::Motor(_))).map(|part| sign(part, motor)) }
                </dl>
            </section>
            if !bits.is_empty() {
                <section>
                    <h2 class="heading">{ t!("signs-bits") }</h2>
                    <ul class="signs-bits">
                        { for bits.iter().map(|(address, name)| html! {
                            <Bit key={address.clone()} address={address.clone()} name={name.clone()} />
                        }) }
                    </ul>
                </section>
            }
        </div>
    }
}

/// Bits of the images that have a name, by address: those of the I/O list, and what else the program in the controller names.
fn bits(workshop: &Workshop) -> Vec<(String, String)> {
    let names = workshop.scenario().names.iter().filter(|row| !row.name.is_empty());
    let mut all: Vec<_> = names.map(|row| (row.address.clone(), row.name.clone())).collect();
    for var in &workshop.program_seen().vars {
        let Some(address) = var.address.map(|address| address.to_string()) else { continue };
        let is_image = workshop.bench().signal(address.trim_start_matches('%')).is_some();
        if is_image && all.iter().all(|(known, _)| *known != address) {
            all.push((address, var.name.clone()));
        }
    }
    all
}

fn control(part: &Part) -> Option<Html> {
    let Kind::Control(control) = &part.kind else { return None };
    let (tag, function) = (part.tag.clone(), part.function.clone());
    Some(match control.actuator {
        Actuator::Button => {
            html! { <PushButton key={tag.clone()} tag={tag.clone()} name={tag.clone()} {function} /> }
        }
        Actuator::EmergencyStop => html! { <EmergencyStop key={tag.clone()} tag={tag.clone()} {function} /> },
        Actuator::Selector { positions, .. } => {
            html! { <Selector key={tag.clone()} tag={tag.clone()} {function} {positions} /> }
        }
    })
}

fn sign(part: &Part, read: fn(&Workshop, &str) -> String) -> Html {
    html! { <Sign key={part.tag.clone()} tag={part.tag.clone()} function={part.function.clone()} read={Reader(read)} /> }
}

#[derive(Clone, Copy)]
struct Reader(fn(&Workshop, &str) -> String);

impl PartialEq for Reader {
    // A sign reads the same thing for as long as it is on the page: its tag tells which.
    fn eq(&self, _: &Reader) -> bool {
        true
    }
}

#[derive(Properties, PartialEq)]
struct SignProps {
    tag: AttrValue,
    function: AttrValue,
    read: Reader,
}

#[component]
fn Sign(props: &SignProps) -> Html {
    let node = use_node_ref();
    {
        let (node, read) = (node.clone(), props.read);
        use_live(props.tag.clone(), move |tag| {
            let tag = tag.clone();
            vec![Binding::text(node, move |workshop| (read.0)(workshop, &tag))]
        });
    }
    html! {
        <div data-why={props.tag.clone()}>
            <dt><strong>{ props.tag.clone() }</strong>{ " " }<span class="faint">{ props.function.clone() }</span></dt>
            <dd class="mono" ref={node}></dd>
        </div>
    }
}

fn contactor(workshop: &Workshop, tag: &str) -> String {
    let place = if workshop.signal(&format!("{tag}.closed")) { t!("signs-in") } else { t!("signs-out") };
    match workshop.coil_volts(tag) {
        Some(coil) => t!("signs-contactor", place = place, volts = measured(coil, 0, "V")),
        None => place.to_string(),
    }
}

fn overload(workshop: &Workshop, tag: &str) -> String {
    let Some(view) = workshop.bench().overload(tag) else { return String::new() };
    let state = if view.tripped { t!("signs-tripped") } else { t!("signs-not-tripped") };
    if workshop.is_sealed() {
        return state.to_string();
    }
    t!("signs-overload", state = state, heat = view.heat_permille / 10)
}

fn lamp(workshop: &Workshop, tag: &str) -> String {
    if workshop.signal(&format!("{tag}.lit")) { t!("signs-lit") } else { t!("signs-dark") }.into()
}

fn motor(workshop: &Workshop, tag: &str) -> String {
    let Some(view) = workshop.bench().motor(tag) else { return String::new() };
    let amperes = measured(view.amperes.iter().copied().fold(0.0, f64::max), 1, "A");
    let turning = if workshop.signal(&format!("{tag}.clockwise")) {
        t!("signs-clockwise")
    } else if workshop.signal(&format!("{tag}.counterclockwise")) {
        t!("signs-counterclockwise")
    } else if workshop.is_sealed() {
        return t!("signs-still").to_string();
    } else {
        return t!("signs-motor-still", amperes = amperes);
    };
    if workshop.is_sealed() {
        return turning.to_string();
    }
    t!("signs-motor", turning = turning, speed = measured(view.rpm.abs(), 0, "min⁻¹"), amperes = amperes)
}

#[derive(Properties, PartialEq)]
struct BitProps {
    address: AttrValue,
    name: AttrValue,
}

/// A bit of the input or output image.
#[component]
fn Bit(props: &BitProps) -> Html {
    let node = use_node_ref();
    {
        let node = node.clone();
        use_live(props.address.clone(), move |address| {
            let signal = address.trim_start_matches('%').to_string();
            let lit = signal.clone();
            vec![
                Binding::text(node.clone(), move |workshop| u8::from(workshop.signal(&signal)).to_string()),
                Binding::class(node, "bit-one", move |workshop| workshop.signal(&lit)),
            ]
        });
    }
    html! {
        <li data-why={props.address.trim_start_matches('%').to_string()}>
            <span class="bit mono" ref={node}></span>
            <strong>{ props.name.clone() }</strong>
            <span class="faint mono small">{ props.address.clone() }</span>
        </li>
    }
}

#[derive(Properties, PartialEq)]
struct PushButtonProps {
    tag: AttrValue,
    name: AttrValue,
    function: AttrValue,
}

/// A push-button: pressed as long as it is held.
#[component]
fn PushButton(props: &PushButtonProps) -> Html {
    let hold = use_hold(props.tag.clone());
    let node = use_node_ref();
    {
        let node = node.clone();
        use_live(props.tag.clone(), move |tag| {
            let tag = tag.to_string();
            vec![Binding::class(node, "is-held", move |workshop| workshop.hand().holds(&tag))]
        });
    }
    html! {
        <button type="button" class="push" ref={node} onpointerdown={hold.onpointerdown}
            onpointerup={hold.onpointerup} onpointercancel={hold.onpointercancel} onkeydown={hold.onkeydown}
            onkeyup={hold.onkeyup} onblur={hold.onblur} oncontextmenu={hold.oncontextmenu}>
            <strong>{ props.name.clone() }</strong>
            <span class="faint">{ props.function.clone() }</span>
        </button>
    }
}

#[derive(Properties, PartialEq)]
struct TagProps {
    tag: AttrValue,
}

#[component]
fn OverloadButtons(props: &TagProps) -> Html {
    let shop = use_workshop();
    let act = |act: BenchAct| {
        let shop = shop.clone();
        Callback::from(move |_: MouseEvent| shop.dispatch(Command::Act(act.clone())))
    };
    let tag = props.tag.to_string();
    html! {
        <>
            <button type="button" class="push" onclick={act(BenchAct::Trip(tag.clone()))}>
                <strong>{ props.tag.clone() }</strong><span class="faint">{ t!("signs-test") }</span>
            </button>
            <button type="button" class="push" onclick={act(BenchAct::Reset(tag.clone()))}>
                <strong>{ props.tag.clone() }</strong><span class="faint">{ t!("signs-reset") }</span>
            </button>
        </>
    }
}

/// Switches the supply to the job.
#[component]
fn Supply() -> Html {
    let shop = use_workshop();
    let node = use_node_ref();
    {
        let node = node.clone();
        use_live((), move |()| {
            let word = |workshop: &Workshop| {
                if workshop.supply_on() { t!("signs-supply-on") } else { t!("signs-supply-off") }.to_string()
            };
            vec![Binding::text(node, word)]
        });
    }
    let toggle = Callback::from(move |_: MouseEvent| {
        let on = shop.with(|workshop| workshop.supply_on());
        shop.dispatch(Command::Act(BenchAct::Power(!on)));
    });
    html! {
        <button type="button" class="push" onclick={toggle}>
            <strong>{ t!("signs-supply") }</strong><span class="faint" ref={node}></span>
        </button>
    }
}
