//! Tests of the fitter's remarks on the paddle panel.

use super::{Remark, remarks};
use crate::wiring::circuit::{Circuit, Class, Practice};
use crate::wiring::fixture::{learners, paddle, t, wire};
use sealin_core::plan::{Conductor, Insulation};

fn said(own: Vec<Conductor>) -> Vec<Remark> {
    let (parts, given) = paddle();
    let ids: Vec<String> = given.iter().map(|c| c.id.clone()).collect();
    let all: Vec<Conductor> = given.into_iter().chain(own).collect();
    let locked = |id: &str| ids.iter().any(|given| given == id);
    remarks(
        &parts,
        &all,
        &Circuit::new(&parts, &all),
        Practice::Iec,
        Some((Insulation::DarkBlue, 75)),
        &locked,
    )
}

fn without(id: &str) -> Vec<Conductor> {
    learners().into_iter().filter(|c| c.id != id).collect()
}

fn changed(id: &str, change: impl Fn(&mut Conductor)) -> Vec<Conductor> {
    let mut all = learners();
    all.iter_mut().filter(|c| c.id == id).for_each(change);
    all
}

#[test]
fn nothing_to_say_about_the_given_panel_or_the_finished_one() {
    assert_eq!(said(Vec::new()), []);
    assert_eq!(said(learners()), []);
}

#[test]
fn an_input_common_that_is_not_joined() {
    let open = |elsewhere| Remark::InputCommonOpen {
        common: t("KF1:CI2"),
        channels: ("I4".into(), "I7".into()),
        pole: "0 V",
        elsewhere,
    };
    assert_eq!(said(without("L7")), [open(false)]);
    assert_eq!(said(changed("L7", |c| c.from = t("XD4:8")))[..1], [open(true)], "on 201 instead of 299");
    assert_eq!(said(changed("L7", |c| c.from = t("PF1:X2"))), [], "0 V is 0 V, wherever it is taken");
}

#[test]
fn an_output_common_that_is_not_joined() {
    let open = Remark::OutputCommonOpen { common: t("KF1:CQ2"), channels: ("Q4".into(), "Q7".into()) };
    assert_eq!(said(without("L8")), [open]);
}

#[test]
fn three_conductors_in_a_terminal() {
    let mut own = without("L3");
    own.push(wire("L3", "QA1:13", "FC1:97", "201"));
    let crowded = Remark::Crowded { terminal: t("QA1:13"), conductors: 3, go_on: Some(t("QA2:13")) };
    match &said(own)[..] {
        [Remark::Crowded { terminal, conductors: 3, go_on: Some(go_on) }] => {
            assert_eq!(*terminal, t("QA1:13"));
            assert_eq!(go_on.part, "XD4", "the strip of 201 has room");
        }
        other => panic!("{crowded:?} is expected, found {other:?}"),
    }
}

#[test]
fn wrong_colours() {
    let remark = Remark::WrongColour {
        conductor: "L4".into(),
        is: Insulation::Red,
        wanted: Insulation::DarkBlue,
        class: Class::DcControl,
        practice: Practice::Iec,
    };
    assert_eq!(said(changed("L4", |c| c.colour = Insulation::Red)), [remark]);
    let mut own = learners();
    own.push(Conductor { colour: Insulation::DarkBlue, ..wire("L10", "KF1:Q2", "FC1:95", "102") });
    let remark = Remark::WrongColour {
        conductor: "L10".into(),
        is: Insulation::DarkBlue,
        wanted: Insulation::Red,
        class: Class::AcControl,
        practice: Practice::Iec,
    };
    assert_eq!(said(own), [remark]);
}

/// 213 has no conductor that is given, the given DC control circuits have 0.75 mm² and, in the cable, 1.0 mm²; 201 has both. A
/// reel of 0.75 mm² is at hand for them.
#[test]
fn wrong_sections() {
    let wrong = |conductor: &str, is, wanted| Remark::WrongSection {
        conductor: conductor.into(),
        is,
        wanted,
        class: Class::DcControl,
    };
    let of = |id: &str, section| said(changed(id, |c| c.section_mm2_x100 = section));
    assert_eq!(of("L4", 50), [wrong("L4", 50, (75, 100))]);
    assert_eq!(of("L4", 250), [wrong("L4", 250, (75, 100))]);
    assert_eq!(of("L1", 150), [wrong("L1", 150, (75, 100))]);
    // 202 has 0.75 mm² only.
    assert_eq!(of("L8", 100), [wrong("L8", 100, (75, 75))]);
    assert_eq!(of("L4", 100), []);
    // No circuit of its own kind is given to a free contact, and earthing goes with what it protects.
    let mut own = learners();
    own.push(Conductor {
        section_mm2_x100: 400,
        colour: Insulation::GreenYellow,
        ..wire("L10", "XE1:9", "UC1:door", "PE")
    });
    assert_eq!(said(own), []);
}

#[test]
fn numbers_missing_two_on_one_potential_and_one_on_two() {
    let missing = Remark::NoNumber { conductor: "L4".into(), wanted: None };
    assert_eq!(said(changed("L4", |c| c.number.clear())), [missing]);
    let missing = Remark::NoNumber { conductor: "L1".into(), wanted: Some("201".into()) };
    assert_eq!(said(changed("L1", |c| c.number.clear())), [missing]);
    let two = Remark::TwoNumbers {
        numbers: vec!["201".into(), "230".into()],
        conductor: "L1".into(),
        wanted: Some("201".into()),
    };
    assert_eq!(said(changed("L1", |c| c.number = "230".into())), [two]);
    let twice = Remark::TwoPotentials { number: "213".into(), conductor: "L4".into() };
    assert_eq!(said(changed("L5", |c| c.number = "213".into())), [twice]);
}

#[test]
fn circuits_joined_and_sources_shorted() {
    let mut own = learners();
    own.push(wire("L10", "QA1:14", "XD3:3", "213"));
    assert_eq!(
        said(own)[0],
        Remark::CircuitsJoined { conductor: "L10".into(), one: Class::DcControl, other: Class::AcControl }
    );
    let mut own = learners();
    own.push(wire("L10", "XD4:1", "XD5:5", "200"));
    let short = Remark::ShortCircuit { conductor: "L10".into(), source: "TB1".into() };
    assert_eq!(said(own)[0], short);
    let mut own = learners();
    own.push(wire("L10", "QA1:13", "XD5:7", "201"));
    assert_eq!(said(own)[0], short, "through the fuse FC6");
}

#[test]
fn a_conductor_laid_twice() {
    let mut own = learners();
    own.push(wire("L10", "KF1:I4", "QA1:14", "213"));
    assert_eq!(said(own), [Remark::Doubled { conductor: "L10".into(), beside: "L4".into() }]);
}
