//! Programs in normal form in which everything of the language occurs, made by rule from a seed.

use sealin_ladder::generate::Numbers;
use sealin_ladder::{
    Address, Area, Block, Call, Comparison, Constant, Contact, MAX_TIME_MS, Network, Operand, Output, Preset,
    Program, Relation, Rung, Test, Var, VarKind,
};

/// Bits that no rung may write, then those that one may, then blocks.
pub fn program(seed: u64) -> Program {
    let mut maker = Maker { numbers: Numbers::new(seed), vars: Vec::new() };
    maker.variables();
    let mut free: Vec<(String, Block)> = maker.blocks().collect();
    let count = 3 + maker.numbers.below(8);
    let rungs = (0..count).map(|_| maker.rung(&mut free)).collect();
    Program { name: "made".to_owned(), comment: maker.comment(2), vars: maker.vars, rungs }
}

#[allow(dead_code, reason = "not every test that shares this file changes rungs")]
/// A rung for a program's variables that calls no block.
pub fn rung(seed: u64, program: &Program) -> Rung {
    Maker { numbers: Numbers::new(seed), vars: program.vars.clone() }.rung(&mut Vec::new())
}

struct Maker {
    numbers: Numbers,
    vars: Vec<Var>,
}

impl Maker {
    fn one<T: Clone>(&mut self, of: &[T]) -> T {
        of[self.numbers.below(of.len() as u32) as usize].clone()
    }

    fn comment(&mut self, one_in: u32) -> String {
        if !self.numbers.one_in(one_in) {
            return String::new();
        }
        let words = ["raise", "the (* inner *) gate", "größer", ") *", "two\nlines", "END_VAR; edge_1"];
        (0..1 + self.numbers.below(2)).map(|_| self.one(&words)).collect::<Vec<_>>().join("\n\n")
    }

    fn variables(&mut self) {
        let at = |area, bit| Some(Address { area, byte: 1, bit });
        self.var("first_scan", None, VarKind::Bool, false);
        for bit in 0..3 {
            self.var(&format!("I{bit}_in"), at(Area::Input, bit), VarKind::Bool, false);
        }
        for bit in 0..3 {
            let initial = self.numbers.one_in(3);
            self.var(&format!("Q{bit}_out"), at(Area::Output, bit), VarKind::Bool, initial);
        }
        for bit in 0..2 {
            let address = if bit == 0 { at(Area::Memory, 7) } else { None };
            self.var(&format!("edge{bit}"), address, VarKind::Bool, false);
        }
        for block in Block::ALL {
            for number in 0..self.numbers.below(3) {
                let name = format!("{}_{number}x", block.word().to_lowercase());
                self.var(&name, None, VarKind::Block(block), false);
            }
        }
    }

    fn var(&mut self, name: &str, address: Option<Address>, kind: VarKind, initial: bool) {
        let (retain, comment) = (self.numbers.one_in(4), self.comment(4));
        self.vars.push(Var { name: name.to_owned(), address, kind, initial, retain, comment });
    }

    fn blocks(&self) -> impl Iterator<Item = (String, Block)> + use<> {
        let of_var = |var: &Var| match var.kind {
            VarKind::Block(block) => Some((var.name.clone(), block)),
            VarKind::Bool => None,
        };
        self.vars.iter().filter_map(of_var).collect::<Vec<_>>().into_iter()
    }

    fn rung(&mut self, free: &mut Vec<(String, Block)>) -> Rung {
        let comment = self.comment(3);
        let logic = self.network(3).normal();
        if !free.is_empty() && self.numbers.one_in(3) {
            let index = self.numbers.below(free.len() as u32) as usize;
            let (instance, block) = free.swap_remove(index);
            let further = (1..block.inputs().len())
                .map(|_| (!self.numbers.one_in(3)).then(|| self.network(2).normal()))
                .collect();
            let preset = block.preset().map(|sort| self.constant(sort));
            return Rung { comment, logic, output: Output::Block(Call { instance, block, further, preset }) };
        }
        let var = self.one(&["Q0_out", "Q1_out", "Q2_out", "edge0", "edge1"]).to_owned();
        let output = match self.numbers.below(7) {
            0 => Output::Negated { var },
            1 => Output::Set { var },
            2 => Output::Reset { var },
            3 => Output::Rising { var },
            4 => Output::Falling { var },
            _ => Output::Coil { var },
        };
        Rung { comment, logic, output }
    }

    fn network(&mut self, depth: u32) -> Network {
        match self.numbers.below(if depth == 0 { 1 } else { 4 }) {
            0 => self.leaf(),
            kind => {
                let parts = (0..2 + self.numbers.below(3)).map(|_| self.network(depth - 1)).collect();
                if kind == 1 { Network::Parallel(parts) } else { Network::Series(parts) }
            }
        }
    }

    fn leaf(&mut self) -> Network {
        match self.numbers.below(12) {
            0 => Network::True,
            1 => Network::False,
            2..5 => match self.comparison() {
                Some(comparison) => Network::Contact(Contact::Compare(comparison)),
                None => Network::open("first_scan"),
            },
            _ => {
                let mut bits = Vec::new();
                for var in &self.vars {
                    match var.kind {
                        VarKind::Bool => bits.push(var.name.clone()),
                        VarKind::Block(block) => {
                            bits.extend(block.outputs().iter().map(|pin| format!("{}.{pin}", var.name)));
                        }
                    }
                }
                let test = self.one(&[Test::Open, Test::Open, Test::Closed, Test::Rising, Test::Falling]);
                Network::bit(self.one(&bits), test)
            }
        }
    }

    fn comparison(&mut self) -> Option<Comparison> {
        let values: Vec<(String, Preset)> = self
            .blocks()
            .filter_map(|(name, block)| Some((format!("{name}.{}", block.value()?), block.preset()?)))
            .collect();
        if values.is_empty() {
            return None;
        }
        let (value, sort) = self.one(&values);
        let others: Vec<String> =
            values.iter().filter(|(_, other)| *other == sort).map(|(name, _)| name.clone()).collect();
        let with = if self.numbers.one_in(3) {
            Operand::Value(self.one(&others))
        } else {
            Operand::Constant(self.constant(sort))
        };
        Some(Comparison { value, relation: self.one(&Relation::ALL), with })
    }

    fn constant(&mut self, sort: Preset) -> Constant {
        match sort {
            Preset::Count => {
                let any = self.numbers.bits() as i16;
                Constant::Count(self.one(&[0, 1, -1, 5, i16::MIN, i16::MAX, any]))
            }
            Preset::Time => {
                let any = self.numbers.below(100_000_000);
                Constant::Time(self.one(&[0, 1, 200, 61_000, MAX_TIME_MS, any]))
            }
        }
    }
}
