//! The operation that a person tries to see how a fault shows, situation by situation.

use sealin_core::part::{Actuator, Kind, Part};
use sealin_core::{BenchAct, Measurement, Plan};

use super::readings;

/// A situation of a machine: what brings it about from the one before, and what can be measured there.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Situation {
    /// Acts, all at once.
    pub acts: Vec<BenchAct>,
    /// Time until all is at rest, ticks.
    pub rest: u64,
    /// Readings that make sense there.
    pub offered: Vec<Measurement>,
}

/// Situations in their order, and the way back before the first.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Way {
    /// From any situation back to where the bench was at the start: buttons free, latches reset, supply off.
    pub home: Situation,
    /// The situations; the first is reached from the start.
    pub situations: Vec<Situation>,
}

/// Time for a supply, a controller and its program to come up or go down, and for a motor to run out, ticks (own choice).
const LONG: u64 = 3_000;

/// Time for a press to come through, for a contactor and for a motor to start, ticks (own choice).
const SHORT: u64 = 600;

impl Way {
    /// The operation of a job by its devices: the supply on; each button pressed and let go, each selector turned to and fro, and after each
    /// that does not stop, whatever stops; each overload tripped by its test and reset; the supply off. `may` tells which readings there are
    /// instruments for.
    pub fn usual(plan: &Plan, may: impl Fn(&Measurement) -> bool) -> Way {
        let offered = |live: bool| readings(plan, live).into_iter().filter(&may).collect::<Vec<_>>();
        let (live, dead) = (offered(true), offered(false));
        let mut parts: Vec<&Part> = plan.parts.iter().collect();
        parts.sort_by(|a, b| a.tag.cmp(&b.tag));
        let at = |acts: Vec<BenchAct>, rest: u64| Situation { acts, rest, offered: live.clone() };
        let mut situations = vec![at(vec![BenchAct::Power(true)], LONG)];
        let mut home = Vec::new();
        let stops: Vec<&&Part> = parts.iter().filter(|part| stops(part)).collect();
        for part in parts.iter().filter(|part| !stops.contains(part)) {
            let Kind::Control(control) = &part.kind else { continue };
            let tag = &part.tag;
            if control.is_pressed() {
                situations.push(at(vec![BenchAct::Press(tag.clone())], SHORT));
                situations.push(at(vec![BenchAct::Release(tag.clone())], SHORT));
                home.push(BenchAct::Release(tag.clone()));
            } else {
                let start = control.start();
                for position in (1..=control.positions()).filter(|&position| position != start) {
                    situations.push(at(vec![BenchAct::Turn(tag.clone(), position)], SHORT));
                }
                situations.push(at(vec![BenchAct::Turn(tag.clone(), start)], SHORT));
                home.push(BenchAct::Turn(tag.clone(), start));
            }
            for stop in &stops {
                situations.push(at(vec![BenchAct::Press(stop.tag.clone())], SHORT));
                situations.push(at(vec![BenchAct::Release(stop.tag.clone())], SHORT));
            }
        }
        home.extend(stops.iter().map(|stop| BenchAct::Release(stop.tag.clone())));
        for part in parts.iter().filter(|part| matches!(part.kind, Kind::Overload(_))) {
            situations.push(at(vec![BenchAct::Trip(part.tag.clone())], SHORT));
            situations.push(at(vec![BenchAct::Reset(part.tag.clone())], SHORT));
            home.push(BenchAct::Reset(part.tag.clone()));
        }
        let off = Situation { acts: vec![BenchAct::Power(false)], rest: LONG, offered: dead };
        home.push(BenchAct::Power(false));
        situations.push(off);
        Way { home: Situation { acts: home, rest: LONG, offered: Vec::new() }, situations }
    }
}

/// A button that opens its contacts.
fn stops(part: &Part) -> bool {
    match &part.kind {
        Kind::Control(control) if control.actuator != Actuator::Button => control.is_pressed(),
        // Closed where it stands at first.
        Kind::Control(control) => {
            control.is_pressed() && control.contacts.iter().any(|c| c.closed_in & 1 != 0)
        }
        _ => false,
    }
}
