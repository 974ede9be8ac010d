//! A suspect with what is tried of it: between which of its values all that was found may be shown.

use super::Suspect;
use super::outcome::{Gap, Outcome};

/// Number of the sound bench.
pub(super) const SOUND: usize = 0;

/// One suspect with its benches.
#[derive(Clone, Debug)]
pub(super) struct Tried {
    pub suspect: Suspect,
    pub comes_and_goes: bool,
    /// One for each value that is tried, in their order.
    pub benches: Vec<usize>,
    /// Between its values and none lie others.
    between: bool,
    /// By gap: all that was found may be shown there. A suspect without values has one, of no width.
    gaps: Vec<bool>,
    /// By bench: it has itself shown all that was found.
    fits: Vec<bool>,
    /// Number of the finding that it does not explain.
    pub ruled_out: Option<usize>,
}

/// What a bench showed at a finding, a digest of its signals, and whether they have ever strayed from those of the sound bench; nothing
/// where the place is not there.
type Noted<'a> = &'a dyn Fn(usize) -> Option<(Outcome, u64, bool)>;

impl Tried {
    /// With one bench, and no value.
    pub fn new(suspect: Suspect, comes_and_goes: bool, bench: usize) -> Tried {
        Tried {
            suspect,
            comes_and_goes,
            benches: vec![bench],
            between: false,
            gaps: vec![true],
            fits: Vec::new(),
            ruled_out: None,
        }
    }

    /// It has a value, which may lie between any two of its benches, or between one and none.
    pub fn has_between(&mut self) {
        self.between = true;
        self.gaps = vec![true; self.benches.len() + 1];
    }

    pub fn is_left(&self) -> bool {
        self.ruled_out.is_none()
    }

    /// Ends of a gap. Of some faults the lowest value is next to none, of others the highest.
    fn ends(&self, gap: usize) -> [usize; 2] {
        if !self.between {
            return [self.benches[0]; 2];
        }
        let of = |point: usize| match point {
            0 => SOUND,
            point => self.benches.get(point - 1).copied().unwrap_or(SOUND),
        };
        [of(gap), of(gap + 1)]
    }

    /// Ends of the gaps that are left.
    pub fn gaps(&self) -> impl Iterator<Item = [usize; 2]> {
        self.gaps.iter().enumerate().filter(|(_, left)| **left).map(|(gap, _)| self.ends(gap))
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

    /// Benches that themselves have shown all that was found.
    pub fn fitting(&self) -> impl Iterator<Item = usize> {
        let fits = |place: usize| self.fits.get(place).copied().unwrap_or(true);
        self.benches
            .iter()
            .copied()
            .enumerate()
            .filter(move |(place, _)| fits(*place))
            .map(|(_, bench)| bench)
    }

    /// Strikes out the gaps in which this cannot be shown, and the suspect with the last of them.
    pub fn judge(&mut self, finding: usize, shown: &Outcome, noted: Noted) {
        if !self.is_left() {
            return;
        }
        let all: Vec<Outcome> =
            self.needed().into_iter().chain([SOUND]).filter_map(|bench| Some(noted(bench)?.0)).collect();
        self.fits.resize(self.benches.len(), true);
        for (fits, &bench) in self.fits.iter_mut().zip(&self.benches) {
            *fits &= noted(bench).is_none_or(|noted| noted.0.is_near(shown));
        }
        for gap in 0..self.gaps.len() {
            let [a, b] = self.ends(gap);
            let (Some(a), Some(b), Some(sound)) = (noted(a), noted(b), noted(SOUND)) else { continue };
            // What comes and goes is away, there, or has left the bench in nobody knows which state.
            let excused = self.comes_and_goes && (sound.0.is_near(shown) || a.2 || b.2);
            let own = Gap { ends: [a.0, b.0], same_state: a.1 == b.1, all: &all };
            self.gaps[gap] &= excused || own.explains(shown);
        }
        if !self.gaps.contains(&true) {
            self.ruled_out = Some(finding);
        }
    }
}
