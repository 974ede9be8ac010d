//! Tests of what pointers mean on the paddle panel.

use super::class::Practice;
use super::fixture::{paddle, t};
use super::geometry::{Point, Rect};
use super::gesture::*;
use super::panel::{Panel, lay_out};
use super::view;

const DESK: Rect = Rect::new(50.0, 60.0, 908.0, 733.0);
const PHONE: Rect = Rect::new(0.0, 0.0, 390.0, 500.0);

fn panel() -> Panel {
    lay_out(&paddle().0, &[], Practice::Iec)
}

fn ground(panel: &Panel, screen: Rect) -> Ground<'_> {
    Ground { panel, view: view::fit(panel.area, screen), screen }
}

/// Where a terminal is on the screen.
fn client(g: &Ground<'_>, name: &str) -> Point {
    let m = g.panel.spots[&t(name)].hit.middle();
    let (v, s) = (g.view.middle(), g.screen.middle());
    Point::new(s.x + (m.x - v.x) * g.scale(), s.y + (m.y - v.y) * g.scale())
}

fn mouse(at: Point) -> Pointer {
    Pointer { id: 1, at, finger: false }
}

fn finger(id: i32, at: Point) -> Pointer {
    Pointer { id, at, finger: true }
}

#[test]
fn dragging_from_terminal_to_terminal_draws_a_conductor() {
    let panel = panel();
    let g = ground(&panel, DESK);
    let mut gesture = Gesture::default();
    assert_eq!(gesture.down(mouse(client(&g, "QA1:14")), g), Meaning::Nothing);
    let half = gesture.moved(mouse(Point::new(500.0, 150.0)), g);
    assert!(matches!(half, Meaning::Drawing { ref from, .. } if *from == t("QA1:14")));
    let over = gesture.moved(mouse(client(&g, "KF1:I4")), g);
    assert!(matches!(over, Meaning::Drawing { target: Some(ref to), .. } if *to == t("KF1:I4")));
    assert_eq!(gesture.up(mouse(client(&g, "KF1:I4")), g), Meaning::Drawn(t("QA1:14"), t("KF1:I4")));
    assert_eq!(gesture, Gesture::default());
}

#[test]
fn dropping_beside_a_terminal_or_on_the_same_makes_nothing() {
    let panel = panel();
    let g = ground(&panel, DESK);
    let mut gesture = Gesture::default();
    gesture.down(mouse(client(&g, "QA1:14")), g);
    gesture.moved(mouse(Point::new(60.0, 70.0)), g);
    assert_eq!(gesture.up(mouse(client(&g, "QA1:14")), g), Meaning::Dropped);
    gesture.down(mouse(client(&g, "QA1:14")), g);
    gesture.moved(mouse(Point::new(60.0, 70.0)), g);
    assert_eq!(gesture.cancel(), Meaning::Dropped);
}

#[test]
fn a_tap_chooses_a_terminal_or_a_place() {
    let panel = panel();
    let g = ground(&panel, DESK);
    let mut gesture = Gesture::default();
    gesture.down(mouse(client(&g, "XD4:7")), g);
    assert_eq!(gesture.up(mouse(client(&g, "XD4:7")), g), Meaning::Terminal(t("XD4:7")));
    let aside = Point::new(52.0, 780.0);
    gesture.down(mouse(aside), g);
    assert!(matches!(gesture.up(mouse(aside), g), Meaning::Place(..)));
}

#[test]
fn a_finger_on_a_crowd_gets_a_list_and_on_a_magnified_terminal_the_terminal() {
    let panel = panel();
    let g = ground(&panel, PHONE);
    let mut gesture = Gesture::default();
    gesture.down(finger(1, client(&g, "XD4:7")), g);
    let Meaning::Crowd(near) = gesture.up(finger(1, client(&g, "XD4:7")), g) else { panic!("a list") };
    assert_eq!(near[0], t("XD4:7"));
    assert!(near.contains(&t("XD4:6")) && near.contains(&t("XD4:8")));
    let about = panel.spots[&t("XD4:7")].hit.middle();
    let close = Ground { view: view::zoomed(g.view, panel.area, PHONE, about, 6.0), ..g };
    assert!(close.scale() > view::READABLE);
    gesture.down(finger(1, client(&close, "XD4:7")), close);
    assert_eq!(gesture.up(finger(1, client(&close, "XD4:7")), close), Meaning::Terminal(t("XD4:7")));
    gesture.down(finger(1, client(&close, "XD4:7")), close);
    gesture.moved(finger(1, client(&close, "XD4:8")), close);
    assert_eq!(gesture.up(finger(1, client(&close, "XD4:8")), close), Meaning::Drawn(t("XD4:7"), t("XD4:8")));
}

#[test]
fn two_fingers_pinch_and_never_tap() {
    let panel = panel();
    let g = ground(&panel, PHONE);
    let mut gesture = Gesture::default();
    gesture.down(finger(1, Point::new(150.0, 250.0)), g);
    gesture.down(finger(2, Point::new(250.0, 250.0)), g);
    let Meaning::View(grown) = gesture.moved(finger(2, Point::new(350.0, 250.0)), g) else {
        panic!("a view")
    };
    assert!((view::scale(grown, PHONE) / g.scale() - 2.0).abs() < 1e-9);
    assert_eq!(gesture.up(finger(2, Point::new(350.0, 250.0)), g), Meaning::Nothing);
    assert_eq!(gesture.up(finger(1, Point::new(150.0, 250.0)), g), Meaning::Nothing);
}

#[test]
fn dragging_beside_terminals_moves_the_drawing() {
    let panel = panel();
    let g = ground(&panel, DESK);
    let near = Ground { view: view::zoomed(g.view, panel.area, DESK, panel.area.middle(), 3.0), ..g };
    let mut gesture = Gesture::default();
    // The corner of the rail with the controller has no terminal.
    let at = Point::new(DESK.middle().x, DESK.middle().y);
    gesture.down(mouse(at), near);
    let moved = gesture.moved(mouse(Point::new(at.x - 30.0, at.y)), near);
    let Meaning::View(v) = moved else { panic!("{moved:?}") };
    assert!((v.x - near.view.x - 10.0 * 3.0 / near.scale()).abs() < 0.1, "{} {}", v.x, near.view.x);
    assert_eq!(gesture.up(mouse(at), near), Meaning::Nothing);
}

/// Where words cannot be read, a tap beside all terminals looks closer at the place.
#[test]
fn a_tap_beside_all_terminals_of_the_small_drawing_looks_closer() {
    let panel = panel();
    let g = ground(&panel, PHONE);
    assert!(g.scale() < view::LEGIBLE);
    let mut gesture = Gesture::default();
    // The motor's terminals are on its right: its left edge is out of a finger's reach of them.
    let motor = panel.devices.iter().find(|d| d.tag == "MA1").unwrap().area;
    let place = Point::new(motor.x + 2.0, motor.middle().y);
    let (v, s) = (g.view.middle(), g.screen.middle());
    let at = Point::new(s.x + (place.x - v.x) * g.scale(), s.y + (place.y - v.y) * g.scale());
    gesture.down(finger(1, at), g);
    let Meaning::View(near) = gesture.up(finger(1, at), g) else { panic!("a view") };
    assert!((view::scale(near, PHONE) - view::READABLE).abs() < 1e-9);
    assert!(near.contains(place, 1.0));
}
