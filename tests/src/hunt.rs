//! Jobs of fault finding that ship, worked on the screen by real events from the report to the marks: the machine worked by its
//! buttons, readings taken, isolated, locked off and proved dead, the diagnosis written with its evidence, put right, shown, handed in.
//!
//! The steps are those of tests/cases/fault-finding/ID.toml, which crates/exercise/tests/fault_finding takes without a screen.

mod hands;

use crate::browser::Browser;
use anyhow::{Context, Result, ensure};
pub use hands::Hands;
use sealin_exercise::attempt::Attempt;
use sealin_exercise::grade::{grade, scenario_of};
use sealin_exercise::scenario::{How, Scenario};
use sealin_exercise::session::Session;
use sealin_exercise::shipped;
use std::rc::Rc;

#[derive(serde::Deserialize)]
struct Case {
    report: String,
    show: String,
    hidden: Vec<Hidden>,
}

#[derive(serde::Deserialize)]
struct Hidden {
    fault: String,
    search: String,
}

fn case(id: &str) -> Result<Case> {
    let file =
        std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("cases/fault-finding/{id}.toml"));
    Ok(toml::from_str(&std::fs::read_to_string(file)?)?)
}

/// What is hidden for a seed, in the order in which it is found.
fn hidden<'c>(scenario: &Rc<Scenario>, seed: u64, case: &'c Case) -> Result<Vec<&'c Hidden>> {
    let how = scenario.fault_finding.as_ref().context("it is a job of fault finding")?.how;
    if how != How::Drawn {
        return Ok(case.hidden.iter().collect());
    }
    let mut session = Session::new(scenario.clone(), seed).map_err(|e| anyhow::anyhow!("{e}"))?;
    session.hand_in().map_err(anyhow::Error::msg)?;
    let drawn: Vec<String> = session.fold().hunt.was_wrong().map(|(fault, _)| fault.to_string()).collect();
    Ok(case.hidden.iter().filter(|hidden| drawn.contains(&hidden.fault)).collect())
}

/// Jobs that are worked on the screen with every run of the tests.
pub const USUAL: [&str; 6] = [
    "gate-pump-wont-start",
    "conveyor-wont-hold",
    "paddle-wont-raise",
    "gate-pump-blows-fuses",
    "lock-gate-wont-open",
    "boat-lift-dead",
];

/// Those that take longer, worked by hand: `cargo nextest run --workspace --test hunt_long --run-ignored only`.
pub const LONG: [&str; 6] = [
    "conveyor-trips",
    "sluice-wont-move",
    "winch-wont-lower",
    "dredging-conveyor-troubles",
    "paddle-lets-go",
    "crane-growls",
];

/// The whole job, and its marks computed again from the file that the page saves.
///
/// # Errors
/// The first step that does not go as the case says, or marks that are missing.
pub async fn work(browser: &Browser, id: &str) -> Result<()> {
    let text = shipped::get(id).context("it ships")?;
    let scenario = Rc::new(Scenario::parse(text).map_err(|e| anyhow::anyhow!("{e:?}"))?);
    let case = case(id)?;
    browser.open_job(&scenario.title).await?;
    let seed = browser.seed().await?;
    let hidden = hidden(&scenario, seed, &case)?;
    ensure!(!hidden.is_empty(), "the case knows what seed {seed} hides");
    browser.sheet("Commissioning").await?;
    let mut hands = Hands::new(browser, scenario.clone());
    hands.play("power on\nwait 3s").await?;
    hands.lenient = hidden.iter().any(|one| one.fault.contains("intermittent"));
    hands.play(&case.report).await.context("the report")?;
    for one in &hidden {
        hands.play(&one.search).await.with_context(|| one.fault.clone())?;
    }
    hands.lenient = false;
    hands.play(&case.show).await.context("the machine as it should be")?;
    hands.hand_in().await?;
    for one in &hidden {
        browser.until_text("What was wrong").await?;
        ensure!(browser.text().await?.contains("put right"), "{}", one.fault);
    }
    browser.sheet("Sign-off").await?;
    browser.button("Run all checks").await?.click().await?;
    browser.until_text("Passed").await?;
    let attempt = Attempt::parse(&std::fs::read_to_string(browser.save().await?)?)?;
    let report = grade(&scenario_of(&attempt)?, &attempt)?;
    for line in &report.marks.beside {
        // A bad contact that comes and goes may be good while it is measured, and the machine of a test is a slow one.
        let marked = ["part", "fault", "repaired", "shown"].contains(&line.id.as_str());
        ensure!(!marked || line.earned == line.of as i32, "{}: {:?}", line.id, line.reasons);
    }
    ensure!(report.unsafe_acts.is_empty(), "{:?}", report.unsafe_acts);
    ensure!(report.marks.passed && report.claim == Some(true) && report.chain == Some(true));
    Ok(())
}
