//! Questions before a test: what will happen, and why. The bench answers, once a person has.

use crate::hooks::{use_conduct, use_selector, use_workshop};
use crate::store::Command;
use crate::store::model::{Prediction, Tried};
use crate::t;
use sealin_exercise::predictions::right;
use web_sys::HtmlInputElement;
use yew::prelude::*;

/// All questions of the job; nothing where it asks none.
#[component]
pub fn Predictions() -> Html {
    let scenario = use_selector(|workshop| workshop.scenario().clone());
    let conduct = use_conduct();
    if scenario.predictions.is_empty() {
        return html! {};
    }
    html! {
        <section class="predictions" aria-labelledby="predictions">
            <h2 class="heading" id="predictions">{ t!("predict-title") }</h2>
            <p class="small faint">{ t!("predict-note") }</p>
            <ol>
                { for scenario.predictions.iter().map(|prediction| html! {
                    <Question key={prediction.id.clone()} prediction={prediction.clone()}
                        given={conduct.answer(&prediction.id).map(|given| given.answer)} />
                }) }
            </ol>
        </section>
    }
}

#[derive(Properties, PartialEq)]
struct QuestionProps {
    prediction: Prediction,
    /// The number of the answer that was given, from 1.
    given: Option<u32>,
}

/// One question with its answers.
#[component]
fn Question(props: &QuestionProps) -> Html {
    let shop = use_workshop();
    let scenario = use_selector(|workshop| workshop.scenario().clone());
    let chosen = use_state(|| None::<u32>);
    let prediction = &props.prediction;
    // Only the question that was answered is run, and only once.
    let right = use_memo((prediction.clone(), props.given.is_some()), |(prediction, answered)| {
        answered.then(|| right(&scenario, prediction).ok()).flatten()
    });
    let right = *right;
    let choose = {
        let chosen = chosen.clone();
        Callback::from(move |event: Event| {
            let value = event.target_dyn_into::<HtmlInputElement>().map(|input| input.value());
            chosen.set(value.and_then(|value| value.parse().ok()));
        })
    };
    let answer = {
        let (id, chosen) = (prediction.id.clone(), chosen.clone());
        Callback::from(move |_: MouseEvent| {
            if let Some(answer) = *chosen {
                shop.dispatch(Command::Predict { prediction: id.clone(), answer });
            }
        })
    };
    let of = match prediction.of {
        Tried::Given => t!("predict-of-given"),
        Tried::Reference => t!("predict-of-reference"),
    };
    html! {
        <li class="prediction">
            <fieldset>
                <legend>
                    <span class="mono">{ prediction.id.clone() }{ " " }</span>{ prediction.question.clone() }
                    <span class="faint small prediction-marks">{ t!("predict-marks", marks = prediction.marks, of = of) }</span>
                </legend>
                { for prediction.answers.iter().zip(1u32..).map(|(one, number)| {
                    let (class, sign) = sign(number, props.given, right);
                    html! {
                        <label {class}>
                            <input type="radio" name={format!("prediction-{}", prediction.id)} value={number.to_string()}
                                disabled={props.given.is_some()} checked={props.given.or(*chosen) == Some(number)} onchange={choose.clone()} />
                            <span>{ one.text.clone() }{ " " }{ sign }</span>
                        </label>
                    }
                }) }
            </fieldset>
            if let Some(given) = props.given {
                <p role="status" class={if Some(given) == right { "kept" } else { "broken" }}>
                    <strong>{ if Some(given) == right { t!("predict-right") } else { t!("predict-wrong") } }</strong>
                </p>
                <p>{ prediction.why.clone() }</p>
            } else {
                <button type="button" disabled={chosen.is_none()} onclick={answer}>{ t!("predict-answer") }</button>
            }
        </li>
    }
}

/// How an answer is shown, once one was given: what the bench does, and what was thought otherwise.
fn sign(number: u32, given: Option<u32>, right: Option<u32>) -> (&'static str, String) {
    match (given, right) {
        (Some(_), Some(right)) if right == number => ("kept", t!("predict-bench").into()),
        (Some(given), _) if given == number => ("broken", t!("predict-yours").into()),
        _ => ("", String::new()),
    }
}

#[cfg(test)]
mod tests {
    use super::sign;

    #[test]
    fn nothing_is_given_away_before_an_answer() {
        assert_eq!(sign(1, None, Some(1)), ("", String::new()));
        assert_eq!(sign(1, Some(2), Some(1)).0, "kept");
        assert_eq!(sign(2, Some(2), Some(1)).0, "broken");
        assert_eq!(sign(3, Some(2), Some(1)).0, "");
    }
}
