//! Tests of the drawing.

use super::*;
use crate::sheets::wiring::fixture::{paddle, t};
use sealin_core::part::{Auxiliary, Coil, Contactor, RELAY_DELAYS, Relay, Suppressor, TimerFunction, Timing};
use std::collections::BTreeSet;

fn paddle_panel() -> (Vec<Part>, Panel) {
    let (parts, _) = paddle();
    let panel = lay_out(&parts, &[], Practice::Iec);
    (parts, panel)
}

/// By hand: a letter takes 0.55 · 9 = 4.95, so that 46 is room for nine of them.
#[test]
fn a_long_word_is_parted_after_its_hyphen() {
    assert_eq!(shape::wrapped("push-button", 46.0), ["push-", "button"]);
    assert_eq!(shape::wrapped("push-button", 60.0), ["push-button"]);
    assert_eq!(shape::wrapped("raise push-button", 46.0), ["raise", "push-", "button"]);
    assert_eq!(shape::wrapped("up to 24 V", 46.0), ["up to 24", "V"]);
}

#[test]
fn every_terminal_has_a_place() {
    let (parts, panel) = paddle_panel();
    let wanted: usize = parts.iter().map(|p| p.terminals().len()).sum();
    assert_eq!(panel.spots.len(), wanted);
    assert_eq!(panel.devices.len(), parts.len());
    for (terminal, spot) in &panel.spots {
        let area = panel.devices[spot.device].area;
        for clamp in &spot.clamps {
            let on_edge = (clamp.at.y == area.y || clamp.at.y == area.bottom() || clamp.at.x == area.right())
                && area.distance(clamp.at) == 0.0;
            assert!(on_edge, "{terminal} sits on the outline");
        }
    }
}

/// Changeover contacts and auxiliary blocks: every terminal once, on the edge, with room for a pointer.
#[test]
fn relays_and_extra_auxiliaries_have_all_their_terminals() {
    let contacts =
        |names: &[&str]| -> Vec<Auxiliary> { names.iter().map(|n| Auxiliary::parse(n).unwrap()).collect() };
    let relay = |names: &[&str], timing| {
        Kind::Relay(Relay {
            coil: Coil::dc(24_000, 900, Suppressor::Diode),
            contacts: contacts(names),
            linked: false,
            delays: RELAY_DELAYS,
            bounce_ms: 0,
            timing,
        })
    };
    let timing = Some(Timing { function: TimerFunction::OnDelay, setting_ms: 500 });
    let auxiliaries = contacts(&["13-14", "21-22", "31-32", "43-44"]);
    for kind in [
        relay(&["11-12-14", "21-22-24"], None),
        relay(&["15-16-18"], timing),
        Kind::Contactor(Contactor { auxiliaries: auxiliaries.clone(), ..Contactor::default() }),
        Kind::Contactor(Contactor { auxiliaries, poles: 0, ..Contactor::default() }),
    ] {
        let part = Part { tag: "KF2".into(), function: "interposing".into(), place: Place::Panel, kind };
        let shape = devices::shape(&part, 0.0, Practice::Iec);
        let mut names: Vec<String> = shape.pins.iter().map(|p| p.name.clone()).collect();
        assert_eq!(names, part.terminals());
        names.sort();
        names.dedup();
        assert_eq!(names.len(), shape.pins.len());
        for (i, a) in shape.pins.iter().enumerate() {
            assert!((0.0..=shape.w).contains(&a.clamps[0].at.x));
            for b in shape.pins[i + 1..].iter().filter(|b| b.clamps[0].edge == a.clamps[0].edge) {
                let apart = (a.clamps[0].at.x - b.clamps[0].at.x).abs();
                assert!(apart >= a.half + b.half - 0.1, "{} and {}", a.name, b.name);
            }
        }
    }
}

#[test]
fn no_two_devices_overlap_and_none_lies_in_a_duct() {
    let (_, panel) = paddle_panel();
    for (i, a) in panel.devices.iter().enumerate() {
        for b in &panel.devices[i + 1..] {
            assert!(!a.area.overlaps(b.area), "{} and {}", a.tag, b.tag);
        }
        assert!(panel.ducts.iter().all(|d| !d.area.overlaps(a.area)), "{} lies in a duct", a.tag);
        assert!(a.area.right() <= WIDTH && a.area.bottom() <= panel.area.h);
    }
}

#[test]
fn no_two_terminals_share_a_place_for_the_pointer() {
    let (_, panel) = paddle_panel();
    let all: Vec<_> = panel.spots.iter().collect();
    for (i, (a, x)) in all.iter().enumerate() {
        for (b, y) in &all[i + 1..] {
            let shrunk = Rect::new(x.hit.x + 0.1, x.hit.y + 0.1, x.hit.w - 0.2, x.hit.h - 0.2);
            assert!(!shrunk.overlaps(y.hit), "{a} and {b}");
        }
    }
}

#[test]
fn four_rails_are_enough_and_the_height_fits_the_sheet() {
    let (_, panel) = paddle_panel();
    assert_eq!(panel.rails.len(), 4);
    assert!(panel.area.h <= 725.0, "{}", panel.area.h);
}

#[test]
fn a_full_rail_goes_on_below() {
    let (parts, _) = paddle();
    let everything = vec![parts.iter().map(|p| p.tag.clone()).collect::<Vec<_>>()];
    let panel = lay_out(&parts, &everything, Practice::Iec);
    assert!(panel.rails.len() >= 4);
    for (i, a) in panel.devices.iter().enumerate() {
        assert!(panel.devices[i + 1..].iter().all(|b| !a.area.overlaps(b.area)), "{}", a.tag);
    }
}

#[test]
fn the_pointer_and_the_arrows_find_terminals() {
    let (_, panel) = paddle_panel();
    let at = |name: &str| panel.spots[&t(name)].clamps[0].at;
    assert_eq!(panel.terminal_at(at("QA1:14"), 4.0), Some(&t("QA1:14")));
    assert_eq!(panel.terminal_at(Point::new(-50.0, -50.0), 4.0), None);
    assert_eq!(panel.next(&t("QA1:A1"), 1.0, 0.0), Some(&t("QA1:1")));
    assert_eq!(panel.next(&t("QA1:13"), 0.0, 1.0), Some(&t("QA1:14")));
    assert_eq!(panel.next(&t("QA1:14"), 0.0, -1.0), Some(&t("QA1:13")));
    assert_eq!(panel.next(&t("XD4:10"), -1.0, 0.0), Some(&t("XD4:9")));
    // Every terminal can be reached from every other by arrows alone.
    let mut reached = BTreeSet::from([t("QA1:14")]);
    let mut open = vec![t("QA1:14")];
    while let Some(from) = open.pop() {
        for (dx, dy) in [(1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0)] {
            if let Some(next) = panel.next(&from, dx, dy)
                && reached.insert(next.clone())
            {
                open.push(next.clone());
            }
        }
    }
    let missed: Vec<_> = panel.spots.keys().filter(|k| !reached.contains(k)).collect();
    assert!(missed.is_empty(), "{missed:?}");
}

/// With the symbols of either practice everything has the same place. By IEEE Std 315 a coil and a pilot light are circles and a
/// contact has two bars, by IEC 60617 a coil is a box and a contact a blade: they are told apart in every device that has one.
#[test]
fn the_practice_changes_symbols_and_no_place() {
    let (parts, iec) = paddle_panel();
    let american = lay_out(&parts, &[], Practice::NorthAmerican);
    assert_eq!((&iec.spots, &iec.ducts, &iec.rails), (&american.spots, &american.ducts, &american.rails));
    let mut changed = BTreeSet::new();
    for (a, b) in iec.devices.iter().zip(&american.devices) {
        assert_eq!((a.area, &a.tag), (b.area, &b.tag));
        if a.shape.marks != b.shape.marks {
            changed.insert(a.tag.as_str());
        }
    }
    assert_eq!(changed, BTreeSet::from(["FC1", "PF1", "QA1", "QA2", "SF1", "SF2", "SF3", "TA1"]));
    // Of a contactor: the coil, three main contacts, a make and a break contact, of two bars each.
    let contactor = american.devices.iter().find(|device| device.tag == "QA1").unwrap();
    let with = |what: &str| contactor.shape.marks.iter().filter(|mark| mark.d.contains(what)).count();
    assert_eq!((with("h14M"), with("a8 8")), (5, 1));
}
