//! What a timing diagram shows: the changes of chosen signals in a stretch of time.

use crate::store::model::Trace;
use serde::{Deserialize, Serialize};

/// One signal in a stretch of time.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Track {
    /// Name of the signal.
    pub name: String,
    /// Value before the first change in the stretch; none where nothing is known of the signal.
    pub before: Option<bool>,
    /// Ticks at which it changed, and what to, oldest first.
    pub changes: Vec<(u64, bool)>,
}

impl Track {
    /// The value after a tick.
    pub fn value_at(&self, tick: u64) -> Option<bool> {
        let passed = self.changes.partition_point(|(at, _)| *at <= tick);
        passed.checked_sub(1).map(|last| self.changes[last].1).or(self.before)
    }
}

/// The tracks of `names` from tick `from` to `to`, both included, as far back as the trace keeps them.
pub fn tracks(trace: &Trace, names: &[String], from: u64, to: u64) -> Vec<Track> {
    let numbers: Vec<Option<u32>> = names.iter().map(|name| number(trace, name)).collect();
    let changes = trace.changes();
    let first = changes.partition_point(|change| change.tick < from);
    let end = changes.partition_point(|change| change.tick <= to);
    let mut tracks: Vec<Track> =
        names.iter().map(|name| Track { name: name.clone(), before: None, changes: Vec::new() }).collect();
    for change in changes.range(first.min(end)..end) {
        for (track, number) in tracks.iter_mut().zip(&numbers) {
            if *number == Some(change.name) {
                track.changes.push((change.tick, change.value));
            }
        }
    }
    for (track, number) in tracks.iter_mut().zip(&numbers) {
        let Some(number) = number else { continue };
        // A change in the stretch says what was before it, which spares looking far back.
        track.before = Some(match track.changes.first() {
            Some((_, value)) => !value,
            None => trace.value_at(*number, to),
        });
    }
    tracks
}

/// A signal by its name, or a bit of an image by its name without the controller's tag.
fn number(trace: &Trace, name: &str) -> Option<u32> {
    trace.number(name).or_else(|| {
        let tagged = format!(".{name}");
        let image = name.starts_with("IX") || name.starts_with("QX");
        let at = trace.names().iter().position(|known| image && known.ends_with(&tagged))?;
        Some(at as u32)
    })
}

/// Tick of the first change after `tick`, over all tracks.
pub fn next_change(tracks: &[Track], tick: u64) -> Option<u64> {
    let ticks = tracks.iter().flat_map(|track| track.changes.iter().map(|(at, _)| *at));
    ticks.filter(|at| *at > tick).min()
}

/// Tick of the last change before `tick`, over all tracks.
pub fn change_before(tracks: &[Track], tick: u64) -> Option<u64> {
    let ticks = tracks.iter().flat_map(|track| track.changes.iter().map(|(at, _)| *at));
    ticks.filter(|at| *at < tick).max()
}

/// A signal's name as it stands on the diagram: `SF2 pressed`, `IX0.1`.
pub fn label(name: &str) -> String {
    match name.split_once('.') {
        Some((_, image)) if image.starts_with("IX") || image.starts_with("QX") => image.to_string(),
        Some((part, what)) if part.chars().all(|c| c.is_ascii_uppercase() || c.is_ascii_digit()) => {
            format!("{part} {what}")
        }
        _ => name.to_string(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::store::model::{Bench, BenchAct, Plan};

    fn traced() -> Trace {
        let mut bench =
            Bench::new(Plan { parts: crate::loop_strip::follow::tests::parts(), ..Plan::default() }).unwrap();
        let mut trace = Trace::default();
        trace.design_changed(&bench);
        bench.act(BenchAct::Push("QA1".into())).unwrap();
        let run = |bench: &mut Bench, to: u64, trace: &mut Trace| {
            bench.run_until(to, &mut |bench, tick, events| trace.take(bench, tick, &events));
        };
        run(&mut bench, 100, &mut trace);
        bench.act(BenchAct::Release("QA1".into())).unwrap();
        run(&mut bench, 200, &mut trace);
        trace
    }

    #[test]
    fn a_pushed_armature_is_seen_and_its_value_between() {
        let names = ["QA1.13-14", "QA1.21-22", "no such"].map(String::from);
        let all = tracks(&traced(), &names, 0, 200);
        assert_eq!(all[0].changes.iter().map(|c| c.1).collect::<Vec<_>>(), [true, false]);
        let (closed, opened) = (all[0].changes[0].0, all[0].changes[1].0);
        assert!(closed < 100 && (100..200).contains(&opened));
        assert_eq!([all[0].value_at(closed - 1), all[0].value_at(closed)], [Some(false), Some(true)]);
        assert_eq!(all[2], Track { name: "no such".into(), before: None, changes: Vec::new() });
        // A stretch without a change takes its value from what came before.
        let between = tracks(&traced(), &names, closed + 1, 99);
        assert_eq!((between[0].before, between[0].changes.len()), (Some(true), 0));
        assert_eq!(between[1].before, Some(false));
        // From far to near is nothing, not a panic.
        assert!(tracks(&traced(), &names, 150, 50)[0].changes.is_empty());
    }

    #[test]
    fn changes_are_walked_over_all_tracks() {
        let track = |changes: &[(u64, bool)]| Track {
            name: "a".into(),
            before: Some(false),
            changes: changes.to_vec(),
        };
        let all = [track(&[(5, true)]), track(&[(9, true), (12, false)])];
        assert_eq!([next_change(&all, 5), next_change(&all, 12)], [Some(9), None]);
        assert_eq!([change_before(&all, 9), change_before(&all, 5)], [Some(5), None]);
    }

    #[test]
    fn names_are_short_on_the_diagram() {
        let seen = ["SF2.pressed", "KF1.IX0.1", "QA1.13-14", "fresh", "rest.Q"].map(label);
        assert_eq!(seen, ["SF2 pressed", "IX0.1", "QA1 13-14", "fresh", "rest.Q"]);
    }
}
