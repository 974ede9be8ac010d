//! Elimination of the nodes of one island, with the order and every place computed once.
//!
//! A node is taken out by the star-mesh transformation: each pair of its neighbours gets a branch of `y₁·y₂ / Σy`, and
//! its admittance to earth is shared out the same way. That is LDLᵀ without pivoting, but the sum at each pivot is
//! taken from the branches that are left and never by subtraction: with resistors only, no digit is lost however far
//! the values lie apart, and a leak of a part in 10¹² keeps its full precision. No pivoting is needed: each node has a
//! leak to earth, so the real part of every pivot stays positive.
//!
//! The order is minimum degree, ties by node number: a pure function of the structure.

use crate::complex::Complex;
use std::collections::BTreeSet;
use std::ops::{Add, AddAssign, Div, Mul};

/// What the elimination computes with: `f64` for DC, [`Complex`] for the mains frequency.
pub trait Scalar:
    Copy + PartialEq + Add<Output = Self> + Mul<Output = Self> + Div<Output = Self> + AddAssign
{
    /// Zero.
    const ZERO: Self;
    /// One.
    const ONE: Self;
}

impl Scalar for f64 {
    const ZERO: f64 = 0.0;
    const ONE: f64 = 1.0;
}

impl Scalar for Complex {
    const ZERO: Complex = Complex::ZERO;
    const ONE: Complex = Complex::ONE;
}

/// Order of elimination and the places of all branches, those that elimination makes included.
///
/// Rows are positions in the order of elimination. Branches are numbered by their earlier end, then by their later
/// end, so that those of one pivot lie together.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Structure {
    /// Node at each row.
    order: Vec<u32>,
    /// First branch of each row; one more at the end.
    columns: Vec<u32>,
    /// Later end of each branch, as a row.
    later: Vec<u32>,
    /// Branches between the neighbours of each pivot, counted from the first branch of the next row, in the order in
    /// which they are made.
    targets: Vec<u32>,
}

impl Structure {
    /// Computes order and fill for `nodes` nodes joined by `pairs` (a pair of a node with itself is ignored).
    pub fn new(nodes: usize, pairs: &[(u32, u32)]) -> Structure {
        let mut near: Vec<BTreeSet<u32>> = vec![BTreeSet::new(); nodes];
        for &(a, b) in pairs {
            if a != b {
                near[a as usize].insert(b);
                near[b as usize].insert(a);
            }
        }
        let mut queue: BTreeSet<(usize, u32)> = (0..nodes).map(|n| (near[n].len(), n as u32)).collect();
        let mut row = vec![0u32; nodes];
        let mut s = Structure { columns: vec![0], ..Structure::default() };
        let mut neighbours: Vec<Vec<u32>> = Vec::with_capacity(nodes);
        while let Some((_, node)) = queue.pop_first() {
            row[node as usize] = s.order.len() as u32;
            s.order.push(node);
            let around: Vec<u32> = std::mem::take(&mut near[node as usize]).into_iter().collect();
            for &a in &around {
                queue.remove(&(near[a as usize].len(), a));
                near[a as usize].remove(&node);
                near[a as usize].extend(around.iter().filter(|&&b| b != a));
            }
            queue.extend(around.iter().map(|&a| (near[a as usize].len(), a)));
            neighbours.push(around);
        }
        for around in &neighbours {
            let mut rows: Vec<u32> = around.iter().map(|&n| row[n as usize]).collect();
            rows.sort_unstable();
            s.later.extend(rows);
            s.columns.push(s.later.len() as u32);
        }
        for pivot in 0..nodes {
            let (start, end) = s.column(pivot);
            for a in start..end {
                for b in a + 1..end {
                    let target = s.branch(s.later[a], s.later[b]).expect("neighbours become neighbours");
                    s.targets.push(target - end as u32);
                }
            }
        }
        s
    }

    /// Number of nodes.
    pub fn nodes(&self) -> usize {
        self.order.len()
    }

    /// Number of branches, with those that elimination makes.
    pub fn branches(&self) -> usize {
        self.later.len()
    }

    /// Node at each row.
    pub fn order(&self) -> &[u32] {
        &self.order
    }

    /// Number of the branch between two different rows, if there is one.
    pub fn branch(&self, a: u32, b: u32) -> Option<u32> {
        let (first, last) = if a < b { (a, b) } else { (b, a) };
        let (start, end) = self.column(first as usize);
        self.later[start..end].binary_search(&last).ok().map(|k| (start + k) as u32)
    }

    fn column(&self, row: usize) -> (usize, usize) {
        (self.columns[row] as usize, self.columns[row + 1] as usize)
    }

    /// Eliminates all nodes, and solves for one right-hand side.
    ///
    /// Before: `rows` holds the admittance to earth and the current into each row, `branches` the admittance of each
    /// branch. After: `inverse` holds the inverse of each pivot, `branches` the part of a pivot's current that each
    /// neighbour takes, `x` the voltage by row; `rows` is spent.
    pub fn eliminate<T: Scalar>(
        &self,
        rows: &mut [[T; 2]],
        branches: &mut [T],
        inverse: &mut [T],
        x: &mut [T],
    ) {
        let mut targets = &self.targets[..];
        let mut start = 0;
        let ends = self.columns.iter().skip(1).map(|&c| c as usize);
        for (((row, end), inverse), x) in ends.enumerate().zip(inverse).zip(x.iter_mut()) {
            let (done, rest) = branches.split_at_mut(end);
            let (column, later) = (&mut done[start..], &self.later[start..end]);
            start = end;
            let pivot = rows[row];
            // Most nodes have few neighbours: for each of these numbers the same code, without a loop.
            let (inverted, made) = match later.len() {
                0 => share(pivot, &mut [], &[], targets, rows, rest),
                1 => share(pivot, &mut column[..1], &later[..1], targets, rows, rest),
                2 => share(pivot, &mut column[..2], &later[..2], targets, rows, rest),
                3 => share(pivot, &mut column[..3], &later[..3], targets, rows, rest),
                4 => share(pivot, &mut column[..4], &later[..4], targets, rows, rest),
                _ => share(pivot, column, later, targets, rows, rest),
            };
            targets = &targets[made..];
            *inverse = inverted;
            *x = pivot[1] * inverted;
        }
        self.back(branches, x);
    }

    /// Solves for one more right-hand side after [`Structure::eliminate`]: `x` holds the current into each row, all
    /// zero before row `first`, and then the voltage by row.
    pub fn again<T: Scalar>(&self, branches: &[T], inverse: &[T], x: &mut [T], first: usize) {
        for row in first..self.nodes() {
            let (start, end) = self.column(row);
            let current = x[row];
            for (&neighbour, &part) in self.later[start..end].iter().zip(&branches[start..end]) {
                x[neighbour as usize] += part * current;
            }
            x[row] = current * inverse[row];
        }
        self.back(branches, x);
    }

    /// The entries of the inverse on the diagonal, by row, and at each branch, after [`Structure::eliminate`].
    pub fn inverse<T: Scalar>(&self, branches: &[T], inverse: &[T]) -> (Vec<T>, Vec<T>) {
        let (mut diagonal, mut off) = (vec![T::ZERO; self.nodes()], vec![T::ZERO; self.branches()]);
        let mut last_target = self.targets.len();
        for row in (0..self.nodes()).rev() {
            let (start, end) = self.column(row);
            let count = end - start;
            let first_target = last_target - count * count.saturating_sub(1) / 2;
            let parts = &branches[start..end];
            for a in 0..count {
                off[start + a] += parts[a] * diagonal[self.later[start + a] as usize];
            }
            // Each pair of neighbours has its branch behind those of this row.
            let mut target = first_target;
            for a in 0..count {
                for b in a + 1..count {
                    let mutual = off[end + self.targets[target] as usize];
                    off[start + a] += parts[b] * mutual;
                    off[start + b] += parts[a] * mutual;
                    target += 1;
                }
            }
            let mut own = inverse[row];
            for (&part, &mutual) in parts.iter().zip(&off[start..end]) {
                own += part * mutual;
            }
            diagonal[row] = own;
            last_target = first_target;
        }
        (diagonal, off)
    }

    /// From the voltage that each row has of its own, last to first, to the whole.
    fn back<T: Scalar>(&self, branches: &[T], x: &mut [T]) {
        let mut end = self.branches();
        for (row, &start) in self.columns[..self.nodes()].iter().enumerate().rev() {
            let start = start as usize;
            let mut volts = x[row];
            for (&neighbour, &part) in self.later[start..end].iter().zip(&branches[start..end]) {
                volts += part * x[neighbour as usize];
            }
            x[row] = volts;
            end = start;
        }
    }
}

/// Takes one node out: its neighbours `later` get their part of its admittance to earth and of its current, and each
/// pair of them a branch. Returns the inverse of the pivot, and how many of the `targets` were used.
#[inline(always)]
fn share<T: Scalar>(
    [leak, current]: [T; 2],
    column: &mut [T],
    later: &[u32],
    targets: &[u32],
    rows: &mut [[T; 2]],
    rest: &mut [T],
) -> (T, usize) {
    let mut sum = leak;
    for &y in column.iter() {
        sum += y;
    }
    let inverted = T::ONE / sum;
    let count = column.len();
    let made = count * count.saturating_sub(1) / 2;
    let mut targets = &targets[..made];
    for a in 0..count {
        let part = column[a] * inverted;
        column[a] = part;
        let row = &mut rows[later[a] as usize];
        row[0] += part * leak;
        row[1] += part * current;
        let (now, next) = targets.split_at(count - a - 1);
        targets = next;
        for (&target, &y) in now.iter().zip(&column[a + 1..]) {
            rest[target as usize] += part * y;
        }
    }
    (inverted, made)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Voltages by node for conductances between nodes (`u32::MAX` is earth) and a current into each node.
    fn solve(nodes: u32, branches: &[(u32, u32, f64)], currents: &[f64]) -> Vec<f64> {
        let pairs: Vec<(u32, u32)> =
            branches.iter().map(|b| (b.0, b.1)).filter(|p| p.0 != u32::MAX && p.1 != u32::MAX).collect();
        let s = Structure::new(nodes as usize, &pairs);
        let row = |node: u32| s.order().iter().position(|&n| n == node).unwrap() as u32;
        let n = s.nodes();
        let (mut rows, mut values) = (vec![[0.0; 2]; n], vec![0.0; s.branches()]);
        for &(a, b, y) in branches {
            match (a, b) {
                (a, u32::MAX) => rows[row(a) as usize][0] += y,
                (u32::MAX, b) => rows[row(b) as usize][0] += y,
                (a, b) => values[s.branch(row(a), row(b)).unwrap() as usize] += y,
            }
        }
        let mut x = vec![0.0; n];
        let mut inverse = vec![0.0; n];
        for node in 0..nodes {
            rows[row(node) as usize][1] = currents[node as usize];
        }
        s.eliminate(&mut rows, &mut values, &mut inverse, &mut x);
        (0..nodes).map(|node| x[row(node) as usize]).collect()
    }

    const EARTH: u32 = u32::MAX;

    /// Voltage divider by hand: 1 A into node 0, 2 S to earth there, 4 S to node 1, 4 S from node 1 to earth.
    /// The series 4 S with 4 S is 2 S, so node 0 stands at 1 / (2 + 2) = 0.25 V and node 1 at half of it.
    #[test]
    fn divider_by_hand() {
        let v = solve(2, &[(0, EARTH, 2.0), (0, 1, 4.0), (1, EARTH, 4.0)], &[1.0, 0.0]);
        assert!((v[0] - 0.25).abs() < 1e-15 && (v[1] - 0.125).abs() < 1e-15, "{v:?}");
    }

    /// By hand: ten nodes in a row joined by 100 S each, a leak of 1e-12 S at the one end, 1e-12 A into the other: all
    /// stand at 1 V. A matrix whose diagonal holds 200 S + 1e-12 S has lost the leak.
    #[test]
    fn a_leak_of_a_part_in_ten_to_the_fourteen_is_not_lost() {
        let mut branches: Vec<(u32, u32, f64)> = (0..9).map(|k| (k, k + 1, 100.0)).collect();
        branches.push((9, EARTH, 1e-12));
        let mut currents = [0.0; 10];
        currents[0] = 1e-12;
        for v in solve(10, &branches, &currents) {
            assert!((v - 1.0).abs() < 1e-13, "{v}");
        }
    }

    /// The residual of the solution is small on generated grids: `A·x` is computed from the branches, not the factors.
    #[test]
    fn residual_on_generated_networks() {
        let mut seed = 1u64;
        let mut random = move || {
            seed = seed.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
            (seed >> 33) as u32
        };
        for _ in 0..200 {
            let n = 3 + random() % 40;
            let mut branches: Vec<(u32, u32, f64)> = (0..n * 2)
                .map(|_| (random() % n, random() % n, 0.001 + f64::from(random() % 1000)))
                .filter(|b| b.0 != b.1)
                .collect();
            branches.extend((0..n).map(|node| (node, EARTH, 1e-3)));
            let currents: Vec<f64> = (0..n).map(|_| f64::from(random() % 100) - 50.0).collect();
            let x = solve(n, &branches, &currents);
            let at = |node: u32| x.get(node as usize).copied().unwrap_or(0.0);
            let mut residual: Vec<f64> = currents.iter().map(|c| -c).collect();
            for &(a, b, g) in &branches {
                let current = g * (at(a) - at(b));
                residual[a as usize] += current;
                if b != EARTH {
                    residual[b as usize] -= current;
                }
            }
            assert!(residual.iter().all(|r| r.abs() < 1e-3), "{residual:?}");
        }
    }

    /// A second right-hand side gives what the first gave, times the factor between them.
    #[test]
    fn solving_again() {
        let s = Structure::new(3, &[(0, 1), (1, 2), (2, 0)]);
        let (mut rows, mut branches) = (vec![[1.0, 0.0], [2.0, 8.0], [4.0, 0.0]], vec![3.0, 5.0, 7.0]);
        let (mut inverse, mut x) = (vec![0.0; 3], vec![0.0; 3]);
        s.eliminate(&mut rows, &mut branches, &mut inverse, &mut x);
        let mut twice = vec![0.0, 16.0, 0.0];
        s.again(&branches, &inverse, &mut twice, 1);
        for (a, b) in x.iter().zip(&twice) {
            assert_eq!(2.0 * a, *b);
        }
    }
}
