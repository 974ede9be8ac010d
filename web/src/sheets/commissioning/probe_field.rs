//! One probe: a tip that is dragged onto a terminal, a field with completion, and lists of devices and terminals.

use super::probes::ProbeKind;
use crate::services::surface;
use crate::store::model::Terminal;
use crate::t;
use std::rc::Rc;
use web_sys::{HtmlInputElement, HtmlSelectElement};
use yew::prelude::*;

/// A probe and where it is.
#[derive(Properties, PartialEq)]
pub struct ProbeFieldProps {
    /// Number of the probe.
    pub n: usize,
    /// Which it is.
    pub kind: ProbeKind,
    /// Terminal as written.
    pub at: AttrValue,
    /// The next terminal that is chosen on the board is for this probe.
    pub active: bool,
    /// All terminals.
    pub terminals: Rc<Vec<Terminal>>,
    /// Puts the probe on a terminal.
    pub on_place: Callback<(usize, String)>,
    /// Makes it the one that is placed next.
    pub on_active: Callback<usize>,
}

/// The probe.
#[component]
pub fn ProbeField(props: &ProbeFieldProps) -> Html {
    let (n, name) = (props.n, props.kind.name());
    let put = props.on_place.reform(move |text: String| (n, text));
    let known = props.terminals.iter().any(|terminal| terminal.to_string() == *props.at);
    let part = props.at.split(':').next().unwrap_or("").to_string();
    let mut parts: Vec<String> = props.terminals.iter().map(|terminal| terminal.part.clone()).collect();
    parts.dedup();
    let of_part = props.terminals.iter().filter(|terminal| terminal.part == part);
    let of_part: Vec<String> = of_part.map(|terminal| terminal.name.clone()).collect();
    let typed = put.reform(|event: InputEvent| {
        let text = event.target_dyn_into::<HtmlInputElement>().map(|field| field.value()).unwrap_or_default();
        text.trim().to_string()
    });
    let chosen = |event: &Event| {
        event.target_dyn_into::<HtmlSelectElement>().map(|list| list.value()).unwrap_or_default()
    };
    let by_part = {
        let terminals = props.terminals.clone();
        put.reform(move |event: Event| {
            let part = chosen(&event);
            let first = terminals.iter().find(|terminal| terminal.part == part);
            first.map(Terminal::to_string).unwrap_or_default()
        })
    };
    let by_name = {
        let part = part.clone();
        put.reform(move |event: Event| format!("{part}:{}", chosen(&event)))
    };
    html! {
        <div class={classes!("probe", props.kind.class())}>
            <Tip {n} {name} active={props.active} on_drop={put} on_active={props.on_active.clone()} />
            <input class="mono" list="meter-terminals" value={props.at.clone()} oninput={typed} autocomplete="off"
                autocapitalize="off" spellcheck="false" aria-label={name} aria-invalid={(!known).to_string()} />
            <select aria-label={t!("meter-part", probe = name)} onchange={by_part}>
                { for parts.into_iter().map(|tag| html! { <option value={tag.clone()} selected={tag == part}>{ tag.clone() }</option> }) }
            </select>
            <select aria-label={t!("meter-terminal", probe = name)} onchange={by_name}>
                { for of_part.into_iter().map(|name| {
                    let selected = props.at.split_once(':').is_some_and(|(_, at)| at == name);
                    html! { <option value={name.clone()} {selected}>{ name.clone() }</option> }
                }) }
            </select>
        </div>
    }
}

#[derive(Properties, PartialEq)]
struct TipProps {
    n: usize,
    name: &'static str,
    active: bool,
    on_drop: Callback<String>,
    on_active: Callback<usize>,
}

/// The tip: pressed, it is the next to be placed; dragged, it goes where it is dropped.
#[component]
fn Tip(props: &TipProps) -> Html {
    let tip = use_node_ref();
    let dragged = use_mut_ref(|| false);
    let choose = {
        let (n, on_active) = (props.n, props.on_active.clone());
        Callback::from(move |_: MouseEvent| on_active.emit(n))
    };
    let down = {
        let (tip, dragged) = (tip.clone(), dragged.clone());
        let (n, on_active) = (props.n, props.on_active.clone());
        Callback::from(move |event: PointerEvent| {
            if event.button() == 0 {
                surface::capture(&tip, event.pointer_id());
                *dragged.borrow_mut() = true;
                on_active.emit(n);
            }
        })
    };
    let up = {
        let (dragged, on_drop) = (dragged.clone(), props.on_drop.clone());
        Callback::from(move |event: PointerEvent| {
            if dragged.replace(false)
                && let Some(terminal) = surface::terminal_at(event.client_x().into(), event.client_y().into())
            {
                on_drop.emit(terminal);
            }
        })
    };
    let cancel = Callback::from(move |_: PointerEvent| *dragged.borrow_mut() = false);
    html! {
        <button type="button" ref={tip} class="probe-tip" aria-pressed={props.active.to_string()}
            aria-label={t!("meter-tip", probe = props.name)} onclick={choose} onpointerdown={down} onpointerup={up}
            onpointercancel={cancel}>{ props.name }</button>
    }
}
