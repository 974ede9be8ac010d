//! Making sets smaller, on the network itself: no part of what is named may do alone, and no fewer contacts at all as
//! far as all of them can be tried.

use super::look::{Item, Look};
use super::{Load, MOST_IN_SET};

/// Most contacts in the sets that are all tried.
const MOST_TRIED: usize = 3;

/// Most sets of one size that are tried: two of 70 contacts, three of 25.
const MOST_SETS: usize = 2_500;

impl Look<'_> {
    /// Contacts fewer than `size` (any number if that is 0) that turn whether a load has volts, the most telling first.
    /// All sets of one are tried, and all of two and three unless there are more than [`MOST_SETS`].
    pub(super) fn smaller(&self, load: &Load, now: bool, size: usize) -> Option<Vec<Item>> {
        let most = if size == 0 { MOST_TRIED } else { MOST_TRIED.min(size - 1) };
        if most == 0 {
            return None;
        }
        let mut all = self.matter(load);
        all.sort_by_key(|&i| (self.rank(i), i));
        all.dedup();
        let affordable = |k: &usize| *k == 1 || sets(all.len(), *k) <= MOST_SETS;
        (1..=most).take_while(affordable).find_map(|k| self.any(load, now, &all, k, &mut Vec::new()))
    }

    /// `taken` with so many more of these items, if that turns whether the load has volts.
    fn any(
        &self,
        load: &Load,
        now: bool,
        of: &[Item],
        more: usize,
        taken: &mut Vec<Item>,
    ) -> Option<Vec<Item>> {
        if more == 0 {
            return (self.tried(load, taken) != now).then(|| taken.clone());
        }
        (0..of.len()).find_map(|k| {
            taken.push(of[k]);
            let found = self.any(load, now, &of[k + 1..], more - 1, taken);
            taken.pop();
            found
        })
    }

    /// What is left of a set that makes a load have volts or not, when all is left out, from the last on, without which
    /// it still does.
    pub(super) fn reduce(&self, load: &Load, mut set: Vec<Item>, volts: bool) -> Option<Vec<Item>> {
        if self.tried(load, &set) != volts {
            return None;
        }
        let mut before = usize::MAX;
        while set.len() < before {
            before = set.len();
            for k in (0..set.len()).rev() {
                let item = set.remove(k);
                if self.tried(load, &set) != volts {
                    set.insert(k, item);
                }
            }
        }
        self.shrink(load, &set, volts)
    }

    /// The smallest part of a set that makes a load have volts or not.
    pub(super) fn shrink(&self, load: &Load, set: &[Item], volts: bool) -> Option<Vec<Item>> {
        if set.is_empty() || set.len() > MOST_IN_SET {
            return None;
        }
        let mut parts: Vec<u32> = (1..1u32 << set.len()).collect();
        parts.sort_by_key(|p| p.count_ones());
        let part = |p: u32| -> Vec<Item> {
            set.iter().enumerate().filter(|(k, _)| p >> k & 1 != 0).map(|(_, &i)| i).collect()
        };
        parts.into_iter().map(part).find(|p| self.present(load, p) == volts)
    }
}

/// Number of sets of so many out of `n`.
fn sets(n: usize, many: usize) -> usize {
    (0..many).fold(1, |all, k| all * n.saturating_sub(k) / (k + 1))
}
