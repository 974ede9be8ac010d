//! What moves on the diagram: contacts, potentials, currents, bits. Through the live layer alone.

use super::Shared;
use super::current::{Currents, meeting};
use super::diagram::Symbol;
use super::element::{Element, Figure};
use super::words::Says;
use crate::services::live::Binding;
use crate::sheets::wiring::potentials::Potentials;
use crate::store::Workshop;
use sealin_core::plan::{Conductor, Terminal};
use std::cell::{Cell, RefCell};
use std::collections::BTreeMap;
use std::rc::Rc;
use yew::prelude::*;

/// Frames between two readings of a current: figures that change faster cannot be read.
const FRAMES: u32 = 6;

/// Nodes that follow the bench.
pub struct Nodes {
    /// Of each symbol: one a signal, and one a word.
    pub symbols: Vec<(Vec<NodeRef>, Vec<NodeRef>)>,
    /// Of each lead.
    pub leads: Vec<NodeRef>,
    /// Of each line.
    pub lines: Vec<NodeRef>,
}

impl Nodes {
    /// Nodes for everything on a diagram.
    pub fn new(drawn: &Shared) -> Nodes {
        let some = |n: usize| (0..n).map(|_| NodeRef::default()).collect::<Vec<_>>();
        Nodes {
            symbols: drawn.symbols.iter().map(|s| (some(s.signals.len()), some(s.words.len()))).collect(),
            leads: some(drawn.leads.len()),
            lines: some(drawn.lines.len()),
        }
    }
}

/// All bindings of a diagram.
pub fn bindings(drawn: &Shared, nodes: &Nodes) -> Vec<Binding> {
    let terminals: Vec<Terminal> = drawn.leads.iter().filter_map(|l| l.terminal.clone()).collect();
    let index: BTreeMap<Terminal, usize> =
        terminals.iter().cloned().enumerate().map(|(k, t)| (t, k)).collect();
    let volts = Rc::new(Potentials::new(terminals, drawn.earth()));
    let reader = volts.clone();
    let mut all = vec![Binding::frame(Rc::new(move |workshop| reader.read(workshop)))];
    let live = |at: Vec<usize>| {
        let volts = volts.clone();
        move |_: &Workshop| at.iter().any(|k| volts.value(*k) != Default::default())
    };
    let currents = Rc::new(Currents::new(drawn));
    let reader = currents.clone();
    all.push(Binding::frame(Rc::new(move |workshop| reader.read(workshop))));
    for (lead, node) in drawn.leads.iter().zip(&nodes.leads) {
        let (meet, now) = (meeting(drawn, lead), currents.clone());
        all.push(Binding::class(node.clone(), "has-current", move |_| now.through(&meet)));
        let at = lead.source.iter().filter_map(|t| index.get(t).copied()).collect();
        all.push(Binding::class(node.clone(), "is-live", live(at)));
    }
    for (n, (line, node)) in drawn.lines.iter().zip(&nodes.lines).enumerate() {
        if line.conductor.is_some() {
            let now = currents.clone();
            all.push(Binding::class(node.clone(), "has-current", move |_| now.carries(n)));
        }
        let at = line.sources.iter().filter_map(|t| index.get(t).copied()).collect();
        all.push(Binding::class(node.clone(), "is-live", live(at)));
    }
    for (symbol, (signals, words)) in drawn.symbols.iter().zip(&nodes.symbols) {
        for (signal, node) in symbol.signals.iter().cloned().zip(signals) {
            all.push(Binding::class(node.clone(), "is-on", move |workshop| workshop.signal(&signal)));
        }
        for (word, node) in symbol.words.iter().zip(words) {
            match &word.says {
                Says::Volts(t) => {
                    let Some(at) = index.get(t).copied() else { continue };
                    let volts = volts.clone();
                    all.push(Binding::text(node.clone(), move |_| volts.value(at).text()));
                }
                Says::Amperes => all.push(Binding::text(node.clone(), amperes(symbol, &drawn.0.conductors))),
                Says::Bit => all.push(Binding::text(node.clone(), bit(&symbol.element))),
                _ => {}
            }
        }
    }
    all
}

/// The current of a symbol, read a few times a second: of a motor the largest of its lines, else that of a terminal with
/// one conductor.
fn amperes(symbol: &Symbol, conductors: &[Conductor]) -> impl Fn(&Workshop) -> String + use<> {
    let motor = (symbol.element.figure == Figure::Motor).then(|| symbol.element.tag.clone());
    let alone = symbol.element.ports.iter().filter_map(|p| p.terminal.as_ref()).find_map(|t| {
        let mut here = conductors.iter().filter(|c| c.from == *t || c.to == *t);
        here.next().filter(|_| here.next().is_none()).map(|c| c.id.clone())
    });
    let (frame, last) = (Cell::new(0u32), RefCell::new(String::new()));
    move |workshop| {
        let now = frame.get();
        frame.set((now + 1) % FRAMES);
        if now == 0 {
            let bench = workshop.bench();
            let value = match (&motor, &alone) {
                _ if workshop.is_sealed() => None,
                (Some(tag), _) => bench.motor(tag).map(|m| m.amperes.iter().copied().fold(0.0, f64::max)),
                (None, Some(id)) => bench.amperes(id),
                _ => None,
            };
            last.replace(value.filter(|a| a.is_finite()).map(written).unwrap_or_default());
        }
        last.borrow().clone()
    }
}

/// A current in amperes or milliamperes.
fn written(amperes: f64) -> String {
    let amperes = amperes.abs();
    match amperes {
        0.0005..0.1 => format!("{:.0}\u{a0}mA", amperes * 1000.0),
        0.1..10.0 => format!("{amperes:.2}\u{a0}A"),
        10.0.. => format!("{amperes:.1}\u{a0}A"),
        _ => "0\u{a0}A".into(),
    }
}

/// The bit of a channel: 0 or 1 while the controller scans, empty while it does not.
fn bit(element: &Element) -> impl Fn(&Workshop) -> String + use<> {
    let (signal, scanning) = (element.signal.clone(), format!("{}.on", element.tag));
    move |workshop| match (workshop.signal(&scanning), workshop.signal(&signal)) {
        (false, _) => String::new(),
        (true, on) => u8::from(on).to_string(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn currents_fit_their_room() {
        for (value, text) in
            [(0.0, "0 A"), (0.0352, "35 mA"), (0.304, "0.30 A"), (-8.2, "8.20 A"), (50.6, "50.6 A")]
        {
            assert_eq!(written(value).replace('\u{a0}', " "), text);
        }
    }
}
