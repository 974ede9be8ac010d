//! Terminals under a finger, to choose one from.

use crate::services::{page, surface};
use crate::sheets::wiring::desk::{Ask, Asking};
use crate::sheets::wiring::drawing::Shared;
use crate::sheets::wiring::words;
use crate::t;
use sealin_core::plan::Terminal;
use yew::prelude::*;

/// Terminals to choose from.
#[derive(Properties, PartialEq)]
pub struct CrowdProps {
    /// The drawing.
    pub drawing: Shared,
    /// The terminals, nearest first.
    pub terminals: Vec<Terminal>,
    /// What is asked.
    pub ask: Asking,
}

/// Most terminals offered; they are ordered by name, so that neighbours stand together.
const MOST: usize = 12;

/// The list over the drawing.
#[component]
pub fn Crowd(props: &CrowdProps) -> Html {
    // The browser sends the click of the tap that opened the list to what now lies under the finger.
    let opened = use_memo(props.terminals.clone(), |_| page::clock_ms());
    let mut near: Vec<&Terminal> = props.terminals.iter().take(MOST).collect();
    let order: Vec<&Terminal> = props.drawing.panel.order().collect();
    near.sort_by_key(|t| order.iter().position(|o| o == t));
    let close = props.ask.reform(|_: MouseEvent| Ask::Crowd(Vec::new()));
    let closer = {
        let (ask, nearest) = (props.ask.clone(), props.terminals.first().cloned());
        let opened = *opened;
        Callback::from(move |event: MouseEvent| {
            if let Some(t) = nearest.as_ref().filter(|_| event.time_stamp() > opened) {
                ask.emit(Ask::Closer(t.clone()));
            }
        })
    };
    let onkeydown = {
        let ask = props.ask.clone();
        Callback::from(move |event: KeyboardEvent| {
            if event.key() == "Escape" {
                ask.emit(Ask::Crowd(Vec::new()));
            }
        })
    };
    let node = use_node_ref();
    {
        let node = node.clone();
        use_effect_with(props.terminals.clone(), move |_| surface::focus(&node));
    }
    html! {
        <div ref={node} class="crowd" role="dialog" tabindex="-1" aria-label={t!("wiring-crowd")} {onkeydown}>
            <div class="heading">
                <h2>{ t!("wiring-crowd") }</h2>
                <button type="button" onclick={closer}>{ t!("wiring-closer") }</button>
                <button type="button" onclick={close}>{ t!("wiring-close") }</button>
            </div>
            <ul>
                { for near.into_iter().map(|terminal| {
                    let onclick = {
                        let (ask, terminal, opened) = (props.ask.clone(), terminal.clone(), *opened);
                        Callback::from(move |event: MouseEvent| {
                            if event.time_stamp() > opened {
                                ask.emit(Ask::Choose(terminal.clone()));
                            }
                        })
                    };
                    let state = props.drawing.occupancy.get(terminal).map(words::occupied).unwrap_or_default();
                    html! {
                        <li key={terminal.to_string()}>
                            <button type="button" {onclick}>
                                <span class="mono">{ terminal.to_string() }</span>
                                <span class="small faint">{ state }</span>
                            </button>
                        </li>
                    }
                }) }
            </ul>
        </div>
    }
}
