//! What a reading is expected to tell.

use super::Suspects;
use super::scene::Scene;
use super::tried::{SOUND, Tried};
use std::hash::Hasher;
use std::mem;

/// A suspect as a scene sees it.
struct Seen {
    /// Ends of each gap, and whether they are in the same state.
    gaps: Vec<([usize; 2], bool)>,
    /// Benches of what is expected to be shown: those that themselves have shown all that was found, of its values or else at the ends of its
    /// scale. If it fits between two only, a figure has told how much it is, and no bench shows what is to be expected elsewhere.
    benches: Vec<usize>,
    /// The ends of what fits between two that are in the same state: what is expected where nothing else is.
    between: Vec<usize>,
    /// How likely it is beside the others.
    weight: f64,
}

impl Seen {
    fn of(tried: &Tried, scene: &Scene, stands: &[usize]) -> Seen {
        let here = |ends: [usize; 2]| {
            let ends = ends.map(|bench| stands[bench]);
            (ends, scene.signals(ends[0]) == scene.signals(ends[1]))
        };
        let gaps: Vec<_> = tried.gaps().map(here).collect();
        let mut benches: Vec<usize> = tried.fitting_values().collect();
        if benches.is_empty() {
            benches = tried.fitting().collect();
        }
        benches.iter_mut().for_each(|bench| *bench = stands[*bench]);
        let mut sure = tried.sure().map(here).peekable();
        let among: Vec<_> = if sure.peek().is_some() { sure.collect() } else { gaps.clone() };
        let mut between: Vec<usize> =
            among.into_iter().filter(|(_, same)| *same).flat_map(|(ends, _)| ends).collect();
        between.dedup();
        Seen { gaps, benches, between, weight: tried.weight() }
    }
}

/// What a reading is expected to tell.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Worth {
    /// How much narrower the choice becomes on average.
    pub bits: f64,
    /// Digest of what it tells apart of that which is expected; the same of two readings that ask the same. 0 of one that is worth nothing.
    pub question: u64,
}

impl Suspects {
    /// Of some readings of a scene, what each is expected to tell of the suspects that stay. `stands` has the bench of the scene that
    /// stands for each.
    pub(super) fn worths(&self, scene: &Scene, stands: &[usize], readings: &[usize]) -> Vec<Worth> {
        let mut all: Vec<Seen> = self.lasting().map(|tried| Seen::of(tried, scene, stands)).collect();
        if all.iter().all(|seen| seen.benches.is_empty()) {
            all.iter_mut().for_each(|seen| seen.benches = mem::take(&mut seen.between));
        }
        let mut room = Room::default();
        let of = |&reading: &usize| match worth(&all, scene, reading, &mut room) {
            0.0 => Worth::default(),
            bits => Worth { bits, question: question(&all, scene, reading, &mut room) },
        };
        readings.iter().map(of).collect()
    }
}

/// Digest of which benches show the same of a reading, of all by which something is expected.
fn question(all: &[Seen], scene: &Scene, reading: usize, room: &mut Room) -> u64 {
    let firsts = &mut room.firsts;
    firsts.clear();
    firsts.resize(scene.count(reading), 0);
    let (mut hash, mut next) = (rustc_hash::FxHasher::default(), 0);
    for &bench in all.iter().flat_map(|seen| &seen.benches) {
        let first = &mut firsts[scene.kind(bench, reading)];
        if *first == 0 {
            next += 1;
            *first = next;
        }
        hash.write_u32(*first);
    }
    hash.finish()
}

impl Suspects {
    /// Which of the suspects that stay a reading of a scene rules out if it shows what it does on the sound bench: their numbers among these.
    pub(super) fn ruled_out_as_sound(&self, scene: &Scene, stands: &[usize], reading: usize) -> Vec<usize> {
        let sound = scene.kind(SOUND, reading);
        let mut room = Vec::new();
        let explains = |tried: &Tried, room: &mut _| {
            let seen = Seen::of(tried, scene, stands);
            seen.stretches(scene, reading, room).iter().any(|&(from, to)| (from..=to).contains(&sound))
        };
        let all = self.lasting().enumerate();
        all.filter(|(_, tried)| !explains(tried, &mut room)).map(|(number, _)| number).collect()
    }
}

/// Room for numbers.
#[derive(Default)]
struct Room {
    /// By kind of outcome: how likely it is, by the weights of the suspects that show it, those of several values in part.
    likely: Vec<f64>,
    /// By kind: the weight of those that may show it and could not show the kind before, and of those that can no more.
    turns: Vec<[f64; 2]>,
    /// Stretches of kinds that one suspect may show.
    stretches: Vec<(usize, usize)>,
    /// By kind: the how manieth it is among those that are shown, from one on.
    firsts: Vec<u32>,
}

/// How much a reading tells of these suspects on average, bits: each as likely as its weight, and each of its values as any other.
fn worth(all: &[Seen], scene: &Scene, reading: usize, room: &mut Room) -> f64 {
    let kinds = scene.count(reading);
    if kinds < 2 || all.len() < 2 {
        return 0.0;
    }
    room.likely.clear();
    room.likely.resize(kinds, 0.0);
    room.turns.clear();
    room.turns.resize(kinds + 1, [0.0; 2]);
    for seen in all {
        if let ([([a, b], _)], [bench]) = (&seen.gaps[..], &seen.benches[..])
            && a == b
        {
            let kind = scene.kind(*bench, reading);
            room.likely[kind] += seen.weight;
            room.turns[kind][0] += seen.weight;
            room.turns[kind + 1][1] += seen.weight;
            continue;
        }
        let part = seen.weight / seen.benches.len() as f64;
        for &bench in &seen.benches {
            room.likely[scene.kind(bench, reading)] += part;
        }
        add_stretches(seen, scene, reading, room);
    }
    let count: f64 = room.likely.iter().sum();
    let weight: f64 = all.iter().map(|seen| seen.weight).sum();
    let (mut left, mut begun, mut ended, mut shown) = (0.0, 0.0, 0.0, 0);
    for (likely, [begin, end]) in room.likely.iter().zip(&room.turns) {
        (begun, ended) = (begun + begin, ended + end);
        if *likely > 0.0 {
            shown += 1;
            // Rounding must not take away what shows it for certain.
            let explaining = if begun - ended > *likely { begun - ended } else { *likely };
            left += likely / count * f64::log2(explaining);
        }
    }
    let bits = weight.log2() - left;
    if shown > 1 && bits > 1e-9 { bits } else { 0.0 }
}

/// Counts a suspect once for each kind that a value of it may show.
fn add_stretches(seen: &Seen, scene: &Scene, reading: usize, room: &mut Room) {
    let mut next = 0;
    for &(from, to) in seen.stretches(scene, reading, &mut room.stretches) {
        let from = from.max(next);
        if from <= to {
            room.turns[from][0] += seen.weight;
            room.turns[to + 1][1] += seen.weight;
            next = to + 1;
        }
    }
}

impl Seen {
    /// Stretches of kinds that a value of it may show, in order.
    fn stretches<'a>(
        &self,
        scene: &Scene,
        reading: usize,
        stretches: &'a mut Vec<(usize, usize)>,
    ) -> &'a [(usize, usize)] {
        stretches.clear();
        let kind = |bench: usize| scene.kind(bench, reading);
        for &(ends, same) in &self.gaps {
            scene.between(reading, ends.map(kind), same, &mut |from, to| stretches.push((from, to)));
        }
        if self.gaps.iter().any(|(_, same)| !same) {
            // The same as what findings are held against: whatever is shown at any gap that is left, and without a fault.
            let ends = self.gaps.iter().flat_map(|(ends, _)| ends);
            stretches.extend(ends.chain([&SOUND]).map(|&bench| (kind(bench), kind(bench))));
        }
        stretches.sort_unstable();
        stretches
    }
}

#[cfg(test)]
mod tests {
    use super::super::outcome::Outcome;
    use super::super::scene::Row;
    use super::*;
    use std::rc::Rc;

    /// Benches that show these figures of one reading, in one state, and what each suspect is: benches of its values.
    fn bits(figures: &[i64], suspects: &[&[usize]]) -> f64 {
        let outcomes: Vec<Outcome> = figures.iter().map(|&value| Outcome::Figure(value, 10, None)).collect();
        let none = || Rc::new([]);
        let row = |number: usize| {
            Some(Row { kinds: vec![number as u16], signals: 0, seen: none(), turned: none() })
        };
        let rows = (0..figures.len()).map(row).collect();
        let scene = Scene::new(Rc::new(Vec::new()), [&outcomes[..]].into_iter(), rows);
        let of = |benches: &&[usize]| {
            let gaps: Vec<[usize; 2]> = match benches {
                [one] => vec![[*one; 2]],
                more => more.windows(2).map(|pair| [pair[0], pair[1]]).collect(),
            };
            let gaps = gaps.into_iter().map(|ends| (ends, true)).collect();
            Seen { gaps, benches: benches.to_vec(), between: Vec::new(), weight: 1.0 }
        };
        let all: Vec<Seen> = suspects.iter().map(of).collect();
        worth(&all, &scene, 0, &mut Room::default())
    }

    /// By hand: of four suspects two show 0 V and two 24 V: one bit. All the same, or within 1 %: none. All apart: two bits. One that may
    /// show 0 V to 24 V against one that shows 24 V: at 0 V, of which one is left, in a quarter of the cases: a quarter of a bit. Against
    /// one that shows 12 V: 1 − 1/2 · log₂ 2 = half a bit.
    #[test]
    fn worth_in_bits() {
        assert_eq!(bits(&[0, 0, 24_000, 24_000], &[&[0], &[1], &[2], &[3]]), 1.0);
        assert_eq!(bits(&[24_000, 24_100], &[&[0], &[1]]), 0.0);
        assert_eq!(bits(&[0, 6_000, 12_000, 24_000], &[&[0], &[1], &[2], &[3]]), 2.0);
        assert_eq!(bits(&[0, 24_000], &[&[0, 1], &[1]]), 0.25);
        assert_eq!(bits(&[0, 12_000, 24_000], &[&[0, 2], &[1]]), 0.5);
    }
}
