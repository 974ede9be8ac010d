//! Keys and canonical bytes of brakes.

use super::{MOST_TAG_BYTES, Reader, Table, mega, numbers};
use sealin_core::canon::Writer;
use sealin_core::part::Brake;

pub(super) fn brake<'t>(r: &mut Reader<'t>, t: &mut Table<'_, 't>) -> Brake {
    Brake {
        motor: r.text(t, "motor", MOST_TAG_BYTES),
        coil_mv: mega(r, t, "coil_mv"),
        dc: r.word(t, "coil", &["AC", "DC"]) == 1,
        power_mw: mega(r, t, "power_mw"),
        torque_mnm: mega(r, t, "torque_mnm"),
        release_ms: r.number(t, "release_ms", 1..=10_000) as u16,
        apply_ms: r.number(t, "apply_ms", 1..=10_000) as u16,
    }
}

pub(super) fn write_brake(w: &mut Writer, x: &Brake) {
    let times = [u32::from(x.release_ms), u32::from(x.apply_ms)];
    numbers(w, 21, &[x.coil_mv, u32::from(x.dc), x.power_mw, x.torque_mnm, times[0], times[1]]);
    w.str(&x.motor);
}
