//! Everything that the sheet shows of the wiring, worked out once for each change of structure.

use super::circuit::Circuit;
use super::entry::Occupancy;
use super::geometry::{Point, polyline_distance};
use super::panel::{Panel, lay_out};
use super::propose::{Job, propose};
use super::remarks::{Remark, remarks};
use super::routing::{Ferrule, Route, ferrules, route};
use crate::store::model::Scenario;
use crate::store::{Thing, Workshop};
use sealin_core::part::{Kind, Part};
use sealin_core::plan::{Conductor, Terminal};
use std::collections::{BTreeMap, BTreeSet};
use std::ops::Deref;
use std::rc::Rc;

/// A conductor that the job sheet asks for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Wanted {
    /// Its number.
    pub number: String,
    /// Where it begins.
    pub from: Terminal,
    /// What it is for.
    pub purpose: String,
    /// A conductor of the person's own stands for it.
    pub done: bool,
}

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
        let scenario = workshop.scenario();
        let given = scenario.given.iter().map(|c| c.id.clone()).collect();
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
        let job = Job { io_list, numbers, reel };
        let parts = workshop.bench().plan().parts.clone();
        let rails = rails(scenario);
        Shared(Rc::new(Drawing::new(parts, workshop.conductors(), given, &rails, job, wanted)))
    }
}

impl Drawing {
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
        let panel = lay_out(&parts, rails);
        let routes = route(&panel, &conductors);
        let ferrules = ferrules(&routes, &conductors);
        let remarks = remarks(&parts, &conductors, &|id| given.contains(id));
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

    /// A new conductor, with colour, section and number by the circuit.
    pub fn made(&self, id: String, from: &Terminal, to: &Terminal) -> Conductor {
        let p = propose(&self.circuit, &self.conductors, &self.job, from, to);
        Conductor {
            id,
            from: from.clone(),
            to: to.clone(),
            section_mm2_x100: p.section_mm2_x100,
            colour: p.colour,
            number: p.number,
        }
    }

    /// The conductor nearest to a point, within `reach`. Its stubs and ferrules count before what lies in ducts.
    pub fn conductor_at(&self, p: Point, reach: f64) -> Option<&str> {
        if let Some(f) = self.ferrules.iter().find(|f| f.area.distance(p) <= reach / 2.0) {
            return f.conductors.first().map(String::as_str);
        }
        self.routes
            .iter()
            .map(|r| (polyline_distance(p, &r.line), r.id.as_str()))
            .filter(|(d, _)| *d <= reach)
            .min_by(|a, b| a.0.total_cmp(&b.0))
            .map(|(_, id)| id)
    }

    /// What is shown heavy for a choice.
    pub fn shown(&self, choice: Option<&Thing>) -> Shown {
        let mut shown = Shown::default();
        match choice {
            Some(Thing::Conductor(id)) => {
                if let Some(c) = self.conductor(id) {
                    shown.conductors.insert(id.clone());
                    shown.terminals.extend([c.from.clone(), c.to.clone()]);
                }
            }
            Some(Thing::Terminal(t)) => {
                shown.terminals.push(t.clone());
                let here = self.conductors.iter().filter(|c| c.from == *t || c.to == *t);
                shown.conductors.extend(here.map(|c| c.id.clone()));
            }
            Some(Thing::Part(tag)) => shown.part = Some(tag.clone()),
            _ => {}
        }
        shown
    }

    /// What a search means: a terminal, a tag, or conductors by number.
    pub fn found(&self, text: &str) -> Option<Thing> {
        let text = text.trim();
        if let Ok(t) = super::entry::resolve(&self.parts, text) {
            return Some(Thing::Terminal(t));
        }
        if let Some(c) =
            self.conductors.iter().find(|c| c.number.eq_ignore_ascii_case(text) && !text.is_empty())
        {
            return Some(Thing::Conductor(c.id.clone()));
        }
        if let Some(c) = self.conductors.iter().find(|c| c.id.eq_ignore_ascii_case(text)) {
            return Some(Thing::Conductor(c.id.clone()));
        }
        let part = self.parts.iter().find(|p| p.tag.eq_ignore_ascii_case(text));
        part.map(|p| Thing::Part(p.tag.clone()))
    }

    /// The earth terminal against which potentials are told.
    pub fn earth(&self) -> Option<Terminal> {
        let supply = self.parts.iter().find(|p| matches!(p.kind, Kind::Supply(_)))?;
        Some(Terminal::new(&supply.tag, "PE"))
    }
}

/// What is shown heavy.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Shown {
    /// Ids of conductors.
    pub conductors: BTreeSet<String>,
    /// Terminals with a ring.
    pub terminals: Vec<Terminal>,
    /// Tag of a device.
    pub part: Option<String>,
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

/// Gives each conductor that is asked for one of the person's own that begins or ends there, so that as many as
/// possible are done.
fn tick_off(wanted: &mut [Wanted], own: &[&Conductor]) {
    let mut taken_by: Vec<Option<usize>> = vec![None; own.len()];
    fn place(
        w: usize,
        wanted: &[Wanted],
        own: &[&Conductor],
        taken: &mut [Option<usize>],
        seen: &mut [bool],
    ) -> bool {
        for c in 0..own.len() {
            let fits = own[c].from == wanted[w].from || own[c].to == wanted[w].from;
            if !fits || seen[c] {
                continue;
            }
            seen[c] = true;
            let free = match taken[c] {
                None => true,
                Some(other) => place(other, wanted, own, taken, seen),
            };
            if free {
                taken[c] = Some(w);
                return true;
            }
        }
        false
    }
    for w in 0..wanted.len() {
        place(w, wanted, own, &mut taken_by, &mut vec![false; own.len()]);
    }
    for w in taken_by.into_iter().flatten() {
        wanted[w].done = true;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheets::wiring::fixture::{job, learners, paddle, t, wire};

    fn drawing(own: Vec<Conductor>) -> Drawing {
        let (parts, given) = paddle();
        let ids = given.iter().map(|c| c.id.clone()).collect();
        let wanted = learners()
            .iter()
            .map(|c| Wanted {
                number: c.number.clone(),
                from: c.from.clone(),
                purpose: String::new(),
                done: false,
            })
            .collect();
        Drawing::new(parts, given.into_iter().chain(own).collect(), ids, &[], job(), wanted)
    }

    #[test]
    fn own_conductors_come_last_and_ten_after_nine() {
        let own = (1..=10).rev().map(|n| wire(&format!("L{n}"), "XD4:7", "QA1:13", "201")).collect();
        let d = drawing(own);
        let ids: Vec<&str> = d.own().map(|c| c.id.as_str()).collect();
        assert_eq!(ids, ["L1", "L2", "L3", "L4", "L5", "L6", "L7", "L8", "L9", "L10"]);
        assert_eq!(d.conductors[0].id, "C01");
        assert_eq!(d.routes.len(), d.conductors.len());
    }

    #[test]
    fn what_is_asked_for_is_ticked_off_once_and_in_either_direction() {
        let done = |own: Vec<Conductor>| drawing(own).wanted.iter().filter(|w| w.done).count();
        assert_eq!(done(Vec::new()), 0);
        assert_eq!(done(learners()), 9);
        let turned = learners().into_iter().map(|c| Conductor { from: c.to, to: c.from, ..c }).collect();
        assert_eq!(done(turned), 9);
        assert_eq!(done(vec![wire("L1", "XD4:7", "QA1:13", "201")]), 1);
    }

    #[test]
    fn finds_terminals_numbers_and_tags() {
        let d = drawing(learners());
        assert_eq!(d.found("qa1:14"), Some(Thing::Terminal(t("QA1:14"))));
        assert_eq!(d.found("213"), Some(Thing::Conductor("L4".into())));
        assert_eq!(d.found("c05"), Some(Thing::Conductor("C05".into())));
        assert_eq!(d.found("kf1"), Some(Thing::Part("KF1".into())));
        assert_eq!(d.found(""), None);
        assert_eq!(d.found("999"), None);
    }

    #[test]
    fn choosing_shows_the_route_and_both_ends() {
        let d = drawing(learners());
        let shown = d.shown(Some(&Thing::Conductor("L4".into())));
        assert_eq!(shown.terminals, [t("QA1:14"), t("KF1:I4")]);
        let shown = d.shown(Some(&Thing::Terminal(t("QA1:13"))));
        assert_eq!(shown.conductors.into_iter().collect::<Vec<_>>(), ["L1", "L2"]);
        let middle = d.routes[0].line[2];
        assert!(d.conductor_at(middle, 2.0).is_some());
        assert_eq!(d.conductor_at(Point::new(-99.0, -99.0), 2.0), None);
    }
}
