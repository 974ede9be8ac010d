//! What a reading is expected to tell.

use super::Suspects;
use super::look::Look;
use super::outcome::{Clusters, Gap, Outcome};
use super::told::digest;
use super::tried::{SOUND, Tried};
use rustc_hash::FxHashMap;

/// A suspect as a look sees it.
struct Seen {
    /// Ends of each gap, and whether they are in the same state.
    gaps: Vec<([usize; 2], bool)>,
    /// Benches of the values that may be.
    benches: Vec<usize>,
}

impl Suspects {
    /// Of each reading of a look, what it is expected to tell of the suspects that stay, bits. `stands` has the bench of the look that stands
    /// for each.
    pub(super) fn worths(&self, look: &Look, stands: &[usize]) -> Vec<f64> {
        let all: Vec<Seen> = self.lasting().map(|tried| Seen::of(tried, look, stands)).collect();
        (0..look.offered.len()).map(|reading| worth(&all, look, reading)).collect()
    }
}

impl Seen {
    fn of(tried: &Tried, look: &Look, stands: &[usize]) -> Seen {
        let gaps = tried.gaps().map(|ends| {
            let ends = ends.map(|bench| stands[bench]);
            (ends, look.signals(ends[0]) == look.signals(ends[1]))
        });
        Seen {
            gaps: gaps.collect(),
            benches: tried.needed().into_iter().map(|bench| stands[bench]).collect(),
        }
    }
}

/// Suspects that show the same of a reading: one of them, and how many they are.
struct Group<'a> {
    seen: &'a Seen,
    count: f64,
}

/// How much a reading tells of these suspects on average, bits: each as likely as any other, and each of its values too.
fn worth(all: &[Seen], look: &Look, reading: usize) -> f64 {
    let code = |bench: usize| look.code(bench, reading);
    let mut groups: Vec<Group> = Vec::new();
    let mut numbers: FxHashMap<u64, usize> = FxHashMap::default();
    for seen in all {
        let mut key = 0;
        for (ends, same) in &seen.gaps {
            key = digest(&(key, ends.map(code), same));
        }
        let number = *numbers.entry(key).or_insert_with(|| {
            groups.push(Group { seen, count: 0.0 });
            groups.len() - 1
        });
        groups[number].count += 1.0;
    }
    let codes = groups.iter().flat_map(|group| &group.seen.benches).map(|&bench| code(bench));
    let clusters = Clusters::of(codes, |code| look.outcome(reading, code));
    if clusters.first.len() < 2 {
        return 0.0;
    }
    let sound = look.outcome(reading, code(SOUND));
    let shown = |bench: usize| look.outcome(reading, code(bench));
    let explaining = |seen: &Seen, outcome: &Outcome| {
        let others: Vec<Outcome> = seen.benches.iter().map(|&b| shown(b)).chain([sound]).collect();
        let gap = |(ends, same): &([usize; 2], bool)| {
            Gap { ends: ends.map(shown), same_state: *same, all: &others }.explains(outcome)
        };
        seen.gaps.iter().any(gap)
    };
    let count = all.len() as f64;
    let mut left = 0.0;
    for (number, outcome) in clusters.first.iter().enumerate() {
        let (mut likely, mut explain) = (0.0, 0.0);
        for Group { seen, count } in &groups {
            let such = seen.benches.iter().filter(|&&b| clusters.numbers[&code(b)] == number).count();
            likely += count * such as f64 / seen.benches.len() as f64;
            if such > 0 || explaining(seen, outcome) {
                explain += count;
            }
        }
        left += likely / count * f64::log2(explain);
    }
    let bits = count.log2() - left;
    if bits > 1e-9 { bits } else { 0.0 }
}
