//! What flows through the overloads, since when, and what it has come to: for the time-current diagram. Computed along
//! with the fold; no part of the trace.

use sealin_core::part::Kind;
use sealin_core::{Bench, Events, Note};

/// A current that moves by more than this part of itself counts as another one.
const SAME_PART: f64 = 0.05;

/// Below this multiple of the dial nothing worth speaking of flows.
const NOTHING_BELOW: f64 = 0.02;

/// Most trips that are kept.
const MOST_TRIPS: usize = 100;

/// The present current of one overload.
#[derive(Clone, Debug, PartialEq)]
pub struct Flow {
    /// Tag of the overload.
    pub part: String,
    /// Tick since which it flows, give or take `SAME_PART`; none while nothing does.
    pub since: Option<u64>,
    /// Highest pole as it began, in multiples of the dial.
    pub multiple: f64,
    /// Heat of the poles when it began.
    pub heat: [f64; 3],
}

/// A trip by heat.
#[derive(Clone, Debug, PartialEq)]
pub struct HeatTrip {
    /// When.
    pub tick: u64,
    /// Tag of the overload.
    pub part: String,
    /// Highest pole, in multiples of the dial.
    pub multiple: f64,
    /// Milliseconds since this current had begun.
    pub after_ms: u64,
    /// Highest heat of a pole when it had begun; 1 is the equilibrium at the dial.
    pub heat_before: f64,
}

/// All overloads of a bench.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Flows {
    now: Vec<Flow>,
    /// i² as it was looked at last, so that a tick without a change costs next to nothing.
    seen: Vec<[f64; 3]>,
    trips: Vec<HeatTrip>,
}

impl Flows {
    /// The present current of an overload.
    pub fn of(&self, part: &str) -> Option<&Flow> {
        self.now.iter().find(|flow| flow.part == part)
    }

    /// Trips by heat, oldest first.
    pub fn trips(&self) -> &[HeatTrip] {
        &self.trips
    }

    /// Takes what the tick `tick` has brought.
    pub fn take(&mut self, bench: &Bench, tick: u64, events: &Events) {
        for note in &events.notes {
            if let Note::HeatTrip { part } = note {
                self.tripped(tick, part);
            }
        }
        let overloads = &bench.state.overloads;
        if overloads.iter().map(|o| o.square).eq(self.seen.iter().copied()) {
            return;
        }
        self.seen = overloads.iter().map(|o| o.square).collect();
        let parts = bench.design.parts.iter().filter(|part| matches!(part.kind, Kind::Overload(_)));
        let before = std::mem::take(&mut self.now);
        self.now = parts
            .filter_map(|part| {
                let view = bench.overload(&part.tag)?;
                let multiple = view.multiples.into_iter().fold(0.0, |a: f64, b| if b > a { b } else { a });
                let old = before.iter().find(|flow| flow.part == part.tag);
                let new = || Flow {
                    part: part.tag.clone(),
                    since: (multiple >= NOTHING_BELOW).then_some(tick),
                    multiple,
                    heat: view.heat,
                };
                Some(match old {
                    Some(old) if same(old.multiple, multiple) => old.clone(),
                    _ => new(),
                })
            })
            .collect();
    }

    fn tripped(&mut self, tick: u64, part: &str) {
        let Some(flow) = self.of(part) else { return };
        let Some(since) = flow.since else { return };
        let trip = HeatTrip {
            tick,
            part: part.to_string(),
            multiple: flow.multiple,
            after_ms: tick.saturating_sub(since),
            heat_before: flow.heat.into_iter().fold(0.0, |a: f64, b| if b > a { b } else { a }),
        };
        if self.trips.len() >= MOST_TRIPS {
            self.trips.remove(0);
        }
        self.trips.push(trip);
    }
}

/// Whether a current is still the one that began as `began`.
fn same(began: f64, now: f64) -> bool {
    let nothing = |m: f64| m < NOTHING_BELOW;
    nothing(began) && nothing(now)
        || !nothing(began) && !nothing(now) && (now - began).abs() <= SAME_PART * began
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_small_move_is_the_same_current_and_a_large_one_is_not() {
        assert!(same(6.0, 6.2) && same(0.0, 0.01) && same(1.0, 0.96));
        assert!(!same(6.0, 1.0) && !same(0.0, 0.5) && !same(0.5, 0.0) && !same(1.0, 1.06));
    }
}
