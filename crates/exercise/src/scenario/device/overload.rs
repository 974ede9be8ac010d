//! Keys and canonical bytes of overload relays.

use super::{Reader, Table, mega, numbers};
use sealin_core::canon::Writer;
use sealin_core::part::{Overload, Reset, TripClass};

pub(super) fn overload<'t>(r: &mut Reader<'t>, t: &mut Table<'_, 't>) -> Overload {
    let classes = [TripClass::C5, TripClass::C10A, TripClass::C10, TripClass::C20, TripClass::C30];
    let class = classes[r.word(t, "class", &["5", "10A", "10", "20", "30"])];
    let [dial_ma, dial_min_ma, dial_max_ma] = dial(r, t);
    Overload {
        class,
        dial_ma,
        dial_min_ma,
        dial_max_ma,
        phase_loss_sensitive: r.flag(t, "phase_loss_sensitive"),
        reset: [Reset::Manual, Reset::Automatic][r.word_or_first(t, "reset", &["manual", "automatic"])],
        uncompensated_at_c: ambient(r, t),
    }
}

/// A dial within its range: where it stands, its lowest and its highest value, mA.
pub(super) fn dial<'t>(r: &mut Reader<'t>, t: &mut Table<'_, 't>) -> [u32; 3] {
    let [dial, least, most] = ["dial_ma", "dial_min_ma", "dial_max_ma"].map(|key| mega(r, t, key));
    if !(least..=most).contains(&dial) && !r.has_problems() {
        let at = t.place("dial_ma");
        r.wrong(&at, format!("a dial from {least} to {most} mA is expected"));
    }
    [dial, least, most]
}

/// Ambient temperature of a relay that is not compensated for it; the range is that of IEC 60947-4-1.
fn ambient<'t>(r: &mut Reader<'t>, t: &mut Table<'_, 't>) -> Option<i8> {
    const KEY: &str = "uncompensated_at_c";
    let value = t.take(KEY)?;
    let read = value.get_ref().as_integer().and_then(|n| i8::from_str_radix(n.as_str(), n.radix()).ok());
    let read = read.filter(|celsius| (-5..=40).contains(celsius));
    if read.is_none() {
        r.wrong(&value.span(), format!("`{KEY}`: whole degrees Celsius from -5 to 40 are expected"));
    }
    read
}

pub(super) fn write_overload(w: &mut Writer, x: &Overload) {
    let sensitive = u32::from(x.phase_loss_sensitive);
    numbers(w, 3, &[x.class as u32, x.dial_ma, x.dial_min_ma, x.dial_max_ma, sensitive]);
    if x.reset != Reset::Manual {
        w.str("reset").u64(x.reset as u64);
    }
    if let Some(celsius) = x.uncompensated_at_c {
        w.str("uncompensated").i64(i64::from(celsius));
    }
}
