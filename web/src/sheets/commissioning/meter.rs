//! The instruments on the sheet: one chooser, one large reading with what is to be said about it, and where it is put.

use super::probe_field::ProbeField;
use super::probes::{Instrument, Probes};
use super::terminal_board::TerminalBoard;
use crate::diagram::More;
use crate::hooks::{use_live, use_one_stop, use_selector, use_workshop};
use crate::services::live::Binding;
use crate::store::model::{Function, Measurement, Terminal};
use crate::store::{Command, Notice, Shop};
use crate::t;
use crate::text::instrument::function_name;
use crate::text::quantity::milliseconds;
use web_sys::HtmlSelectElement;
use yew::prelude::*;

/// The instruments and what sets them.
#[derive(Properties, PartialEq)]
pub struct MeterProps {
    /// Which is in the hand, and where it is.
    pub probes: Probes,
    /// Puts it elsewhere.
    pub on_probes: Callback<Probes>,
}

/// What the meter can be set to.
const FUNCTIONS: [Function; 3] = [Function::VoltsDc, Function::VoltsAc, Function::Ohms];

/// The instruments.
#[component]
pub fn Meter(props: &MeterProps) -> Html {
    let shop = use_workshop();
    let active = use_state_eq(|| 0usize);
    let chooser = use_node_ref();
    use_one_stop(&chooser, "button");
    let terminals = use_selector(|w| w.bench().design.terminals().map(Terminal::clone).collect::<Vec<_>>());
    let probes = &props.probes;
    let kinds = probes.instrument.probes();
    let set = |next: Probes| props.on_probes.reform(move |_: MouseEvent| next.clone());
    let place = {
        let (probes, on_probes, active) = (probes.clone(), props.on_probes.clone(), active.clone());
        Callback::from(move |(n, terminal): (usize, String)| {
            on_probes.emit(probes.with_at(n, &terminal));
            active.set((n + 1) % probes.instrument.probes().len().max(1));
        })
    };
    html! {
        <section class="box meter" aria-labelledby="meter-title">
            <h2 id="meter-title">{ t!("meter-title") }</h2>
            <div ref={chooser} class="meter-chooser" role="group" aria-label={t!("meter-chooser")}>
                { for Instrument::ALL.into_iter().map(|instrument| html! {
                    <button type="button" aria-pressed={(probes.instrument == instrument).to_string()}
                        onclick={set(Probes { instrument, ..probes.clone() })}>{ instrument.name() }</button>
                }) }
            </div>
            <p class="faint small">{ probes.instrument.about() }</p>
            if probes.instrument == Instrument::Meter {
                <div class="meter-functions" role="group" aria-label={t!("meter-function")}>
                    { for FUNCTIONS.into_iter().map(|meter| html! {
                        <button type="button" aria-pressed={(probes.meter == meter).to_string()}
                            onclick={set(Probes { meter, ..probes.clone() })}>{ function_name(meter) }</button>
                    }) }
                </div>
            }
            <Display probes={probes.clone()} />
            if probes.instrument == Instrument::Clamp {
                <ClampField probes={probes.clone()} on_probes={props.on_probes.clone()} />
            }
            { for kinds.iter().enumerate().map(|(n, kind)| html! {
                <ProbeField {n} kind={*kind} at={probes.at(n).to_string()} active={*active == n}
                    terminals={terminals.clone()} on_place={place.clone()}
                    on_active={{ let active = active.clone(); Callback::from(move |n| active.set(n)) }} />
            }) }
            if !kinds.is_empty() {
                <datalist id="meter-terminals">{ for terminals.iter().map(|t| html! { <option value={t.to_string()} /> }) }</datalist>
                <More class="meter-board" summary={html! { t!("meter-board") }}>
                    <TerminalBoard terminals={terminals.clone()} probes={probes.clone()} active={*active} on_place={place} />
                </More>
            }
            if probes.instrument == Instrument::Detector {
                <button type="button" class="meter-prove" onclick={Callback::from(move |_: MouseEvent| {
                    shop.dispatch(Command::Measure(Measurement::ProvingUnit));
                })}>{ t!("meter-prove") }</button>
            }
        </section>
    }
}

#[derive(Properties, PartialEq)]
struct DisplayProps {
    probes: Probes,
}

/// The reading, the button that takes it, and what is to be said.
#[component]
fn Display(props: &DisplayProps) -> Html {
    let shop = use_workshop();
    let (shown, remark, taken) = (use_node_ref(), use_node_ref(), use_node_ref());
    use_live(props.probes.clone(), {
        let nodes = (shown.clone(), remark.clone(), taken.clone());
        move |probes| {
            let of = |text: fn(&Probes, &crate::store::Workshop) -> String| {
                let probes = probes.clone();
                move |w: &crate::store::Workshop| text(&probes, w)
            };
            vec![
                Binding::text(nodes.0, of(Probes::shown)),
                Binding::text(nodes.1, of(Probes::remark)),
                Binding::text(nodes.2, of(Probes::taken)),
            ]
        }
    });
    let sealed = use_selector(crate::store::Workshop::is_sealed);
    let live = props.probes.instrument.live() && !*sealed;
    let what = props.probes.measurement();
    let ticks = what.as_ref().map_or(0, Measurement::ticks);
    let take = Callback::from(move |_: MouseEvent| take(&shop, what.clone()));
    html! {
        <>
            <div class="meter-reading">
                <output ref={shown} class="meter-shown mono" aria-label={t!("meter-shows")}></output>
                <button type="button" onclick={take} title={t!("meter-takes", time = milliseconds(ticks))}>
                    { if live { t!("meter-record") } else { t!("meter-test") } }
                </button>
            </div>
            <p ref={remark} class="meter-remark small"></p>
            <p ref={taken} class="meter-taken faint small"></p>
        </>
    }
}

/// Takes a reading; says so where a probe is in the air.
pub fn take(shop: &Shop, what: Option<Measurement>) {
    shop.dispatch(match what {
        Some(what) => Command::Measure(what),
        None => Command::Notice(Notice { refused: true, text: t!("meter-in-the-air").to_string() }),
    });
}

#[derive(Properties, PartialEq)]
struct ClampFieldProps {
    probes: Probes,
    on_probes: Callback<Probes>,
}

/// The conductor in the clamp.
#[component]
fn ClampField(props: &ClampFieldProps) -> Html {
    let conductors = use_selector(|w| {
        let line = |c: crate::store::model::Conductor| {
            let text = t!("meter-conductor-line", id = c.id, from = c.from, to = c.to);
            (c.id, text)
        };
        w.conductors().into_iter().map(line).collect::<Vec<_>>()
    });
    let chosen = {
        let probes = props.probes.clone();
        props.on_probes.reform(move |event: Event| {
            let list = event.target_dyn_into::<HtmlSelectElement>();
            Probes { conductor: list.map(|list| list.value()).unwrap_or_default(), ..probes.clone() }
        })
    };
    html! {
        <label class="meter-conductor"><span>{ t!("meter-conductor") }</span>
            <select onchange={chosen}>
                { for conductors.iter().map(|(id, text)| html! {
                    <option value={id.clone()} selected={*id == props.probes.conductor}>{ text.clone() }</option>
                }) }
            </select>
        </label>
    }
}
