//! Canonical bytes of a scenario: what it means, whatever the file looks like.

use super::device::write_kind;
use super::{Craft, FaultFinding, FindingMarks, Proof, Requirement, Scenario, Trial};
use crate::attempt::write_conductor;
use crate::setting::Adjustment;
use sealin_core::canon::{Hash, Writer};
use sealin_core::part::Part;
use sealin_core::{Conductor, Terminal};

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
    list(w, &s.given, |w, c| {
        let hashed = |t: &Terminal| {
            let name = s.part(&t.part).map_or(t.name.as_str(), |p| p.terminal_hashed(&t.name));
            Terminal::new(&t.part, name)
        };
        write_conductor(w, &Conductor { from: hashed(&c.from), to: hashed(&c.to), ..c.clone() });
    });
    list(w, &s.cables, |w, cable| {
        w.str(&cable.tag);
        list(w, &cable.cores, |w, (id, core)| {
            w.str(id).str(core);
        });
        if cable.length_mm != 0 {
            w.str("length").u64(u64::from(cable.length_mm));
        }
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
        proof(w, "proof", &q.proof);
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
    // A key that came later counts only where it says something, so that other scenarios keep their hash.
    if s.stores {
        w.str("stores");
    }
    if s.example_withheld {
        w.str("example withheld");
    }
    if !s.alarms.is_empty() {
        w.str("alarms");
        list(w, &s.alarms, |w, name| {
            w.str(name);
        });
    }
    write_marking(w, s);
    if let Some((id, hash)) = &s.as_built {
        w.str("as built").str(id).bytes(hash);
    }
    if let Some(finding) = &s.fault_finding {
        write_fault_finding(w, finding);
    }
    proof(w, "harm", &s.harm);
    w.finish()
}

fn proof(w: &mut Writer, word: &str, proof: &Proof) {
    if *proof == Proof::default() {
        return;
    }
    w.str(word);
    list(w, &proof.free, |w, name| {
        w.str(name);
    });
    list(w, &proof.assume, |w, f| {
        w.str(&f.verdict.to_string());
    });
    w.u64(proof.max_states);
    if !proof.faults.is_empty() {
        w.str("faults");
        list(w, &proof.faults, |w, fault| {
            w.str(&fault.to_string());
        });
    }
}

/// A seal counts by its letters: whoever seals anew makes another scenario.
fn write_fault_finding(w: &mut Writer, f: &FaultFinding) {
    w.str("fault finding").str(&f.report).str(f.how.word()).u64(u64::from(f.difficulty));
    list(w, &f.tools, |w, tool| {
        w.str(tool.word());
    });
    let FindingMarks { part, fault, evidence, readings, worth, repaired, shown } = f.marks;
    for marks in [part, fault, evidence, readings, repaired, shown] {
        w.u64(u64::from(marks));
    }
    w.u64(u64::from(f.needed_readings));
    // What came later counts only where it is there.
    if worth > 0 || f.suspects_left > 0 {
        w.str("worth").u64(u64::from(worth)).u64(u64::from(f.suspects_left));
    }
    w.bool(f.look_costs.is_some()).u64(u64::from(f.look_costs.unwrap_or(0)));
    list(w, &f.shown, |w, shown| {
        w.str(&shown.text).str(&shown.when.to_string()).u64(u64::from(shown.for_ms));
    });
    match &f.seal {
        Some(sealed) => {
            w.str("sealed").str(sealed);
        }
        None => list(w, &f.list, |w, hidden| {
            w.str(&hidden.fault.to_string()).u64(u64::from(hidden.difficulty));
        }),
    }
}

/// What came with marks beside the requirements: only what is there counts.
fn write_marking(w: &mut Writer, s: &Scenario) {
    let ids = |has: &dyn Fn(&Requirement) -> bool| -> Vec<&str> {
        s.requirements.iter().filter(|q| has(q)).map(|q| q.id.as_str()).collect()
    };
    for (word, ids) in [("bonus", ids(&|q| q.bonus)), ("partial", ids(&|q| q.partial))] {
        if !ids.is_empty() {
            w.str(word);
            list(w, &ids, |w, id| {
                w.str(id);
            });
        }
    }
    if !s.removable.is_empty() {
        w.str("removable").u64(s.removable.len() as u64);
        for id in &s.removable {
            w.str(id);
        }
    }
    if !s.adjustments.is_empty() {
        w.str("settings").u64(s.adjustments.len() as u64);
        for (tag, adjustment) in &s.adjustments {
            match adjustment {
                Adjustment::Reset => w.str(tag).str("reset"),
                Adjustment::Interlock(other) => w.str(tag).str("interlock").str(other),
            };
        }
    }
    if !s.predictions.is_empty() {
        w.str("predictions");
        list(w, &s.predictions, |w, p| {
            w.str(&p.id).u64(u64::from(p.marks)).str(&p.question).str(p.of.word());
            w.str(&p.script.to_string()).str(&p.why);
            list(w, &p.answers, |w, a| {
                w.str(&a.text).str(&a.script.to_string());
            });
        });
    }
    if !s.hints.is_empty() {
        w.str("hints");
        list(w, &s.hints, |w, h| {
            w.str(&h.id).str(&h.requirements).u64(u64::from(h.costs)).str(&h.text);
        });
    }
    if !s.variants.is_empty() {
        w.str("variants");
        list(w, &s.variants, |w, v| {
            w.str(v.kind.word()).u64(u64::from(v.range.0)).u64(u64::from(v.range.1));
            list(w, &v.among, |w, name| {
                w.str(name);
            });
        });
    }
    if s.craft != Craft::default() {
        let Craft { wiring, program, time, safe_work } = s.craft;
        w.str("craft");
        for marks in [wiring, program, time, safe_work] {
            w.u64(u64::from(marks));
        }
    }
}

pub(super) fn list<T>(w: &mut Writer, all: &[T], one: impl Fn(&mut Writer, &T)) {
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
    write_kind(w, &p.kind);
    if let Some(label) = s.label(&p.tag) {
        w.str(&label.rating).str(&label.why).u64(u64::from(label.rail)).u64(u64::from(label.order));
    }
}
