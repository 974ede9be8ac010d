//! The drawing under pointer, touch and keys: draws its layers, and turns events into what is asked.

use super::backdrop::{Backdrop, number};
use super::devices::Devices;
use super::overlay::{ChosenEnds, ChosenRoutes, Rubber};
use super::terminals::Terminals;
use super::window::{Window, wheel};
use super::wires::{Ferrules, Wires};
use crate::hooks::{takes_keyboard, use_workshop};
use crate::services::surface;
use crate::sheets::wiring::desk::{Ask, Asking};
use crate::sheets::wiring::drawing::Shared;
use crate::sheets::wiring::finding::Shown;
use crate::sheets::wiring::geometry::{Point, Rect};
use crate::sheets::wiring::gesture::{Gesture, Ground, Meaning, Pointer};
use crate::sheets::wiring::potentials::Volts;
use crate::sheets::zoom::{AFTER_POINTER_MS, STEP, Step, ZoomButtons, on_step};
use crate::store::Thing;
use crate::t;
use sealin_core::plan::Terminal;
use std::cell::{Cell, RefCell};
use std::rc::Rc;
use yew::prelude::*;

/// The drawing.
#[derive(Properties, PartialEq)]
pub struct SurfaceProps {
    /// What is drawn.
    pub drawing: Shared,
    /// What is shown heavy.
    pub shown: Shown,
    /// The terminal from which a conductor is being made.
    pub from: Option<Terminal>,
    /// The terminal that the keys are at.
    pub at: Terminal,
    /// Counts requests to bring what is chosen into view.
    pub bring: u32,
    /// Counts requests to see the drawing closer where the keys are.
    pub closer: u32,
    /// What is asked.
    pub ask: Asking,
}

/// The drawing with its zoom buttons.
#[component]
pub fn Surface(props: &SurfaceProps) -> Html {
    let node = use_node_ref();
    let shown = use_state(|| None::<Rect>);
    let now = use_memo((), |()| RefCell::new(None));
    let window = Window::new(now, shown.clone(), node.clone());
    let rubber = use_state(|| None::<(Terminal, Point, Option<Terminal>)>);
    let gesture = use_mut_ref(Gesture::default);
    let pointed = use_memo((), |()| Cell::new(f64::NEG_INFINITY));
    let area = props.drawing.panel.area;
    let volts = use_memo(props.drawing.clone(), Volts::of);

    let pointers = {
        let (drawing, ask, window) = (props.drawing.clone(), props.ask.clone(), window.clone());
        let (gesture, rubber, pointed) = (gesture.clone(), rubber.clone(), pointed.clone());
        Rc::new(move |event: &PointerEvent, step: Step| {
            pointed.set(event.time_stamp());
            let p = Pointer {
                id: event.pointer_id(),
                at: Point::new(event.client_x().into(), event.client_y().into()),
                finger: event.pointer_type() == "touch",
            };
            let ground = Ground { panel: &drawing.panel, view: window.view(area), screen: window.screen() };
            let meaning = match step {
                Step::Down => gesture.borrow_mut().down(p, ground),
                Step::Moved => gesture.borrow_mut().moved(p, ground),
                Step::Up => gesture.borrow_mut().up(p, ground),
                Step::Lost => gesture.borrow_mut().cancel(),
            };
            let drawing_now = if let Meaning::Drawing { from, to, target } = &meaning {
                Some((from.clone(), *to, target.clone()))
            } else {
                None
            };
            if drawing_now.is_some() || matches!(step, Step::Up | Step::Lost) || meaning == Meaning::Dropped {
                rubber.set(drawing_now);
            }
            match meaning {
                Meaning::Drawn(from, to) => ask.emit(Ask::Join(from, to)),
                Meaning::Terminal(t) => ask.emit(Ask::Choose(t)),
                Meaning::Crowd(all) => ask.emit(Ask::Crowd(all)),
                Meaning::Place(at, reach) => match drawing.conductor_at(at, reach) {
                    Some(id) => ask.emit(Ask::Select(Some(Thing::Conductor(id.to_string())))),
                    None => ask.emit(Ask::LetGo),
                },
                Meaning::View(view) => window.turn(Some(view)),
                Meaning::Nothing | Meaning::Drawing { .. } | Meaning::Dropped => {}
            }
        })
    };
    let on = |step: Step| on_step(&node, &pointers, step);
    let onkeydown = keys(props, &window, &gesture, &rubber);
    // Assistive technology clicks without a pointer; the click that follows a pointer has been dealt with.
    let onclick = {
        let (ask, drawing, pointed) = (props.ask.clone(), props.drawing.clone(), pointed.clone());
        Callback::from(move |event: MouseEvent| {
            let alone = event.time_stamp() - pointed.get() > AFTER_POINTER_MS;
            let terminal = alone.then(|| surface::terminal_of(&event)).flatten();
            if let Some(t) = terminal.and_then(|t| Terminal::parse(&t)).filter(|t| drawing.circuit.has(t)) {
                ask.emit(Ask::Choose(t));
            }
        })
    };
    {
        let (window, drawing, brought) = (window.clone(), props.drawing.clone(), use_mut_ref(|| 0));
        let (shop, ask) = (use_workshop(), props.ask.clone());
        use_effect_with((props.shown.clone(), props.bring), move |(shown, bring)| {
            let asked = brought.replace(*bring) != *bring;
            match place(&drawing, shown) {
                Some(place) if asked => window.bring(area, place),
                Some(place) => window.show(area, place),
                None => {}
            }
            if let Some(terminal) = shown.terminals.first().filter(|_| asked && takes_keyboard(&shop)) {
                surface::focus_terminal(window.node(), &terminal.to_string());
                ask.emit(Ask::Walk(terminal.clone()));
            }
        });
    }
    {
        let (window, drawing, at) = (window.clone(), props.drawing.clone(), props.at.clone());
        use_effect_with(props.closer, move |closer| {
            if let Some(spot) = drawing.panel.spots.get(&at).filter(|_| *closer > 0) {
                window.bring(area, spot.hit);
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
        let (window, chosen) = (window.clone(), place(&props.drawing, &props.shown).map(Rect::middle));
        Callback::from(move |factor: f64| window.zoom(area, chosen, factor))
    };
    let whole = {
        let window = window.clone();
        Callback::from(move |()| window.turn(None))
    };
    let v = shown.unwrap_or(Rect::new(area.x - 4.0, area.y - 4.0, area.w + 8.0, area.h + 8.0));
    let view_box = [v.x, v.y, v.w, v.h].map(number).join(" ");
    html! {
        <div class="zoomed surface">
            <svg ref={node.clone()} class="zoomed-drawing surface-drawing" viewBox={view_box.clone()} role="group" aria-label={t!("wiring-drawing")}
                onpointerdown={on(Step::Down)} onpointermove={on(Step::Moved)} onpointerup={on(Step::Up)}
                onpointercancel={on(Step::Lost)} {onkeydown} {onclick}>
                <Backdrop drawing={props.drawing.clone()} />
                <Wires drawing={props.drawing.clone()} volts={(*volts).clone()} />
                <ChosenRoutes drawing={props.drawing.clone()} shown={props.shown.clone()} />
                <Devices drawing={props.drawing.clone()} />
                <Ferrules drawing={props.drawing.clone()} />
                <Terminals drawing={props.drawing.clone()} volts={(*volts).clone()} at={props.at.clone()}
                    from={props.from.clone()} shown={props.shown.clone()} />
                <ChosenEnds drawing={props.drawing.clone()} shown={props.shown.clone()} />
            </svg>
            // A picture of its own over the drawing, so that the drawing is not painted anew at every move.
            if let Some((from, to, target)) = (*rubber).clone() {
                <svg class="surface-over" viewBox={view_box} aria-hidden="true">
                    <Rubber drawing={props.drawing.clone()} {from} {to} {target} />
                </svg>
            }
            <ZoomButtons whole={shown.is_none()} fitted={shown.is_none()} on_zoom={zoom} on_fit={whole} />
        </div>
    }
}

/// Where the first thing that is shown lies.
fn place(drawing: &Shared, shown: &Shown) -> Option<Rect> {
    let terminal = shown.terminals.first().and_then(|t| drawing.panel.spots.get(t)).map(|spot| spot.hit);
    let device =
        || drawing.panel.devices.iter().find(|d| shown.part.as_ref() == Some(&d.tag)).map(|d| d.area);
    terminal.or_else(device)
}

/// Keys on the drawing.
fn keys(
    props: &SurfaceProps,
    window: &Window,
    gesture: &Rc<RefCell<Gesture>>,
    rubber: &UseStateHandle<Option<(Terminal, Point, Option<Terminal>)>>,
) -> Callback<KeyboardEvent> {
    let (drawing, ask, at, window) =
        (props.drawing.clone(), props.ask.clone(), props.at.clone(), window.clone());
    let (gesture, rubber) = (gesture.clone(), rubber.clone());
    let area = drawing.panel.area;
    Callback::from(move |event: KeyboardEvent| {
        if event.ctrl_key() || event.meta_key() || event.alt_key() {
            return;
        }
        let way = match event.key().as_str() {
            "ArrowLeft" => Some((-1.0, 0.0)),
            "ArrowRight" => Some((1.0, 0.0)),
            "ArrowUp" => Some((0.0, -1.0)),
            "ArrowDown" => Some((0.0, 1.0)),
            _ => None,
        };
        if let Some((dx, dy)) = way {
            event.prevent_default();
            if let Some(next) = drawing.panel.next(&at, dx, dy) {
                if let Some(spot) = drawing.panel.spots.get(next) {
                    window.show(area, spot.hit);
                }
                surface::focus_terminal(window.node(), &next.to_string());
                ask.emit(Ask::Walk(next.clone()));
            }
            return;
        }
        let middle = drawing.panel.spots.get(&at).map(|s| s.hit.middle());
        match event.key().as_str() {
            "Enter" if event.shift_key() => ask.emit(Ask::ToSchedule),
            "Enter" | " " => ask.emit(Ask::Choose(at.clone())),
            "Escape" => {
                gesture.borrow_mut().cancel();
                rubber.set(None);
                ask.emit(Ask::LetGo);
            }
            "Delete" | "Backspace" => ask.emit(Ask::Remove),
            "+" | "=" => window.zoom(area, middle, STEP),
            "-" => window.zoom(area, middle, 1.0 / STEP),
            "0" => window.turn(None),
            _ => return,
        }
        event.prevent_default();
    })
}
