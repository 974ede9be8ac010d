//! Keys and canonical bytes of terminal strips.

use super::{MOST_TAG_BYTES, MOST_TERMINALS, Reader, Table, list, numbers};
use sealin_core::canon::Writer;
use sealin_core::part::Strip;

pub(super) fn strip<'t>(r: &mut Reader<'t>, t: &mut Table<'_, 't>) -> Strip {
    let names = r.texts(t, "terminals", MOST_TERMINALS, MOST_TAG_BYTES);
    let terminals: Vec<String> = names.iter().map(|(name, _)| name.clone()).collect();
    for (i, (name, at)) in names.iter().enumerate() {
        if name.is_empty() || name.contains(':') || terminals[..i].contains(name) {
            r.wrong(at, format!("`{name}`: a terminal name of its own, without a colon, is expected"));
        }
    }
    if names.is_empty() {
        let at = t.place("terminals");
        r.wrong(&at, "`terminals`: at least one terminal is expected");
    }
    let mut bridges = Vec::new();
    for row in r.rows(t, "bridges", 2..=MOST_TERMINALS, MOST_TERMINALS) {
        for (name, at) in &row.cells {
            if !terminals.contains(name) {
                r.wrong(at, format!("`{name}` is no terminal of this strip"));
            }
        }
        bridges.push(row.cells.into_iter().map(|(name, _)| name).collect());
    }
    Strip { terminals, bridges }
}

pub(super) fn write_strip(w: &mut Writer, x: &Strip) {
    numbers(w, 10, &[]);
    let texts = |w: &mut Writer, names: &[String]| {
        list(w, names, |w, name| {
            w.str(name);
        });
    };
    texts(w, &x.terminals);
    list(w, &x.bridges, |w, bridge| texts(w, bridge));
}
