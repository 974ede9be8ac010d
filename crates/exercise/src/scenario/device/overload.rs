//! Keys and canonical bytes of overload relays.

use super::{Reader, Table, mega, numbers};
use sealin_core::canon::Writer;
use sealin_core::part::{Overload, TripClass};

pub(super) fn overload<'t>(r: &mut Reader<'t>, t: &mut Table<'_, 't>) -> Overload {
    let classes = [TripClass::C5, TripClass::C10A, TripClass::C10, TripClass::C20, TripClass::C30];
    let made = Overload {
        class: classes[r.word(t, "class", &["5", "10A", "10", "20", "30"])],
        dial_ma: mega(r, t, "dial_ma"),
        dial_min_ma: mega(r, t, "dial_min_ma"),
        dial_max_ma: mega(r, t, "dial_max_ma"),
        phase_loss_sensitive: r.flag(t, "phase_loss_sensitive"),
    };
    if !(made.dial_min_ma..=made.dial_max_ma).contains(&made.dial_ma) && !r.has_problems() {
        let at = t.place("dial_ma");
        r.wrong(&at, format!("a dial from {} to {} mA is expected", made.dial_min_ma, made.dial_max_ma));
    }
    made
}

pub(super) fn write_overload(w: &mut Writer, x: &Overload) {
    let sensitive = u32::from(x.phase_loss_sensitive);
    numbers(w, 3, &[x.class as u32, x.dial_ma, x.dial_min_ma, x.dial_max_ma, sensitive]);
}
