//! Keys and canonical bytes of switching and protective devices.

use super::contactor::{contacts, write_contacts};
use super::overload::dial;
use super::{Reader, Table, mega, numbers};
use sealin_core::canon::Writer;
use sealin_core::part::{Protection, Switchgear};

/// Number of the word `motor`.
const MOTOR: usize = 6;

pub(super) fn switchgear<'t>(r: &mut Reader<'t>, t: &mut Table<'_, 't>) -> Switchgear {
    let poles = r.number(t, "poles", 1..=3) as u8;
    let words = ["none", "fuse gG", "fuse F", "breaker B", "breaker C", "breaker D", "motor"];
    let word = r.word(t, "protection", &words);
    let rated_ma = if matches!(word, 0 | MOTOR) { 0 } else { mega(r, t, "rated_ma") };
    // Upper limit of the instantaneous range by characteristic: IEC 60898-1.
    let protection = match word {
        0 => Protection::None,
        1 => Protection::FuseGg { rated_ma },
        2 => Protection::FuseFast { rated_ma },
        3 => Protection::Breaker { rated_ma, magnetic: 5 },
        4 => Protection::Breaker { rated_ma, magnetic: 10 },
        MOTOR => {
            let [dial_ma, dial_min_ma, dial_max_ma] = dial(r, t);
            Protection::Motor { dial_ma, dial_min_ma, dial_max_ma }
        }
        _ => Protection::Breaker { rated_ma, magnetic: 20 },
    };
    let place = t.place("auxiliaries");
    let auxiliaries = contacts(r, t, "auxiliaries", Vec::new(), false);
    if auxiliaries.iter().any(|a| a.function.special()) && !protection.opens_all_poles() {
        r.wrong(&place, "only a breaker has a contact that signals a trip, such as 57-58");
    }
    Switchgear { poles, protection, auxiliaries }
}

pub(super) fn write_switchgear(w: &mut Writer, x: &Switchgear) {
    numbers(w, 1, &[u32::from(x.poles)]);
    match x.protection {
        Protection::None => numbers(w, 0, &[]),
        Protection::FuseGg { rated_ma } => numbers(w, 1, &[rated_ma]),
        Protection::FuseFast { rated_ma } => numbers(w, 2, &[rated_ma]),
        Protection::Breaker { rated_ma, magnetic } => numbers(w, 3, &[rated_ma, u32::from(magnetic)]),
        Protection::Motor { dial_ma, dial_min_ma, dial_max_ma } => {
            numbers(w, 4, &[dial_ma, dial_min_ma, dial_max_ma]);
        }
    }
    if !x.auxiliaries.is_empty() {
        w.str("auxiliaries");
        write_contacts(w, &x.auxiliaries);
    }
}
