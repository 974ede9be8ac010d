//! Conductors that the job sheet asks for, and which of them have been made.

use sealin_core::plan::{Conductor, Terminal};

/// A conductor that the job sheet asks for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Wanted {
    /// Its number.
    pub number: String,
    /// Where it begins.
    pub from: Terminal,
    /// What it is for.
    pub purpose: String,
    /// A conductor of the person's own stands for it.
    pub done: bool,
}

/// Gives each conductor that is asked for one of the person's own that begins or ends there, so that as many as
/// possible are done.
pub fn tick_off(wanted: &mut [Wanted], own: &[&Conductor]) {
    let mut taken_by: Vec<Option<usize>> = vec![None; own.len()];
    fn place(
        w: usize,
        wanted: &[Wanted],
        own: &[&Conductor],
        taken: &mut [Option<usize>],
        seen: &mut [bool],
    ) -> bool {
        for c in 0..own.len() {
            let fits = own[c].from == wanted[w].from || own[c].to == wanted[w].from;
            if !fits || seen[c] {
                continue;
            }
            seen[c] = true;
            let free = match taken[c] {
                None => true,
                Some(other) => place(other, wanted, own, taken, seen),
            };
            if free {
                taken[c] = Some(w);
                return true;
            }
        }
        false
    }
    for w in 0..wanted.len() {
        place(w, wanted, own, &mut taken_by, &mut vec![false; own.len()]);
    }
    for w in taken_by.into_iter().flatten() {
        wanted[w].done = true;
    }
}

#[cfg(test)]
mod tests {
    use crate::sheets::wiring::fixture::{drawing, learners, wire};
    use sealin_core::plan::Conductor;

    #[test]
    fn what_is_asked_for_is_ticked_off_once_and_in_either_direction() {
        let done = |own: Vec<Conductor>| drawing(own).wanted.iter().filter(|w| w.done).count();
        assert_eq!(done(Vec::new()), 0);
        assert_eq!(done(learners()), 9);
        let turned = learners().into_iter().map(|c| Conductor { from: c.to, to: c.from, ..c }).collect();
        assert_eq!(done(turned), 9);
        assert_eq!(done(vec![wire("L1", "XD4:7", "QA1:13", "201")]), 1);
    }
}
