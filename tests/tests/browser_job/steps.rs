//! What all ways of doing the job have in common.

use anyhow::{Context, Result, ensure};
use sealin_exercise::attempt::Attempt;
use sealin_exercise::grade::{Report, grade, scenario_of};
use sealin_exercise::predictions::right_answers;
use sealin_exercise::scenario::Scenario;
use sealin_exercise::shipped;
use sealin_tests::browser::{Browser, Thing};
use std::path::Path;

/// Conductors of the reference: from, to.
pub const WIRES: [(&str, &str); 9] = [
    ("XD4:7", "QA1:13"),
    ("QA1:13", "QA2:13"),
    ("QA2:13", "FC1:97"),
    ("QA1:14", "KF1:I4"),
    ("QA2:14", "KF1:I5"),
    ("FC1:98", "KF1:I6"),
    ("XD5:6", "KF1:CI2"),
    ("XD4:9", "KF1:CQ2"),
    ("KF1:Q4", "XD2:5"),
];

/// The main job.
const MAIN: &str = "paddle-closed-loop";

/// The program of the reference.
pub fn program() -> Result<&'static str> {
    Ok(shipped::reference(MAIN).context("the reference ships")?.program)
}

/// The scenario of a job.
pub fn scenario(id: &str) -> Result<Scenario> {
    Scenario::parse(shipped::get(id).context("it ships")?).map_err(|e| anyhow::anyhow!("{e:?}"))
}

/// A question of a job, and what the bench says to it.
pub struct Question {
    /// Its id.
    pub id: String,
    /// What can be answered.
    pub answers: Vec<String>,
    /// Which of them is right, from 0.
    pub right: usize,
}

/// The questions of a job.
pub fn questions(scenario: &Scenario) -> Result<Vec<Question>> {
    let right = right_answers(scenario);
    let asked = scenario.predictions.iter().zip(right.iter().cloned());
    asked
        .map(|(prediction, right)| {
            Ok(Question {
                id: prediction.id.clone(),
                answers: prediction.answers.iter().map(|answer| answer.text.clone()).collect(),
                right: right.map_err(anyhow::Error::msg)? as usize - 1,
            })
        })
        .collect()
}

/// The questions of the main job.
pub fn main_questions() -> Result<Vec<Question>> {
    questions(&scenario(MAIN)?)
}

/// How a thing on the page is pressed.
#[derive(Clone, Copy)]
pub enum By {
    /// By the pointer.
    Mouse,
    /// By a finger.
    Finger,
}

impl By {
    async fn press(self, thing: &Thing<'_>) -> Result<()> {
        match self {
            By::Mouse => thing.click().await,
            By::Finger => thing.tap().await,
        }
    }
}

/// Answers every question as the bench does.
pub async fn answer(browser: &Browser, questions: &[Question], by: By) -> Result<()> {
    browser.sheet("Brief").await?;
    for question in questions {
        let group = browser.role("group").starting(&format!("{} ", question.id)).find().await?;
        by.press(&group.role("radio").starting(&question.answers[question.right]).first().await?).await?;
        let open = browser.role("button").named("Answer").all().await?.len();
        by.press(&browser.role("button").named("Answer").first().await?).await?;
        until_open(browser, open - 1).await?;
    }
    all_are_right(browser).await
}

/// Waits until so many questions are not answered yet.
pub async fn until_open(browser: &Browser, questions: usize) -> Result<()> {
    browser
        .until(&format!("[...document.querySelectorAll('.prediction button')].length === {questions}"))
        .await
}

/// The page says of no answer that it is wrong.
pub async fn all_are_right(browser: &Browser) -> Result<()> {
    ensure!(!browser.text().await?.contains("The bench does otherwise"), "all answers are right");
    Ok(())
}

/// The terminal's mark on the drawing.
pub async fn terminal<'b>(browser: &'b Browser, end: &str) -> Result<Thing<'b>> {
    let (tag, name) = end.split_once(':').context("a terminal")?;
    browser.role("button").starting(&format!("{tag} terminal {name},")).find().await
}

/// Waits until the schedule has the conductor.
pub async fn until_made(browser: &Browser, from: &str, to: &str) -> Result<()> {
    let row = browser.role("row").with(&format!("{from} to {to}")).first().await;
    row.map(drop).with_context(|| format!("{from} > {to}"))
}

/// Waits until the motor is seen to do this.
pub async fn turning(browser: &Browser, way: &str) -> Result<()> {
    browser
        .until(&format!(
            "document.querySelector('main').innerText.replace(/\\s+/g,' ').includes('turning {way}')"
        ))
        .await
}

/// Waits until the controller scans: the 24 V supply and the controller take their time.
pub async fn until_it_scans(browser: &Browser) -> Result<()> {
    browser.until_text("controller scans").await
}

/// Waits until a press counts: the program wants both start buttons let go for 200 ms.
pub async fn until_a_press_counts(browser: &Browser) -> Result<()> {
    let start = browser.bench_ms().await?;
    browser.until_bench_ms(start + 400).await
}

/// Marks of the file, computed natively: all of them, with the claim and the chain of the log as they should be.
pub fn ensure_full_marks(file: &Path) -> Result<Report> {
    let attempt = Attempt::parse(&std::fs::read_to_string(file)?)?;
    let report = grade(&scenario_of(&attempt)?, &attempt)?;
    ensure!(report.marks.earned == report.marks.of, "the file earns {}", report.marks.earned);
    ensure!(report.claim == Some(true) && report.chain == Some(true));
    Ok(report)
}
