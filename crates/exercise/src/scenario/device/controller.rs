//! Keys and canonical bytes of controllers.

use super::{MOST_TERMINALS, Reader, Table, list, numbers};
use sealin_core::canon::Writer;
use sealin_core::part::{Controller, Group};

pub(super) fn controller<'t>(r: &mut Reader<'t>, t: &mut Table<'_, 't>) -> Controller {
    Controller {
        inputs: groups(r, t, "inputs"),
        outputs: groups(r, t, "outputs"),
        scan_ms: r.number(t, "scan_ms", 1..=100) as u8,
        filter_ms: r.number(t, "filter_ms", 0..=100) as u8,
        start_up_ms: r.number(t, "start_up_ms", 0..=60_000) as u16,
    }
}

/// Groups of channels, each a row that begins with its common.
fn groups<'t>(r: &mut Reader<'t>, t: &mut Table<'_, 't>, key: &'static str) -> Vec<Group> {
    let mut all = Vec::new();
    for row in r.rows(t, key, 2..=MOST_TERMINALS, 16) {
        let mut names = row.cells.into_iter().map(|(name, _)| name);
        let common = names.next().unwrap_or_default();
        all.push(Group { common, channels: names.collect() });
    }
    all
}

pub(super) fn write_controller(w: &mut Writer, x: &Controller) {
    let times = [u32::from(x.scan_ms), u32::from(x.filter_ms), u32::from(x.start_up_ms)];
    numbers(w, 6, &times);
    list(w, &x.inputs, group);
    list(w, &x.outputs, group);
}

fn group(w: &mut Writer, g: &Group) {
    w.str(&g.common);
    list(w, &g.channels, |w, name| {
        w.str(name);
    });
}
