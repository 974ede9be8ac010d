//! Shapes of what sits at the machine: position switches and brakes.

use super::away::OUTSIDE;
use super::shape::{Anchor, Line, Shape, Size, wrapped};
use super::symbols;
use crate::sheets::wiring::class::Practice;
use sealin_core::part::{Form, Part, PositionSwitch};

/// Height of one contact with its two terminals.
const STEP: f64 = 54.0;

/// Where the contacts stand.
const X: f64 = 86.0;

/// A position switch: its contacts one above the other.
pub fn position_switch(part: &Part, switch: &PositionSwitch, practice: Practice) -> Shape {
    let mut s = Shape::new(OUTSIDE, STEP * switch.contacts.len().max(1) as f64);
    for (n, ((first, second), form)) in switch.contacts().iter().zip(&switch.contacts).enumerate() {
        let (a, b) = (13.0 + STEP * n as f64, 43.0 + STEP * n as f64);
        leads(&mut s, (first, a), (second, b));
        let middle = (a + b) / 2.0;
        s.mark(
            Line::Ink,
            match form {
                Form::Make => symbols::make_contact(practice, X, a, b),
                Form::Break => symbols::break_contact(practice, X, a, b),
            },
        );
        s.mark(Line::Ink, symbols::position(X - 5.0, middle));
        if *form == Form::Break && switch.positive_opening {
            s.mark(Line::Ink, symbols::positive_opening(X - 23.0, middle));
        }
    }
    words(&mut s, part);
    s
}

/// A brake: its coil, and the shoe that it lifts.
pub fn brake(part: &Part, practice: Practice) -> Shape {
    let mut s = Shape::new(OUTSIDE, STEP);
    if let [first, second] = &part.terminals()[..] {
        leads(&mut s, (first, 13.0), (second, 43.0));
    }
    s.mark(Line::Ink, symbols::coil(practice, X, 13.0, 43.0));
    s.mark(Line::Link, format!("M{} 28H{}", X - 8.0, X - 16.0));
    s.mark(Line::Ink, symbols::brake_shoe(X - 16.0, 28.0));
    words(&mut s, part);
    s
}

fn leads(s: &mut Shape, (first, a): (&str, f64), (second, b): (&str, f64)) {
    for (name, y) in [(first, a), (second, b)] {
        s.pin_right(name, y);
        s.mark(Line::Ink, format!("M{X} {y}H{}", OUTSIDE - 4.0));
    }
}

fn words(s: &mut Shape, part: &Part) {
    s.word(6.0, 18.0, &part.tag, Size::Tag, Anchor::Start);
    for (i, line) in wrapped(&part.function, 54.0).iter().take(2).enumerate() {
        s.word(6.0, 40.0 + 9.5 * i as f64, line, Size::Small, Anchor::Start);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use sealin_core::part::{Kind, Place};

    #[test]
    fn every_terminal_has_its_pin_inside() {
        for contacts in 1..=4 {
            let switch = PositionSwitch {
                motor: "MA1".into(),
                from_um: 0,
                to_um: 1,
                contacts: vec![Form::Break; contacts],
                positive_opening: true,
            };
            let part = Part {
                tag: "BG1".into(),
                function: "raised".into(),
                place: Place::Field,
                kind: Kind::PositionSwitch(switch.clone()),
            };
            let shape = position_switch(&part, &switch, Practice::Iec);
            assert_eq!(shape.pins.len(), 2 * contacts);
            let inside = |y: f64| y > 0.0 && y < shape.h;
            assert!(shape.pins.iter().all(|p| p.clamps.iter().all(|c| inside(c.at.y))));
        }
    }
}
