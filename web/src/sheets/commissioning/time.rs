//! Time of the bench: standing still, tick by tick, scan by scan, slow to fast, and the speed that is reached.

use super::facts::scan_ms;
use crate::hooks::{use_live, use_selector, use_workshop};
use crate::services::live::Binding;
use crate::store::{Command, Speed};
use crate::t;
use yew::prelude::*;

/// The buttons and the speed reached.
#[component]
pub fn Time() -> Html {
    let shop = use_workshop();
    let pace = use_selector(|workshop| (workshop.pace().speed, workshop.pace().paused));
    let scan = use_selector(|workshop| scan_ms(&workshop.scenario().parts));
    let reached = use_node_ref();
    use_live((), {
        let reached = reached.clone();
        move |()| {
            vec![Binding::text(reached, |workshop| {
                let pace = workshop.pace();
                let factor = format!("{:.2}", f64::from(pace.reached_x100) / 100.0);
                match pace {
                    pace if pace.paused => t!("time-stands").to_string(),
                    pace if pace.came_to_rest => t!("time-rest").to_string(),
                    _ => t!("time-reached", factor = factor),
                }
            })]
        }
    });
    let (speed, paused) = *pace;
    let say = |command: Command| {
        let shop = shop.clone();
        Callback::from(move |_: MouseEvent| shop.dispatch(command.clone()))
    };
    html! {
        <section class="time" aria-label={t!("time-title")}>
            <div class="time-buttons">
                <button type="button" onclick={say(Command::Step(1))} title={t!("time-tick-why")}>{ t!("time-tick") }</button>
                <button type="button" onclick={say(Command::Step(*scan))} title={t!("time-scan-why", ms = scan)}>{ t!("time-scan") }</button>
                <button type="button" aria-pressed={paused.to_string()} onclick={say(Command::Pause(!paused))}>{ t!("time-pause") }</button>
                { for Speed::ALL.into_iter().map(|one| {
                    let pressed = (!paused && one == speed).to_string();
                    html! { <button type="button" aria-pressed={pressed} onclick={say(Command::Speed(one))}>{ t!("time-factor", factor = one.factor()) }</button> }
                }) }
            </div>
            <span ref={reached} class="faint small time-reached"></span>
        </section>
    }
}
