//! Where a timing diagram takes its tracks from: the bench as it runs, or a trial that has been recorded.

use super::span::Span;
use super::tracks::{Track, tracks};
use crate::services::page;
use crate::store::Workshop;
use std::rc::Rc;

/// A recorded stretch of time, such as that of a failed trial.
#[derive(Clone, Debug, PartialEq)]
pub struct Recording {
    /// The signals, over the whole stretch.
    pub tracks: Vec<Track>,
    /// Its last tick.
    pub end: u64,
    /// The moment that it is about, with what is to be said about it.
    pub moment: Option<(u64, String)>,
    /// Played as time passes from this reading of the page's clock on, ms, under this heading; none where it is shown whole.
    pub played: Option<(f64, String)>,
}

impl Recording {
    /// The last tick that there is by now.
    fn end_now(&self) -> u64 {
        match &self.played {
            Some((from, _)) => ((page::clock_ms() - from).max(0.0) as u64).min(self.end),
            None => self.end,
        }
    }

    /// The stretch to be shown first: around the moment, or the whole.
    pub fn first_view(&self) -> Span {
        match self.moment {
            Some((tick, _)) => Span { end: (tick + 500).min(self.end.max(tick)), length_ms: 2_000 },
            None => Span { end: self.end, length_ms: self.end.max(super::span::SHORTEST_MS) },
        }
    }
}

/// A source of tracks.
#[derive(Clone, Debug, PartialEq)]
pub enum Source {
    /// The bench.
    Bench,
    /// A recording.
    Recorded(Rc<Recording>),
}

impl Source {
    /// The last tick that there is.
    pub fn end(&self, workshop: &Workshop) -> u64 {
        match self {
            Source::Bench => workshop.session().tick().saturating_sub(1),
            Source::Recorded(recording) => recording.end_now(),
        }
    }

    /// The tracks of the signals in view. A recording has its own signals.
    pub fn tracks(&self, workshop: &Workshop, names: &[String], span: Span) -> Vec<Track> {
        match self {
            Source::Bench => tracks(workshop.session().trace(), names, span.from(), span.end),
            Source::Recorded(recording) => recording.tracks.clone(),
        }
    }

    /// The moment that a recording is about.
    pub fn moment(&self) -> Option<&(u64, String)> {
        match self {
            Source::Bench => None,
            Source::Recorded(recording) => recording.moment.as_ref(),
        }
    }
}
