//! The steps of a case, taken by the pointer and by keys.

use crate::browser::{Browser, Key};
use anyhow::{Context, Result, bail, ensure};
use sealin_core::Fault;
use sealin_exercise::scenario::Scenario;
use sealin_proof::parse_duration_ms;
use std::rc::Rc;
use std::time::Duration;

/// From so much bench time on a wait is passed ten times as fast, where no button is held meanwhile.
const FAST_FROM_MS: u64 = 2_000;

/// Below it ten times as fast is fast enough.
const SLOWER_BELOW_MS: u64 = 20_000;

/// Time between two looks at the bench time.
const LOOK_AGAIN: Duration = Duration::from_millis(300);

/// A person at the screen, on the sheet on which the machine runs unless a step leads elsewhere.
pub struct Hands<'b> {
    browser: &'b Browser,
    scenario: Rc<Scenario>,
    /// Something is held by the pointer.
    holds: bool,
    /// Buttons that are caught, so that the hands are free.
    caught: Vec<String>,
    /// What comes and goes is not looked for by the tick: the machine of a test is a slow one.
    pub lenient: bool,
    /// Readings taken so far, and those that are to speak for the next diagnosis.
    readings: usize,
    evidence: Vec<usize>,
}

/// Words of an instrument in a case: the button that takes it in the hand, and that of its function.
const INSTRUMENTS: [(&str, &str, Option<&str>); 7] = [
    ("volts DC", "Meter", Some("V DC")),
    ("volts AC", "Meter", Some("V AC")),
    ("ohms", "Meter", Some("Ω")),
    ("detector", "Detector", None),
    ("continuity", "Continuity", None),
    ("insulation", "Insulation", None),
    ("clamp", "Clamp", None),
];

impl<'b> Hands<'b> {
    /// Hands on the sheet where the machine runs, with a job that is open.
    pub fn new(browser: &'b Browser, scenario: Rc<Scenario>) -> Hands<'b> {
        Hands {
            browser,
            scenario,
            holds: false,
            caught: Vec::new(),
            lenient: false,
            readings: 0,
            evidence: Vec::new(),
        }
    }

    /// Takes every step of a case.
    ///
    /// # Errors
    /// The first that does not go as the case says.
    pub async fn play(&mut self, steps: &str) -> Result<()> {
        let lines = steps.lines().map(|line| line.split('#').next().unwrap_or("").trim());
        let lines: Vec<&str> = lines.filter(|line| !line.is_empty()).collect();
        for (n, line) in lines.iter().enumerate() {
            self.step(line, &lines[n + 1..]).await.with_context(|| format!("`{line}`"))?;
        }
        Ok(())
    }

    /// One step; `then` are those that follow.
    async fn step(&mut self, line: &str, then: &[&str]) -> Result<()> {
        let (word, rest) = line.split_once(' ').unwrap_or((line, ""));
        match word {
            "wait" => self.wait(parse_duration_ms(rest).map_err(anyhow::Error::msg)?).await,
            "is" => self.is(rest).await,
            "told" => self.told(rest).await,
            "isolate" => self.isolate().await,
            "energise" => {
                self.click("Take the padlock off QB1").await?;
                self.switch("QB1").await?;
                self.wait(3_000).await
            }
            "diagnose" => self.diagnose(&Fault::parse(rest).map_err(anyhow::Error::msg)?).await,
            "note" => {
                self.evidence.push(self.readings);
                self.reading(rest).await
            }
            "press" if needs_hands(rest, then) => {
                self.caught.push(rest.to_string());
                self.click(&format!("Hold in {rest}")).await
            }
            "release" if self.caught.iter().any(|tag| tag == rest) => {
                self.caught.retain(|tag| tag != rest);
                self.click(&format!("Hold in {rest}")).await
            }
            "press" => {
                self.browser.role("button").starting(&format!("{rest},")).find().await?.hold().await?;
                self.holds = true;
                Ok(())
            }
            "release" if self.holds => {
                self.holds = false;
                self.browser.release().await
            }
            "push" | "release" => self.starting(&format!("Push {rest}")).await,
            "reset" => self.click("Reset").await,
            "trip" => self.click("Test").await,
            "turn" => {
                let (tag, position) = rest.split_once(' ').context("a position")?;
                self.click(&format!("Turn {tag} to position {position}")).await
            }
            "power" => self.switch("Supply").await,
            // A switch of which a link has gone takes new links when it is closed, and need not be opened first.
            "open" | "close" => {
                let switch = self.browser.role("switch").starting(&format!("{rest},")).find().await?;
                let closed = switch.state("checked").await? == "true";
                if closed == (word == "open") { switch.click().await } else { Ok(()) }
            }
            "swap" | "remake" | "terminate" | "adjust" | "reload" => self.repair(word, rest).await,
            _ => self.reading(line).await,
        }
    }

    async fn click(&self, name: &str) -> Result<()> {
        self.browser.button(name).await?.click().await
    }

    async fn starting(&self, name: &str) -> Result<()> {
        self.browser.role("button").starting(name).find().await?.click().await
    }

    async fn switch(&self, tag: &str) -> Result<()> {
        self.browser.role("switch").starting(&format!("{tag},")).find().await?.click().await
    }

    async fn wait(&self, ms: u64) -> Result<()> {
        let until = self.browser.bench_ms().await? + ms;
        if ms < FAST_FROM_MS || self.holds {
            return self.browser.until_bench_ms(until).await;
        }
        let (speed, rest) = if ms < SLOWER_BELOW_MS { ("10 ×", 1_000) } else { ("60 ×", 5_000) };
        // The last stretch as time goes, so that it is not passed by far. Fast time stops by itself at rest; then it is asked for again.
        while self.browser.bench_ms().await? + rest < until {
            self.click(speed).await?;
            tokio::time::sleep(LOOK_AGAIN).await;
        }
        self.click("1 ×").await?;
        self.browser.until_bench_ms(until).await
    }

    /// What eyes tell: armatures, shafts, the flag of a trip, lamps; the rest is asserted without a screen.
    async fn is(&self, condition: &str) -> Result<()> {
        if self.lenient {
            return Ok(());
        }
        for part in condition.split(" and ") {
            let (wanted, name) = match part.trim().strip_prefix("not ") {
                Some(name) => (false, name),
                None => (true, part.trim()),
            };
            let Some((tag, what)) = name.split_once('.') else { continue };
            let words = match what {
                "closed" => ["in", "out"],
                "tripped" => ["tripped", "ready"],
                "lit" => ["lit", "dark"],
                "turning" => ["", "still"],
                _ => continue,
            };
            let shown =
                format!("document.querySelector('.at-hand [data-why=\"{tag}\"]').innerText.toLowerCase()");
            let there = match words {
                ["", off] if wanted => format!("!{shown}.includes('{off}')"),
                [on, off] => format!("{shown}.includes('{}')", if wanted { on } else { off }),
            };
            self.browser.until(&there).await.with_context(|| part.to_string())?;
        }
        Ok(())
    }

    async fn told(&self, word: &str) -> Result<()> {
        let tag = word.split_whitespace().next().unwrap_or(word);
        self.browser
            .until(&format!("document.querySelector('.happened').textContent.includes('{tag}')"))
            .await
    }

    /// EN 50110-1 clause 6.2: open, lock, prove the detector, try all poles, prove it again.
    async fn isolate(&mut self) -> Result<()> {
        self.switch("QB1").await?;
        self.click("Lock QB1 off").await?;
        self.wait(2_000).await?;
        self.click("Detector").await?;
        self.prove().await?;
        for pair in ["2 QB1:4", "2 QB1:6", "4 QB1:6", "2 XE1:1", "4 XE1:1", "6 XE1:1"] {
            self.reading(&format!("detector QB1:{pair} = dark")).await?;
        }
        self.prove().await
    }

    async fn prove(&mut self) -> Result<()> {
        let before = self.taken().await?;
        self.click("Prove on the proving unit").await?;
        self.until_taken(&before).await
    }

    /// When the last reading was taken, as it stands below the display.
    async fn taken(&self) -> Result<String> {
        let text = self.browser.evaluate("document.querySelector('.meter-taken').textContent").await?;
        Ok(text.as_str().unwrap_or_default().to_string())
    }

    async fn until_taken(&mut self, before: &str) -> Result<()> {
        let before = serde_json::to_string(before)?;
        self.browser
            .until(&format!("document.querySelector('.meter-taken').textContent !== {before}"))
            .await?;
        self.readings += 1;
        Ok(())
    }

    /// Puts an instrument on, takes the reading, and holds the display against what it should be, where that is a plain figure.
    async fn reading(&mut self, line: &str) -> Result<()> {
        let (what, wanted) = line.split_once(" = ").context("what is shown is expected after ` = `")?;
        let (word, instrument, function) = INSTRUMENTS
            .into_iter()
            .find(|(word, ..)| what.starts_with(word))
            .with_context(|| format!("{what} is no reading"))?;
        self.click(instrument).await?;
        if let Some(function) = function {
            self.click(function).await?;
        }
        let places: Vec<&str> = what[word.len()..].split_whitespace().collect();
        match places.as_slice() {
            [conductor] => {
                let field = self.browser.role("combobox").named("In the clamp").find().await?;
                let wire = self.conductor(conductor)?;
                field.choose(&format!("{}: {} – {}", wire.id, wire.from, wire.to)).await?;
            }
            [red, black] => {
                for (probe, end) in [("red", red), ("black", black)] {
                    let field = self.browser.role("combobox").named(probe).find().await?;
                    field.click().await?;
                    self.browser.chord(&[Key::Control], 'a').await?;
                    self.browser.type_text(end).await?;
                    self.browser.key(Key::Enter).await?;
                }
            }
            _ => bail!("{places:?}"),
        }
        let before = self.taken().await?;
        // In a sealed job a display shows nothing before the reading is taken.
        self.click("Measure").await?;
        self.until_taken(&before).await?;
        // The line below the display says what it shows; either may be drawn a frame before the other.
        let shows = "document.querySelector('.meter-shown').textContent";
        self.browser
            .until(&format!("document.querySelector('.meter-taken').textContent.includes({shows})"))
            .await?;
        let shown = self.browser.evaluate(shows).await?;
        let shown = shown.as_str().unwrap_or_default().to_string();
        ensure!(self.lenient || agrees(&shown, wanted), "{line}: {shown}");
        Ok(())
    }

    fn conductor(&self, id: &str) -> Result<&sealin_core::Conductor> {
        self.scenario.given.iter().find(|wire| wire.id == id).with_context(|| format!("no conductor {id}"))
    }

    /// Chooses a part or conductor on the sheet for finding faults.
    async fn choose(&self, subject: &str, of_conductor: bool) -> Result<()> {
        let (wanted, name) = if of_conductor {
            let wire = self.conductor(subject)?;
            let ends = format!("{} – {}", wire.from, wire.to);
            (ends.clone(), ends)
        } else {
            (subject.to_string(), format!("{subject} "))
        };
        self.browser.sheet("Fault finding").await?;
        self.browser
            .role("searchbox")
            .named("Find a tag, conductor or terminal")
            .find()
            .await?
            .write(&wanted)
            .await?;
        let button = self.browser.role("button");
        let button = if of_conductor { button.with(&name) } else { button.starting(&name) };
        for found in button.all().await? {
            if found.states.get("pressed").is_some() {
                found.click().await?;
                return self.browser.until("document.querySelector('#hunt-chosen') !== null").await;
            }
        }
        bail!("{subject} is not on the list")
    }

    async fn diagnose(&mut self, fault: &Fault) -> Result<()> {
        self.choose(&fault.subject, fault.mode.is_of_conductor()).await?;
        let readings = self.browser.role("checkbox").all().await?;
        for number in std::mem::take(&mut self.evidence) {
            readings.get(number).context("a reading on the list")?.click().await?;
        }
        let where_on = self.browser.role("combobox").named("Where on it").all().await?;
        if let Some(list) = where_on.first() {
            list.choose(if fault.at.is_empty() { "the whole device" } else { &fault.at }).await?;
        }
        self.browser.role("radio").named(&fault.said_of_its_kind()).find().await?.click().await?;
        self.starting("Write the diagnosis down").await?;
        self.browser.until_text("Diagnosis: ").await?;
        self.browser.sheet("Commissioning").await
    }

    async fn repair(&mut self, word: &str, on: &str) -> Result<()> {
        let before = self.browser.bench_ms().await?;
        match word {
            "remake" => {
                self.choose(on, true).await?;
                self.starting("Draw it anew").await?;
            }
            "terminate" => {
                let tag = on.split(':').next().unwrap_or(on);
                self.choose(tag, false).await?;
                self.browser.role("combobox").named("Terminal").find().await?.choose(on).await?;
                self.starting("Terminate anew").await?;
            }
            _ => {
                self.choose(on, false).await?;
                let name = match word {
                    "swap" => "Swap for a new one",
                    "adjust" => "Set as on the job sheet",
                    _ => "Load the drawn program",
                };
                self.starting(name).await?;
            }
        }
        // The least that one costs.
        self.browser.until_bench_ms(before + 30_000).await?;
        self.browser.sheet("Commissioning").await
    }

    /// Hands the work in, asked twice.
    pub async fn hand_in(&self) -> Result<()> {
        self.browser.sheet("Fault finding").await?;
        self.click("Hand in").await?;
        self.click("Hand in now").await
    }
}

/// What a detector shows whose lamps are all out.
const DARK: &str = "no step lit";

/// Whether other things are done with the hands before this button is let go.
fn needs_hands(tag: &str, then: &[&str]) -> bool {
    let meanwhile = then.iter().take_while(|line| **line != format!("release {tag}"));
    meanwhile.into_iter().any(|line| !["wait", "is", "told"].contains(&line.split(' ').next().unwrap_or("")))
}

/// Whether a display agrees with what a case says: within 2 % or a tenth of the unit, or within what is said.
fn agrees(shown: &str, wanted: &str) -> bool {
    let shown = shown.replace('\u{a0}', " ");
    let unit = |unit: &str| match unit {
        "kohm" | "kΩ" => 1_000.0,
        "Mohm" | "MΩ" => 1_000_000.0,
        "mV" | "mA" => 0.001,
        _ => 1.0,
    };
    let figure = |text: &str| {
        let mut words = text.split_whitespace();
        let number: f64 = words.next()?.replace('−', "-").trim_start_matches('>').parse().ok()?;
        Some(number * unit(words.next().unwrap_or("")))
    };
    if let Some(least) = wanted.strip_prefix("over ") {
        return shown == "OL"
            || figure(&shown).zip(figure(least)).is_some_and(|(shown, least)| shown > least);
    }
    let (plain, margin) = match wanted.split_once(" within ") {
        Some((plain, margin)) => {
            let scale = plain.split_whitespace().nth(1).map_or(1.0, unit);
            (plain, margin.parse::<f64>().ok().map(|margin| margin * scale))
        }
        None => (wanted, None),
    };
    match (figure(&shown), figure(plain)) {
        (Some(shown), Some(wanted)) => {
            (shown - wanted).abs() <= margin.unwrap_or((wanted.abs() * 0.02).max(0.1)) * 1.001
        }
        // What is no figure: the detector's lamps, an open circuit.
        (None, None) => match plain {
            "OL" => shown == "OL",
            "dark" => shown == DARK,
            _ => shown != DARK,
        },
        (Some(_), None) => plain == "lit",
        (None, Some(_)) => false,
    }
}
