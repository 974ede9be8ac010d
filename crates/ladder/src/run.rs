//! The instructions of a compiled program and their run.

use crate::act::Act;

/// One contact, and what is done after it; see [`run`].
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct Word {
    /// Slot read, times two; plus one for a normally closed contact.
    pub source: u32,
    /// Slot written, times eight; plus [`END_TERM`], [`END_GROUP`], [`END_WRITE`].
    pub target: u32,
}

/// The contact ends a branch.
pub(crate) const END_TERM: u32 = 1;
/// The contact ends a group of branches.
pub(crate) const END_GROUP: u32 = 2;
/// The contact ends the rung or a part of it, and the result is written.
pub(crate) const END_WRITE: u32 = 4;

/// Words up to `end`, then an act.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct Stretch {
    pub end: u32,
    pub act: Option<Act>,
}

/// Runs instructions without a branch that depends on a bit.
///
/// Three registers hold an AND of ORs of ANDs: `term` the branch so far, `group` the branches side by side, `rung` the
/// groups one after the other. A word whose `END_` bits are 0 leaves the outer two and writes to a scratch bit.
#[inline]
pub(crate) fn run(words: &[Word], bits: &mut [u8]) {
    let (mut term, mut group, mut rung) = (1u32, 0u32, 1u32);
    for word in words {
        let passes = u32::from(bits[(word.source >> 1) as usize]) ^ (word.source & 1);
        let end_term = word.target & 1;
        let end_group = (word.target >> 1) & 1;
        let end_write = (word.target >> 2) & 1;
        term &= passes;
        group |= term & end_term;
        term |= end_term;
        rung &= group | (end_group ^ 1);
        group &= end_group ^ 1;
        bits[(word.target >> 3) as usize] = rung as u8;
        rung |= end_write;
    }
}
