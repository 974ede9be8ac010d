//! The armature of a contactor: where it is, and the order in which its contacts change.
//!
//! The break contact opens before the main poles and the make contact close, and on release they open before the
//! break contact closes (IEC 60947-5-1 for mechanically linked contacts; delays: see [`ArmatureDelays`]).

use crate::part::ArmatureDelays;

/// Where the armature is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub enum Place {
    /// Out, at rest: break contact closed.
    #[default]
    Out,
    /// Travelling in, break contact still closed.
    ClosingBreakShut,
    /// Travelling in, all contacts open.
    ClosingAllOpen,
    /// In, at rest: main poles and make contact closed.
    In,
    /// Travelling out, main poles still closed.
    ReleasingMainShut,
    /// Travelling out, or held by welded poles: all contacts open that are not welded.
    ReleasedAllOpen,
}

/// An armature and the ticks since its travel began.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub struct Armature {
    /// Where it is.
    pub place: Place,
    /// Ticks since the coil changed (in `ReleasedAllOpen`: since the main poles opened).
    pub elapsed: u8,
}

impl Armature {
    /// Main poles and make contact closed.
    pub fn main_shut(self) -> bool {
        matches!(self.place, Place::In | Place::ReleasingMainShut)
    }

    /// Break contact closed.
    pub fn break_shut(self) -> bool {
        matches!(self.place, Place::Out | Place::ClosingBreakShut)
    }

    /// Nothing moves.
    pub fn at_rest(self) -> bool {
        matches!(self.place, Place::Out | Place::In)
    }

    /// One tick. `pulled`: the coil attracts or a hand pushes. `blocked`: a mechanical interlock holds it at
    /// [`Place::ClosingAllOpen`]. `held`: welded poles hold it short of its rest, the break contacts stay open.
    pub fn step(&mut self, pulled: bool, blocked: bool, held: bool, delays: ArmatureDelays) {
        let next = self.elapsed.saturating_add(1);
        let (place, elapsed) = match (self.place, pulled) {
            (Place::Out, true) => self.close_from(Place::ClosingBreakShut, 1, blocked, delays),
            (Place::Out, false) => (Place::Out, 0),
            (Place::ClosingBreakShut | Place::ClosingAllOpen, true) => {
                self.close_from(self.place, next, blocked, delays)
            }
            (Place::ClosingBreakShut, false) => (Place::Out, 0),
            (Place::ClosingAllOpen, false) => (Place::ReleasedAllOpen, 0),
            (Place::In, true) => (Place::In, 0),
            (Place::In, false) => Self::release_from(1, delays),
            (Place::ReleasingMainShut, true) => (Place::In, 0),
            (Place::ReleasingMainShut, false) => Self::release_from(next, delays),
            (Place::ReleasedAllOpen, true) => {
                self.close_from(Place::ClosingAllOpen, delays.break_open_ms, blocked, delays)
            }
            (Place::ReleasedAllOpen, false) if next >= delays.break_close_ms && !held => (Place::Out, 0),
            (Place::ReleasedAllOpen, false) => (Place::ReleasedAllOpen, next.min(delays.break_close_ms)),
        };
        self.place = place;
        self.elapsed = elapsed;
    }

    fn close_from(self, place: Place, elapsed: u8, blocked: bool, delays: ArmatureDelays) -> (Place, u8) {
        if elapsed >= delays.main_close_ms && !blocked {
            (Place::In, 0)
        } else if elapsed >= delays.break_open_ms || place == Place::ClosingAllOpen {
            // A blocked armature waits here; the count stands still so that plain state stays bounded.
            (Place::ClosingAllOpen, elapsed.min(delays.main_close_ms))
        } else {
            (Place::ClosingBreakShut, elapsed)
        }
    }

    fn release_from(elapsed: u8, delays: ArmatureDelays) -> (Place, u8) {
        if elapsed >= delays.main_open_ms {
            (Place::ReleasedAllOpen, 0)
        } else {
            (Place::ReleasingMainShut, elapsed)
        }
    }
}

/// An output relay or interposing relay: one contact, a delay each way.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub struct Relay {
    /// Contact closed.
    pub closed: bool,
    /// Ticks since the drive began to differ from the contact.
    pub elapsed: u8,
}

/// Output relay: ticks from drive to closed contact (typical).
pub const RELAY_CLOSE_MS: u8 = 10;

/// Output relay: ticks from end of drive to open contact (typical).
pub const RELAY_OPEN_MS: u8 = 5;

impl Relay {
    /// One tick with the drive on or off.
    pub fn step(&mut self, drive: bool) {
        if drive == self.closed {
            self.elapsed = 0;
            return;
        }
        self.elapsed += 1;
        if self.elapsed >= if drive { RELAY_CLOSE_MS } else { RELAY_OPEN_MS } {
            self.closed = drive;
            self.elapsed = 0;
        }
    }

    /// Nothing is about to change.
    pub fn at_rest(self, drive: bool) -> bool {
        drive == self.closed
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn run(a: &mut Armature, pulled: bool, ticks: u32) -> Vec<(u32, Place)> {
        let mut seen = Vec::new();
        for t in 1..=ticks {
            let before = a.place;
            a.step(pulled, false, false, ArmatureDelays::default());
            if a.place != before {
                seen.push((t, a.place));
            }
        }
        seen
    }

    /// Contact order of the device data: break opens at 11, mains close at 18; mains open at 8, break closes 3 later.
    #[test]
    fn contact_order_follows_the_declared_delays() {
        let mut a = Armature::default();
        assert_eq!(
            run(&mut a, true, 40),
            [(1, Place::ClosingBreakShut), (11, Place::ClosingAllOpen), (18, Place::In)]
        );
        assert_eq!(
            run(&mut a, false, 40),
            [(1, Place::ReleasingMainShut), (8, Place::ReleasedAllOpen), (11, Place::Out)]
        );
    }

    #[test]
    fn never_both_kinds_of_contact_closed() {
        let mut seed = 7u32;
        let mut a = Armature::default();
        for _ in 0..20_000 {
            seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            a.step(seed >> 28 > 7, seed >> 20 & 7 == 0, false, ArmatureDelays::default());
            assert!(!(a.main_shut() && a.break_shut()), "{a:?}");
        }
    }

    #[test]
    fn blocked_armature_waits_and_welded_poles_hold_it_short_of_its_rest() {
        let mut a = Armature::default();
        for _ in 0..100 {
            a.step(true, true, false, ArmatureDelays::default());
        }
        assert_eq!(a.place, Place::ClosingAllOpen);
        a.step(true, false, false, ArmatureDelays::default());
        assert_eq!(a.place, Place::In);
        for _ in 0..100 {
            a.step(false, false, true, ArmatureDelays::default());
        }
        assert_eq!((a.place, a.main_shut(), a.break_shut()), (Place::ReleasedAllOpen, false, false));
        a.step(false, false, false, ArmatureDelays::default());
        assert_eq!(a.place, Place::Out, "new contacts let it go");
    }
}
