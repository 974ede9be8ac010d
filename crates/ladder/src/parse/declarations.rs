//! `VAR … END_VAR`.

use super::edges::is_edge_name;
use super::words::{is_reserved, noun};
use super::{Declared, Owner, Parser, Reported, VarBlock};
use crate::block::Block;
use crate::compiled::FIRST_SCAN;
use crate::lex::{Kind, Position};
use crate::model::{Address, Area, Var, VarKind};

/// What follows the names of a declaration, with the places where something may be wrong.
struct Declaration {
    kind: VarKind,
    kind_at: Position,
    address: Option<(Address, Position)>,
    /// Where `AT` stands, if it does.
    address_at: Position,
    initial: Option<bool>,
    /// Where `:=` stands, if it does.
    initial_at: Position,
    retain: bool,
    /// Whether it declares one name.
    alone: bool,
}

impl Parser<'_> {
    /// Reads a block from `VAR` to `END_VAR`.
    pub(super) fn var_block(&mut self) {
        let opened = self.start();
        let block = self.next;
        self.first_block.get_or_insert(block);
        self.block_word();
        self.advance();
        let mut retain = false;
        loop {
            if self.take_word("RETAIN") {
                retain = true;
            } else if self.is_word("CONSTANT") {
                let at = self.start();
                self.error_at(
                    at,
                    "a constant cannot be drawn",
                    Some("write TRUE or FALSE in the rung".to_owned()),
                );
                self.advance();
            } else if !self.take_word("NON_RETAIN") {
                break;
            }
        }
        loop {
            if self.is_word("END_VAR") {
                let end = self.next;
                self.advance();
                self.take_mark(";");
                self.end_block(block, end);
                return;
            }
            let ends_early = ["PROGRAM", "END_PROGRAM", "VAR"].iter().any(|word| self.is_word(word));
            if self.at_end() || ends_early || self.statement_begins() {
                let hint = format!("the VAR of line {} has no end", opened.line);
                self.expected("END_VAR", Some(hint));
                self.end_block(block, self.next);
                return;
            }
            if self.declaration(retain).is_err() {
                self.skip_declaration();
            }
        }
    }

    /// Notes the block that began at the token `first` and has ended, with `END_VAR` at `end`.
    fn end_block(&mut self, first: usize, end: usize) {
        let mut inside = self.spans.iter().rev().take_while(|span| span.first > first).peekable();
        let only_edges = inside.peek().is_some() && inside.all(|span| matches!(span.owner, Owner::Edge(_)));
        let place = self.place(first, self.next - 1);
        self.var_blocks.push(VarBlock { first, end, place, only_edges });
    }

    /// Reports `VAR_INPUT` and its like; the block is then read as `VAR`.
    fn block_word(&mut self) {
        if !self.is_word("VAR") {
            let at = self.start();
            let hint = "a program of the bench has VAR and VAR RETAIN; inputs are VAR … AT %IX";
            self.error_at(at, "VAR is expected", Some(hint.to_owned()));
        }
    }

    /// Reads `a, b AT %QX0.1 : BOOL := TRUE;`.
    fn declaration(&mut self, retain: bool) -> Result<(), Reported> {
        let first = self.next;
        let mut names: Vec<(String, Position)> = Vec::new();
        loop {
            let at = self.start();
            let name = self.new_name()?;
            names.push((name, at));
            if !self.take_mark(",") {
                break;
            }
        }
        let mut address = None;
        let address_at = self.start();
        if self.take_word("AT") {
            let at = self.start();
            address = self.address()?.map(|address| (address, at));
            if names.len() > 1 {
                let hint = Some("declare each name with its own address".to_owned());
                self.error_at(at, "one name is expected before AT", hint);
                address = None;
            }
        }
        if !self.take_mark(":") {
            let what = if address.is_some() { ":" } else { "AT or :" };
            return Err(self.expected(what, Some("as in SF1_in AT %IX0.0 : BOOL;".to_owned())));
        }
        let kind_at = self.start();
        let kind = self.var_kind()?;
        if let (VarKind::Block(_), Some((address, _))) = (kind, address) {
            self.error_at(kind_at, format!("BOOL is expected: {address} is one bit"), None);
            return self.end_declaration();
        }
        let initial_at = self.start();
        let initial = if self.take_mark(":=") { Some(self.initial(kind, initial_at)?) } else { None };
        if initial.is_some() && address.is_some_and(|(address, _)| address.area == Area::Input) {
            let hint = Some("the field sets an input, before the first scan too".to_owned());
            self.error_at(initial_at, "; is expected: an input has no initial value", hint);
        }
        let ended = self.end_declaration();
        let tokens = (first, self.next - 1);
        let alone = names.len() == 1;
        let what = Declaration { kind, kind_at, address, address_at, initial, initial_at, retain, alone };
        for (name, at) in names {
            if is_edge_name(&name) {
                self.edge_declared(name, at, &what, tokens);
            } else {
                self.declare(name, at, &what, tokens);
            }
        }
        ended
    }

    /// Reads what stands after `:=`.
    fn initial(&mut self, kind: VarKind, at: Position) -> Result<bool, Reported> {
        let value = match (self.kind().bit(), kind) {
            (Some(value), VarKind::Bool) => value,
            (None, VarKind::Bool) => return Err(self.expected("TRUE or FALSE", None)),
            (_, VarKind::Block(block)) => {
                let hint =
                    block.preset().map(|preset| format!("{} is given where it is called", preset.pin()));
                let message = format!("; is expected: {} has no initial value", noun(block));
                return Err(self.error_at(at, message, hint));
            }
        };
        self.advance();
        Ok(value)
    }

    /// Takes a variable in.
    fn declare(&mut self, name: String, at: Position, what: &Declaration, (first, last): (usize, usize)) {
        let key = name.to_ascii_uppercase();
        if let Some(declared) = self.by_name.get(&key) {
            let message = format!("{name} is declared already, in line {}", declared.line);
            self.error_at(at, message, Some("choose another name".to_owned()));
            return;
        }
        if let Some((address, address_at)) = what.address
            && let Some(other) = self.vars.iter().find(|var| var.address == Some(address))
        {
            let message = format!("{address} belongs to {} already", other.name);
            self.error_at(address_at, message, Some("use that name, or another address".to_owned()));
            // The name is known all the same, or every use of it would be reported too.
        }
        let mut initial = what.initial.unwrap_or(false);
        let mut address = what.address.map(|(address, _)| address);
        let mut kind = what.kind;
        if name.eq_ignore_ascii_case(FIRST_SCAN) {
            self.first_scan_declared(what);
            (initial, address, kind) = (false, None, VarKind::Bool);
        }
        initial &= address.is_none_or(|address| address.area != Area::Input);
        self.by_name.insert(key, Declared { index: self.vars.len(), line: at.line });
        self.add_span(first, last, Owner::Var(self.vars.len()));
        let comment = String::new();
        self.vars.push(Var { name, address, kind, initial, retain: what.retain, comment });
    }

    /// Reports what a declaration of the first-scan bit has too much.
    fn first_scan_declared(&mut self, what: &Declaration) {
        let hint = || {
            Some(format!("the controller sets it in the first scan after a restart: {FIRST_SCAN} : BOOL;"))
        };
        if what.kind != VarKind::Bool {
            self.error_at(what.kind_at, format!("BOOL is expected: {FIRST_SCAN} is a bit"), hint());
        }
        if what.address.is_some() {
            self.error_at(what.address_at, format!(": is expected: {FIRST_SCAN} has no address"), hint());
        }
        if what.initial.is_some() {
            self.error_at(
                what.initial_at,
                format!("; is expected: {FIRST_SCAN} has no initial value"),
                hint(),
            );
        }
    }

    /// Takes in a declaration of a name that is kept for edges.
    fn edge_declared(&mut self, name: String, at: Position, what: &Declaration, tokens: (usize, usize)) {
        let block = match what.kind {
            VarKind::Block(block @ (Block::RTrig | Block::FTrig)) => Some(block),
            _ => None,
        };
        let wrong = if block.is_none() {
            let hint = "edge_1, edge_2, … are kept for the edge contacts of rungs, as edge_1 : R_TRIG; choose another name";
            Some((format!("{name} is a reserved name"), hint))
        } else if !what.alone {
            let hint = "edges come and go with their rungs: edge_1 : R_TRIG; edge_2 : R_TRIG;";
            Some((format!("{name} is expected in a declaration of its own"), hint))
        } else if what.retain {
            let hint = "the edge contact of a rung is not retained; an R_TRIG with another name may be";
            Some((format!("{name} is expected in a VAR without RETAIN"), hint))
        } else {
            None
        };
        if let Some((message, hint)) = wrong {
            self.error_at(at, message, Some(hint.to_owned()));
            self.declare_edge(name, at, None, tokens);
        } else {
            self.declare_edge(name, at, block, tokens);
        }
    }

    fn end_declaration(&mut self) -> Result<(), Reported> {
        if self.take_mark(";") {
            return Ok(());
        }
        let reported = self.expected(";", None);
        // A next declaration or the end of the block can be read on from here.
        let next_begins = matches!(self.kind(), Kind::Word(_));
        if next_begins { Ok(()) } else { Err(reported) }
    }

    fn new_name(&mut self) -> Result<String, Reported> {
        let at = self.start();
        match self.kind().clone() {
            Kind::Word(name) if is_reserved(&name) => {
                let hint = Some(format!("{} is a word of the language", name.to_ascii_uppercase()));
                Err(self.error_at(at, "a name is expected", hint))
            }
            Kind::Word(name) => {
                self.advance();
                Ok(name)
            }
            _ => Err(self.error_at(at, "a name or END_VAR is expected", None)),
        }
    }

    /// Reads an address; none where it was wrong and has been reported, but ends where one should.
    fn address(&mut self) -> Result<Option<Address>, Reported> {
        let at = self.start();
        let Kind::Address(text) = self.kind().clone() else {
            return Err(self.expected("an address such as %IX0.5", None));
        };
        self.advance();
        match read_address(&text) {
            Ok(address) => Ok(Some(address)),
            Err(message) => {
                self.error_at(at, message, None);
                Ok(None)
            }
        }
    }

    fn var_kind(&mut self) -> Result<VarKind, Reported> {
        let at = self.start();
        let Kind::Word(word) = self.kind().clone() else {
            return Err(self.expected("BOOL or a block such as TON", None));
        };
        let kind = match Block::from_word(&word) {
            Some(block) => VarKind::Block(block),
            None if word.eq_ignore_ascii_case("BOOL") => VarKind::Bool,
            None => {
                let known = Block::ALL.map(Block::word).join(", ");
                let hint = Some(format!("{word} is not known to this controller; it has BOOL, {known}"));
                return Err(self.error_at(at, "BOOL or a block such as TON is expected", hint));
            }
        };
        self.advance();
        Ok(kind)
    }

    /// Goes on after the declaration's semicolon, or before what cannot belong to it.
    fn skip_declaration(&mut self) {
        let line = self.start().line;
        let mut moved = false;
        while !self.at_end()
            && !self.is_word("END_VAR")
            && !self.is_word("END_PROGRAM")
            && !self.is_word("VAR")
        {
            if self.take_mark(";") {
                return;
            }
            if moved && self.start().line > line && matches!(self.kind(), Kind::Word(_)) {
                return;
            }
            self.advance();
            moved = true;
        }
    }
}

/// Reads `%IX0.5`. `%I0.5` is the same, since X is the size when none is given (IEC 61131-3). The error says what was
/// expected.
pub(crate) fn read_address(text: &str) -> Result<Address, String> {
    let bad = || "an address such as %IX0.5, %QX0.1 or %MX3.0 is expected".to_owned();
    let upper = text.to_ascii_uppercase();
    let body = upper.strip_prefix('%').unwrap_or(&upper);
    let mut chars = body.chars();
    let area = match chars.next() {
        Some('I') => Area::Input,
        Some('Q') => Area::Output,
        Some('M') => Area::Memory,
        _ => return Err(bad()),
    };
    let numbers = chars.as_str();
    if numbers.starts_with(['B', 'W', 'D', 'L']) {
        return Err(format!("a single bit such as %{}X0.5 is expected", area.letter()));
    }
    let numbers = numbers.strip_prefix('X').unwrap_or(numbers);
    let number = |digits: &str| {
        let all_digits = !digits.is_empty() && digits.bytes().all(|b| b.is_ascii_digit());
        // More than nine digits are out of any range.
        all_digits.then(|| digits.parse::<u32>().unwrap_or(u32::MAX))
    };
    let Some((byte, bit)) =
        numbers.split_once('.').and_then(|(byte, bit)| Some((number(byte)?, number(bit)?)))
    else {
        return Err(bad());
    };
    let most = if area == Area::Memory { u8::MAX } else { Address::MAX_IMAGE_BYTE };
    match (u8::try_from(byte), u8::try_from(bit)) {
        (_, Err(_)) | (_, Ok(8..)) => Err("a bit from 0 to 7 is expected after the point".to_owned()),
        (Ok(byte), Ok(bit)) if byte <= most => Ok(Address { area, byte, bit }),
        _ => Err(format!("a byte from 0 to {most} is expected in an address of this area")),
    }
}
