//! A program as straight Rust: one function in which every rung is an expression, for the compiler to make the best of.

use std::collections::BTreeMap;
use std::fmt::Write;
use std::path::PathBuf;

use sealin_ladder::generate::thousand_rungs;
use sealin_ladder::{Area, Block, Call, Constant, Contact, Network, Output, Program, Test, Var, VarKind};

/// The seed and the scan period of the benchmarks' program.
const SEED: u64 = 1;
const PERIOD_MS: u32 = 20;

/// Writes `straight.rs`: the constants `SEED` and `PERIOD_MS`, the struct `State` and the function `scan`.
pub fn write() {
    let program = thousand_rungs(SEED);
    let source = Source::new(&program).text();
    let folder = PathBuf::from(std::env::var_os("OUT_DIR").expect("cargo sets it"));
    std::fs::write(folder.join("straight.rs"), source).expect("the folder can be written");
}

struct Source<'a> {
    program: &'a Program,
    /// Index of each bit, by variable or pin.
    bits: BTreeMap<String, usize>,
    /// Index of each block's count.
    counts: BTreeMap<&'a str, usize>,
}

impl<'a> Source<'a> {
    fn new(program: &'a Program) -> Self {
        let mut source = Source { program, bits: BTreeMap::new(), counts: BTreeMap::new() };
        for Var { name, kind, initial, .. } in &program.vars {
            assert!(!initial, "all bits are 0 at the start");
            let pins = match kind {
                VarKind::Bool => vec![name.clone()],
                VarKind::Block(block) => {
                    source.counts.insert(name, source.counts.len());
                    block.bits().map(|pin| format!("{name}.{pin}")).collect()
                }
            };
            for pin in pins {
                source.bits.insert(pin, source.bits.len());
            }
        }
        source
    }

    fn text(&self) -> String {
        let (bits, counts) = (self.bits.len(), self.counts.len());
        let mut text = format!(
            "pub const SEED: u64 = {SEED};\npub const PERIOD_MS: u32 = {PERIOD_MS};\n\
             pub struct State {{ bits: [bool; {bits}], counts: [i32; {counts}] }}\n\
             pub const START: State = State {{ bits: [false; {bits}], counts: [0; {counts}] }};\n\
             #[inline(never)]\npub fn scan(s: &mut State, inputs: u64) -> u64 {{\n"
        );
        for (name, bit) in self.images(Area::Input) {
            writeln!(text, "{} = inputs >> {bit} & 1 != 0;", self.bit(name)).unwrap();
        }
        for rung in &self.program.rungs {
            let passes = self.network(&rung.logic);
            match &rung.output {
                Output::Coil { var } => writeln!(text, "{} = {passes};", self.bit(var)).unwrap(),
                Output::Block(call) => text += &self.call(call, passes),
                other => panic!("{other:?}"),
            }
        }
        text += "let mut outputs = 0;\n";
        for (name, bit) in self.images(Area::Output) {
            writeln!(text, "outputs |= u64::from({}) << {bit};", self.bit(name)).unwrap();
        }
        text + "outputs\n}\n"
    }

    fn images(&self, area: Area) -> impl Iterator<Item = (&str, u32)> {
        self.program.vars.iter().filter_map(move |var| {
            let address = var.address.filter(|address| address.area == area)?;
            Some((var.name.as_str(), address.image_bit()?))
        })
    }

    fn bit(&self, name: &str) -> String {
        format!("s.bits[{}]", self.bits[name])
    }

    fn network(&self, logic: &Network) -> String {
        let joined = |parts: &[Network], by: &str| {
            format!("({})", parts.iter().map(|part| self.network(part)).collect::<Vec<_>>().join(by))
        };
        match logic {
            Network::Contact(Contact::Bit { var, test: Test::Open }) => self.bit(var),
            Network::Contact(Contact::Bit { var, test: Test::Closed }) => format!("!{}", self.bit(var)),
            Network::Series(parts) => joined(parts, " & "),
            Network::Parallel(parts) => joined(parts, " | "),
            other => panic!("{other:?}"),
        }
    }

    /// A call: its inputs as `i0`, `i1` …, its law, its inputs kept.
    fn call(&self, call: &Call, first: String) -> String {
        let further = call.further.iter().map(|input| input.as_ref().map(|input| self.network(input)));
        let inputs = std::iter::once(Some(first)).chain(further);
        let mut text = "{\n".to_owned();
        for (k, input) in inputs.enumerate() {
            writeln!(text, "let i{k} = {};", input.as_deref().unwrap_or("false")).unwrap();
        }
        writeln!(text, "let c = s.counts[{}];", self.counts[call.instance.as_str()]).unwrap();
        let pin = |name: &str| self.bit(&format!("{}.{name}", call.instance));
        let (next, outputs) = law(call, &pin);
        writeln!(text, "let c = {next};\ns.counts[{}] = c;", self.counts[call.instance.as_str()]).unwrap();
        for (name, output) in call.block.outputs().iter().zip(outputs) {
            writeln!(text, "{} = {output};", pin(name)).unwrap();
        }
        for (k, name) in call.block.inputs().iter().enumerate() {
            writeln!(text, "{} = i{k};", pin(name)).unwrap();
        }
        text + "}\n"
    }
}

/// The next count from the last, `c`, and the outputs from it. A timer's count is 0 at rest, else 1 + the scans since it
/// started, up to `full`.
fn law(call: &Call, pin: &dyn Fn(&str) -> String) -> (String, Vec<String>) {
    let full = match call.preset {
        Some(Constant::Time(preset_ms)) => preset_ms.div_ceil(PERIOD_MS) + 1,
        _ => 0,
    };
    let preset = match call.preset {
        Some(Constant::Count(preset)) => preset,
        _ => 0,
    };
    let on = |input: &str, name: &str| format!("({input} & !{})", pin(name));
    let (reached, none) = (format!("c >= {preset}"), "c <= 0".to_owned());
    match call.block {
        Block::Ton => (format!("if i0 {{ (c + 1).min({full}) }} else {{ 0 }}"), vec![format!("c == {full}")]),
        Block::Tof => (
            format!("if !i0 & ((c != 0) | {}) {{ (c + 1).min({full}) }} else {{ 0 }}", pin("IN")),
            vec![format!("i0 | (c != 0) & (c != {full})")],
        ),
        Block::Tp => (
            format!("if i0 | (c != 0) & (c + 1 < {full}) {{ (c + 1).min({full}) }} else {{ 0 }}"),
            vec![format!("(c != 0) & (c != {full})")],
        ),
        Block::Ctu => {
            let counted = format!("c + i32::from({} & (c < 32767))", on("i0", "CU"));
            (format!("if i1 {{ 0 }} else {{ {counted} }}"), vec![reached])
        }
        Block::Ctd => {
            let counted = format!("c - i32::from({} & (c > -32768))", on("i0", "CD"));
            (format!("if i1 {{ {preset} }} else {{ {counted} }}"), vec![none])
        }
        Block::Ctud => {
            let step = format!("i32::from({}) - i32::from({})", on("i0", "CU"), on("i1", "CD"));
            let counted = format!("(c + {step}).clamp(-32768, 32767)");
            (format!("if i2 {{ 0 }} else if i3 {{ {preset} }} else {{ {counted} }}"), vec![reached, none])
        }
        other => panic!("{other:?}"),
    }
}
