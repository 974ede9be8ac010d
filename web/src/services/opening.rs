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

/// The name under which the browser remembers the job.
pub const JOB: &str = "sealin-job";

/// Opens the job that was on the bench last, with the work on it that was kept in this browser.
///
/// # Errors
/// If the job itself cannot be opened: a fault of ours.
pub async fn open() -> Result<Shop, String> {
    let first = shipped::all().next().map_or("", |(id, _)| id);
    let last = page::remembered(JOB).filter(|id| shipped::get(id).is_some());
    let writer = locks::hold().await;
    let database = Database::open().await.ok();
    let (session, remark) = kept(last.as_deref().unwrap_or(first), database.as_ref(), writer).await?;
    let shop = Shop::new(Workshop::new(session));
    shop.dispatch(Command::Screen(ScreenAct::Theme(theme::remembered())));
    if let Some(words) = page::remembered(HINTS) {
        shop.dispatch(Command::Hints(HintAct::Remember(words)));
    }
    if let Some(sheet) = address::sheet() {
        shop.dispatch(Command::Screen(ScreenAct::GoTo(sheet)));
    }
    if let Some(text) = remark {
        shop.dispatch(Command::Notice(Notice { refused: true, text }));
    }
    match database {
        Some(database) if writer => keeper::start(&shop, database),
        Some(_) => shop.dispatch(Command::Saved(Saved::Elsewhere)),
        None => shop.dispatch(Command::Saved(Saved::Impossible)),
    }
    Ok(shop)
}

/// Puts another job on the bench, with the work on it that was kept; the one that is there is kept as it stands.
pub fn change_job(shop: Shop, id: String) {
    let (saved, acts) = shop.with(|workshop| (workshop.saved(), workshop.own().0.acts()));
    if saved == Saved::Impossible && acts > 0 {
        let text = t!("jobs-not-kept").into();
        return shop.dispatch(Command::Notice(Notice { refused: true, text }));
    }
    shop.dispatch(Command::KeepDraft);
    shop.dispatch(Command::Pause(true));
    wasm_bindgen_futures::spawn_local(async move {
        keeper::settle().await;
        let database = Database::open().await.ok();
        let notice = match kept(&id, database.as_ref(), saved != Saved::Elsewhere).await {
            Ok((session, remark)) => {
                let title = session.scenario().title.clone();
                shop.dispatch(Command::Job(Rc::new(session)));
                Notice {
                    refused: remark.is_some(),
                    text: remark.unwrap_or_else(|| t!("jobs-opened", job = title)),
                }
            }
            Err(text) => Notice { refused: true, text },
        };
        shop.dispatch(Command::Notice(notice));
    });
}

/// A job with the work that was kept, and what is to be said about it. Work that cannot be taken up is set aside.
async fn kept(
    id: &str,
    database: Option<&Database>,
    writer: bool,
) -> Result<(Session, Option<String>), String> {
    let scenario = Rc::new(job(id)?);
    let rows = match database {
        Some(database) => database.rows(id).await.unwrap_or_default(),
        None => Vec::new(),
    };
    let (session, remark) = resume(&scenario, &rows)?;
    if let (Some((_, Some(file))), Some(database), true) = (&remark, database, writer) {
        let _ = database.set_aside(file).await;
    }
    Ok((session, remark.map(|(text, _)| text)))
}

fn job(id: &str) -> Result<Scenario, String> {
    let text = shipped::get(id).ok_or_else(|| format!("there is no job {id}"))?;
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
