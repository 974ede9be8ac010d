//! Requirements of a scenario file: what is wanted, its marks, formulas and trials.

use super::reader::{Reader, Table};
use super::{Formula, Matrix, MatrixRow, Proof, Requirement, Trial};
use sealin_core::{Bench, BenchAct, Fault};
use sealin_proof::expr::parse_requirement;
use sealin_proof::steps::{self, StepKind};
use std::ops::Range;

/// Most requirements of a scenario.
const MOST_REQUIREMENTS: usize = 100;

/// Most trials, and most formulas, of a requirement.
const MOST_TRIALS: usize = 50;

/// Longest bench time of all trials together, ms: two hours, some seconds of computing.
pub(super) const MOST_TRIAL_MS: u64 = 2 * 3600 * 1000;

/// Most things that move by themselves in a proof.
const MOST_FREE: usize = 30;

/// Most faults of a proof.
const MOST_FAULTS: usize = 50;

/// Most states of a proof.
const MOST_STATES: u64 = 1_000_000_000;

/// Most bits of memory of a requirement's formulas together.
const MOST_MEMORY_BITS: u32 = 64;

/// Reads all `[[requirement]]` tables. `bench` is built from the given parts and conductors, without a program: a
/// requirement speaks of the machine, not of names that a learner may choose. A job that is `unmarked` may have none.
pub(super) fn requirements<'t>(
    r: &mut Reader<'t>,
    top: &mut Table<'_, 't>,
    bench: Option<&Bench>,
    unmarked: bool,
) -> Vec<Requirement> {
    let mut all: Vec<Requirement> = Vec::new();
    for mut t in r.tables(top, "requirement", MOST_REQUIREMENTS) {
        let id = fresh_id(r, &mut t, "R1", &|id| all.iter().any(|q| q.id == id));
        let text = r.text(&mut t, "text", 400);
        let marks = r.number(&mut t, "marks", 0..=1000) as u32;
        let must = r.flag(&mut t, "must");
        let bonus = r.flag(&mut t, "bonus");
        if must && bonus {
            let at = t.place("bonus");
            r.wrong(
                &at,
                "`bonus`: a requirement that is a must comes not on top; one of the two is expected",
            );
        }
        let partial = r.flag(&mut t, "partial");
        let formulas = formulas(r, &mut t, "formulas", bench);
        let proof = proof(r, &mut t, "proof", bench);
        let trials = trials(r, &mut t, bench);
        r.finish(t);
        all.push(Requirement { id, text, marks, must, bonus, partial, formulas, proof, trials });
    }
    if all.is_empty() && !unmarked {
        r.wrong(&(0..0), "at least one [[requirement]] is expected");
    }
    let total: u64 = all.iter().flat_map(|q| &q.trials).map(|t| t.script.longest_ms()).sum();
    if total > MOST_TRIAL_MS {
        let at = top.place("requirement");
        let message = format!("all trials take {} s of bench time", total.div_ceil(1000));
        r.wrong(&at, format!("{message}; at most {} s are expected", MOST_TRIAL_MS / 1000));
    }
    all
}

/// Reads the table `[requirement.proof]`, or `[harm]` of the whole scenario; either may be left out.
pub(super) fn proof<'t>(
    r: &mut Reader<'t>,
    t: &mut Table<'_, 't>,
    key: &'static str,
    bench: Option<&Bench>,
) -> Proof {
    if t.take(key).is_none() {
        return Proof::default();
    }
    let Some(mut t) = r.table(t, key) else { return Proof::default() };
    let names = r.texts(&mut t, "free", MOST_FREE, 40);
    if let Some(bench) = bench {
        for (name, at) in &names {
            if let Err(message) = sealin_proof::explore::can_move(&bench.design, name) {
                r.wrong(at, message);
            }
        }
    }
    let free = names.into_iter().map(|(name, _)| name).collect();
    let assume = if t.has("assume") { formulas(r, &mut t, "assume", bench) } else { Vec::new() };
    let max_states = if t.has("max_states") { r.number(&mut t, "max_states", 1..=MOST_STATES) } else { 0 };
    let faults = if t.has("faults") { faults(r, &mut t, bench) } else { Vec::new() };
    r.finish(t);
    Proof { free, assume, faults, max_states }
}

/// The fault that a line says, which must fit the bench.
pub(super) fn fault_on(line: &str, bench: Option<&Bench>) -> Result<Fault, String> {
    let fault = Fault::parse(line)?;
    bench.map_or(Ok(()), |bench| fault.fits(bench.plan())).map(|()| fault)
}

/// Faults under which a requirement is proven, a line of text each.
fn faults<'t>(r: &mut Reader<'t>, t: &mut Table<'_, 't>, bench: Option<&Bench>) -> Vec<Fault> {
    let mut all = Vec::new();
    for (line, at) in r.texts(t, "faults", MOST_FAULTS, 100) {
        match fault_on(&line, bench) {
            Ok(fault) => all.push(fault),
            Err(message) => r.wrong(&at, message),
        }
    }
    all
}

fn formulas<'t>(
    r: &mut Reader<'t>,
    t: &mut Table<'_, 't>,
    key: &'static str,
    bench: Option<&Bench>,
) -> Vec<Formula> {
    let at = t.place(key);
    let mut all = Vec::new();
    let mut bits = 0;
    for (source, at) in r.texts(t, key, MOST_TRIALS, 2000) {
        let verdict = match parse_requirement(&source) {
            Ok(verdict) => verdict,
            Err(e) => {
                r.wrong_inside(&at, 1, e.column, e.message);
                continue;
            }
        };
        if let Some(bench) = bench {
            match sealin_proof::Formula::new(&verdict.of, &bench.design) {
                Ok(formula) => bits += formula.memory_bits(),
                Err(e) => r.wrong_inside(&at, 1, e.column, e.message),
            }
        }
        all.push(Formula { source, verdict });
    }
    if bits > MOST_MEMORY_BITS {
        r.wrong(&at, format!("the formulas need {bits} bits of memory; {MOST_MEMORY_BITS} are possible"));
    }
    all
}

fn trials<'t>(r: &mut Reader<'t>, t: &mut Table<'_, 't>, bench: Option<&Bench>) -> Vec<Trial> {
    let mut all: Vec<Trial> = Vec::new();
    for mut trial in r.tables(t, "trial", MOST_TRIALS) {
        let name = r.text(&mut trial, "name", 120);
        if name.is_empty() || all.iter().any(|other| other.name == name) {
            let at = trial.place("name");
            r.wrong(&at, format!("`{name}`: a name that no other trial here has is expected"));
        }
        let (script, source) = script(r, &mut trial, bench);
        r.finish(trial);
        all.push(Trial { name, script, source });
    }
    if all.is_empty() && !r.has_problems() {
        let at = t.at.clone();
        r.wrong(&at, "at least one [[requirement.trial]] is expected");
    }
    all
}

/// Reads the script under `steps`, which must fit the bench; empty when it cannot be read, which is noted.
pub(super) fn script<'t>(
    r: &mut Reader<'t>,
    t: &mut Table<'_, 't>,
    bench: Option<&Bench>,
) -> (steps::Script, String) {
    let at = t.place("steps");
    let source = r.text(t, "steps", steps::MOST_BYTES);
    match steps::parse(&source) {
        Ok(script) => {
            if let Some(bench) = bench {
                check(r, &at, &script, bench);
            }
            (script, source)
        }
        Err(errors) => {
            for e in errors {
                r.wrong_inside(&at, e.line, e.column, e.message);
            }
            Default::default()
        }
    }
}

/// Reads an id of letters and digits that is not `taken` yet.
pub(super) fn fresh_id<'t>(
    r: &mut Reader<'t>,
    t: &mut Table<'_, 't>,
    such_as: &str,
    taken: &dyn Fn(&str) -> bool,
) -> String {
    let id = r.text(t, "id", 20);
    if id.is_empty() || !id.chars().all(|c| c.is_ascii_alphanumeric()) || taken(&id) {
        let at = t.place("id");
        let expected = "an id of letters and digits of its own is expected";
        r.wrong(&at, format!("`{id}`: {expected}, such as {such_as}"));
    }
    id
}

/// Ids with blanks between must be those of requirements.
pub(super) fn known_ids(r: &mut Reader<'_>, at: &Range<usize>, ids: &str, requirements: &[Requirement]) {
    for id in ids.split_whitespace() {
        if !requirements.iter().any(|q| q.id == id) {
            r.wrong(at, format!("there is no requirement `{id}`"));
        }
    }
}

/// Every act and name must be there on the bench.
fn check(r: &mut Reader<'_>, at: &Range<usize>, script: &steps::Script, bench: &Bench) {
    for e in script.check(bench) {
        let by_id = script.steps.iter().any(|s| s.line == e.line && names_a_conductor(&s.kind));
        let hint = if by_id {
            "; a conductor that the learner makes is named by a terminal it ends at: conductor KF1:I4 open"
        } else {
            ""
        };
        r.wrong_inside(at, e.line, e.column, format!("{}{hint}", e.message));
    }
}

fn names_a_conductor(step: &StepKind) -> bool {
    let by_id = |fault: &Fault| fault.mode.is_of_conductor();
    matches!(step, StepKind::Act(BenchAct::Inject(fault) | BenchAct::Clear(fault)) if by_id(fault))
}

/// Reads the cause and effect matrix.
pub(super) fn matrix<'t>(
    r: &mut Reader<'t>,
    top: &mut Table<'_, 't>,
    requirements: &[Requirement],
) -> Matrix {
    if top.take("matrix").is_none() {
        return Matrix::default();
    }
    let Some(mut t) = r.table(top, "matrix") else { return Matrix::default() };
    let effects: Vec<String> =
        r.texts(&mut t, "effects", 20, 100).into_iter().map(|(text, _)| text).collect();
    let columns = effects.len() + 2;
    let mut rows = Vec::new();
    for row in r.rows(&mut t, "rows", columns..=columns, 200) {
        let mut cells = row.cells.into_iter();
        let cause = cells.next().map(|c| c.0).unwrap_or_default();
        let mut rest: Vec<_> = cells.collect();
        let last = rest.pop().unwrap_or_default();
        known_ids(r, &last.1, &last.0, requirements);
        let effects = rest.into_iter().map(|c| c.0).collect();
        rows.push(MatrixRow { cause, effects, requirements: last.0 });
    }
    r.finish(t);
    Matrix { effects, rows }
}
