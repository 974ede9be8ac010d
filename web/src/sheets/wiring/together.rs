//! Changes that were made together, and are taken back and made again together: the rows of one paste.
//!
//! In the log each is an entry of its own, as every change is; only the sheet knows that they belong together.

use crate::store::{Command, Shop};

/// Changes made together, by the number of the last entry and how many they are.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Together(Vec<(u32, usize)>);

impl Together {
    /// The last so many changes were made together.
    pub fn made(&mut self, shop: &Shop, count: usize) {
        self.put(last(shop, false), count);
    }

    /// Takes the last change back, or makes it again, with those that belong to it.
    ///
    /// # Errors
    /// What was refused and why.
    pub fn step(&mut self, shop: &Shop, redo: bool) -> Result<(), String> {
        let now = last(shop, redo);
        let count = self.0.iter().find(|(entry, _)| Some(*entry) == now).map_or(1, |(_, count)| *count);
        for _ in 0..count {
            shop.ask(if redo { Command::Redo } else { Command::Undo })?;
        }
        self.put(last(shop, !redo), count);
        Ok(())
    }

    fn put(&mut self, entry: Option<u32>, count: usize) {
        if let (Some(entry), 2..) = (entry, count) {
            self.0.push((entry, count));
        }
    }
}

/// The entry that a redo would make again, or an undo take back.
fn last(shop: &Shop, redo: bool) -> Option<u32> {
    shop.with(|workshop| {
        let session = workshop.session();
        if redo { session.redoable() } else { session.undoable() }
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheets::wiring::fixture::learners;
    use crate::store::model::Change;

    #[test]
    fn rows_of_one_paste_go_and_come_back_as_one() {
        let shop = Shop::new(crate::store::fixture::workshop());
        let own = || shop.with(|w| w.conductors().iter().filter(|c| c.id.starts_with('L')).count());
        let add = |n: usize| shop.ask(Command::Change(Change::Add(learners()[n].clone()))).unwrap();
        let mut together = Together::default();
        add(0);
        (1..4).for_each(add);
        together.made(&shop, 3);
        for expected in [1, 0] {
            together.step(&shop, false).unwrap();
            assert_eq!(own(), expected);
        }
        for expected in [1, 4] {
            together.step(&shop, true).unwrap();
            assert_eq!(own(), expected);
        }
        together.step(&shop, false).unwrap();
        assert_eq!(own(), 1, "and back again");
    }
}
