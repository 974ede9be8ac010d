//! What decides the bits of a controller: images, filters and the variables of its program.

use super::look::Look;
use super::{End, Flip, Link, Subject, Timing};
use crate::state::ControllerPhase;
use sealin_ladder::{Area, Comparison, Reason, Seen, What};

impl Look<'_> {
    /// A bit of the input image.
    pub(super) fn input(&self, subject: &Subject, i: usize, bit: u8) -> Option<Link> {
        let (c, s) = (&self.design.controllers[i], &self.state.controllers[i]);
        c.data.inputs.get(usize::from(bit))?;
        let at = |image: u64| image >> bit & 1 != 0;
        let value = at(s.inputs);
        let link = Link::new(subject, value);
        let channel = Flip::new(Subject::Channel(c.tag.clone(), bit), at(s.raw));
        Some(if s.phase != ControllerPhase::Running {
            let off = Flip::new(Subject::Controller(c.tag.clone()), false);
            link.because([off]).because((!channel.value).then_some(channel))
        } else if at(s.filtered) != value {
            link.end(End::NextScan)
        } else if channel.value != value {
            let elapsed_ms = s.differing.get(usize::from(bit)).copied().unwrap_or(0).into();
            let whole_ms = c.data.controller.filter_ms.into();
            link.end(End::Time { of: Timing::Filter, elapsed_ms, whole_ms })
        } else {
            link.because([channel])
        })
    }

    /// A bit of the output image.
    pub(super) fn output(&self, subject: &Subject, i: usize, bit: u8) -> Option<Link> {
        let (c, s) = (&self.design.controllers[i], &self.state.controllers[i]);
        if usize::from(bit) >= c.data.outputs.len() {
            return None;
        }
        let value = s.outputs >> bit & 1 != 0;
        let link = Link::new(subject, value);
        let compiled = &self.design.compiled;
        let mut vars: Vec<Flip> = Vec::new();
        for var in compiled.variables() {
            let here =
                |a: sealin_ladder::Address| a.area == Area::Output && a.image_bit() == Some(bit.into());
            if var.address.is_some_and(here) {
                let on = compiled.value(&s.memory, &var.name)?;
                vars.push(Flip::new(Subject::Variable(var.name.clone()), on));
            }
        }
        if vars.is_empty() {
            return Some(link.end(if value { End::NextScan } else { End::NothingDrives }));
        }
        // Several variables at one address are or-ed: any makes the bit 1, all must be 0 for a 0.
        if value {
            vars.retain(|v| v.value);
        } else {
            vars.truncate(1);
        }
        Some(if s.phase != ControllerPhase::Running {
            let off = Flip::new(Subject::Controller(c.tag.clone()), false);
            link.because([off]).because(vars.into_iter().filter(|v| !v.value))
        } else if s.result >> bit & 1 != u64::from(value) || vars.is_empty() {
            link.end(End::NextScan)
        } else {
            link.because(vars)
        })
    }

    /// A variable of the program.
    pub(super) fn variable(&self, subject: &Subject, name: &str) -> Option<Link> {
        let d = self.design;
        let (c, s) = (d.controllers.first()?, self.state.controllers.first()?);
        let program = d.program.as_ref()?;
        let value = d.compiled.value(&s.memory, name)?;
        let mut link = Link::new(subject, value);
        if s.phase != ControllerPhase::Running {
            return Some(link.end(End::NotRun));
        }
        Some(match sealin_ladder::reason(program, &d.compiled, &s.memory, s.settled, name)? {
            Reason::Input(address) => {
                let bit = address.image_bit()?;
                if (s.inputs >> bit & 1 != 0) != value {
                    return Some(link.end(End::NextScan));
                }
                link.by(Subject::Input(c.tag.clone(), bit as u8), value)
            }
            Reason::FirstScan => link.end(End::FirstScan),
            Reason::Unwritten => link.end(End::NothingDrives),
            Reason::NotRun => link.end(End::NotRun),
            Reason::Block(decided) => {
                link.sure = decided.sure;
                if decided.set.is_empty() {
                    link.rung = Some(decided.rung + 1);
                    return Some(link.end(End::Constant));
                }
                link.because(decided.set.into_iter().map(|seen| self.member(seen)))
            }
            Reason::Rungs(decided) => {
                (link.rung, link.sure) = (Some(decided.rung + 1), decided.sure);
                if decided.set.is_empty() {
                    return Some(link.end(if decided.bounded { End::NotFound } else { End::Constant }));
                }
                link.because(decided.set.into_iter().map(|seen| self.member(seen)))
            }
        })
    }

    /// A member of a set of the program, as a thing that can be asked for.
    fn member(&self, seen: Seen) -> Flip {
        let subject = match seen.what {
            What::Bit(name) => {
                let name = self.spelled(&name);
                let is_so = !seen.before && self.bit(&name) == Some(seen.value);
                if is_so { Subject::Variable(name) } else { Subject::Read(name) }
            }
            What::Remembered(name) => Subject::Read(self.spelled(&name)),
            What::Passed(rung) => Subject::Passed(rung + 1),
            What::TimeUp(instance) => Subject::TimeUp(instance),
            What::Compared(comparison) => Subject::Compared(comparison),
        };
        Flip::new(subject, seen.value)
    }

    fn bit(&self, name: &str) -> Option<bool> {
        self.design.compiled.value(&self.state.controllers.first()?.memory, name)
    }

    /// A variable as a rung read it: it goes on with the variable if that is still so.
    pub(super) fn read(&self, subject: &Subject, name: &str, value: Option<bool>) -> Option<Link> {
        let now = self.bit(name)?;
        let value = value.unwrap_or(now);
        let link = Link::new(subject, value);
        Some(if value == now {
            link.by(Subject::Variable(name.to_string()), now)
        } else {
            link.end(End::Earlier)
        })
    }

    /// The time of a timer.
    pub(super) fn time_up(&self, subject: &Subject, instance: &str, up: Option<bool>) -> Option<Link> {
        let memory = &self.state.controllers.first()?.memory;
        let figures = self.design.compiled.figures(memory, instance)?;
        let up = up.unwrap_or(figures.value >= figures.preset);
        let [elapsed_ms, whole_ms] = [figures.value, figures.preset].map(i32::unsigned_abs);
        Some(Link::new(subject, up).end(End::Time { of: Timing::Timer, elapsed_ms, whole_ms }))
    }

    /// A comparison, as it was read or as it is.
    pub(super) fn compared(
        &self,
        subject: &Subject,
        comparison: &Comparison,
        held: Option<bool>,
    ) -> Option<Link> {
        let (compiled, memory) = (&self.design.compiled, &self.state.controllers.first()?.memory);
        let (sort, [value, with]) = compiled.sides(memory, comparison)?;
        let holds = comparison.relation.holds(value.into(), with.into());
        let link = Link::new(subject, held.unwrap_or(holds));
        Some(if link.value == holds {
            link.end(End::Figures { value, with, sort })
        } else {
            link.end(End::Earlier)
        })
    }

    /// Whether a rung, from 1, passed in the scan before, as its edge coil remembers.
    pub(super) fn passed(&self, subject: &Subject, rung: u32, passed: Option<bool>) -> Option<Link> {
        let memory = &self.state.controllers.first()?.memory;
        let remembered = self.design.compiled.remembered(memory, rung.checked_sub(1)?)?;
        Some(Link::new(subject, passed.unwrap_or(remembered)).end(End::Remembered))
    }

    /// A name as its declaration spells it.
    fn spelled(&self, name: &str) -> String {
        let vars = self.design.compiled.variables();
        let (var, pin) = name.split_once('.').map_or((name, None), |(v, p)| (v, Some(p)));
        let declared = vars.iter().find(|v| v.name.eq_ignore_ascii_case(var));
        let var = declared.map_or(var, |v| v.name.as_str());
        pin.map_or_else(|| var.to_string(), |p| format!("{var}.{}", p.to_ascii_uppercase()))
    }
}
