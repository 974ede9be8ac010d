//! The devices of the job with their data.

use crate::hooks::use_selector;
use crate::store::model::{Part, Scenario};
use crate::t;
use crate::text::device::{kind_and_function, place_name, plate};
use yew::prelude::*;

/// The table of devices.
#[component]
pub fn Devices() -> Html {
    let scenario = use_selector(|workshop| workshop.scenario().clone());
    html! {
        <section>
            <h2 class="heading">{ t!("brief-devices") }</h2>
            <div class="table-scroll" tabindex="0" role="region" aria-label={t!("brief-devices")}>
                <table class="brief-devices">
                    <thead>
                        <tr>
                            <th scope="col">{ t!("brief-tag") }</th>
                            <th scope="col">{ t!("brief-device") }</th>
                            <th scope="col">{ t!("brief-rating") }</th>
                            <th scope="col">{ t!("brief-place") }</th>
                        </tr>
                    </thead>
                    <tbody>{ for scenario.parts.iter().map(|part| row(part, &scenario)) }</tbody>
                </table>
            </div>
        </section>
    }
}

fn row(part: &Part, scenario: &Scenario) -> Html {
    html! {
        <tr key={part.tag.clone()}>
            <th scope="row" class="mono">{ part.tag.clone() }</th>
            <td>
                { kind_and_function(part) }
            </td>
            <td>{ plate(scenario, part) }</td>
            <td>{ place_name(part.place) }</td>
        </tr>
    }
}
