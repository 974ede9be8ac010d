//! The fault table in words.

use crate::sheets::faults::words as fault;
use crate::sheets::signoff::words::with_names;
use crate::store::fault_table::{By, Came, Entry, FaultRow, Kind, Sighting};
use crate::store::model::{Conductor, IoRow};
use crate::t;
use crate::text::quantity::milliseconds;

/// A kind of fault.
pub fn kind(kind: Kind) -> &'static str {
    match kind {
        Kind::Conductor => t!("table-kind-conductor"),
        Kind::Wiring => t!("table-kind-wiring"),
        Kind::StuckOpen => t!("table-kind-stuck-open"),
        Kind::StuckClosed => t!("table-kind-stuck-closed"),
        Kind::Dirty => t!("table-kind-dirty"),
        Kind::Welded => t!("table-kind-welded"),
        Kind::Coil => t!("table-kind-coil"),
        Kind::Interlock => t!("table-kind-interlock"),
        Kind::Protection => t!("table-kind-protection"),
        Kind::Controller => t!("table-kind-controller"),
        Kind::Operated => t!("table-kind-operated"),
        Kind::Supply => t!("table-kind-supply"),
        Kind::Motor => t!("table-kind-motor"),
        Kind::Intermittent => t!("table-kind-intermittent"),
    }
}

/// What a row has come to.
pub fn came(came: Came) -> &'static str {
    match came {
        Came::Kept => t!("table-came-kept"),
        Came::Broken => t!("table-came-broken"),
        Came::Open => t!("table-came-open"),
        Came::NotComputed => t!("table-came-not-computed"),
    }
}

/// Who notices.
pub fn by(by: By) -> &'static str {
    match by {
        By::Program => t!("table-by-program"),
        By::Person => t!("table-by-person"),
        By::Nobody => t!("table-by-nobody"),
    }
}

/// The fault with its place: `QA1: 13-14 never opens`.
pub fn whole(entry: &Entry, conductors: &[Conductor]) -> String {
    format!("{}: {}", fault::place(&entry.fault, conductors), entry.fault.said())
}

/// What shows: `PF1 dark`, `MA1 stands still`, or the alarm by its name in the I/O list.
pub fn sign(seen: &Sighting, names: &[IoRow]) -> String {
    let Some((part, what)) = seen.signal.rsplit_once('.') else { return with_names(&seen.signal, names) };
    match (what, seen.on) {
        ("lit", true) => t!("table-lit", part = part),
        ("lit", false) => t!("table-dark", part = part),
        ("fed", true) => t!("table-fed", part = part),
        ("fed", false) => t!("table-not-fed", part = part),
        ("turning", true) => t!("table-turns", part = part),
        ("turning", false) => t!("table-still", part = part),
        ("clockwise", true) => t!("table-clockwise", part = part),
        ("clockwise", false) => t!("table-not-clockwise", part = part),
        ("counterclockwise", true) => t!("table-counterclockwise", part = part),
        ("counterclockwise", false) => t!("table-not-counterclockwise", part = part),
        _ => with_names(&seen.signal, names),
    }
}

/// What shows, and where: `PF1 dark, 2.1 s into “tripped at rest”`; or that nothing does.
pub fn sighting(seen: Option<&Sighting>, names: &[IoRow]) -> String {
    let Some(seen) = seen else { return t!("table-not-noticed").to_string() };
    t!("table-in-trial", what = sign(seen, names), time = milliseconds(seen.tick), trial = seen.trial)
}

/// What shows to the program, or why nothing can.
pub fn by_program(row: &FaultRow, names: &[IoRow]) -> String {
    if row.alarms { sighting(row.by_program.as_ref(), names) } else { t!("table-no-alarm").to_string() }
}
