//! Variables, and what the texts in elements name.

use std::collections::BTreeMap;

use super::super::document::Element;
use super::Reading;
use super::short;
use crate::block::{Block, Preset};
use crate::lex::normal_comment;
use crate::model::{Address, Area, Constant, Operand, Var, VarKind};
use crate::parse::{is_edge_name, is_reserved, read_address};
use crate::time::read_time;

/// The declared variables.
#[derive(Default)]
pub(super) struct Names {
    pub vars: Vec<Var>,
    /// Index of each, by name in capitals; several names may stand for one.
    by_name: BTreeMap<String, usize>,
    by_address: BTreeMap<Address, usize>,
    /// By the beginning of a name of our own: the number last given.
    numbers: BTreeMap<String, u32>,
}

/// A Boolean that a text names.
pub(super) enum Bit {
    Constant(bool),
    /// A variable, or a pin of a block.
    Name(String),
}

/// Whether a text can be the name of a variable or program (IEC 61131-3, identifiers).
pub(super) fn is_name(text: &str) -> bool {
    let begins = text.starts_with(|c: char| c.is_ascii_alphabetic() || c == '_');
    let letters = text.bytes().all(|c| c.is_ascii_alphanumeric() || c == b'_');
    let literal = ["TRUE", "FALSE"].iter().any(|word| text.eq_ignore_ascii_case(word));
    begins
        && letters
        && !literal
        && !text.contains("__")
        && !text.ends_with('_')
        && !is_reserved(text)
        && !is_edge_name(text)
}

/// What stands behind one of these prefixes, in any case of letters.
pub(super) fn after_prefix<'a>(text: &'a str, prefixes: &[&str]) -> Option<&'a str> {
    prefixes.iter().find_map(|prefix| {
        let head = text.get(..prefix.len())?;
        head.eq_ignore_ascii_case(prefix).then(|| &text[prefix.len()..])
    })
}

impl Names {
    pub fn knows(&self, name: &str) -> bool {
        self.by_name.contains_key(&name.to_ascii_uppercase())
    }

    pub fn var(&self, name: &str) -> Option<&Var> {
        self.by_name.get(&name.to_ascii_uppercase()).map(|index| &self.vars[*index])
    }

    fn add(&mut self, var: Var) {
        let index = self.vars.len();
        self.by_name.insert(var.name.to_ascii_uppercase(), index);
        if let Some(address) = var.address {
            self.by_address.insert(address, index);
        }
        self.vars.push(var);
    }

    /// A name like another one that a variable can have and none has.
    pub fn free(&mut self, like: &str) -> String {
        let mut base = String::new();
        for letter in like.chars().map(|c| if c.is_ascii_alphanumeric() { c } else { '_' }) {
            if letter != '_' || !base.ends_with('_') {
                base.push(letter);
            }
        }
        base.truncate(base.trim_end_matches('_').len());
        if base.is_empty() || base.starts_with(|c: char| c.is_ascii_digit()) {
            base.insert(0, 'v');
        }
        if is_name(&base) && !self.knows(&base) {
            return base;
        }
        // A number behind a number would read as another one.
        if base.ends_with(|c: char| c.is_ascii_digit()) {
            base.push('_');
        }
        let mut number = self.numbers.get(&base).copied().unwrap_or(1);
        loop {
            number += 1;
            let name = format!("{base}{number}");
            if is_name(&name) && !self.knows(&name) {
                self.numbers.insert(base, number);
                return name;
            }
        }
    }

    /// Declares a bit of our own, called after another.
    pub fn add_bit(&mut self, base: &str, address: Option<Address>) -> String {
        let name = self.free(base);
        let (kind, comment) = (VarKind::Bool, String::new());
        self.add(Var { name: name.clone(), address, kind, initial: false, retain: false, comment });
        name
    }

    /// The variable at an address, declared if there is none.
    fn at(&mut self, text: &str) -> Result<&Var, String> {
        let address = read_address(text)?;
        if !self.by_address.contains_key(&address) {
            let name = format!("{}X{}_{}", address.area.letter(), address.byte, address.bit);
            self.add_bit(&name, Some(address));
        }
        Ok(&self.vars[self.by_address[&address]])
    }

    /// The Boolean that a text names. The error says what is expected.
    pub fn bit(&mut self, text: &str) -> Result<Bit, String> {
        let text = text.trim();
        match after_prefix(text, &["BOOL#"]).unwrap_or(text).to_ascii_uppercase().as_str() {
            "TRUE" | "1" => return Ok(Bit::Constant(true)),
            "FALSE" | "0" => return Ok(Bit::Constant(false)),
            _ => {}
        }
        if text.starts_with('%') {
            return Ok(Bit::Name(self.at(text)?.name.clone()));
        }
        let (name, pin) = split(text);
        match (self.var(name), pin) {
            (Some(Var { name, kind: VarKind::Bool, .. }), None) => Ok(Bit::Name(name.clone())),
            (Some(Var { name, kind: VarKind::Block(block), .. }), Some(pin)) => {
                let pin = block.bits().find(|known| known.eq_ignore_ascii_case(pin));
                let pin =
                    pin.ok_or_else(|| format!("{} is no Boolean pin of a {}", short(text), block.word()))?;
                Ok(Bit::Name(format!("{name}.{pin}")))
            }
            _ => Err(format!("{} is no Boolean variable or pin that is known", short(text))),
        }
    }

    /// The variable that a coil of this text writes.
    pub fn written(&mut self, text: &str) -> Result<String, String> {
        let text = text.trim();
        let var = if text.starts_with('%') { Some(self.at(text)?) } else { self.var(text) };
        match var {
            Some(Var { name, address: Some(Address { area: Area::Input, .. }), .. }) => {
                Err(format!("{name} is an input, which the field sets"))
            }
            Some(Var { name, kind: VarKind::Bool, .. }) => Ok(name.clone()),
            _ => Err(format!("{} is no Boolean variable that is known", short(text))),
        }
    }

    /// The time or count that a text names, with its sort.
    pub fn value(&self, text: &str) -> Result<(Operand, Preset), String> {
        let text = text.trim();
        if let Some(figure) = constant(text) {
            return Ok((Operand::Constant(figure), figure.sort()));
        }
        let (name, pin) = split(text);
        if let (Some(Var { kind: VarKind::Block(block), .. }), Some(pin)) = (self.var(name), pin) {
            return self.pin(name, *block, pin);
        }
        Err(format!("{} is no time or count that is known", short(text)))
    }

    /// The time or count that a block has at an output.
    pub fn pin(&self, name: &str, block: Block, pin: &str) -> Result<(Operand, Preset), String> {
        match (self.var(name), block.preset()) {
            (Some(var), Some(sort))
                if var.kind == VarKind::Block(block) && sort.value().eq_ignore_ascii_case(pin) =>
            {
                Ok((Operand::Value(format!("{}.{}", var.name, sort.value())), sort))
            }
            _ => Err(format!("{} of a {} is no time or count", short(pin), block.word())),
        }
    }
}

/// A duration or a count.
pub(super) fn constant(text: &str) -> Option<Constant> {
    if let Some(body) = after_prefix(text, &["T#", "TIME#"]) {
        return read_time(body).ok().map(Constant::Time);
    }
    let digits = after_prefix(text, &["INT#"]).unwrap_or(text);
    let parted = digits.split('_').all(|group| !group.is_empty());
    parted.then(|| digits.replace('_', "").parse().ok().map(Constant::Count)).flatten()
}

/// A name and the pin behind its point.
fn split(text: &str) -> (&str, Option<&str>) {
    text.split_once('.').map_or((text, None), |(name, pin)| (name.trim(), Some(pin.trim())))
}

impl<'d> Reading<'d> {
    /// Reads a variable.
    pub(super) fn declare(&mut self, variable: Element<'d>, retain: bool) {
        let variable = variable.see();
        variable.attribute("globalId");
        let name = variable.attribute("name").unwrap_or_default();
        let shown = short(name);
        if name.trim().is_empty() || self.names.knows(name) {
            let why = if name.trim().is_empty() { "it has no name" } else { "it is declared already" };
            variable.see_all();
            return self.note(variable, &format!("{shown}: {why}; left out"));
        }
        let Some(kind) = kind(variable) else {
            let sort = variable.one("type").and_then(|sort| sort.elements().next());
            let sort = sort.map_or("", |sort| sort.peek("name").unwrap_or(sort.name()));
            let sort = short(sort);
            variable.see_all();
            let done = format!("{shown} is of the type {sort}, which is not read; left out");
            return self.note(variable, &done);
        };
        let address = self.address(variable, kind);
        let initial = self.initial(variable, kind, address);
        let texts: Vec<String> = variable.all("documentation").map(|text| text.text()).collect();
        let comment = normal_comment(&texts.join("\n"));
        if let Some(index) = address.and_then(|address| self.names.by_address.get(&address)).copied() {
            self.names.by_name.insert(name.to_ascii_uppercase(), index);
            let first = self.names.vars[index].name.clone();
            return self
                .note(variable, &format!("{shown} has the address of {first}; it is read as {first}"));
        }
        let ours = if is_name(name) { name.to_owned() } else { self.names.free(name) };
        if ours != name {
            self.note(
                variable,
                &format!("{shown} is no name that a variable can have here; it is read as {ours}"),
            );
            self.names.by_name.insert(name.to_ascii_uppercase(), self.names.vars.len());
        }
        self.names.add(Var { name: ours, address, kind, initial, retain, comment });
    }

    fn address(&mut self, variable: Element<'d>, kind: VarKind) -> Option<Address> {
        let text = variable.attribute("address").filter(|text| !text.trim().is_empty())?;
        let wrong = match read_address(text.trim()) {
            Ok(address) if kind == VarKind::Bool => return Some(address),
            Ok(_) => "a block has no address".to_owned(),
            Err(wrong) => wrong,
        };
        self.note(variable, &format!("{}: {wrong}; it is read as a variable without address", short(text)));
        None
    }

    fn initial(&mut self, variable: Element<'d>, kind: VarKind, address: Option<Address>) -> bool {
        let Some(given) = variable.one("initialValue") else { return false };
        let text = given.one("simpleValue").and_then(|value| value.attribute("value")).unwrap_or_default();
        let value = match self.names.bit(text) {
            Ok(Bit::Constant(value)) if kind == VarKind::Bool => value,
            _ => {
                given.see_all();
                self.note(
                    variable,
                    &format!("its initial value {} is not read; it begins with 0", short(text)),
                );
                return false;
            }
        };
        let is_input = address.is_some_and(|address| address.area == Area::Input);
        if value && is_input {
            self.note(
                variable,
                "the field sets an input, before the first scan too; its initial value is left out",
            );
        }
        value && !is_input
    }
}

/// The sort of a variable; none if it is not one of ours.
fn kind(variable: Element<'_>) -> Option<VarKind> {
    let sort = variable.one("type")?.elements().next()?;
    if sort.is("BOOL") {
        sort.see();
        return Some(VarKind::Bool);
    }
    let block = sort.is("derived").then(|| sort.peek("name").and_then(Block::from_word)).flatten()?;
    sort.see().attribute("name");
    Some(VarKind::Block(block))
}
