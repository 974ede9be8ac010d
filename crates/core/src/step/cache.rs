//! What is known of the network by key: made once, read often.

use super::volts::{Column, NEVER, Swayed, Volts, least};
use super::{brakes, contactors, controllers, dc_supplies, lamps, outputs, overloads, switches};
use crate::complex::Complex;
use crate::design::Design;
use crate::devices::motor_curve::Feed;
use crate::devices::motor_sequence::SequenceFeed;
use crate::network::{Key, Solution, Workspace};
use rustc_hash::FxHashMap;
use std::rc::Rc;

/// What is known by key. It can be emptied at any tick without changing a bit; it is never iterated.
#[derive(Clone, Debug, Default)]
pub struct Cache {
    known: FxHashMap<Key, Rc<Known>>,
    last: Option<(Key, Rc<Known>)>,
    workspace: Workspace,
    /// Room for the motors' currents by port, for what they sway and for a program's memory, so that a tick allocates
    /// nothing.
    pub(super) drawn: Vec<[Complex; 3]>,
    pub(super) column: Column,
    pub(super) room: controllers::Room,
}

/// What is known for one key: a pure function of design and key.
#[derive(Debug)]
pub(super) struct Known {
    pub solution: Rc<Solution>,
    /// What each motor hangs on.
    pub feeds: Vec<MotorFeed>,
    /// Poles of protective devices, and heaters of overloads whose current the motors sway.
    pub poles: Swayed,
    pub heaters: Swayed,
    /// Square of the motors' current, A², up to which no surge is on and no other reading comes out otherwise than without
    /// any; [`NEVER`] if a surge is on without any.
    calm: f64,
}

/// What a motor hangs on, ready for its equations.
#[derive(Clone, Copy, Debug)]
pub(super) enum MotorFeed {
    /// Nothing joins two of the terminals.
    Apart(Feed),
    Dead,
    Components(SequenceFeed),
    Lines(Feed),
}

impl MotorFeed {
    fn of(feed: Feed) -> MotorFeed {
        match SequenceFeed::of(feed.open, feed.z) {
            _ if feed.apart() => MotorFeed::Apart(feed),
            _ if feed.dead() => MotorFeed::Dead,
            Some(components) => MotorFeed::Components(components),
            None => MotorFeed::Lines(feed),
        }
    }
}

/// Most solutions that are kept; beyond, all are dropped.
const MOST_SOLUTIONS: usize = 4096;

impl Cache {
    /// The solution for a key if it is kept.
    pub fn peek(&self, key: &Key) -> Option<Rc<Solution>> {
        self.known.get(key).map(|known| Rc::clone(&known.solution))
    }

    /// What is known for a key: kept, or made.
    pub(super) fn known(&mut self, design: &Design, key: &Key) -> Rc<Known> {
        if let Some((last, known)) = &self.last
            && last == key
        {
            return Rc::clone(known);
        }
        if self.known.len() >= MOST_SOLUTIONS {
            self.known.clear();
        }
        let entry = self.known.entry(*key);
        let known = Rc::clone(entry.or_insert_with(|| {
            design.network.solve_in(key, &mut self.workspace);
            Rc::new(Known::of(design, self.workspace.solution()))
        }));
        self.last = Some((*key, Rc::clone(&known)));
        known
    }
}

/// The motors' current, A, up to which no coil, channel, output, supply, lamp or brake reads otherwise.
pub(super) fn readings_calm(design: &Design, volts: &Volts) -> f64 {
    let of = [
        contactors::calm(design, volts),
        controllers::calm(design, volts),
        outputs::calm(design, volts),
        dc_supplies::calm(design, volts),
        lamps::calm(design, volts),
        brakes::calm(design, volts),
    ];
    least(of.into_iter())
}

impl Known {
    fn of(design: &Design, solution: Solution) -> Known {
        let volts = Volts { solution: &solution, drawn: &[] };
        let surges = [contactors::poles_calm(design, &volts), switches::calm(design, &volts)];
        let calm = least(surges.into_iter().chain([readings_calm(design, &volts)]));
        Known {
            feeds: design.motors.iter().map(|m| MotorFeed::of(Feed::of(&m.data, &solution))).collect(),
            poles: switches::poles(design, &volts),
            heaters: overloads::swayed(design, &volts),
            calm: if calm < 0.0 { NEVER } else { calm * calm },
            solution: Rc::new(solution),
        }
    }

    /// No surge is on, and no current is so high that a reading could differ from the one without any: but for the
    /// heaters', and the poles' below a surge.
    pub fn calm<'a>(&self, mut currents: impl Iterator<Item = &'a [Complex; 3]>) -> bool {
        self.calm >= 0.0 && currents.all(|c| c.iter().all(|i| i.norm_sqr() <= self.calm))
    }
}
