//! Whether a bench has come to rest: nothing but an act will change it any more.

use super::model::Bench;
use sealin_core::step::quiet;

/// Bench time over which it must keep still, ms.
const OVER_MS: u64 = 10_000;

/// A figure of the state that moved by less over this time, in parts of itself or of 1, keeps still. With the longest
/// time constant of an overload, 835 s, what is left to come is then below one percent: 10⁻⁴ · 835 s / 10 s = 0.84 %.
const STILL_PART: f64 = 1e-4;

/// The figures of the state as they were looked at last.
#[derive(Clone, Debug, Default)]
pub struct Rest {
    seen: Option<(u64, Vec<f64>)>,
}

impl Rest {
    /// Looks at the bench. True once nothing was pending and no figure of the state, such as the heat of an overload,
    /// has moved for [`OVER_MS`].
    pub fn reached(&mut self, bench: &Bench) -> bool {
        if !quiet(&bench.state) {
            self.seen = None;
            return false;
        }
        let tick = bench.tick();
        if self.seen.as_ref().is_some_and(|(since, _)| tick < since + OVER_MS && tick >= *since) {
            return false;
        }
        let mut figures = Vec::new();
        bench.state.floats(&mut |figure| figures.push(figure));
        let still = self.seen.as_ref().is_some_and(|(_, before)| {
            let alike = |(a, b): (&f64, &f64)| (a - b).abs() <= STILL_PART * b.abs().max(1.0);
            before.len() == figures.len() && before.iter().zip(&figures).all(alike)
        });
        self.seen = Some((tick, figures));
        still
    }
}

#[cfg(test)]
mod tests {
    use crate::store::fixture::{act, workshop};
    use crate::store::{Command, Speed, Workshop};

    fn frames(w: &mut Workshop, frames: u32) {
        for _ in 0..frames {
            w.run(16.0, 1e9, &|| 0.0);
        }
    }

    /// A bench that is switched off has nothing to wait for. At 1000 times, a frame of 16 ms is 16 s.
    #[test]
    fn fast_time_stops_where_there_is_nothing_to_wait_for() {
        let mut w = workshop();
        w.carry_out(Command::Speed(Speed(10_000))).unwrap();
        frames(&mut w, 4);
        assert!(w.pace().came_to_rest && w.pace().speed == Speed::REAL && !w.pace().paused);
        w.carry_out(Command::Speed(Speed(600))).unwrap();
        assert!(!w.pace().came_to_rest && w.pace().speed == Speed(600));
    }

    /// A relay that warms up is waited for: with 0.5 times the dial the heat still rises by 0.25 · 16 s / 270 s = 1.5 % in
    /// the second frame, and comes to rest within ten time constants, 2 700 s.
    #[test]
    fn heat_on_its_way_is_waited_for() {
        let mut w = workshop();
        for line in ["power on", "push QA1"] {
            act(&mut w, line);
        }
        w.carry_out(Command::Step(5_000)).unwrap();
        w.carry_out(Command::Speed(Speed(10_000))).unwrap();
        frames(&mut w, 10);
        assert!(!w.pace().came_to_rest);
        frames(&mut w, 170);
        assert!(w.pace().came_to_rest);
        let view = w.bench().overload("FC1").unwrap();
        assert!((view.heat[0] - view.multiples[0] * view.multiples[0]).abs() < 0.01, "{view:?}");
    }
}
