//! Cases of the bench: a rig, what is changed in it, and lines of acts and expectations with figures.
//!
//! A case is a file `tests/cases/core/NAME.toml`:
//!
//! ```toml
//! title  = "Class 10, 7.2 times the dial, cold"
//! source = "IEC 60947-4-1: 4 s to 10 s"
//! rig    = "overload"                         # rigs/overload.toml: devices and circuits as in a scenario
//! change = { FC1 = { class = "10" } }         # keys of devices that are otherwise here
//! without = ["C12"]                           # conductors that are left out
//! conductors = [["X1", "XD1:1", "XD1:2"]]     # conductors that are added: id, from, to
//! steps = """
//! power on
//! until FC1.tripped between 4s and 10s
//! """
//! ```
//!
//! Lines: any act of the bench; `wait TIME`; `until [not] SIGNAL between TIME and TIME`; `hold [not] SIGNAL for TIME`;
//! `until-rpm MOTOR SPEED within TIME`; `expect [not] SIGNAL`; `count SIGNAL for TIME between N and N`, how often it rises;
//! `told TEXT` and `not-told TEXT`, whether a note so far holds the text; and figures, `QUANTITY … = VALUE ± TOLERANCE` or `QUANTITY … between VALUE and VALUE`, where
//! the tolerance is a number or a percentage. Acts in lines that follow each other fall in one tick. The quantity is one of [`QUANTITIES`]. A time is a number with
//! `ms`, `s`, `min` or `h`.

use sealin_core::{Bench, BenchAct, Measurement, Plan, Terminal};
use sealin_exercise::scenario::Scenario;
use std::path::Path;

/// What can be measured, with what follows the word.
pub const QUANTITIES: [&str; 10] = [
    "volts-dc TAG:X TAG:Y",
    "volts-ac TAG:X TAG:Y",
    "meter-dc TAG:X TAG:Y",
    "meter-ac TAG:X TAG:Y",
    "ohms TAG:X TAG:Y",
    "amperes CONDUCTOR",
    "line-current MOTOR NUMBER",
    "rpm MOTOR",
    "torque MOTOR",
    "heat OVERLOAD",
];

/// Head of the scenario that a rig is wrapped in.
const HEAD: &str = r#"
format = "sealin scenario"
version = 1
id = "rig"
title = "Rig"
site = "Copper Reach"
machine = "Test rig"
level = 1
minutes = 1
sheets = ["brief"]
language = "en"
symbols = "IEC 60617"
region = "400 V 50 Hz"
pass_marks = 0
brief = "A rig."
cautions = ["Training model."]

[learner]
section_mm2 = 1
colour = "red"
todo = []
io = []

[program]
source = "PROGRAM rig END_PROGRAM"

[matrix]
effects = []
rows = []

[[requirement]]
id = "R1"
text = "A scenario has a requirement."
marks = 1

[[requirement.trial]]
name = "nothing"
steps = "expect not once(false)"
"#;

/// Runs the case in a file. The error says which line broke and what was found.
pub fn run_case(file: &Path) -> Result<(), String> {
    let text = std::fs::read_to_string(file).map_err(|e| e.to_string())?;
    let case: toml::Table = text.parse().map_err(|e| format!("{e}"))?;
    let known = ["title", "source", "rig", "change", "without", "conductors", "faults", "program", "steps"];
    if let Some(key) = case.keys().find(|key| !known.contains(&key.as_str())) {
        return Err(format!("`{key}` is no key of a case; expected: {}", known.join(", ")));
    }
    for key in ["title", "source", "rig", "steps"] {
        if case.get(key).and_then(toml::Value::as_str).is_none_or(str::is_empty) {
            return Err(format!("`{key}` is expected"));
        }
    }
    let rigs = file.parent().unwrap_or(Path::new(".")).join("rigs");
    let bench = Bench::new(plan(&case, &rigs)?).map_err(|e| e.to_string())?;
    let steps = case["steps"].as_str().unwrap_or_default();
    let mut lines = 0;
    let mut run = Run { bench, acted: false, notes: Vec::new() };
    for line in steps.lines().map(|l| l.split('#').next().unwrap_or("").trim()).filter(|l| !l.is_empty()) {
        run.step(line).map_err(|e| format!("`{line}`: {e}"))?;
        lines += usize::from(expects(line));
    }
    if lines == 0 { Err("a case that expects nothing".into()) } else { Ok(()) }
}

fn expects(line: &str) -> bool {
    let first = line.split_whitespace().next().unwrap_or("");
    ["until", "hold", "expect", "count", "told", "not-told"].contains(&first)
        || QUANTITIES.iter().any(|q| q.split(' ').next() == Some(first))
}

/// The plan of a case: the rig's devices and circuits, changed.
fn plan(case: &toml::Table, rigs: &Path) -> Result<Plan, String> {
    let name = case["rig"].as_str().unwrap_or_default();
    let path = rigs.join(format!("{name}.toml"));
    let text = std::fs::read_to_string(&path).map_err(|e| format!("{}: {e}", path.display()))?;
    let mut rig: toml::Table = text.parse().map_err(|e| format!("{name}: {e}"))?;
    if let Some(changes) = case.get("change").and_then(toml::Value::as_table) {
        let devices = rig.get_mut("device").and_then(toml::Value::as_array_mut).ok_or("a rig has devices")?;
        for (tag, keys) in changes {
            let device = devices
                .iter_mut()
                .filter_map(toml::Value::as_table_mut)
                .find(|d| d.get("tag").and_then(toml::Value::as_str) == Some(tag))
                .ok_or_else(|| format!("the rig has no device `{tag}`"))?;
            let keys = keys.as_table().ok_or("a change is a table of keys")?;
            device.extend(keys.iter().map(|(k, v)| (k.clone(), v.clone())));
        }
    }
    let head: toml::Table = HEAD.parse().map_err(|e| format!("{e}"))?;
    for (key, value) in head {
        rig.entry(key).or_insert(value);
    }
    if let Some(source) = case.get("program") {
        rig.insert(
            "program".into(),
            toml::Value::Table([("source".into(), source.clone())].into_iter().collect()),
        );
    }
    let text = toml::to_string(&rig).map_err(|e| e.to_string())?;
    let scenario = Scenario::parse(&text)
        .map_err(|problems| problems.iter().map(ToString::to_string).collect::<Vec<_>>().join("; "))?;
    let mut plan = sealin_exercise::project::Project::given(&scenario).plan(&scenario);
    let names = |key: &str| -> Vec<String> {
        let all = case.get(key).and_then(toml::Value::as_array);
        all.into_iter().flatten().filter_map(toml::Value::as_str).map(str::to_string).collect()
    };
    for id in names("without") {
        let before = plan.conductors.len();
        plan.conductors.retain(|c| c.id != id);
        if plan.conductors.len() == before {
            return Err(format!("the rig has no conductor `{id}`"));
        }
    }
    for row in case.get("conductors").and_then(toml::Value::as_array).into_iter().flatten() {
        let cells: Vec<&str> = row.as_array().into_iter().flatten().filter_map(toml::Value::as_str).collect();
        let [id, from, to] = cells[..] else { return Err("a conductor is [id, from, to]".into()) };
        let mut added = plan.conductors.first().cloned().ok_or("a rig has conductors")?;
        added.id = id.to_string();
        added.from = Terminal::parse(from).ok_or_else(|| format!("`{from}` is no terminal"))?;
        added.to = Terminal::parse(to).ok_or_else(|| format!("`{to}` is no terminal"))?;
        plan.conductors.push(added);
    }
    for fault in names("faults") {
        plan.faults.insert(sealin_core::Fault::parse(&fault)?);
    }
    Ok(plan)
}

/// Milliseconds of `3s`, `2h`.
fn time(text: &str) -> Result<u64, String> {
    let split = text.find(|c: char| c.is_ascii_alphabetic()).unwrap_or(text.len());
    let factor = match &text[split..] {
        "ms" => 1.0,
        "s" => 1000.0,
        "min" => 60_000.0,
        "h" => 3_600_000.0,
        _ => return Err(format!("`{text}`: a time with ms, s, min or h is expected")),
    };
    let number: f64 = text[..split].parse().map_err(|_| format!("`{text}` is no time"))?;
    Ok((number * factor).round() as u64)
}

/// A case that runs.
struct Run {
    bench: Bench,
    /// An act waits for its tick.
    acted: bool,
    /// What has been told.
    notes: Vec<String>,
}

impl Run {
    fn advance(&mut self, ms: u64) {
        let notes = &mut self.notes;
        let target = self.bench.tick() + ms;
        self.bench.run_until(target, &mut |_, _, events| {
            notes.extend(events.notes.iter().map(ToString::to_string));
        });
    }

    /// One tick, or those in which nothing happens up to `end`.
    fn go_on(&mut self, end: u64) {
        if self.bench.skip_quiet(end) == 0 {
            let events = self.bench.step();
            self.notes.extend(events.notes.iter().map(ToString::to_string));
        }
    }

    fn signal(&self, name: &str) -> Result<bool, String> {
        self.bench.signal(name).ok_or_else(|| format!("there is no signal `{name}`"))
    }

    /// Runs up to `ms` until the signal has the value. Returns the ticks it took.
    fn run_to(&mut self, name: &str, value: bool, ms: u64) -> Result<Option<u64>, String> {
        self.signal(name)?;
        let start = self.bench.tick();
        while self.bench.tick() < start + ms {
            // The tick of a pending act is the first in which the signal can be so.
            self.go_on(start + ms);
            if self.signal(name)? == value {
                return Ok(Some(self.bench.tick() - start));
            }
        }
        Ok(None)
    }

    /// How often the signal rises within `ms`.
    fn count(&mut self, name: &str, ms: u64) -> Result<u64, String> {
        let (mut last, mut rises) = (self.signal(name)?, 0);
        let end = self.bench.tick() + ms;
        while self.bench.tick() < end {
            self.go_on(end);
            let now = self.signal(name)?;
            rises += u64::from(now && !last);
            last = now;
        }
        Ok(rises)
    }

    fn step(&mut self, line: &str) -> Result<(), String> {
        let words: Vec<&str> = line.split_whitespace().collect();
        let (value, rest) = match words.as_slice() {
            ["until" | "hold" | "expect", "not", rest @ ..] => (false, rest),
            [_, rest @ ..] => (true, rest),
            [] => return Ok(()),
        };
        let looks = expects(line) && !["until", "hold", "count"].contains(&words[0]);
        if std::mem::take(&mut self.acted) && looks {
            // What was done shows after its tick.
            self.advance(1);
        }
        match (words[0], rest) {
            ("wait", [ms]) => {
                self.advance(time(ms)?);
                Ok(())
            }
            ("until", [name, "between", least, "and", most]) => {
                let (least, most) = (time(least)?, time(most)?);
                match self.run_to(name, value, most)? {
                    Some(ms) if ms >= least => Ok(()),
                    Some(ms) => Err(format!("already after {ms} ms")),
                    None => Err(format!("not within {most} ms")),
                }
            }
            ("hold", [name, "for", ms]) => match self.run_to(name, !value, time(ms)?)? {
                None => Ok(()),
                Some(ms) => Err(format!("only for {ms} ms")),
            },
            ("expect", [name]) if self.signal(name)? == value => Ok(()),
            ("expect", [name]) => Err(format!("`{name}` is {}", u8::from(!value))),
            ("count", [name, "for", ms, "between", least, "and", most]) => {
                let number = |text: &str| text.parse::<u64>().map_err(|_| format!("`{text}` is no number"));
                let range = number(least)?..=number(most)?;
                let found = self.count(name, time(ms)?)?;
                if range.contains(&found) { Ok(()) } else { Err(format!("{found} times")) }
            }
            ("told" | "not-told", text) => {
                let text = text.join(" ");
                let told = self.notes.iter().any(|note| note.contains(&text));
                let all = || format!("told so far: {}", self.notes.join(" | "));
                if told == (words[0] == "told") { Ok(()) } else { Err(all()) }
            }
            ("until-rpm", [tag, rpm, "within", ms]) => {
                let wanted = rpm.parse::<f64>().map_err(|_| format!("`{rpm}` is no speed"))?;
                let end = self.bench.tick() + time(ms)?;
                while self.bench.tick() < end {
                    if self.bench.motor(tag).is_some_and(|m| m.rpm.abs() >= wanted) {
                        return Ok(());
                    }
                    self.go_on(self.bench.tick());
                }
                Err(format!("{:?} at the end", self.bench.motor(tag).map(|m| m.rpm)))
            }
            (first, _) if QUANTITIES.iter().any(|q| q.split(' ').next() == Some(first)) => {
                figure(&self.bench, &words)
            }
            _ => {
                self.acted = true;
                self.bench.act(BenchAct::parse(line)?)
            }
        }
    }
}

/// `QUANTITY … = VALUE ± TOLERANCE` or `QUANTITY … between VALUE and VALUE`.
fn figure(bench: &Bench, words: &[&str]) -> Result<(), String> {
    let number = |text: &str| text.parse::<f64>().map_err(|_| format!("`{text}` is no number"));
    let (place, least, most) = match words {
        [place @ .., "=", value, "±", tolerance] => {
            let value = number(value)?;
            let tolerance = match tolerance.strip_suffix('%') {
                Some(percent) => value.abs() * number(percent)? / 100.0,
                None => number(tolerance)?,
            };
            (place, value - tolerance, value + tolerance)
        }
        [place @ .., "between", least, "and", most] => (place, number(least)?, number(most)?),
        _ => return Err("`= VALUE ± TOLERANCE` or `between VALUE and VALUE` is expected".into()),
    };
    let found = measure(bench, place)?;
    if (least..=most).contains(&found) { Ok(()) } else { Err(format!("found {found}")) }
}

fn measure(bench: &Bench, place: &[&str]) -> Result<f64, String> {
    let terminal = |text: &str| Terminal::parse(text).ok_or_else(|| format!("`{text}` is no terminal"));
    let motor = |tag: &str| bench.motor(tag).ok_or_else(|| format!("there is no motor `{tag}`"));
    let found = match *place {
        ["volts-dc", a, b] => bench.volts_dc(&terminal(a)?, &terminal(b)?),
        ["volts-ac", a, b] => bench.volts_ac(&terminal(a)?, &terminal(b)?),
        ["meter-dc", a, b] => bench.meter_volts_dc(&terminal(a)?, &terminal(b)?),
        ["meter-ac", a, b] => bench.meter_volts_ac(&terminal(a)?, &terminal(b)?),
        ["ohms", a, b] => {
            let at = [a.to_string(), b.to_string()];
            if let Some(danger) = bench.measure(&Measurement::parse("ohms", &at)?)?.danger {
                return Err(danger.to_string());
            }
            bench.resistance(&terminal(a)?, &terminal(b)?)
        }
        ["amperes", conductor] => bench.amperes(conductor),
        ["line-current", tag, line] => {
            let line: usize = line.parse().map_err(|_| format!("`{line}` is no line"))?;
            motor(tag)?.amperes.get(line.wrapping_sub(1)).copied()
        }
        ["rpm", tag] => Some(motor(tag)?.rpm),
        ["torque", tag] => Some(motor(tag)?.torque_nm),
        ["heat", tag] => bench.overload(tag).map(|o| f64::from(o.heat_permille)),
        _ => return Err(format!("expected one of: {}", QUANTITIES.join("; "))),
    };
    found.ok_or_else(|| "no such place on the rig".into())
}
