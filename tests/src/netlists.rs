//! Networks to solve in two ways: generated ones with every kind of element, and those that the paddle job runs into.

use crate::generate::{Random, paddle, with_reference};
use sealin_core::complex::Complex;
use sealin_core::network::{EARTH, Element, Key, Network, Node};
use sealin_core::{Bench, BenchAct, Fault};

/// A network at one key, with the currents of its motors.
#[derive(Clone, Debug)]
pub struct Case {
    /// What to call it in a message.
    pub name: String,
    /// The network.
    pub network: Network,
    /// State of its elements.
    pub key: Key,
    /// Currents drawn at its ports, A RMS.
    pub drawn: Vec<[Complex; 3]>,
    /// Mains frequency, mHz.
    pub millihertz: u32,
}

/// Case number `seed`: a generated network, or, every fifth, the paddle job's own after some acts.
///
/// The networks of the paddle job are those of one run of the bench, which `walk` holds between calls.
pub fn case(seed: u64, walk: &mut Walk) -> Case {
    if seed % 5 == 4 { walk.next(seed) } else { generated(seed) }
}

/// The bench of the paddle job, led through acts and faults.
pub struct Walk {
    bench: Bench,
    faults: Vec<Fault>,
    random: Random,
}

impl Default for Walk {
    fn default() -> Self {
        let mut bench = with_reference(&paddle()).bench().clone();
        let mut faults = Fault::catalogue(&bench.plan().parts, &bench.plan().conductors);
        // One that comes and goes makes no other network.
        faults.retain(|fault| !fault.is_intermittent());
        act(&mut bench, "power on");
        bench.run_until(2_000, &mut |_, _, _| {});
        Walk { bench, faults, random: Random::new(1) }
    }
}

fn act(bench: &mut Bench, line: &str) {
    let act = BenchAct::parse(line).expect("an act of the language");
    bench.act(act).expect("an act that fits the paddle panel");
}

impl Walk {
    fn next(&mut self, seed: u64) -> Case {
        let lines = [
            "press SF1",
            "press SF2",
            "press SF2",
            "press SF3",
            "release SF1",
            "release SF2",
            "release SF3",
            "trip FC1",
            "reset FC1",
            "open FC4",
            "close FC4",
            "close QB1",
            "push QA1",
            "push QA2",
            "release QA1",
            "release QA2",
            "power on",
            "power on",
            "power off",
            "jam MA1",
            "free MA1",
        ];
        act(&mut self.bench, self.random.pick::<&str>(&lines));
        match self.random.below(6) {
            0 => {
                let fault = self.random.pick(&self.faults).clone();
                self.bench.act(BenchAct::Inject(fault)).expect("a fault of the catalogue fits");
            }
            1 => act(&mut self.bench, "clear all"),
            _ => {}
        }
        let ticks = 1 + [3, 40, 900][self.random.below(3) as usize] * self.random.below(2);
        self.bench.run_until(self.bench.tick() + ticks, &mut |_, _, _| {});
        let (design, state) = (&self.bench.design, &self.bench.state);
        Case {
            name: format!("paddle job, {seed}"),
            network: design.network.clone(),
            key: state.key,
            drawn: design.drawn(state),
            millihertz: 50_000,
        }
    }
}

/// Sections of conductors, joined by transformers only, with sources, coils, leaks and motors' currents.
pub fn generated(seed: u64) -> Case {
    let mut g =
        Generator { random: Random::new(seed), elements: Vec::new(), ports: Vec::new(), nodes: 0, bits: 0 };
    let sections: Vec<Vec<Node>> = (0..1 + g.random.below(4)).map(|_| g.section()).collect();
    g.three_phases(&sections[0]);
    for pair in sections.windows(2) {
        g.transformer(&pair[0], &pair[1]);
    }
    for section in &sections {
        for _ in 0..g.random.below(3) {
            g.coil(section);
        }
        for _ in 0..g.random.below(3) {
            g.dc_supply(section);
        }
        if g.random.below(4) == 0 {
            g.transformer(section, section);
        }
        g.port(section);
    }
    // Cables join sections by capacitance only.
    for _ in 0..g.random.below(6) {
        let a = g.node(&sections);
        let b = g.node(&sections);
        let siemens = g.size(-8, -5);
        g.elements.push(Element::Capacitor { a, b, siemens });
    }
    let mut key = Key::default();
    for bit in 0..g.bits {
        key.set(bit, g.random.below(4) != 0);
    }
    let network = Network::new(g.nodes as usize, g.elements, g.ports);
    Case {
        name: format!("generated, {seed}"),
        drawn: loaded(&network, &key),
        network,
        key,
        millihertz: if g.random.below(2) == 0 { 50_000 } else { 60_000 },
    }
}

/// Currents of a size that the network can carry: what 8 ohm and 6 ohm inductive would draw at each terminal alone.
/// A current that has no way back to its source would raise a terminal to gigavolts, and nothing beside it could be
/// told.
fn loaded(network: &Network, key: &Key) -> Vec<[Complex; 3]> {
    let solution = network.solve(key);
    let mut drawn = Vec::new();
    for (nodes, response) in network.ports.iter().zip(&solution.response) {
        let current = |t: usize| {
            let node = nodes[t] as usize;
            solution.ac[node] / (response[t][node] + Complex::new(8.0, 6.0))
        };
        drawn.push([current(0), current(1), current(2)]);
    }
    drawn
}

/// Sixty nodes, 79 resistors and 20 contacts (bits 0 to 19) at a DC supply that is on with bit 20: conductors, contacts
/// and loads as in a panel, each node joined to one of the six before it, the rest between nodes at most twenty apart.
pub fn sixty_nodes() -> Network {
    const NODES: u64 = 60;
    let mut random = Random::new(60);
    let mut elements = vec![Element::DcSource { plus: 0, minus: EARTH, bit: 20, volts: 24.0, limit: 5.0 }];
    let ohms = [0.01, 0.02, 0.02, 0.05, 160.0, 1_200.0, 4_700.0, 4_700.0];
    let mut resistor = |a: u64, b: Option<u64>, random: &mut Random| {
        let b = b.map_or(EARTH, |b| b as Node);
        elements.push(Element::Resistor { a: a as Node, b, siemens: 1.0 / random.pick::<f64>(&ohms) });
    };
    for node in 1..NODES {
        let back = 1 + random.below(6.min(node));
        resistor(node, Some(node - back), &mut random);
    }
    resistor(NODES - 1, None, &mut random);
    let apart = |random: &mut Random| {
        let node = 1 + random.below(NODES - 1);
        (node, node - 1 - random.below(20.min(node)))
    };
    for _ in 0..19 {
        let (a, b) = apart(&mut random);
        resistor(a, Some(b), &mut random);
    }
    for bit in 0..20 {
        let (a, b) = apart(&mut random);
        elements.push(Element::Contact { a: a as Node, b: b as Node, bit, siemens: 100.0 });
    }
    Network::new(NODES as usize, elements, Vec::new())
}

struct Generator {
    random: Random,
    elements: Vec<Element>,
    ports: Vec<[Node; 3]>,
    nodes: Node,
    bits: usize,
}

impl Generator {
    /// A number between two powers of ten, all sizes alike.
    fn size(&mut self, from: i32, to: i32) -> f64 {
        let power = from + self.random.below((to - from) as u64) as i32;
        (1.0 + self.random.below(900) as f64 / 100.0) * 10f64.powi(power)
    }

    fn bit(&mut self) -> usize {
        self.bits += 1;
        self.bits - 1
    }

    fn node(&mut self, sections: &[Vec<Node>]) -> Node {
        let section = self.random.pick(sections).clone();
        *self.random.pick(&section)
    }

    /// Two nodes of a section; the second is earth now and then.
    fn pair(&mut self, section: &[Node]) -> (Node, Node) {
        let a = *self.random.pick(section);
        let b = if self.random.below(5) == 0 { EARTH } else { *self.random.pick(section) };
        (a, b)
    }

    /// A grid of resistances and contacts with some branches left out, and a leak or an earthing conductor.
    fn section(&mut self) -> Vec<Node> {
        let (width, height) = (1 + self.random.below(6) as Node, 2 + self.random.below(6) as Node);
        let first = self.nodes;
        self.nodes += width * height;
        for row in 0..height {
            for column in 0..width {
                let here = first + row * width + column;
                if column + 1 < width {
                    self.join(here, here + 1);
                }
                if row + 1 < height {
                    self.join(here, here + width);
                }
            }
        }
        let section: Vec<Node> = (first..self.nodes).collect();
        let siemens = if self.random.below(2) == 0 { 50.0 } else { self.size(-6, -2) };
        let a = *self.random.pick(&section);
        self.elements.push(Element::Resistor { a, b: EARTH, siemens });
        section
    }

    fn join(&mut self, a: Node, b: Node) {
        match self.random.below(10) {
            0..4 => {
                let siemens = if self.random.below(2) == 0 { 50.0 } else { self.size(-4, 2) };
                self.elements.push(Element::Resistor { a, b, siemens });
            }
            4..8 => {
                let bit = self.bit();
                let siemens = if self.random.below(3) == 0 { self.size(-3, 0) } else { 100.0 };
                self.elements.push(Element::Contact { a, b, bit, siemens });
            }
            8 => {
                let siemens = self.size(-2, 1);
                self.elements.push(Element::DcOnly { a, b, siemens });
            }
            _ => {}
        }
    }

    fn three_phases(&mut self, section: &[Node]) {
        let bit = self.bit();
        let size = 230.0 + self.random.below(50) as f64;
        let admittance = Complex::new(1.0, 1.0).scale(0.01 + self.size(-2, 0)).recip();
        let (cos, sin) = (-0.5, 3f64.sqrt() / 2.0);
        for turn in [Complex::ONE, Complex::new(cos, -sin), Complex::new(cos, sin)] {
            let a = *self.random.pick(section);
            self.elements.push(Element::AcSource { a, bit, volts: turn.scale(size), admittance });
        }
    }

    fn transformer(&mut self, from: &[Node], to: &[Node]) {
        let (primary, secondary) = (self.pair(from), self.pair(to));
        self.insulation(secondary.0);
        let ratio = self.size(-2, 0);
        let series = Complex::new(self.size(-2, 0), self.size(-3, 0)).recip();
        let magnetising = Complex::new(self.size(-7, -5), -self.size(-5, -3));
        let siemens_dc = (self.size(-3, 0), self.size(-2, 1));
        self.elements.push(Element::Transformer {
            primary,
            secondary,
            ratio,
            series,
            magnetising,
            siemens_dc,
        });
    }

    fn coil(&mut self, section: &[Node]) {
        let (a, b) = self.pair(section);
        let out = Complex::new(self.size(-4, -2), -self.size(-4, -2));
        let sealed = out.scale(0.1);
        let (bit, siemens_dc) = (self.bit(), self.size(-4, -1));
        // The last bit is never set: a burnt coil is as good as none.
        let burnt = sealin_core::network::Key::BITS - 1;
        self.elements.push(Element::Coil { a, b, bit, burnt, out, sealed, siemens_dc });
    }

    /// An insulation of 10 kilohm to 10 megohm at one end of what could float. Held by nothing but the leaks of
    /// gigaohms, 24 V behind 0.1 ohm are 240 A, of which sixteen digits leave 1e-14 A: no simulator tells a voltage
    /// against earth from that.
    fn insulation(&mut self, a: Node) {
        let siemens = self.size(-7, -4);
        self.elements.push(Element::Resistor { a, b: EARTH, siemens });
    }

    fn dc_supply(&mut self, section: &[Node]) {
        let (plus, minus) = self.pair(section);
        self.insulation(plus);
        let bit = self.bit();
        self.bit();
        let limit = 1.0 + self.random.below(50) as f64 / 10.0;
        self.elements.push(Element::DcSource { plus, minus, bit, volts: 24.0, limit });
    }

    fn port(&mut self, section: &[Node]) {
        if self.random.below(3) == 0 {
            self.ports.push([(); 3].map(|()| *self.random.pick(section)));
        }
    }
}
