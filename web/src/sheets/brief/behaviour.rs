//! The required behaviour: the cause and effect matrix, and the requirements with their marks.

use crate::hooks::use_selector;
use crate::store::model::Matrix;
use crate::t;
use yew::prelude::*;

/// The matrix, then the requirements, each with its marks; a must is said in words.
#[component]
pub fn Behaviour() -> Html {
    let scenario = use_selector(|workshop| workshop.scenario().clone());
    html! {
        <>
            if !scenario.matrix.rows.is_empty() {
                <section>
                    <h2 class="heading">{ t!("brief-matrix") }</h2>
                    { matrix(&scenario.matrix) }
                    <p class="small faint">{ t!("brief-matrix-legend") }</p>
                </section>
            }
            if !scenario.requirements.is_empty() {<section>
                <div class="heading">
                    <h2>{ t!("brief-behaviour") }</h2>
                    <span class="faint">
                        { t!("brief-pass", pass = scenario.pass_marks, total = scenario.total_marks()) }
                    </span>
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
            </section>}
        </>
    }
}

fn matrix(matrix: &Matrix) -> Html {
    html! {
        <div class="table-scroll" tabindex="0" role="region" aria-label={t!("brief-matrix")}>
            <table class="matrix">
                <thead>
                    <tr>
                        <th scope="col">{ t!("brief-cause") }</th>
                        { for matrix.effects.iter().map(|effect| html! { <th scope="col">{ effect.clone() }</th> }) }
                        <th scope="col">{ t!("brief-requirements") }</th>
                    </tr>
                </thead>
                <tbody>
                    { for matrix.rows.iter().map(|row| html! {
                        <tr key={row.cause.clone()}>
                            <th scope="row">{ row.cause.clone() }</th>
                            { for row.effects.iter().map(|effect| html! { <td>{ effect.clone() }</td> }) }
                            <td class="mono small">{ row.requirements.clone() }</td>
                        </tr>
                    }) }
                </tbody>
            </table>
        </div>
    }
}
