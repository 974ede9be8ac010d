//! What moves on a drawn rung: which parts pass, the bits, the contacts in the field, a timer's elapsed time.

use super::facts::Facts;
use super::fold::Folded;
use crate::store::Workshop;
use crate::t;
use sealin_core::state::ControllerPhase as Phase;
use sealin_ladder::layout::ItemKind;
use sealin_ladder::{Contact, print_time};
use std::cell::RefCell;
use std::rc::Rc;
use web_sys::Element;
use yew::prelude::NodeRef;

/// The nodes of a drawn rung that follow the bench.
pub struct Nodes {
    /// Group of each item.
    pub items: Vec<NodeRef>,
    /// Text of each item's bit.
    pub bits: Vec<NodeRef>,
    /// Left lead of each item.
    pub leads: Vec<NodeRef>,
    /// Each stretch of line, then each that folding has put in.
    pub wires: Vec<NodeRef>,
    /// The left rail.
    pub rail: NodeRef,
    /// Elapsed time of the block.
    pub elapsed: NodeRef,
}

impl Nodes {
    /// Nodes for a layout, not yet on the page.
    pub fn new(folded: &Folded) -> Nodes {
        let some = |count: usize| (0..count).map(|_| NodeRef::default()).collect::<Vec<_>>();
        let items = folded.items.len();
        Nodes {
            items: some(items),
            bits: some(items),
            leads: some(items),
            wires: some(folded.wires.len() + folded.stretched.len()),
            rail: NodeRef::default(),
            elapsed: NodeRef::default(),
        }
    }
}

#[derive(Clone, Copy, PartialEq, Default)]
struct ItemState {
    passes: bool,
    reached: bool,
    bit: Option<bool>,
    field: Option<bool>,
}

#[derive(Default)]
struct Last {
    items: Vec<Option<ItemState>>,
    wires: Vec<Option<bool>>,
    rail: Option<bool>,
    elapsed: Option<Option<u32>>,
}

/// Writes what has changed into the nodes.
pub struct RungLive {
    folded: Rc<Folded>,
    nodes: Rc<Nodes>,
    runs: bool,
    /// Index of the rung in the program.
    number: u32,
    facts: Rc<Facts>,
    labels: Vec<String>,
    last: RefCell<Last>,
}

impl RungLive {
    /// For a rung that is on the page. `labels` say what each item is; its bit is added to them.
    pub fn new(
        folded: Rc<Folded>,
        nodes: Rc<Nodes>,
        runs: bool,
        number: u32,
        facts: Rc<Facts>,
        labels: Vec<String>,
    ) -> Self {
        let last = Last {
            items: vec![None; folded.items.len()],
            wires: vec![None; nodes.wires.len()],
            ..Last::default()
        };
        RungLive { folded, nodes, runs, number, facts, labels, last: RefCell::new(last) }
    }

    /// Once a frame.
    pub fn draw(&self, workshop: &Workshop) {
        let bench = workshop.bench();
        let read = |name: &str| bench.signal(name).unwrap_or(false);
        let scanning = bench.state.controllers.iter().any(|c| c.phase == Phase::Running);
        let power = self.runs && scanning;
        let passes = |index: u32, contact: &Contact| bench.contact_passes(self.number, index, contact);
        let passing = power.then(|| self.folded.layout.passing(&passes, &read));
        let mut last = self.last.borrow_mut();
        for (n, item) in self.folded.layout.items.iter().enumerate() {
            let name = match &item.kind {
                ItemKind::Contact { contact, .. } => contact.bit().map(str::to_string),
                ItemKind::Coil(output) => Some(output.var().to_string()),
                ItemKind::Block(output) => Some(format!("{}.Q", output.var())),
                ItemKind::Link | ItemKind::Gap => None,
            };
            let state = ItemState {
                passes: passing.as_ref().is_some_and(|p| p.items[n]),
                reached: passing.as_ref().is_some_and(|p| p.points[item.from as usize]),
                bit: name.as_deref().filter(|_| scanning).and_then(|name| bench.signal(name)),
                field: name
                    .as_deref()
                    .and_then(|name| self.facts.contacts.get(name))
                    .and_then(|contact| bench.signal(&contact.signal())),
            };
            if last.items[n] != Some(state) {
                self.write(n, state);
                last.items[n] = Some(state);
            }
        }
        let wire_on = |point: u32| passing.as_ref().is_some_and(|p| p.points[point as usize]);
        let points = (self.folded.wires.iter().map(|(n, _)| self.folded.layout.wires[*n].point))
            .chain(self.folded.stretched.iter().map(|(point, _)| *point));
        for (n, point) in points.enumerate() {
            let on = wire_on(point);
            if last.wires[n] != Some(on) {
                mark(&self.nodes.wires[n], on);
                last.wires[n] = Some(on);
            }
        }
        if last.rail != Some(power) {
            mark(&self.nodes.rail, power);
            last.rail = Some(power);
        }
        self.draw_elapsed(workshop, &mut last);
    }

    fn write(&self, n: usize, state: ItemState) {
        mark(&self.nodes.leads[n], state.reached);
        if let Some(text) = self.nodes.bits[n].get() {
            text.set_text_content(Some(match state.bit {
                Some(true) => "1",
                Some(false) => "0",
                None => "–",
            }));
        }
        let Some(group) = self.nodes.items[n].cast::<Element>() else { return };
        let bit = state.bit.map_or("", |bit| if bit { "1" } else { "0" });
        let field = state.field.map_or("", |closed| if closed { "closed" } else { "open" });
        let passes = if state.passes { "1" } else { "0" };
        let label = match state.bit {
            Some(bit) => t!("program-contact-bit", contact = self.labels[n], bit = u8::from(bit)),
            None => self.labels[n].clone(),
        };
        for (name, value) in
            [("data-on", passes), ("data-bit", bit), ("data-field", field), ("aria-label", &label)]
        {
            let _ = group.set_attribute(name, value);
        }
    }

    fn draw_elapsed(&self, workshop: &Workshop, last: &mut Last) {
        let Some(text) = self.nodes.elapsed.get() else { return };
        let Some(ItemKind::Block(output)) = self.folded.layout.items.last().map(|item| &item.kind) else {
            return;
        };
        let bench = workshop.bench();
        let elapsed = bench
            .state
            .controllers
            .first()
            .and_then(|controller| bench.design.compiled().figures(&controller.memory, output.var()))
            .map(|figures| figures.value.unsigned_abs());
        if last.elapsed != Some(elapsed) {
            text.set_text_content(Some(&elapsed.map_or("–".to_string(), print_time)));
            last.elapsed = Some(elapsed);
        }
    }
}

fn mark(node: &NodeRef, on: bool) {
    if let Some(element) = node.cast::<Element>() {
        let _ = element.set_attribute("data-on", if on { "1" } else { "0" });
    }
}
