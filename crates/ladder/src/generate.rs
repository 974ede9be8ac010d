//! Programs and input sequences made by rule from a seed, for tests and benchmarks. The same seed gives the same program
//! on every machine.

use crate::block::{Block, Preset};
use crate::compiled::FIRST_SCAN;
use crate::model::{
    Address, Area, Call, Comparison, Constant, Contact, Network, Operand, Output, Program, Relation, Rung,
    Test, Var, VarKind,
};

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
    /// Number of timers. Each block is called by one rung if there are rungs enough.
    pub timers: u32,
    /// Number of counters.
    pub counters: u32,
    /// Number of bistables and edge detectors.
    pub others: u32,
    /// Most contacts on a rung; the number varies from half of it, rounded up, to it. A block's further inputs have one
    /// each.
    pub contacts: u32,
    /// Most groups inside each other.
    pub depth: u32,
    /// Whether rungs use set, reset and negated coils, links, gaps and comments besides, leave inputs of blocks open, and
    /// know the first scan.
    pub varied: bool,
    /// Whether rungs compare counts and durations.
    pub compares: bool,
    /// Whether rungs use edge contacts and edge coils.
    pub edges: bool,
}

impl Shape {
    /// A small program in which everything occurs.
    pub const SMALL: Shape = Shape {
        rungs: 10,
        inputs: 4,
        outputs: 3,
        bits: 3,
        timers: 2,
        counters: 1,
        others: 1,
        contacts: 8,
        depth: 4,
        varied: true,
        compares: true,
        edges: true,
    };

    /// 1,000 rungs of about 7,000 contacts with 16 inputs, 50 timers and 20 counters, nested 6 deep.
    pub const THOUSAND: Shape = Shape {
        rungs: 1000,
        inputs: 16,
        outputs: 64,
        bits: 400,
        timers: 50,
        counters: 20,
        others: 0,
        contacts: 9,
        depth: 6,
        varied: false,
        compares: false,
        edges: false,
    };
}

/// The program of 1,000 rungs that the benchmarks `scan-1000-rungs` and `scan-1000-rungs-64-lanes` run.
pub fn thousand_rungs(seed: u64) -> Program {
    program(seed, &Shape::THOUSAND)
}

/// A program of a shape, in normal form.
pub fn program(seed: u64, shape: &Shape) -> Program {
    let mut numbers = Numbers::new(seed);
    let vars = variables(&mut numbers, shape);
    let names = Names::new(&vars, shape);
    let every = (shape.rungs / (names.blocks.len() as u32 + 1)).max(1);
    let mut rungs = Vec::with_capacity(shape.rungs as usize);
    for index in 0..shape.rungs {
        let least = shape.contacts.div_ceil(2).max(1);
        let contacts = least + numbers.below(shape.contacts.max(1) - least + 1);
        let logic = names.network(&mut numbers, contacts, shape.depth, index % 2 == 0).normal();
        let block =
            if index % every == every - 1 { names.blocks.get((index / every) as usize) } else { None };
        let output = match block {
            Some((instance, block)) => Output::Block(names.call(&mut numbers, instance, *block)),
            None => names.coil(&mut numbers),
        };
        let comment = if shape.varied && numbers.one_in(3) { comment(&mut numbers) } else { String::new() };
        rungs.push(Rung { comment, logic, output });
    }
    Program { name: "made_by_rule".to_owned(), comment: String::new(), vars, rungs }
}

/// The names that rungs use.
struct Names<'a> {
    shape: &'a Shape,
    readable: Vec<String>,
    writable: Vec<&'a str>,
    /// ET of timers and CV of counters.
    values: Vec<(String, Preset)>,
    blocks: Vec<(&'a str, Block)>,
}

impl<'a> Names<'a> {
    fn new(vars: &'a [Var], shape: &'a Shape) -> Self {
        let mut names = Names { shape, readable: vec![], writable: vec![], values: vec![], blocks: vec![] };
        for Var { name, address, kind, .. } in vars {
            match kind {
                VarKind::Bool => {
                    names.readable.push(name.clone());
                    let is_input = address.is_some_and(|address| address.area == Area::Input);
                    if !is_input && name != FIRST_SCAN {
                        names.writable.push(name);
                    }
                }
                VarKind::Block(block) => {
                    names.blocks.push((name, *block));
                    names.readable.extend(block.outputs().iter().map(|pin| format!("{name}.{pin}")));
                    if let Some(sort) = block.preset() {
                        names.values.push((format!("{name}.{}", sort.value()), sort));
                    }
                }
            }
        }
        names
    }

    fn coil(&self, numbers: &mut Numbers) -> Output {
        let var = self.writable[numbers.below(self.writable.len() as u32) as usize].to_owned();
        match numbers.below(12) {
            _ if !self.shape.varied => Output::Coil { var },
            0 => Output::Negated { var },
            1 => Output::Set { var },
            2 => Output::Reset { var },
            3 if self.shape.edges => Output::Rising { var },
            4 if self.shape.edges => Output::Falling { var },
            _ => Output::Coil { var },
        }
    }

    fn call(&self, numbers: &mut Numbers, instance: &str, block: Block) -> Call {
        let further = (1..block.inputs().len()).map(|_| {
            let open = self.shape.varied && numbers.one_in(4);
            (!open).then(|| self.leaf(numbers))
        });
        let further = further.collect();
        let preset = block.preset().map(|sort| figure(numbers, sort));
        Call { instance: instance.to_owned(), block, further, preset }
    }

    /// A network with that many contacts, in series or parallel at its outermost.
    fn network(&self, numbers: &mut Numbers, contacts: u32, depth: u32, in_series: bool) -> Network {
        if contacts <= 1 || depth == 0 {
            return self.leaf(numbers);
        }
        let mut left = contacts;
        let mut parts = Vec::new();
        while left > 0 {
            // At the last level every part is one contact; before it, about half of what is left goes into one part.
            let size = if depth == 1 { 1 } else { (1 + numbers.below(left)).min(contacts - 1) };
            parts.push(self.network(numbers, size, depth - 1, !in_series));
            left -= size;
        }
        if in_series { Network::Series(parts) } else { Network::Parallel(parts) }
    }

    fn leaf(&self, numbers: &mut Numbers) -> Network {
        if self.shape.varied && numbers.one_in(24) {
            return if numbers.one_in(2) { Network::True } else { Network::False };
        }
        if self.shape.compares && !self.values.is_empty() && numbers.one_in(8) {
            return Network::Contact(Contact::Compare(self.comparison(numbers)));
        }
        let var = self.readable[numbers.below(self.readable.len() as u32) as usize].clone();
        let closed = numbers.one_in(3);
        let edge = self.shape.edges && numbers.one_in(6);
        let test = match (closed, edge) {
            (false, false) => Test::Open,
            (true, false) => Test::Closed,
            (false, true) => Test::Rising,
            (true, true) => Test::Falling,
        };
        Network::bit(var, test)
    }

    fn comparison(&self, numbers: &mut Numbers) -> Comparison {
        let one =
            |numbers: &mut Numbers| self.values[numbers.below(self.values.len() as u32) as usize].clone();
        let (value, sort) = one(numbers);
        let relation = Relation::ALL[numbers.below(6) as usize];
        let with = match one(numbers) {
            (other, its) if its == sort && other != value && numbers.one_in(2) => Operand::Value(other),
            _ => Operand::Constant(figure(numbers, sort)),
        };
        Comparison { value, relation, with }
    }
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
        let initial = initial && name != FIRST_SCAN;
        let retain = shape.varied && numbers.one_in(4) && name != FIRST_SCAN;
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
    if shape.varied && numbers.one_in(2) {
        add(FIRST_SCAN.to_owned(), None, VarKind::Bool, numbers);
    }
    let sorts: [(&str, u32, &[Block]); 3] = [
        ("wait", shape.timers, &[Block::Ton, Block::Tof, Block::Tp]),
        ("parts", shape.counters, &[Block::Ctu, Block::Ctd, Block::Ctud]),
        ("unit", shape.others, &[Block::Sr, Block::Rs, Block::RTrig, Block::FTrig]),
    ];
    for (name, count, blocks) in sorts {
        for index in 0..count {
            let block = blocks[numbers.below(blocks.len() as u32) as usize];
            add(format!("{name}{index}"), None, VarKind::Block(block), numbers);
        }
    }
    vars
}

/// A duration from none to a few scans, seldom longer, not often a multiple of a scan; or a small count, seldom large.
fn figure(numbers: &mut Numbers, sort: Preset) -> Constant {
    match sort {
        Preset::Time => Constant::Time(match numbers.below(6) {
            0 => 0,
            1 => 1 + numbers.below(5),
            2..5 => numbers.below(80),
            _ => numbers.below(100_000_000),
        }),
        Preset::Count => Constant::Count(match numbers.below(8) {
            0 => numbers.bits() as i16,
            1 => -1 - numbers.below(3) as i16,
            _ => numbers.below(5) as i16,
        }),
    }
}

fn comment(numbers: &mut Numbers) -> String {
    const WORDS: [&str; 8] =
        ["raise", "the (* inner *) gate", "nach Pause: größer", "1", ")", "(", "* wait *", "a\n\nb"];
    let count = 1 + numbers.below(3);
    let words: Vec<&str> = (0..count).map(|_| WORDS[numbers.below(WORDS.len() as u32) as usize]).collect();
    crate::lex::normal_comment(&words.join(if numbers.one_in(2) { " " } else { "\n" }))
}
