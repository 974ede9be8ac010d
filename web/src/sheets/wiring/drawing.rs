//! Everything that the sheet shows of the wiring, worked out once for each change of structure.

use super::circuit::{Circuit, Practice};
use super::entry::Occupancy;
use super::panel::{Panel, lay_out};
use super::propose::{Job, propose};
use super::remarks::{Remark, remarks};
use super::routing::{Ferrule, Route, ferrules, route};
use super::wanted::{Wanted, tick_off};
use crate::store::Workshop;
use crate::store::model::Scenario;
use sealin_core::part::{Kind, Part};
use sealin_core::plan::{Conductor, Terminal};
use std::collections::{BTreeMap, BTreeSet};
use std::ops::Deref;
use std::rc::Rc;

/// The wiring as it is shown.
#[derive(Debug)]
pub struct Drawing {
    /// Devices.
    pub parts: Vec<Part>,
    /// Conductors: given ones by id, then the person's own in the order in which they were made.
    pub conductors: Vec<Conductor>,
    /// Ids of the given conductors.
    pub given: BTreeSet<String>,
    /// Conductors that the job sheet asks for.
    pub wanted: Vec<Wanted>,
    /// Potentials and circuits.
    pub circuit: Circuit,
    /// Places of everything.
    pub panel: Panel,
    /// Routes, in the order of the conductors.
    pub routes: Vec<Route>,
    /// Ferrules.
    pub ferrules: Vec<Ferrule>,
    /// What a fitter would say.
    pub remarks: Vec<Remark>,
    /// What is in each terminal.
    pub occupancy: BTreeMap<Terminal, Occupancy>,
    job: Job,
}

/// A shared drawing; equal when it is the same one.
#[derive(Clone, Debug)]
pub struct Shared(Rc<Drawing>);

impl PartialEq for Shared {
    fn eq(&self, other: &Shared) -> bool {
        Rc::ptr_eq(&self.0, &other.0)
    }
}

impl Deref for Shared {
    type Target = Drawing;
    fn deref(&self) -> &Drawing {
        &self.0
    }
}

impl Shared {
    /// The drawing of the work in progress.
    pub fn of(workshop: &Workshop) -> Shared {
        let parts = workshop.bench().plan().parts.clone();
        Shared(Rc::new(Drawing::of(workshop.scenario(), parts, workshop.conductors())))
    }
}

impl Drawing {
    /// These parts and conductors, with what the exercise says about them.
    pub fn of(scenario: &Scenario, parts: Vec<Part>, conductors: Vec<Conductor>) -> Drawing {
        let fixed = scenario.given.iter().filter(|c| !scenario.removable.contains(&c.id));
        let given = fixed.map(|c| c.id.clone()).collect();
        let io_list = scenario.names.iter().filter_map(|row| Terminal::parse(&row.terminal)).collect();
        let numbers = scenario.todo.iter().map(|todo| (todo.from.clone(), todo.number.clone())).collect();
        let wanted = scenario
            .todo
            .iter()
            .map(|todo| Wanted {
                number: todo.number.clone(),
                from: todo.from.clone(),
                purpose: todo.purpose.clone(),
                done: false,
            })
            .collect();
        let reel = Some((scenario.new_conductor.colour, scenario.new_conductor.section_mm2_x100));
        let job = Job { io_list, numbers, practice: Practice::of(scenario.region), reel };
        Drawing::new(parts, conductors, given, &rails(scenario), job, wanted)
    }

    /// Works everything out.
    pub fn new(
        parts: Vec<Part>,
        mut conductors: Vec<Conductor>,
        given: BTreeSet<String>,
        rails: &[Vec<String>],
        job: Job,
        mut wanted: Vec<Wanted>,
    ) -> Drawing {
        conductors.sort_by_key(|c| (!given.contains(&c.id), order(&c.id)));
        let circuit = Circuit::new(&parts, &conductors);
        let panel = lay_out(&parts, rails, job.practice);
        let routes = route(&panel, &conductors);
        let ferrules = ferrules(&routes, &conductors);
        let locked = |id: &str| given.contains(id);
        let remarks = remarks(&parts, &conductors, &circuit, job.practice, job.reel, &locked);
        let occupancy = panel
            .spots
            .keys()
            .map(|t| (t.clone(), Occupancy::of(&parts, &conductors, &circuit, t)))
            .collect();
        let own: Vec<&Conductor> = conductors.iter().filter(|c| !given.contains(&c.id)).collect();
        tick_off(&mut wanted, &own);
        Drawing {
            parts,
            conductors,
            given,
            wanted,
            circuit,
            panel,
            routes,
            ferrules,
            remarks,
            occupancy,
            job,
        }
    }

    /// The conductor with this id.
    pub fn conductor(&self, id: &str) -> Option<&Conductor> {
        self.conductors.iter().find(|c| c.id == id)
    }

    /// The person's own conductors.
    pub fn own(&self) -> impl Iterator<Item = &Conductor> {
        self.conductors.iter().filter(|c| !self.given.contains(&c.id))
    }

    /// The given conductors.
    pub fn given(&self) -> impl Iterator<Item = &Conductor> {
        self.conductors.iter().filter(|c| self.given.contains(&c.id))
    }

    /// A new conductor, with colour, section and number by the circuit.
    pub fn made(&self, id: String, from: &Terminal, to: &Terminal) -> Conductor {
        self.made_in(&self.circuit, &self.conductors, id, from, to)
    }

    /// The same where these conductors are laid.
    pub fn made_beside(&self, all: &[Conductor], id: String, from: &Terminal, to: &Terminal) -> Conductor {
        self.made_in(&Circuit::new(&self.parts, all), all, id, from, to)
    }

    fn made_in(
        &self,
        circuit: &Circuit,
        all: &[Conductor],
        id: String,
        from: &Terminal,
        to: &Terminal,
    ) -> Conductor {
        let p = propose(circuit, all, &self.job, from, to);
        Conductor {
            id,
            from: from.clone(),
            to: to.clone(),
            section_mm2_x100: p.section_mm2_x100,
            colour: p.colour,
            number: p.number,
        }
    }

    /// The earth terminal against which potentials are told.
    pub fn earth(&self) -> Option<Terminal> {
        let supply = self.parts.iter().find(|p| matches!(p.kind, Kind::Supply(_)))?;
        Some(Terminal::new(&supply.tag, "PE"))
    }
}

/// Tags by rail, in their order on it.
pub(super) fn rails(scenario: &Scenario) -> Vec<Vec<String>> {
    let mut rails: BTreeMap<u8, Vec<(u8, String)>> = BTreeMap::new();
    for (tag, label) in scenario.labels.iter().filter(|(_, label)| label.rail > 0) {
        rails.entry(label.rail).or_default().push((label.order, tag.clone()));
    }
    rails
        .into_values()
        .map(|mut rail| {
            rail.sort();
            rail.into_iter().map(|(_, tag)| tag).collect()
        })
        .collect()
}

/// Order of ids: letters, then the number in them, so that L10 comes after L9.
fn order(id: &str) -> (String, u64) {
    let letters = id.trim_end_matches(|c: char| c.is_ascii_digit());
    (letters.to_string(), id[letters.len()..].parse().unwrap_or(0))
}

#[cfg(test)]
mod tests {
    use crate::sheets::wiring::fixture::{drawing, wire};

    #[test]
    fn own_conductors_come_last_and_ten_after_nine() {
        let own = (1..=10).rev().map(|n| wire(&format!("L{n}"), "XD4:7", "QA1:13", "201")).collect();
        let d = drawing(own);
        let ids: Vec<&str> = d.own().map(|c| c.id.as_str()).collect();
        assert_eq!(ids, ["L1", "L2", "L3", "L4", "L5", "L6", "L7", "L8", "L9", "L10"]);
        assert_eq!(d.conductors[0].id, "C01");
        assert_eq!(d.routes.len(), d.conductors.len());
    }
}
