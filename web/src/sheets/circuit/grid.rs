//! Routing on a grid of cells: lines go level and upright, cross at right angles, never lie on each other, bend where
//! no other line is, and pass through no symbol. Cheapest way by length, bends and crossings (A*, Hart, Nilsson,
//! Raphael 1968).

use std::cmp::Reverse;
use std::collections::BinaryHeap;

/// A cell, column and row.
pub type Cell = (i32, i32);

/// Steps to the right, down, left, up.
const STEPS: [Cell; 4] = [(1, 0), (0, 1), (-1, 0), (0, -1)];
/// Cost of a step, of a bend, of crossing another line.
const STEP: u32 = 2;
const BEND: u32 = 9;
const CROSS: u32 = 7;

const FREE: u32 = 0;
const BLOCKED: u32 = 1;
const LEVEL: u8 = 1;
const UPRIGHT: u8 = 2;

/// Where lines end at a port.
#[derive(Clone, Copy, Debug)]
pub struct Tap {
    /// The cell.
    pub at: Cell,
    /// Ways out of it: right, down, left, up.
    pub ways: [bool; 4],
}

/// The grid.
pub struct Grid {
    wide: i32,
    high: i32,
    /// Free, blocked, or the tap of a port (its number plus two).
    cells: Vec<u32>,
    /// Axes of the lines in a cell; of a tap the ways that are taken.
    lines: Vec<u8>,
}

impl Grid {
    /// An empty grid.
    pub fn new(wide: i32, high: i32) -> Grid {
        let count = (wide.max(1) * high.max(1)) as usize;
        Grid { wide, high, cells: vec![FREE; count], lines: vec![0; count] }
    }

    fn index(&self, (x, y): Cell) -> Option<usize> {
        let inside = x >= 0 && y >= 0 && x < self.wide && y < self.high;
        inside.then_some((y * self.wide + x) as usize)
    }

    /// Keeps lines out of a box.
    pub fn block(&mut self, (x, y): Cell, wide: i32, high: i32) {
        for row in y..y + high {
            for column in x..x + wide {
                if let Some(i) = self.index((column, row)) {
                    self.cells[i] = BLOCKED;
                }
            }
        }
    }

    /// Keeps a cell for the lines of a port.
    pub fn keep(&mut self, at: Cell, port: usize) {
        if let Some(i) = self.index(at) {
            self.cells[i] = port as u32 + 2;
        }
    }

    /// A way from one port to another; none if there is no room.
    pub fn route(&mut self, from: &[Tap], to: &[Tap]) -> Option<Vec<Cell>> {
        let goal = to.first()?.at;
        let estimate = |(x, y): Cell| (x.abs_diff(goal.0) + y.abs_diff(goal.1)).saturating_sub(12) * STEP;
        let mut best = vec![u32::MAX; self.cells.len() * 4];
        let mut before = vec![u32::MAX; self.cells.len() * 4];
        let mut open = BinaryHeap::new();
        for tap in from {
            let Some(i) = self.index(tap.at) else { continue };
            for way in 0..4 {
                if tap.ways[way] && self.lines[i] & (1 << way) == 0 {
                    best[i * 4 + way] = 0;
                    open.push(Reverse((estimate(tap.at), i * 4 + way)));
                }
            }
        }
        while let Some(Reverse((cost, state))) = open.pop() {
            let (i, way) = (state / 4, state % 4);
            let here = (i as i32 % self.wide, i as i32 / self.wide);
            if cost > best[state].saturating_add(estimate(here)) {
                continue;
            }
            let next = (here.0 + STEPS[way].0, here.1 + STEPS[way].1);
            let Some(n) = self.index(next) else { continue };
            let into = (way + 2) % 4;
            if let Some(tap) = to.iter().find(|t| t.at == next) {
                if tap.ways[into] && self.lines[n] & (1 << into) == 0 {
                    return Some(self.lay(state, n, into, &before));
                }
                continue;
            }
            if self.cells[n] != FREE {
                continue;
            }
            for out in 0..4 {
                let Some(extra) = self.extra(n, way, out) else { continue };
                let (total, after) = (best[state] + STEP + extra, n * 4 + out);
                if total < best[after] {
                    best[after] = total;
                    before[after] = state as u32;
                    open.push(Reverse((total + estimate(next), after)));
                }
            }
        }
        None
    }

    /// What it costs to come into a cell one way and leave it another, beyond the step; none if that cannot be.
    fn extra(&self, cell: usize, way: usize, out: usize) -> Option<u32> {
        let lines = self.lines[cell];
        let axis = if way.is_multiple_of(2) { LEVEL } else { UPRIGHT };
        match (out == way, lines) {
            _ if out == (way + 2) % 4 => None,
            (_, 0) => Some(if out == way { 0 } else { BEND }),
            (true, l) if l & axis == 0 => Some(CROSS),
            _ => None,
        }
    }

    /// Lays the line that was found and gives its cells, taps included.
    fn lay(&mut self, last: usize, end: usize, into: usize, before: &[u32]) -> Vec<Cell> {
        let mut states = vec![last];
        while let Some(&state) = states.last().filter(|s| before[**s] != u32::MAX) {
            states.push(before[state] as usize);
        }
        states.reverse();
        let cell = |i: usize| (i as i32 % self.wide, i as i32 / self.wide);
        let mut way = cell(states[0] / 4);
        let mut all = vec![way];
        self.lines[states[0] / 4] |= 1 << (states[0] % 4);
        for pair in states.windows(2) {
            let (came, i, out) = (pair[0] % 4, pair[1] / 4, pair[1] % 4);
            for step in [came, out] {
                self.lines[i] |= if step.is_multiple_of(2) { LEVEL } else { UPRIGHT };
            }
            way = (i as i32 % self.wide, i as i32 / self.wide);
            all.push(way);
        }
        self.lines[end] |= 1 << into;
        all.push((end as i32 % self.wide, end as i32 / self.wide));
        all
    }

    /// A place for a label of so many cells on a line, where it runs straight and nothing crosses it: its first cell in
    /// the order of the line. The cells are kept free of later lines.
    pub fn label(&mut self, line: &[Cell], cells: usize) -> Option<usize> {
        let straight = |k: usize| {
            let (a, b, c) = (line[k - 1], line[k], line[k + 1]);
            let upright = a.0 == c.0;
            let alone = if upright { UPRIGHT } else { LEVEL };
            let free = self.index(b).is_some_and(|i| self.lines[i] == alone && self.cells[i] == FREE);
            (free && (upright || a.1 == c.1)).then_some(upright)
        };
        let inner: Vec<Option<bool>> =
            (0..line.len()).map(|k| (k > 0 && k + 1 < line.len()).then(|| straight(k)).flatten()).collect();
        let mut longest: Option<(usize, usize)> = None;
        let mut k = 0;
        while k < inner.len() {
            let end = (k..inner.len()).find(|e| inner[*e] != inner[k]).unwrap_or(inner.len());
            if inner[k].is_some() && end - k >= cells && longest.is_none_or(|(_, n)| end - k > n) {
                longest = Some((k, end - k));
            }
            k = end;
        }
        let (start, length) = longest?;
        let first = start + (length - cells) / 2;
        for at in &line[first..first + cells] {
            self.block(*at, 1, 1);
        }
        Some(first)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tap(at: Cell) -> Vec<Tap> {
        vec![Tap { at, ways: [true; 4] }]
    }

    fn grid(taps: &[Cell]) -> Grid {
        let mut grid = Grid::new(20, 12);
        taps.iter().enumerate().for_each(|(k, at)| grid.keep(*at, k));
        grid
    }

    #[test]
    fn straight_where_it_can_be_and_round_a_box_where_not() {
        let mut open = grid(&[(2, 5), (12, 5)]);
        assert_eq!(open.route(&tap((2, 5)), &tap((12, 5))).unwrap().len(), 11);
        let mut closed = grid(&[(2, 5), (12, 5)]);
        closed.block((6, 3), 3, 5);
        let line = closed.route(&tap((2, 5)), &tap((12, 5))).unwrap();
        assert!(line.iter().all(|(x, y)| !((6..9).contains(x) && (3..8).contains(y))), "{line:?}");
        assert_eq!(line.len(), 17, "three up, ten along, three down");
        let mut walled = grid(&[(2, 5), (12, 5)]);
        walled.block((6, 0), 1, 12);
        assert_eq!(walled.route(&tap((2, 5)), &tap((12, 5))), None);
    }

    #[test]
    fn lines_cross_and_never_lie_on_each_other_nor_meet_at_a_bend() {
        let taps = [(2, 2), (12, 2), (7, 0), (7, 9), (2, 4), (7, 10)];
        let mut all = grid(&taps);
        let lines: Vec<Vec<Cell>> =
            taps.chunks(2).map(|t| all.route(&tap(t[0]), &tap(t[1])).unwrap()).collect();
        let bends = |line: &[Cell]| -> Vec<Cell> {
            line.windows(3).filter(|w| w[0].0 != w[2].0 && w[0].1 != w[2].1).map(|w| w[1]).collect()
        };
        for (i, a) in lines.iter().enumerate() {
            for b in &lines[i + 1..] {
                let shared: Vec<&Cell> = a.iter().filter(|c| b.contains(c)).collect();
                assert!(shared.iter().all(|c| !bends(a).contains(c) && !bends(b).contains(c)), "{shared:?}");
                assert!(
                    a.windows(2).all(|s| !b.windows(2).any(|o| o == s || (o[0] == s[1] && o[1] == s[0])))
                );
            }
        }
    }

    #[test]
    fn a_label_lies_where_nothing_crosses() {
        let taps = [(2, 5), (14, 5), (5, 1), (5, 10)];
        let mut all = grid(&taps);
        let level = all.route(&tap(taps[0]), &tap(taps[1])).unwrap();
        all.route(&tap(taps[2]), &tap(taps[3])).unwrap();
        let first = all.label(&level, 3).unwrap();
        assert_eq!(
            level[first..first + 3],
            [(8, 5), (9, 5), (10, 5)],
            "in the middle of the run behind the crossing"
        );
        assert_eq!(all.label(&level, 9), None);
    }
}
