//! A suspect with what is tried of it: between which of its values all that was found may be shown.

use super::Suspect;
use super::outcome::{Gap, Outcome};
use std::rc::Rc;

/// Number of the sound bench.
pub(super) const SOUND: usize = 0;

/// How likely a suspect is of which no value that is tried fits, beside one of which all do (own choice): little, as it takes a value
/// between two, or one so small that it hardly shows.
const LEAST_WEIGHT: f64 = 0.02;

/// How likely it is if that value has to leave the bench in a state that is neither that of the one nor that of the other (own choice):
/// a tenth.
const SELDOM_WEIGHT: f64 = 0.002;

/// One suspect with its benches.
#[derive(Clone, Debug)]
pub(super) struct Tried {
    pub suspect: Suspect,
    pub comes_and_goes: bool,
    /// One for each value that is tried, in their order; not those at the ends of its scale.
    pub benches: Vec<usize>,
    /// Benches next to each other on its scale, between which lie its other values. A suspect without values has one such gap, of no width.
    ends: Vec<[usize; 2]>,
    /// By gap: all that was found may be shown there.
    gaps: Vec<bool>,
    /// By gap and end: all that was found may be shown there by a value that leaves the bench in the state of that end.
    sure: Vec<[bool; 2]>,
    /// All benches on its scale, in order, and whether each has itself shown all that was found.
    scale: Vec<(usize, bool)>,
    /// Number of the finding that it does not explain.
    pub ruled_out: Option<usize>,
}

/// What a bench showed at a finding.
#[derive(Clone, Debug)]
pub(super) struct Showed {
    pub outcome: Outcome,
    /// Digest of its signals.
    pub signals: u64,
    /// The signal that was seen has changed before.
    pub turned: bool,
    /// Its signals have once strayed from those of the sound bench.
    pub strayed: bool,
    /// How its motors run: currents, mA, and speed of each, thousandths; nothing where that is not asked for.
    pub drive: Option<Rc<[i64]>>,
}

impl Showed {
    /// Whether its motors run otherwise than those of another, by more than one part in a hundred.
    fn runs_otherwise(&self, other: &Showed) -> bool {
        let (Some(own), Some(other)) = (&self.drive, &other.drive) else { return false };
        own.iter().zip(&**other).any(|(a, b)| (a - b).abs() * 100 > a.abs().max(b.abs()))
    }
}

/// By bench; nothing where the place is not there.
type Noted<'a> = &'a dyn Fn(usize) -> Option<Showed>;

impl Tried {
    /// With a bench for each value that is tried, and all that stand on its scale in order, the ends and the sound one among them.
    pub fn new(suspect: Suspect, comes_and_goes: bool, benches: Vec<usize>, scale: &[usize]) -> Tried {
        let ends: Vec<[usize; 2]> = match scale {
            [one] => vec![[*one; 2]],
            more => more.windows(2).map(|pair| [pair[0], pair[1]]).collect(),
        };
        let (gaps, sure) = (vec![true; ends.len()], vec![[true; 2]; ends.len()]);
        let scale = scale.iter().map(|&bench| (bench, true)).collect();
        Tried { suspect, comes_and_goes, benches, ends, gaps, sure, scale, ruled_out: None }
    }

    pub fn is_left(&self) -> bool {
        self.ruled_out.is_none()
    }

    /// Ends of the gaps that are left.
    pub fn gaps(&self) -> impl Iterator<Item = [usize; 2]> {
        self.ends.iter().zip(&self.gaps).filter(|(_, left)| **left).map(|(ends, _)| *ends)
    }

    /// Those of them in which all that was found is explained by the state of the one end or of the other. In the rest it takes a state
    /// between them, of which nothing is known.
    pub fn sure(&self) -> impl Iterator<Item = [usize; 2]> {
        let all = self.ends.iter().zip(self.gaps.iter().zip(&self.sure));
        all.filter(|(_, (left, sure))| **left && sure.contains(&true)).map(|(ends, _)| *ends)
    }

    /// Benches at the gaps that are left, each once and in order, without the sound one.
    pub fn needed(&self) -> Vec<usize> {
        let mut needed: Vec<usize> = match self.is_left() {
            true => self.gaps().flatten().filter(|&bench| bench != SOUND).collect(),
            false => Vec::new(),
        };
        needed.dedup();
        needed
    }

    /// Benches on its scale that themselves have shown all that was found, the ends and the sound one among them.
    pub fn fitting(&self) -> impl Iterator<Item = usize> {
        self.scale.iter().filter(|(_, fits)| *fits).map(|(bench, _)| *bench)
    }

    /// Those of them that have one of its values.
    pub fn fitting_values(&self) -> impl Iterator<Item = usize> {
        self.fitting().filter(|bench| self.benches.contains(bench))
    }

    /// How likely it is beside the others: by the part of its values that have themselves shown all that was found.
    pub fn weight(&self) -> f64 {
        let part = self.fitting_values().count() as f64 / self.benches.len() as f64;
        match (part > LEAST_WEIGHT, self.sure().next().is_some()) {
            (true, _) => part,
            (false, true) => LEAST_WEIGHT,
            (false, false) => SELDOM_WEIGHT,
        }
    }

    /// Strikes out the gaps in which this cannot be shown, and the suspect with the last of them.
    pub fn judge(&mut self, finding: usize, shown: &Outcome, noted: Noted) {
        if !self.is_left() {
            return;
        }
        let all: Vec<Outcome> = self
            .needed()
            .into_iter()
            .chain([SOUND])
            .filter_map(|bench| Some(noted(bench)?.outcome))
            .collect();
        for (bench, fits) in &mut self.scale {
            *fits &= noted(*bench).is_none_or(|noted| noted.outcome.is_near(shown));
        }
        let gaps = self.gaps.iter_mut().zip(&mut self.sure).zip(&self.ends);
        for ((left, sure), &[a, b]) in gaps {
            let (Some(a), Some(b), Some(sound)) = (noted(a), noted(b), noted(SOUND)) else { continue };
            // What comes and goes is away, there, or has left the bench or a motor in nobody knows which state.
            let unknown = |end: &Showed| end.strayed || end.runs_otherwise(&sound);
            let excused = self.comes_and_goes && (sound.outcome.is_near(shown) || unknown(&a) || unknown(&b));
            let (same_state, turned_alike) = (a.signals == b.signals, a.turned == b.turned);
            let own = Gap { ends: [a.outcome, b.outcome], same_state, turned_alike, all: &all };
            *left &= excused || own.explains(shown);
            for (sure, end) in sure.iter_mut().zip(own.ends) {
                *sure &= own.explains_as(end, shown);
            }
        }
        if !self.gaps.contains(&true) {
            self.ruled_out = Some(finding);
        }
    }
}
