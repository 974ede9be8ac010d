//! What a block's outputs come from: its inputs as given, and what it remembers.

use super::smallest::{Symbol, certain, smallest};
use super::story::Story;
use super::{Decided, Seen, What};
use crate::block::Block;
use crate::model::{Call, Comparison, Constant, Operand, Output, Relation};

/// A block's output as a function of a few things.
struct Pins<'a> {
    story: &'a Story<'a>,
    instance: &'a str,
    symbols: Vec<Symbol>,
}

/// Why an output of the block that a rung calls has its value; none if the name is not one of its outputs.
pub(super) fn output(story: &Story, rung: usize, name: &str) -> Option<Decided> {
    let Output::Block(call) = &story.program.rungs[rung].output else { return None };
    let (_, pin) = name.split_once('.')?;
    let pin = call.block.outputs().iter().find(|output| output.eq_ignore_ascii_case(pin))?;
    let pins = Pins { story, instance: &call.instance, symbols: Vec::new() };
    let mut decided = match call.block {
        Block::Ton | Block::Tof | Block::Tp => pins.timer(call),
        Block::Ctu | Block::Ctd | Block::Ctud => pins.counter(call, pin),
        Block::Sr | Block::Rs => pins.bistable(call.block),
        Block::RTrig | Block::FTrig => pins.detector(call.block),
    };
    decided.rung = rung as u32;
    Some(decided)
}

impl Pins<'_> {
    fn bit(&self, pin: &str) -> bool {
        let name = format!("{}.{pin}", self.instance);
        self.story.compiled.value(self.story.memory, &name).unwrap_or(false)
    }

    fn add(&mut self, what: What, value: bool, before: bool, guessed: bool) {
        let seen = Seen { what, value, before, places: Vec::new() };
        self.symbols.push(Symbol { seen, guessed });
    }

    fn pin(&mut self, pin: &str) {
        let what = What::Bit(format!("{}.{pin}", self.instance));
        self.add(what, self.bit(pin), false, false);
    }

    /// The smallest set, by the law of the block over the symbols in their order.
    fn decide(self, law: &dyn Fn(&[bool]) -> bool) -> Decided {
        let result = |flipped: &[usize]| {
            let turned = |k: usize| flipped.iter().filter(|s| **s == k).count() % 2 == 1;
            let values: Vec<bool> =
                self.symbols.iter().enumerate().map(|(k, symbol)| symbol.seen.value != turned(k)).collect();
            law(&values)
        };
        let order: Vec<usize> = (0..self.symbols.len()).collect();
        let (set, bounded) = smallest(&order, &result);
        let sure = certain(&self.symbols, &set, result(&[]), &result);
        let set = set.into_iter().map(|k| self.symbols[k].seen.clone()).collect();
        Decided { rung: 0, set, sure, bounded }
    }

    /// `IN`, and whether the time is up.
    fn timer(mut self, call: &Call) -> Decided {
        let (input, q) = (self.bit("IN"), self.bit("Q"));
        let figures = self.story.compiled.figures(self.story.memory, self.instance);
        let (elapsed_ms, preset_ms) = figures.map_or((0, 0), |figures| (figures.value, figures.preset));
        let reached = elapsed_ms >= preset_ms;
        let up = match call.block {
            Block::Ton => reached,
            // Without IN the time runs, or has run out, or never began.
            Block::Tof => {
                if input {
                    reached
                } else {
                    !q
                }
            }
            _ => !q,
        };
        let settled = self.story.settled;
        self.pin("IN");
        let time = What::TimeUp(self.instance.to_string());
        match call.block {
            Block::Ton => {
                // IN that has gone in this scan may have been there long enough.
                self.add(time, up, false, !input && !settled);
                self.decide(&|values| values[0] && values[1])
            }
            Block::Tof => {
                // IN that has come in this scan may have found it at rest, without which the time would not count.
                self.add(time, up, false, input && !settled);
                self.decide(&|values| values[0] || !values[1])
            }
            // A pulse that has not begun; one that has ended in this scan could not have.
            _ if !input && !q => {
                self.symbols[0].guessed = !settled;
                self.decide(&|values| values[0] && preset_ms > 0)
            }
            _ => {
                self.symbols.clear();
                self.add(time, up, false, false);
                self.decide(&|values| !values[0] && preset_ms > 0)
            }
        }
    }

    /// What CV is compared with, and the inputs that set it whatever was counted.
    fn counter(mut self, call: &Call, pin: &str) -> Decided {
        let preset = match call.preset {
            Some(Constant::Count(preset)) => preset,
            _ => 0,
        };
        let at_preset = pin == "QU" || call.block == Block::Ctu;
        let (relation, figure) = if at_preset { (Relation::AtLeast, preset) } else { (Relation::AtMost, 0) };
        let holds = |cv: i16| relation.holds(cv.into(), figure.into());
        let (reset, load) = (self.bit("R"), self.bit("LD"));
        let value = format!("{}.CV", self.instance);
        let comparison = Comparison { value, relation, with: Operand::Constant(Constant::Count(figure)) };
        // Where an input sets CV, what was counted before may have been anything.
        let guessed = (reset || load) && !self.story.settled;
        self.add(What::Compared(comparison), self.bit(pin), false, guessed);
        let inputs: Vec<&str> = ["R", "LD"].into_iter().filter(|p| call.block.inputs().contains(p)).collect();
        inputs.iter().for_each(|pin| self.pin(pin));
        self.decide(&|values| {
            let given = |pin| inputs.iter().position(|p| *p == pin).is_some_and(|k| values[k + 1]);
            if given("R") {
                holds(0)
            } else if given("LD") {
                holds(preset)
            } else {
                values[0]
            }
        })
    }

    /// Set, reset and the output of the scan before.
    fn bistable(mut self, block: Block) -> Decided {
        block.inputs().iter().for_each(|pin| self.pin(pin));
        let q1 = self.bit("Q1");
        let law = |values: &[bool]| match block {
            Block::Sr => values[0] || !values[1] && values[2],
            _ => !values[1] && (values[0] || values[2]),
        };
        // What it was is told where it was kept.
        let inputs = [self.symbols[0].seen.value, self.symbols[1].seen.value];
        let told = law(&[inputs[0], inputs[1], false]) != law(&[inputs[0], inputs[1], true]);
        let what = What::Bit(format!("{}.Q1", self.instance));
        self.add(what, q1, true, !told && !self.story.settled);
        // A bit that is kept at 1 is 1 because it was.
        if told && q1 {
            self.symbols.rotate_right(1);
            return self.decide(&|values| law(&[values[1], values[2], values[0]]));
        }
        self.decide(&law)
    }

    /// The input, now and in the scan before.
    fn detector(mut self, block: Block) -> Decided {
        let rising = block == Block::RTrig;
        let (clk, q) = (self.bit("CLK"), self.bit("Q"));
        self.pin("CLK");
        let told = clk == rising;
        let remembered = if told { q != rising } else { clk };
        let what = What::Remembered(format!("{}.CLK", self.instance));
        self.add(what, remembered, true, !told && !self.story.settled);
        self.decide(&|values| {
            if rising { values[0] && !values[1] } else { !values[0] && values[1] }
        })
    }
}
