//! Keys and canonical bytes of controllers.

use super::{MOST_TERMINALS, Reader, Table, list, numbers};
use sealin_core::canon::Writer;
use sealin_core::part::{Controller, Current, Group, InputCircuit, InputType, OutputCircuit};

/// Most groups of inputs, and of outputs.
const MOST_GROUPS: usize = 16;

pub(super) fn controller<'t>(r: &mut Reader<'t>, t: &mut Table<'_, 't>) -> Controller {
    let mut inputs: Vec<Group<InputCircuit>> = groups(r, t, "inputs");
    let types = a_word_each(r, t, "input_types", &["type 3", "type 1"], inputs.len());
    let currents = a_word_each(r, t, "input_currents", &["sinking", "sourcing"], inputs.len());
    for (group, (kind, current)) in inputs.iter_mut().zip(types.into_iter().zip(currents)) {
        group.circuit = InputCircuit {
            kind: [InputType::Type3, InputType::Type1][kind],
            current: [Current::Sinking, Current::Sourcing][current],
        };
    }
    let mut outputs: Vec<Group<OutputCircuit>> = groups(r, t, "outputs");
    let circuits = a_word_each(r, t, "output_circuits", &["relay", "transistor"], outputs.len());
    for (group, circuit) in outputs.iter_mut().zip(circuits) {
        group.circuit = [OutputCircuit::Relay, OutputCircuit::Transistor][circuit];
    }
    Controller {
        inputs,
        outputs,
        scan_ms: r.number(t, "scan_ms", 1..=100) as u8,
        filter_ms: r.number(t, "filter_ms", 0..=100) as u8,
        start_up_ms: r.number(t, "start_up_ms", 0..=60_000) as u16,
        watchdog_ms: r.number_or(t, "watchdog_ms", 1..=10_000, Controller::WATCHDOG_MS.into()) as u16,
        contact_ns: r.number_or(t, "contact_ns", 0..=1_000_000, Controller::CONTACT_NS.into()) as u32,
    }
}

/// Groups of channels, each a row that begins with its common.
fn groups<'t, C: Default>(r: &mut Reader<'t>, t: &mut Table<'_, 't>, key: &'static str) -> Vec<Group<C>> {
    let mut all = Vec::new();
    for row in r.rows(t, key, 2..=MOST_TERMINALS, MOST_GROUPS) {
        let mut names = row.cells.into_iter().map(|(name, _)| name);
        let common = names.next().unwrap_or_default();
        all.push(Group { common, channels: names.collect(), circuit: C::default() });
    }
    all
}

/// One of some words for each group, in their order; missing is the first of them for all. Gives their numbers.
fn a_word_each<'t>(
    r: &mut Reader<'t>,
    t: &mut Table<'_, 't>,
    key: &'static str,
    words: &[&str],
    groups: usize,
) -> Vec<usize> {
    let at = t.place(key);
    let given = r.texts(t, key, MOST_GROUPS, 20);
    if !given.is_empty() && given.len() != groups {
        r.wrong(&at, format!("`{key}`: a word for each of the {groups} groups is expected"));
    }
    let mut numbers = vec![0; groups];
    for ((word, at), number) in given.iter().zip(&mut numbers) {
        match words.iter().position(|w| w == word) {
            Some(found) => *number = found,
            None => r.wrong(at, format!("`{key}`: one of {} is expected", words.join(", "))),
        }
    }
    numbers
}

pub(super) fn write_controller(w: &mut Writer, x: &Controller) {
    let times = [u32::from(x.scan_ms), u32::from(x.filter_ms), u32::from(x.start_up_ms)];
    numbers(w, 6, &times);
    list(w, &x.inputs, group);
    list(w, &x.outputs, group);
    if x.inputs.iter().any(|g| g.circuit != InputCircuit::default()) {
        w.str("inputs");
        list(w, &x.inputs, |w, g| {
            w.u64(g.circuit.kind as u64).u64(g.circuit.current as u64);
        });
    }
    if (x.watchdog_ms, x.contact_ns) != (Controller::WATCHDOG_MS, Controller::CONTACT_NS) {
        w.str("watchdog");
        numbers(w, 6, &[x.watchdog_ms.into(), x.contact_ns]);
    }
    if x.outputs.iter().any(|g| g.circuit != OutputCircuit::Relay) {
        w.str("outputs");
        list(w, &x.outputs, |w, g| {
            w.u64(g.circuit as u64);
        });
    }
}

fn group<C>(w: &mut Writer, g: &Group<C>) {
    w.str(&g.common);
    list(w, &g.channels, |w, name| {
        w.str(name);
    });
}
