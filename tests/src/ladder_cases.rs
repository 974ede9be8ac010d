//! Cases of the ladder language: a program and a table of scans, each with inputs and what a person expects.
//!
//! A case is a file `tests/cases/ladder/NAME.toml`:
//!
//! ```toml
//! title   = "TON: the input drops out before the time is up"
//! source  = "IEC 61131-3, standard function blocks, timers: TON"
//! worked  = "IN is 1 for three scans, so ET reaches 20 ms of 30 ms"
//! vars    = "t : TON;"                       # beside the inputs a b c d, the outputs q r s and the bits m n
//! retain  = ""                               # the same, retained
//! program = "t(IN := a, PT := T#30ms);"      # rungs only, or a whole PROGRAM without vars
//! period_ms = 10                             # scan period; 10 if not given
//! scans   = """
//! a | t.Q t.ET
//! 1 | 0   0
//! 1 | 0   10  x 2                            # a row for two scans
//! """
//! ```
//!
//! The first line of the table names inputs, then what is looked at after each scan: bits as 0 and 1, counts, durations in
//! ms, `-` for what is not looked at. Other lines: `cold`, `warm` and `hot` restart, `transfer` to the program of
//! `then_vars` and `then`, and `repeat N` … `end` around rows. `worked` says how the figures were worked out by hand.

use sealin_ladder::{Area, Compiled, Contact, Memory, Network, Output, Program, Test, compile, parse, print};
use std::collections::BTreeSet;
use std::path::Path;

/// Declarations that every program of rungs only has.
const VARS: &str = "
    a AT %IX0.0 : BOOL; b AT %IX0.1 : BOOL; c AT %IX0.2 : BOOL; d AT %IX0.3 : BOOL;
    q AT %QX0.0 : BOOL; r AT %QX0.1 : BOOL; s AT %QX0.2 : BOOL; m : BOOL; n : BOOL;";

/// A case as its file says it.
#[derive(Clone)]
pub struct Case {
    /// The program it begins with.
    pub program: Program,
    /// What a transfer puts in its place.
    pub then: Option<Program>,
    /// Scan period.
    pub period_ms: u32,
    /// The scans.
    pub table: Table,
}

/// What is driven and looked at, scan by scan.
#[derive(Clone)]
pub struct Table {
    /// Names of the inputs.
    pub inputs: Vec<String>,
    /// Names of what is looked at after each scan.
    pub looked_at: Vec<String>,
    /// What happens, in order.
    pub lines: Vec<Line>,
}

/// A line of the table, with repetitions written out.
#[derive(Clone)]
pub enum Line {
    /// Inputs, and the expected values where one is looked at.
    Scan(Vec<bool>, Vec<Option<i32>>),
    /// A cold restart.
    Cold,
    /// A warm restart.
    Warm,
    /// A hot restart, from stop to run.
    Hot,
    /// A change to the other program while running.
    Transfer,
}

impl Case {
    /// Reads a case. The error says what was expected.
    pub fn read(file: &Path) -> Result<Case, String> {
        let text = std::fs::read_to_string(file).map_err(|e| e.to_string())?;
        let case: toml::Table = text.parse().map_err(|e| format!("{e}"))?;
        let known = [
            "title",
            "source",
            "worked",
            "vars",
            "retain",
            "program",
            "period_ms",
            "then_vars",
            "then",
            "scans",
        ];
        if let Some(key) = case.keys().find(|key| !known.contains(&key.as_str())) {
            return Err(format!("`{key}` is no key of a case; expected: {}", known.join(", ")));
        }
        let given = |key: &str| case.get(key).and_then(toml::Value::as_str);
        for key in ["title", "source", "worked", "program", "scans"] {
            if given(key).is_none_or(|text| text.trim().is_empty()) {
                return Err(format!("`{key}` is expected"));
            }
        }
        let read = |vars: &str, retain: &str, rungs: &str| {
            program(given(vars).unwrap_or_default(), given(retain).unwrap_or_default(), rungs)
        };
        Ok(Case {
            program: read("vars", "retain", given("program").unwrap_or_default())?,
            then: given("then").map(|rungs| read("then_vars", "", rungs)).transpose()?,
            period_ms: match case.get("period_ms").map(toml::Value::as_integer) {
                None => 10,
                Some(period) => {
                    period.and_then(|ms| u32::try_from(ms).ok()).ok_or("a period in ms is expected")?
                }
            },
            table: Table::read(given("scans").unwrap_or_default())?,
        })
    }

    /// Runs it. The error names the scan, what was looked at, and what was seen and expected.
    pub fn run(&self) -> Result<(), String> {
        let looked = self.table.lines.iter().flat_map(|line| match line {
            Line::Scan(_, expected) => expected.as_slice(),
            _ => &[],
        });
        if looked.flatten().count() == 0 {
            return Err("a case that expects nothing".into());
        }
        let mut now = compile(&self.program, self.period_ms);
        let mut memory = now.cold_start();
        let mut scan = 0u32;
        for line in &self.table.lines {
            match line {
                Line::Cold => memory = now.cold_start(),
                Line::Warm => memory = now.warm_start(&memory),
                Line::Hot => memory = now.hot_start(&memory),
                Line::Transfer => {
                    let program = self.then.as_ref().ok_or("`then` is expected for a transfer")?;
                    let next = compile(program, self.period_ms);
                    memory = next.carry(&now, &memory);
                    now = next;
                }
                Line::Scan(inputs, expected) => {
                    scan += 1;
                    let output = now.scan(&mut memory, self.image(&now, inputs)?);
                    let at = |e: String| format!("scan {scan}: {e}");
                    outputs_agree(&now, &memory, output).map_err(at)?;
                    self.compare(&now, &memory, expected).map_err(at)?;
                }
            }
        }
        Ok(())
    }

    fn image(&self, compiled: &Compiled, inputs: &[bool]) -> Result<u64, String> {
        let mut image = 0;
        for (name, value) in self.table.inputs.iter().zip(inputs) {
            let var = compiled.variables().iter().find(|var| var.name.eq_ignore_ascii_case(name));
            let address = var.and_then(|var| var.address).filter(|address| address.area == Area::Input);
            let bit = address.and_then(|address| address.image_bit());
            image |= u64::from(*value) << bit.ok_or_else(|| format!("`{name}` is no input"))?;
        }
        Ok(image)
    }

    fn compare(&self, compiled: &Compiled, memory: &Memory, expected: &[Option<i32>]) -> Result<(), String> {
        for (name, expected) in self.table.looked_at.iter().zip(expected) {
            let Some(expected) = expected else { continue };
            let bit = compiled.value(memory, name).map(i32::from);
            let seen = bit.or_else(|| compiled.number(memory, name));
            let seen = seen.ok_or_else(|| format!("`{name}` is neither a bit nor a value"))?;
            if seen != *expected {
                return Err(format!("{name}: seen {seen}, expected {expected}"));
            }
        }
        Ok(())
    }
}

/// The output image holds the bits of the outputs.
fn outputs_agree(compiled: &Compiled, memory: &Memory, image: u64) -> Result<(), String> {
    for var in compiled.variables() {
        let Some(address) = var.address.filter(|address| address.area == Area::Output) else { continue };
        let shown = address.image_bit().is_some_and(|bit| image >> bit & 1 == 1);
        if compiled.value(memory, &var.name) != Some(shown) {
            return Err(format!("{}: {shown} in the output image only", var.name));
        }
    }
    Ok(())
}

/// A program from its text, which must also come back from its printed form.
fn program(vars: &str, retained: &str, rungs: &str) -> Result<Program, String> {
    let text = match rungs.contains("END_PROGRAM") {
        true => rungs.to_string(),
        false => format!(
            "PROGRAM of_case\nVAR {VARS}\n{vars}\nEND_VAR\nVAR RETAIN\n{retained}\nEND_VAR\n{rungs}\nEND_PROGRAM\n"
        ),
    };
    let all = |errors: Vec<sealin_ladder::Diagnostic>| {
        errors.iter().map(ToString::to_string).collect::<Vec<_>>().join("; ")
    };
    let program = parse(&text).map_err(all)?;
    let again = parse(&print(&program)).map_err(all)?;
    if again == program { Ok(program) } else { Err("the printed program is another".into()) }
}

impl Table {
    fn read(text: &str) -> Result<Table, String> {
        let mut lines =
            text.lines().map(|l| l.split('#').next().unwrap_or("").trim()).filter(|l| !l.is_empty());
        let names = |text: &str| text.split_whitespace().map(str::to_string).collect::<Vec<_>>();
        let (left, right) =
            lines.next().and_then(|head| head.split_once('|')).ok_or("names with | between are expected")?;
        let mut table = Table { inputs: names(left), looked_at: names(right), lines: Vec::new() };
        // Where a repetition began and how often it is wanted.
        let mut repeated: Option<(usize, usize)> = None;
        for line in lines {
            let words: Vec<&str> = line.split_whitespace().collect();
            match (words.as_slice(), repeated) {
                (["cold"], _) => table.lines.push(Line::Cold),
                (["warm"], _) => table.lines.push(Line::Warm),
                (["hot"], _) => table.lines.push(Line::Hot),
                (["transfer"], _) => table.lines.push(Line::Transfer),
                (["repeat", times], None) => {
                    let times = times.parse().map_err(|_| format!("`{line}`: a number is expected"))?;
                    repeated = Some((table.lines.len(), times));
                }
                (["end"], Some((from, times))) => {
                    let rows = table.lines.split_off(from);
                    table.lines.extend(std::iter::repeat_n(rows, times).flatten());
                    repeated = None;
                }
                _ => table.row(line).map_err(|e| format!("`{line}`: {e}"))?,
            }
        }
        if repeated.is_some() { Err("`end` is expected".into()) } else { Ok(table) }
    }

    /// Reads `1 0 | 1 20 x 3`.
    fn row(&mut self, line: &str) -> Result<(), String> {
        let (left, right) =
            line.split_once('|').ok_or("a row, cold, warm, hot, transfer or repeat is expected")?;
        let (right, times) = match right.split_once('x') {
            None => (right, 1),
            Some((right, times)) => {
                (right, times.trim().parse().map_err(|_| "a number is expected after x")?)
            }
        };
        let bit = |word: &str| match word {
            "0" => Ok(false),
            "1" => Ok(true),
            _ => Err(format!("0 or 1 is expected, not {word}")),
        };
        let value = |word: &str| match word {
            "-" => Ok(None),
            _ => word.parse().map(Some).map_err(|_| format!("a number or - is expected, not {word}")),
        };
        let inputs = left.split_whitespace().map(bit).collect::<Result<Vec<_>, _>>()?;
        let expected = right.split_whitespace().map(value).collect::<Result<Vec<_>, _>>()?;
        if inputs.len() != self.inputs.len() || expected.len() != self.looked_at.len() {
            return Err(format!("{} | {} cells are expected", self.inputs.len(), self.looked_at.len()));
        }
        self.lines.extend(std::iter::repeat_n(Line::Scan(inputs, expected), times));
        Ok(())
    }
}

/// What of the language a program uses: words of blocks, contacts, coils and relations.
pub fn used(program: &Program) -> BTreeSet<String> {
    let mut used = BTreeSet::new();
    for rung in &program.rungs {
        used.insert(output_word(&rung.output).to_string());
        rung.each_contact(&mut |contact| {
            used.insert(match contact {
                Contact::Bit { test, .. } => test_word(*test).to_string(),
                Contact::Compare(comparison) => comparison.relation.sign().to_string(),
            });
        });
        for network in rung.networks() {
            groups(network, &mut used);
        }
    }
    used
}

fn groups(network: &Network, used: &mut BTreeSet<String>) {
    match network {
        Network::Series(parts) | Network::Parallel(parts) => {
            let word = if matches!(network, Network::Series(_)) { "series" } else { "parallel" };
            used.insert(word.to_string());
            parts.iter().for_each(|part| groups(part, used));
        }
        Network::True => drop(used.insert("link".to_string())),
        Network::False => drop(used.insert("gap".to_string())),
        Network::Contact(_) => {}
    }
}

fn test_word(test: Test) -> &'static str {
    match test {
        Test::Open => "normally open contact",
        Test::Closed => "normally closed contact",
        Test::Rising => "rising-edge contact",
        Test::Falling => "falling-edge contact",
    }
}

fn output_word(output: &Output) -> &'static str {
    match output {
        Output::Coil { .. } => "coil",
        Output::Negated { .. } => "negated coil",
        Output::Set { .. } => "set coil",
        Output::Reset { .. } => "reset coil",
        Output::Rising { .. } => "rising-edge coil",
        Output::Falling { .. } => "falling-edge coil",
        Output::Block(call) => call.block.word(),
    }
}
