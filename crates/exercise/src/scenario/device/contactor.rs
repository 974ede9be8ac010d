//! Keys and canonical bytes of contactors, relays and timer relays.

use super::{MOST_TAG_BYTES, Reader, Table, list, mega, numbers};
use sealin_core::canon::Writer;
use sealin_core::part::{
    ArmatureDelays, AuxFunction, Auxiliary, Coil, CoilCurrent, Contactor, RELAY_DELAYS, Relay, Suppressor,
    TimerFunction, Timing,
};

/// Most auxiliary contacts of one device: sequence digits 1 to 9.
const MOST_CONTACTS: usize = 9;

const CURRENTS: [&str; 2] = ["AC", "DC"];
const SUPPRESSORS: [&str; 4] = ["none", "RC", "varistor", "diode"];

pub(super) fn contactor<'t>(r: &mut Reader<'t>, t: &mut Table<'_, 't>) -> Contactor {
    let usual = Contactor::default();
    let delays = delays(r, t, usual.delays);
    let other = r.text_or_empty(t, "interlocked_with", MOST_TAG_BYTES);
    let poles = r.number_or(t, "poles", 0..=3, 3) as u8;
    if poles != 0 && poles != 3 {
        let at = t.place("poles");
        r.wrong(&at, "`poles`: 3 or 0 (a contactor relay) is expected");
    }
    Contactor {
        coil: coil(r, t),
        poles,
        rated_ma: r.number_or(t, "rated_ma", 1_000..=1_000_000, u64::from(usual.rated_ma)) as u32,
        auxiliaries: contacts(r, t, "auxiliaries", usual.auxiliaries, false),
        mirror: r.flag(t, "mirror"),
        linked: r.flag(t, "linked"),
        interlocked_with: (!other.is_empty()).then_some(other),
        delays,
        bounce_ms: bounce(r, t),
    }
}

pub(super) fn relay<'t>(r: &mut Reader<'t>, t: &mut Table<'_, 't>, timer: bool) -> Relay {
    let timing = timer.then(|| Timing {
        function: [TimerFunction::OnDelay, TimerFunction::OffDelay][r.word(t, "delay", &["on", "off"])],
        setting_ms: r.number(t, "time_ms", 50..=3_600_000) as u32,
    });
    Relay {
        coil: coil(r, t),
        contacts: contacts(r, t, "contacts", Relay::usual_contacts(timer), timer),
        linked: r.flag(t, "linked"),
        delays: delays(r, t, RELAY_DELAYS),
        bounce_ms: bounce(r, t),
        timing,
    }
}

fn delays<'t>(r: &mut Reader<'t>, t: &mut Table<'_, 't>, typical: ArmatureDelays) -> ArmatureDelays {
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
    delays
}

/// Bounce of 1 to 3 ms is typical; what is declared is what happens.
fn bounce<'t>(r: &mut Reader<'t>, t: &mut Table<'_, 't>) -> u8 {
    r.number_or(t, "bounce_ms", 0..=10, 0) as u8
}

fn coil<'t>(r: &mut Reader<'t>, t: &mut Table<'_, 't>) -> Coil {
    let current = [CoilCurrent::Ac, CoilCurrent::Dc][r.word_or_first(t, "coil_current", &CURRENTS)];
    let all = [Suppressor::None, Suppressor::Rc, Suppressor::Varistor, Suppressor::Diode];
    let suppressor = all[r.word_or_first(t, "suppressor", &SUPPRESSORS)];
    if suppressor == Suppressor::Diode && current == CoilCurrent::Ac {
        let at = t.place("suppressor");
        r.wrong(
            &at,
            "`suppressor`: a diode across an AC coil is a short circuit; RC or varistor is expected",
        );
    }
    let sealed_mva = mega(r, t, "sealed_mva");
    // A DC coil draws the same power with its armature out and in.
    let inrush_mva = if current == CoilCurrent::Ac { mega(r, t, "inrush_mva") } else { sealed_mva };
    let (pick_up, drop_out) = current.typical_limits();
    let least = u64::from(current.least_drop_out());
    let pick_up_percent = r.number_or(t, "pick_up_percent", 30..=85, u64::from(pick_up)) as u8;
    let drop_out_percent = r.number_or(t, "drop_out_percent", least..=75, u64::from(drop_out)) as u8;
    if drop_out_percent >= pick_up_percent {
        let at = t.place("drop_out_percent");
        r.wrong(&at, "`drop_out_percent` must be below `pick_up_percent`");
    }
    let rated_mv = mega(r, t, "coil_mv");
    Coil { rated_mv, current, inrush_mva, sealed_mva, suppressor, pick_up_percent, drop_out_percent }
}

pub(super) fn contacts<'t>(
    r: &mut Reader<'t>,
    t: &mut Table<'_, 't>,
    key: &'static str,
    usual: Vec<Auxiliary>,
    timer: bool,
) -> Vec<Auxiliary> {
    if !t.has(key) {
        return usual;
    }
    let mut all = Vec::new();
    for (text, at) in r.texts(t, key, MOST_CONTACTS, 12) {
        match Auxiliary::parse(&text) {
            Ok(a) if a.function == AuxFunction::SpecialChangeover && !timer => {
                r.wrong(&at, format!("`{text}`: a timed changeover contact belongs to a timer relay"));
            }
            Ok(a) => all.push(a),
            Err(message) => r.wrong(&at, message),
        }
    }
    if let Some(number) = Auxiliary::shared(&all) {
        let at = t.place(key);
        r.wrong(&at, format!("`{key}`: terminal {number} is given to two contacts"));
    }
    all
}

pub(super) fn write_contactor(w: &mut Writer, x: &Contactor) {
    let usual = Contactor::default();
    let (c, d) = (&x.coil, x.delays);
    let plain = Coil::ac(c.rated_mv, c.inrush_mva, c.sealed_mva) == *c
        && (x.poles, x.rated_ma, x.linked, x.bounce_ms) == (usual.poles, usual.rated_ma, false, 0)
        && x.auxiliaries == usual.auxiliaries;
    // Kind 102 carries the keys that came after the first scenarios; without them kind 2 counts as it always did.
    numbers(w, if plain { 2 } else { 102 }, &[c.rated_mv, c.inrush_mva, c.sealed_mva, u32::from(x.mirror)]);
    w.str(x.interlocked_with.as_deref().unwrap_or(""));
    write_delays(w, d);
    if !plain {
        write_coil(w, c);
        w.u64(u64::from(x.poles)).u64(u64::from(x.rated_ma)).bool(x.linked).u64(u64::from(x.bounce_ms));
        write_contacts(w, &x.auxiliaries);
    }
}

pub(super) fn write_relay(w: &mut Writer, x: &Relay) {
    let c = &x.coil;
    numbers(w, 103, &[c.rated_mv, c.inrush_mva, c.sealed_mva]);
    write_coil(w, c);
    write_delays(w, x.delays);
    w.bool(x.linked).u64(u64::from(x.bounce_ms));
    write_contacts(w, &x.contacts);
    match x.timing {
        Some(t) => w.u64(1 + t.function as u64).u64(u64::from(t.setting_ms)),
        None => w.u64(0),
    };
}

fn write_coil(w: &mut Writer, c: &Coil) {
    w.u64(c.current as u64).u64(c.suppressor as u64);
    w.u64(u64::from(c.pick_up_percent)).u64(u64::from(c.drop_out_percent));
}

fn write_delays(w: &mut Writer, d: ArmatureDelays) {
    for ms in [d.break_open_ms, d.main_close_ms, d.main_open_ms, d.break_close_ms] {
        w.u64(u64::from(ms));
    }
}

pub(super) fn write_contacts(w: &mut Writer, all: &[Auxiliary]) {
    list(w, all, |w, a| {
        w.str(&a.to_string());
    });
}
