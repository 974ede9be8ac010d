//! Keys and canonical bytes of position switches.

use super::{MOST_TAG_BYTES, Reader, Table, list, numbers};
use sealin_core::canon::Writer;
use sealin_core::part::{Form, PositionSwitch};

/// Most contacts of one switch.
const MOST_CONTACTS: usize = 4;

/// Highest position, µm: 1 km.
const MOST_UM: u64 = 1_000_000_000;

pub(super) fn position_switch<'t>(r: &mut Reader<'t>, t: &mut Table<'_, 't>) -> PositionSwitch {
    let motor = r.text(t, "motor", MOST_TAG_BYTES);
    let (from_at, contacts_at) = (t.place("from_um"), t.place("contacts"));
    let from_um = r.number(t, "from_um", 0..=MOST_UM) as u32;
    let to_um = r.number(t, "to_um", 0..=MOST_UM) as u32;
    if from_um > to_um && !r.has_problems() {
        r.wrong(&from_at, "`from_um` must not be above `to_um`");
    }
    let mut contacts = Vec::new();
    for (word, at) in r.texts(t, "contacts", MOST_CONTACTS, 5) {
        match word.as_str() {
            "make" => contacts.push(Form::Make),
            "break" => contacts.push(Form::Break),
            _ => r.wrong(&at, format!("`{word}`: make or break is expected")),
        }
    }
    if contacts.is_empty() && !r.has_problems() {
        r.wrong(&contacts_at, "`contacts`: one to four of make and break are expected");
    }
    PositionSwitch { motor, from_um, to_um, contacts, positive_opening: r.flag(t, "positive_opening") }
}

pub(super) fn write_position_switch(w: &mut Writer, x: &PositionSwitch) {
    numbers(w, 20, &[x.from_um, x.to_um, u32::from(x.positive_opening)]);
    w.str(&x.motor);
    list(w, &x.contacts, |w, &form| {
        w.u64(form as u64);
    });
}
