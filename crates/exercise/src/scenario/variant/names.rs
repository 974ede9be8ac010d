//! Which name stands for which, and where names are found: in scripts, formulas and programs as their words, in texts in braces.

use super::texts::visit;
use super::words::{is_word, next_mark, word_end, words};
use super::{Scenario, Variant, VariantKind, controller};
use crate::scenario::{IoRow, Wires};
use sealin_core::canon::Writer;
use sealin_core::{Conductor, Terminal};
use sealin_proof::{Script, expr, steps};
use std::collections::BTreeMap;

/// Names as they are written, each with the one that stands for it.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub(crate) struct Names {
    /// Tag of the controller.
    tag: String,
    /// Terminals of the controller: `I0`.
    terminals: BTreeMap<String, String>,
    /// Bits of the images: `IX0.0`.
    addresses: BTreeMap<String, String>,
    /// Wire numbers.
    numbers: BTreeMap<String, String>,
}

impl Names {
    /// Every name that these variants deal out, standing for itself.
    pub(super) fn of_all(s: &Scenario, variants: &[Variant]) -> Names {
        let mut names = Names::default();
        for variant in variants {
            for name in &variant.among {
                names.give(s, variant.kind, name, name);
            }
        }
        names
    }

    /// Lets one name stand for another of its kind.
    pub(super) fn give(&mut self, s: &Scenario, kind: VariantKind, from: &str, to: &str) {
        if kind == VariantKind::Numbers {
            self.numbers.insert(from.to_string(), to.to_string());
            return;
        }
        let Some((tag, controller)) = controller(s) else { return };
        let (area, channels): (char, Vec<&String>) = match kind {
            VariantKind::Inputs => ('I', controller.inputs.iter().flat_map(|g| &g.channels).collect()),
            _ => ('Q', controller.outputs.iter().flat_map(|g| &g.channels).collect()),
        };
        // Channel k over all groups has bit k of the image.
        let found = |name: &str| {
            let channel = name.split_once(':').map_or(name, |(_, channel)| channel);
            let bit = channels.iter().position(|c| *c == channel)?;
            Some((channel.to_string(), format!("{area}X{}.{}", bit / 8, bit % 8)))
        };
        if let (Some((from, from_bit)), Some((to, to_bit))) = (found(from), found(to)) {
            self.tag = tag.to_string();
            self.terminals.insert(from, to);
            self.addresses.insert(from_bit, to_bit);
        }
    }

    /// Whether every name stands for itself.
    pub(super) fn is_empty(&self) -> bool {
        [&self.terminals, &self.addresses, &self.numbers].iter().all(|map| map.iter().all(|(a, b)| a == b))
    }

    /// What it counts by in canonical bytes.
    pub(crate) fn write(&self, w: &mut Writer) {
        for map in [&self.terminals, &self.numbers] {
            w.u64(map.len() as u64);
            for (from, to) in map {
                w.str(from).str(to);
            }
        }
    }

    /// A conductor with its ends and its number.
    pub(crate) fn conductor(&self, c: &Conductor) -> Conductor {
        let (from, to) = (self.terminal(&c.from), self.terminal(&c.to));
        Conductor { from, to, number: self.number(&c.number), ..c.clone() }
    }

    /// What a learner makes of the wiring.
    pub(crate) fn wires(&self, wires: &Wires) -> Wires {
        Wires { made: wires.made.iter().map(|c| self.conductor(c)).collect(), ..wires.clone() }
    }

    fn terminal(&self, t: &Terminal) -> Terminal {
        match self.terminals.get(&t.name) {
            Some(to) if t.part == self.tag => Terminal::new(&t.part, to),
            _ => t.clone(),
        }
    }

    fn dealt_out(&self, terminal: &str) -> bool {
        let name = Terminal::parse(terminal).filter(|t| t.part == self.tag);
        name.is_some_and(|t| self.terminals.contains_key(&t.name))
    }

    fn number(&self, number: &str) -> String {
        self.numbers.get(number).map_or(number, String::as_str).to_string()
    }

    /// A script, formula, fault or program, whose words may be names: `KF1:I0`, `KF1 I0`, `KF1.IX0.0`, `%IX0.0`.
    pub(crate) fn words(&self, text: &str) -> String {
        let mut out = String::with_capacity(text.len());
        let mut rest = text;
        while let Some(first) = rest.chars().next() {
            let end = word_end(rest);
            let (bytes, to) = match self.at_word(rest, end) {
                Some((bytes, to)) => (bytes, Some(to)),
                None => (end.max(first.len_utf8()), None),
            };
            out.push_str(to.as_deref().unwrap_or(&rest[..bytes]));
            rest = &rest[bytes..];
        }
        out
    }

    /// The name at the beginning of a text whose first word ends at byte `end`: its length and what stands for it.
    fn at_word(&self, text: &str, end: usize) -> Option<(usize, String)> {
        let (word, after) = text.split_at(end);
        if !word.is_empty() && word == self.tag {
            return self.behind_tag(word, after);
        }
        let bit = after.strip_prefix('.')?;
        let whole = &text[..end + 1 + word_end(bit)];
        let to = self.addresses.get(&whole.to_ascii_uppercase())?;
        Some((whole.len(), to.clone()))
    }

    /// A terminal behind the tag and a colon or point, or behind blanks, where it may be one of a pair.
    fn behind_tag(&self, tag: &str, after: &str) -> Option<(usize, String)> {
        let name = after.trim_start_matches([':', '.', ' ', '\t']);
        let between = &after[..after.len() - name.len()];
        let to = match between {
            "" => return None,
            ":" | "." => {
                let name = &name[..word_end(name)];
                (name.len(), self.terminals.get(name)?.clone())
            }
            _ => {
                let pair = &name[..name.find(|c: char| !is_word(c) && c != '-').unwrap_or(name.len())];
                if !pair.split('-').any(|name| self.terminals.contains_key(name)) {
                    return None;
                }
                let of = |name| self.terminals.get(name).map_or(name, String::as_str);
                (pair.len(), pair.split('-').map(of).collect::<Vec<_>>().join("-"))
            }
        };
        Some((tag.len() + between.len() + to.0, format!("{tag}{between}{}", to.1)))
    }

    /// A text that a person reads: names in braces, which go.
    fn marked(&self, text: &str) -> String {
        let mut out = String::with_capacity(text.len());
        let mut rest = text;
        while let Some((before, mark, after)) = next_mark(rest) {
            out.push_str(before);
            match self.of_mark(mark) {
                Some(to) => out.push_str(&to),
                None => out.push_str(&rest[before.len()..rest.len() - after.len()]),
            }
            rest = after;
        }
        out + rest
    }

    /// What stands for the name in a mark; none where it is not dealt out.
    pub(super) fn of_mark(&self, mark: &str) -> Option<String> {
        if let Some(to) = self.terminals.get(mark).or_else(|| self.numbers.get(mark)) {
            return Some(to.clone());
        }
        let name = mark.strip_prefix('%').unwrap_or(mark);
        let (bytes, to) = self.at_word(name, word_end(name))?;
        (bytes == name.len()).then(|| format!("{}{to}", &mark[..mark.len() - name.len()]))
    }

    /// A name that stands in a text without a mark.
    pub(super) fn unmarked(&self, text: &str) -> Option<String> {
        let mut rest = text;
        let mut plain = String::new();
        while let Some((before, _, after)) = next_mark(rest) {
            plain += before;
            // So that what stands on both sides does not become one word.
            plain.push('\n');
            rest = after;
        }
        plain += rest;
        let numbered = |word: &str| self.numbers.contains_key(word);
        words(&plain).find_map(|(at, word)| {
            if self.terminals.contains_key(word) || numbered(word) {
                return Some(word.to_string());
            }
            let (bytes, _) = self.at_word(&plain[at..], word.len()).filter(|_| word != self.tag)?;
            Some(plain[at..at + bytes].to_string())
        })
    }

    /// A terminal that stands in a program by its own name.
    pub(super) fn bare_terminal(&self, program: &str) -> Option<String> {
        words(program)
            .map(|(_, word)| word)
            .find(|word| self.terminals.contains_key(*word))
            .map(str::to_string)
    }

    /// Gives a scenario as it is written these names.
    pub(super) fn rename(&self, s: &mut Scenario) {
        visit(s, &mut |_, text| *text = self.marked(text));
        for c in &mut s.given {
            *c = self.conductor(c);
        }
        for row in &mut s.todo {
            (row.from, row.number) = (self.terminal(&row.from), self.number(&row.number));
        }
        self.rename_io(s);
        s.program = self.words(&s.program);
        s.alarms.iter_mut().for_each(|name| *name = self.words(name));
        for q in &mut s.requirements {
            for f in q.formulas.iter_mut().chain(&mut q.proof.assume) {
                f.source = self.words(&f.source);
                f.verdict = expr::parse_requirement(&f.source).expect("other names leave a formula its form");
            }
            for fault in &mut q.proof.faults {
                let line = self.words(&fault.to_string());
                *fault = sealin_core::Fault::parse(&line).expect("other names leave a fault its form");
            }
            q.trials.iter_mut().for_each(|t| self.rename_script(&mut t.source, &mut t.script));
        }
        for p in &mut s.predictions {
            self.rename_script(&mut p.source, &mut p.script);
            p.answers.iter_mut().for_each(|a| self.rename_script(&mut a.source, &mut a.script));
        }
    }

    fn rename_script(&self, source: &mut String, script: &mut Script) {
        *source = self.words(source);
        *script = steps::parse(source).expect("other names leave a script its form");
    }

    /// The rows of the I/O list stay in the order of their addresses.
    fn rename_io(&self, s: &mut Scenario) {
        let (mut places, mut rows) = (Vec::new(), Vec::new());
        for (place, row) in s.names.iter().enumerate() {
            if self.dealt_out(&row.terminal) {
                let terminal = self.words(&row.terminal);
                let address = self.words(&row.address);
                let row = IoRow { address, terminal, ..row.clone() };
                places.push(place);
                rows.push(row);
            }
        }
        rows.sort_by(|a, b| a.address.cmp(&b.address));
        for (place, row) in places.into_iter().zip(rows) {
            s.names[place] = row;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// I0 and I1 have changed places, Q0 and Q1 have, and 210 has become 217.
    fn names() -> Names {
        let both = |a: &str, b: &str| [(a.to_string(), b.to_string()), (b.to_string(), a.to_string())];
        Names {
            tag: "KF1".to_string(),
            terminals: both("I0", "I1").into_iter().chain(both("Q0", "Q1")).collect(),
            addresses: both("IX0.0", "IX0.1").into_iter().chain(both("QX0.0", "QX0.1")).collect(),
            numbers: [("210".to_string(), "217".to_string())].into(),
        }
    }

    #[test]
    fn words_of_scripts_formulas_and_programs() {
        for (text, wanted) in [
            ("inject conductor KF1:I0 open", "inject conductor KF1:I1 open"),
            ("inject KF1 I0 dead; wait 2s", "inject KF1 I1 dead; wait 2s"),
            ("inject KF1  CQ1-Q0 stuck closed", "inject KF1  CQ1-Q1 stuck closed"),
            ("restart KF1 cold", "restart KF1 cold"),
            ("expect KF1.Q0.welded", "expect KF1.Q1.welded"),
            ("never (KF1.IX0.0 and IX0.1 and KF1.on)", "never (KF1.IX0.1 and IX0.0 and KF1.on)"),
            ("KF1 IX0.0", "KF1 IX0.1"),
            ("a AT %IX0.0 : BOOL; b at %qx0.1 : bool;", "a AT %IX0.1 : BOOL; b at %QX0.0 : bool;"),
            // Names of others.
            (
                "KF2:I0 KF1:I01 KF1x:I0 XIX0.0 IX0.10 IX1.0 I0",
                "KF2:I0 KF1:I01 KF1x:I0 XIX0.0 IX0.10 IX1.0 I0",
            ),
            ("é: IX0.0 €", "é: IX0.1 €"),
            ("KF1:", "KF1:"),
            ("KF1", "KF1"),
        ] {
            assert_eq!(names().words(text), wanted);
        }
    }

    #[test]
    fn marks_in_texts() {
        for (text, wanted) in [
            ("{I0}, {KF1:I0}, {%IX0.0}, {IX0.0}, wire {210}", "I1, KF1:I1, %IX0.1, IX0.1, wire 217"),
            ("I0 {I9} { I0 } {I0", "I0 {I9} { I0 } {I0"),
            ("{\n{I0}", "{\nI1"),
        ] {
            assert_eq!(names().marked(text), wanted);
        }
        let found = |text| names().unmarked(text);
        assert_eq!(found("{I0} and {210}, I01, 2100"), None);
        assert_eq!(found("see I0.").as_deref(), Some("I0"));
        assert_eq!(found("bit %IX0.1!").as_deref(), Some("IX0.1"));
        assert_eq!(found("wire 210").as_deref(), Some("210"));
    }
}
