//! Chatter: an armature that goes in and out again and again by itself.
//!
//! Nothing here makes an armature chatter. It follows from the network: what the armature switches pulls the voltage of
//! its own coil below its drop-out, it lets go, the voltage is back, and so on; or the circuit of its coil opens by its
//! own contact. Here it is counted, told with its cause, and known for the welding that comes of it.

/// Longest time drawn in, and longest time let go, of a chattering armature, ms. It takes 10 to 40 ms each way (typical of
/// frames up to 25 A); a hand that presses as fast as it can needs more.
pub const PAUSE_MS: u64 = 100;

/// Times that the coil draws its armature so fast one after the other before it counts as chatter; two or three may be a dip.
pub const FROM: u16 = 5;

/// What a coil does of late.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub struct ChatterState {
    /// Times that it has drawn its armature, each within [`PAUSE_MS`] of what was before.
    pub operations: u16,
    /// Voltage at which it last let go, percent of the rated one.
    pub let_go_percent: u8,
    /// It draws.
    pub draws: bool,
    /// Tick since which it does, or does not.
    since: u64,
}

impl ChatterState {
    /// The armature chatters.
    pub fn chatters(&self) -> bool {
        self.operations >= FROM
    }

    /// One tick in which the coil draws or does not. Returns whether the armature begins or ends to chatter.
    pub fn step(&mut self, draws: bool, tick: u64) -> bool {
        let before = self.chatters();
        if (draws != self.draws || before) && tick - self.since > PAUSE_MS {
            self.operations = 0;
        }
        if draws != self.draws {
            (self.draws, self.since) = (draws, tick);
            self.operations = self.operations.saturating_add(u16::from(draws));
        }
        before != self.chatters()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Draws so many times for these times in and out, ms. Returns how often it began or ended to chatter, and whether it
    /// chatters at the end.
    fn run(s: &mut ChatterState, operations: u64, inside: u64, outside: u64) -> (u32, bool) {
        let period = inside + outside;
        let ticks = 1000..1000 + operations * period - outside;
        let told = ticks.map(|tick| u32::from(s.step((tick - 1000) % period < inside, tick))).sum();
        (told, s.chatters())
    }

    /// Five fast operations are chatter; four are not, nor are those with a long time in or out.
    #[test]
    fn fast_operations_count() {
        let of = |operations, inside, outside| run(&mut Default::default(), operations, inside, outside);
        assert_eq!([of(5, 8, 20), of(400, 8, 20), of(5, 100, 100)], [(1, true); 3]);
        assert_eq!([of(4, 8, 20), of(50, 8, 101), of(50, 101, 8)], [(0, false); 3]);
    }

    /// It ends once nothing has happened for the pause: the last operation of five begins at 1112.
    #[test]
    fn it_ends_when_all_is_still() {
        let mut s = ChatterState::default();
        assert_eq!(run(&mut s, 5, 8, 20), (1, true));
        assert_eq!((1120..2000).find(|&tick| s.step(true, tick)), Some(1112 + PAUSE_MS + 1));
        assert!(!s.chatters());
    }
}
