//! Disjoint sets: what conductors join, counted from 0.

/// Disjoint sets.
pub struct Sets(Vec<usize>);

impl Sets {
    /// So many, each alone.
    pub fn new(count: usize) -> Self {
        Sets((0..count).collect())
    }

    /// What stands for the set of `i`.
    pub fn root(&self, mut i: usize) -> usize {
        while self.0[i] != i {
            i = self.0[i];
        }
        i
    }

    /// Joins two. The smaller number becomes the root, so that a result does not depend on the order of joining.
    pub fn join(&mut self, a: usize, b: usize) {
        let (a, b) = (self.root(a), self.root(b));
        self.0[a.max(b)] = a.min(b);
    }

    /// What stands for each.
    pub fn roots(&self) -> Vec<usize> {
        (0..self.0.len()).map(|i| self.root(i)).collect()
    }
}
