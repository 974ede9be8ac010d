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
    if let (Some(database), true) = (&database, writer) {
        // What cannot be removed now is removed another time.
        let _ = database.remove_deleted().await;
    }
    let Opened { session, place, remark } = last(database.as_ref()).await?;
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
        Some(kept) => taken_up(kept, database).await,
        None => fresh(&id),
    };
    change(shop, choose, |job| t!("jobs-opened", job = job));
}

/// Puts an attempt on the bench that is kept.
pub fn change_attempt(shop: Shop, kept: KeptAttempt) {
    let choose = async move |database: Option<&Database>| {
        let remark = |opened: &Opened| opened.place.is_none().then(|| opened.remark.clone()).flatten();
        match taken_up(&kept, database).await {
            Ok(opened) => remark(&opened).map_or(Ok(opened), Err),
            Err(problem) => Err(problem),
        }
    };
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
async fn last(database: Option<&Database>) -> Result<Opened, String> {
    let all = all_kept(database).await;
    let first = shipped::all().next().map_or("", |(id, _)| id);
    let job = page::remembered(JOB).filter(|id| shipped::get(id).is_some()).unwrap_or(first.into());
    let place = page::remembered(PLACE).and_then(|place| place.parse().ok());
    let there = all.iter().find(|kept| Some(kept.place) == place && !kept.deleted && kept.job == job);
    match there.or_else(|| newest(&all, &job)) {
        Some(kept) => taken_up(kept, database).await,
        None => fresh(&job),
    }
}

/// A new attempt on a job.
fn fresh(id: &str) -> Result<Opened, String> {
    let session = begin(&Rc::new(job(id)?))?;
    Ok(Opened { session, place: None, remark: None })
}

/// An attempt that is kept. One that cannot be taken up stays where it lies, and a new one begins, with the reason.
async fn taken_up(kept: &KeptAttempt, database: Option<&Database>) -> Result<Opened, String> {
    let rows = match database {
        Some(database) => database.rows(kept.place).await.unwrap_or_default(),
        None => Vec::new(),
    };
    let scenario = Rc::new(job(&kept.job)?);
    Ok(match resume(&scenario, &rows)? {
        Resumed::Whole(session) => Opened { session, place: Some(kept.place), remark: None },
        Resumed::Cut(session, text) => Opened { session, place: Some(kept.place), remark: Some(text) },
        Resumed::Not(text) => Opened { session: begin(&scenario)?, place: None, remark: Some(text) },
    })
}

fn job(id: &str) -> Result<Scenario, String> {
    let text = shipped::get(id).ok_or_else(|| format!("there is no job {id}"))?;
    Scenario::parse(text)
        .map_err(|problems| problems.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n"))
}

fn begin(scenario: &Rc<Scenario>) -> Result<Session, String> {
    let (seed, started) = page::draw();
    let mut session = Session::new(scenario.clone(), seed).map_err(|error| error.to_string())?;
    session.set_started(&started);
    Ok(session)
}

/// What became of the rows of an attempt.
enum Resumed {
    Whole(Session),
    /// The longest stretch that could be read, and what is to be said.
    Cut(Session, String),
    /// Nothing, and why.
    Not(String),
}

fn resume(scenario: &Rc<Scenario>, rows: &[String]) -> Result<Resumed, String> {
    let Some((mut attempt, lost)) = recover(rows) else {
        return Ok(Resumed::Not(t!("kept-unreadable").into()));
    };
    if grade::fits(&attempt, scenario).is_err() {
        return Ok(Resumed::Not(t!("attempt-other-edition").into()));
    }
    let all = attempt.entries.len() + lost;
    loop {
        let error = match Session::open(scenario.clone(), attempt.clone()) {
            Ok(session) => {
                let lost = all - attempt.entries.len();
                if lost == 0 {
                    return Ok(Resumed::Whole(session));
                }
                let text = t!("attempt-cut", acts = attempt.entries.len(), lost = lost);
                return Ok(Resumed::Cut(session, text));
            }
            Err(error) => error,
        };
        if error.entry >= attempt.entries.len() {
            return Ok(Resumed::Not(error.to_string()));
        }
        attempt.entries.truncate(error.entry);
    }
}
