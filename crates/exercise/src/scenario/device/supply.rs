//! Keys and canonical bytes of supplies, control transformers and DC supplies.

use super::{Reader, Table, mega, numbers};
use sealin_core::canon::Writer;
use sealin_core::part::{DcSupply, Supply, Transformer, WindingNames};

pub(super) fn supply<'t>(r: &mut Reader<'t>, t: &mut Table<'_, 't>) -> Supply {
    Supply {
        line_voltage_mv: mega(r, t, "line_voltage_mv"),
        frequency_mhz: mega(r, t, "frequency_mhz"),
        fault_current_ma: mega(r, t, "fault_current_ma"),
        reversed: r.word_or_first(t, "sequence", &["L1 L2 L3", "L1 L3 L2"]) == 1,
    }
}

pub(super) fn write_supply(w: &mut Writer, x: &Supply) {
    numbers(w, 0, &[x.line_voltage_mv, x.frequency_mhz, x.fault_current_ma]);
    if x.reversed {
        w.str("reversed");
    }
}

pub(super) fn transformer<'t>(r: &mut Reader<'t>, t: &mut Table<'_, 't>) -> Transformer {
    Transformer {
        primary_mv: mega(r, t, "primary_mv"),
        secondary_mv: mega(r, t, "secondary_mv"),
        rated_mva: mega(r, t, "rated_mva"),
        impedance_permille: r.number(t, "impedance_permille", 1..=500) as u16,
        names: [WindingNames::Iec, WindingNames::Us][r.word_or_first(t, "terminals", &["IEC", "US"])],
    }
}

pub(super) fn write_transformer(w: &mut Writer, x: &Transformer) {
    numbers(w, 4, &[x.primary_mv, x.secondary_mv, x.rated_mva, u32::from(x.impedance_permille)]);
    if x.names != WindingNames::Iec {
        w.str("names").u64(x.names as u64);
    }
}

pub(super) fn dc_supply<'t>(r: &mut Reader<'t>, t: &mut Table<'_, 't>) -> DcSupply {
    DcSupply {
        input_mv: mega(r, t, "input_mv"),
        output_mv: mega(r, t, "output_mv"),
        limit_ma: mega(r, t, "limit_ma"),
        hold_up_ms: r.number(t, "hold_up_ms", 0..=10_000) as u16,
        start_up_ms: r.number(t, "start_up_ms", 0..=10_000) as u16,
    }
}

pub(super) fn write_dc_supply(w: &mut Writer, x: &DcSupply) {
    let times = [u32::from(x.hold_up_ms), u32::from(x.start_up_ms)];
    numbers(w, 5, &[x.input_mv, x.output_mv, x.limit_ma, times[0], times[1]]);
}
