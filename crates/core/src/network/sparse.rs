//! Symmetric sparse factorisation (LDLᵀ, no pivoting) with the order of elimination computed once.
//!
//! The structure holds every branch that may ever be closed, so that it is computed once a design; a key only changes
//! the numbers. No pivoting is needed: each node has a leak to earth, so the real part of every pivot stays positive.
//! The order is minimum degree, ties by node number: a pure function of the structure.

use crate::complex::Complex;
use std::collections::{BTreeMap, BTreeSet};
use std::ops::{Add, AddAssign, Div, Mul, Sub, SubAssign};

/// What the factorisation computes with: `f64` for DC, [`Complex`] for the mains frequency.
pub trait Scalar:
    Copy
    + Add<Output = Self>
    + Sub<Output = Self>
    + Mul<Output = Self>
    + Div<Output = Self>
    + AddAssign
    + SubAssign
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

/// Order of elimination and the places of all non-zero entries.
#[derive(Clone, Debug, Default)]
pub struct Structure {
    /// Position in the order of elimination, by node.
    position: Vec<u32>,
    /// For each pivot: range into `lower`.
    pivots: Vec<(u32, u32)>,
    /// Entries below each pivot: (row position, entry number).
    lower: Vec<(u32, u32)>,
    /// Targets of the updates in the order in which they are made.
    updates: Vec<u32>,
    /// Entry number of each pair of nodes (smaller position first).
    entries: BTreeMap<(u32, u32), u32>,
}

/// A matrix over a [`Structure`], before or after factorisation.
#[derive(Clone, Debug)]
pub struct Matrix<T> {
    diagonal: Vec<T>,
    entry: Vec<T>,
}

impl Structure {
    /// Computes order and fill for `nodes` nodes joined by `pairs` (self-loops are ignored).
    pub fn new(nodes: usize, pairs: &[(u32, u32)]) -> Structure {
        let mut near: Vec<BTreeSet<u32>> = vec![BTreeSet::new(); nodes];
        for &(a, b) in pairs {
            if a != b {
                near[a as usize].insert(b);
                near[b as usize].insert(a);
            }
        }
        let mut queue: BTreeSet<(usize, u32)> = (0..nodes).map(|n| (near[n].len(), n as u32)).collect();
        let mut position = vec![0u32; nodes];
        let mut later: Vec<Vec<u32>> = Vec::with_capacity(nodes);
        while let Some((_, node)) = queue.pop_first() {
            position[node as usize] = later.len() as u32;
            let around: Vec<u32> = std::mem::take(&mut near[node as usize]).into_iter().collect();
            for &a in &around {
                queue.remove(&(near[a as usize].len(), a));
                near[a as usize].remove(&node);
                for &b in &around {
                    if b != a {
                        near[a as usize].insert(b);
                    }
                }
            }
            for &a in &around {
                queue.insert((near[a as usize].len(), a));
            }
            later.push(around);
        }
        let mut entries = BTreeMap::new();
        let mut lower = Vec::new();
        let mut pivots = Vec::with_capacity(nodes);
        for (pivot, around) in later.iter().enumerate() {
            let mut rows: Vec<u32> = around.iter().map(|&n| position[n as usize]).collect();
            rows.sort_unstable();
            let start = lower.len() as u32;
            for row in rows {
                let number = entries.len() as u32;
                entries.insert((pivot as u32, row), number);
                lower.push((row, number));
            }
            pivots.push((start, lower.len() as u32));
        }
        let mut updates = Vec::new();
        for &(start, end) in &pivots {
            let column = &lower[start as usize..end as usize];
            for (a, &(row_a, _)) in column.iter().enumerate() {
                for &(row_b, _) in &column[a + 1..] {
                    updates.push(entries[&(row_a, row_b)]);
                }
            }
        }
        Structure { position, pivots, lower, updates, entries }
    }

    /// A matrix of zeros over this structure.
    pub fn zeros<T: Scalar>(&self) -> Matrix<T> {
        Matrix { diagonal: vec![T::ZERO; self.pivots.len()], entry: vec![T::ZERO; self.entries.len()] }
    }

    /// Place of a node on the diagonal.
    pub fn diagonal(&self, node: u32) -> u32 {
        self.position[node as usize]
    }

    /// Place of the entry between two different nodes that were given as a pair.
    pub fn entry(&self, a: u32, b: u32) -> Option<u32> {
        let (p, q) = (self.position[a as usize], self.position[b as usize]);
        self.entries.get(&(p.min(q), p.max(q))).copied()
    }

    /// Factorises in place.
    pub fn factorise<T: Scalar>(&self, m: &mut Matrix<T>) {
        let mut next = 0usize;
        for (pivot, &(start, end)) in self.pivots.iter().enumerate() {
            let column = &self.lower[start as usize..end as usize];
            let inverse = T::ONE / m.diagonal[pivot];
            for (a, &(row_a, entry_a)) in column.iter().enumerate() {
                let scaled = m.entry[entry_a as usize] * inverse;
                m.diagonal[row_a as usize] -= scaled * m.entry[entry_a as usize];
                for &(_, entry_b) in &column[a + 1..] {
                    let target = self.updates[next] as usize;
                    next += 1;
                    let product = scaled * m.entry[entry_b as usize];
                    m.entry[target] -= product;
                }
            }
            for &(_, entry) in column {
                m.entry[entry as usize] = m.entry[entry as usize] * inverse;
            }
            m.diagonal[pivot] = inverse;
        }
    }

    /// Solves for one right-hand side, given and returned by node.
    pub fn solve<T: Scalar>(&self, m: &Matrix<T>, by_node: &[T]) -> Vec<T> {
        let n = self.pivots.len();
        let mut x = vec![T::ZERO; n];
        for (node, &value) in by_node.iter().enumerate() {
            x[self.position[node] as usize] = value;
        }
        for pivot in 0..n {
            let (start, end) = self.pivots[pivot];
            let value = x[pivot];
            for &(row, entry) in &self.lower[start as usize..end as usize] {
                x[row as usize] -= m.entry[entry as usize] * value;
            }
        }
        for pivot in (0..n).rev() {
            let (start, end) = self.pivots[pivot];
            let mut value = x[pivot] * m.diagonal[pivot];
            for &(row, entry) in &self.lower[start as usize..end as usize] {
                value -= m.entry[entry as usize] * x[row as usize];
            }
            x[pivot] = value;
        }
        (0..n).map(|node| x[self.position[node] as usize]).collect()
    }
}

impl<T: Scalar> Matrix<T> {
    /// Adds to the diagonal place of a node.
    pub fn add_diagonal(&mut self, place: u32, value: T) {
        self.diagonal[place as usize] += value;
    }

    /// Adds to an off-diagonal entry.
    pub fn add_entry(&mut self, place: u32, value: T) {
        self.entry[place as usize] += value;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Voltage divider by hand: 1 A into node 0, 2 S to earth there, 4 S to node 1, 4 S from node 1 to earth.
    /// The series 4 S with 4 S is 2 S, so node 0 stands at 1 / (2 + 2) = 0.25 V and node 1 at half of it.
    #[test]
    fn divider_by_hand() {
        let s = Structure::new(2, &[(0, 1)]);
        let mut m = s.zeros::<f64>();
        m.add_diagonal(s.diagonal(0), 6.0);
        m.add_diagonal(s.diagonal(1), 8.0);
        m.add_entry(s.entry(0, 1).unwrap(), -4.0);
        s.factorise(&mut m);
        let v = s.solve(&m, &[1.0, 0.0]);
        assert!((v[0] - 0.25).abs() < 1e-15 && (v[1] - 0.125).abs() < 1e-15, "{v:?}");
    }

    /// The residual of the solution is small on generated grids: `A·x` is computed from the stamps, not the factors.
    #[test]
    fn residual_on_generated_networks() {
        let mut seed = 1u64;
        let mut random = move || {
            seed = seed.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
            (seed >> 33) as u32
        };
        for _ in 0..200 {
            let n = 3 + random() % 40;
            let branches: Vec<(u32, u32, f64)> = (0..n * 2)
                .map(|_| (random() % n, random() % n, 0.001 + f64::from(random() % 1000)))
                .filter(|b| b.0 != b.1)
                .collect();
            let pairs: Vec<(u32, u32)> = branches.iter().map(|b| (b.0, b.1)).collect();
            let s = Structure::new(n as usize, &pairs);
            let mut m = s.zeros::<f64>();
            for node in 0..n {
                m.add_diagonal(s.diagonal(node), 1e-3);
            }
            for &(a, b, g) in &branches {
                m.add_diagonal(s.diagonal(a), g);
                m.add_diagonal(s.diagonal(b), g);
                m.add_entry(s.entry(a, b).unwrap(), -g);
            }
            s.factorise(&mut m);
            let rhs: Vec<f64> = (0..n).map(|_| f64::from(random() % 100) - 50.0).collect();
            let x = s.solve(&m, &rhs);
            let mut residual: Vec<f64> = (0..n as usize).map(|i| 1e-3 * x[i] - rhs[i]).collect();
            for &(a, b, g) in &branches {
                let current = g * (x[a as usize] - x[b as usize]);
                residual[a as usize] += current;
                residual[b as usize] -= current;
            }
            assert!(residual.iter().all(|r| r.abs() < 1e-3), "{residual:?}");
        }
    }
}
