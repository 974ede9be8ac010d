//! What a learner has made so far: conductors, the program on the sheet and in the controller, dials and other settings.

use crate::attempt::{Change, MOST_PROGRAM_BYTES, Mounted};
use crate::hunt::Hidden;
use crate::scenario::{Cable, Label, Scenario};
use crate::setting::Setting;
use crate::stores::{MOST_PARTS, StoresPart};
use sealin_core::canon::{Hash, Writer};
use sealin_core::part::Part;
use sealin_core::{Conductor, Plan};
use sealin_ladder::Diagnostic;
use std::collections::BTreeMap;
use std::rc::Rc;

/// Most conductors of a job, given ones included.
pub const MOST_CONDUCTORS: usize = 2_000;

/// The learner's work on a scenario at one instant.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Project {
    /// All conductors, given and made, by id.
    pub conductors: BTreeMap<String, Conductor>,
    /// The program's text on the sheet.
    pub source: String,
    /// The text that was last transferred into the controller.
    pub transferred: String,
    /// Dials that stand otherwise than the scenario gives them, mA by tag.
    pub dials: BTreeMap<String, u32>,
    /// Other settings that stand otherwise than the scenario gives them, by tag.
    pub settings: BTreeMap<String, Setting>,
    /// Parts taken from stores, by tag.
    pub taken: BTreeMap<String, Taken>,
    /// What is wrong with the machine that nothing else of this says, and nothing public of it either.
    pub hidden: Hidden,
}

/// A part taken from stores.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Taken {
    /// As it was taken.
    pub stores: StoresPart,
    /// The part.
    pub part: Part,
    /// What is written at it.
    pub label: Label,
}

impl Project {
    /// The work as the scenario hands it over.
    pub fn given(scenario: &Scenario) -> Project {
        Project {
            conductors: scenario.given.iter().map(|c| (c.id.clone(), c.clone())).collect(),
            source: scenario.program.clone(),
            transferred: scenario.program.clone(),
            dials: BTreeMap::new(),
            settings: BTreeMap::new(),
            taken: BTreeMap::new(),
            hidden: Hidden::of(scenario),
        }
    }

    /// Given parts in the order of the scenario, then those from stores by tag. A scenario of [`Project::scenario`] has
    /// them already.
    pub fn parts<'a>(&'a self, scenario: &'a Scenario) -> impl Iterator<Item = &'a Part> + Clone {
        let taken = self.taken.values().map(|taken| &taken.part);
        scenario.parts.iter().chain(taken.filter(|part| scenario.part(&part.tag).is_none()))
    }

    /// The scenario with the parts from stores as if they were its own, and with devices set as they are: what the learner has before
    /// them.
    pub fn scenario(&self, base: &Rc<Scenario>) -> Rc<Scenario> {
        if self.taken.is_empty() && self.settings.is_empty() {
            return base.clone();
        }
        let mut now = Scenario::clone(base);
        self.set(base, &mut now.parts);
        for (tag, taken) in &self.taken {
            now.parts.push(taken.part.clone());
            now.labels.insert(tag.clone(), taken.label.clone());
        }
        Rc::new(now)
    }

    /// A part from stores as it stands, with all that goes with it.
    pub fn mounted(&self, tag: &str) -> Option<Mounted> {
        let at = |c: &&Conductor| c.from.part == tag || c.to.part == tag;
        Some(Mounted {
            part: self.taken.get(tag)?.stores.clone(),
            conductors: self.conductors.values().filter(at).cloned().collect(),
            dial_ma: self.dials.get(tag).copied(),
        })
    }

    /// Makes a change. The error says why it does not fit; then nothing changes.
    pub fn apply(&mut self, scenario: &Scenario, change: &Change) -> Result<(), String> {
        let given = |id: &str| scenario.is_fixed(id);
        let end = |c: &Conductor| ends(self.parts(scenario), c);
        let now = |c: &Conductor| scenario.conductor_now(c.clone());
        match change {
            Change::Add(c) => {
                let c = &now(c);
                end(c)?;
                if self.conductors.len() >= MOST_CONDUCTORS {
                    return Err(format!("a job has at most {MOST_CONDUCTORS} conductors"));
                }
                if self.conductors.contains_key(&c.id) {
                    return Err(format!("there is a conductor `{}` already", c.id));
                }
                self.conductors.insert(c.id.clone(), c.clone());
            }
            Change::Remove(c) => {
                let c = &now(c);
                if given(&c.id) {
                    return Err(format!("conductor `{}` is given and stays", c.id));
                }
                if self.conductors.get(&c.id) != Some(c) {
                    return Err(format!("there is no conductor `{}` like this", c.id));
                }
                self.conductors.remove(&c.id);
            }
            Change::Alter { before, after } => {
                let (before, after) = (&now(before), &now(after));
                if given(&before.id) {
                    return Err(format!("conductor `{}` is given and stays", before.id));
                }
                if before.id != after.id || self.conductors.get(&before.id) != Some(before) {
                    return Err(format!("there is no conductor `{}` like this", before.id));
                }
                end(after)?;
                self.conductors.insert(after.id.clone(), after.clone());
            }
            Change::Program { .. } if scenario.is_hard_wired() => {
                return Err("this job has no controller, and so no program".to_string());
            }
            Change::Program { at, removed, inserted } => {
                let at = *at as usize;
                let fits = self.source.get(at..).is_some_and(|rest| rest.starts_with(removed.as_str()));
                if !fits {
                    return Err("the program's text does not stand where the change expects it".to_string());
                }
                if self.source.len() - removed.len() + inserted.len() > MOST_PROGRAM_BYTES {
                    return Err(format!("a program has at most {MOST_PROGRAM_BYTES} bytes"));
                }
                self.source.replace_range(at..at + removed.len(), inserted);
            }
            Change::Dial { part, before_ma, after_ma } => {
                let device = self.parts(scenario).find(|p| p.tag == *part);
                let Some((given, range)) = device.and_then(|p| p.kind.dial_ma()) else {
                    return Err(format!(
                        "`{part}` has no dial: it is no overload or motor-protective breaker"
                    ));
                };
                if self.dials.get(part).copied().unwrap_or(given) != *before_ma {
                    return Err(format!("the dial of `{part}` does not stand at {before_ma} mA"));
                }
                if !range.contains(after_ma) {
                    let (least, most) = range.into_inner();
                    return Err(format!("the dial of `{part}` goes from {least} to {most} mA"));
                }
                if *after_ma == given {
                    self.dials.remove(part);
                } else {
                    self.dials.insert(part.clone(), *after_ma);
                }
            }
            Change::Set { part, before, after } => self.change_setting(scenario, part, *before, *after)?,
            Change::Mount(mounted) => {
                // All or nothing: what comes with the part may be refused.
                let mut next = self.clone();
                next.mount(scenario, mounted)?;
                *self = next;
            }
            Change::Unmount(mounted) => {
                let tag = &mounted.part.tag;
                if self.mounted(tag).as_ref() != Some(mounted) {
                    return Err(format!("there is no part `{tag}` from stores like this"));
                }
                self.taken.remove(tag);
                self.dials.remove(tag);
                for c in &mounted.conductors {
                    self.conductors.remove(&c.id);
                }
            }
            Change::Move { before, after } => {
                let tag = &before.tag;
                let same = (&after.tag, &after.kind, &after.model) == (tag, &before.kind, &before.model);
                if !same || self.taken.get(tag).is_none_or(|taken| taken.stores != *before) {
                    return Err(format!("there is no part `{tag}` from stores like this"));
                }
                let (part, label) = after.build()?;
                for c in self.mounted(tag).iter().flat_map(|mounted| &mounted.conductors) {
                    let others = self.parts(scenario).filter(|p| p.tag != *tag);
                    ends(others.chain([&part]), c)?;
                }
                self.taken.insert(tag.clone(), Taken { stores: after.clone(), part, label });
            }
        }
        Ok(())
    }

    fn mount(&mut self, scenario: &Scenario, mounted: &Mounted) -> Result<(), String> {
        let Mounted { part: stores, conductors, dial_ma } = mounted;
        let tag = &stores.tag;
        if !scenario.stores {
            return Err("the stores of this job are closed".to_string());
        }
        if self.taken.len() >= MOST_PARTS {
            return Err(format!("at most {MOST_PARTS} parts are taken from stores"));
        }
        if self.parts(scenario).any(|part| part.tag == *tag) {
            return Err(format!("there is a part `{tag}` already"));
        }
        let (part, label) = stores.build()?;
        let dial = part.kind.dial_ma();
        self.taken.insert(tag.clone(), Taken { stores: stores.clone(), part, label });
        for c in conductors {
            if c.from.part != *tag && c.to.part != *tag {
                return Err(format!("conductor `{}` does not end at `{tag}`", c.id));
            }
            self.apply(scenario, &Change::Add(c.clone()))?;
        }
        if let Some(after_ma) = *dial_ma {
            let (before_ma, _) = dial.ok_or_else(|| format!("`{tag}` has no dial"))?;
            self.apply(scenario, &Change::Dial { part: tag.clone(), before_ma, after_ma })?;
        }
        // What takes it back must find it as it came.
        if self.mounted(tag).as_ref() != Some(mounted) {
            return Err(format!("the conductors or the dial of `{tag}` are not in their one form"));
        }
        Ok(())
    }

    fn change_setting(
        &mut self,
        scenario: &Scenario,
        tag: &str,
        before: Setting,
        after: Setting,
    ) -> Result<(), String> {
        let adjustment = scenario.adjustments.get(tag).filter(|adjustment| adjustment.takes(after));
        let Some(adjustment) = adjustment else {
            return Err(format!("`{tag}`: \"{}\" is not for the learner to choose here", after.word()));
        };
        let given = adjustment.now(&scenario.parts, tag);
        if self.settings.get(tag).copied().or(given) != Some(before) {
            return Err(format!("`{tag}` is not set to \"{}\"", before.word()));
        }
        if given == Some(after) {
            self.settings.remove(tag);
        } else {
            self.settings.insert(tag.to_string(), after);
        }
        Ok(())
    }

    /// Sets devices as they are set in this work.
    fn set(&self, scenario: &Scenario, parts: &mut [Part]) {
        for (tag, setting) in &self.settings {
            if let Some(adjustment) = scenario.adjustments.get(tag) {
                adjustment.set(parts, tag, *setting);
            }
        }
    }

    /// Whether it is the same to checks and proofs, which run the program of the sheet: what was transferred makes no difference.
    pub fn same_work(&self, other: &Project) -> bool {
        self.source == other.source && self.same_panel(other)
    }

    /// Whether it is the same but for the program.
    pub fn same_panel(&self, other: &Project) -> bool {
        (&self.conductors, &self.dials, &self.settings, &self.taken, &self.hidden)
            == (&other.conductors, &other.dials, &other.settings, &other.taken, &other.hidden)
    }

    /// The plan with the program that is in the controller. A program that does not parse cannot have been
    /// transferred; the controller then holds none.
    pub fn plan(&self, scenario: &Scenario) -> Plan {
        let program = sealin_ladder::parse(&self.transferred).ok().filter(|_| !scenario.is_hard_wired());
        self.plan_with(scenario, program)
    }

    /// The plan with the program of the sheet: what is marked. A hard-wired job has none.
    pub fn plan_of_sheet(&self, scenario: &Scenario) -> Result<Plan, Vec<Diagnostic>> {
        let program = if scenario.is_hard_wired() { None } else { Some(sealin_ladder::parse(&self.source)?) };
        Ok(self.plan_with(scenario, program))
    }

    /// Hash of the design: wiring, dials, other settings and the program of the sheet in normal form, so that comments, spacing, the
    /// order of work and the ids of conductors do not count. A program with errors counts by its text.
    pub fn design_hash(&self, scenario: &Scenario) -> Hash {
        let mut w = Writer::new("sealin design 1");
        w.bytes(&scenario.content_hash());
        if let Some(names) = scenario.names_dealt() {
            names.write(&mut w);
        }
        let mut rows: Vec<_> = self
            .conductors
            .values()
            .map(|c| {
                let (a, b) = if c.from <= c.to { (&c.from, &c.to) } else { (&c.to, &c.from) };
                (a, b, c.section_mm2_x100, c.colour, &c.number)
            })
            .collect();
        rows.sort();
        w.u64(rows.len() as u64);
        for (a, b, section, colour, number) in rows {
            w.str(&a.to_string()).str(&b.to_string()).u64(u64::from(section)).str(colour.word()).str(number);
        }
        w.u64(self.dials.len() as u64);
        for (part, ma) in &self.dials {
            w.str(part).u64(u64::from(*ma));
        }
        // Later than the others: a work without parts from stores keeps the hash that it had.
        for taken in self.taken.values() {
            taken.stores.write(&mut w);
        }
        for (tag, setting) in &self.settings {
            w.str("setting").str(tag).str(setting.word());
        }
        for fault in self.hidden.there() {
            w.str("hidden").str(&fault.to_string());
        }
        match sealin_ladder::parse(&self.source) {
            Ok(program) => {
                let mut bytes = Vec::new();
                sealin_ladder::canonical_bytes(&program, &mut bytes);
                w.bool(true).bytes(&bytes);
            }
            Err(_) => {
                w.bool(false).str(&self.source);
            }
        }
        w.finish()
    }

    fn plan_with(&self, scenario: &Scenario, program: Option<sealin_ladder::Program>) -> Plan {
        let mut parts: Vec<Part> = self.parts(scenario).cloned().collect();
        for part in &mut parts {
            if let Some(&dial) = self.dials.get(&part.tag) {
                part.kind.set_dial_ma(dial);
            }
        }
        self.set(scenario, &mut parts);
        Plan {
            parts,
            conductors: self.conductors.values().cloned().collect(),
            cables: Cable::of_plan(&scenario.cables),
            program,
            faults: Default::default(),
        }
    }
}

/// Both ends of a conductor must be terminals, and not the same.
fn ends<'a>(parts: impl Iterator<Item = &'a Part> + Clone, c: &Conductor) -> Result<(), String> {
    for t in [&c.from, &c.to] {
        if !parts.clone().any(|p| p.tag == t.part && p.terminals().contains(&t.name)) {
            return Err(format!("there is no terminal `{t}`"));
        }
    }
    if c.from == c.to { Err("both ends are the same terminal".to_string()) } else { Ok(()) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scenario::parse_wires;
    use crate::shipped;

    /// What does not change what the machine does does not change the design hash; what does, does.
    #[test]
    fn design_hash_is_of_the_meaning() {
        let scenario = Scenario::parse(shipped::get("paddle-closed-loop").unwrap()).unwrap();
        let given = Project::given(&scenario);
        let hash = |p: &Project| p.design_hash(&scenario);
        let wires = parse_wires(shipped::reference("paddle-closed-loop").unwrap().wires).unwrap();
        let with = |order: &mut dyn Iterator<Item = usize>| {
            let mut p = given.clone();
            for (n, k) in order.enumerate() {
                let mut wire = wires[k].clone();
                wire.id = format!("L{}", n + 1);
                p.apply(&scenario, &Change::Add(wire)).unwrap();
            }
            p
        };
        let forward = with(&mut (0..wires.len()));
        assert_eq!(hash(&forward), hash(&with(&mut (0..wires.len()).rev())));
        assert_ne!(hash(&forward), hash(&given));
        let mut spaced = given.clone();
        spaced.source = spaced.source.replace("AND SF1_in", "AND   SF1_in (* stop *)");
        assert_eq!(hash(&spaced), hash(&given));
        let mut other = given.clone();
        other.source = other.source.replace("AND NOT QA2_out", "");
        assert_ne!(hash(&other), hash(&given));
        let mut dial = given.clone();
        let turn = Change::Dial { part: "FC1".to_string(), before_ma: 8200, after_ma: 9000 };
        dial.apply(&scenario, &turn).unwrap();
        assert_ne!(hash(&dial), hash(&given));
        let mut wrong = given.clone();
        wrong.source.push('x');
        assert_ne!(hash(&wrong), hash(&given));
    }

    /// The dial of a motor-protective breaker is turned as that of an overload; a fuse has none.
    #[test]
    fn dials_of_overload_and_motor_breaker() {
        let text = shipped::get("paddle-closed-loop").unwrap();
        let fuse = "poles = 3\nprotection = \"fuse gG\"\nrated_ma = 25_000\n";
        assert!(text.contains(fuse));
        let breaker = text.replace(fuse, "type = \"motor breaker 6.3 to 10 A\"\n");
        let (with_fuse, scenario) = (Scenario::parse(text).unwrap(), Scenario::parse(&breaker).unwrap());
        let turn =
            |part: &str, before_ma, after_ma| Change::Dial { part: part.to_string(), before_ma, after_ma };
        let mut p = Project::given(&scenario);
        p.apply(&scenario, &turn("FC2", 6_300, 8_200)).unwrap();
        p.apply(&scenario, &turn("FC1", 8_200, 9_000)).unwrap();
        let dial = |p: &Project, tag: &str| {
            let plan = p.plan(&scenario);
            plan.parts.iter().find(|part| part.tag == tag).unwrap().kind.dial_ma().unwrap().0
        };
        assert_eq!((dial(&p, "FC2"), dial(&p, "FC1")), (8_200, 9_000));
        assert!(p.apply(&scenario, &turn("FC2", 6_300, 7_000)).unwrap_err().contains("does not stand at"));
        assert!(p.apply(&scenario, &turn("FC2", 8_200, 10_100)).unwrap_err().contains("from 6300 to 10000"));
        p.apply(&scenario, &turn("FC2", 8_200, 6_300)).unwrap();
        assert_eq!((dial(&p, "FC2"), p.dials.len()), (6_300, 1));
        let none = Project::given(&with_fuse).apply(&with_fuse, &turn("FC2", 6_300, 8_200));
        assert!(none.unwrap_err().contains("has no dial"));
    }
}
