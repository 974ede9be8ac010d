//! Programs and input sequences made by rule from a seed, for tests and benchmarks. The same seed gives the same program
//! on every machine.

use crate::block::Block;
use crate::model::{Address, Area, Call, Network, Output, Program, Rung, Test, Var, VarKind};

/// A source of numbers that look random and depend on the seed alone: SplitMix64 (Steele, Lea and Flood, "Fast splittable
/// pseudorandom number generators", OOPSLA 2014).
#[derive(Clone, Debug)]
pub struct Numbers(u64);

impl Numbers {
    /// Starts a sequence.
    pub fn new(seed: u64) -> Self {
        Numbers(seed)
    }

    /// The next 64 bits.
    pub fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// A number from 0 to `limit - 1`; 0 for a limit of 0 or 1.
    pub fn below(&mut self, limit: u32) -> u32 {
        ((u64::from(limit) * (self.bits() >> 32)) >> 32) as u32
    }

    /// True once in `count` times.
    pub fn one_in(&mut self, count: u32) -> bool {
        self.below(count) == 0
    }
}

/// How large a generated program is.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Shape {
    /// Number of rungs.
    pub rungs: u32,
    /// Number of inputs, at most 64.
    pub inputs: u32,
    /// Number of outputs, at most 64, at least 1.
    pub outputs: u32,
    /// Number of bits without address.
    pub bits: u32,
    /// Number of timers, each called by one rung if there are rungs enough.
    pub timers: u32,
    /// Most contacts on a rung; the number varies from half of it, rounded up, to it.
    pub contacts: u32,
    /// Most groups inside each other.
    pub depth: u32,
    /// Whether rungs use set, reset and negated coils, links, gaps and comments besides.
    pub varied: bool,
}

impl Shape {
    /// A small program in which everything occurs.
    pub const SMALL: Shape =
        Shape { rungs: 8, inputs: 4, outputs: 3, bits: 3, timers: 2, contacts: 8, depth: 4, varied: true };

    /// 1,000 rungs of about 7,000 contacts with 16 inputs and 50 timers, nested 6 deep.
    pub const THOUSAND: Shape = Shape {
        rungs: 1000,
        inputs: 16,
        outputs: 64,
        bits: 400,
        timers: 50,
        contacts: 9,
        depth: 6,
        varied: false,
    };
}

/// The program of 1,000 rungs that the benchmark `scan-1000-rungs` runs.
pub fn thousand_rungs(seed: u64) -> Program {
    program(seed, &Shape::THOUSAND)
}

/// A program of a shape, in normal form.
pub fn program(seed: u64, shape: &Shape) -> Program {
    let mut numbers = Numbers::new(seed);
    let vars = variables(&mut numbers, shape);
    let readable: Vec<String> = vars
        .iter()
        .map(|var| if var.kind != VarKind::Bool { format!("{}.Q", var.name) } else { var.name.clone() })
        .collect();
    let writable: Vec<&str> = vars
        .iter()
        .filter(|var| {
            var.kind == VarKind::Bool && var.address.is_none_or(|address| address.area != Area::Input)
        })
        .map(|var| var.name.as_str())
        .collect();
    let timers: Vec<&str> =
        vars.iter().filter(|var| var.kind != VarKind::Bool).map(|var| var.name.as_str()).collect();
    let every = (shape.rungs / (shape.timers + 1)).max(1);
    let mut rungs = Vec::with_capacity(shape.rungs as usize);
    for index in 0..shape.rungs {
        let least = shape.contacts.div_ceil(2).max(1);
        let contacts = least + numbers.below(shape.contacts.max(1) - least + 1);
        let logic =
            network(&mut numbers, &readable, contacts, shape.depth, index % 2 == 0, shape.varied).normal();
        let timer = if index % every == every - 1 { timers.get((index / every) as usize) } else { None };
        let var = writable[numbers.below(writable.len() as u32) as usize].to_owned();
        let output = match timer {
            Some(instance) => Output::Block(Call::timer(*instance, Block::Ton, preset_ms(&mut numbers))),
            None if !shape.varied => Output::Coil { var },
            None => match numbers.below(8) {
                0 => Output::Negated { var },
                1 => Output::Set { var },
                2 => Output::Reset { var },
                _ => Output::Coil { var },
            },
        };
        let comment = if shape.varied && numbers.one_in(3) { comment(&mut numbers) } else { String::new() };
        rungs.push(Rung { comment, logic, output });
    }
    Program { name: "made_by_rule".to_owned(), comment: String::new(), vars, rungs }
}

/// An input sequence for `inputs` inputs: most scans change few bits, some change all.
pub fn input_sequence(seed: u64, inputs: u32, scans: u32) -> Vec<u64> {
    let mut numbers = Numbers::new(seed);
    let all = if inputs >= 64 { u64::MAX } else { (1 << inputs) - 1 };
    let mut image = 0;
    (0..scans)
        .map(|_| {
            match numbers.below(8) {
                0 => image = numbers.bits() & all,
                1..4 => image ^= 1 << numbers.below(inputs.min(64)),
                _ => {}
            }
            image & all
        })
        .collect()
}

fn variables(numbers: &mut Numbers, shape: &Shape) -> Vec<Var> {
    let mut vars = Vec::new();
    let mut add = |name: String, address, kind, numbers: &mut Numbers| {
        let plain_bit = kind == VarKind::Bool && !matches!(address, Some(Address { area: Area::Input, .. }));
        let initial = shape.varied && plain_bit && numbers.one_in(4);
        let retain = shape.varied && numbers.one_in(4);
        let comment = if shape.varied && numbers.one_in(4) { comment(numbers) } else { String::new() };
        vars.push(Var { name, address, kind, initial, retain, comment });
    };
    let image = |area, index: u32| Some(Address { area, byte: (index / 8) as u8, bit: (index % 8) as u8 });
    for index in 0..shape.inputs.min(64) {
        add(format!("I{index}_in"), image(Area::Input, index), VarKind::Bool, numbers);
    }
    for index in 0..shape.outputs.clamp(1, 64) {
        add(format!("Q{index}_out"), image(Area::Output, index), VarKind::Bool, numbers);
    }
    for index in 0..shape.bits {
        let address = if shape.varied && index == 0 { image(Area::Memory, 25) } else { None };
        add(format!("step{index}"), address, VarKind::Bool, numbers);
    }
    for index in 0..shape.timers {
        add(format!("wait{index}"), None, VarKind::Block(Block::Ton), numbers);
    }
    vars
}

/// From none to a few scans, seldom longer; not often a multiple of a scan.
fn preset_ms(numbers: &mut Numbers) -> u32 {
    match numbers.below(6) {
        0 => 0,
        1 => 1 + numbers.below(5),
        2..5 => numbers.below(80),
        _ => numbers.below(100_000_000),
    }
}

fn comment(numbers: &mut Numbers) -> String {
    const WORDS: [&str; 8] =
        ["raise", "the (* inner *) gate", "nach Pause: größer", "1", ")", "(", "* wait *", "a\n\nb"];
    let count = 1 + numbers.below(3);
    let words: Vec<&str> = (0..count).map(|_| WORDS[numbers.below(WORDS.len() as u32) as usize]).collect();
    crate::lex::normal_comment(&words.join(if numbers.one_in(2) { " " } else { "\n" }))
}

/// A network with that many contacts, in series or parallel at its outermost.
fn network(
    numbers: &mut Numbers,
    readable: &[String],
    contacts: u32,
    depth: u32,
    in_series: bool,
    varied: bool,
) -> Network {
    if contacts <= 1 || depth == 0 {
        if varied && numbers.one_in(24) {
            return if numbers.one_in(2) { Network::True } else { Network::False };
        }
        let var = readable[numbers.below(readable.len() as u32) as usize].clone();
        let test = if numbers.one_in(3) { Test::Closed } else { Test::Open };
        return Network::bit(var, test);
    }
    let mut left = contacts;
    let mut parts = Vec::new();
    while left > 0 {
        // At the last level every part is one contact; before it, about half of what is left goes into one part.
        let size = if depth == 1 { 1 } else { (1 + numbers.below(left)).min(contacts - 1) };
        parts.push(network(numbers, readable, size, depth - 1, !in_series, varied));
        left -= size;
    }
    if in_series { Network::Series(parts) } else { Network::Parallel(parts) }
}
