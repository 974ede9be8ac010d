//! What happens before the first drawing: the job, the lock, the attempt that was kept.

use super::database::Database;
use super::{address, keeper, locks, page, theme};
use crate::hints::HintAct;
use crate::store::model::{Scenario, Session};
use crate::store::record::recover;
use crate::store::{Command, Notice, Saved, ScreenAct, Shop, Workshop};
use crate::t;
use sealin_exercise::{grade, shipped};
use std::rc::Rc;

/// The name under which the browser remembers the hints.
pub const HINTS: &str = "sealin-hints";

/// The job that is opened.
const JOB: &str = "paddle-closed-loop";

/// Opens the job with the work that was kept in this browser.
///
/// # Errors
/// If the job itself cannot be opened: a fault of ours.
pub async fn open() -> Result<Shop, String> {
    let scenario = Rc::new(job()?);
    let writer = locks::hold().await;
    let database = Database::open().await.ok();
    let rows = match &database {
        Some(database) => database.rows().await.unwrap_or_default(),
        None => Vec::new(),
    };
    let (session, notice) = resume(&scenario, &rows)?;
    if let (Some((_, Some(file))), Some(database), true) = (&notice, &database, writer) {
        let _ = database.set_aside(file).await;
    }
    let shop = Shop::new(Workshop::new(session));
    shop.dispatch(Command::Screen(ScreenAct::Theme(theme::remembered())));
    if let Some(words) = page::remembered(HINTS) {
        shop.dispatch(Command::Hints(HintAct::Remember(words)));
    }
    if let Some(sheet) = address::sheet() {
        shop.dispatch(Command::Screen(ScreenAct::GoTo(sheet)));
    }
    if let Some((text, _)) = notice {
        shop.dispatch(Command::Notice(Notice { refused: true, text }));
    }
    match database {
        Some(database) if writer => keeper::start(&shop, database),
        Some(_) => shop.dispatch(Command::Saved(Saved::Elsewhere)),
        None => shop.dispatch(Command::Saved(Saved::Impossible)),
    }
    Ok(shop)
}

fn job() -> Result<Scenario, String> {
    let text = shipped::get(JOB).ok_or_else(|| format!("there is no job {JOB}"))?;
    Scenario::parse(text)
        .map_err(|problems| problems.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n"))
}

/// What is to be said about work that could not be taken up whole, and the file of work that was set aside.
type Remark = Option<(String, Option<String>)>;

/// The session of the rows, or a new one. Work on another edition of the job is set aside as a file.
fn resume(scenario: &Rc<Scenario>, rows: &[String]) -> Result<(Session, Remark), String> {
    let fresh = || -> Result<Session, String> {
        let (seed, started) = page::draw();
        let mut session = Session::new(scenario.clone(), seed).map_err(|error| error.to_string())?;
        session.set_started(&started);
        Ok(session)
    };
    let Some((mut attempt, lost)) = recover(rows) else { return Ok((fresh()?, None)) };
    if grade::fits(&attempt, scenario).is_err() {
        return Ok((fresh()?, Some((t!("attempt-other-edition").into(), Some(attempt.to_json())))));
    }
    let all = attempt.entries.len() + lost;
    loop {
        let error = match Session::open(scenario.clone(), attempt.clone()) {
            Ok(session) => {
                let lost = all - attempt.entries.len();
                let remark = (lost > 0).then(|| t!("attempt-cut", acts = attempt.entries.len(), lost = lost));
                return Ok((session, remark.map(|text| (text, None))));
            }
            Err(error) => error,
        };
        if error.entry >= attempt.entries.len() {
            return Ok((fresh()?, Some((error.to_string(), Some(attempt.to_json())))));
        }
        attempt.entries.truncate(error.entry);
    }
}
