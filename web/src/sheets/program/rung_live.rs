//! What moves on a drawn rung: which parts pass, the bits, the contacts in the field, the figures of timers and counters.

use super::facts::Facts;
use super::fold::Folded;
use super::labels;
use crate::services::page;
use crate::store::Workshop;
use crate::store::model::Bench;
use crate::t;
use sealin_core::state::ControllerPhase as Phase;
use sealin_ladder::layout::{ItemKind, Pin, PinKind};
use sealin_ladder::{Call, Contact, print_time};
use std::cell::RefCell;
use std::rc::Rc;
use web_sys::Element;
use yew::prelude::NodeRef;

/// The nodes of a drawn rung that follow the bench.
pub struct Nodes {
    /// Group of each item.
    pub items: Vec<NodeRef>,
    /// What of each item is touched, and carries its name.
    pub touches: Vec<NodeRef>,
    /// Text of each item's bit.
    pub bits: Vec<NodeRef>,
    /// Left lead of each item.
    pub leads: Vec<NodeRef>,
    /// Value that each item compares.
    pub values: Vec<NodeRef>,
    /// Each pin of the block.
    pub pins: Vec<PinNodes>,
    /// Number of the rung.
    pub number: NodeRef,
    /// Each stretch of line, then each that folding has put in.
    pub wires: Vec<NodeRef>,
    /// The left rail, piece by piece.
    pub rails: Vec<NodeRef>,
}

/// The nodes of a pin.
#[derive(Default)]
pub struct PinNodes {
    /// All of it.
    pub group: NodeRef,
    /// What of it is touched, if it can be.
    pub touch: NodeRef,
    /// The line to its box.
    pub lead: NodeRef,
    /// Its bit or value.
    pub text: NodeRef,
}

impl Nodes {
    /// Nodes for a layout, not yet on the page.
    pub fn new(folded: &Folded) -> Nodes {
        let some = |count: usize| (0..count).map(|_| NodeRef::default()).collect::<Vec<_>>();
        let items = folded.items.len();
        Nodes {
            items: some(items),
            touches: some(items),
            bits: some(items),
            leads: some(items),
            values: some(items),
            pins: block(folded)
                .map_or(Vec::new(), |(_, pins)| pins.iter().map(|_| PinNodes::default()).collect()),
            wires: some(folded.wires.len() + folded.stretched.len()),
            number: NodeRef::default(),
            rails: some(folded.rails.len()),
        }
    }
}

/// The block of a rung, if it drives one.
pub fn block(folded: &Folded) -> Option<(&Call, &[Pin])> {
    match &folded.layout.items.last()?.kind {
        ItemKind::Block { call, pins } => Some((call, pins)),
        _ => None,
    }
}

#[derive(Clone, PartialEq, Default)]
struct ItemState {
    passes: bool,
    reached: bool,
    bit: Option<bool>,
    field: Option<bool>,
    value: Option<String>,
}

#[derive(Clone, PartialEq)]
struct PinState {
    on: bool,
    text: String,
}

#[derive(Default)]
struct Last {
    items: Vec<Option<ItemState>>,
    pins: Vec<Option<PinState>>,
    wires: Vec<Option<bool>>,
    rail: Option<bool>,
}

/// Writes what has changed into the nodes.
pub struct RungLive {
    folded: Rc<Folded>,
    nodes: Rc<Nodes>,
    /// Index of the rung in the controller's program, if it runs it.
    runs: Option<u32>,
    /// Name of each item's bit.
    bits: Vec<Option<String>>,
    /// Signal of the contact in the field behind each item.
    fields: Vec<Option<String>>,
    /// Name of each pin of the block.
    pins: Vec<String>,
    last: RefCell<Last>,
}

impl RungLive {
    /// For a rung that is on the page.
    pub fn new(folded: Rc<Folded>, nodes: Rc<Nodes>, runs: Option<u32>, facts: &Facts) -> Self {
        let last = Last {
            items: vec![None; folded.items.len()],
            pins: vec![None; nodes.pins.len()],
            wires: vec![None; nodes.wires.len()],
            rail: None,
        };
        let bits: Vec<_> = folded.layout.items.iter().map(|item| labels::bit(&item.kind)).collect();
        let field = |name: &Option<String>| Some(facts.contacts.get(name.as_ref()?)?.signal());
        let fields = bits.iter().map(field).collect();
        let pins = block(&folded).map_or(Vec::new(), |(call, pins)| {
            pins.iter().map(|pin| format!("{}.{}", call.instance, pin.name)).collect()
        });
        RungLive { folded, nodes, runs, bits, fields, pins, last: RefCell::new(last) }
    }

    /// Once a frame.
    pub fn draw(&self, workshop: &Workshop) {
        let bench = workshop.bench();
        let running = bench.state.controllers.iter().any(|c| c.phase == Phase::Running);
        let scanning = running && workshop.shows_program();
        let running = self.runs.filter(|_| scanning);
        // Whether what the rung drives is on is told by its bit.
        let passing = running.map(|rung| {
            let passes = |index: u32, contact: &Contact| bench.contact_passes(rung, index, contact);
            self.folded.layout.passing(&passes, &|_| false)
        });
        let on = |point: u32| passing.as_ref().is_some_and(|p| p.points[point as usize]);
        let mut last = self.last.borrow_mut();
        for (n, item) in self.folded.layout.items.iter().enumerate() {
            let is_comparison = matches!(&item.kind, ItemKind::Contact { contact: Contact::Compare(_), .. });
            let state = ItemState {
                passes: passing.as_ref().is_some_and(|p| p.items[n]),
                reached: on(item.from),
                bit: match (&self.bits[n], &passing) {
                    (Some(name), _) => workshop.seen(name).filter(|_| scanning),
                    (None, Some(passing)) if is_comparison => Some(passing.closed[n]),
                    _ => None,
                },
                field: self.fields[n].as_deref().and_then(|signal| workshop.seen(signal)),
                value: compared(&item.kind).map(|name| value(bench, name)),
            };
            if last.items[n].as_ref() != Some(&state) {
                self.write(n, &state);
                last.items[n] = Some(state);
            }
        }
        self.draw_pins(bench, scanning, &on, &mut last);
        let points = (self.folded.wires.iter().map(|(n, _)| self.folded.layout.wires[*n].point))
            .chain(self.folded.stretched.iter().map(|(point, _)| *point));
        for (n, point) in points.enumerate() {
            let on = on(point);
            if last.wires[n] != Some(on) {
                mark(&self.nodes.wires[n], on);
                last.wires[n] = Some(on);
            }
        }
        let power = running.is_some();
        if last.rail != Some(power) {
            self.nodes.rails.iter().for_each(|rail| mark(rail, power));
            last.rail = Some(power);
        }
    }

    fn write(&self, n: usize, state: &ItemState) {
        mark(&self.nodes.leads[n], state.reached);
        if let Some(text) = self.nodes.bits[n].get() {
            page::write_text(&text, bit_text(state.bit));
        }
        if let (Some(text), Some(value)) = (self.nodes.values[n].get(), &state.value) {
            page::write_text(&text, value);
        }
        let Some(group) = self.nodes.items[n].cast::<Element>() else { return };
        let bit = state.bit.map_or("", |bit| if bit { "1" } else { "0" });
        let field = state.field.map_or("", |closed| if closed { "closed" } else { "open" });
        let passes = if state.passes { "1" } else { "0" };
        let label = labels::label(&self.folded.layout.items[n].kind);
        let label = match state.bit {
            Some(bit) => t!("program-contact-bit", contact = label, bit = u8::from(bit)),
            None => label,
        };
        for (name, value) in [("data-on", passes), ("data-bit", bit), ("data-field", field)] {
            let _ = group.set_attribute(name, value);
        }
        if let Some(touch) = self.nodes.touches[n].cast::<Element>() {
            let _ = touch.set_attribute("aria-label", &label);
        }
    }

    fn draw_pins(&self, bench: &Bench, scanning: bool, on: &dyn Fn(u32) -> bool, last: &mut Last) {
        let Some((call, pins)) = block(&self.folded) else { return };
        let pins = pins.iter().zip(&self.pins);
        for (((pin, name), nodes), last) in pins.zip(&self.nodes.pins).zip(&mut last.pins) {
            let bit = bench.signal(name).filter(|_| scanning);
            let state = match pin.kind {
                PinKind::Input(None) => {
                    PinState { on: false, text: bit_text(scanning.then_some(false)).into() }
                }
                PinKind::Input(Some(point)) => PinState { on: on(point), text: bit_text(bit).into() },
                PinKind::Output => PinState { on: bit == Some(true), text: bit_text(bit).into() },
                PinKind::Value => PinState { on: false, text: value(bench, name) },
                PinKind::Preset => PinState { on: false, text: String::new() },
            };
            if last.as_ref() == Some(&state) {
                continue;
            }
            mark(&nodes.lead, state.on);
            if let Some(text) = nodes.text.get() {
                page::write_text(&text, &state.text);
            }
            if let Some(group) = nodes.group.cast::<Element>() {
                let label = super::block::pin_label(call, pin);
                let label = match pin.kind {
                    PinKind::Preset => label,
                    _ => t!("program-contact-bit", contact = label, bit = state.text),
                };
                let _ = group.set_attribute("data-bit", &state.text);
                // One that is only read is named by its group.
                let named = nodes.touch.cast::<Element>().unwrap_or(group);
                let _ = named.set_attribute("aria-label", &label);
            }
            *last = Some(state);
        }
    }
}

/// The value that a comparison compares.
fn compared(kind: &ItemKind) -> Option<&str> {
    match kind {
        ItemKind::Contact { contact: Contact::Compare(comparison), .. } => Some(&comparison.value),
        _ => None,
    }
}

/// A value of a block, such as `rest.ET` or `parts.CV`, as it is now; a dash where there is none.
fn value(bench: &Bench, name: &str) -> String {
    let memory = bench.state.controllers.first().map(|controller| &controller.memory);
    let number = memory.and_then(|memory| bench.design.compiled().number(memory, name));
    let is_time = name.rsplit_once('.').is_some_and(|(_, pin)| matches!(pin, "ET" | "PT"));
    match number {
        Some(number) if is_time => print_time(number.unsigned_abs()),
        Some(number) => number.to_string(),
        None => "–".to_string(),
    }
}

fn bit_text(bit: Option<bool>) -> &'static str {
    match bit {
        Some(true) => "1",
        Some(false) => "0",
        None => "–",
    }
}

fn mark(node: &NodeRef, on: bool) {
    if let Some(element) = node.cast::<Element>() {
        let _ = element.set_attribute("data-on", if on { "1" } else { "0" });
    }
}
