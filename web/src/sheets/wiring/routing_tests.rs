//! Tests of the routes on the paddle panel.

use super::class::Practice;
use super::fixture::{learners, paddle, t, wire};
use super::geometry::{Point, Rect, sampled};
use super::panel::{Panel, lay_out};
use super::routing::{Route, ferrules, route};
use sealin_core::plan::Conductor;

fn everything() -> (Panel, Vec<Conductor>, Vec<Route>) {
    let (parts, mut all) = paddle();
    all.extend(learners());
    let panel = lay_out(&parts, &[], Practice::Iec);
    let routes = route(&panel, &all);
    (panel, all, routes)
}

#[test]
fn every_conductor_has_a_route_from_its_one_terminal_to_the_other() {
    let (panel, all, routes) = everything();
    assert_eq!(routes.len(), all.len());
    for (c, r) in all.iter().zip(&routes) {
        for (end, terminal, at) in [(0, &c.from, r.line.first()), (1, &c.to, r.line.last())] {
            assert_eq!(r.ends[end].terminal, *terminal);
            assert_eq!(at, Some(&r.ends[end].at));
            let clamp = panel.spots[terminal].clamps.iter().any(|k| k.at.distance(r.ends[end].at) < 3.0);
            assert!(clamp, "{} starts at {terminal}", c.id);
        }
    }
}

#[test]
fn routes_touch_no_device_but_at_their_own_terminals() {
    let (panel, _, routes) = everything();
    let mut samples = 0;
    for r in &routes {
        for p in sampled(&r.line, 2.0) {
            samples += 1;
            let touched = panel.devices.iter().find(|d| d.area.distance(p) == 0.0);
            let own = r.ends.iter().any(|e| e.at.distance(p) <= 0.01);
            assert!(touched.is_none() || own, "{} touches {:?} at {p:?}", r.id, touched.map(|d| &d.tag));
        }
    }
    assert!(samples > 10_000, "{samples}");
}

#[test]
fn every_route_bends_at_right_angles_and_inside_ducts() {
    let (panel, _, routes) = everything();
    for r in routes.iter().filter(|r| r.id != "C03") {
        assert!(r.line.windows(2).all(|s| s[0].x == s[1].x || s[0].y == s[1].y), "{}", r.id);
        for p in &r.line[1..r.line.len() - 1] {
            assert!(panel.ducts.iter().any(|d| d.area.contains(*p, 0.0)), "{} bends outside a duct", r.id);
        }
    }
}

/// Pieces of different conductors that lie on each other, inside the ducts, by the total length.
fn piled(panel: &Panel, routes: &[Route]) -> f64 {
    let mut total = 0.0;
    for (d, duct) in panel.ducts.iter().enumerate() {
        let mut pieces: Vec<(i64, f64, f64)> = Vec::new();
        for r in routes {
            for s in r.line.windows(2) {
                let level = s[0].y == s[1].y;
                let inside = duct.area.contains(s[0], -1.0) || duct.area.contains(s[1], -1.0);
                if level == duct.level && inside && d < panel.ducts.len() {
                    let (lane, a, b) =
                        if level { (s[0].y, s[0].x, s[1].x) } else { (s[0].x, s[0].y, s[1].y) };
                    pieces.push(((lane * 10.0).round() as i64, a.min(b), a.max(b)));
                }
            }
        }
        for (i, a) in pieces.iter().enumerate() {
            for b in &pieces[i + 1..] {
                if a.0 == b.0 {
                    total += (a.2.min(b.2) - a.1.max(b.1)).max(0.0);
                }
            }
        }
    }
    total
}

#[test]
fn little_is_piled_up_in_the_ducts() {
    let (panel, _, routes) = everything();
    let all: f64 = routes.iter().map(|r| super::geometry::length(&r.line)).sum();
    let share = piled(&panel, &routes) / all;
    assert!(share < 0.06, "{share}");
}

#[test]
fn outside_the_ducts_no_two_run_close_together() {
    let (panel, _, routes) = everything();
    let outside = |p: &Point| !panel.ducts.iter().any(|d| d.area.distance(*p) == 0.0);
    let all: Vec<Vec<Point>> =
        routes.iter().map(|r| sampled(&r.line, 1.0).into_iter().filter(outside).collect()).collect();
    for (i, a) in all.iter().enumerate() {
        for (k, b) in all.iter().enumerate().skip(i + 1) {
            let close = a.iter().filter(|p| b.iter().any(|q| p.distance(*q) < 4.0)).count();
            assert!(close <= 8, "{} and {} run together for {close}", routes[i].id, routes[k].id);
        }
    }
}

#[test]
fn a_new_conductor_moves_no_other() {
    let (parts, mut all) = paddle();
    let panel = lay_out(&parts, &[], Practice::Iec);
    let before = route(&panel, &all);
    all.push(wire("L4", "QA1:14", "KF1:I4", "213"));
    let after = route(&panel, &all);
    assert_eq!(before[..], after[..before.len()]);
    let new = after.last().unwrap();
    assert_eq!(new.ends[0].terminal, t("QA1:14"));
    assert!(new.line.len() >= 6, "out, along, up, along, in: {:?}", new.line);
}

#[test]
fn a_link_is_plugged_on_beside_the_strip() {
    let (panel, all, routes) = everything();
    let link = routes.iter().find(|r| r.id == "C03").unwrap();
    assert_eq!(link.line.len(), 4);
    assert!(super::geometry::length(&link.line) < 60.0);
    assert!(link.line.iter().all(|p| panel.ducts.iter().all(|d| !d.area.contains(*p, 0.0))));
    assert!(ferrules(&routes, &all).iter().all(|f| !f.conductors.contains(&"C03".to_string())));
}

#[test]
fn conductors_of_one_number_share_a_ferrule() {
    let (_, all, routes) = everything();
    let shown = ferrules(&routes, &all);
    // Every end but those of the link, less one for each clamp with two conductors of one number.
    let ends: usize = shown.iter().map(|f| f.conductors.len()).sum();
    assert_eq!(ends, 2 * (all.len() - 1));
    let twin = shown.iter().find(|f| f.conductors == ["P07", "P10"]).unwrap();
    assert_eq!((twin.number.as_str(), twin.narrow), ("2L1", false));
    for (i, a) in shown.iter().enumerate() {
        assert!(shown[i + 1..].iter().all(|b| !a.area.overlaps(b.area)), "{:?}", a);
    }
}

#[test]
fn field_cables_come_to_a_strip_from_below() {
    let (_, all, routes) = everything();
    let of = |id: &str, end: usize| {
        let at = all.iter().position(|c| c.id == id).unwrap();
        routes[at].ends[end].edge
    };
    use super::panel::shape::Edge;
    assert_eq!((of("P19", 1), of("P22", 0)), (Edge::Top, Edge::Bottom));
    assert_eq!((of("D06", 1), of("S01", 0)), (Edge::Top, Edge::Bottom));
    assert_eq!(of("L1", 0), Edge::Top);
}

/// Choosing a device tells the potentials of all its terminals at once: none lies on another or on a ferrule.
#[test]
fn potentials_of_one_device_can_be_read_side_by_side() {
    // Five characters, such as -24 V or 231 V, of 10.5 units in a type of equal widths of 0.6; capitals 0.75 high.
    const LONG: f64 = 5.0 * 10.5 * 0.6;
    const HIGH: f64 = 10.5 * 0.75;
    let (panel, all, routes) = everything();
    let ferrules = ferrules(&routes, &all);
    let mut told = 0;
    for (d, device) in panel.devices.iter().enumerate() {
        let here = panel
            .spots
            .iter()
            .filter(|(t, s)| s.device == d && all.iter().any(|c| c.from == **t || c.to == **t));
        let areas: Vec<Rect> = here
            .map(|(_, spot)| match spot.potential() {
                (at, true) => Rect::new(at.x - HIGH, at.y - LONG, HIGH, LONG),
                (at, false) => Rect::new(at.x, at.y - HIGH, LONG, HIGH),
            })
            .collect();
        for (i, a) in areas.iter().enumerate() {
            told += 1;
            assert!(areas[i + 1..].iter().all(|b| !a.overlaps(*b)), "{}: {a:?}", device.tag);
            assert!(!device.area.overlaps(*a), "{}: {a:?}", device.tag);
            let under =
                ferrules.iter().find(|f| f.area.overlaps(*a) && device.area.distance(f.area.middle()) < 30.0);
            assert!(under.is_none(), "{}: {a:?} lies on {under:?}", device.tag);
        }
    }
    assert!(told > 100, "{told}");
}
