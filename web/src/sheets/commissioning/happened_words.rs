//! What happened, in plain words: what, why, and what to do.

use crate::store::Workshop;
use crate::store::model::{Act, BenchAct, Kind, Note, Protection};
use crate::t;
use crate::text::quantity::measured;
use crate::text::time::about;

/// One thing that happened.
#[derive(Clone, Debug, PartialEq)]
pub struct Happening {
    /// When, bench time in ms.
    pub tick: u64,
    /// Tag of the device.
    pub part: String,
    /// What.
    pub what: String,
    /// Why, as far as the bench shows it.
    pub cause: Option<String>,
    /// What to do.
    pub advice: &'static str,
}

/// What renews a device that has opened or is damaged.
#[derive(Clone, Debug, PartialEq)]
pub struct Renewal {
    /// Tag of the device.
    pub part: String,
    /// What the button says.
    pub name: &'static str,
    /// What is done.
    pub act: BenchAct,
}

/// The last things that happened, newest first, at most so many; beside them how many there are in all.
pub fn happenings(workshop: &Workshop, most: usize) -> (Vec<Happening>, usize) {
    let notes = &workshop.session().fold().notes;
    let told: Vec<_> = notes.iter().filter(|(_, note)| is_told(workshop, note)).collect();
    let newest = told.iter().rev().take(most);
    (newest.map(|(tick, note)| happening(workshop, *tick, note)).collect(), told.len())
}

/// What is hidden tells nothing of itself: in a sealed job only what a device shows is told, a trip, a blown link, a refused reset, a
/// controller that has stopped, smoke.
fn is_told(workshop: &Workshop, note: &Note) -> bool {
    let shows = matches!(
        note,
        Note::ResetRefused { .. }
            | Note::ResetByItself { .. }
            | Note::HeatTrip { .. }
            | Note::Opened { .. }
            | Note::Overrun { .. }
            | Note::BurntOut(_)
    );
    shows || !workshop.is_sealed()
}

/// The last thing that happened, for one line: the device and what.
pub fn last_line(workshop: &Workshop) -> Option<String> {
    let notes = &workshop.session().fold().notes;
    let (tick, note) = notes.iter().rev().find(|(_, note)| is_told(workshop, note))?;
    let Happening { part, what, .. } = happening(workshop, *tick, note);
    Some(format!("{part} {what}"))
}

/// Devices that can be renewed now: links of fuses, breakers that are out, damaged parts.
pub fn renewals(workshop: &Workshop) -> Vec<Renewal> {
    let parts = &workshop.scenario().parts;
    let opened = parts.iter().filter_map(|part| match &part.kind {
        Kind::Switchgear(gear) if gear.protection != Protection::None => {
            let (closed, poles) = workshop.bench().switch(&part.tag).unwrap_or_default();
            let breaker = matches!(gear.protection, Protection::Breaker { .. });
            let out = poles.contains(&true) || breaker && !closed && opened_by_itself(workshop, &part.tag);
            let name = if breaker { t!("happened-reset-breaker") } else { t!("happened-new-links") };
            out.then(|| Renewal { part: part.tag.clone(), name, act: BenchAct::Close(part.tag.clone()) })
        }
        _ => None,
    });
    let damaged = parts.iter().filter_map(|part| {
        let act = BenchAct::parse(&format!("replace {}", part.tag)).ok()?;
        // In a sealed job a part is swapped as a repair.
        let fits = !workshop.is_sealed()
            && workshop.bench().fits(&act).is_ok()
            && damaged(workshop, &part.tag, &act);
        fits.then(|| Renewal { part: part.tag.clone(), name: t!("happened-replace"), act })
    });
    opened.chain(damaged).collect()
}

/// Something besides an opening, a trip or a reset has been told of a part, and it has not been replaced since.
fn damaged(workshop: &Workshop, tag: &str, replace: &BenchAct) -> bool {
    let notes = &workshop.session().fold().notes;
    let told = notes.iter().rev().find(|(tick, note)| {
        known(workshop, *tick, note).is_none() && part_of(&note.to_string(), workshop).as_deref() == Some(tag)
    });
    told.is_some_and(|(tick, _)| {
        let mut later = workshop.session().entries_from(0).iter().filter(|entry| entry.at > *tick);
        !later.any(|entry| matches!(&entry.act, Act::Bench(act) if act == replace))
    })
}

/// A device that is open has opened by over-current, and was not worked by a hand since.
pub fn opened_by_itself(workshop: &Workshop, tag: &str) -> bool {
    let notes = &workshop.session().fold().notes;
    let opened =
        notes.iter().rev().find(|(_, note)| matches!(note, Note::Opened { part, .. } if part == tag));
    let trace = workshop.session().trace();
    let Some((opened, signal)) = opened.zip(trace.number(&format!("{tag}.closed"))) else { return false };
    let newer = trace.changes().iter().rev().take_while(|change| change.tick > opened.0);
    !newer.into_iter().any(|change| change.name == signal)
}

fn happening(workshop: &Workshop, tick: u64, note: &Note) -> Happening {
    let told = whole(workshop, tick, note);
    // Why is for the learner to find.
    let cause = told.cause.clone().filter(|_| !workshop.is_sealed());
    Happening { cause, ..told }
}

fn whole(workshop: &Workshop, tick: u64, note: &Note) -> Happening {
    known(workshop, tick, note).unwrap_or_else(|| {
        // In the bench's own words; the device is the first tag in them, and stands before them.
        let text = note.to_string();
        let part = part_of(&text, workshop).unwrap_or_default();
        let what = own_words(&text, &part);
        Happening { tick, what, part, cause: None, advice: t!("happened-advice-damage") }
    })
}

/// What the bench says, without the tag that stands before it.
fn own_words(text: &str, part: &str) -> String {
    let what = text.strip_prefix(part).unwrap_or(text).trim_start_matches([' ', ':']);
    format!("{}.", what.trim_end_matches('.'))
}

/// What opened, tripped or would not reset, of which the bench can also say why.
fn known(workshop: &Workshop, tick: u64, note: &Note) -> Option<Happening> {
    let (part, what, cause, advice) = match note {
        Note::Opened { part, poles } => {
            let what = if is_breaker(workshop, part) {
                t!("happened-breaker").to_string()
            } else if let [pole] = &poles[..] {
                t!("happened-link", pole = pole)
            } else {
                t!("happened-links", poles = list(poles))
            };
            (part, what, Some(cause_of_opening(workshop, tick)), t!("happened-advice-opened"))
        }
        Note::HeatTrip { part } => (
            part,
            t!("happened-trip").into(),
            current_before(workshop, tick, part),
            t!("happened-advice-trip"),
        ),
        Note::ResetRefused { part } => {
            (part, t!("happened-refused").into(), None, t!("happened-advice-refused"))
        }
        Note::Chatters { part, .. } => {
            (part, own_words(&note.to_string(), part), None, t!("happened-advice-chatters"))
        }
        Note::ResetByItself { part } => {
            (part, t!("happened-by-itself").into(), None, t!("happened-advice-by-itself"))
        }
        Note::Overrun { part, scan_us, watchdog_us } => {
            let cause = t!("happened-overrun-cause", scan = scan_us, most = watchdog_us);
            (part, t!("happened-overrun").into(), Some(cause), t!("happened-advice-overrun"))
        }
        _ => return None,
    };
    Some(Happening { tick, part: part.clone(), what, cause, advice })
}

/// The first tag of the job in a sentence.
fn part_of(text: &str, workshop: &Workshop) -> Option<String> {
    let tags = |word: &&str| workshop.scenario().parts.iter().any(|part| part.tag == **word);
    text.split(|c: char| !c.is_alphanumeric()).find(tags).map(String::from)
}

/// Whether a device is a miniature breaker.
pub fn is_breaker(workshop: &Workshop, tag: &str) -> bool {
    let part = workshop.scenario().parts.iter().find(|part| part.tag == tag);
    let protection = part.and_then(|part| match &part.kind {
        Kind::Switchgear(gear) => Some(gear.protection),
        _ => None,
    });
    matches!(protection, Some(Protection::Breaker { .. }))
}

/// Poles as a person lists them: `1`, `1 and 3`, `1, 2 and 3`.
fn list(poles: &[u8]) -> String {
    let figures: Vec<String> = poles.iter().map(u8::to_string).collect();
    match figures.split_last() {
        Some((last, [])) => last.clone(),
        Some((last, before)) => t!("happened-list", before = before.join(", "), last = last),
        None => String::new(),
    }
}

/// What had been going on when a fuse or breaker opened.
fn cause_of_opening(workshop: &Workshop, tick: u64) -> String {
    let trace = workshop.session().trace();
    // As it was in that tick: a contactor that drops out by it does so later.
    let was = |signal: String| trace.number(&signal).is_some_and(|number| trace.value_at(number, tick));
    let tags = |fits: fn(&Kind) -> bool| {
        let parts = workshop.scenario().parts.iter().filter(move |part| fits(&part.kind));
        parts.map(|part| part.tag.clone())
    };
    let closed: Vec<String> =
        tags(|kind| matches!(kind, Kind::Contactor(_))).filter(|tag| was(format!("{tag}.closed"))).collect();
    if let [a, b, ..] = &closed[..] {
        return t!("happened-cause-both", a = a, b = b);
    }
    let stands = tags(|kind| matches!(kind, Kind::Motor(_))).find(|tag| !was(format!("{tag}.turning")));
    match (&closed[..], stands) {
        ([contactor], Some(motor)) => t!("happened-cause-stands", motor = motor, contactor = contactor),
        _ => t!("happened-cause-current").to_string(),
    }
}

/// The current that an overload tripped by.
fn current_before(workshop: &Workshop, tick: u64, tag: &str) -> Option<String> {
    let trips = workshop.session().fold().flows.trips();
    let trip = trips.iter().find(|trip| trip.tick == tick && trip.part == tag)?;
    Some(t!(
        "happened-cause-heat",
        multiple = measured(trip.multiple, 2, "×"),
        after = about(trip.after_ms as f64 / 1000.0)
    ))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::store::Command;
    use crate::store::fixture::{act, workshop};

    #[test]
    fn poles_are_listed_as_a_person_lists_them() {
        assert_eq!([list(&[2]), list(&[1, 3]), list(&[1, 2, 3])], ["2", "1 and 3", "1, 2 and 3"]);
    }

    /// Both contactors in exchange L1 and L3 against each other: a short circuit through poles 1 and 3 of the fuses,
    /// while L2 stays L2 (hand: the reversing contactor swaps the outer phases).
    #[test]
    fn both_contactors_in_open_the_outer_fuses_and_it_says_so() {
        let mut w = workshop();
        act(&mut w, "power on");
        w.carry_out(Command::Step(100)).unwrap();
        assert_eq!(happenings(&w, 9), (Vec::new(), 0));
        for line in ["inject QA2 interlock broken", "push QA1", "push QA2"] {
            act(&mut w, line);
        }
        w.carry_out(Command::Step(2_000)).unwrap();
        let (all, count) = happenings(&w, 9);
        assert!(count >= 1, "{all:?}");
        let first = all.last().unwrap();
        assert_eq!((first.part.as_str(), first.what.contains("1 and 3")), ("FC2", true), "{first:?}");
        let cause = first.cause.clone().unwrap();
        assert!(cause.contains("QA1") && cause.contains("QA2"), "{cause}");
        let renewal = renewals(&w).into_iter().find(|renewal| renewal.part == "FC2").unwrap();
        act(&mut w, "power off");
        act(&mut w, "release QA1");
        act(&mut w, "release QA2");
        w.carry_out(Command::Act(renewal.act)).unwrap();
        w.carry_out(Command::Step(100)).unwrap();
        assert!(renewals(&w).iter().all(|renewal| renewal.part != "FC2"));
    }

    /// What the bench tells in its own words keeps them, behind the tag of the device that they speak of.
    #[test]
    fn damage_is_told_in_the_words_of_the_bench() {
        let w = workshop();
        let note = Note::ChannelDestroyed { part: "KF1".into(), channel: 3, volts: 325 };
        let told = happening(&w, 7, &note);
        assert_eq!((told.part.as_str(), told.tick), ("KF1", 7));
        assert!(told.what.starts_with("input 3") && told.what.ends_with('.'), "{}", told.what);
        assert_eq!(part_of("the coil of QA2 is burnt", &w).as_deref(), Some("QA2"));
        assert_eq!(part_of("nothing of the job", &w), None);
        assert!(renewals(&w).is_empty());
    }

    #[test]
    fn a_trip_by_heat_names_the_current_and_a_reset_too_soon_is_told() {
        let mut w = workshop();
        for line in ["power on", "jam MA1", "push QA1"] {
            act(&mut w, line);
        }
        w.carry_out(Command::Step(10_000)).unwrap();
        act(&mut w, "reset FC1");
        w.carry_out(Command::Step(100)).unwrap();
        let (all, _) = happenings(&w, 9);
        let [refused, trip] = &all[..] else { panic!("{all:?}") };
        assert!(trip.cause.as_ref().is_some_and(|cause| cause.contains('×')), "{trip:?}");
        assert!(refused.cause.is_none() && refused.tick > trip.tick);
    }
}
