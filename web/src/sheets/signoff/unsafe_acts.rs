//! What could have hurt someone, with its time and why.

use crate::hooks::use_selector;
use crate::t;
use crate::text::instrument::unsafe_text;
use crate::text::time::bench_time;
use yew::prelude::*;

/// The unsafe acts of the attempt, over all lines of work: going back erases none.
#[component]
pub fn UnsafeActs() -> Html {
    let acts = use_selector(|workshop| workshop.session().unsafe_acts().to_vec());
    html! {
        <section aria-labelledby="unsafe-acts">
            <h2 class="heading" id="unsafe-acts">{ t!("signoff-unsafe") }</h2>
            if acts.is_empty() {
                <p class="small">{ t!("signoff-unsafe-none") }</p>
            } else {
                <p class="small">{ t!("signoff-unsafe-count", count = acts.len()) }</p>
                <ul class="unsafe-acts small">
                    { for acts.iter().map(|recorded| html! {
                        <li>
                            { t!("signoff-unsafe-act", time = bench_time(recorded.tick), act = unsafe_text(&recorded.act)) }
                        </li>
                    }) }
                </ul>
            }
        </section>
    }
}
