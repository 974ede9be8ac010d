//! The benchmarks, run as a release by `cargo xtask bench [NAME] [--json]`: one JSON object a line.
//!
//! Each measures several times and reports the median, as other work on the machine only ever adds time. Where there is
//! a baseline it is measured in the same run, so that the ratio holds on any machine, and both must first agree on the
//! result. A line of [`BENCHMARKS`] adds one.

#[path = "sealin-bench/network.rs"]
mod network;

use std::collections::HashMap;
use std::hint::black_box;
use std::process::ExitCode;
use std::time::Instant;

use sealin_exercise::laps::Laps;
use sealin_ladder::{Call, Constant, Contact, Network, Output, Program, Test, compile, generate};
use sealin_tests::generate::{paddle, presses_and_reversals};

/// Measurements of which the median is reported.
const ROUNDS: usize = 9;

/// Laps of which the fastest is reported.
const LAPS: usize = 60;

/// What a benchmark found.
struct Finding {
    value: f64,
    unit: &'static str,
    /// Name and value, in the same unit.
    baseline: Option<(&'static str, f64)>,
}

/// A benchmark's name and what measures it.
type Benchmark = (&'static str, fn() -> Finding);

/// Every benchmark.
const BENCHMARKS: [Benchmark; 3] = [
    ("bench-realtime", bench_realtime),
    ("scan-1000-rungs", scan_1000_rungs),
    ("network-60-nodes", network::sixty_nodes),
];

fn main() -> ExitCode {
    let wanted = std::env::args().nth(1);
    let chosen: Vec<_> =
        BENCHMARKS.iter().filter(|(name, _)| wanted.as_ref().is_none_or(|wanted| wanted == name)).collect();
    if chosen.is_empty() {
        let names: Vec<_> = BENCHMARKS.iter().map(|(name, _)| *name).collect();
        eprintln!("there is no such benchmark; there are {}, first-load", names.join(", "));
        return ExitCode::from(2);
    }
    for (name, run) in chosen {
        let finding = run();
        println!("{}", finding.json(name));
    }
    ExitCode::SUCCESS
}

impl Finding {
    fn json(&self, name: &str) -> String {
        let mut line = format!("{{\"name\":\"{name}\",\"value\":{},\"unit\":\"{}\"", self.value, self.unit);
        if let Some((baseline, value)) = self.baseline {
            line += &format!(
                ",\"baseline_name\":\"{baseline}\",\"baseline_value\":{value},\"ratio\":{}",
                self.value / value
            );
        }
        line + "}"
    }
}

/// The median of several measurements.
fn median(mut measure: impl FnMut() -> f64) -> f64 {
    let mut values: Vec<f64> = (0..ROUNDS).map(|_| measure()).collect();
    values.sort_by(f64::total_cmp);
    values[ROUNDS / 2]
}

/// How many times faster than life the paddle job runs under activity, every tick computed; the baseline is the same with
/// quiet ticks passed over, as the screen and the marking do it. The fastest lap counts: other work only adds time.
fn bench_realtime() -> Finding {
    let scenario = paddle();
    let (attempt, from) = presses_and_reversals(&scenario);
    let laps =
        Laps::new(&scenario, &attempt, from).expect("the benchmark's attempt has acts on the bench only");
    assert!(laps.run(true) == laps.run(false), "both must come to the same");
    let fastest = |every_tick: bool| {
        (0..LAPS)
            .map(|_| times_real(&laps, every_tick))
            .fold(0.0, |best, now| if now > best { now } else { best })
    };
    Finding {
        value: fastest(true),
        unit: "x real time",
        baseline: Some(("quiet-ticks-passed-over", fastest(false))),
    }
}

fn times_real(laps: &Laps, every_tick: bool) -> f64 {
    let start = Instant::now();
    let lap = black_box(laps.run(every_tick));
    // A tick is 1 ms.
    lap.ticks as f64 / 1000.0 / start.elapsed().as_secs_f64()
}

/// Nanoseconds a contact of one scan of 1,000 rungs; the baseline walks the tree of the program as it stands.
fn scan_1000_rungs() -> Finding {
    const SCANS: u32 = 2_000;
    let program = generate::thousand_rungs(1);
    let contacts = program.rungs.iter().map(|rung| count_contacts(&rung.logic)).sum::<usize>() as f64;
    let inputs = generate::input_sequence(1, 16, SCANS);
    let compiled = compile(&program, 20);
    let (tree, tree_start) = Tree::new(&program, 20);

    let (mut memory, mut tree_memory) = (compiled.cold_start(), tree_start.clone());
    for image in &inputs {
        assert!(compiled.scan(&mut memory, *image) == tree.scan(&mut tree_memory, *image), "both must agree");
    }
    let per_contact = |seconds: f64| seconds * 1e9 / contacts / f64::from(SCANS);
    let value = median(|| {
        let mut memory = compiled.cold_start();
        let start = Instant::now();
        for image in &inputs {
            black_box(compiled.scan(&mut memory, black_box(*image)));
        }
        per_contact(start.elapsed().as_secs_f64())
    });
    let baseline = median(|| {
        let mut memory = tree_start.clone();
        let start = Instant::now();
        for image in &inputs {
            black_box(tree.scan(&mut memory, black_box(*image)));
        }
        per_contact(start.elapsed().as_secs_f64())
    });
    Finding { value, unit: "ns/contact", baseline: Some(("tree-walk", baseline)) }
}

fn count_contacts(logic: &Network) -> usize {
    match logic {
        Network::Contact(_) => 1,
        Network::Series(parts) | Network::Parallel(parts) => parts.iter().map(count_contacts).sum(),
        Network::True | Network::False => 0,
    }
}

/// A program with its names resolved, walked as a tree.
struct Tree {
    rungs: Vec<(Node, Write)>,
    /// Bit of the image and place in the memory.
    inputs: Vec<(u32, usize)>,
    outputs: Vec<(u32, usize)>,
}

#[derive(Clone)]
struct TreeMemory {
    bits: Vec<bool>,
    /// Scans for which each timer has been on, by the place of its `Q`.
    counts: HashMap<usize, u32>,
}

enum Node {
    Contact(usize, bool),
    All(Vec<Node>),
    Any(Vec<Node>),
    Fixed(bool),
}

enum Write {
    Coil(usize),
    Negated(usize),
    Set(usize),
    Reset(usize),
    /// The place of `Q`, and the scans after which it comes on.
    Timer(usize, u32),
}

impl Tree {
    fn new(program: &Program, period_ms: u32) -> (Tree, TreeMemory) {
        let places: HashMap<&str, usize> =
            program.vars.iter().enumerate().map(|(place, var)| (var.name.as_str(), place)).collect();
        // A timer's only bit here is its `Q`, at the place of the timer.
        let place = |name: &str| places[name.strip_suffix(".Q").unwrap_or(name)];
        let write = |output: &Output| match output {
            Output::Coil { var } => Write::Coil(place(var)),
            Output::Negated { var } => Write::Negated(place(var)),
            Output::Set { var } => Write::Set(place(var)),
            Output::Reset { var } => Write::Reset(place(var)),
            // On in the scan in which it starts, `Q` after the preset time has passed by whole periods.
            Output::Block(Call { instance, preset: Some(Constant::Time(preset_ms)), .. }) => {
                Write::Timer(place(instance), preset_ms.div_ceil(period_ms) + 1)
            }
            _ => panic!("the program has plain coils and timers"),
        };
        let of_area = |area| {
            let vars = program.vars.iter().enumerate();
            vars.filter_map(|(place, var)| Some((var.address.filter(|address| address.area == area)?, place)))
                .map(|(address, place)| (u32::from(address.byte) * 8 + u32::from(address.bit), place))
                .collect()
        };
        let tree = Tree {
            rungs: program
                .rungs
                .iter()
                .map(|rung| (Node::new(&rung.logic, &place), write(&rung.output)))
                .collect(),
            inputs: of_area(sealin_ladder::Area::Input),
            outputs: of_area(sealin_ladder::Area::Output),
        };
        let bits = program.vars.iter().map(|var| var.initial).collect();
        (tree, TreeMemory { bits, counts: HashMap::new() })
    }

    fn scan(&self, memory: &mut TreeMemory, inputs: u64) -> u64 {
        for (bit, place) in &self.inputs {
            memory.bits[*place] = inputs >> bit & 1 == 1;
        }
        for (node, write) in &self.rungs {
            let passes = node.passes(&memory.bits);
            match write {
                Write::Coil(place) => memory.bits[*place] = passes,
                Write::Negated(place) => memory.bits[*place] = !passes,
                Write::Set(place) => memory.bits[*place] |= passes,
                Write::Reset(place) => memory.bits[*place] &= !passes,
                Write::Timer(place, full) => {
                    let count = memory.counts.entry(*place).or_default();
                    *count = if passes { (*count + 1).min(*full) } else { 0 };
                    memory.bits[*place] = count == full;
                }
            }
        }
        self.outputs.iter().fold(0, |image, (bit, place)| image | u64::from(memory.bits[*place]) << bit)
    }
}

impl Node {
    fn new(logic: &Network, place: &dyn Fn(&str) -> usize) -> Node {
        let all = |parts: &[Network]| parts.iter().map(|part| Node::new(part, place)).collect();
        match logic {
            Network::Contact(Contact::Bit { var, test }) => Node::Contact(place(var), *test == Test::Closed),
            Network::Contact(_) => panic!("the program has no comparison"),
            Network::Series(parts) => Node::All(all(parts)),
            Network::Parallel(parts) => Node::Any(all(parts)),
            Network::True => Node::Fixed(true),
            Network::False => Node::Fixed(false),
        }
    }

    fn passes(&self, bits: &[bool]) -> bool {
        match self {
            Node::Contact(place, negated) => bits[*place] != *negated,
            Node::All(parts) => parts.iter().all(|part| part.passes(bits)),
            Node::Any(parts) => parts.iter().any(|part| part.passes(bits)),
            Node::Fixed(passes) => *passes,
        }
    }
}
