//! The diagram divided into windows of a size at most, for paper: cut where the fewest symbols and words are in the way, and at
//! every cut each line with what it is and where it goes on.

use super::diagram::{Diagram, Line, shown_number};
use super::figure::CELL;
use super::words::Says;
use crate::sheets::wiring::geometry::{Point, Rect};
use sealin_core::plan::Terminal;
use std::ops::Range;

/// A part of the diagram.
#[derive(Clone, Debug, PartialEq)]
pub struct Window {
    /// What of it is shown.
    pub area: Rect,
    /// First and last current path in it; none where it has only the protective conductor.
    pub paths: Option<(usize, usize)>,
    /// Number among the windows one under the other, from 1, and how many there are.
    pub row: (usize, usize),
}

/// A side of a window.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Edge {
    Left,
    Right,
    Top,
    Bottom,
}

/// Where a line leaves a window.
#[derive(Clone, Debug, PartialEq)]
pub struct GoesOn {
    /// On the edge.
    pub at: Point,
    /// Which edge.
    pub edge: Edge,
    /// Its number; empty for a line inside of a device or a lead.
    pub number: String,
    /// The window where it goes on, from 0.
    pub to: usize,
}

/// Windows for sheets of so many units across and down, of which what goes on takes `beside` at a cut: circuits that stand one
/// under the other by themselves, each by columns from the left and in each from above.
pub fn windows(diagram: &Diagram, (across, down): (f64, f64), beside: f64) -> Vec<Window> {
    let mut all = Vec::new();
    for band in bands(diagram) {
        let boxes: Vec<_> =
            boxes(diagram).into_iter().filter(|(b, _)| band.contains(&b.middle().y)).collect();
        let within = |x: &Range<f64>| {
            let here = boxes.iter().filter(|(b, _)| b.x < x.end && b.right() > x.start);
            here.cloned().collect::<Vec<_>>()
        };
        let x = extent(boxes.iter().map(|(b, _)| b.x..b.right()));
        for x in cuts(x, across, beside, boxes.iter().map(|(b, bad)| (b.x..b.right(), *bad))) {
            let here = within(&x);
            let y = extent(here.iter().map(|(b, _)| b.y..b.bottom()));
            let rows = cuts(y, down, beside, here.iter().map(|(b, bad)| (b.y..b.bottom(), *bad)));
            let count = rows.len();
            all.extend(rows.into_iter().enumerate().map(|(n, y)| {
                let area = Rect::new(x.start, y.start, x.end - x.start, y.end - y.start);
                let inside = diagram.symbols.iter().filter(|s| s.area.overlaps(area));
                let paths: Vec<usize> = inside.filter_map(|s| s.path).collect();
                let paths = paths.iter().min().copied().zip(paths.iter().max().copied());
                Window { area, paths, row: (n + 1, count) }
            }));
        }
    }
    all
}

/// The numbers of the current paths that stand above a window and not in it, each with its middle.
pub fn path_heads(diagram: &Diagram, window: &Window) -> Vec<(f64, String)> {
    if window.row.0 == 1 || window.paths.is_none() {
        return Vec::new();
    }
    let numbers = diagram.words.iter().filter(|w| w.says == Says::Path);
    let over = numbers.map(|w| (w.area.middle().x, w.text.clone()));
    over.filter(|(x, _)| (window.area.x..window.area.right()).contains(x)).collect()
}

/// The stretches down the diagram from one line of headings to the next.
fn bands(diagram: &Diagram) -> Vec<Range<f64>> {
    let headings = diagram.words.iter().filter(|w| w.says == Says::Heading);
    let mut tops: Vec<f64> = headings.map(|w| w.area.y).collect();
    tops.sort_by(f64::total_cmp);
    tops.dedup();
    if let Some(first) = tops.first_mut() {
        *first = diagram.area.y;
    }
    let ends: Vec<f64> = tops.iter().skip(1).copied().chain([diagram.area.bottom()]).collect();
    tops.into_iter().zip(ends).map(|(top, end)| top..end).collect()
}

/// All of some stretches, with a cell at either end.
fn extent(all: impl Iterator<Item = Range<f64>>) -> Range<f64> {
    let whole = all.reduce(|a, b| a.start.min(b.start)..a.end.max(b.end)).unwrap_or(0.0..0.0);
    (whole.start / CELL).floor() * CELL - CELL..(whole.end / CELL).ceil() * CELL + CELL
}

/// What is not to be cut, and how bad a cut would be: a strip goes on on the next sheet, a word can be read on neither.
fn boxes(diagram: &Diagram) -> Vec<(Rect, f64)> {
    let labels = diagram.lines.iter().filter_map(|l| Some((l.label?.0, 3.0)));
    let words = diagram.words.iter().map(|w| (w.area, 3.0));
    let symbols =
        diagram.symbols.iter().map(|s| (s.area, if s.element.figure.is_strip() { 1.0 } else { 50.0 }));
    symbols.chain(words).chain(labels).collect()
}

/// A stretch in pieces of at most `most`, as few and as even as what is in the way lets them be, `beside` less at each cut. Cut
/// between two cells, where no line runs, and a cell away from what is in the way, so that its lines are seen to leave.
fn cuts(
    stretch: Range<f64>,
    most: f64,
    beside: f64,
    in_way: impl Iterator<Item = (Range<f64>, f64)>,
) -> Vec<Range<f64>> {
    let in_way: Vec<(Range<f64>, f64)> = in_way.collect();
    // What so many pieces hold that begin at a cut.
    let hold = |pieces: usize| pieces as f64 * (most - 2.0 * beside) + beside;
    let mut all = Vec::new();
    let mut start = stretch.start;
    loop {
        let left = stretch.end - start;
        let first = if all.is_empty() { most } else { most - beside };
        if left <= first {
            break;
        }
        let Some(others) = (1..100).find(|&others| left <= first - beside + hold(others)) else { break };
        let even = left / (others + 1) as f64;
        // What is left must go into as many pieces as it needs now.
        let earliest = (start + even * 0.5).max(stretch.end - hold(others)) / CELL;
        let latest = (start + first - beside) / CELL;
        let cost = |x: f64| {
            let cut = in_way.iter().filter(|(r, _)| r.start - CELL < x && x < r.end + CELL);
            cut.map(|(_, bad)| bad).sum::<f64>() * 1e3 + (x - start - even).abs()
        };
        let places = (earliest.ceil() as i64..=latest.floor() as i64).map(|k| k as f64 * CELL);
        let Some(cut) = places.min_by(|a, b| cost(*a).total_cmp(&cost(*b))) else { break };
        all.push(start..cut);
        start = cut;
    }
    all.push(start..stretch.end);
    all
}

/// The lines that leave a window and go on in another one; of a strip its tag goes with it.
pub fn goes_on(diagram: &Diagram, all: &[Window], window: usize) -> Vec<GoesOn> {
    let number = |l: &Line| l.conductor.as_ref().map(shown_number).unwrap_or_default();
    let lines = diagram.lines.iter().map(|l| (l.points.clone(), number(l)));
    // The lines at a terminal have one number.
    let number_at = |t: &Terminal| {
        let of = |l: &&Line| l.conductor.as_ref().is_some_and(|c| c.from == *t || c.to == *t);
        diagram.lines.iter().find(of).map(number).unwrap_or_default()
    };
    let leads = diagram.leads.iter();
    let leads = leads.map(|l| (vec![l.from, l.to], l.terminal.as_ref().map(number_at).unwrap_or_default()));
    let strips = diagram.symbols.iter().filter(|s| s.element.figure.is_strip());
    let strips = strips.map(|s| {
        let (a, y) = (s.area, s.area.middle().y);
        (vec![Point::new(a.x, y), Point::new(a.right(), y)], s.element.tag.clone())
    });
    let mut out: Vec<GoesOn> = Vec::new();
    for (mut points, number) in lines.chain(leads).chain(strips) {
        for _ in 0..2 {
            let left = leaves(all, window, &points).into_iter();
            out.extend(left.map(|(at, edge, to)| GoesOn { at, edge, number: number.clone(), to }));
            points.reverse();
        }
    }
    // Where lines run on one another, a lead with the lines at it, the one that has a number says it.
    out.sort_by_key(|g| g.number.is_empty());
    let mut seen: Vec<Point> = Vec::new();
    out.retain(|g| {
        let fresh = !seen.contains(&g.at);
        seen.push(g.at);
        fresh
    });
    out
}

/// Where a line, followed from its first point, leaves a window, and the next window that it comes into.
fn leaves(all: &[Window], window: usize, points: &[Point]) -> Vec<(Point, Edge, usize)> {
    let r = all[window].area;
    let mut out = Vec::new();
    for k in 1..points.len() {
        let (a, b) = (points[k - 1], points[k]);
        let (level, upright) = ((r.y..r.bottom()).contains(&a.y), (r.x..r.right()).contains(&a.x));
        let at = if level && a.x > r.x && b.x < r.x {
            (Point::new(r.x, a.y), Edge::Left)
        } else if level && a.x < r.right() && b.x > r.right() {
            (Point::new(r.right(), a.y), Edge::Right)
        } else if upright && a.y > r.y && b.y < r.y {
            (Point::new(a.x, r.y), Edge::Top)
        } else if upright && a.y < r.bottom() && b.y > r.bottom() {
            (Point::new(a.x, r.bottom()), Edge::Bottom)
        } else {
            continue;
        };
        let onward: Vec<Point> = [at.0].into_iter().chain(points[k..].iter().copied()).collect();
        out.extend(comes_into(all, window, &onward).map(|to| (at.0, at.1, to)));
    }
    out
}

/// The first other window that a line comes into.
fn comes_into(all: &[Window], from: usize, line: &[Point]) -> Option<usize> {
    line.windows(2).find_map(|two| {
        let (a, b) = (two[0], two[1]);
        let steps = (a.distance(b) / (CELL / 2.0)).ceil().max(1.0);
        (1..=steps as usize).find_map(|n| {
            let share = n as f64 / steps;
            let p = Point::new(a.x + (b.x - a.x) * share, a.y + (b.y - a.y) * share);
            all.iter().position(|w| w.area.contains(p, -0.01)).filter(|to| *to != from)
        })
    })
}

/// What of a diagram is seen in a window.
pub fn cropped(diagram: &Diagram, area: Rect) -> Diagram {
    let run = |points: &[Point]| {
        points.windows(2).any(|two| {
            let (x, y) = (two[0].x.min(two[1].x), two[0].y.min(two[1].y));
            let size = ((two[0].x - two[1].x).abs(), (two[0].y - two[1].y).abs());
            Rect::new(x - 2.0, y - 2.0, size.0 + 4.0, size.1 + 4.0).overlaps(area)
        })
    };
    Diagram {
        area: diagram.area,
        symbols: diagram.symbols.iter().filter(|s| s.area.overlaps(area)).cloned().collect(),
        leads: diagram.leads.iter().filter(|l| run(&[l.from, l.to])).cloned().collect(),
        lines: diagram.lines.iter().filter(|l| run(&l.points)).cloned().collect(),
        words: diagram.words.iter().filter(|w| w.area.overlaps(area)).cloned().collect(),
        straight: diagram.straight,
    }
}

#[cfg(test)]
mod tests {
    use super::super::tests::reference;
    use super::*;

    /// In cells of 8 units, without room beside: 25 in pieces of 10 are three, 8.33 each when even. With one cell beside a cut,
    /// 18 go into two of at most 9, and 19 into three of at most 8. A box from 7 to 10 and a cell around it leave 6 and 11 free, of which 11
    /// is nearer to the middle of 18.
    #[test]
    fn cuts_are_even_and_keep_clear() {
        let all = |whole: f64, most: f64, beside: f64, in_way: &[Range<f64>]| {
            let in_way = in_way.iter().map(|r| (r.start * CELL..r.end * CELL, 1.0));
            let cuts = cuts(0.0..whole * CELL, most * CELL, beside * CELL, in_way);
            cuts.iter().map(|r| (r.start / CELL, r.end / CELL)).collect::<Vec<_>>()
        };
        assert_eq!(all(10.0, 10.0, 1.0, &[]), [(0.0, 10.0)]);
        assert_eq!(all(25.0, 10.0, 0.0, &[]), [(0.0, 8.0), (8.0, 16.0), (16.0, 25.0)]);
        assert_eq!(all(18.0, 10.0, 1.0, &[]), [(0.0, 9.0), (9.0, 18.0)]);
        assert_eq!(all(19.0, 10.0, 1.0, &[]).len(), 3);
        assert_eq!(all(18.0, 13.0, 1.0, &[7.0..10.0]), [(0.0, 11.0), (11.0, 18.0)]);
    }

    /// Of the exercise that ships, on A4 and A3: everything is on a sheet, no symbol but a strip is cut across, and what leaves
    /// one window for another comes from there too.
    #[test]
    fn everything_is_in_a_window_and_goes_on_in_another() {
        let (drawn, _) = reference();
        let d = &drawn.diagram;
        for sheet in [(761.0, 466.0), (1_119.0, 720.0)] {
            let all = windows(d, sheet, 32.0);
            let mut leaves = 0;
            for (n, w) in all.iter().enumerate() {
                assert!(w.area.w <= sheet.0 && w.area.h <= sheet.1, "{w:?}");
                // The symbols of a path stand under its number, on the first sheet down and on those that follow.
                let heads = path_heads(d, w);
                for s in d.symbols.iter().filter(|s| w.row.0 > 1 && w.area.overlaps(s.area)) {
                    let head = |path: usize| heads.iter().any(|(_, text)| *text == path.to_string());
                    assert!(
                        s.path.is_none_or(head) || s.element.figure.is_strip(),
                        "{}: {heads:?}",
                        s.element.tag
                    );
                }
                for g in goes_on(d, &all, n) {
                    let back = goes_on(d, &all, g.to);
                    let same = |b: &GoesOn| b.number == g.number && b.to == n;
                    assert!(g.to != n && back.iter().any(same), "{n}: {g:?}");
                    leaves += 1;
                }
            }
            assert!(all.len() < 2 || leaves > all.len());
            for s in &d.symbols {
                let on = all.iter().filter(|w| w.area.overlaps(s.area)).count();
                let whole = on == 1 || s.element.figure.is_strip();
                assert!(on > 0 && whole, "{} is on {on} of {}", s.element.tag, all.len());
            }
        }
    }
}
