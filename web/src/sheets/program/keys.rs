//! What a key means on the drawing. The keys are the words of the text: A and, Shift with A or, N not, Enter the coil.

use super::deed::{Deed, Way};
use super::desk::Act;
use super::sketch::{Hand, Part, Sketch};
use super::typed::Ask;
use super::walk;
use sealin_ladder::RungLayout;

/// A key as it is pressed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Pressed {
    /// Its name, such as `a`, `A` or `ArrowLeft`.
    pub key: String,
    /// Shift is held.
    pub shift: bool,
    /// Control, or the command key, is held.
    pub control: bool,
    /// Alt is held.
    pub alt: bool,
}

/// What it does; none if it is not ours. `layout` gives that of a rung as it is drawn.
pub fn meaning(
    sketch: &Sketch,
    hand: Option<Hand>,
    layout: &dyn Fn(usize) -> Option<RungLayout>,
    pressed: &Pressed,
) -> Option<Act> {
    let key = pressed.key.as_str();
    if pressed.control {
        return match (key, pressed.shift) {
            ("z", false) => Some(Act::Undo),
            ("z" | "Z", true) | ("y", _) => Some(Act::Redo),
            _ => None,
        };
    }
    if key == "+" || key == "Insert" {
        return Some(Act::Ask(Ask::Rung));
    }
    let at = match hand {
        Some(hand) => hand,
        None => Hand::at(0, walk::first(sketch.program().rungs.first()?)),
    };
    if let Some(way) = arrow(key) {
        return arrowed(sketch, at, layout, way, pressed);
    }
    if pressed.alt {
        return None;
    }
    match (key, at.part) {
        ("Escape", _) => Some(Act::Hand(None)),
        ("Home", _) => Some(Act::Hand(Some(Hand::at(at.rung, Part::Rung)))),
        ("End", _) => Some(Act::Hand(Some(Hand::at(at.rung, Part::Output)))),
        ("Enter" | " ", _) if hand.is_none() => Some(Act::Hand(Some(at))),
        ("Enter", Part::Contact(_)) => Some(Act::Hand(Some(Hand::at(at.rung, Part::Output)))),
        ("Enter", Part::Output) => Some(Act::Ask(Ask::Name)),
        ("Enter", Part::Pin(_)) => Some(Act::Ask(Ask::After)),
        ("Enter", Part::Preset) => Some(Act::Ask(Ask::Preset)),
        ("Enter", Part::Rung) => Some(Act::Ask(Ask::Comment)),
        ("a", _) => Some(Act::Ask(Ask::After)),
        ("A", Part::Contact(_)) => Some(Act::Ask(Ask::Beside)),
        ("b" | "B", Part::Contact(_)) => Some(Act::Ask(Ask::Before)),
        ("n" | "N", Part::Contact(_)) => Some(Act::Do(Deed::Negate)),
        ("r" | "R", Part::Contact(_)) => Some(Act::Ask(Ask::Read)),
        ("r" | "R", Part::Output) => Some(Act::Ask(Ask::Name)),
        ("k" | "K", Part::Contact(_) | Part::Output) => Some(Act::Kinds),
        ("i" | "I", Part::Contact(_) | Part::Output) => Some(Act::Circuit),
        ("p" | "P", Part::Output) => Some(Act::Ask(Ask::Preset)),
        ("c" | "C", _) => Some(Act::Ask(Ask::Comment)),
        ("d" | "D", _) => Some(Act::Do(Deed::Duplicate)),
        ("Delete" | "Backspace", Part::Contact(_) | Part::Pin(_) | Part::Rung) => Some(Act::Do(Deed::Delete)),
        _ => None,
    }
}

fn arrow(key: &str) -> Option<Way> {
    match key {
        "ArrowLeft" => Some(Way::Left),
        "ArrowRight" => Some(Way::Right),
        "ArrowUp" => Some(Way::Up),
        "ArrowDown" => Some(Way::Down),
        _ => None,
    }
}

/// An arrow walks; with Shift it stretches what is in hand, with Alt it moves it.
fn arrowed(
    sketch: &Sketch,
    at: Hand,
    layout: &dyn Fn(usize) -> Option<RungLayout>,
    way: Way,
    pressed: &Pressed,
) -> Option<Act> {
    if pressed.alt {
        return Some(Act::Do(Deed::Shift(way)));
    }
    let layout = layout(at.rung)?;
    match (pressed.shift, at.contact()) {
        (true, Some(from)) => {
            let to = walk::next(&layout, at.to.unwrap_or(from), way)?;
            Some(Act::Hand(Some(Hand { to: Some(to), ..at })))
        }
        (true, None) => None,
        // From the far end of a stretch.
        (false, _) => {
            let from = Hand { part: at.to.map_or(at.part, Part::Contact), to: None, ..at };
            walk::step(sketch.program(), &layout, from, way).map(|hand| Act::Hand(Some(hand)))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pressed(key: &str) -> Pressed {
        Pressed { key: key.into(), shift: false, control: false, alt: false }
    }

    fn press(hand: Option<Hand>, pressed: Pressed) -> Option<Act> {
        let source = "PROGRAM p VAR a:BOOL; b:BOOL; c:BOOL; END_VAR b := a AND NOT c; c := a; END_PROGRAM";
        let (sketch, good) = Sketch::read(source);
        assert!(good);
        let layout = |rung: usize| sketch.program().rungs.get(rung).map(sealin_ladder::lay_out);
        meaning(&sketch, hand, &layout, &pressed)
    }

    #[test]
    fn the_words_of_the_text() {
        let contact = Some(Hand::at(0, Part::Contact(0)));
        let cases = [
            ("a", Some(Act::Ask(Ask::After))),
            ("A", Some(Act::Ask(Ask::Beside))),
            ("n", Some(Act::Do(Deed::Negate))),
            ("Enter", Some(Act::Hand(Some(Hand::at(0, Part::Output))))),
            ("F5", None),
            ("x", None),
        ];
        for (key, expected) in cases {
            assert_eq!(press(contact, pressed(key)), expected, "{key}");
        }
        assert_eq!(press(None, pressed("+")), Some(Act::Ask(Ask::Rung)));
    }

    #[test]
    fn shift_stretches_alt_moves_control_takes_back() {
        let contact = Hand::at(0, Part::Contact(0));
        let stretched = Hand { to: Some(1), ..contact };
        let with = |shift, alt, control, key: &str| Pressed { key: key.into(), shift, control, alt };
        let right = "ArrowRight";
        assert_eq!(press(Some(contact), with(true, false, false, right)), Some(Act::Hand(Some(stretched))));
        assert_eq!(press(Some(stretched), pressed(right)), Some(Act::Hand(Some(Hand::at(0, Part::Output)))));
        assert_eq!(
            press(Some(contact), with(false, true, false, right)),
            Some(Act::Do(Deed::Shift(Way::Right)))
        );
        assert_eq!(press(None, with(false, false, true, "z")), Some(Act::Undo));
        assert_eq!(press(None, with(true, false, true, "Z")), Some(Act::Redo));
        assert_eq!(press(None, with(false, false, true, "c")), None, "the browser's own copying");
    }
}
