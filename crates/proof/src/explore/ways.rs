//! What a quantum can do to the bench without its program, sorted by what program and monitors are told of it.

use super::interner::Interner;
use super::judge::Judge;
use super::plant::{Cut, Plant, To};
use super::rigs::Rigs;
use rustc_hash::FxHashMap;
use std::ops::Range;
use std::rc::Rc;

/// A quantum by where the fault is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Quantum {
    /// Not there.
    Sound,
    /// It strikes at the start.
    Strikes,
    /// It was there before.
    Struck,
}

impl Quantum {
    /// Whether it begins with the fault, as an index.
    pub fn from(self) -> usize {
        usize::from(self == Quantum::Struck)
    }

    /// Whether it ends with the fault, as an index.
    pub fn to(self) -> usize {
        usize::from(self.is_struck())
    }

    /// Whether it goes on with the fault.
    pub fn is_struck(self) -> bool {
        self != Quantum::Sound
    }
}

/// How the plant goes through a quantum, as far as others see it: number of a label, of a word, of a stream; and of an end, with the
/// tick, if there it ends.
pub(super) type Course = (u32, u32, u32, Option<(u32, u8)>);

/// Edges of the plant with the same course: number of the course, and which of [`Edges::plants`] they lead to.
#[derive(Clone, Copy)]
pub(super) struct Group {
    pub course: u32,
    /// The fault is there.
    pub there: bool,
    pub plants: (u32, u32),
}

/// Edges of the plant by course, from every state and image that was asked for.
#[derive(Default)]
pub(super) struct Edges {
    /// By number of the image, then of the state: which of `groups`; nothing where it was not asked for.
    lists: Vec<Vec<(u32, u32)>>,
    groups: Vec<Group>,
    /// Which states of the plant, and their lanes.
    plants: Vec<(u32, u64)>,
}

/// All that a quantum can do on a course while program and monitors are told the same.
#[derive(Clone, Copy)]
pub(super) struct Way {
    /// What the program is told: number of a label.
    pub label: u32,
    /// What the monitors are told: number of a view.
    pub view: u32,
    /// What [`Plant::end`] has, where there it ends.
    pub end: Option<u32>,
    /// Where devices apart go: which of [`Ways::lanes`].
    pub lanes: (u32, u32),
}

/// What devices apart do to label and word, and where they go: which of their states, and bits.
struct Told {
    sampled: u64,
    shown: u128,
    hidden: u128,
    lanes: Vec<(u32, u64)>,
}

/// The ways of every course beside every state of devices apart that was asked for.
#[derive(Default)]
pub(super) struct Ways {
    /// By number of the course, then of the states of devices apart.
    lists: Vec<Vec<(u32, u32)>>,
    ways: Vec<Way>,
    lanes: Vec<(u32, u64)>,
    /// By stream and number of the states of devices apart.
    told: FxHashMap<(u32, u32), Rc<[Told]>>,
}

/// Puts a lane to those of its number.
fn put(lanes: &mut Vec<(u32, u64)>, (number, bit): (u32, u64)) {
    // What is met one after the other lies side by side.
    match lanes.iter_mut().rev().find(|(known, _)| *known == number) {
        Some((_, bits)) => *bits |= bit,
        None => lanes.push((number, bit)),
    }
}

/// A list of lists of what was found out.
fn known(lists: &[Vec<(u32, u32)>], a: u32, b: u32) -> Option<Range<u32>> {
    let &(first, end) = lists.get(a as usize)?.get(b as usize)?;
    (first < end).then_some(first..end)
}

fn keep(lists: &mut Vec<Vec<(u32, u32)>>, a: u32, b: u32, list: (u32, u32)) {
    let (a, b) = (a as usize, b as usize);
    lists.resize_with(lists.len().max(a + 1), Vec::new);
    let len = lists[a].len().max(b + 1);
    lists[a].resize(len, (0, 0));
    lists[a][b] = list;
}

/// Bytes that a list of lists takes.
#[cfg(feature = "under-test")]
fn bytes_of_lists(lists: &[Vec<(u32, u32)>]) -> usize {
    lists.iter().map(|list| size_of::<Vec<(u32, u32)>>() + list.capacity() * size_of::<(u32, u32)>()).sum()
}

impl Edges {
    /// Bytes that they take.
    #[cfg(feature = "under-test")]
    pub fn bytes(&self) -> usize {
        let (groups, plants) = (self.groups.capacity(), self.plants.capacity());
        bytes_of_lists(&self.lists) + groups * size_of::<Group>() + plants * size_of::<(u32, u64)>()
    }

    /// The edges from a state with the image of this number, where they are known.
    #[inline]
    pub fn known(&self, plant: u32, image: u32) -> Option<Range<u32>> {
        known(&self.lists, image, plant / 2)
    }

    #[inline]
    pub fn group(&self, number: u32) -> Group {
        self.groups[number as usize]
    }

    #[inline]
    pub fn plants(&self, (first, end): (u32, u32)) -> &[(u32, u64)] {
        &self.plants[first as usize..end as usize]
    }

    /// Finds the edges from a state with an image.
    pub fn find(
        &mut self,
        (from, image_number, image): (u32, u32, u64),
        quantum: Quantum,
        courses: &mut Interner<Course>,
        (plant, rigs): (&mut Plant, &mut Rigs),
    ) -> Result<Range<u32>, Cut> {
        /// A course with or without the fault, and the states of the plant that it leads to.
        type Led = ((u32, bool), Vec<(u32, u64)>);
        let mut groups: Vec<Led> = Vec::new();
        let mut numbers: FxHashMap<(u32, bool), usize> = FxHashMap::default();
        for &presence in plant.presences(from, quantum.is_struck()) {
            for edge in plant.edges(from, image, presence)?.iter() {
                let end = match edge.to {
                    To::Plant(_) => None,
                    To::End(end, tick) => Some((end, tick)),
                };
                let course = courses.number((edge.label, edge.word, edge.stream, end));
                let key = (course, presence.is_there());
                let at = *numbers.entry(key).or_insert(groups.len());
                if at == groups.len() {
                    groups.push((key, Vec::new()));
                }
                if let To::Plant(to) = edge.to {
                    put(&mut groups[at].1, rigs.plant_lane(to));
                }
            }
        }
        let first = self.groups.len() as u32;
        for ((course, there), plants) in groups {
            let from = self.plants.len() as u32;
            self.plants.extend(plants);
            self.groups.push(Group { course, there, plants: (from, self.plants.len() as u32) });
        }
        let end = self.groups.len() as u32;
        keep(&mut self.lists, image_number, from / 2, (first, end));
        Ok(first..end)
    }
}

impl Ways {
    /// Bytes that they take, roughly.
    #[cfg(feature = "under-test")]
    pub fn bytes(&self) -> usize {
        let one = |told: &Told| size_of::<Told>() + told.lanes.capacity() * size_of::<(u32, u64)>();
        let told: usize = self.told.values().map(|list| 64 + list.iter().map(one).sum::<usize>()).sum();
        let (ways, lanes) = (self.ways.capacity(), self.lanes.capacity());
        bytes_of_lists(&self.lists) + ways * size_of::<Way>() + lanes * size_of::<(u32, u64)>() + told
    }

    /// The ways of a course beside states of devices apart, where they are known.
    #[inline]
    pub fn known(&self, course: u32, aside: u32) -> Option<Range<u32>> {
        known(&self.lists, course, aside)
    }

    #[inline]
    pub fn way(&self, number: u32) -> Way {
        self.ways[number as usize]
    }

    #[inline]
    pub fn lanes(&self, (first, end): (u32, u32)) -> &[(u32, u64)] {
        &self.lanes[first as usize..end as usize]
    }

    /// Finds the ways of a course beside states of devices apart.
    pub fn find(
        &mut self,
        (course, number): (Course, u32),
        aside: u32,
        there: bool,
        rigs: &mut Rigs,
        (plant, judge): (&mut Plant, &mut Judge),
    ) -> Range<u32> {
        let (label, word, stream, end) = course;
        let told = self.told(stream, aside, there, rigs, plant);
        // The tick of the damage itself is not judged.
        let ticks = end.map_or(plant.period, |(_, tick)| u32::from(tick));
        let first = self.ways.len() as u32;
        for told in told.iter() {
            let from = self.lanes.len() as u32;
            if end.is_none() {
                self.lanes.extend(&told.lanes);
            }
            self.ways.push(Way {
                label: plant.label_with(label, told.sampled),
                view: judge.view(plant.word(word) & !told.hidden | told.shown, ticks),
                end: end.map(|(end, _)| end),
                lanes: (from, self.lanes.len() as u32),
            });
        }
        let end = self.ways.len() as u32;
        keep(&mut self.lists, number, aside, (first, end));
        first..end
    }

    fn told(
        &mut self,
        stream: u32,
        aside: u32,
        there: bool,
        rigs: &mut Rigs,
        plant: &mut Plant,
    ) -> Rc<[Told]> {
        if let Some(told) = self.told.get(&(stream, aside)) {
            return Rc::clone(told);
        }
        let mut numbers: FxHashMap<(u64, u128, u128), usize> = FxHashMap::default();
        let mut all: Vec<Told> = Vec::new();
        for beside in plant.besides(rigs.asides(aside), stream, there) {
            let (sampled, shown, hidden) = (beside.sampled, beside.shown, beside.hidden);
            let at = *numbers.entry((sampled, shown, hidden)).or_insert(all.len());
            if at == all.len() {
                all.push(Told { sampled, shown, hidden, lanes: Vec::new() });
            }
            let to = rigs.aside(beside.asides);
            put(&mut all[at].lanes, rigs.aside_lane(to));
        }
        let all: Rc<[Told]> = all.into();
        self.told.insert((stream, aside), Rc::clone(&all));
        all
    }
}
