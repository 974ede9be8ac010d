//! A rung folded to a width: a rung with more columns than there is room for goes on in a further line, as on a drawing
//! sheet, with a mark where it leaves and where it is taken up.

use sealin_ladder::layout::lay_out_to;
use sealin_ladder::layout::{ItemKind, Segment};
use sealin_ladder::{Network, Output, Rung, RungLayout, lay_out};

/// A rung's layout and where each of its parts stands after folding. Units are cells, as in [`sealin_ladder::layout`].
#[derive(Clone, PartialEq, Debug)]
pub struct Folded {
    /// The layout, whose indices all lists here use.
    pub layout: RungLayout,
    /// Left column and row of each item.
    pub items: Vec<(u32, u32)>,
    /// Stretches of line: the index of the wire in the layout, and the stretch.
    pub wires: Vec<(usize, Segment)>,
    /// Leads of items over a stretch of empty cells that folding has put in: the point, and the stretch.
    pub stretched: Vec<(u32, Segment)>,
    /// First row of each line, top to bottom, and its height in rows.
    pub lines: Vec<(u32, u32)>,
    /// Column at which each line but the last is broken off.
    pub breaks: Vec<u32>,
    /// Width in cells.
    pub columns: u32,
    /// Height in cells.
    pub rows: u32,
}

/// Lays a rung out in lines of at most `columns` cells. A group of branches is never torn; a wider one makes the drawing
/// wider.
pub fn fold(rung: &Rung, columns: u32) -> Folded {
    let narrow = lay_out_to(rung, 0);
    if narrow.columns <= columns {
        return whole(lay_out_to(rung, columns));
    }
    let starts = line_starts(&joints(rung), narrow.columns, columns);
    let ends: Vec<u32> = starts.iter().skip(1).copied().chain([narrow.columns]).collect();
    let width = starts.iter().zip(&ends).map(|(a, b)| b - a).max().unwrap_or(narrow.columns).max(columns);
    place(narrow, &starts, &ends, width)
}

fn whole(layout: RungLayout) -> Folded {
    let wires = layout.wires.iter().enumerate();
    Folded {
        items: layout.items.iter().map(|item| (item.column, item.row)).collect(),
        wires: wires.flat_map(|(n, wire)| wire.segments.iter().map(move |s| (n, *s))).collect(),
        stretched: Vec::new(),
        lines: vec![(0, layout.rows)],
        breaks: Vec::new(),
        columns: layout.columns,
        rows: layout.rows,
        layout,
    }
}

/// Columns at which the rung may be broken: between the members of its outermost series, and before the output.
fn joints(rung: &Rung) -> Vec<u32> {
    let alone = |logic: &Network| {
        let output = Output::Coil { var: String::new() };
        lay_out(&Rung { comment: String::new(), logic: logic.clone(), output }).columns - 1
    };
    let members = match &rung.logic {
        Network::Series(parts) => parts.as_slice(),
        other => std::slice::from_ref(other),
    };
    let widths = members.iter().map(alone);
    widths
        .scan(0, |edge, width| {
            Some({
                *edge += width;
                *edge
            })
        })
        .collect()
}

fn line_starts(joints: &[u32], all: u32, columns: u32) -> Vec<u32> {
    let mut starts = vec![0];
    let mut good = None;
    for edge in joints.iter().copied().chain([all]) {
        let start = starts[starts.len() - 1];
        if edge - start > columns
            && let Some(cut) = good.filter(|cut| *cut > start)
        {
            starts.push(cut);
        }
        good = Some(edge);
    }
    starts
}

fn place(layout: RungLayout, starts: &[u32], ends: &[u32], width: u32) -> Folded {
    let line_of = |column: u32| starts.iter().rposition(|start| *start <= column).unwrap_or(0);
    let mut heights = vec![1; starts.len()];
    for item in &layout.items {
        let line = line_of(item.column);
        heights[line] = heights[line].max(item.row + item.height);
    }
    let mut tops = Vec::with_capacity(heights.len());
    let mut rows = 0;
    for height in &heights {
        tops.push((rows, *height));
        rows += height;
    }
    let last = starts.len() - 1;
    // The output stands at the right rail.
    let output_shift = width - (ends[last] - starts[last]);
    let mut stretched = Vec::new();
    let items = layout
        .items
        .iter()
        .map(|item| {
            let line = line_of(item.column);
            let output = matches!(item.kind, ItemKind::Coil(_) | ItemKind::Block(_));
            let column = item.column - starts[line] + if output { output_shift } else { 0 };
            let row = tops[line].0 + item.row;
            if output && output_shift > 0 {
                let from = column - output_shift;
                stretched.push((item.from, Segment { x1: from, y1: row, x2: column, y2: row }));
            }
            (column, row)
        })
        .collect();
    let wires = wires(&layout, starts, ends, &tops);
    let breaks = (0..last).map(|line| ends[line] - starts[line]).collect();
    Folded { layout, items, wires, stretched, lines: tops, breaks, columns: width, rows }
}

/// The lines of the layout cut at the ends of the lines. A vertical link on an edge belongs to the group that it closes,
/// the first of its point, or to the one that it opens.
fn wires(layout: &RungLayout, starts: &[u32], ends: &[u32], tops: &[(u32, u32)]) -> Vec<(usize, Segment)> {
    let mut cut = Vec::new();
    for (number, wire) in layout.wires.iter().enumerate() {
        let joins =
            matches!(layout.points.get(wire.point as usize), Some(sealin_ladder::layout::Point::Join(_)));
        let mut closed = !joins;
        for segment in &wire.segments {
            let is_vertical = segment.x1 == segment.x2;
            let closes = is_vertical && !closed;
            closed |= is_vertical;
            for (line, (start, end)) in starts.iter().zip(ends).enumerate() {
                let here = if is_vertical {
                    if closes {
                        *start < segment.x1 && segment.x1 <= *end
                    } else {
                        *start <= segment.x1 && segment.x1 < *end
                    }
                } else {
                    segment.x1 < *end && *start < segment.x2
                };
                if here {
                    let (x1, x2) = (segment.x1.max(*start) - start, segment.x2.min(*end) - start);
                    let top = tops[line].0;
                    cut.push((number, Segment { x1, y1: segment.y1 + top, x2, y2: segment.y2 + top }));
                }
            }
        }
    }
    cut
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rung(text: &str) -> Rung {
        let source = format!(
            "PROGRAM p VAR a:BOOL; b:BOOL; c:BOOL; d:BOOL; e:BOOL; q:BOOL; END_VAR q := {text}; END_PROGRAM"
        );
        sealin_ladder::parse(&source).unwrap().rungs[0].clone()
    }

    #[test]
    fn a_rung_that_fits_is_one_line_with_its_coil_at_the_right() {
        let folded = fold(&rung("a AND b"), 6);
        assert_eq!((folded.columns, folded.rows, folded.lines.len()), (6, 1, 1));
        assert_eq!(folded.items.last(), Some(&(5, 0)));
    }

    #[test]
    fn a_longer_one_goes_on_below_without_tearing_a_group() {
        // Columns: a b side by side with c (2), d, e, a, coil: 6 in all.
        let folded = fold(&rung("(a AND b OR c) AND d AND e AND a"), 4);
        assert_eq!(folded.lines, [(0, 2), (2, 1)]);
        assert_eq!(folded.items, [(0, 0), (1, 0), (0, 1), (2, 0), (3, 0), (0, 2), (3, 2)]);
        assert_eq!((folded.columns, folded.rows, folded.breaks.clone()), (4, 3, vec![4]));
        // From the last contact, whose cell ends at 1, the line goes on to the coil at 3.
        assert_eq!(folded.stretched.len(), 1);
        assert_eq!(folded.stretched[0].1, Segment { x1: 1, y1: 2, x2: 3, y2: 2 });
    }

    #[test]
    fn two_groups_meet_at_a_break_and_each_keeps_its_link() {
        // (a b) is 1 column, (c d) is 1, each with two branches; coil 1: broken after each column.
        let folded = fold(&rung("(a OR b) AND (c OR d)"), 1);
        assert_eq!(folded.lines, [(0, 2), (2, 2), (4, 1)]);
        let vertical: Vec<Segment> = folded.wires.iter().map(|w| w.1).filter(|s| s.x1 == s.x2).collect();
        let at = |x, y1, y2| Segment { x1: x, y1, x2: x, y2 };
        for wanted in [at(0, 0, 1), at(1, 0, 1), at(0, 2, 3), at(1, 2, 3)] {
            assert!(vertical.contains(&wanted), "{wanted:?} in {vertical:?}");
        }
        assert_eq!(vertical.len(), 4);
    }

    #[test]
    fn a_branch_that_holds_a_group_is_not_torn_either() {
        // Lower branch: a group of one column, then d: the outer group is 2 columns wide, then e and the coil.
        let folded = fold(&rung("(a OR (b OR c) AND d) AND e"), 3);
        assert_eq!(folded.breaks, [3]);
    }

    #[test]
    fn a_group_wider_than_the_room_stays_whole() {
        let folded = fold(&rung("(a AND b AND c OR d AND e AND a) AND b"), 2);
        assert_eq!(folded.columns, 3);
        assert_eq!(folded.lines.len(), 2);
    }
}
