//! The sheet on the exercises that ship: whatever an author writes, everything has its place.

use super::drawing::Drawing;
use super::geometry::sampled;
use super::remarks::Remark;
use sealin_core::plan::{Conductor, Terminal};
use sealin_exercise::scenario::Scenario;
use sealin_exercise::shipped;

fn drawings() -> Vec<(Scenario, Drawing)> {
    shipped::all()
        .map(|(_, toml)| {
            let scenario = Scenario::parse(toml).unwrap();
            let (parts, conductors) = (scenario.parts.clone(), scenario.given.clone());
            let drawing = Drawing::of(&scenario, parts, conductors);
            (scenario, drawing)
        })
        .collect()
}

#[test]
fn everything_has_its_place_and_a_fitter_has_nothing_to_say() {
    let all = drawings();
    assert!(!all.is_empty());
    for (scenario, d) in &all {
        let terminals: usize = scenario.parts.iter().map(|p| p.terminals().len()).sum();
        assert_eq!(d.panel.spots.len(), terminals, "{}", scenario.id);
        assert_eq!(d.routes.len(), scenario.given.len(), "{}", scenario.id);
        // A common that the job asks for is open on purpose.
        let asked = |t: &Terminal| scenario.todo.iter().any(|todo| todo.from == *t);
        let left_open = |r: &&Remark| matches!(r, Remark::InputCommonOpen { common, .. } if asked(common));
        let remarks: Vec<&Remark> = d.remarks.iter().filter(|r| !left_open(r)).collect();
        assert!(remarks.is_empty(), "{}: {remarks:?}", scenario.id);
        assert!(d.panel.area.h <= 740.0, "{}: {} is too high for the sheet", scenario.id, d.panel.area.h);
        for (i, a) in d.panel.devices.iter().enumerate() {
            for b in &d.panel.devices[i + 1..] {
                assert!(!a.area.overlaps(b.area), "{}: {} and {}", scenario.id, a.tag, b.tag);
            }
        }
    }
}

#[test]
fn routes_touch_no_device() {
    for (scenario, d) in drawings() {
        for r in &d.routes {
            for p in sampled(&r.line, 2.0) {
                let own = r.ends.iter().any(|e| e.at.distance(p) <= 0.01);
                let touched = d.panel.devices.iter().find(|device| device.area.distance(p) == 0.0);
                assert!(own || touched.is_none(), "{}: {} at {p:?}", scenario.id, r.id);
            }
        }
    }
}

/// Each conductor that the job sheet of the paddle gear asks for (paddle-panel.md, section 5) comes out as it asks.
#[test]
fn the_conductors_asked_for_come_out_as_asked() {
    let (_, d) = drawings().into_iter().find(|(s, _)| s.id == "paddle-closed-loop").unwrap();
    for asked in super::fixture::learners() {
        let made = d.made(asked.id.clone(), &asked.from, &asked.to);
        // The free contacts are numbered once they are joined to 201.
        let number = if ["L2", "L3"].contains(&asked.id.as_str()) { &made.number } else { &asked.number };
        assert_eq!(made, Conductor { number: number.clone(), ..asked.clone() });
    }
}

#[test]
fn tmp_equal() {
    let (s, _) = drawings().into_iter().find(|(s, _)| s.id == "paddle-closed-loop").unwrap();
    let (parts, given) = super::fixture::paddle();
    for (a, b) in s.parts.iter().zip(&parts) {
        if a != b {
            println!("PART {a:?}\n     {b:?}");
        }
    }
    for (a, b) in s.given.iter().zip(&given) {
        if a != b {
            println!("COND {a:?}\n     {b:?}");
        }
    }
    println!("LEN {} {} {} {}", s.parts.len(), parts.len(), s.given.len(), given.len());
}
