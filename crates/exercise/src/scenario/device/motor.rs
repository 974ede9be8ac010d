//! Keys and canonical bytes of motors.

use super::{Reader, Table, mega, numbers};
use sealin_core::canon::Writer;
use sealin_core::part::{Motor, MotorModel};

pub(super) fn motor<'t>(r: &mut Reader<'t>, t: &mut Table<'_, 't>) -> Motor {
    Motor {
        model: [MotorModel::Kw4At400V, MotorModel::Hp5At460V]
            [r.word(t, "model", &["4 kW 400 V 50 Hz", "5 hp 460 V 60 Hz"])],
        rated_ma: mega(r, t, "rated_ma"),
        load_inertia_kgmm2: r.number(t, "load_inertia_kgmm2", 0..=100_000_000) as u32,
        load_friction_mnm: r.number(t, "load_friction_mnm", 0..=1_000_000) as u32,
    }
}

pub(super) fn write_motor(w: &mut Writer, x: &Motor) {
    numbers(w, 9, &[x.model as u32, x.rated_ma, x.load_inertia_kgmm2, x.load_friction_mnm]);
}
