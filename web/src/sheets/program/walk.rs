//! Walking a rung by the arrow keys: which contact lies left, right, above or below the one in hand.

use sealin_ladder::RungLayout;
use sealin_ladder::layout::ItemKind;

/// A way to go on the drawing.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Way {
    /// To the contact at its left.
    Left,
    /// To the contact at its right.
    Right,
    /// To the branch above.
    Up,
    /// To the branch below.
    Down,
}

/// The contact nearest to `from` that way, in the next column or row that has one; none at the edge of the rung.
pub fn next(layout: &RungLayout, from: u32, way: Way) -> Option<u32> {
    let contacts: Vec<(u32, i64, i64)> = layout
        .items
        .iter()
        .filter_map(|item| match item.kind {
            ItemKind::Contact { index, .. } => Some((index, i64::from(item.column), i64::from(item.row))),
            _ => None,
        })
        .collect();
    let &(_, column, row) = contacts.iter().find(|(index, _, _)| *index == from)?;
    contacts
        .iter()
        .filter(|(_, c, r)| match way {
            Way::Left => *c < column,
            Way::Right => *c > column,
            Way::Up => *r < row,
            Way::Down => *r > row,
        })
        // The next column (or row) first, the nearest contact in it.
        .min_by_key(|(_, c, r)| match way {
            Way::Left | Way::Right => ((c - column).abs(), (r - row).abs()),
            Way::Up | Way::Down => ((r - row).abs(), (c - column).abs()),
        })
        .map(|(index, _, _)| *index)
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
    }

    #[test]
    fn no_such_contact_goes_nowhere() {
        assert_eq!(next(&layout(), 9, Way::Right), None);
    }
}
