//! A quantum of plant and devices apart together.

use super::aside::{AsideEdge, AsideStates};
use super::plant::{Cut, Edge, Plant, aside_number};
use super::presence::Presence;
use std::rc::Rc;

/// One way in which a quantum can go.
#[derive(Clone, Copy)]
pub(super) struct Step {
    pub edge: Edge,
    /// What goes beside it.
    pub beside: Beside,
    pub label: u32,
    /// As the word of an edge, with what devices apart show.
    pub word: u128,
    pub actions: u32,
}

/// One way in which a quantum can go for all devices apart.
#[derive(Clone, Copy)]
pub(super) struct Beside {
    /// Which edge each of them takes, 8 bits each, and where all of them go.
    pub by: u64,
    pub asides: AsideStates,
    /// Bits of the input image that are sampled as 1.
    pub sampled: u64,
    /// What a word has besides, and what is not in it.
    pub shown: u128,
    pub hidden: u128,
    pub actions: u32,
}

impl Plant {
    /// Every way in which a quantum can go from a state with an output image, with the fault in whatever way it may be there or
    /// without it.
    pub fn steps(
        &mut self,
        (plant, asides): (u32, AsideStates),
        image: u64,
        with_fault: bool,
    ) -> Result<Vec<Step>, Cut> {
        let mut steps = Vec::new();
        for &presence in self.presences(plant, with_fault) {
            self.steps_by((plant, asides), image, presence, &mut steps)?;
        }
        Ok(steps)
    }

    fn steps_by(
        &mut self,
        (plant, asides): (u32, AsideStates),
        image: u64,
        presence: Presence,
        steps: &mut Vec<Step>,
    ) -> Result<(), Cut> {
        let edges = self.edges(plant, image, presence)?;
        let there = presence.is_there();
        let mut besides: Option<(u32, Vec<Beside>)> = None;
        for &edge in edges.iter() {
            let known = besides.take().filter(|(stream, _)| *stream == edge.stream);
            let list = known.map_or_else(|| self.besides(asides, edge.stream, there), |(_, list)| list);
            for &beside in &list {
                let label = self.label_with(edge.label, beside.sampled);
                let word = beside.seen(self.word(edge.word));
                let actions = u32::from(edge.actions) + beside.actions;
                steps.push(Step { edge, beside, label, word, actions });
            }
            besides = Some((edge.stream, list));
        }
        Ok(())
    }

    /// Every way in which the devices apart can go through a quantum that tells them `stream`, with the fault there or not.
    pub fn besides(&mut self, asides: AsideStates, stream: u32, there: bool) -> Vec<Beside> {
        let lists: Vec<Rc<[AsideEdge]>> = (0..self.apart.len())
            .map(|k| self.aside_edges(k, aside_number(asides, k), stream, there))
            .collect();
        let mut all = Vec::new();
        let mut by = 0u64;
        loop {
            let mut one = Beside { by, asides: 0, sampled: 0, shown: 0, hidden: 0, actions: 0 };
            for (k, list) in lists.iter().enumerate() {
                let aside = &list[usize::from(aside_number(by, k))];
                one.asides |= u64::from(aside.to) << (8 * k);
                one.sampled |= aside.sampled;
                one.actions += u32::from(aside.actions);
                one.shown |= aside.word;
                if aside.sampled == 0 {
                    one.hidden |= self.apart[k].image;
                }
            }
            all.push(one);
            // The next choice, as a number whose digits are as many as each list is long.
            let Some(k) = (0..lists.len()).find(|&k| usize::from(aside_number(by, k)) + 1 < lists[k].len())
            else {
                return all;
            };
            by = ((by >> (8 * k)) + 1) << (8 * k);
        }
    }
}

impl Beside {
    /// A word of the plant with what the devices apart show.
    pub fn seen(&self, word: u128) -> u128 {
        word & !self.hidden | self.shown
    }
}
