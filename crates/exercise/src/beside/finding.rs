//! Marks of a job of fault finding, each a line with its reasons: before the work is handed in nothing is earned, and nothing told.

use super::{Evidence, Kind, Line, Reason};
use crate::conduct::Conduct;
use crate::hunt::{Diagnosis, Read, Said};
use crate::marking::share;
use crate::scenario::FaultFinding;
use sealin_core::Fault;

/// Readings beyond those needed that cost nothing: a person looks twice, and again after the repair (own choice).
const MORE_READINGS: u32 = 6;

/// So often may there be twice as many suspects left as a good search leaves until nothing is earned (own choice): sixteen times as many.
const MOST_DOUBLINGS: u32 = 4;

/// Most readings that are told with what they ruled out.
const MOST_TOLD: usize = 20;

/// One of what was wrong, and how it was diagnosed.
type Judged<'a> = (&'a Fault, Option<(&'a Diagnosis, bool)>);

/// All lines.
pub(super) fn lines(finding: &FaultFinding, conduct: &Conduct) -> Vec<Line> {
    let marks = finding.marks;
    let lines = [
        ("part", "The part or conductor that is at fault is named.", marks.part),
        ("fault", "What is wrong with it is named, and where.", marks.fault),
        ("evidence", "A reading speaks for the diagnosis.", marks.evidence),
        ("readings", "No more readings than it takes.", marks.readings),
        ("worth", "The readings narrow down what can be wrong.", marks.worth),
        ("repaired", "The fault is gone.", marks.repaired),
        ("shown", "The machine was seen at work after the last repair.", marks.shown),
    ];
    let mut all = Vec::new();
    for (id, text, of) in lines.into_iter().filter(|(_, _, of)| *of > 0) {
        let (earned, reasons) = match conduct.hunt.handed_in {
            None => (0, vec![nowhere("the work has not been handed in".to_string())]),
            Some(_) => line(id, of, finding, conduct),
        };
        let (id, text) = (id.to_string(), text.to_string());
        all.push(Line { id, kind: Kind::Finding, text, earned: earned as i32, of, reasons });
    }
    if let Some(costs) = finding.look_costs {
        let reason = |(entry, tick): &(u32, u64)| Reason {
            text: format!("looked; it costs {}", super::marks(costs)),
            at: Evidence::Entry { entry: *entry, tick: *tick },
        };
        all.push(Line {
            id: "look".to_string(),
            kind: Kind::Finding,
            text: "Looks at what is still suspected.".to_string(),
            earned: -((costs as usize).saturating_mul(conduct.looks.len()).min(100_000) as i32),
            of: 0,
            reasons: conduct.looks.iter().map(reason).collect(),
        });
    }
    all
}

fn line(id: &str, of: u32, finding: &FaultFinding, conduct: &Conduct) -> (u32, Vec<Reason>) {
    let hunt = &conduct.hunt;
    let judged = hunt.judged();
    let count = judged.len() as u32;
    match id {
        "part" => {
            let named = judged.iter().filter(|(_, diagnosis)| diagnosis.is_some()).count() as u32;
            (share(of, named, count), judged.iter().map(|j| nowhere(part_told(j))).collect())
        }
        "fault" => {
            let right = judged.iter().filter(|(_, d)| d.is_some_and(|(_, right)| right)).count() as u32;
            (share(of, right, count), judged.iter().map(|j| nowhere(fault_told(j))).collect())
        }
        "evidence" => {
            let speaks = |j: &Judged<'_>| spoken(j, conduct).is_some();
            let count_of = judged.iter().filter(|j| speaks(j)).count() as u32;
            (share(of, count_of, count), judged.iter().map(|j| evidence_told(j, conduct)).collect())
        }
        "readings" => {
            let counted = conduct.readings.iter().filter(|said| said.counts).count() as u32;
            let (taken, most) = (counted, finding.needed_readings + MORE_READINGS);
            let over = taken.saturating_sub(most);
            let text = format!(
                "{taken} readings up to the handing in, proving dead aside; {} are enough, and {MORE_READINGS} more cost nothing",
                finding.needed_readings
            );
            // One who has measured nothing has not looked with few readings, but not at all.
            let earned = if taken == 0 { 0 } else { share(of, most.saturating_sub(over), most) };
            (earned, vec![nowhere(text)])
        }
        "worth" => worth(of, finding.suspects_left, conduct),
        "repaired" => {
            let gone = hunt.was_wrong().filter(|(_, cured)| *cured).count() as u32;
            let told = |(fault, cured): (&Fault, bool)| {
                nowhere(format!("{}: {}", told(fault), if cured { "gone" } else { "still there" }))
            };
            (share(of, gone, count), hunt.was_wrong().map(told).collect())
        }
        _ => {
            let seen = hunt.shown.iter().filter(|seen| seen.is_some()).count() as u32;
            let told = |(shown, seen): (&crate::scenario::Shown, &Option<u64>)| match seen {
                Some(tick) => Reason { text: format!("{}: seen", shown.text), at: at(conduct, *tick) },
                None => nowhere(format!("{}: not seen after the last repair", shown.text)),
            };
            let reasons = finding.shown.iter().zip(&hunt.shown).map(told).collect();
            // A machine that was never repaired was not shown to work again.
            let earned = if hunt.repairs.is_empty() { 0 } else { share(of, seen, hunt.shown.len() as u32) };
            (earned, reasons)
        }
    }
}

/// How few suspects were left before anything was put right.
fn worth(of: u32, leaves: u32, conduct: &Conduct) -> (u32, Vec<Reason>) {
    let narrowed = match &conduct.narrowed {
        Some(Ok(narrowed)) => narrowed,
        Some(Err(message)) => return (0, vec![nowhere(message.clone())]),
        None => return (0, Vec::new()),
    };
    if narrowed.readings.is_empty() {
        return (0, vec![nowhere("nothing was read before the first repair".to_string())]);
    }
    let reached = |times: &u32| f64::from(leaves) * f64::from(1_u32 << times) <= narrowed.likely;
    let doublings = (1..=MOST_DOUBLINGS).take_while(reached).count() as u32;
    let all = format!(
        "{} kinds and places of faults were left before the first repair; by how likely they are they count as {:.1}. A good search leaves {leaves} at most, and each time twice as many cost a quarter",
        narrowed.left, narrowed.likely
    );
    let told = |read: &Read| Reason {
        text: format!("{}: ruled out {}, {} left", read.what, read.out, read.left),
        at: Evidence::Entry { entry: read.entry, tick: read.tick },
    };
    let reasons = [nowhere(all)].into_iter().chain(narrowed.readings.iter().take(MOST_TOLD).map(told));
    (share(of, MOST_DOUBLINGS - doublings, MOST_DOUBLINGS), reasons.collect())
}

/// The first of the readings given as evidence that a sound machine would not have shown, of a diagnosis that names the part.
fn spoken<'a>((_, diagnosis): &Judged<'_>, conduct: &'a Conduct) -> Option<&'a Said> {
    let (diagnosis, _) = diagnosis.as_ref()?;
    let given = |said: &&Said| diagnosis.evidence.contains(&said.entry);
    conduct.readings.iter().filter(given).find(|said| said.unlike_sound)
}

fn evidence_told(judged: &Judged<'_>, conduct: &Conduct) -> Reason {
    let (fault, diagnosis) = judged;
    match (spoken(judged, conduct), diagnosis) {
        (Some(said), _) => Reason {
            text: format!("{}: this reading is one that a sound machine does not show", fault.subject),
            at: Evidence::Entry { entry: said.entry, tick: said.tick },
        },
        (None, None) => nowhere(part_told(judged)),
        (None, Some((diagnosis, _))) if diagnosis.evidence.is_empty() => {
            nowhere(format!("{}: no reading was given as evidence", fault.subject))
        }
        (None, Some(_)) => nowhere(format!(
            "{}: a sound machine shows the same in every reading that was given as evidence",
            fault.subject
        )),
    }
}

/// The tick in the log, at the entry in which the work was handed in.
fn at(conduct: &Conduct, tick: u64) -> Evidence {
    conduct.handed_in.map_or(Evidence::Nowhere, |entry| Evidence::Entry { entry, tick })
}

fn nowhere(text: String) -> Reason {
    Reason { text, at: Evidence::Nowhere }
}

fn told(fault: &Fault) -> String {
    format!("{}: {}", fault.subject, fault.said())
}

fn part_told((fault, diagnosis): &Judged<'_>) -> String {
    match diagnosis {
        Some(_) => format!("{} was named", fault.subject),
        None => format!("{} was at fault, and no diagnosis that counts names it", fault.subject),
    }
}

fn fault_told((fault, diagnosis): &Judged<'_>) -> String {
    match diagnosis {
        Some((_, true)) => format!("{}, as diagnosed", told(fault)),
        Some((said, false)) => format!("diagnosed: {}; it was: {}", told(&said.fault), told(fault)),
        None => format!("it was: {}", told(fault)),
    }
}
