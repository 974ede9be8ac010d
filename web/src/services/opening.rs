//! What is put on the bench: before the first drawing, and whenever a person asks for another attempt.

use super::database::Database;
use super::{address, keeper, locks, page, theme};
use crate::hints::HintAct;
use crate::store::kept::{KeptAttempt, newest};
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

/// The name under which the browser remembers where the attempt lies that was on the bench last.
pub const PLACE: &str = "sealin-place";

/// An attempt that is put on the bench.
struct Opened {
    session: Session,
    /// Where it lies; a new one lies nowhere yet.
    place: Option<u32>,
    /// What is to be said about it.
    remark: Option<String>,
}

/// Opens the attempt that was on the bench last, or the job, and what a link in the address carries.
///
/// # Errors
/// If the job itself cannot be opened: a fault of ours.
pub async fn open() -> Result<Shop, String> {
    let writer = locks::hold().await;
    let database = Database::open().await.ok();
    let listed = all_kept(database.as_ref()).await;
    if let (Some(database), true) = (&database, writer) {
        // What cannot be removed now is removed another time.
        let _ = database.remove_deleted(&listed).await;
    }
    let Opened { session, place, remark } = last(&listed, database.as_ref()).await?;
    let shop = Shop::new(Workshop::lying_at(session, place));
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
    open_link(&shop);
    Ok(shop)
}

/// Opens the attempt that the address carries, if it does: a new one among those that are kept.
pub fn open_link(shop: &Shop) {
    let Some(carried) = address::attempt() else { return };
    address::set(None, shop.with(|workshop| workshop.screen().sheet));
    let opened = carried.and_then(|attempt| shop.ask(Command::Open(Rc::new(attempt))));
    if let Err(problem) = opened {
        let text = t!("attempt-link-bad", problem = problem.trim_end_matches('.'));
        shop.dispatch(Command::Notice(Notice { refused: true, text }));
    }
}

/// Puts another job on the bench: the attempt on it that was written last, or a new one.
pub fn change_job(shop: Shop, id: String) {
    let choose = async move |database: Option<&Database>| match newest(&all_kept(database).await, &id) {
        Some(kept) => taken_up_or_new(kept, database).await,
        None => fresh(&id),
    };
    change(shop, choose, |job| t!("jobs-opened", job = job));
}

/// Puts an attempt on the bench that is kept.
pub fn change_attempt(shop: Shop, kept: KeptAttempt) {
    let choose = async move |database: Option<&Database>| taken_up(&kept, database).await;
    change(shop, choose, |job| t!("kept-opened", job = job));
}

/// Begins the job anew; the work so far is written first.
pub fn start_over(shop: Shop) {
    shop.dispatch(Command::KeepDraft);
    wasm_bindgen_futures::spawn_local(async move {
        keeper::settle().await;
        let (seed, started) = page::draw();
        shop.dispatch(Command::StartOver { seed, started });
    });
}

/// Puts what `choose` gives on the bench, once what is there was written.
fn change(
    shop: Shop,
    choose: impl AsyncFnOnce(Option<&Database>) -> Result<Opened, String> + 'static,
    said: impl FnOnce(&str) -> String + 'static,
) {
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
        let notice = match choose(database.as_ref()).await {
            Ok(Opened { session, place, remark }) => {
                let title = session.scenario().title.clone();
                shop.dispatch(Command::Job { session: Rc::new(session), place });
                Notice { refused: remark.is_some(), text: remark.unwrap_or_else(|| said(&title)) }
            }
            Err(text) => Notice { refused: true, text },
        };
        shop.dispatch(Command::Notice(notice));
    });
}

async fn all_kept(database: Option<&Database>) -> Vec<KeptAttempt> {
    match database {
        Some(database) => database.kept().await.unwrap_or_default(),
        None => Vec::new(),
    }
}

/// What was on the bench last.
async fn last(all: &[KeptAttempt], database: Option<&Database>) -> Result<Opened, String> {
    let first = shipped::all().next().map_or("", |(id, _)| id);
    let job = page::remembered(JOB).filter(|id| shipped::get(id).is_some()).unwrap_or(first.into());
    let place = page::remembered(PLACE).and_then(|place| place.parse().ok());
    let there = all.iter().find(|kept| Some(kept.place) == place && !kept.deleted && kept.job == job);
    match there.or_else(|| newest(all, &job)) {
        Some(kept) => taken_up_or_new(kept, database).await,
        None => fresh(&job),
    }
}

/// A new attempt on a job.
fn fresh(id: &str) -> Result<Opened, String> {
    let (seed, started) = page::draw();
    let mut session = Session::new(Rc::new(job(id)?), seed).map_err(|error| error.to_string())?;
    session.set_started(&started);
    Ok(Opened { session, place: None, remark: None })
}

/// An attempt that is kept; where it cannot be taken up it stays where it lies, and a new one begins, with the reason.
async fn taken_up_or_new(kept: &KeptAttempt, database: Option<&Database>) -> Result<Opened, String> {
    match taken_up(kept, database).await {
        Err(reason) => Ok(Opened { remark: Some(reason), ..fresh(&kept.job)? }),
        opened => opened,
    }
}

/// An attempt that is kept, as far as its log can be followed.
async fn taken_up(kept: &KeptAttempt, database: Option<&Database>) -> Result<Opened, String> {
    let rows = match database {
        Some(database) => database.rows(kept.place).await.unwrap_or_default(),
        None => Vec::new(),
    };
    let (session, lost) = resume(&Rc::new(job(&kept.job)?), &rows)?;
    let remark = (lost > 0).then(|| t!("attempt-cut", acts = session.acts(), lost = lost));
    Ok(Opened { session, place: Some(kept.place), remark })
}

fn job(id: &str) -> Result<Scenario, String> {
    let text = shipped::get(id).ok_or_else(|| format!("there is no job {id}"))?;
    Scenario::parse(text)
        .map_err(|problems| problems.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n"))
}

/// The session of the rows, and how many entries at their end could not be used.
fn resume(scenario: &Rc<Scenario>, rows: &[String]) -> Result<(Session, usize), String> {
    let (mut attempt, lost) = recover(rows).ok_or(t!("kept-unreadable"))?;
    if grade::fits(&attempt, scenario).is_err() {
        return Err(t!("attempt-other-edition").into());
    }
    let all = attempt.entries.len() + lost;
    loop {
        let error = match Session::open(scenario.clone(), attempt.clone()) {
            Ok(session) => return Ok((session, all - attempt.entries.len())),
            Err(error) => error,
        };
        if error.entry >= attempt.entries.len() {
            return Err(error.to_string());
        }
        attempt.entries.truncate(error.entry);
    }
}
