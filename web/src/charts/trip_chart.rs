//! The time-current diagram on the page: canvas, legend, words, table.

use super::on_page::{use_chart, use_reading};
use super::trip::{ROWS, TripPicture, picture};
use super::trip_paint::paint;
use crate::diagram::More;
use crate::hooks::{use_live, use_workshop};
use crate::services::live::Binding;
use crate::t;
use crate::text::quantity::measured;
use crate::text::time::about;
use yew::prelude::*;

/// Which overload.
#[derive(Properties, PartialEq)]
pub struct TripChartProps {
    /// Its tag.
    pub tag: AttrValue,
}

/// The diagram.
#[component]
pub fn TripChart(props: &TripChartProps) -> Html {
    let tag = props.tag.clone();
    let canvas = use_chart(&tag, picture, paint);
    let (rating, words, heat, warm, last) =
        (use_node_ref(), use_node_ref(), use_node_ref(), use_node_ref(), use_node_ref());
    use_live(tag.clone(), {
        let nodes = [rating.clone(), words.clone(), heat.clone(), warm.clone(), last.clone()];
        move |tag| {
            let [rating, words, heat, warm, last] = nodes;
            let text = |node: NodeRef, say: fn(&TripPicture) -> String| {
                let tag = tag.clone();
                Binding::text(node, move |w| picture(w, &tag).map_or(String::new(), |p| say(&p)))
            };
            vec![
                text(rating, TripPicture::rating),
                text(words, TripPicture::now),
                text(heat, |p| t!("overload-percent", percent = p.percent)),
                text(warm, TripPicture::warm_name),
                text(last, |p| p.last_words().unwrap_or_default()),
            ]
        }
    });
    html! {
        <section class="chart" aria-label={t!("trip-title", tag = tag)}>
            <div class="chart-head">
                <h2>{ t!("trip-title", tag = tag) }</h2>
                <span ref={rating} class="faint small"></span>
            </div>
            <p class="chart-now"><strong ref={words}></strong>
                <span class="chart-heat">{ t!("overload-heat") }<strong ref={heat} class="mono"></strong></span></p>
            <canvas ref={canvas} class="chart-canvas" role="img" aria-label={t!("trip-canvas", tag = tag)}></canvas>
            <ul class="chart-legend">
                <li><span class="chart-pen" aria-hidden="true"></span>{ t!("trip-legend-cold") }</li>
                <li><span class="chart-pen chart-pen-heavy" aria-hidden="true"></span><span ref={warm}></span></li>
                <li><span class="chart-pen chart-pen-limit" aria-hidden="true"></span>{ t!("trip-legend-limits") }</li>
                <li><span class="chart-pen chart-pen-point" aria-hidden="true"></span>{ t!("trip-legend-point") }</li>
            </ul>
            <p ref={last} class="small chart-last"></p>
            <Table {tag} />
        </section>
    }
}

/// The diagram as a table, as it was when it was opened or read again.
#[component]
fn Table(props: &TripChartProps) -> Html {
    let shop = use_workshop();
    let (read, on_open, again) = use_reading();
    let picture = (read > 0).then(|| shop.with(|w| picture(w, &props.tag))).flatten();
    html! {
        <More summary={html! { t!("diagram-table") }} {on_open}>
            if let Some(picture) = picture {
                <p class="diagram-words" role="status">{ summary(&picture) }</p>
                { table(&picture) }
                <button type="button" onclick={again}>{ t!("diagram-table-again") }</button>
            }
        </More>
    }
}

/// The diagram in sentences.
fn summary(picture: &TripPicture) -> String {
    let sentences = [
        Some(picture.rating()),
        Some(t!("trip-summary-heat", percent = picture.percent)),
        Some(picture.now()),
        picture.last_words(),
    ];
    sentences.into_iter().flatten().collect::<Vec<_>>().join(" ")
}

fn table(picture: &TripPicture) -> Html {
    let time = |seconds: Option<f64>| seconds.map_or(t!("trip-table-never").to_string(), about);
    html! {
        <table class="diagram-table chart-table">
            <thead><tr>
                <th scope="col">{ t!("trip-table-multiple") }</th>
                <th scope="col">{ t!("trip-table-current") }</th>
                <th scope="col">{ t!("trip-legend-cold") }</th>
                <th scope="col">{ picture.warm_name() }</th>
                <th scope="col">{ t!("trip-table-asked") }</th>
            </tr></thead>
            <tbody>{ for ROWS.iter().map(|&m| html! {
                <tr>
                    <th scope="row" class="mono">{ measured(m, 2, "×") }</th>
                    <td class="mono">{ picture.amperes(m) }</td>
                    <td class="mono">{ time(picture.cold_s(m)) }</td>
                    <td class="mono">{ time(picture.warm_s(m)) }</td>
                    <td>{ picture.asked(m) }</td>
                </tr>
            }) }</tbody>
        </table>
    }
}
