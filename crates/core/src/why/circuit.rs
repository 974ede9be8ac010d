//! Which smallest set of contacts, conductors and supplies gives a load its volts, or keeps them from it.
//!
//! Proposals come from the graph: for volts that are missing ([`super::feed`]), what would have to be closed between the
//! load and the poles of a source; for volts that are there ([`super::cut`]), what leads to the load, cut by cut until
//! nothing does. Each is tried on the network, and so is every part of it ([`super::smallest`]), as circuits are not
//! monotone: closing one contact more can be a short.

use super::Load;
use super::graph::{Graph, Source};
use super::look::{Item, Look};
use crate::design::{ContactSource, Pair};
use crate::part::CoilCurrent;

/// What volts a load is made for.
pub(super) struct Wish {
    /// DC, AC, or none if either does.
    pub dc: Option<bool>,
    /// V; none if any do.
    pub rated: Option<f64>,
}

impl Wish {
    pub fn takes(&self, source: &Source) -> bool {
        self.dc.is_none_or(|dc| dc == source.dc)
    }

    /// How far a source is from what is wanted, mV.
    pub fn off_by(&self, source: &Source) -> u64 {
        let difference = self.rated.map_or(0.0, |rated| source.volts - rated);
        (difference.abs() * 1000.0) as u64
    }
}

impl Look<'_> {
    pub(super) fn wish(&self, load: &Load) -> Wish {
        let rated = |mv: u32| Some(f64::from(mv) / 1000.0);
        let d = self.design;
        match load {
            Load::Coil(t) => {
                let data = d.contactors.iter().find(|c| c.tag == *t);
                let dc = data.is_some_and(|c| c.data.electrics.current == CoilCurrent::Dc);
                Wish { dc: Some(dc), rated: data.map(|c| c.data.electrics.volts) }
            }
            Load::Lamp(t) => {
                let data = d.lamps.iter().find(|l| l.tag == *t);
                Wish { dc: None, rated: data.and_then(|l| rated(l.data.lamp.rated_mv)) }
            }
            Load::Channel(..) | Load::Controller(_) => Wish { dc: Some(true), rated: Some(24.0) },
            Load::Primary(t) => {
                let data = d.dc_supplies.iter().find(|s| s.tag == *t);
                Wish { dc: Some(false), rated: data.and_then(|s| rated(s.data.supply.input_mv)) }
            }
            Load::Brake(t) => {
                let data = d.brakes.iter().find(|b| b.tag == *t).map(|b| &b.data.brake);
                Wish { dc: data.map(|b| b.dc), rated: data.and_then(|b| rated(b.coil_mv)) }
            }
            Load::Motor(_) => Wish { dc: Some(false), rated: Some(400.0) },
            Load::Meter(..) => Wish { dc: None, rated: None },
        }
    }

    /// The terminals of a load are joined to each other.
    pub(super) fn bridged(&self, load: &Load) -> bool {
        let graph = Graph::new(self, &[], false);
        self.pairs(load).is_some_and(|pairs| pairs.iter().any(|&(a, b)| graph.joined(a, b)))
    }

    /// A smallest set that decides whether a load has volts; empty if none was found.
    pub(super) fn decides(&self, load: &Load) -> Vec<Item> {
        let now = self.present(load, &[]);
        let found = if now { self.cut(load) } else { self.feed(load) }.unwrap_or_default();
        self.smaller(load, now, found.len()).unwrap_or(found)
    }

    /// How telling a contact is as the cause that something is on: first what has left its rest, last switchgear.
    pub(super) fn rank(&self, item: Item) -> u8 {
        match item {
            Item::Contact(i) => match self.design.contacts[i].source {
                ContactSource::Switch(..) => 2,
                source => u8::from(shut_at_rest(source)),
            },
            Item::Dc(_) => 3,
            Item::Conductor(_) | Item::Join(..) => 4,
            Item::Supply(_) => 5,
        }
    }
}

/// A contact is closed when nothing acts on it.
fn shut_at_rest(source: ContactSource) -> bool {
    match source {
        ContactSource::Control(_, closed_in) => closed_in & 1 != 0,
        ContactSource::Position(_, form) => form == crate::part::Form::Break,
        ContactSource::SwitchAux(_, form) => form == crate::part::Form::Make,
        ContactSource::SwitchTrip(_, form) => form == crate::part::Form::Break,
        ContactSource::AuxBreak(_)
        | ContactSource::LateBreak(_)
        | ContactSource::TimedBreak(_)
        | ContactSource::TripBreak(_)
        | ContactSource::Switch(..) => true,
        ContactSource::Main(..)
        | ContactSource::AuxMake(_)
        | ContactSource::EarlyMake(_)
        | ContactSource::TimedMake(_)
        | ContactSource::TripMake(_)
        | ContactSource::Output(..) => false,
    }
}

/// Both ways round a source can stand at a load: DC loads that mind it are given plus first.
pub(super) fn poles(source: &Source, wish: &Wish) -> Vec<Pair> {
    let (p, q) = source.poles;
    if wish.dc == Some(true) { vec![(p, q)] } else { vec![(p, q), (q, p)] }
}
