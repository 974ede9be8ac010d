//! The diagram under pointer, touch and keys.

use super::gesture::{Gesture, Meaning};
use super::sight::Sight;
use super::{Meant, Shared, walk};
use crate::hooks::{takes_keyboard, use_workshop};
use crate::services::surface;
use crate::sheets::wiring::geometry::{Point, Rect, polyline_distance};
use crate::sheets::wiring::sight::backdrop::number;
use crate::sheets::wiring::sight::window::{Window, wheel};
use crate::sheets::wiring::view;
use crate::sheets::zoom::{AFTER_POINTER_MS, STEP, Step, ZoomButtons, on_step};
use crate::store::Thing;
use crate::t;
use sealin_core::plan::Terminal;
use std::cell::{Cell, RefCell};
use std::rc::Rc;
use yew::prelude::*;

/// Magnification at which the words can be read, CSS pixels a unit: 10 pixels for the small ones.
const READABLE: f64 = 1.35;
/// The same on a narrow screen, where every symbol is to be met with a finger: 44 CSS pixels (WCAG 2.2, 2.5.5) on 24 units, and
/// a little for what is rounded.
const UNDER_FINGER: f64 = 44.3 / 24.0;
/// On a narrow screen the words are as large as this at least when the diagram is fitted, CSS pixels a unit: 11 pixels for the
/// figures of 7.2 units.
const LEGIBLE: f64 = 11.05 / 7.2;
/// A screen is narrow below this, CSS pixels; the style sheets say the same.
const NARROW: f64 = 1000.0;
/// How far beside a line a pointer still means it, CSS pixels.
const REACH: f64 = 9.0;

/// The diagram.
#[derive(Properties, PartialEq)]
pub struct SurfaceProps {
    /// What is drawn.
    pub drawn: Shared,
    /// What is chosen.
    pub selection: Option<Thing>,
    /// The symbol that is chosen, or that the choice begins at.
    pub chosen: Option<usize>,
    /// The symbol that the keys are at.
    pub at: usize,
    /// Counts requests to bring what is chosen into view.
    pub bring: u32,
    /// Takes what is meant.
    pub ask: Callback<Meant>,
}

/// The diagram with its zoom buttons.
#[component]
pub fn Surface(props: &SurfaceProps) -> Html {
    let node = use_node_ref();
    let shown = use_state(|| None::<Rect>);
    let now = use_memo((), |()| RefCell::new(None));
    let window = Window::new(now, shown.clone(), node.clone());
    let gesture = use_mut_ref(Gesture::default);
    let pointed = use_memo((), |()| Cell::new(f64::NEG_INFINITY));
    let area = props.drawn.area;
    let pointers = {
        let (drawn, ask, window) = (props.drawn.clone(), props.ask.clone(), window.clone());
        let (gesture, pointed) = (gesture.clone(), pointed.clone());
        Rc::new(move |event: &PointerEvent, step: Step| {
            pointed.set(event.time_stamp());
            let (id, at) = (event.pointer_id(), Point::new(event.client_x().into(), event.client_y().into()));
            let (seen, screen) = (window.view(area), window.screen());
            let mut gesture = gesture.borrow_mut();
            let meaning = match step {
                Step::Down => {
                    gesture.down(id, at);
                    Meaning::Nothing
                }
                Step::Moved => gesture.moved(id, at, area, seen, screen),
                Step::Up => gesture.up(id, seen, screen),
                Step::Lost => {
                    gesture.cancel();
                    Meaning::Nothing
                }
            };
            match meaning {
                Meaning::Tap(at) => {
                    let thing = meant(&drawn, at, REACH / view::scale(seen, screen).max(1e-6));
                    // A captured pointer gives no focus, and the keys go on from what was tapped.
                    focus(&window, &drawn, symbol_of(&drawn, &thing));
                    ask.emit(thing);
                }
                Meaning::View(next) => window.turn(Some(next)),
                Meaning::Nothing => {}
            }
        })
    };
    let on = |step: Step| on_step(&node, &pointers, step);
    // Assistive technology clicks without a pointer; the click that follows a pointer has been dealt with.
    let onclick = {
        let (ask, drawn, pointed) = (props.ask.clone(), props.drawn.clone(), pointed.clone());
        Callback::from(move |event: MouseEvent| {
            let alone = event.time_stamp() - pointed.get() > AFTER_POINTER_MS;
            let terminal = alone.then(|| surface::terminal_of(&event)).flatten();
            if let Some(n) = terminal.and_then(|t| Terminal::parse(&t)).and_then(|t| drawn.symbol_of(&t)) {
                ask.emit(Meant::Symbol(n));
            }
        })
    };
    let onkeydown = keys(props, &window);
    {
        let (window, drawn, at, shop) = (window.clone(), props.drawn.clone(), props.chosen, use_workshop());
        use_effect_with((props.selection.clone(), props.bring), move |(selection, _)| {
            let wanted = place(&drawn, selection.as_ref(), at);
            let screen = window.screen();
            // At first as large as can be read, on what is chosen or on the first circuits.
            let whole = view::fit(area, screen);
            let factor = if screen.w < NARROW { UNDER_FINGER } else { READABLE } / view::scale(whole, screen);
            if window.view(area) == whole && factor > 1.0 {
                let about = wanted.map_or(Point::new(0.0, 0.0), Rect::middle);
                window.turn(Some(view::zoomed(whole, area, screen, about, factor)));
            }
            if let Some(wanted) = wanted {
                window.show(area, wanted);
            }
            if takes_keyboard(&shop) {
                focus(&window, &drawn, at);
            }
        });
    }
    {
        let window = window.clone();
        use_effect_with((), move |()| {
            let listener =
                surface::on_wheel(&window.node().clone(), move |event| wheel(&window, area, event));
            move || drop(listener)
        });
    }
    let zoom = {
        let (window, chosen) =
            (window.clone(), place(&props.drawn, props.selection.as_ref(), props.chosen).map(Rect::middle));
        Callback::from(move |factor: f64| window.zoom(area, chosen, factor))
    };
    let fit = {
        let window = window.clone();
        Callback::from(move |()| window.turn(fitting(area, window.screen())))
    };
    let fits = *shown == fitting(area, window.screen());
    let box_ = [area.x - 4.0, area.y - 4.0, area.w + 8.0, area.h + 8.0].map(number).join(" ");
    html! {
        <div class="zoomed circuit-surface">
            <svg ref={node.clone()} class="zoomed-drawing circuit-drawing" viewBox={box_} role="group" aria-label={t!("circuit-drawing")}
                onpointerdown={on(Step::Down)} onpointermove={on(Step::Moved)} onpointerup={on(Step::Up)}
                onpointercancel={on(Step::Lost)} {onkeydown} {onclick}>
                // Moved by its transform, so that print, which has none, shows all of it.
                <g class="circuit-view" transform={transform(*shown, area, &window)}>
                    <Sight drawn={props.drawn.clone()} selection={props.selection.clone()} at={props.at} />
                </g>
            </svg>
            <ZoomButtons whole={shown.is_none()} fitted={fits} on_zoom={zoom} on_fit={fit} />
        </div>
    }
}

/// What Fit shows: all of the diagram; on a narrow screen, where that could not be read, as much from the first path on as is as
/// high as the screen or can be read.
fn fitting(area: Rect, screen: Rect) -> Option<Rect> {
    let whole = view::fit(area, screen);
    let scale = view::scale(whole, screen);
    let wanted = (screen.h / (area.h + 2.0 * view::MARGIN)).max(LEGIBLE);
    if screen.w <= 0.0 || screen.w >= NARROW || wanted <= scale {
        return None;
    }
    let seen = view::zoomed(whole, area, screen, whole.middle(), wanted / scale);
    Some(view::panned(seen, area, -area.w, -area.h))
}

/// The transform that brings what is in view to where all of it stands.
fn transform(shown: Option<Rect>, area: Rect, window: &Window) -> Option<String> {
    let (view, fit) = (shown?, view::fit(area, window.screen()));
    let k = fit.w / view.w.max(1e-6);
    let (x, y) = (fit.x - view.x * k, fit.y - view.y * k);
    Some(format!("translate({} {}) scale({k:.4})", number(x), number(y)))
}

/// What lies under a place: a symbol, else the nearest line.
fn meant(drawn: &Shared, at: Point, reach: f64) -> Meant {
    if let Some(n) = drawn.symbols.iter().position(|s| s.area.contains(at, 0.0)) {
        return Meant::Symbol(n);
    }
    let near = drawn.lines.iter().filter_map(|l| {
        let id = &l.conductor.as_ref()?.id;
        let to_number = l.label.map_or(f64::INFINITY, |(area, _)| area.distance(at));
        Some((polyline_distance(at, &l.points).min(to_number), id))
    });
    match near.filter(|(d, _)| *d <= reach).min_by(|a, b| a.0.total_cmp(&b.0)) {
        Some((_, id)) => Meant::Conductor(id.clone()),
        None => Meant::Nothing,
    }
}

/// The symbol that the keys go on from.
fn symbol_of(drawn: &Shared, thing: &Meant) -> Option<usize> {
    match thing {
        Meant::Symbol(n) | Meant::Walk(n) => Some(*n),
        Meant::Conductor(id) => super::chosen_at(drawn, Some(&Thing::Conductor(id.clone()))),
        Meant::Nothing => None,
    }
}

/// Gives the keyboard to a symbol.
fn focus(window: &Window, drawn: &Shared, symbol: Option<usize>) {
    let ports = symbol.and_then(|n| drawn.symbols.get(n)).map(|s| &s.element.ports);
    if let Some(t) = ports.and_then(|all| all.iter().find_map(|p| p.terminal.as_ref())) {
        surface::focus_terminal(window.node(), &t.to_string());
    }
}

/// Where what is chosen lies.
fn place(drawn: &Shared, choice: Option<&Thing>, at: Option<usize>) -> Option<Rect> {
    match choice? {
        Thing::Conductor(id) => {
            let line = drawn.lines.iter().find(|l| l.conductor.as_ref().is_some_and(|c| c.id == *id))?;
            let p = line.label.map(|(area, _)| area.middle()).or(line.points.first().copied())?;
            Some(Rect::new(p.x - 20.0, p.y - 20.0, 40.0, 40.0))
        }
        Thing::Part(_) | Thing::Terminal(_) => drawn.symbols.get(at?).map(|s| s.area),
        _ => None,
    }
}

/// Keys on the drawing.
fn keys(props: &SurfaceProps, window: &Window) -> Callback<KeyboardEvent> {
    let (drawn, ask, at, window) = (props.drawn.clone(), props.ask.clone(), props.at, window.clone());
    let area = drawn.area;
    Callback::from(move |event: KeyboardEvent| {
        if event.ctrl_key() || event.meta_key() || event.alt_key() {
            return;
        }
        let (dx, dy) = match event.key().as_str() {
            "ArrowLeft" => (-1.0, 0.0),
            "ArrowRight" => (1.0, 0.0),
            "ArrowUp" => (0.0, -1.0),
            "ArrowDown" => (0.0, 1.0),
            "Enter" | " " => {
                event.prevent_default();
                // Assistive technology moves the focus without a walk.
                let here = surface::terminal_of(&event).and_then(|t| drawn.symbol_of(&Terminal::parse(&t)?));
                return ask.emit(Meant::Symbol(here.unwrap_or(at)));
            }
            "Escape" => return ask.emit(Meant::Nothing),
            "+" => return window.zoom(area, drawn.symbols.get(at).map(|s| s.area.middle()), STEP),
            "-" => return window.zoom(area, drawn.symbols.get(at).map(|s| s.area.middle()), 1.0 / STEP),
            _ => return,
        };
        event.prevent_default();
        let Some(next) = walk::next(&drawn, at, dx, dy) else { return };
        let symbol = &drawn.symbols[next];
        window.show(area, symbol.area);
        focus(&window, &drawn, Some(next));
        ask.emit(Meant::Walk(next));
    })
}
