//! The torque-speed diagram on the page: canvas, legend, words, table.

use super::on_page::{use_chart, use_reading};
use super::torque::{ROWS, TorquePicture, picture};
use super::torque_paint::paint;
use crate::diagram::More;
use crate::hooks::{use_live, use_workshop};
use crate::services::live::Binding;
use crate::t;
use crate::text::quantity::measured;
use yew::prelude::*;

/// Which motor.
#[derive(Properties, PartialEq)]
pub struct TorqueChartProps {
    /// Its tag.
    pub tag: AttrValue,
}

/// The diagram.
#[component]
pub fn TorqueChart(props: &TorqueChartProps) -> Html {
    let tag = props.tag.clone();
    let canvas = use_chart(&tag, picture, paint);
    let (rating, words, figures) = (use_node_ref(), use_node_ref(), use_node_ref());
    use_live(tag.clone(), {
        let nodes = [rating.clone(), words.clone(), figures.clone()];
        move |tag| {
            let [rating, words, figures] = nodes;
            let text = |node: NodeRef, say: fn(&TorquePicture) -> String| {
                let tag = tag.clone();
                Binding::text(node, move |w| picture(w, &tag).map_or(String::new(), |p| say(&p)))
            };
            vec![
                text(rating, TorquePicture::rating),
                text(words, |p| p.now().to_string()),
                text(figures, TorquePicture::figures),
            ]
        }
    });
    html! {
        <section class="chart" aria-label={t!("torque-title", tag = tag)}>
            <div class="chart-head">
                <h2>{ t!("torque-title", tag = tag) }</h2>
                <span ref={rating} class="faint small"></span>
            </div>
            <p class="chart-now"><strong ref={words}></strong></p>
            <p ref={figures} class="mono small"></p>
            <canvas ref={canvas} class="chart-canvas chart-canvas-tall" role="img"
                aria-label={t!("torque-canvas", tag = tag)}></canvas>
            <ul class="chart-legend">
                <li><span class="chart-pen chart-pen-heavy" aria-hidden="true"></span>{ t!("torque-legend-now") }</li>
                <li><span class="chart-pen chart-pen-faint" aria-hidden="true"></span>{ t!("torque-legend-rated") }</li>
                <li><span class="chart-pen chart-pen-load" aria-hidden="true"></span>{ t!("torque-legend-load") }</li>
                <li><span class="chart-pen chart-pen-point" aria-hidden="true"></span>{ t!("torque-legend-point") }</li>
            </ul>
            <Table {tag} />
        </section>
    }
}

/// The diagram as a table, as it was when it was opened or read again.
#[component]
fn Table(props: &TorqueChartProps) -> Html {
    let shop = use_workshop();
    let (read, on_open, again) = use_reading();
    let picture = (read > 0).then(|| shop.with(|w| picture(w, &props.tag))).flatten();
    html! {
        <More summary={html! { t!("diagram-table") }} {on_open}>
            if let Some(picture) = picture {
                <p class="diagram-words" role="status">{ format!("{} {}", picture.now(), picture.figures()) }</p>
                { table(&picture) }
                <button type="button" onclick={again}>{ t!("diagram-table-again") }</button>
            }
        </More>
    }
}

fn table(picture: &TorquePicture) -> Html {
    html! {
        <table class="diagram-table chart-table">
            <thead><tr>
                <th scope="col">{ t!("torque-axis-speed") }</th>
                <th scope="col">{ t!("torque-axis-torque") }</th>
                <th scope="col">{ t!("torque-axis-current") }</th>
            </tr></thead>
            <tbody>{ for ROWS.iter().map(|&percent| {
                let at = picture.row(percent);
                html! {
                    <tr>
                        <th scope="row" class="mono">{ measured(percent.into(), 0, "%") }</th>
                        <td class="mono">{ measured(at.torque_nm, 1, "N·m") }</td>
                        <td class="mono">{ measured(at.amperes, 1, "A") }</td>
                    </tr>
                }
            }) }</tbody>
        </table>
    }
}
