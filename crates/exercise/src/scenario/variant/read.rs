//! Reads `[[variant]]` tables and refuses what cannot vary soundly.

use super::names::Names;
use super::texts::texts;
use super::words::marks;
use super::{Scenario, Variant, VariantKind, controller, deal};
use crate::scenario::reader::{Reader, Table};
use std::collections::BTreeSet;
use std::ops::Range;

/// Most variants of a scenario.
const MOST_VARIANTS: usize = 20;

/// Most names that one variant deals out.
const MOST_AMONG: usize = 64;

/// Longest name that is dealt out, bytes.
const LONGEST_NAME: usize = 20;

/// Highest wire number, and the widest range of them.
const MOST_NUMBER: u64 = 99_999;
const WIDEST_RANGE: u64 = 1_000;

/// Reads all `[[variant]]` tables.
pub(in crate::scenario) fn variants<'t>(
    r: &mut Reader<'t>,
    top: &mut Table<'_, 't>,
    s: &Scenario,
) -> Vec<Variant> {
    let mut all: Vec<Variant> = Vec::new();
    let mut taken = BTreeSet::new();
    for mut t in r.tables(top, "variant", MOST_VARIANTS) {
        let kind = VariantKind::ALL[r.word(&mut t, "kind", &VariantKind::ALL.map(VariantKind::word))];
        let among = r.texts(&mut t, "among", MOST_AMONG, LONGEST_NAME);
        for (name, at) in &among {
            if !taken.insert(name.clone()) {
                r.wrong(at, format!("`{name}` is dealt out twice; once is expected"));
            }
        }
        let (at, among_at) = (t.at.clone(), t.place("among"));
        let range = if kind == VariantKind::Numbers {
            numbers(r, &mut t, &among, s)
        } else {
            terminals(r, kind, &among, &among_at, s);
            (0, 0)
        };
        r.finish(t);
        all.push(Variant { kind, among: among.into_iter().map(|(name, _)| name).collect(), range });
        if !r.has_problems() {
            mentions(r, &at, &all[all.len() - 1..], s);
        }
    }
    if !r.has_problems() && !all.is_empty() {
        let at = top.place("variant");
        unknown_marks(r, &at, &all, s);
        long_scripts(r, &at, s);
        overlapping(r, &at, &all);
    }
    all
}

/// The terminals must belong to one group of the one controller: only then is one as good as another.
fn terminals(
    r: &mut Reader<'_>,
    kind: VariantKind,
    among: &[(String, Range<usize>)],
    at: &Range<usize>,
    s: &Scenario,
) {
    let Some((tag, controller)) = controller(s) else {
        return r.wrong(at, "terminals can be dealt out where there is one controller, and no other");
    };
    let groups: Vec<&[String]> = match kind {
        VariantKind::Inputs => controller.inputs.iter().map(|g| &g.channels[..]).collect(),
        _ => controller.outputs.iter().map(|g| &g.channels[..]).collect(),
    };
    if among.len() < 2 {
        r.wrong(at, format!("`among`: two terminals or more are expected, such as {tag}:I0"));
    }
    let group_of = |name: &str| {
        let channel = name.strip_prefix(tag)?.strip_prefix(':')?;
        groups.iter().position(|channels| channels.iter().any(|c| c == channel))
    };
    let first = among.first().and_then(|(name, _)| group_of(name));
    for (name, at) in among {
        let plain = name
            .split_once(':')
            .is_some_and(|(_, c)| c.bytes().all(|b| b.is_ascii_alphanumeric() || b == b'_'));
        match group_of(name) {
            None => r.wrong(
                at,
                format!("`{name}`: a terminal of a group of {} of {tag} is expected", kind.word()),
            ),
            Some(_) if !plain => {
                r.wrong(
                    at,
                    format!("`{name}`: only a terminal named by letters and digits can be dealt out"),
                );
            }
            group if group != first => r.wrong(
                at,
                format!(
                    "`{name}` is of another group than `{}`; what shares a common is expected",
                    among[0].0
                ),
            ),
            _ => {}
        }
    }
}

/// Each number must be one that the scenario has, and there must be enough others to draw from.
fn numbers<'t>(
    r: &mut Reader<'t>,
    t: &mut Table<'_, 't>,
    among: &[(String, Range<usize>)],
    s: &Scenario,
) -> (u32, u32) {
    let from = r.number(t, "from", 1..=MOST_NUMBER);
    let to_at = t.place("to");
    let to = r.number(t, "to", 1..=MOST_NUMBER);
    let used = deal::numbers_of(s);
    for (number, at) in among {
        if !used.contains(number.as_str()) {
            r.wrong(
                at,
                format!("`{number}`: a number of a conductor that is given or to be made is expected"),
            );
        }
    }
    if among.is_empty() {
        let at = t.place("among");
        r.wrong(&at, "`among`: one wire number or more is expected");
    }
    let range = (from as u32, to as u32);
    let names: Vec<String> = among.iter().map(|(name, _)| name.clone()).collect();
    if !(from..from + WIDEST_RANGE).contains(&to) {
        r.wrong(&to_at, format!("`to`: at most {WIDEST_RANGE} numbers from `from` on are expected"));
    } else if deal::free_numbers(s, &names, range).len() < names.len() {
        r.wrong(&to_at, format!("from {from} to {to} there are fewer than {} free numbers", names.len()));
    }
    range
}

/// A name that is dealt out may stand in a text only with a mark around it, and in the program only as an address.
fn mentions(r: &mut Reader<'_>, at: &Range<usize>, variants: &[Variant], s: &Scenario) {
    let names = Names::of_all(s, variants);
    for (place, text) in texts(s) {
        if let Some(found) = names.unmarked(&text) {
            r.wrong(
                at,
                format!(
                    "{place} speaks of `{found}`, which differs from learner to learner; write {{{found}}}"
                ),
            );
        }
    }
    if let Some(found) = names.bare_terminal(&s.program) {
        r.wrong(
            at,
            format!("the given program speaks of `{found}`, which differs from learner to learner; an address, or the device, is expected"),
        );
    }
}

/// What stands in a mark must be a name that some variant deals out.
fn unknown_marks(r: &mut Reader<'_>, at: &Range<usize>, variants: &[Variant], s: &Scenario) {
    let names = Names::of_all(s, variants);
    for (place, text) in texts(s) {
        for mark in marks(&text).filter(|mark| names.of_mark(mark).is_none()) {
            r.wrong(
                at,
                format!("{place} has {{{mark}}}; a name that a variant deals out is expected in braces"),
            );
        }
    }
}

/// Names may get longer: whatever is drawn, the scripts must stay within the bound of their reader.
fn long_scripts(r: &mut Reader<'_>, at: &Range<usize>, s: &Scenario) {
    const MOST_BYTES: usize = sealin_proof::steps::MOST_BYTES / LONGEST_NAME;
    let trials = s.requirements.iter().flat_map(|q| &q.trials).map(|t| &t.source);
    let asked = s.predictions.iter().flat_map(|p| p.answers.iter().map(|a| &a.source).chain([&p.source]));
    if trials.chain(asked).any(|source| source.len() > MOST_BYTES) {
        r.wrong(at, format!("where names are dealt out, a script of at most {MOST_BYTES} bytes is expected"));
    }
}

/// A number may be drawn once only.
fn overlapping(r: &mut Reader<'_>, at: &Range<usize>, variants: &[Variant]) {
    let mut ranges: Vec<_> =
        variants.iter().filter(|v| v.kind == VariantKind::Numbers).map(|v| v.range).collect();
    ranges.sort_unstable();
    if ranges.windows(2).any(|pair| pair[1].0 <= pair[0].1) {
        r.wrong(at, "ranges of wire numbers that have none in common are expected");
    }
}
