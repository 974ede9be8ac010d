//! Calls of function blocks: `parts(CU := a, R := b OR c, PV := 5);`.

use super::comparison::{example as figure_of, sort as sort_words};
use super::words::{a_call, noun};
use super::{Parser, Reported};
use crate::block::{Block, Preset};
use crate::lex::{Kind, Position};
use crate::model::{Call, Constant, Network, Output, VarKind};

/// What a block was called with.
#[derive(Default)]
struct Pins {
    /// What its inputs are given, in their order; none inside where it was wrong and has been reported.
    inputs: Vec<Option<Option<Network>>>,
    /// What `PT` or `PV` is given; none inside where it was wrong and has been reported.
    preset: Option<Option<Constant>>,
    /// Whether a pin was wrong, so that one that is missing may be the one that was meant.
    any_wrong: bool,
}

impl Parser<'_> {
    /// Reads a call from its opening parenthesis, behind the instance's name.
    pub(super) fn block_call(&mut self, first: usize, word: &str, at: Position) -> Result<(), Reported> {
        let called = self.called_block(word, at);
        self.advance();
        let Ok(pins) = self.pins(word, called.as_ref().map(|(_, block)| *block)) else {
            self.skip_call();
            return Ok(());
        };
        let closed = self.start();
        self.advance();
        if let Some((_, block)) = called
            && !pins.any_wrong
        {
            self.missing_pins(&pins, block, closed);
        }
        self.end_statement()?;
        let Some((instance, block)) = called else { return Ok(()) };
        let key = word.to_ascii_uppercase();
        if let Some(line) = self.called.get(&key).copied() {
            let hint = Some(format!("declare another {} for it", block.word()));
            self.error_at(at, format!("{word} is called already, in line {line}"), hint);
            return Ok(());
        }
        self.called.insert(key, at.line);
        let preset = match (block.preset(), pins.preset) {
            (None, _) => None,
            (Some(_), Some(Some(figure))) => Some(figure),
            (Some(_), _) => return Ok(()),
        };
        let mut inputs = pins.inputs.into_iter();
        let logic = inputs.next().flatten().flatten();
        let mut further = Vec::with_capacity(inputs.len());
        for input in inputs {
            match input {
                Some(None) => return Ok(()),
                given => further.push(given.flatten().map(Network::normal)),
            }
        }
        self.add(first, logic, Output::Block(Call { instance, block, further, preset }));
        Ok(())
    }

    /// The declared spelling of a block's instance and its block; none if there is no such block, which is reported.
    fn called_block(&mut self, word: &str, at: Position) -> Option<(String, Block)> {
        match self.declared(word).map(|var| (var.name.clone(), var.kind)) {
            Some((name, VarKind::Block(block))) => Some((name, block)),
            Some((name, VarKind::Bool)) => {
                self.error_at(at, format!(":= is expected after {name}, which is a BOOL"), None);
                None
            }
            None => {
                let meant = self.block_meant();
                let hint = Some(format!(
                    "declare {} between VAR and END_VAR, as {word} : {};",
                    noun(meant),
                    meant.word()
                ));
                self.error_at(at, format!("{word} is not declared"), hint);
                None
            }
        }
    }

    /// The block that a call without a declaration most likely means, by its first pin.
    fn block_meant(&self) -> Block {
        match self.kind_at(1) {
            Kind::Word(pin) => Block::ALL
                .into_iter()
                .filter(|block| *block != Block::Tp)
                .find(|block| block.inputs().iter().any(|input| pin.eq_ignore_ascii_case(input)))
                .unwrap_or(Block::Ton),
            _ => Block::Ton,
        }
    }

    /// Reads pins in any order up to the closing parenthesis; with no block, as whatever they are.
    fn pins(&mut self, word: &str, block: Option<Block>) -> Result<Pins, Reported> {
        let mut pins = Pins::default();
        pins.inputs.resize_with(block.map_or(0, |block| block.inputs().len()), || None);
        while !self.is_mark(")") {
            let pin_at = self.start();
            let Some(pin) = self.pin_begins() else {
                let block = block.unwrap_or(Block::Ton);
                let hint = format!("as in {}", a_call(word, block));
                return Err(self.expected(&names(block, " :="), Some(hint)));
            };
            self.advance();
            let is_output = self.is_mark("=>");
            self.advance();
            if is_output {
                self.output_pin(word, block, &pin, pin_at);
                pins.any_wrong = true;
                if matches!(self.kind(), Kind::Word(_)) {
                    self.advance();
                }
            } else {
                self.pin_given(&mut pins, block, &pin, pin_at)?;
            }
            if !self.take_mark(",") && !self.is_mark(")") {
                let reported = self.expected(", or )", None);
                if self.pin_begins().is_none() {
                    return Err(reported);
                }
            }
        }
        Ok(pins)
    }

    /// Reads what one pin is given.
    fn pin_given(
        &mut self,
        pins: &mut Pins,
        block: Option<Block>,
        pin: &str,
        pin_at: Position,
    ) -> Result<(), Reported> {
        let Some(block) = block else {
            return self.anything();
        };
        let input = block.inputs().iter().position(|input| *input == pin);
        let preset = block.preset().filter(|preset| preset.pin() == pin);
        let is_twice = match (input, preset) {
            (Some(index), _) => pins.inputs[index].is_some(),
            (None, Some(_)) => pins.preset.is_some(),
            (None, None) => {
                self.error_at(pin_at, format!("{} is expected, not {pin}", names(block, "")), None);
                pins.any_wrong = true;
                return self.anything();
            }
        };
        if is_twice {
            self.error_at(pin_at, format!("{pin} is given twice"), None);
            return self.anything();
        }
        match (input, preset) {
            (Some(index), _) => {
                let expr = self.expression()?;
                pins.inputs[index] = Some(self.network(&expr));
            }
            (None, sort) => pins.preset = Some(self.preset(sort.unwrap_or(Preset::Count))?),
        }
        Ok(())
    }

    /// Reads the figure of a preset; none inside if it is wrong, which is reported.
    fn preset(&mut self, sort: Preset) -> Result<Option<Constant>, Reported> {
        let figure = match (sort, self.kind()) {
            (Preset::Time, Kind::Time(time_ms)) => {
                let figure = time_ms.map(Constant::Time);
                self.advance();
                Some(figure)
            }
            (Preset::Time, _) => None,
            (Preset::Count, _) => self.count().map(|count| count.map(Constant::Count)),
        };
        let hint = || format!("{} is a figure in the program and stays as it is", sort.pin());
        figure.ok_or_else(|| self.expected(&figure_of(sort), Some(hint())))
    }

    /// Reads what a pin is given when it is not known what it should be.
    fn anything(&mut self) -> Result<(), Reported> {
        if let Kind::Time(_) = self.kind() {
            self.advance();
            return Ok(());
        }
        if self.count().is_some() {
            return Ok(());
        }
        self.expression().map(drop)
    }

    /// Reports an output that is given a variable where the block is called.
    fn output_pin(&mut self, word: &str, block: Option<Block>, pin: &str, at: Position) {
        let is_value = block.is_some_and(|block| block.value() == Some(pin));
        let hint = if is_value {
            format!("compare {word}.{pin} in the rung that needs it")
        } else {
            format!("read {word}.{pin} in the rung that needs it")
        };
        self.error_at(at, format!("{pin} => cannot be drawn as a rung"), Some(hint));
    }

    /// Reports the pins that a call has to give and does not.
    fn missing_pins(&mut self, pins: &Pins, block: Block, closed: Position) {
        let first = block.inputs()[0];
        if pins.inputs.first().is_none_or(Option::is_none) {
            let hint = format!("{first} := FALSE if it is not used");
            let message = format!("{first} := and {} is expected", purpose(block));
            self.error_at(closed, message, Some(hint));
        }
        if let (Some(sort), None) = (block.preset(), pins.preset) {
            let what = sort_words(sort);
            self.error_at(closed, format!("{} := and {what} is expected", sort.pin()), None);
        }
    }

    /// The pin's name in capitals, if `pin :=` or `pin =>` comes next.
    pub(super) fn pin_begins(&self) -> Option<String> {
        match (self.kind(), self.kind_at(1)) {
            (Kind::Word(pin), Kind::Mark(":=" | "=>")) => Some(pin.to_ascii_uppercase()),
            _ => None,
        }
    }
}

/// The pins of a block that a call may give, as `CU, R or PV`.
fn names(block: Block, behind: &str) -> String {
    let pins = block.inputs().iter().copied().chain(block.preset().map(Preset::pin));
    let mut all: Vec<String> = pins.map(|pin| format!("{pin}{behind}")).collect();
    let last = all.pop().unwrap_or_default();
    if all.is_empty() { last } else { format!("{} or {last}", all.join(", ")) }
}

/// What the first input of a block is for.
fn purpose(block: Block) -> &'static str {
    match block {
        Block::Ton | Block::Tof | Block::Tp => "what starts the timer",
        Block::Ctu | Block::Ctud => "what counts up",
        Block::Ctd => "what counts down",
        Block::Sr | Block::Rs => "what sets the bit",
        Block::RTrig | Block::FTrig => "what is watched",
    }
}
