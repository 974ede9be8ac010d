//! Which lines and leads carry a current: told from the current in their conductors.

use super::Shared;
use super::diagram::Lead;
use super::element::Figure;
use crate::store::Workshop;
use std::cell::Cell;

/// Frames in which every conductor is looked at once: a few a frame, so that no frame has to do much.
const FRAMES: usize = 12;
/// Less than this is no current, A: what the figures beside the symbols show as 0 A.
const LEAST: f64 = 0.0005;

/// The conductors of a diagram, by the numbers of their lines.
pub struct Currents {
    ids: Vec<Option<String>>,
    amperes: Vec<Cell<f64>>,
    next: Cell<usize>,
}

impl Currents {
    /// Of a diagram; nothing carries a current before it has been read.
    pub fn new(drawn: &Shared) -> Currents {
        let ids = drawn.lines.iter().map(|l| l.conductor.as_ref().map(|c| c.id.clone()));
        let amperes = vec![Cell::new(0.0); drawn.lines.len()];
        Currents { ids: ids.collect(), amperes, next: Cell::new(0) }
    }

    /// Looks at the next few conductors.
    pub fn read(&self, workshop: &Workshop) {
        for _ in 0..self.ids.len().div_ceil(FRAMES) {
            let n = self.next.get();
            self.next.set((n + 1) % self.ids.len());
            let id = self.ids[n].as_ref().filter(|_| !workshop.is_sealed());
            let amperes = id.and_then(|id| workshop.bench().amperes(id));
            self.amperes[n].set(amperes.filter(|a| a.is_finite()).unwrap_or(0.0).abs());
        }
    }

    /// Whether the line of this number carries a current.
    pub fn carries(&self, line: usize) -> bool {
        self.amperes.get(line).is_some_and(|a| a.get() >= LEAST)
    }

    /// Whether a lead carries one where these lines meet: what comes by one of them and does not go on by the others goes
    /// through it (Kirchhoff's current law, of amounts). What is looped from a terminal to the next does not.
    pub fn through(&self, (lines, strip): &(Vec<usize>, bool)) -> bool {
        let all = || lines.iter().map(|line| self.amperes[*line].get());
        let most = all().fold(0.0, f64::max);
        if *strip { most >= LEAST } else { 2.0 * most - all().sum::<f64>() >= LEAST }
    }
}

/// The lines that meet at the terminal of a lead, and whether it is a strip: there each line is a way of its own.
pub fn meeting(drawn: &Shared, lead: &Lead) -> (Vec<usize>, bool) {
    let Some(terminal) = &lead.terminal else { return (Vec::new(), false) };
    let lines = drawn.lines.iter().enumerate();
    let here =
        lines.filter(|(_, l)| l.conductor.as_ref().is_some_and(|c| c.from == *terminal || c.to == *terminal));
    let figure = drawn.symbol_of(terminal).map(|n| drawn.symbols[n].element.figure);
    let strip = figure.is_some_and(|f| f.is_strip() || matches!(f, Figure::Common(_)));
    (here.map(|(n, _)| n).collect(), strip)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::store::Command;
    use crate::store::fixture::{act, workshop};

    /// paddle-panel.md section 3: with QA1 in, its coil's path 101, 102, 103, 110, 111 carries the coil's current, and 121 of
    /// QA2 none; with the supply off nothing does.
    #[test]
    fn the_path_of_the_coil_that_is_in_carries() {
        let mut w = workshop();
        w.carry_out(Command::Example(true)).unwrap();
        let drawn = Shared::of(&w);
        let currents = Currents::new(&drawn);
        let carries = |w: &crate::store::Workshop, number: &str| {
            for _ in 0..FRAMES {
                currents.read(w);
            }
            let of =
                |l: &super::super::diagram::Line| l.conductor.as_ref().is_some_and(|c| c.number == number);
            let lines = drawn.lines.iter().enumerate().filter(|(_, l)| of(l));
            lines.map(|(n, _)| currents.carries(n)).collect::<Vec<_>>()
        };
        assert!(carries(&w, "111").iter().all(|on| !on));
        for line in ["power on", "press SF2"] {
            act(&mut w, line);
            w.carry_out(Command::Step(2_000)).unwrap();
        }
        for number in ["101", "102", "103", "110", "111"] {
            let all = carries(&w, number);
            assert!(all.iter().any(|on| *on), "{number}: {all:?}");
        }
        assert!(carries(&w, "121").iter().all(|on| !on));
        // Section 1: at QA1:1 the line from the overload's side goes on to QA2, which is out; all of it goes through QA1.
        let lead = |name: &str| {
            let t = sealin_core::plan::Terminal::parse(name).unwrap();
            let lead = drawn.leads.iter().find(|l| l.terminal.as_ref() == Some(&t)).unwrap();
            currents.through(&meeting(&drawn, lead))
        };
        assert!(lead("QA1:1") && lead("QA1:A1") && !lead("QA2:1") && !lead("QA2:A1"));
        act(&mut w, "power off");
        w.carry_out(Command::Step(2_000)).unwrap();
        assert!(carries(&w, "101").iter().all(|on| !on));
    }
}
