//! The terminals of the job, device by device: a probe is put on one by a press, or by dropping its tip there.

use super::probes::Probes;
use crate::store::model::Terminal;
use crate::t;
use std::rc::Rc;
use yew::prelude::*;

/// The terminals and the probes on them.
#[derive(Properties, PartialEq)]
pub struct TerminalBoardProps {
    /// All terminals, by device.
    pub terminals: Rc<Vec<Terminal>>,
    /// Where the probes are.
    pub probes: Probes,
    /// Number of the probe that is placed next.
    pub active: usize,
    /// Puts a probe on a terminal.
    pub on_place: Callback<(usize, String)>,
}

/// The board.
#[component]
pub fn TerminalBoard(props: &TerminalBoardProps) -> Html {
    let kinds = props.probes.instrument.probes();
    let active = props.active.min(kinds.len().saturating_sub(1));
    let terminal = |terminal: &Terminal| {
        let full = terminal.to_string();
        let here = kinds.iter().enumerate().filter(|(n, _)| props.probes.at(*n) == full);
        let (on, classes): (Vec<&str>, Vec<&str>) = here.map(|(_, kind)| (kind.name(), kind.class())).unzip();
        let label = match on.is_empty() {
            true => full.clone(),
            false => t!("meter-board-probe", terminal = full, probes = on.join(", ")),
        };
        let place = {
            let full = full.clone();
            props.on_place.reform(move |_: MouseEvent| (active, full.clone()))
        };
        html! {
            <button type="button" class={classes!("board-terminal", "mono", classes)} data-terminal={full.clone()}
                aria-label={label} onclick={place}>{ terminal.name.clone() }</button>
        }
    };
    html! {
        <>
            <p class="faint small">{ t!("meter-board-help", probe = kinds.get(active).map_or("", |kind| kind.name())) }</p>
            <div class="board">
                { for props.terminals.chunk_by(|a, b| a.part == b.part).map(|device| html! {
                    <div class="board-device" role="group" aria-label={device[0].part.clone()}>
                        <span class="board-tag mono">{ device[0].part.clone() }</span>
                        <span class="board-row">{ for device.iter().map(&terminal) }</span>
                    </div>
                }) }
            </div>
        </>
    }
}
