//! The signature under the record: initials, the day, and how many checks were done by then. It stands in the attempt.

use crate::hooks::{use_selector, use_workshop};
use crate::services::page;
use crate::store::{Command, Workshop};
use crate::t;
use crate::text::time::bench_time;
use web_sys::HtmlInputElement;
use yew::prelude::*;

/// Name under which the signature is recorded.
const KEY: &str = "signed";

/// Most letters of somebody's initials.
const MOST_LETTERS: usize = 6;

/// The record that is signed.
#[derive(Properties, PartialEq)]
pub struct SignatureProps {
    /// Checks done.
    pub done: usize,
    /// Checks in all.
    pub of: usize,
}

/// A field for the initials, and the signature with what came after it.
#[component]
pub fn Signature(props: &SignatureProps) -> Html {
    let shop = use_workshop();
    let signed = use_selector(signed);
    let field = use_node_ref();
    let sign = {
        let (field, done, of) = (field.clone(), props.done, props.of);
        Callback::from(move |event: SubmitEvent| {
            event.prevent_default();
            let initials = field.cast::<HtmlInputElement>().map(|field| field.value()).unwrap_or_default();
            if !initials.trim().is_empty() {
                let text = t!(
                    "before-signature",
                    initials = initials.trim(),
                    day = page::today(),
                    done = done,
                    of = of
                );
                shop.dispatch(Command::Record { check: KEY.to_string(), text });
            }
        })
    };
    html! {
        <form class="before-sign" onsubmit={sign}>
            <input ref={field} class="before-initials" maxlength={MOST_LETTERS.to_string()} autocomplete="off"
                aria-label={t!("before-initials")} placeholder={t!("before-initials")} />
            <button type="submit">{ t!("before-sign") }</button>
            <span class="small" role="status">
                if let Some((tick, text, later)) = &*signed {
                    { t!("before-signed", text = text, time = bench_time(*tick)) }
                    if *later > 0 { { " △ " }{ t!("before-signed-later", count = later) } }
                }
            </span>
        </form>
    }
}

/// The signature with its bench time, ms, and how much was read or recorded after it.
fn signed(workshop: &Workshop) -> Option<(u64, String, usize)> {
    let fold = workshop.session().fold();
    let (at, text) = fold.records.get(KEY)?.clone();
    let readings = fold.readings.iter().filter(|taken| taken.tick > at).count();
    let records = fold.records.values().filter(|(tick, _)| *tick > at).count();
    Some((at, text, readings + records))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::store::fixture::workshop;

    #[test]
    fn what_comes_after_a_signature_is_counted() {
        let mut w = workshop();
        let record = |check: &str| Command::Record { check: check.into(), text: "JH".into() };
        assert_eq!(signed(&w), None);
        w.carry_out(record("locked")).unwrap();
        w.carry_out(record(KEY)).unwrap();
        assert_eq!(signed(&w), Some((0, "JH".into(), 0)));
        w.carry_out(Command::Step(10)).unwrap();
        w.carry_out(record("points")).unwrap();
        assert_eq!(signed(&w), Some((0, "JH".into(), 1)));
    }
}
