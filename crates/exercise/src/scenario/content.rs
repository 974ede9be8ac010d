//! Canonical bytes of a scenario: what it means, whatever the file looks like.

use super::{Scenario, Trial};
use crate::attempt::write_conductor;
use sealin_core::canon::{Hash, Writer};
use sealin_core::part::{Group, Kind, Part, Protection};

/// Hash of all that the scenario says, fields in order.
pub(super) fn hash(s: &Scenario) -> Hash {
    let mut w = Writer::new("sealin scenario 1");
    let w = &mut w;
    w.u64(u64::from(s.version)).str(&s.id).str(&s.title).str(&s.site).str(&s.machine);
    w.u64(u64::from(s.level)).u64(u64::from(s.minutes));
    list(w, &s.sheets, |w, name| {
        w.str(name);
    });
    w.str(&s.language).str(&s.symbols).str(s.region.word()).str(&s.brief_markdown);
    list(w, &s.cautions, |w, text| {
        w.str(text);
    });
    list(w, &s.parts, |w, p| part(w, p, s));
    list(w, &s.given, write_conductor);
    list(w, &s.cables, |w, cable| {
        w.str(&cable.tag);
        list(w, &cable.cores, |w, (id, core)| {
            w.str(id).str(core);
        });
    });
    w.u64(s.conductor_notes.len() as u64);
    for (id, note) in &s.conductor_notes {
        w.str(id).str(note);
    }
    w.u64(u64::from(s.new_conductor.section_mm2_x100)).str(s.new_conductor.colour.word());
    list(w, &s.todo, |w, t| {
        w.str(&t.number).str(&t.from.to_string()).str(&t.purpose);
    });
    list(w, &s.names, |w, row| {
        w.str(&row.address).str(&row.name).str(&row.terminal).str(&row.device).str(&row.comment);
    });
    w.str(&s.program);
    list(w, &s.requirements, |w, q| {
        w.str(&q.id).str(&q.text).u64(u64::from(q.marks)).bool(q.must);
        list(w, &q.formulas, |w, f| {
            w.str(&f.verdict.to_string());
        });
        list(w, &q.trials, trial);
    });
    w.u64(u64::from(s.pass_marks));
    list(w, &s.matrix.effects, |w, text| {
        w.str(text);
    });
    list(w, &s.matrix.rows, |w, row| {
        w.str(&row.cause);
        list(w, &row.effects, |w, text| {
            w.str(text);
        });
        w.str(&row.requirements);
    });
    w.finish()
}

fn list<T>(w: &mut Writer, all: &[T], one: impl Fn(&mut Writer, &T)) {
    w.u64(all.len() as u64);
    for item in all {
        one(w, item);
    }
}

/// Scripts count by their steps: comments and spacing in them mean nothing.
fn trial(w: &mut Writer, t: &Trial) {
    w.str(&t.name).str(&t.script.to_string());
}

fn part(w: &mut Writer, p: &Part, s: &Scenario) {
    w.str(&p.tag).str(&p.function).u64(p.place as u64);
    kind(w, &p.kind);
    if let Some(label) = s.label(&p.tag) {
        w.str(&label.rating).str(&label.why).u64(u64::from(label.rail)).u64(u64::from(label.order));
    }
}

fn kind(w: &mut Writer, kind: &Kind) {
    let all = |w: &mut Writer, label: u64, values: &[u32]| {
        w.u64(label);
        values.iter().for_each(|&v| {
            w.u64(u64::from(v));
        });
    };
    match kind {
        Kind::Supply(x) => all(w, 0, &[x.line_voltage_mv, x.frequency_mhz, x.fault_current_ma]),
        Kind::Switchgear(x) => {
            all(w, 1, &[u32::from(x.poles)]);
            match x.protection {
                Protection::None => all(w, 0, &[]),
                Protection::FuseGg { rated_ma } => all(w, 1, &[rated_ma]),
                Protection::FuseFast { rated_ma } => all(w, 2, &[rated_ma]),
                Protection::Breaker { rated_ma, magnetic } => all(w, 3, &[rated_ma, u32::from(magnetic)]),
            }
        }
        Kind::Contactor(x) => {
            all(w, 2, &[x.coil_mv, x.inrush_mva, x.sealed_mva, u32::from(x.mirror)]);
            w.str(x.interlocked_with.as_deref().unwrap_or(""));
            let d = x.delays;
            for ms in [d.break_open_ms, d.main_close_ms, d.main_open_ms, d.break_close_ms] {
                w.u64(u64::from(ms));
            }
        }
        Kind::Overload(x) => {
            let sensitive = u32::from(x.phase_loss_sensitive);
            all(w, 3, &[x.class as u32, x.dial_ma, x.dial_min_ma, x.dial_max_ma, sensitive]);
        }
        Kind::Transformer(x) => {
            all(w, 4, &[x.primary_mv, x.secondary_mv, x.rated_mva, u32::from(x.impedance_permille)]);
        }
        Kind::DcSupply(x) => {
            let times = [u32::from(x.hold_up_ms), u32::from(x.start_up_ms)];
            all(w, 5, &[x.input_mv, x.output_mv, x.limit_ma, times[0], times[1]]);
        }
        Kind::Controller(x) => {
            let times = [u32::from(x.scan_ms), u32::from(x.filter_ms), u32::from(x.start_up_ms)];
            all(w, 6, &times);
            list(w, &x.inputs, group);
            list(w, &x.outputs, group);
        }
        Kind::Button(x) => all(w, 7, &[x.form as u32, x.colour as u32]),
        Kind::Lamp(x) => all(w, 8, &[x.rated_mv, x.resistance_mohm, x.colour as u32]),
        Kind::Motor(x) => {
            all(w, 9, &[x.model as u32, x.rated_ma, x.load_inertia_kgmm2, x.load_friction_mnm]);
        }
        Kind::Strip(x) => {
            all(w, 10, &[]);
            let texts = |w: &mut Writer, names: &[String]| {
                list(w, names, |w, name| {
                    w.str(name);
                });
            };
            texts(w, &x.terminals);
            list(w, &x.bridges, |w, bridge| texts(w, bridge));
        }
    }
}

fn group(w: &mut Writer, g: &Group) {
    w.str(&g.common);
    list(w, &g.channels, |w, name| {
        w.str(name);
    });
}
