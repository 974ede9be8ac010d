//! What a reading is expected to tell.

use super::Suspects;
use super::scene::Scene;
use super::tried::{SOUND, Tried};

/// A suspect as a scene sees it.
struct Seen {
    /// Ends of each gap, and whether they are in the same state.
    gaps: Vec<([usize; 2], bool)>,
    /// Benches of what is expected to be shown: those that themselves have shown all that was found, or, if it fits between two only, the
    /// ends of what leaves one state. Of what fits nowhere else nothing is expected.
    benches: Vec<usize>,
}

impl Seen {
    fn of(tried: &Tried, scene: &Scene, stands: &[usize]) -> Seen {
        let gaps = tried.gaps().map(|ends| {
            let ends = ends.map(|bench| stands[bench]);
            (ends, scene.signals(ends[0]) == scene.signals(ends[1]))
        });
        let gaps: Vec<_> = gaps.collect();
        let mut benches: Vec<usize> = tried.fitting().map(|bench| stands[bench]).collect();
        if benches.is_empty() {
            benches = gaps.iter().filter(|(_, same)| *same).flat_map(|(ends, _)| *ends).collect();
            benches.dedup();
        }
        Seen { gaps, benches }
    }
}

impl Suspects {
    /// Of some readings of a scene, what each is expected to tell of the suspects that stay, bits. `stands` has the bench of the scene that
    /// stands for each.
    pub(super) fn worths(&self, scene: &Scene, stands: &[usize], readings: &[usize]) -> Vec<f64> {
        let all: Vec<Seen> = self.lasting().map(|tried| Seen::of(tried, scene, stands)).collect();
        let mut room = Room { log: (0..=all.len()).map(|n| (n as f64).log2()).collect(), ..Room::default() };
        readings.iter().map(|&reading| worth(&all, scene, reading, &mut room)).collect()
    }
}

/// Room for numbers.
#[derive(Default)]
struct Room {
    /// By kind of outcome: how many suspects show it, those of several values in part.
    likely: Vec<f64>,
    /// By kind: how many more may show it than the kind before.
    more: Vec<i64>,
    /// Stretches of kinds that one suspect may show.
    stretches: Vec<(usize, usize)>,
    /// Binary logarithms of whole numbers.
    log: Vec<f64>,
}

/// How much a reading tells of these suspects on average, bits: each as likely as any other, and each of its values too.
fn worth(all: &[Seen], scene: &Scene, reading: usize, room: &mut Room) -> f64 {
    let kinds = scene.count(reading);
    if kinds < 2 || all.len() < 2 {
        return 0.0;
    }
    room.likely.clear();
    room.likely.resize(kinds, 0.0);
    room.more.clear();
    room.more.resize(kinds + 1, 0);
    for seen in all {
        if let ([([a, b], _)], [bench]) = (&seen.gaps[..], &seen.benches[..])
            && a == b
        {
            let kind = scene.kind(*bench, reading);
            room.likely[kind] += 1.0;
            room.more[kind] += 1;
            room.more[kind + 1] -= 1;
            continue;
        }
        let part = 1.0 / seen.benches.len() as f64;
        for &bench in &seen.benches {
            room.likely[scene.kind(bench, reading)] += part;
        }
        add_stretches(seen, scene, reading, room);
    }
    let count: f64 = room.likely.iter().sum();
    let (mut left, mut explaining, mut shown) = (0.0, 0, 0);
    for (likely, more) in room.likely.iter().zip(&room.more) {
        explaining += more;
        if *likely > 0.0 {
            shown += 1;
            left += likely / count * room.log[explaining as usize];
        }
    }
    let bits = room.log[all.len()] - left;
    if shown > 1 && bits > 1e-9 { bits } else { 0.0 }
}

/// Counts a suspect once for each kind that a value of it may show.
fn add_stretches(seen: &Seen, scene: &Scene, reading: usize, room: &mut Room) {
    let stretches = &mut room.stretches;
    stretches.clear();
    let kind = |bench: usize| scene.kind(bench, reading);
    for &(ends, same) in &seen.gaps {
        scene.between(reading, ends.map(kind), same, &mut |from, to| stretches.push((from, to)));
    }
    if seen.gaps.iter().any(|(_, same)| !same) {
        stretches.extend(seen.benches.iter().chain([&SOUND]).map(|&bench| (kind(bench), kind(bench))));
    }
    stretches.sort_unstable();
    let mut next = 0;
    for &(from, to) in stretches.iter() {
        let from = from.max(next);
        if from <= to {
            room.more[from] += 1;
            room.more[to + 1] -= 1;
            next = to + 1;
        }
    }
}
