//! The model as a whole: its cases, their states, and a quantum as one step.

use crate::formula::{Monitors, SEEN, TICK, place};
use crate::program::{IMAGE, Translated, translate};
use crate::table::{BEYOND, HARM, OUTSIDE, Place, Tables};
use crate::text::{Field, Sort, Text};
use sealin_ladder::Program;
use sealin_proof::explore::{Answer, Question, Relation, Report};
use std::fmt::Write as _;

/// What a model asks: a bench with its program, what must hold, and the plant as it was explored for that.
pub struct Case<'a> {
    name: String,
    question: Question<'a>,
    relation: Relation,
}

impl<'a> Case<'a> {
    /// Explores a question. The name is for a comment.
    ///
    /// # Errors
    /// If the exploration comes to no verdict, and why.
    pub fn explored(name: impl Into<String>, question: Question<'a>) -> Result<Case<'a>, String> {
        let relation = Relation::explored(&question, &mut |_| true)?;
        match &relation.report.answer {
            Answer::Proven | Answer::NeverExercised | Answer::Broken(_) => {}
            Answer::NotProvable(why) => return Err(why.clone()),
            Answer::Undecided => return Err(format!("undecided after {} states", relation.report.states)),
            Answer::NotComputed => return Err("the exploration was stopped".to_string()),
        }
        Ok(Case { name: name.into(), question, relation })
    }

    /// What the exploration found.
    pub fn report(&self) -> &Report {
        &self.relation.report
    }

    /// What it is called.
    pub fn name(&self) -> &str {
        &self.name
    }
}

/// A model and the tables that it includes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Export {
    /// Promela.
    pub model: String,
    /// C.
    pub tables: String,
}

/// The environment variable that tells which case a model of several judges, by number from 0.
pub const CASE_VARIABLE: &str = "SEALIN_CASE";

/// A case on its way to Promela.
struct Part {
    place: Place,
    program: Translated,
    monitors: Monitored,
    is_harm: bool,
}

/// Monitors as Promela.
struct Monitored {
    fields: Vec<Field>,
    tick: String,
    places: usize,
}

/// Writes a model of one or several cases, which has its tables beside it under the name `tables`. Of several it judges the one
/// that [`CASE_VARIABLE`] tells.
///
/// # Errors
/// Why a case cannot be written.
pub fn export(cases: &[Case], tables: &str) -> Result<Export, String> {
    let mut all = Tables::default();
    let mut parts: Vec<Part> = Vec::new();
    for (k, case) in cases.iter().enumerate() {
        let prefix = if cases.len() == 1 { String::new() } else { format!("c{k}_") };
        parts.push(part(case, &prefix, &mut all).map_err(|why| format!("{}: {why}", case.name))?);
    }
    let places: Vec<Place> = parts.iter().map(|part| part.place).collect();
    Ok(Export { model: model(cases, &parts, tables), tables: all.text(&places) })
}

fn part(case: &Case, prefix: &str, tables: &mut Tables) -> Result<Part, String> {
    let Case { question, relation, .. } = case;
    let none = Program::default();
    let program = question.plan.program.as_ref().unwrap_or(&none);
    let program = translate(program, prefix, relation.period(), 6)?;
    let signal = |name: &str| Some(format!("(({SEEN} >> {}) & 1)", relation.bit(name)?));
    let mut monitors = Monitors::new(prefix, &signal, relation.period());
    let mut text = Text::at(5);
    monitors.tick(question.required, question.assumed, &mut text)?;
    let monitors = Monitored { tick: text.done(), fields: monitors.fields, places: monitors.places };
    let place = tables.add(relation, &program.outputs)?;
    let is_harm = question.required.is_empty();
    Ok(Part { place, program, monitors, is_harm })
}

fn model(cases: &[Case], parts: &[Part], tables: &str) -> String {
    let mut out = String::new();
    head(&mut out, cases, tables);
    let _ = writeln!(out, "c_decl {{\n\\#include \"{tables}\"\n}}\n");
    declarations(&mut out, parts);
    let case = if parts.len() == 1 { "0" } else { "now.design" };
    let pair = format!("CASE_BASE[{case}] + now.plant * CASE_IMAGES[{case}] + now.{IMAGE}");
    let mut text = Text::at(0);
    text.line("active proctype bench() {");
    text.line("  d_step { /* Power comes on. */");
    if parts.len() > 1 {
        text.line(format!("    c_code {{ now.design = atoi(getenv(\"{CASE_VARIABLE}\")); }};"));
    }
    out += &text.done();
    out += &begin(parts, 2);
    let mut text = Text::at(1);
    text.line("};");
    text.line("do");
    text.line(":: atomic { /* A scan period: one of the ways in which it can go. */");
    text.line(format!("    first = c_expr {{ FIRST_WAY[{pair}] }};"));
    text.line(format!("    ways = c_expr {{ WAYS[{pair}] }};"));
    text.line("    way = 0;");
    text.line("    do");
    text.line("    :: break");
    text.line("    :: way + 1 < ways -> way++");
    text.line("    od;");
    text.line("    way = way + first;");
    text.line("    d_step {");
    text.line("      ended = 0; broken = 0; outside = 0;");
    text.line(format!("      {TICK} = 0; ticks = c_expr {{ COURSE_TICKS[WAY_COURSE[way]] }};"));
    text.line("      do");
    text.line(format!("      :: {TICK} < ticks && !ended ->"));
    text.line(format!("        {SEEN} = c_expr {{ COURSE_SEEN[WAY_COURSE[way] * MOST_TICKS + {TICK}] }};"));
    out += &text.done();
    out += &each(parts, 5, |part| part.monitors.tick.clone());
    let mut text = Text::at(4);
    text.line("  broken = assumed && !kept; ended = broken || !assumed;");
    text.line(format!("  {TICK}++"));
    text.line(":: else -> break");
    text.line("od;");
    text.line("next = c_expr { WAY_TO[way] };");
    text.line("if");
    text.line(format!(":: !ended && next == {OUTSIDE} -> outside = 1; ended = 1"));
    text.line(format!(":: !ended && next == {BEYOND} -> ended = 1"));
    text.line(format!(":: !ended && next == {HARM} -> /* Of a requirement the path ends here. */"));
    out += &text.done();
    out += &each(parts, 5, |part| format!("          broken = {};\n", u8::from(part.is_harm)));
    let mut text = Text::at(4);
    text.line("  ended = 1");
    text.line(":: !ended && next >= 0 -> plant = next;");
    out += &text.done();
    out += &each(parts, 5, follow);
    let mut text = Text::at(4);
    text.line(":: else");
    text.line("fi;");
    text.line("if /* A path that ends goes back to where power comes on. */");
    text.line(":: ended ->");
    out += &text.done();
    out += &begin(parts, 5);
    let mut text = Text::at(1);
    text.line("      :: else");
    text.line("      fi;");
    text.line("    };");
    text.line("    assert(!broken);");
    text.line("    assert(!outside);");
    text.line("  }");
    text.line("od");
    out += &text.done();
    out += "}\n";
    out
}

/// What a question requires and takes for granted, as it stands at the top of a model.
pub fn formulas<'q>(question: &'q Question) -> impl Iterator<Item = String> + 'q {
    let required = question.required.iter().map(ToString::to_string);
    required.chain(question.assumed.iter().map(|assumed| format!("assumed: {assumed}")))
}

fn head(out: &mut String, cases: &[Case], tables: &str) {
    let _ = writeln!(out, "/* Training model: simplified, not a design, not evidence of competence.");
    out.push_str(
        "   A bench, scan period by scan period: the plant as a table beside this file, the program and the\n   \
         requirements as assignments. Run in the folder of both:\n\n     \
         spin -a MODEL.pml\n     \
         gcc -O2 -DSAFETY -DSFH -DNOBOUNDCHECK -DNOREDUCE -DNOCOMP -o pan pan.c\n     \
         ./pan -m10000000\n\n",
    );
    let _ = writeln!(out, "   Tables: {tables}. Of the states stored one is that before power comes on.\n");
    for (k, case) in cases.iter().enumerate() {
        let _ = writeln!(out, "   {k}: {}", case.name.replace("*/", "* /"));
        for formula in formulas(&case.question) {
            let _ = writeln!(out, "      {formula}");
        }
        if case.question.required.is_empty() {
            let _ = writeln!(out, "      no harm is done");
        }
    }
    if cases.len() > 1 {
        let _ = writeln!(out, "\n   {CASE_VARIABLE} tells by number which of them is judged.");
    }
    out.push_str("*/\n\n");
}

fn declarations(out: &mut String, parts: &[Part]) {
    let most = |of: &dyn Fn(&Part) -> usize| parts.iter().map(of).max().unwrap_or(0);
    let places = most(&|part| part.program.places.max(part.monitors.places));
    out.push_str("/* Within a step; no part of a state. */\n");
    for name in ["first", "ways", "way", "next", "ticks", TICK, SEEN] {
        let _ = writeln!(out, "hidden int {name};");
    }
    for name in ["kept", "assumed", "ended", "broken", "outside"] {
        let _ = writeln!(out, "hidden byte {name};");
    }
    let scratch = parts.iter().flat_map(|part| part.program.scratch.iter().cloned());
    for name in scratch.chain((0..places).map(place)) {
        let _ = writeln!(out, "hidden byte {name};");
    }
    out.push_str("\n/* The state. */\n");
    if parts.len() > 1 {
        out.push_str("byte design;\n");
    }
    let numbered = |name: &str, most: usize| Field { sort: Sort::UpTo(most as u32), ..Field::bit(name) };
    let plant = numbered("plant", most(&|part| part.place.states));
    let image = numbered(IMAGE, most(&|part| part.place.images - 1));
    for field in [plant, image].iter().chain(parts.iter().flat_map(|p| p.program.fields.iter())) {
        let _ = writeln!(out, "{}", field.declared());
    }
    for field in parts.iter().flat_map(|p| &p.monitors.fields) {
        let _ = writeln!(out, "{}", field.declared());
    }
    out.push('\n');
}

/// What each case does, in a choice between them if there are several.
fn each(parts: &[Part], depth: usize, of: impl Fn(&Part) -> String) -> String {
    if let [part] = parts {
        return of(part);
    }
    let mut text = Text::at(depth);
    text.line("if");
    let mut out = text.done();
    for (k, part) in parts.iter().enumerate() {
        let mut text = Text::at(depth);
        text.line(format!(":: design == {k} -> skip;"));
        out += &text.done();
        out += &of(part);
    }
    let mut text = Text::at(depth);
    text.line(":: else");
    text.line("fi;");
    out + &text.done()
}

/// Everything as it is when power comes on.
fn begin(parts: &[Part], depth: usize) -> String {
    let mut text = Text::at(depth);
    text.line(format!("plant = 0; {IMAGE} = 0;"));
    text.done()
        + &each(parts, depth, |part| {
            let mut text = Text::at(depth);
            part.program.fields.iter().chain(&part.monitors.fields).for_each(|f| text.line(f.reset()));
            text.done()
        })
}

/// What the program does in a scan period.
fn follow(part: &Part) -> String {
    let mut text = Text::at(5);
    text.line("if");
    text.line(":: c_expr { COURSE_SCANNED[WAY_COURSE[way]] } ->");
    let mut out = text.done() + &part.program.scan;
    let mut text = Text::at(5);
    text.line(":: else");
    text.line("fi;");
    text.line("if /* The controller lost its supply. */");
    text.line(":: c_expr { COURSE_RESTARTED[WAY_COURSE[way]] } ->");
    text.line(format!("  {IMAGE} = 0;"));
    part.program.fields.iter().filter(|f| !f.kept).for_each(|f| text.line(format!("  {}", f.reset())));
    text.line(":: else");
    text.line("fi;");
    out += &text.done();
    out
}
