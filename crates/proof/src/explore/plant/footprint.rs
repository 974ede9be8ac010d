//! How much is known of a plant, for tests that must not grow.

use super::super::aside::Apart;
use super::super::interner::Interner;
use super::tick::Ticked;
use super::{Body, Plant};
use rustc_hash::FxHashMap;
use std::rc::Rc;

/// Bytes that a map of lists takes, roughly.
pub(in super::super) fn bytes_of_lists<K, T>(map: &FxHashMap<K, Rc<[T]>>) -> usize {
    let lists: usize = map.values().map(|list| size_of_val(&**list)).sum();
    map.len() * (size_of::<K>() + size_of::<Rc<[T]>>()) + lists
}

impl Plant {
    /// Bytes that what is known of it takes, roughly.
    pub fn footprint(&self) -> usize {
        let ticks =
            |body: &Body| body.ticks.values().map(|ticked| size_of_val(&*ticked.edges)).sum::<usize>();
        let known = |body: &Body| body.ticks.len() * size_of::<((u32, u64, bool), Ticked)>() + ticks(body);
        let bodies = self.bodies.iter().map(|body| known(body) + bytes_of_lists(&body.relation));
        let apart = self.apart.iter().map(Apart::footprint);
        let standings = self.standings.iter().map(Interner::bytes);
        let interned = [self.words.bytes(), self.labels.bytes(), self.streams.bytes(), self.acts.bytes()];
        bodies.chain(apart).chain(standings).chain(interned).sum()
    }
}
