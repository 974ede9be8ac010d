//! The required behaviour: the requirements with their marks.

use crate::hooks::use_selector;
use crate::t;
use yew::prelude::*;

/// The requirements, each with its marks; a must is said in words.
#[component]
pub fn Behaviour() -> Html {
    let scenario = use_selector(|workshop| workshop.scenario().clone());
    let total: u32 = scenario.requirements.iter().map(|requirement| requirement.marks).sum();
    html! {
        <section>
            <div class="heading">
                <h2>{ t!("brief-behaviour") }</h2>
                <span class="faint">{ t!("brief-pass", pass = scenario.pass_marks, total = total) }</span>
            </div>
            <table>
                <thead>
                    <tr>
                        <th scope="col">{ t!("brief-number") }</th>
                        <th scope="col">{ t!("brief-required") }</th>
                        <th scope="col" class="number">{ t!("brief-marks") }</th>
                    </tr>
                </thead>
                <tbody>
                    { for scenario.requirements.iter().map(|requirement| html! {
                        <tr key={requirement.id.clone()}>
                            <th scope="row" class="mono">{ requirement.id.clone() }</th>
                            <td>
                                { requirement.text.clone() }
                                if requirement.must {
                                    <strong class="brief-must">{ t!("brief-must") }</strong>
                                }
                            </td>
                            <td class="number">{ requirement.marks }</td>
                        </tr>
                    }) }
                </tbody>
            </table>
        </section>
    }
}
