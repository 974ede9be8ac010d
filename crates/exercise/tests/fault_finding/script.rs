//! The steps of a case, each taken as a person would take it, and each with what must then be so.
//!
//! | step | what it does |
//! | --- | --- |
//! | `press SF2`, `trip FC1`, … | an act on the bench |
//! | `wait 3s` | time goes by |
//! | `is QA1.closed and not MA1.turning` | must be so |
//! | `told FC2` | a note to whoever stands at the bench, with this word, was given since the last such line |
//! | `volts DC XD4:1 XD5:1 = 24 V` | a reading; `OL`, `dark`, `lit`, `over 1 Mohm`, and `within 2` at the end are for what is no plain figure |
//! | `note volts DC …` | the same, and it is given as evidence with the next diagnosis |
//! | `isolate`, `energise` | QB1 opened, locked off and proved dead behind it; unlocked and closed |
//! | `swap QA1`, `remake S04`, … | a repair |
//! | `diagnose QA1 coil open` | written down |

use sealin_core::instruments::{Figure, Shown};
use sealin_core::{BenchAct, Fault, Measurement, Repair};
use sealin_exercise::hunt::Diagnosis;
use sealin_exercise::session::Session;
use sealin_proof::{Formula, expr, parse_duration_ms};

/// Words of an instrument, and how many places it is put on.
const INSTRUMENTS: [(&str, usize); 9] = [
    ("volts DC", 2),
    ("volts AC", 2),
    ("ohms", 2),
    ("detector", 2),
    ("continuity", 2),
    ("insulation", 2),
    ("clamp", 1),
    ("proving unit", 0),
    ("phase sequence", 3),
];

/// A session on which steps are taken.
pub struct Player {
    pub session: Session,
    evidence: Vec<u32>,
    notes_seen: usize,
}

impl Player {
    pub fn new(session: Session) -> Player {
        Player { session, evidence: Vec::new(), notes_seen: 0 }
    }

    /// Takes every step. The error names the first that is not as it says.
    pub fn play(&mut self, steps: &str) -> Result<(), String> {
        for line in steps.lines().map(|line| line.split('#').next().unwrap_or("").trim()) {
            if !line.is_empty() {
                self.step(line).map_err(|why| format!("`{line}`: {why}"))?;
            }
        }
        Ok(())
    }

    pub fn step(&mut self, line: &str) -> Result<(), String> {
        let (word, rest) = line.split_once(' ').unwrap_or((line, ""));
        match word {
            "wait" => {
                self.session.advance(parse_duration_ms(rest)?);
                Ok(())
            }
            "is" => self.is(rest),
            "told" => self.told(rest),
            "isolate" => self.isolate(),
            "energise" => self.play("unlock QB1\nclose QB1\nwait 3s"),
            "diagnose" => {
                let (fault, evidence) = (Fault::parse(rest)?, std::mem::take(&mut self.evidence));
                self.session.diagnose(Diagnosis { fault, evidence })
            }
            "note" => {
                self.evidence.push(self.session.acts() as u32);
                self.reading(rest)
            }
            _ if INSTRUMENTS.iter().any(|(instrument, _)| line.starts_with(instrument)) => self.reading(line),
            "swap" | "remake" | "terminate" | "adjust" | "reload" => {
                self.session.repair(Repair::parse(line)?)
            }
            _ => self.session.bench_act(BenchAct::parse(line)?),
        }
    }

    /// EN 50110-1 clause 6.2: open, lock, prove the detector, try all poles, prove it again.
    fn isolate(&mut self) -> Result<(), String> {
        let pairs = ["2 QB1:4", "2 QB1:6", "4 QB1:6", "2 XE1:1", "4 XE1:1", "6 XE1:1"];
        self.play("open QB1\nlock QB1\nwait 2s\nproving unit = lit")?;
        for pair in pairs {
            self.play(&format!("detector QB1:{pair} = dark"))?;
        }
        self.play("proving unit = lit")
    }

    fn is(&self, condition: &str) -> Result<(), String> {
        let bench = self.session.bench();
        let told = |e: &dyn std::fmt::Display| e.to_string();
        let condition = expr::parse(condition).map_err(|e| told(&e))?;
        let formula = Formula::new(&condition, &bench.design).map_err(|e| told(&e))?;
        let signal = |n: usize| bench.state.signal(n);
        match formula.step(&mut formula.memory(), bench.tick(), &signal) {
            true => Ok(()),
            false => Err("it is not so".to_string()),
        }
    }

    fn told(&mut self, word: &str) -> Result<(), String> {
        let notes: Vec<String> = self.session.fold().notes.iter().map(|(_, note)| note.to_string()).collect();
        let new = &notes[self.notes_seen..];
        self.notes_seen = notes.len();
        let there = new.iter().any(|note| note.contains(word));
        if there { Ok(()) } else { Err(format!("told: {new:?}")) }
    }

    fn reading(&mut self, line: &str) -> Result<(), String> {
        let (taken, wanted) = line.split_once(" = ").ok_or("what is shown is expected after ` = `")?;
        let (word, count) = INSTRUMENTS
            .into_iter()
            .find(|(word, _)| taken.starts_with(word))
            .ok_or_else(|| format!("`{taken}` is no reading"))?;
        let places: Vec<String> = taken[word.len()..].split_whitespace().map(str::to_string).collect();
        assert_eq!(places.len(), count, "{taken}");
        let measured = self.session.measure(Measurement::parse(word, &places)?)?;
        let shown = measured.shown;
        let right = match (shown, wanted) {
            (Shown::Over, "OL") => true,
            (Shown::Voltage(step), "dark" | "lit") => step.is_some() == (wanted == "lit"),
            (Shown::Figure(_), "OL" | "dark" | "lit") => false,
            (Shown::Figure(figure), _) => within(figure, wanted)?,
            (Shown::Turn(turn), _) => format!("{turn:?}") == wanted,
            _ => false,
        };
        let told = match shown {
            Shown::Figure(figure) => figure.to_string(),
            other => format!("{other:?}"),
        };
        if right { Ok(()) } else { Err(format!("it shows {told}")) }
    }
}

/// Whether a figure is what was reckoned: within 2 % or one tenth of the unit, or within what is said, or over it.
fn within(figure: Figure, wanted: &str) -> Result<bool, String> {
    let words: Vec<&str> = wanted.split_whitespace().collect();
    let (number, unit, margin) = match words.as_slice() {
        ["over", number, unit] => (*number, *unit, None),
        [number, unit] => (*number, *unit, None),
        [number, unit, "within", margin] => (*number, *unit, Some(*margin)),
        _ => {
            return Err(format!(
                "`{wanted}`: a figure as `24 V`, `24 V within 2` or `over 1 Mohm` is expected"
            ));
        }
    };
    let parse = |text: &str| text.parse::<f64>().map_err(|_| format!("`{text}` is no number"));
    let scale = match unit.chars().next() {
        Some('M') => 1e6,
        Some('k') => 1e3,
        _ => 1.0,
    };
    let (number, shown) = (parse(number)? * scale, figure.thousandths as f64 / 1_000.0);
    if wanted.starts_with("over ") {
        return Ok(shown > number);
    }
    let margin = match margin {
        Some(text) => parse(text)? * scale,
        None => (number.abs() * 0.02).max(0.1),
    };
    Ok((shown - number).abs() <= margin)
}
