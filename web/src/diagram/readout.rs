//! Under the diagram: looking back, the cursors and the time between them.

use super::source::Source;
use super::span::Span;
use super::span::{LENGTHS_MS, clock, seconds};
use super::tracks::{change_before, next_change};
use super::view::{View, ViewAct};
use crate::hooks::{use_frame, use_one_stop, use_workshop};
use crate::services::page;
use crate::store::{Command, Workshop};
use crate::t;
use std::cell::Cell;
use std::rc::Rc;
use web_sys::HtmlInputElement;
use yew::prelude::*;

/// The view and how to change it.
#[derive(Properties, PartialEq)]
pub struct ReadoutProps {
    /// Where the tracks come from.
    pub source: Source,
    /// Names of the signals.
    pub names: Rc<Vec<String>>,
    /// What is in view.
    pub view: View,
    /// Changes the view.
    pub on_view: Callback<ViewAct>,
}

/// Lengths that can be chosen.
#[component]
pub fn Lengths(props: &ReadoutProps) -> Html {
    let lengths = use_node_ref();
    use_one_stop(&lengths, "button");
    html! {
        <div ref={lengths} class="diagram-lengths" role="group" aria-label={t!("diagram-length")}>
            { for LENGTHS_MS.into_iter().map(|length_ms| {
                let pressed = (props.view.length_ms == length_ms).to_string();
                let onclick = props.on_view.reform(move |_: MouseEvent| ViewAct::Length(length_ms));
                html! { <button type="button" aria-pressed={pressed} {onclick}>{ length_text(length_ms) }</button> }
            }) }
        </div>
    }
}

fn length_text(length_ms: u64) -> String {
    match length_ms {
        0..1_000 => t!("diagram-length-ms", ms = length_ms),
        1_000..60_000 => {
            let s = if length_ms.is_multiple_of(1_000) {
                (length_ms / 1_000).to_string()
            } else {
                seconds(length_ms, 100)
            };
            t!("diagram-length-s", s = s)
        }
        _ => t!("diagram-length-min", min = length_ms / 60_000),
    }
}

/// The slider that looks back, and the way to now.
#[component]
pub fn LookBack(props: &ReadoutProps) -> Html {
    let slider = use_node_ref();
    let word = use_node_ref();
    use_frame((props.source.clone(), props.view.clone()), {
        let (source, view, slider, word, last) =
            (props.source.clone(), props.view.clone(), slider.clone(), word.clone(), Cell::new(None));
        move |workshop: &Workshop| {
            let now = source.end(workshop);
            // Ten times a second is enough for a slider.
            if last.get() == Some(now / 100) {
                return;
            }
            last.set(Some(now / 100));
            let span = view.span(now);
            if let Some(slider) = slider.cast::<HtmlInputElement>() {
                slider.set_max(&now.to_string());
                slider.set_value(&span.end.to_string());
            }
            if let Some(word) = word.get() {
                let ago = seconds(now.saturating_sub(span.end), 100);
                let text = match (&source, view.end) {
                    (Source::Bench, None) => t!("diagram-following").to_string(),
                    (Source::Bench, Some(_)) => t!("diagram-back", s = ago),
                    (Source::Recorded(_), None) => t!("diagram-playing", s = seconds(now, 100)),
                    (Source::Recorded(_), Some(_)) => t!("diagram-recorded", s = seconds(now, 100)),
                };
                page::write_text(&word, &text);
            }
        }
    });
    let oninput = props.on_view.reform(|event: InputEvent| {
        let value =
            event.target_dyn_into::<HtmlInputElement>().map(|slider| slider.value()).unwrap_or_default();
        ViewAct::LookBack(value.parse().unwrap_or(0))
    });
    let live = props.source == Source::Bench;
    let shop = use_workshop();
    let go_on = {
        let (end, on_view) = (props.view.end, props.on_view.clone());
        Callback::from(move |_: MouseEvent| {
            if let Some(tick) = end {
                shop.dispatch(Command::Seek(tick));
                on_view.emit(ViewAct::Follow);
            }
        })
    };
    html! {
        <div class="diagram-back">
            <input ref={slider} type="range" min="0" step="1" aria-label={t!("diagram-slider")} {oninput} />
            <span ref={word} class="faint small diagram-back-word"></span>
            if live {
                <button type="button" disabled={props.view.end.is_none()} onclick={go_on}>
                    { t!("diagram-go-on") }</button>
                <button type="button" disabled={props.view.end.is_none()}
                    onclick={props.on_view.reform(|_: MouseEvent| ViewAct::Follow)}>{ t!("diagram-follow") }</button>
            }
        </div>
    }
}

/// The two cursors.
#[component]
pub fn Cursors(props: &ReadoutProps) -> Html {
    let shop = use_workshop();
    let walk = |cursor: usize, forward: bool| {
        let (shop, source, names, view, on_view) = (
            shop.clone(),
            props.source.clone(),
            props.names.clone(),
            props.view.clone(),
            props.on_view.clone(),
        );
        Callback::from(move |_: MouseEvent| {
            let (span, tracks) = shop.with(|workshop| {
                let span = view.span(source.end(workshop));
                let all = Span { end: source.end(workshop), length_ms: source.end(workshop).max(1) };
                (span, source.tracks(workshop, &names, all))
            });
            let at = view.cursors[cursor].unwrap_or(if forward { span.from() } else { span.end });
            let found = if forward { next_change(&tracks, at) } else { change_before(&tracks, at) };
            if let Some(tick) = found {
                on_view.emit(ViewAct::Take(cursor));
                on_view.emit(ViewAct::Put { tick, end: span.end });
            }
        })
    };
    let any = props.view.cursors.iter().any(Option::is_some);
    html! {
        <div class="diagram-cursors" aria-live="polite">
            { for (0..2).map(|n| {
                let at = props.view.cursors[n].map_or(t!("diagram-cursor-none").to_string(), |tick| {
                    clock(tick, 1)
                });
                html! {
                    <div class={classes!("diagram-cursor", (any && props.view.in_hand == n).then_some("diagram-cursor-hand"))}>
                        <button type="button" aria-label={t!("diagram-previous")} onclick={walk(n, false)}>{ "◂" }</button>
                        <span>{ t!("diagram-cursor", number = n + 1) }<strong class="mono">{ at }</strong></span>
                        <button type="button" aria-label={t!("diagram-next")} onclick={walk(n, true)}>{ "▸" }</button>
                    </div>
                }
            }) }
            if let Some(ms) = props.view.between() {
                <strong class="diagram-between mono">{ t!("diagram-between", ms = ms) }</strong>
            }
            if any {
                <button type="button" class="button-quiet"
                    onclick={props.on_view.reform(|_: MouseEvent| ViewAct::Clear)}>{ t!("diagram-clear") }</button>
            }
        </div>
    }
}
