//! The canvas with the names of its rows, drawn once a frame where something has changed.

use super::paint::{MEASURE, Picture, ROW, paint};
use super::source::Source;
use super::span::Span;
use super::tracks::{Track, change_before, label, next_change};
use super::view::{View, ViewAct};
use crate::hooks::{use_frame, use_one_stop, use_size, use_workshop};
use crate::services::canvas::{Inkpot, Inks, with_paper};
use crate::services::page;
use crate::store::Workshop;
use crate::t;
use crate::why::WhyOf;
use std::cell::RefCell;
use std::rc::Rc;
use web_sys::{Element, HtmlCanvasElement, KeyboardEvent, PointerEvent};
use yew::prelude::*;

/// A press this close to a cursor takes it in hand, CSS pixels.
const NEAR: f64 = 16.0;

/// What is plotted.
#[derive(Properties, PartialEq)]
pub struct PlotProps {
    /// Where the tracks come from.
    pub source: Source,
    /// Names of the signals, top to bottom.
    pub names: Rc<Vec<String>>,
    /// What is in view.
    pub view: View,
    /// Changes the view.
    pub on_view: Callback<ViewAct>,
}

/// What the last picture was drawn from; the same again needs no drawing.
#[derive(PartialEq)]
struct Drawn {
    span: Span,
    changes: usize,
    last: u64,
    size: (f64, f64),
    inks: Rc<Inks>,
}

/// Names and canvas.
#[component]
pub fn Plot(props: &PlotProps) -> Html {
    let shop = use_workshop();
    let canvas = use_node_ref();
    let size = use_size(&canvas);
    let values =
        use_memo(props.names.len(), |count| (0..*count).map(|_| NodeRef::default()).collect::<Vec<_>>());
    let deps = (props.source.clone(), props.names.clone(), props.view.clone());
    use_frame(deps.clone(), {
        let (canvas, values) = (canvas.clone(), values.clone());
        let (drawn, inkpot) = (RefCell::new(None::<Drawn>), Inkpot::default());
        let (source, names, view) = deps;
        let shown = RefCell::new(vec![None::<Option<bool>>; names.len()]);
        move |workshop: &Workshop| {
            let Some(element) = canvas.cast::<HtmlCanvasElement>() else { return };
            let span = view.span(source.end(workshop));
            let changes = workshop.session().trace().changes();
            let now = Drawn {
                span,
                changes: changes.len(),
                last: changes.back().map_or(0, |change| change.tick),
                size: size.get(),
                inks: inkpot.inks(&element),
            };
            if drawn.borrow().as_ref() == Some(&now) {
                return;
            }
            let tracks = source.tracks(workshop, &names, span);
            draw(&element, &now, &tracks, &view, &source);
            write_values(&values, &shown, &tracks, view.cursors[view.in_hand].unwrap_or(span.end));
            drawn.replace(Some(now));
        }
    });

    let span_now = {
        let (shop, source, view) = (shop.clone(), props.source.clone(), props.view.clone());
        move || shop.with(|workshop| view.span(source.end(workshop)))
    };
    let press = {
        let (span_now, view, on_view) = (span_now.clone(), props.view.clone(), props.on_view.clone());
        Callback::from(move |event: PointerEvent| {
            let Some(element) = event.target_dyn_into::<Element>() else { return };
            let _ = element.set_pointer_capture(event.pointer_id());
            let (span, width) = (span_now(), f64::from(element.client_width()).max(1.0));
            let x = f64::from(event.offset_x());
            let far = |n: usize| view.cursors[n].map(|tick| (span.place(tick) * width - x).abs());
            let near = (0..2)
                .filter(|n| far(*n).is_some_and(|far| far <= NEAR))
                .min_by(|a, b| far(*a).total_cmp_to(far(*b)));
            let free = (0..2).find(|n| view.cursors[*n].is_none());
            on_view.emit(ViewAct::Take(near.or(free).unwrap_or(view.in_hand)));
            on_view.emit(ViewAct::Put { tick: span.tick(x / width), end: span.end });
        })
    };
    let drag = {
        let (span_now, on_view) = (span_now.clone(), props.on_view.clone());
        Callback::from(move |event: PointerEvent| {
            let Some(element) = event.target_dyn_into::<Element>().filter(|_| event.buttons() & 1 != 0)
            else {
                return;
            };
            let (span, width) = (span_now(), f64::from(element.client_width()).max(1.0));
            on_view
                .emit(ViewAct::Put { tick: span.tick(f64::from(event.offset_x()) / width), end: span.end });
        })
    };
    let key = {
        let (view, source, names, on_view) =
            (props.view.clone(), props.source.clone(), props.names.clone(), props.on_view.clone());
        Callback::from(move |event: KeyboardEvent| {
            let span = span_now();
            let at = view.cursors[view.in_hand].unwrap_or(span.end);
            let step = if event.shift_key() { 10 } else { 1 };
            let tracks = || {
                shop.with(|w| source.tracks(w, &names, Span { end: span.end, length_ms: span.end.max(1) }))
            };
            let put = |tick: u64| ViewAct::Put { tick, end: span.end };
            let act = match event.key().as_str() {
                "ArrowLeft" if event.ctrl_key() => put(change_before(&tracks(), at).unwrap_or(at)),
                "ArrowRight" if event.ctrl_key() => put(next_change(&tracks(), at).unwrap_or(at)),
                "ArrowLeft" => put(at.saturating_sub(step)),
                "ArrowRight" => put((at + step).min(span.end.max(at))),
                "1" => ViewAct::Take(0),
                "2" => ViewAct::Take(1),
                "Escape" => ViewAct::Clear,
                _ => return,
            };
            event.prevent_default();
            on_view.emit(act);
        })
    };
    let height = height(props.names.len());
    // A tick on the diagram is over; what it left behind is what the bench was before the next one.
    let at = props.view.cursors[props.view.in_hand].or(props.view.end).map(|tick| tick + 1);
    let row_name = |name: &String| match props.source {
        Source::Bench => html! {
            <>
                <WhyOf of={name.clone()} name={label(name)} {at}>{ label(name) }</WhyOf>
                // Too low for a finger, which points at the row while Why? waits for it.
                <span class="plot-name plot-name-touch">{ label(name) }</span>
            </>
        },
        Source::Recorded(_) => html! { <span class="plot-name">{ label(name) }</span> },
    };
    let asks = |name: &String| (props.source == Source::Bench).then(|| name.clone());
    let rows = use_node_ref();
    use_one_stop(&rows, ".why-of");
    html! {
        <div class="plot">
            <ul ref={rows} class="plot-names">
                { for props.names.iter().zip(values.iter()).map(|(name, value)| html! {
                    <li data-why={asks(name)} data-why-at={at.map(|tick| tick.to_string())}>{ row_name(name) }<span ref={value.clone()} class="plot-value mono"></span></li>
                }) }
            </ul>
            <canvas ref={canvas} class="plot-canvas" height={height.to_string()} tabindex="0" role="application"
                aria-label={t!("diagram-canvas")}
                onpointerdown={press} onpointermove={drag} onkeydown={key}></canvas>
        </div>
    }
}

/// Height of the canvas, CSS pixels; without a signal it has the room of one, so that it can be pointed at.
fn height(rows: usize) -> f64 {
    rows.max(1) as f64 * ROW + MEASURE
}

/// Comparing distances that may be missing.
trait TotalCmp {
    fn total_cmp_to(self, other: Self) -> std::cmp::Ordering;
}

impl TotalCmp for Option<f64> {
    fn total_cmp_to(self, other: Self) -> std::cmp::Ordering {
        self.unwrap_or(f64::INFINITY).total_cmp(&other.unwrap_or(f64::INFINITY))
    }
}

fn draw(canvas: &HtmlCanvasElement, now: &Drawn, tracks: &[Track], view: &View, source: &Source) {
    let (width, height) = (now.size.0, height(tracks.len()));
    let picture = Picture {
        span: now.span,
        tracks,
        cursors: view.cursors,
        in_hand: view.in_hand,
        moment: source.moment().map(|(tick, _)| *tick),
    };
    with_paper(canvas, (width, height), &now.inks, |paper| paint(paper, &now.inks, &picture));
}

fn write_values(nodes: &[NodeRef], shown: &RefCell<Vec<Option<Option<bool>>>>, tracks: &[Track], tick: u64) {
    for ((node, shown), track) in nodes.iter().zip(shown.borrow_mut().iter_mut()).zip(tracks) {
        let value = track.value_at(tick);
        if *shown != Some(value) {
            if let Some(node) = node.get() {
                page::write_text(&node, value.map_or("–", |on| if on { "1" } else { "0" }));
            }
            *shown = Some(value);
        }
    }
}
