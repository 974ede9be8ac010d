//! When the poles of a contactor weld.
//!
//! Three ways, all in multiples of the rated AC-3 current Ie:
//!
//! - **closing onto a short circuit**: the poles touch and bounce on an arc. They weld when more than 12 Ie flow and the
//!   integral of I² reaches 5 s · Ie². A contactor must make 10 Ie (AC-3) or 12 Ie (AC-4) without welding
//!   (IEC 60947-4-1, table of making and breaking capacities); the integral is typical.
//! - **a short circuit through closed poles**: above 15 Ie the current lifts the contacts off each other; they weld at
//!   50 s · Ie². For 12 A that is 7 200 A²s, twice what the 25 A gG link beside it lets through, so that the two are
//!   co-ordinated (IEC 60947-4-1, type 2), and a larger link is not (typical).
//! - **heat from switching**: each making and breaking heats the contacts by its arc; they weld when they touch more than
//!   300 K above their surroundings. Plugging or jogging each second does it in half a minute, a chattering armature in
//!   seconds.

/// Ticks after touching in which the contacts bounce on an arc and count as making (at most 3 ms, typical).
pub const MAKING_TICKS: u8 = 3;

/// Limit and integral while making: multiples of Ie, and s · Ie².
const MAKING: (f64, f64) = (12.0, 5.0);

/// Multiple of Ie above which the integral of the current decides over contacts that make it, and not their heat.
pub const MADE_FROM: f64 = MAKING.0;

/// The same for closed contacts.
const CLOSED: (f64, f64) = (15.0, 50.0);

/// Multiple of Ie from which every tick of a current through closed contacts counts.
pub const SURGE_FROM: f64 = CLOSED.0;

/// Let-through integral of a fuse link over its melting integral: arcing lets as much through again (typical at 400 V).
pub const LET_THROUGH: f64 = 2.0;

/// Mean of |i| over its RMS for a sine, 2·√2/π.
const MEAN: f64 = 0.9;

/// Energy of making, J/A: an arc of 25 V over two gaps for 2 ms of bounce (typical).
const MAKING_JOULE: f64 = 25.0 * MEAN * 0.002;

/// Energy of breaking, J/A: an arc of 40 V over two gaps until the next zero, 5 ms in the mean (typical).
const BREAKING_JOULE: f64 = 40.0 * MEAN * 0.005;

/// Heat capacity of a pole over its rated current, J/(K·A). With 40 K/W and 25 s for 12 A it is 25/40/12 = 0.052, so that
/// 1 200 AC-3 or 300 AC-4 operations an hour (typical of catalogues) warm it by about 50 K.
const CAPACITY: f64 = 0.052;

/// Time constant of a pole, s (typical).
const TAU_S: f64 = 25.0;

/// Rise at which touching contacts weld, K: silver alloys soften at 180 °C, and the arc melts the rest (typical).
pub const WELD_KELVIN: f64 = 300.0;

/// One pole of a contactor, or the contact of a relay output.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct PoleState {
    /// Integral of I² of the present surge, A²s.
    pub surge: f64,
    /// Rise of its temperature by switching, and of a relay output by the current that it carries, K.
    pub kelvin: f64,
}

impl PoleState {
    /// The contacts touch on this current, A. Returns whether they weld by their heat.
    pub fn touches(&mut self, ie: f64, amperes: f64) -> bool {
        self.kelvin += MAKING_JOULE / (CAPACITY * ie) * amperes;
        self.is_welding_hot() && amperes > 0.0
    }

    /// The contacts part on this current, A.
    pub fn parts(&mut self, ie: f64, amperes: f64) {
        self.kelvin += BREAKING_JOULE / (CAPACITY * ie) * amperes;
    }

    /// One tick of this current, A. `cap`: most that a fuse link which opens in this tick lets through, A²s. Returns
    /// whether the contacts weld by it.
    pub fn surge_tick(&mut self, ie: f64, amperes: f64, making: bool, cap: Option<f64>) -> bool {
        let (limit, integral) = if making { MAKING } else { CLOSED };
        if amperes <= limit * ie {
            self.surge = 0.0;
            return false;
        }
        let all = amperes * amperes * 0.001;
        self.surge += match cap {
            Some(most) if most < all => most,
            _ => all,
        };
        self.surge >= integral * ie * ie
    }

    /// Cools for `step_s` seconds.
    pub fn cool(&mut self, step_s: f64) {
        self.kelvin -= self.kelvin * (step_s / TAU_S);
        if self.kelvin < 1e-3 {
            self.kelvin = 0.0;
        }
    }

    /// Goes towards the rise that its current holds it at, K, for `step_s` seconds.
    pub fn heats(&mut self, rise: f64, step_s: f64) {
        self.cool(step_s);
        self.kelvin += rise * (step_s / TAU_S);
    }

    /// Closed contacts are so hot that they weld.
    pub fn is_welding_hot(&self) -> bool {
        self.kelvin >= WELD_KELVIN
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const IE: f64 = 12.0;

    /// Operations until a pole welds: each makes one current and breaks another, with this pause; none in `most`.
    fn operations(make: f64, brk: f64, pause_s: f64, most: u32) -> Option<u32> {
        let mut p = PoleState::default();
        (1..=most).find(|_| {
            if p.touches(IE, make) {
                return true;
            }
            p.parts(IE, brk);
            (0..(pause_s * 10.0) as u32).for_each(|_| p.cool(0.1));
            false
        })
    }

    /// IEC 60947-4-1: 10 Ie in AC-3 and 12 Ie in AC-4 are made without welding, and 8 Ie flow for 10 s.
    #[test]
    fn what_the_standard_asks_for_does_not_weld() {
        for multiple in [6.0, 8.0, 10.0, 12.0] {
            let (mut p, amperes) = (PoleState::default(), multiple * IE);
            assert!(!p.touches(IE, amperes), "{multiple}");
            assert!((0..10_000).all(|k| !p.surge_tick(IE, amperes, k < 3, None)), "{multiple}");
        }
    }

    /// 4 kA behind 25 A gG: the link melts at 2.8 · 625 = 1750 A²s in the first tick and lets 3500 A²s through. Closing
    /// onto it welds, as 5 · 144 = 720 A²s suffice; poles that were closed hold, up to 50 · 144 = 7200 A²s. Behind 63 A gG,
    /// 2 · 11 113 A²s, they weld too.
    #[test]
    fn a_short_circuit_and_the_fuse_before_it() {
        let let_through = |rated: f64| Some(LET_THROUGH * 2.8 * rated * rated);
        let fresh = PoleState::default;
        assert!(fresh().surge_tick(IE, 4000.0, true, let_through(25.0)));
        assert!(!fresh().surge_tick(IE, 4000.0, false, let_through(25.0)));
        assert!(fresh().surge_tick(IE, 4000.0, false, let_through(63.0)));
        // Without a fuse: 7200 A²s at 1 kA take 7.2 ms, so the eighth tick welds.
        let mut p = fresh();
        assert_eq!((1..100).find(|_| p.surge_tick(IE, 1000.0, false, None)), Some(8));
    }

    /// Hand calculation at 12 A: making 72 A gives 72 · 0.045 = 3.24 J and 3.24/0.624 = 5.19 K, breaking 72 A gives
    /// 72 · 0.18 = 12.96 J and 20.77 K.
    #[test]
    fn heat_of_one_operation() {
        let mut p = PoleState::default();
        assert!(!p.touches(IE, 72.0));
        assert!((p.kelvin - 5.19).abs() < 0.01, "{}", p.kelvin);
        p.parts(IE, 72.0);
        assert!((p.kelvin - 25.96).abs() < 0.01, "{}", p.kelvin);
    }

    /// Catalogue duty lasts: 1 200 an hour in AC-3 (make 6 Ie, break Ie), 300 an hour in AC-4 (make and break 6 Ie). One
    /// AC-4 operation each second settles at 25.96 K / (1 − e^(−1/25)) = 662 K, so 300 K come after
    /// −25 · ln(1 − 300/662) = 15 s; a chattering armature at 10 a second welds when it touches after 300/25.96 = 11.6
    /// operations and what cools off meanwhile, within two seconds.
    #[test]
    fn jogging_and_chatter_weld_and_rated_duty_does_not() {
        assert_eq!(operations(72.0, 12.0, 3.0, 5_000), None);
        assert_eq!(operations(72.0, 72.0, 12.0, 5_000), None);
        let jogging = operations(72.0, 72.0, 1.0, 1_000).unwrap();
        assert!((14..=17).contains(&jogging), "{jogging}");
        let chatter = operations(72.0, 72.0, 0.1, 1_000).unwrap();
        assert!((12..=14).contains(&chatter), "{chatter}");
    }
}
