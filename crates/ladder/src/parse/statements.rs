//! `PROGRAM … END_PROGRAM` and the statements in it, each of which is a rung.

use super::edges::is_edge_name;
use super::expression::Expr;
use super::words::{a_call, is_reserved, noun};
use super::{Owner, Parser, Reported};
use crate::compiled::FIRST_SCAN;
use crate::lex::{Kind, Position};
use crate::model::{Area, Network, Output, Rung, Test, VarKind};

/// Statements that a ladder has no picture for, and the word that ends each.
const NOT_DRAWABLE: [(&str, &str); 6] = [
    ("FOR", "END_FOR"),
    ("WHILE", "END_WHILE"),
    ("REPEAT", "END_REPEAT"),
    ("CASE", "END_CASE"),
    ("RETURN", ";"),
    ("EXIT", ";"),
];

/// Words at which a statement that went wrong is given up, since a new part begins there.
const PART_WORDS: [&str; 5] = ["END_PROGRAM", "END_VAR", "VAR", "PROGRAM", "IF"];

impl Parser<'_> {
    /// Reads the whole text; gives the program's name.
    pub(super) fn program(&mut self) -> String {
        let name = self.head();
        let mut ended = false;
        while !self.at_end() {
            if self.is_word("END_PROGRAM") {
                self.rung_done(self.diagnostics.len());
                self.body_end = Some(self.next);
                self.advance();
                self.take_mark(";");
                ended = true;
                if !self.at_end() {
                    let at = self.start();
                    self.error_at(at, "the end of the text is expected after END_PROGRAM", None);
                }
                break;
            }
            if matches!(self.kind(), Kind::Word(word) if is_block_word(word)) {
                if !self.rungs.is_empty() {
                    let at = self.start();
                    self.error_at(
                        at,
                        "a rung or END_PROGRAM is expected",
                        Some("declarations stand before the first rung".to_owned()),
                    );
                }
                self.var_block();
            } else if self.take_mark(";") {
                // An empty statement is allowed (IEC 61131-3).
            } else {
                self.one_statement();
            }
        }
        if !ended {
            self.rung_done(self.diagnostics.len());
            self.expected("END_PROGRAM", None);
        }
        name
    }

    /// Reads a rung, or the call of an edge that belongs to the next one.
    fn one_statement(&mut self) {
        let first = self.next;
        self.body_start.get_or_insert(self.tokens[first].start.byte);
        if self.edge_call_begins() {
            if self.edge_call().is_err() {
                self.skip_statement(first);
            }
            return;
        }
        let errors = self.diagnostics.len();
        if self.statement(self.edges_from.unwrap_or(first)).is_err() {
            self.skip_statement(first);
        }
        self.rung_done(errors);
    }

    fn head(&mut self) -> String {
        if !self.take_word("PROGRAM") {
            self.expected("PROGRAM", Some("the text begins with PROGRAM and a name".to_owned()));
            return String::new();
        }
        match self.kind().clone() {
            Kind::Word(name) if !is_reserved(&name) => {
                self.advance();
                self.take_mark(";");
                name
            }
            kind => {
                self.expected("a name for the program", None);
                if matches!(kind, Kind::Word(word) if !is_block_word(&word) && !word.eq_ignore_ascii_case("END_PROGRAM"))
                {
                    self.advance();
                }
                String::new()
            }
        }
    }

    /// Whether a statement begins here: `name :=`, `name(` at the start of a line, or IF. Used to see where one broke off.
    pub(super) fn statement_begins(&self) -> bool {
        let Kind::Word(word) = self.kind() else { return false };
        if word.eq_ignore_ascii_case("IF") {
            return !matches!(self.kind_at(1), Kind::Mark(":"));
        }
        if is_reserved(word) {
            return false;
        }
        let starts_line = match self.next.checked_sub(1) {
            Some(previous) => self.tokens[previous].end.line < self.start().line,
            None => true,
        };
        match self.kind_at(1) {
            Kind::Mark(":=") => true,
            Kind::Mark("(") => starts_line,
            _ => false,
        }
    }

    fn statement(&mut self, first: usize) -> Result<(), Reported> {
        let at = self.start();
        let Kind::Word(word) = self.kind().clone() else {
            let hint = Some("a rung begins with the name that it drives".to_owned());
            return Err(self.error_at(at, "a rung or END_PROGRAM is expected", hint));
        };
        let upper = word.to_ascii_uppercase();
        if upper == "IF" {
            return self.set_or_reset(first);
        }
        if let Some((_, end)) = NOT_DRAWABLE.iter().find(|(begin, _)| *begin == upper) {
            self.error_at(
                at,
                format!("{upper} cannot be drawn as a rung"),
                Some("a rung is an assignment, a set, a reset or a block".to_owned()),
            );
            self.skip_past(&upper, end);
            return Ok(());
        }
        if is_reserved(&word) {
            let hint = Some(format!("{upper} is a word of the language"));
            return Err(self.error_at(at, "a rung or END_PROGRAM is expected", hint));
        }
        self.advance();
        if self.is_mark("(") {
            return self.block_call(first, &word, at);
        }
        if self.take_mark(".") {
            // Past the pin, which would look like the start of another statement.
            self.advance();
            let hint = Some(format!("the pins of {word} are written where it is called"));
            return Err(self.error_at(at, "a variable is expected on the left", hint));
        }
        if !self.take_mark(":=") {
            let hint = if self.is_mark("=") {
                "an assignment is written :="
            } else {
                "as in QA1_out := SF2_in AND SF1_in;"
            };
            return Err(self.expected(":=", Some(hint.to_owned())));
        }
        let target = self.target(&word, at);
        let expr = self.expression()?;
        self.end_statement()?;
        let Some(var) = target else { return Ok(()) };
        let (output, logic) = match expr {
            Expr::Not(inner, true) => (Output::Negated { var }, self.network(&inner)),
            Expr::Pulse { rung, test: Test::Falling, .. } => (Output::Falling { var }, Some(rung)),
            Expr::Pulse { rung, .. } => (Output::Rising { var }, Some(rung)),
            expr => (Output::Coil { var }, self.network(&expr)),
        };
        self.add(first, logic, output);
        Ok(())
    }

    /// The declared spelling of a name that a coil may write; none where it may not, which is reported.
    fn target(&mut self, word: &str, at: Position) -> Option<String> {
        if is_edge_name(word) {
            if !self.is_wrong_edge(word) {
                let hint = Some(format!("{word} is the edge contact of a rung; drive another name"));
                self.error_at(at, format!("{word} cannot be written"), hint);
            }
            return None;
        }
        let Some(var) = self.declared(word) else {
            self.not_declared(at, word);
            return None;
        };
        let (name, kind, address) = (var.name.clone(), var.kind, var.address);
        match (kind, address) {
            (VarKind::Bool, _) if name.eq_ignore_ascii_case(FIRST_SCAN) => {
                let hint = Some("the controller sets it in the first scan after a restart".to_owned());
                self.error_at(at, format!("{name} cannot be written"), hint);
                None
            }
            (VarKind::Block(block), _) => {
                let hint = Some(format!("{} is called: {}", noun(block), a_call(&name, block)));
                self.error_at(at, format!("a BOOL is expected on the left; {name} is {}", noun(block)), hint);
                None
            }
            (VarKind::Bool, Some(address)) if address.area == Area::Input => {
                let hint =
                    Some("an input is set by the field; drive an output or a bit without address".to_owned());
                self.error_at(at, format!("{name} is the input {address} and cannot be written"), hint);
                None
            }
            (VarKind::Bool, _) => Some(name),
        }
    }

    /// Reads `IF expr THEN q := TRUE; END_IF;`.
    fn set_or_reset(&mut self, first: usize) -> Result<(), Reported> {
        self.advance();
        let expr = match self.expression() {
            Ok(expr) => expr,
            Err(reported) => {
                self.skip_past("IF", "END_IF");
                let _: Reported = reported;
                return Ok(());
            }
        };
        if !self.take_word("THEN") {
            self.expected("AND, OR or THEN", None);
            self.skip_past("IF", "END_IF");
            return Ok(());
        }
        let at = self.start();
        let only = "IF draws as a set or reset coil: IF … THEN q := TRUE; END_IF; or the same with FALSE";
        let simple = match (self.kind().clone(), self.kind_at(1), self.kind_at(2).bit(), self.kind_at(3)) {
            (Kind::Word(word), Kind::Mark(":="), Some(value), Kind::Mark(";")) if !is_reserved(&word) => {
                Some((word, value))
            }
            _ => None,
        };
        let Some((word, value)) = simple else {
            self.error_at(at, "this IF cannot be drawn as a rung", Some(only.to_owned()));
            self.skip_past("IF", "END_IF");
            return Ok(());
        };
        let target = self.target(&word, at);
        for _ in 0..4 {
            self.advance();
        }
        if !self.take_word("END_IF") {
            if self.at_end() || PART_WORDS.iter().any(|word| self.is_word(word)) {
                self.expected("END_IF", None);
                return Ok(());
            }
            let at = self.start();
            self.error_at(at, "END_IF is expected: a rung drives one coil", Some(only.to_owned()));
            self.skip_past("IF", "END_IF");
            return Ok(());
        }
        self.end_statement()?;
        if let Some(var) = target {
            let output = if value { Output::Set { var } } else { Output::Reset { var } };
            let logic = self.network(&expr);
            self.add(first, logic, output);
        }
        Ok(())
    }

    pub(super) fn end_statement(&mut self) -> Result<(), Reported> {
        if self.take_mark(";") {
            return Ok(());
        }
        let goes_on =
            matches!(self.kind(), Kind::Word(word) if !is_reserved(word)) && !self.statement_begins();
        let what = if goes_on || matches!(self.kind(), Kind::Bool(_) | Kind::Number(_)) {
            "AND, OR or ;"
        } else {
            ";"
        };
        let hint = self.is_mark(")").then(|| "there is one ) too many".to_owned());
        let reported = self.expected(what, hint);
        let next_begins = self.statement_begins() || PART_WORDS.iter().any(|word| self.is_word(word));
        // What was read is whole, and the next rung can be read from here.
        if next_begins { Ok(()) } else { Err(reported) }
    }

    pub(super) fn add(&mut self, first: usize, logic: Option<Network>, output: Output) {
        let Some(logic) = logic else { return };
        let last = self.next - 1;
        self.edges_of_rung(self.rungs.len());
        self.add_span(first, last, Owner::Rung(self.rungs.len()));
        self.rungs.push(Rung { comment: String::new(), logic: logic.normal(), output });
    }

    /// Goes on after the semicolon of a call, or where another statement begins; its pins look like assignments, but
    /// are none unless a variable has the pin's name.
    pub(super) fn skip_call(&mut self) {
        while !self.at_end() && !self.take_mark(";") {
            let is_pin = self.pin_begins().is_some_and(|pin| !self.by_name.contains_key(&pin));
            if !is_pin && (self.statement_begins() || PART_WORDS.iter().any(|word| self.is_word(word))) {
                return;
            }
            self.advance();
        }
    }

    /// Goes on after the statement's semicolon, or where another begins.
    fn skip_statement(&mut self, first: usize) {
        while !self.at_end() {
            if self.next > first
                && (self.statement_begins() || PART_WORDS.iter().any(|word| self.is_word(word)))
            {
                return;
            }
            if self.take_mark(";") {
                return;
            }
            self.advance();
        }
    }

    /// Skips past the word that ends a statement, over others of its kind inside it, but not past END_PROGRAM.
    fn skip_past(&mut self, begin: &str, end: &str) {
        // The statement's own opening word is behind or at the reader.
        let mut depth = 1u32;
        if self.is_word(begin) {
            self.advance();
        }
        while !self.at_end() && !self.is_word("END_PROGRAM") {
            if self.is_word(begin) {
                depth += 1;
            } else if self.is_word(end) || self.is_mark(end) {
                depth -= 1;
            }
            self.advance();
            if depth == 0 {
                self.take_mark(";");
                return;
            }
        }
    }
}

/// Whether a word opens a block of declarations, as `VAR` or `VAR_INPUT`.
fn is_block_word(word: &str) -> bool {
    let upper = word.to_ascii_uppercase();
    upper == "VAR"
        || ["VAR_INPUT", "VAR_OUTPUT", "VAR_IN_OUT", "VAR_EXTERNAL", "VAR_GLOBAL", "VAR_TEMP"]
            .contains(&upper.as_str())
}
