//! A rung folded to a width: a network with more columns than there is room for goes on in a further line, as on a drawing
//! sheet, with a mark where it leaves and where it is taken up.

use sealin_ladder::layout::{ItemKind, PinKind, Point, Segment, Span, lay_out_to};
use sealin_ladder::{Network, Output, Rung, RungLayout, lay_out};

/// A rung's layout and where each of its parts stands after folding. Units are cells, as in [`sealin_ladder::layout`].
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Folded {
    /// The layout, whose indices all lists here use.
    pub layout: RungLayout,
    /// Left column and row of each item.
    pub items: Vec<(u32, u32)>,
    /// Stretches of line: the index of the wire in the layout, and the stretch.
    pub wires: Vec<(usize, Segment)>,
    /// Leads to the output over a stretch of empty cells that folding has put in: the point, and the stretch.
    pub stretched: Vec<(u32, Segment)>,
    /// First row of each line, top to bottom, and its height in rows.
    pub lines: Vec<(u32, u32)>,
    /// Where lines are broken off.
    pub breaks: Vec<Break>,
    /// Rows over which the left rail runs: the first, and the one after the last.
    pub rails: Vec<(u32, u32)>,
    /// Width in cells.
    pub columns: u32,
    /// Height in cells.
    pub rows: u32,
}

/// A line broken off at the right of `column` cells in `row`, and taken up again at the left of `next_row`.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Break {
    /// Column edge.
    pub column: u32,
    /// Row that is left.
    pub row: u32,
    /// Row in which it goes on.
    pub next_row: u32,
}

/// Lays a rung out in lines of at most `columns` cells. A group of branches is never torn; a wider one makes the drawing
/// wider.
pub fn fold(rung: &Rung, columns: u32) -> Folded {
    let narrow = lay_out_to(rung, 0);
    if narrow.columns <= columns {
        return whole(lay_out_to(rung, columns));
    }
    let output = narrow.items.last().map_or(1, |item| item.width);
    let cuts: Vec<Cut> = rung
        .networks()
        .zip(&narrow.networks)
        .map(|(network, span)| Cut::of(network, *span, output, columns))
        .collect();
    Sheet::new(narrow, cuts, output, columns).folded()
}

fn whole(layout: RungLayout) -> Folded {
    let wires = layout.wires.iter().enumerate();
    Folded {
        items: layout.items.iter().map(|item| (item.column, item.row)).collect(),
        wires: wires.flat_map(|(n, wire)| wire.segments.iter().map(move |s| (n, *s))).collect(),
        stretched: Vec::new(),
        lines: vec![(0, layout.rows)],
        breaks: Vec::new(),
        rails: vec![(0, layout.rows)],
        columns: layout.columns,
        rows: layout.rows,
        layout,
    }
}

/// A network and the columns at which its lines begin; the last one ends at the output.
struct Cut {
    span: Span,
    starts: Vec<u32>,
}

impl Cut {
    fn of(network: &Network, span: Span, output: u32, columns: u32) -> Cut {
        Cut { span, starts: line_starts(&joints(network), span.columns + output, columns) }
    }

    fn last(&self) -> usize {
        self.starts.len() - 1
    }

    fn end(&self, line: usize) -> u32 {
        self.starts.get(line + 1).copied().unwrap_or(self.span.columns)
    }

    fn line_of(&self, column: u32) -> usize {
        self.starts.iter().rposition(|start| *start <= column).unwrap_or(0)
    }
}

/// Columns at which a network may be broken: between the members of its outermost series, and at its end.
fn joints(network: &Network) -> Vec<u32> {
    let alone = |logic: &Network| {
        let output = Output::Coil { var: String::new() };
        lay_out(&Rung { comment: String::new(), logic: logic.clone(), output }).columns - 1
    };
    let members = match network {
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

/// A folded rung in the making: the lines of each network but its last, one under the other, then one that holds the last
/// ones of all with the output.
struct Sheet {
    layout: RungLayout,
    cuts: Vec<Cut>,
    /// Top row of each line of each network; the last is that of its last line.
    tops: Vec<Vec<u32>>,
    lines: Vec<(u32, u32)>,
    width: u32,
    /// Left column of the output.
    output: u32,
}

impl Sheet {
    fn new(layout: RungLayout, cuts: Vec<Cut>, output: u32, columns: u32) -> Sheet {
        let mut sheet =
            Sheet { layout, cuts, tops: Vec::new(), lines: Vec::new(), width: columns, output: 0 };
        let mut row = 0;
        let mut last_height = 1;
        for (k, cut) in sheet.cuts.iter().enumerate() {
            let mut tops = Vec::new();
            for line in 0..=cut.last() {
                let is_last = line == cut.last();
                let width = cut.end(line) - cut.starts[line] + if is_last { output } else { 0 };
                sheet.width = sheet.width.max(width);
                let height = sheet.rows_of(k, line);
                if is_last {
                    last_height = last_height.max(cut.span.row + height);
                } else {
                    tops.push(row);
                    sheet.lines.push((row, height));
                    row += height;
                }
            }
            sheet.tops.push(tops);
        }
        for (cut, tops) in sheet.cuts.iter().zip(&mut sheet.tops) {
            tops.push(row + cut.span.row);
        }
        let driven = sheet.layout.items.last().map_or(1, |item| item.height);
        sheet.lines.push((row, last_height.max(driven)));
        sheet.output = sheet.width - output;
        sheet
    }

    /// Height of a line of network `k`, in rows.
    fn rows_of(&self, k: usize, line: usize) -> u32 {
        let cut = &self.cuts[k];
        let here = self.layout.items.iter().filter(|item| {
            !item.kind.is_output() && self.network_at(item.row) == k && cut.line_of(item.column) == line
        });
        here.map(|item| item.row + 1 - cut.span.row).max().unwrap_or(1)
    }

    /// The network that has this row of the layout.
    fn network_at(&self, row: u32) -> usize {
        self.layout.networks.iter().rposition(|span| span.row <= row).unwrap_or(0)
    }

    fn folded(self) -> Folded {
        let mut breaks = Vec::new();
        let mut rails = Vec::new();
        for (k, (cut, tops)) in self.cuts.iter().zip(&self.tops).enumerate() {
            rails.push((tops[0], tops[0] + self.rows_of(k, 0)));
            breaks.extend((0..cut.last()).map(|line| Break {
                column: cut.end(line) - cut.starts[line],
                row: tops[line],
                next_row: tops[line + 1],
            }));
        }
        let last = self.lines[self.lines.len() - 1];
        Folded {
            items: self.items(last.0),
            wires: self.wires(),
            stretched: self.stretched(),
            breaks,
            rails,
            columns: self.width,
            rows: last.0 + last.1,
            lines: self.lines,
            layout: self.layout,
        }
    }

    fn items(&self, last_row: u32) -> Vec<(u32, u32)> {
        let place = |item: &sealin_ladder::layout::Item| {
            if item.kind.is_output() {
                return (self.output, last_row);
            }
            let k = self.network_at(item.row);
            let cut = &self.cuts[k];
            let line = cut.line_of(item.column);
            (item.column - cut.starts[line], self.tops[k][line] + item.row - cut.span.row)
        };
        self.layout.items.iter().map(place).collect()
    }

    /// From the end of each network to the output, which stands at the right rail.
    fn stretched(&self) -> Vec<(u32, Segment)> {
        let output = self.layout.items.last();
        let ends: Vec<u32> = match output.map(|item| &item.kind) {
            Some(ItemKind::Block { pins, .. }) => {
                let fed = |kind| if let PinKind::Input(point) = kind { point } else { None };
                pins.iter().filter_map(|pin| fed(pin.kind)).collect()
            }
            _ => output.map(|item| item.from).into_iter().collect(),
        };
        let leads = self.cuts.iter().zip(&self.tops).zip(ends).map(|((cut, tops), point)| {
            let x1 = cut.span.columns - cut.starts[cut.last()];
            let row = tops[cut.last()];
            (point, Segment { x1, y1: row, x2: self.output, y2: row })
        });
        leads.filter(|(_, segment)| segment.x1 < segment.x2).collect()
    }

    /// The lines of the layout cut at the ends of the lines. A vertical link on an edge belongs to the group that it
    /// closes, the first of its point, or to the one that it opens.
    fn wires(&self) -> Vec<(usize, Segment)> {
        let mut cut_up = Vec::new();
        for (number, wire) in self.layout.wires.iter().enumerate() {
            let joins = matches!(self.layout.points.get(wire.point as usize), Some(Point::Join(_)));
            let mut closed = !joins;
            for segment in &wire.segments {
                let is_vertical = segment.x1 == segment.x2;
                let closes = is_vertical && !closed;
                closed |= is_vertical;
                let k = self.network_at(segment.y1);
                let (cut, tops) = (&self.cuts[k], &self.tops[k]);
                for (line, (start, top)) in cut.starts.iter().zip(tops).enumerate() {
                    let end = cut.end(line);
                    let here = match (is_vertical, closes) {
                        (true, true) => *start < segment.x1 && segment.x1 <= end,
                        (true, false) => *start <= segment.x1 && segment.x1 < end,
                        (false, _) => segment.x1 < end && *start < segment.x2,
                    };
                    if here {
                        let x = |x: u32| x.clamp(*start, end) - start;
                        let y = |y: u32| top + y - cut.span.row;
                        let (x1, x2) = (x(segment.x1), x(segment.x2));
                        cut_up.push((number, Segment { x1, y1: y(segment.y1), x2, y2: y(segment.y2) }));
                    }
                }
            }
        }
        cut_up
    }
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
        assert_eq!((folded.columns, folded.rows), (4, 3));
        assert_eq!(folded.breaks, [Break { column: 4, row: 0, next_row: 2 }]);
        assert_eq!(folded.rails, [(0, 2)]);
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
        assert_eq!(folded.breaks, [Break { column: 3, row: 0, next_row: 3 }]);
    }

    #[test]
    fn a_group_wider_than_the_room_stays_whole() {
        let folded = fold(&rung("(a AND b AND c OR d AND e AND a) AND b"), 2);
        assert_eq!(folded.columns, 3);
        assert_eq!(folded.lines.len(), 2);
    }

    #[test]
    fn the_inputs_of_a_block_meet_in_the_last_line() {
        // CU: a b c fill a line of four with no room for the block, which stands in the next. R: d beside the block.
        let call = sealin_ladder::Call {
            instance: "n".into(),
            block: sealin_ladder::Block::Ctu,
            further: vec![Some(Network::open("d"))],
            preset: None,
        };
        let rung = Rung { output: Output::Block(call), ..rung("a AND b AND c") };
        let folded = fold(&rung, 4);
        assert_eq!(folded.lines, [(0, 1), (1, 2)]);
        assert_eq!(folded.items, [(0, 0), (1, 0), (2, 0), (0, 2), (2, 1)]);
        assert_eq!(folded.breaks, [Break { column: 3, row: 0, next_row: 1 }]);
        assert_eq!(folded.rails, [(0, 1), (2, 3)]);
        let leads: Vec<Segment> = folded.stretched.iter().map(|lead| lead.1).collect();
        let lead = |x1, row| Segment { x1, y1: row, x2: 2, y2: row };
        assert_eq!(leads, [lead(0, 1), lead(1, 2)]);
    }
}
