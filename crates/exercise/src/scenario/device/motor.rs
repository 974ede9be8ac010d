//! Keys and canonical bytes of motors and of what they turn.

use super::{MACHINE_FOLLOWS, Reader, Table, mega, numbers};
use sealin_core::canon::Writer;
use sealin_core::part::{Machine, Motor, MotorFigures, MotorModel, Travel};

/// Longest way, µm: 1 km.
const MOST_UM: u64 = 1_000_000_000;

/// The machine may be a type of its own, named by `machine`; without any the shaft is bare.
pub(super) fn motor<'t>(r: &mut Reader<'t>, t: &mut Table<'_, 't>) -> Motor {
    r.type_of(t, "machine", "machine");
    Motor {
        model: model(r, t),
        rated_ma: mega(r, t, "rated_ma"),
        load_inertia_kgmm2: r.number_or(t, "load_inertia_kgmm2", 0..=100_000_000, 0) as u32,
        load_friction_mnm: r.number_or(t, "load_friction_mnm", 0..=1_000_000, 0) as u32,
        machine: machine(r, t),
    }
}

/// One of two by its name, or the figures of another.
fn model<'t>(r: &mut Reader<'t>, t: &mut Table<'_, 't>) -> MotorModel {
    if !t.has("r1_mohm") {
        let named = [MotorModel::Kw4At400V, MotorModel::Hp5At460V];
        return named[r.word(t, "model", &["4 kW 400 V 50 Hz", "5 hp 460 V 60 Hz"])];
    }
    let inertia_kgmm2 = r.number(t, "inertia_kgmm2", 1..=100_000_000) as u32;
    let deep_bar_permille = r.number(t, "deep_bar_permille", 0..=5_000) as u32;
    let saturation_permille = r.number(t, "saturation_permille", 0..=900) as u32;
    let mut ohm = |key| mega(r, t, key);
    let [r1_mohm, x1_mohm, r2_mohm, x2_mohm, xm_mohm, rfe_mohm] =
        ["r1_mohm", "x1_mohm", "r2_mohm", "x2_mohm", "xm_mohm", "rfe_mohm"].map(&mut ohm);
    MotorModel::Figures(MotorFigures {
        power_w: r.number(t, "power_w", 1..=1_000_000) as u32,
        rated_mv: mega(r, t, "rated_mv"),
        frequency_mhz: r.number(t, "frequency_mhz", 1_000..=1_000_000) as u32,
        pole_pairs: r.number(t, "pole_pairs", 1..=12) as u32,
        r1_mohm,
        x1_mohm,
        r2_mohm,
        x2_mohm,
        xm_mohm,
        rfe_mohm,
        deep_bar_permille,
        saturation_permille,
        inertia_kgmm2,
        friction_mw: mega(r, t, "friction_mw"),
    })
}

/// Everything may be missing; a way begins with `um_per_turn`, or with `drum_mm`, the diameter of a drum, and
/// `gear_permille`, turns of the motor in a thousand turns of the drum.
fn machine<'t>(r: &mut Reader<'t>, t: &mut Table<'_, 't>) -> Machine {
    let mass_kg = r.number_or(t, "mass_kg", 0..=1_000_000, 0) as u32;
    // Without a mass the rise means nothing.
    let rise = if mass_kg > 0 { 1000 } else { 0 };
    Machine {
        load_fan_mnm: r.number_or(t, "load_fan_mnm", 0..=1_000_000, 0) as u32,
        mass_kg,
        rise_permille: r.number_or(t, "rise_permille", 0..=1000, rise) as u16,
        travel: travel(r, t, mass_kg > 0),
    }
}

fn travel<'t>(r: &mut Reader<'t>, t: &mut Table<'_, 't>, has_mass: bool) -> Option<Travel> {
    let (drum_at, given_at) = (t.place("drum_mm"), t.place("um_per_turn"));
    let drum_mm = r.number_or(t, "drum_mm", 1..=10_000, 0);
    let given = r.number_or(t, "um_per_turn", 1..=10_000_000, 0);
    let um_per_turn = if drum_mm > 0 {
        if given > 0 {
            r.wrong(&given_at, "`um_per_turn` follows from `drum_mm` and `gear_permille`; leave one out");
        }
        let gear = r.number_or(t, "gear_permille", 1..=10_000_000, 1000);
        let um = (std::f64::consts::PI * drum_mm as f64 * 1e6 / gear as f64 + 0.5) as u64;
        if um == 0 {
            r.wrong(&drum_at, "drum and gear give less than 1 µm a turn of the motor");
        }
        um
    } else {
        given
    };
    if um_per_turn == 0 {
        if has_mass {
            let at = t.place("mass_kg");
            r.wrong(
                &at,
                "a mass needs a way along which it moves: `um_per_turn`, or `drum_mm` and `gear_permille`",
            );
        }
        return None;
    }
    let start_at = t.place("start_um");
    let clockwise_lowers = r.flag(t, "clockwise_lowers");
    let start_um = r.number_or(t, "start_um", 0..=MOST_UM, 0) as u32;
    let mut stop = |key| {
        let some = r.number_or(t, key, 0..=MOST_UM, u64::MAX);
        (some != u64::MAX).then_some(some as u32)
    };
    let (least_um, most_um) = (stop("least_um"), stop("most_um"));
    let (least, most) = (least_um.unwrap_or(0), most_um.unwrap_or(u32::MAX));
    if least >= most || !(least..=most).contains(&start_um) {
        r.wrong(
            &start_at,
            "`start_um` must lie between the end stops `least_um` and `most_um`, the lower one first",
        );
    }
    Some(Travel { um_per_turn: um_per_turn as u32, clockwise_lowers, start_um, least_um, most_um })
}

pub(super) fn write_motor(w: &mut Writer, x: &Motor) {
    // The two that are known by name count by their number; the others by 2 and their figures.
    let number = match x.model {
        MotorModel::Kw4At400V => 0,
        MotorModel::Hp5At460V => 1,
        MotorModel::Figures(_) => 2,
    };
    numbers(w, 9, &[number, x.rated_ma, x.load_inertia_kgmm2, x.load_friction_mnm]);
    if let MotorModel::Figures(f) = &x.model {
        for figure in [f.power_w, f.rated_mv, f.frequency_mhz, f.pole_pairs, f.r1_mohm, f.x1_mohm, f.r2_mohm]
        {
            w.u64(u64::from(figure));
        }
        for figure in [f.x2_mohm, f.xm_mohm, f.rfe_mohm, f.deep_bar_permille, f.saturation_permille] {
            w.u64(u64::from(figure));
        }
        w.u64(u64::from(f.inertia_kgmm2)).u64(u64::from(f.friction_mw));
    }
    let machine = &x.machine;
    if *machine == Machine::default() {
        return;
    }
    let rise = u32::from(machine.rise_permille);
    numbers(w, MACHINE_FOLLOWS, &[machine.load_fan_mnm, machine.mass_kg, rise]);
    w.bool(machine.travel.is_some());
    if let Some(t) = &machine.travel {
        w.u64(u64::from(t.um_per_turn)).bool(t.clockwise_lowers).u64(u64::from(t.start_um));
        for stop in [t.least_um, t.most_um] {
            w.bool(stop.is_some()).u64(u64::from(stop.unwrap_or(0)));
        }
    }
}
