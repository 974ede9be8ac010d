//! Judges an expression tick by tick, with constant memory.
//!
//! Instant operators speak of ticks. A time bound counts grid instants (ticks divisible by the scan period): an age
//! grows by one at each grid instant and is 0 at any tick on which the operand holds (`once`) or fails (`held`), so a
//! bound ends up to one scan late and never early. At the start nothing has been so: `once` has seen nothing, `prev` is
//! false, `held` has just begun.

use super::{Expr, ExprError};
use sealin_core::Design;
use sealin_core::design::SignalSource;
use sealin_core::part::Kind;

/// Longest time bound, ms.
pub const MOST_BOUND_MS: u64 = 60_000;

/// Grid where there is no controller, ms.
pub const NO_CONTROLLER_GRID_MS: u32 = 10;

/// An expression with its names resolved against a design: immutable, shared by any number of memories.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Formula {
    /// In an order in which operands come before their operators.
    nodes: Vec<Node>,
    bits: usize,
    grid_ms: u32,
    /// Bits that each age needs.
    age_bits: Vec<u32>,
    /// Nodes of which one must have been so for the formula to have been put to the test.
    watched: Vec<usize>,
}

/// What a formula remembers from tick to tick.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Default)]
pub struct Memory {
    bits: Vec<bool>,
    ages: Vec<u32>,
}

#[derive(Clone, Debug, PartialEq, Eq)]
enum Node {
    Constant(bool),
    Signal(usize),
    Not(usize),
    And(Vec<usize>),
    Or(Vec<usize>),
    Implies(usize, usize),
    /// The operand, and the bit that holds its value at the tick before.
    Rose(usize, usize),
    Fell(usize, usize),
    Prev(usize, usize),
    /// The operand, and the bit that holds whether it has ever been so.
    Once(usize, usize),
    /// The operand, the age since it was so, in grid instants, and the bound. An age above the bound: not seen.
    OnceWithin {
        operand: usize,
        age: usize,
        bound: u32,
    },
    /// The operand, the age since it failed, and the bound.
    Held {
        operand: usize,
        age: usize,
        bound: u32,
    },
    Since(usize, usize, usize),
}

/// The grid of a design: the scan period of its first controller, ms.
pub fn grid_ms(design: &Design) -> u32 {
    let scan = design.parts.iter().find_map(|p| match &p.kind {
        Kind::Controller(c) => Some(u32::from(c.scan_ms)),
        _ => None,
    });
    scan.unwrap_or(NO_CONTROLLER_GRID_MS).max(1)
}

impl Formula {
    /// Resolves the names and checks the bounds. A bound must be a multiple of the grid and at most [`MOST_BOUND_MS`].
    pub fn new(expr: &Expr, design: &Design) -> Result<Formula, ExprError> {
        let mut formula = Formula {
            nodes: Vec::new(),
            bits: 0,
            grid_ms: grid_ms(design),
            age_bits: Vec::new(),
            watched: Vec::new(),
        };
        formula.add(expr, design)?;
        formula.watched = formula.to_watch(design);
        Ok(formula)
    }

    /// A memory that has seen nothing yet.
    pub fn memory(&self) -> Memory {
        let mut ages = vec![0; self.age_bits.len()];
        for node in &self.nodes {
            if let Node::OnceWithin { age, bound, .. } = node {
                ages[*age] = bound + 1;
            }
        }
        Memory { bits: vec![false; self.bits], ages }
    }

    /// Bits that the memory needs, counted as the proof counts its states.
    pub fn memory_bits(&self) -> u32 {
        self.bits as u32 + self.age_bits.iter().sum::<u32>()
    }

    /// What a memory holds, each value with its width in bits, in a fixed order.
    pub(crate) fn fields(&self, memory: &Memory) -> impl Iterator<Item = (u32, u32)> {
        let bits = memory.bits.iter().map(|&bit| (u32::from(bit), 1));
        bits.chain(memory.ages.iter().copied().zip(self.age_bits.iter().copied()))
    }

    /// Puts into a memory what it is to hold: `next` gives the next value, of so many bits.
    pub(crate) fn set_fields(&self, memory: &mut Memory, mut next: impl FnMut(u32) -> u32) {
        memory.bits.iter_mut().for_each(|bit| *bit = next(1) != 0);
        memory.ages.iter_mut().zip(&self.age_bits).for_each(|(age, &width)| *age = next(width));
    }

    /// Whether the value depends on the present tick alone.
    pub fn is_present(&self) -> bool {
        self.bits == 0 && self.age_bits.is_empty()
    }

    /// Takes one tick and gives the value at it. `signal` is the value of a signal by number.
    pub fn step(&self, memory: &mut Memory, tick: u64, signal: &dyn Fn(usize) -> bool) -> bool {
        self.step_watching(memory, tick, signal, &mut Vec::with_capacity(self.nodes.len())).0
    }

    /// As [`Formula::step`], and whether the formula was put to the test at this tick: the left side of an implication was
    /// so, or an output, coil, armature or lamp that the formula speaks of was on. `values` is room to work in.
    pub fn step_watching(
        &self,
        memory: &mut Memory,
        tick: u64,
        signal: &dyn Fn(usize) -> bool,
        values: &mut Vec<bool>,
    ) -> (bool, bool) {
        let grid = tick.is_multiple_of(u64::from(self.grid_ms));
        values.clear();
        for node in &self.nodes {
            let value = node.value(values, memory, grid, signal);
            values.push(value);
        }
        let tested = self.watched.iter().any(|&node| values[node]);
        (values.last().copied().unwrap_or(false), tested)
    }

    /// Numbers of the signals that it speaks of, in order, each once.
    pub fn signals(&self) -> Vec<usize> {
        let of = |node: &Node| match node {
            Node::Signal(number) => Some(*number),
            _ => None,
        };
        let mut all: Vec<usize> = self.nodes.iter().filter_map(of).collect();
        all.sort_unstable();
        all.dedup();
        all
    }

    fn to_watch(&self, design: &Design) -> Vec<usize> {
        if let Some(Node::Implies(left, _)) = self.nodes.last() {
            return vec![*left];
        }
        let signals = |wanted: &dyn Fn(SignalSource) -> bool| -> Vec<usize> {
            let of = |node: &Node| matches!(node, Node::Signal(n) if wanted(design.signals[*n].source));
            (0..self.nodes.len()).filter(|&k| of(&self.nodes[k])).collect()
        };
        let outputs = signals(&|source| {
            matches!(
                source,
                SignalSource::Output(..)
                    | SignalSource::Coil(_)
                    | SignalSource::MainClosed(_)
                    | SignalSource::Lit(_)
            )
        });
        if outputs.is_empty() { signals(&|_| true) } else { outputs }
    }

    fn add(&mut self, expr: &Expr, design: &Design) -> Result<usize, ExprError> {
        let node = match expr {
            Expr::Constant(value) => Node::Constant(*value),
            Expr::Signal(name) => Node::Signal(
                design
                    .signal(&name.text)
                    .ok_or_else(|| ExprError { column: name.column, message: unknown(&name.text, design) })?,
            ),
            Expr::Not(x) => Node::Not(self.add(x, design)?),
            Expr::And(all) => Node::And(self.add_all(all, design)?),
            Expr::Or(all) => Node::Or(self.add_all(all, design)?),
            Expr::Implies(a, b) => Node::Implies(self.add(a, design)?, self.add(b, design)?),
            Expr::Rose(x) => Node::Rose(self.add(x, design)?, self.bit()),
            Expr::Fell(x) => Node::Fell(self.add(x, design)?, self.bit()),
            Expr::Prev(x) => Node::Prev(self.add(x, design)?, self.bit()),
            Expr::Once(x, None) => Node::Once(self.add(x, design)?, self.bit()),
            Expr::Once(x, Some(ms)) => {
                let (operand, bound) = (self.add(x, design)?, self.bound(*ms, x)?);
                Node::OnceWithin { operand, age: self.age(bound), bound }
            }
            Expr::Held(x, ms) => {
                let (operand, bound) = (self.add(x, design)?, self.bound(*ms, x)?);
                Node::Held { operand, age: self.age(bound), bound }
            }
            Expr::Since(a, b) => Node::Since(self.add(a, design)?, self.add(b, design)?, self.bit()),
        };
        self.nodes.push(node);
        Ok(self.nodes.len() - 1)
    }

    fn add_all(&mut self, all: &[Expr], design: &Design) -> Result<Vec<usize>, ExprError> {
        all.iter().map(|x| self.add(x, design)).collect()
    }

    fn bit(&mut self) -> usize {
        self.bits += 1;
        self.bits - 1
    }

    fn age(&mut self, bound: u32) -> usize {
        // An age takes the values 0 to bound + 1.
        self.age_bits.push(u32::BITS - (bound + 1).leading_zeros());
        self.age_bits.len() - 1
    }

    /// A bound in grid instants.
    fn bound(&self, ms: u64, operand: &Expr) -> Result<u32, ExprError> {
        if ms > MOST_BOUND_MS || !ms.is_multiple_of(u64::from(self.grid_ms)) {
            let column = operand.names().first().map_or(1, |name| name.column);
            let message = format!(
                "a time of {ms} ms: a multiple of the scan period of {} ms, at most {} s, is expected",
                self.grid_ms,
                MOST_BOUND_MS / 1000
            );
            return Err(ExprError { column, message });
        }
        Ok((ms / u64::from(self.grid_ms)) as u32)
    }
}

impl Node {
    fn value(
        &self,
        values: &[bool],
        memory: &mut Memory,
        grid: bool,
        signal: &dyn Fn(usize) -> bool,
    ) -> bool {
        let mut older = |bit: usize, now: bool| std::mem::replace(&mut memory.bits[bit], now);
        match self {
            Node::Constant(value) => *value,
            Node::Signal(number) => signal(*number),
            Node::Not(x) => !values[*x],
            Node::And(all) => all.iter().all(|&x| values[x]),
            Node::Or(all) => all.iter().any(|&x| values[x]),
            Node::Implies(a, b) => !values[*a] || values[*b],
            Node::Rose(x, bit) => !older(*bit, values[*x]) && values[*x],
            Node::Fell(x, bit) => older(*bit, values[*x]) && !values[*x],
            Node::Prev(x, bit) => older(*bit, values[*x]),
            Node::Once(x, bit) => {
                memory.bits[*bit] |= values[*x];
                memory.bits[*bit]
            }
            Node::Since(a, b, bit) => {
                memory.bits[*bit] = values[*b] || values[*a] && memory.bits[*bit];
                memory.bits[*bit]
            }
            Node::OnceWithin { operand, age, bound } => {
                grow(&mut memory.ages[*age], values[*operand], grid, *bound);
                memory.ages[*age] <= *bound
            }
            Node::Held { operand, age, bound } => {
                grow(&mut memory.ages[*age], !values[*operand], grid, *bound);
                memory.ages[*age] > *bound
            }
        }
    }
}

fn grow(age: &mut u32, reset: bool, grid: bool, bound: u32) {
    if reset {
        *age = 0;
    } else if grid && *age <= bound {
        *age += 1;
    }
}

/// What to say about a name that is no signal: those that are near.
fn unknown(name: &str, design: &Design) -> String {
    let tag = name.split('.').next().unwrap_or(name);
    let near: Vec<&str> = design
        .signals
        .iter()
        .map(|s| s.name.as_str())
        .filter(|s| s.split('.').next() == Some(tag) || s.eq_ignore_ascii_case(name))
        .take(12)
        .collect();
    if near.is_empty() {
        format!("there is no signal `{name}`; a signal is written like QA1.closed, SF2.pressed or QX0.0")
    } else {
        format!("there is no signal `{name}`; there is: {}", near.join(", "))
    }
}
