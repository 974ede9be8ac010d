//! Keys and canonical bytes of contactors.

use super::{MOST_TAG_BYTES, Reader, Table, mega, numbers};
use sealin_core::canon::Writer;
use sealin_core::part::{ArmatureDelays, Contactor};

pub(super) fn contactor<'t>(r: &mut Reader<'t>, t: &mut Table<'_, 't>) -> Contactor {
    let typical = ArmatureDelays::default();
    let mut delay = |key, otherwise: u8| r.number_or(t, key, 1..=100, u64::from(otherwise)) as u8;
    let delays = ArmatureDelays {
        break_open_ms: delay("break_open_ms", typical.break_open_ms),
        main_close_ms: delay("main_close_ms", typical.main_close_ms),
        main_open_ms: delay("main_open_ms", typical.main_open_ms),
        break_close_ms: delay("break_close_ms", typical.break_close_ms),
    };
    if delays.main_close_ms <= delays.break_open_ms {
        let at = t.place("main_close_ms");
        r.wrong(&at, "`main_close_ms` must be above `break_open_ms`: break contacts open first");
    }
    let other = r.text_or_empty(t, "interlocked_with", MOST_TAG_BYTES);
    Contactor {
        coil_mv: mega(r, t, "coil_mv"),
        inrush_mva: mega(r, t, "inrush_mva"),
        sealed_mva: mega(r, t, "sealed_mva"),
        mirror: r.flag(t, "mirror"),
        interlocked_with: (!other.is_empty()).then_some(other),
        delays,
    }
}

pub(super) fn write_contactor(w: &mut Writer, x: &Contactor) {
    numbers(w, 2, &[x.coil_mv, x.inrush_mva, x.sealed_mva, u32::from(x.mirror)]);
    w.str(x.interlocked_with.as_deref().unwrap_or(""));
    let d = x.delays;
    for ms in [d.break_open_ms, d.main_close_ms, d.main_open_ms, d.break_close_ms] {
        w.u64(u64::from(ms));
    }
}
