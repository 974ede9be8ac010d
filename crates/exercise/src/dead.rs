//! Proving dead: the two-pole detector proved on its proving unit, tried on every pair of poles and on each pole to
//! earth, and proved again (the order of EN 50110-1 clause 6.2; local rules and the employer's procedure take precedence).

use crate::fold::{Fold, Taken};
use sealin_core::instruments::{Function, Measurement, Shown};
use sealin_core::{Design, Terminal};

/// Where it is proved that a circuit is dead.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Place {
    /// The poles.
    pub poles: Vec<Terminal>,
    /// A terminal of the protective conductor.
    pub earth: Terminal,
}

/// What is still to be done.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Missing {
    /// The detector on the proving unit, before.
    ProveBefore,
    /// The detector on these two terminals.
    Test(Terminal, Terminal),
    /// The detector has lit on these two terminals: they are live.
    Live(Terminal, Terminal),
    /// The detector on the proving unit, after.
    ProveAfter,
}

impl Place {
    /// The outgoing terminals 2, 4, 6 of a three-pole switching device, with a terminal of the protective conductor.
    /// `None` when the design lacks one of them.
    pub fn behind(design: &Design, switch: &str, earth: &Terminal) -> Option<Place> {
        let poles: Vec<Terminal> = ["2", "4", "6"].map(|name| Terminal::new(switch, name)).into();
        let there = poles.iter().chain([earth]).all(|t| design.node(t).is_some());
        there.then(|| Place { poles, earth: earth.clone() })
    }

    /// Every pair of poles, then each pole to earth.
    pub fn pairs(&self) -> Vec<(Terminal, Terminal)> {
        let mut pairs = Vec::new();
        for (k, a) in self.poles.iter().enumerate() {
            pairs.extend(self.poles[k + 1..].iter().map(|b| (a.clone(), b.clone())));
        }
        pairs.extend(self.poles.iter().map(|a| (a.clone(), self.earth.clone())));
        pairs
    }

    /// What is missing in a line of work; empty when the place has been proved dead and nothing was switched on since.
    pub fn missing(&self, fold: &Fold) -> Vec<Missing> {
        self.missing_in(&fold.readings, fold.switched_on)
    }

    /// What is missing in these readings from tick `since` on. A test counts only after the detector was proved, and
    /// the last proof only after the last test.
    fn missing_in(&self, readings: &[Taken], since: u64) -> Vec<Missing> {
        let pairs = self.pairs();
        let mut lit: Vec<Option<bool>> = vec![None; pairs.len()];
        let (mut before, mut after) = (false, false);
        for taken in readings.iter().filter(|taken| taken.tick >= since) {
            let Shown::Voltage(shown) = taken.measured.shown else { continue };
            match &taken.what {
                Measurement::ProvingUnit if shown.is_some() => {
                    before = true;
                    after = true;
                }
                Measurement::Between { function: Function::Detector, from, to } if before => {
                    let same = |(a, b): &(Terminal, Terminal)| a == from && b == to || a == to && b == from;
                    if let Some(k) = pairs.iter().position(same) {
                        lit[k] = Some(shown.is_some());
                        after = false;
                    }
                }
                _ => {}
            }
        }
        let mut missing = Vec::new();
        if !before {
            missing.push(Missing::ProveBefore);
        }
        for ((a, b), lit) in pairs.into_iter().zip(&lit) {
            match lit {
                None => missing.push(Missing::Test(a, b)),
                Some(true) => missing.push(Missing::Live(a, b)),
                Some(false) => {}
            }
        }
        if !after || lit.iter().all(Option::is_none) {
            missing.push(Missing::ProveAfter);
        }
        missing
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scenario::Scenario;
    use crate::session::Session;
    use crate::shipped;
    use sealin_core::BenchAct;
    use std::rc::Rc;

    fn session() -> Session {
        let text = shipped::get("paddle-closed-loop").unwrap();
        let mut s = Session::new(Rc::new(Scenario::parse(text).unwrap()), 0).unwrap();
        act(&mut s, "power on");
        s.advance(100);
        s
    }

    fn act(s: &mut Session, line: &str) {
        s.bench_act(BenchAct::parse(line).unwrap()).unwrap();
    }

    fn prove(s: &mut Session) {
        s.measure(Measurement::ProvingUnit).unwrap();
    }

    fn test(s: &mut Session, (from, to): (Terminal, Terminal)) {
        s.measure(Measurement::Between { function: Function::Detector, from, to }).unwrap();
    }

    fn place(s: &Session) -> Place {
        Place::behind(&s.bench().design, "QB1", &Terminal::new("XD0", "PE")).unwrap()
    }

    /// Three pairs of poles and three poles to earth, with the proof before and after: eight readings.
    #[test]
    fn the_whole_order_leaves_nothing_missing() {
        let mut s = session();
        let place = place(&s);
        act(&mut s, "open QB1");
        assert_eq!(place.missing(s.fold()).len(), 8);
        prove(&mut s);
        for (k, pair) in place.pairs().into_iter().enumerate() {
            test(&mut s, pair);
            assert_eq!(place.missing(s.fold()).len(), 6 - k);
        }
        assert_eq!(place.missing(s.fold()), [Missing::ProveAfter]);
        prove(&mut s);
        assert_eq!(place.missing(s.fold()), []);
        // Eight readings cost 1.5 s each.
        assert_eq!(s.tick(), 100 + 8 * 1_500);
        // What is switched on again has to be proved again.
        act(&mut s, "close QB1");
        assert_eq!(place.missing(s.fold()).len(), 8);
    }

    #[test]
    fn a_test_before_the_proof_does_not_count_and_a_live_pair_shows() {
        let mut s = session();
        let place = place(&s);
        let first = place.pairs()[0].clone();
        test(&mut s, first.clone());
        assert!(place.missing(s.fold()).contains(&Missing::Test(first.0.clone(), first.1.clone())));
        prove(&mut s);
        // QB1 is closed and the supply on; the probes the other way round are the same pair.
        test(&mut s, (first.1.clone(), first.0.clone()));
        assert!(place.missing(s.fold()).contains(&Missing::Live(first.0.clone(), first.1.clone())));
        act(&mut s, "open QB1");
        s.advance(10);
        test(&mut s, first.clone());
        let missing = place.missing(s.fold());
        assert!(!missing.contains(&Missing::Live(first.0.clone(), first.1)), "{missing:?}");
        assert!(missing.contains(&Missing::ProveAfter) && !missing.contains(&Missing::ProveBefore));
    }
}
