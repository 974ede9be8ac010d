//! The standard function blocks as assignments: IEC 61131-3, their bodies and timing diagrams.
//!
//! A timer counts the scans since it started; its time is up after as many whole scans as cover the preset time.

use super::Translation;
use crate::text::{Field, Sort};
use sealin_ladder::{Block, Call, Constant, Output, Preset, Var, VarKind};

/// Least and greatest INT.
const INT: (i32, i32) = (i16::MIN as i32, i16::MAX as i32);

impl Translation<'_> {
    /// The pins of a block, its number and what its edge detectors remember.
    pub(super) fn declare_block(&mut self, var: &Var) {
        let VarKind::Block(block) = var.kind else { return };
        let mut fields: Vec<Field> =
            block.bits().map(|pin| Field::bit(self.name(&format!("{}.{pin}", var.name)))).collect();
        let number = |name: &str| self.name(&format!("{}.{name}", var.name));
        match block.preset() {
            Some(Preset::Time) => {
                let scans = self.preset(&var.name).map_or(0, |preset| self.scans(preset));
                fields.push(Field { sort: Sort::UpTo(scans), ..Field::bit(number("scans")) });
            }
            Some(Preset::Count) => fields.push(Field { sort: Sort::Count, ..Field::bit(number("CV")) }),
            None if matches!(block, Block::RTrig | Block::FTrig) => fields.push(Field::bit(number("M"))),
            None => {}
        }
        self.fields.extend(fields.into_iter().map(|field| Field { kept: var.retain, ..field }));
    }

    /// What a block is preset with; none if no rung calls it.
    fn preset(&self, instance: &str) -> Option<Constant> {
        self.program.rungs.iter().find_map(|rung| match &rung.output {
            Output::Block(call) if call.instance.eq_ignore_ascii_case(instance) => call.preset,
            _ => None,
        })
    }

    /// Whole scans that cover a preset time.
    fn scans(&self, preset: Constant) -> u32 {
        match preset {
            Constant::Time(ms) => ms.div_ceil(self.period_ms),
            Constant::Count(_) => 0,
        }
    }

    /// The call of a block with what its inputs are given.
    pub(super) fn call(&mut self, call: &Call, given: Vec<String>) -> Result<(), String> {
        let var = self.var(&call.instance).ok_or_else(|| format!("`{}` is not declared", call.instance))?;
        if var.kind != VarKind::Block(call.block) {
            return Err(format!("`{}` is no {}", call.instance, call.block.word()));
        }
        // What it is given, before any of its pins changes.
        let given: Vec<String> = given
            .into_iter()
            .map(|value| {
                let at = self.place();
                self.text.line(format!("{at} = {value};"));
                at
            })
            .collect();
        let pin = |name: &str| self.name(&format!("{}.{name}", call.instance));
        let inputs: Vec<String> = call.block.inputs().iter().map(|name| pin(name)).collect();
        let outputs: Vec<String> = call.block.outputs().iter().map(|name| pin(name)).collect();
        let (scans, count, memory) = (pin("scans"), pin("CV"), pin("M"));
        let q = outputs[0].as_str();
        match (call.block, call.preset) {
            (Block::Ton | Block::Tof | Block::Tp, Some(preset)) => {
                let most = self.scans(preset);
                self.timer(call.block, most, &given[0], &inputs[0], q, &scans);
            }
            (Block::Ctu | Block::Ctd | Block::Ctud, Some(Constant::Count(preset))) => {
                self.counter(call.block, preset.into(), &given, &inputs, &outputs, &count);
            }
            (Block::Sr, _) => self.text.line(format!("{q} = {} || (!{} && {q});", given[0], given[1])),
            (Block::Rs, _) => self.text.line(format!("{q} = !{} && ({} || {q});", given[1], given[0])),
            (Block::RTrig, _) => {
                self.text.line(format!("{q} = {} && !{memory}; {memory} = {};", given[0], given[0]));
            }
            (Block::FTrig, _) => {
                self.text.line(format!("{q} = !{} && !{memory}; {memory} = !{};", given[0], given[0]));
            }
            _ => return Err(format!("`{}` has no preset of its sort", call.instance)),
        }
        for (input, value) in inputs.iter().zip(&given) {
            self.text.line(format!("{input} = {value};"));
        }
        Ok(())
    }

    /// `before` is IN as it was in the scan before, `scans` those since it started, which stay when the time is up.
    fn timer(&mut self, block: Block, most: u32, given: &str, before: &str, q: &str, scans: &str) {
        let option = |guard: String, then: String| (guard, then);
        let options = match block {
            Block::Ton => vec![
                option(format!("!{given}"), format!("{scans} = 0")),
                option(format!("({given} && {before} && {scans} < {most})"), format!("{scans}++")),
            ],
            Block::Tof => vec![
                option(format!("({given} || {before})"), format!("{scans} = 0")),
                option(format!("(!{given} && !{before} && {q})"), format!("{scans}++")),
            ],
            _ => vec![
                option(q.to_string(), format!("{scans}++")),
                option(format!("(!{q} && !{given})"), format!("{scans} = 0")),
            ],
        };
        // A pulse starts by IN when it is at rest.
        let starts = self.place();
        if block == Block::Tp {
            self.text.line(format!("{starts} = ({given} && !{q} && {scans} == 0);"));
        }
        self.text.choose(&options);
        match block {
            Block::Ton => self.text.line(format!("{q} = {given} && {scans} == {most};")),
            Block::Tof => {
                self.text.line(format!("{q} = {given} || (({before} || {q}) && {scans} < {most});"));
            }
            _ => {
                self.text.line(format!("{q} = ({starts} || {q}) && {scans} < {most};"));
                // Over with IN at 0 already: at rest at once.
                self.text.choose(&[(format!("(!{q} && !{given})"), format!("{scans} = 0"))]);
            }
        }
    }

    fn counter(
        &mut self,
        block: Block,
        preset: i32,
        given: &[String],
        before: &[String],
        outputs: &[String],
        count: &str,
    ) {
        let rises = |k: usize| format!("({} && !{})", given[k], before[k]);
        let up = format!("{count} < {}", INT.1);
        let down = format!("{count} > ({})", INT.0);
        let option = |guard: String, then: String| (guard, then);
        match block {
            Block::Ctu => {
                self.text.choose(&[
                    option(given[1].clone(), format!("{count} = 0")),
                    option(format!("(!{} && {} && {up})", given[1], rises(0)), format!("{count}++")),
                ]);
                self.text.line(format!("{} = ({count} >= ({preset}));", outputs[0]));
            }
            Block::Ctd => {
                self.text.choose(&[
                    option(given[1].clone(), format!("{count} = ({preset})")),
                    option(format!("(!{} && {} && {down})", given[1], rises(0)), format!("{count}--")),
                ]);
                self.text.line(format!("{} = ({count} <= 0);", outputs[0]));
            }
            _ => {
                let (up_only, down_only) = (
                    format!("({} && !{} && {up})", rises(0), rises(1)),
                    format!("({} && !{} && {down})", rises(1), rises(0)),
                );
                let (reset, load) = (&given[2], &given[3]);
                self.text.choose(&[
                    option(reset.clone(), format!("{count} = 0")),
                    option(format!("(!{reset} && {load})"), format!("{count} = ({preset})")),
                    option(format!("(!{reset} && !{load} && {up_only})"), format!("{count}++")),
                    option(format!("(!{reset} && !{load} && {down_only})"), format!("{count}--")),
                ]);
                self.text.line(format!("{} = ({count} >= ({preset}));", outputs[0]));
                self.text.line(format!("{} = ({count} <= 0);", outputs[1]));
            }
        }
    }

    /// The expression of ET in milliseconds, or of CV.
    pub(super) fn number(&mut self, name: &str) -> Result<String, String> {
        let wrong = || format!("`{name}` is no number of the program");
        let (instance, pin) = name.split_once('.').ok_or_else(wrong)?;
        let Some(VarKind::Block(block)) = self.var(instance).map(|var| var.kind) else { return Err(wrong()) };
        if !block.value().is_some_and(|value| value.eq_ignore_ascii_case(pin)) {
            return Err(wrong());
        }
        let part = |part: &str| self.name(&format!("{instance}.{part}"));
        if block.preset() == Some(Preset::Count) {
            return Ok(part("CV"));
        }
        let Some(Constant::Time(preset_ms)) = self.preset(instance) else { return Ok("0".to_string()) };
        let (scans, most) = (part("scans"), preset_ms.div_ceil(self.period_ms));
        Ok(format!("({scans} == {most} -> {preset_ms} : {scans} * {})", self.period_ms))
    }
}
