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
        let all = self.expected(scene, stands);
        let mut room = Room::default();
        let of = |&reading: &usize| match worth(&all, scene, reading, &mut room) {
            0.0 => Worth::default(),
            bits => Worth { bits, question: question(&all, scene, reading, &mut room) },
        };
        readings.iter().map(of).collect()
    }

    /// The readings of a scene that are worth something, at most so many, the best first with its bits; none that tells little more than one
    /// before it.
    pub(super) fn best_of(&self, scene: &Scene, stands: &[usize], most: usize) -> Vec<(usize, f64)> {
        let all = self.expected(scene, stands);
        let mut room = Room::default();
        let mut order: Vec<(usize, f64)> = (0..scene.offered.len())
            .map(|reading| (reading, worth(&all, scene, reading, &mut room)))
            .filter(|(_, bits)| *bits > 0.0)
            .collect();
        order.sort_by(|(_, a), (_, b)| b.total_cmp(a));
        let mut best: Vec<(usize, f64)> = Vec::new();
        let mut told: Vec<Open> = Vec::new();
        for (reading, bits) in order.into_iter().take(MOST_TRIED) {
            if best.len() == most {
                break;
            }
            let open = Open::of(&all, scene, reading);
            if !told.iter().any(|other| open.is_told_by(other, &all, scene)) {
                best.push((reading, bits));
                told.push(open);
            }
        }
        best
    }

    /// The suspects that stay, as a scene sees them.
    fn expected(&self, scene: &Scene, stands: &[usize]) -> Vec<Seen> {
        let mut all: Vec<Seen> = self.lasting().map(|tried| Seen::of(tried, scene, stands)).collect();
        if all.iter().all(|seen| seen.benches.is_empty()) {
            all.iter_mut().for_each(|seen| seen.benches = mem::take(&mut seen.between));
        }
        all
    }
}

/// The best of a scene are looked for among so many (own choice: a second place of the same potential, and the next, are not far behind).
const MOST_TRIED: usize = 200;

/// A reading tells little more than another if, with that known, less than this part of what it may show is open still (own choice).
const LITTLE: f64 = 0.25;

/// What is open of a reading.
struct Open {
    reading: usize,
    /// Its entropy, bits.
    bits: f64,
}

impl Open {
    fn of(all: &[Seen], scene: &Scene, reading: usize) -> Open {
        Open { reading, bits: entropy(all, &|bench| scene.kind(bench, reading)) }
    }

    /// Whether it is expected to tell little more than another. By information theory: what is open of it with the other known is the entropy
    /// of both less that of the other.
    fn is_told_by(&self, other: &Open, all: &[Seen], scene: &Scene) -> bool {
        let kinds = scene.count(self.reading);
        let both = |bench| scene.kind(bench, other.reading) * kinds + scene.kind(bench, self.reading);
        entropy(all, &both) - other.bits < LITTLE * self.bits
    }
}

/// Entropy of what benches show by which something is expected, bits.
fn entropy(all: &[Seen], shown: &dyn Fn(usize) -> usize) -> f64 {
    let mut parts: Vec<(usize, f64)> = Vec::new();
    for seen in all {
        let part = seen.weight / seen.benches.len() as f64;
        parts.extend(seen.benches.iter().map(|&bench| (shown(bench), part)));
    }
    parts.sort_unstable_by_key(|(shown, _)| *shown);
    let of_one = |same: &[(usize, f64)]| same.iter().map(|(_, part)| part).sum::<f64>();
    let (mut whole, mut sum) = (0.0, 0.0);
    for likely in parts.chunk_by(|a, b| a.0 == b.0).map(of_one) {
        (whole, sum) = (whole + likely, sum + likely * likely.log2());
    }
    whole.log2() - sum / whole
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
    /// Which of the suspects that stay each reading of a scene rules out if it shows what it does on the sound bench: their numbers among
    /// these.
    pub(super) fn ruled_out_as_sound(&self, scene: &Scene, stands: &[usize]) -> Vec<Vec<usize>> {
        let all = self.expected(scene, stands);
        let mut room = Vec::new();
        let mut of = |reading: usize| {
            let sound = scene.kind(SOUND, reading);
            let explains = |seen: &Seen, room: &mut _| {
                seen.stretches(scene, reading, room).iter().any(|&(from, to)| (from..=to).contains(&sound))
            };
            let numbered = all.iter().enumerate();
            numbered.filter(|(_, seen)| !explains(seen, &mut room)).map(|(number, _)| number).collect()
        };
        (0..scene.offered.len()).map(&mut of).collect()
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
    fn told(figures: &[i64], suspects: &[&[usize]]) -> (f64, u64) {
        let (all, scene) = asked(&[figures], suspects);
        let mut room = Room::default();
        (worth(&all, &scene, 0, &mut room), question(&all, &scene, 0, &mut room))
    }

    /// The same with the figures of each reading.
    fn asked(readings: &[&[i64]], suspects: &[&[usize]]) -> (Vec<Seen>, Scene) {
        let figure = |&value: &i64| Outcome::Figure(value, 10, None);
        let outcomes: Vec<Vec<Outcome>> =
            readings.iter().map(|all| all.iter().map(figure).collect()).collect();
        let none = || Rc::new([]);
        let row = |number: usize| {
            let kinds = vec![number as u16; readings.len()];
            Some(Row { kinds, signals: 0, seen: none(), turned: none() })
        };
        let rows = (0..readings[0].len()).map(row).collect();
        let scene = Scene::new(Rc::new(Vec::new()), outcomes.iter().map(Vec::as_slice), rows);
        let of = |benches: &&[usize]| {
            let gaps: Vec<[usize; 2]> = match benches {
                [one] => vec![[*one; 2]],
                more => more.windows(2).map(|pair| [pair[0], pair[1]]).collect(),
            };
            let gaps = gaps.into_iter().map(|ends| (ends, true)).collect();
            Seen { gaps, benches: benches.to_vec(), between: Vec::new(), weight: 1.0 }
        };
        (suspects.iter().map(of).collect(), scene)
    }

    /// By hand: of eight equal suspects one reading tells four from four (one bit), another four from the same three and one: with the first
    /// known, of its 0.95 bits there is open still 4/8 of the entropy of 3 and 1, 0.41. One that tells every second one apart is open wholly.
    #[test]
    fn what_tells_little_more_is_told() {
        let [off, on] = [0, 24_000];
        let four = [off, off, off, off, on, on, on, on];
        let others = [off, off, off, off, on, on, on, off];
        let turned = four.map(|value| on - value);
        let across = [off, on, off, on, off, on, off, on];
        let single: Vec<[usize; 1]> = (0..8).map(|number| [number]).collect();
        let single: Vec<&[usize]> = single.iter().map(|one| &one[..]).collect();
        let (all, scene) = asked(&[&four, &turned, &others, &across], &single);
        let is_told_by = |other: usize, reading: usize| {
            let [other, own] = [other, reading].map(|reading| Open::of(&all, &scene, reading));
            own.is_told_by(&other, &all, &scene)
        };
        assert!(is_told_by(0, 1) && is_told_by(1, 0));
        assert!(!is_told_by(0, 2), "0.41 of 0.95 bits are open");
        assert!(!is_told_by(0, 3), "a whole bit is open");
    }

    fn bits(figures: &[i64], suspects: &[&[usize]]) -> f64 {
        told(figures, suspects).0
    }

    /// By hand: 24 V and nil the other way round, or 230 V and 5 V, tell the same two from the same two; another pair is another question, and
    /// so is one that tells a third apart.
    #[test]
    fn what_tells_the_same_apart_asks_the_same() {
        let ask = |figures: &[i64]| told(figures, &[&[0], &[1], &[2], &[3]]).1;
        let question = ask(&[0, 0, 24_000, 24_000]);
        assert_eq!(ask(&[24_000, 24_000, 0, 0]), question);
        assert_eq!(ask(&[230_000, 231_000, 5_000, 5_020]), question);
        assert_ne!(ask(&[0, 24_000, 0, 24_000]), question);
        assert_ne!(ask(&[0, 0, 24_000, 12_000]), question);
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
