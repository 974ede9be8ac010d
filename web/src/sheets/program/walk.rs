//! Walking the drawing by the arrow keys: from the number of a rung over its contacts to what it drives, and into the rung
//! above or below.

use super::deed::Way;
use super::sketch::{Hand, Part};
use sealin_ladder::layout::ItemKind;
use sealin_ladder::{Contact, Output, Program, Rung, RungLayout, lay_out};

/// What lies that way from what is in hand; none at the edge of the drawing. `layout` is that of the rung in hand.
pub fn step(program: &Program, layout: &RungLayout, from: Hand, way: Way) -> Option<Hand> {
    let rung = program.rungs.get(from.rung)?;
    if let Some(part) = within(rung, layout, from.part, way) {
        return Some(Hand::at(from.rung, part));
    }
    let to = match way {
        Way::Up => from.rung.checked_sub(1)?,
        Way::Down => from.rung + 1,
        Way::Left | Way::Right => return None,
    };
    let next = program.rungs.get(to)?;
    let part = match from.part {
        Part::Rung => Part::Rung,
        Part::Contact(_) => first(next),
        Part::Output | Part::Pin(_) | Part::Preset => Part::Output,
    };
    Some(Hand::at(to, part))
}

/// The first contact of a rung, or what it drives if it has none.
pub fn first(rung: &Rung) -> Part {
    if rung.contacts() > 0 { Part::Contact(0) } else { Part::Output }
}

fn within(rung: &Rung, layout: &RungLayout, from: Part, way: Way) -> Option<Part> {
    let below = below(rung);
    match (from, way) {
        (Part::Rung, Way::Right) => Some(first(rung)),
        (Part::Rung, _) => None,
        (Part::Contact(contact), _) => match (next(layout, contact, way), way) {
            (Some(next), _) => Some(Part::Contact(next)),
            (None, Way::Left) => Some(Part::Rung),
            (None, Way::Right) => Some(end(rung, contact)),
            (None, _) => None,
        },
        (Part::Output, Way::Left) => Some(last_of(rung, layout, None)),
        (Part::Output, Way::Down) => below.first().copied(),
        (Part::Output, _) => None,
        (Part::Pin(_) | Part::Preset, Way::Up | Way::Down) => {
            let at = below.iter().position(|part| *part == from)?;
            match way {
                Way::Up => Some(at.checked_sub(1).map_or(Part::Output, |at| below[at])),
                _ => below.get(at + 1).copied(),
            }
        }
        (Part::Pin(pin), Way::Left) => Some(last_of(rung, layout, Some(pin))),
        (Part::Preset, Way::Left) => Some(Part::Rung),
        (Part::Pin(_) | Part::Preset, Way::Right) => Some(Part::Output),
    }
}

/// The parts of a block below its first input, top to bottom.
fn below(rung: &Rung) -> Vec<Part> {
    let Output::Block(call) = &rung.output else { return Vec::new() };
    let pins = (0..call.further.len()).map(Part::Pin);
    pins.chain(call.preset.map(|_| Part::Preset)).collect()
}

/// What the network of a contact leads to: the output, or a further input of a block.
fn end(rung: &Rung, contact: u32) -> Part {
    let Output::Block(call) = &rung.output else { return Part::Output };
    let mut before = rung.logic.contacts();
    for (pin, input) in call.further.iter().enumerate() {
        let count = input.as_ref().map_or(0, sealin_ladder::Network::contacts);
        if before <= contact && contact < before + count {
            return Part::Pin(pin);
        }
        before += count;
    }
    Part::Output
}

/// The rightmost contact of a network in its first row; the rung if it has none.
fn last_of(rung: &Rung, layout: &RungLayout, pin: Option<usize>) -> Part {
    let leads_there = |contact: &u32| end(rung, *contact) == pin.map_or(Part::Output, Part::Pin);
    let contacts = layout.items.iter().filter_map(|item| Some((item.kind.contact()?, item.row, item.column)));
    let of_network = contacts.filter(|(contact, ..)| leads_there(contact));
    let last = of_network.min_by_key(|(_, row, column)| (*row, u32::MAX - column));
    last.map_or(Part::Rung, |(contact, ..)| Part::Contact(contact))
}

/// The contact nearest to `from` that way, in the next column or row that has one; to the left and right only in its own
/// network. None at the edge.
pub fn next(layout: &RungLayout, from: u32, way: Way) -> Option<u32> {
    let network = |row: u32| layout.networks.iter().rposition(|span| span.row <= row);
    let contacts: Vec<(u32, i64, i64, Option<usize>)> = layout
        .items
        .iter()
        .filter_map(|item| match item.kind {
            ItemKind::Contact { index, .. } => {
                Some((index, i64::from(item.column), i64::from(item.row), network(item.row)))
            }
            _ => None,
        })
        .collect();
    let &(_, column, row, home) = contacts.iter().find(|(index, ..)| *index == from)?;
    contacts
        .iter()
        .filter(|(_, c, r, network)| match way {
            Way::Left => *c < column && *network == home,
            Way::Right => *c > column && *network == home,
            Way::Up => *r < row,
            Way::Down => *r > row,
        })
        // The next column (or row) first, the nearest contact in it.
        .min_by_key(|(_, c, r, _)| match way {
            Way::Left | Way::Right => ((c - column).abs(), (r - row).abs()),
            Way::Up | Way::Down => ((r - row).abs(), (c - column).abs()),
        })
        .map(|(index, ..)| *index)
}

/// The first contact of a rung that reads a bit, as the drawing counts them.
pub fn contact_of(rung: &Rung, bit: &str) -> Option<u32> {
    lay_out(rung).items.iter().find_map(|item| match &item.kind {
        ItemKind::Contact { contact: Contact::Bit { var, .. }, index } if var == bit => Some(*index),
        _ => None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// a b / c d side by side, then e: contacts 0 1, 2 3, 4.
    fn layout() -> RungLayout {
        let source = "PROGRAM p VAR a:BOOL; b:BOOL; c:BOOL; d:BOOL; e:BOOL; q:BOOL; END_VAR
            q := (a AND b OR c AND d) AND e; END_PROGRAM";
        sealin_ladder::lay_out(&sealin_ladder::parse(source).unwrap().rungs[0])
    }

    #[test]
    fn goes_by_columns_and_rows() {
        let layout = layout();
        let go = |from, way| next(&layout, from, way);
        assert_eq!([go(0, Way::Right), go(1, Way::Right), go(4, Way::Right)], [Some(1), Some(4), None]);
        assert_eq!([go(4, Way::Left), go(3, Way::Left), go(2, Way::Left)], [Some(1), Some(2), None]);
        assert_eq!([go(0, Way::Down), go(1, Way::Down), go(4, Way::Down)], [Some(2), Some(3), Some(3)]);
        assert_eq!([go(2, Way::Up), go(3, Way::Up), go(0, Way::Up)], [Some(0), Some(1), None]);
        assert_eq!(go(3, Way::Right), Some(4));
        assert_eq!(go(9, Way::Right), None, "no such contact");
    }

    #[test]
    fn from_the_number_over_contacts_to_what_is_driven_and_on() {
        let source = "PROGRAM p VAR a:BOOL; b:BOOL; n:CTUD; END_VAR
            n(CU := a, R := b AND NOT a, PV := 3); b := a; END_PROGRAM";
        let program = sealin_ladder::parse(source).unwrap();
        let go = |rung, from, way| {
            let layout = sealin_ladder::lay_out(&program.rungs[rung]);
            step(&program, &layout, Hand::at(rung, from), way).map(|hand| (hand.rung, hand.part))
        };
        use Part::{Contact, Output, Pin, Preset};
        let cases = [
            (0, Part::Rung, Way::Right, Some((0, Contact(0)))),
            (0, Contact(0), Way::Left, Some((0, Part::Rung))),
            (0, Contact(0), Way::Right, Some((0, Output))),
            (0, Contact(0), Way::Down, Some((0, Contact(1)))),
            (0, Output, Way::Left, Some((0, Contact(0)))),
            (0, Output, Way::Down, Some((0, Pin(0)))),
            (0, Pin(0), Way::Left, Some((0, Part::Rung))),
            (0, Pin(1), Way::Left, Some((0, Contact(2)))),
            (0, Contact(2), Way::Right, Some((0, Pin(1)))),
            (0, Pin(2), Way::Down, Some((0, Preset))),
            (0, Pin(0), Way::Up, Some((0, Output))),
            (0, Preset, Way::Down, Some((1, Output))),
            (1, Contact(0), Way::Up, Some((0, Contact(0)))),
            (1, Part::Rung, Way::Up, Some((0, Part::Rung))),
            (1, Output, Way::Right, None),
            (1, Output, Way::Down, None),
        ];
        for (rung, from, way, expected) in cases {
            assert_eq!(go(rung, from, way), expected, "{rung} {from:?} {way:?}");
        }
    }
}
