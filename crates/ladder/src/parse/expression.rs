//! Boolean expressions, by precedence: parentheses, NOT, AND, OR.

use super::words::{is_reserved, nearest};
use super::{MAX_NESTING, Parser, Reported};
use crate::diagnostic::MAX_DIAGNOSTICS;
use crate::lex::Kind;
use crate::model::{Network, Test, VarKind};

/// An expression as written, before NOT over a group is pushed down to the contacts.
pub(super) enum Expr {
    Bit(String),
    Constant(bool),
    /// The opposite; whether what follows NOT stands in parentheses.
    Not(Box<Expr>, bool),
    And(Vec<Expr>),
    Or(Vec<Expr>),
    /// Something wrong, which has been reported.
    Wrong,
}

impl Expr {
    /// The network that passes when the expression equals `wanted`, by De Morgan's laws; none if any of it is wrong.
    pub(super) fn network(&self, wanted: bool) -> Option<Network> {
        let all = |parts: &[Expr]| parts.iter().map(|part| part.network(wanted)).collect::<Option<Vec<_>>>();
        Some(match self {
            Expr::Bit(var) => Network::bit(var.clone(), if wanted { Test::Open } else { Test::Closed }),
            Expr::Constant(value) if *value == wanted => Network::True,
            Expr::Constant(_) => Network::False,
            Expr::Not(inner, _) => inner.network(!wanted)?,
            Expr::And(parts) if wanted => Network::Series(all(parts)?),
            Expr::Or(parts) if !wanted => Network::Series(all(parts)?),
            Expr::And(parts) | Expr::Or(parts) => Network::Parallel(all(parts)?),
            Expr::Wrong => return None,
        })
    }
}

/// Operators that give or take something other than contacts in series and parallel.
const NOT_DRAWABLE: [&str; 12] = ["=", "<>", "<", ">", "<=", ">=", "+", "-", "*", "/", "**", "XOR"];

impl Parser<'_> {
    /// Reads an expression. An error that the rest can still be read after gives [`Expr::Wrong`] in its place.
    pub(super) fn expression(&mut self) -> Result<Expr, Reported> {
        self.any_of(0)
    }

    fn any_of(&mut self, depth: u32) -> Result<Expr, Reported> {
        let mut parts = vec![self.all_of(depth)?];
        while self.take_word("OR") {
            parts.push(self.all_of(depth)?);
        }
        Ok(if parts.len() == 1 { parts.swap_remove(0) } else { Expr::Or(parts) })
    }

    fn all_of(&mut self, depth: u32) -> Result<Expr, Reported> {
        let mut parts = vec![self.opposite(depth)?];
        loop {
            if self.take_word("AND") || self.take_mark("&") {
                parts.push(self.opposite(depth)?);
            } else if self.operator_not_drawable() {
                self.advance();
                self.opposite(depth)?;
                parts.push(Expr::Wrong);
            } else {
                break;
            }
        }
        Ok(if parts.len() == 1 { parts.swap_remove(0) } else { Expr::And(parts) })
    }

    /// Whether an operator that a rung cannot show comes next; it is then reported.
    fn operator_not_drawable(&mut self) -> bool {
        let shown = match self.kind() {
            Kind::Mark(mark) if NOT_DRAWABLE.contains(mark) => (*mark).to_owned(),
            Kind::Word(word) if word.eq_ignore_ascii_case("XOR") || word.eq_ignore_ascii_case("MOD") => {
                word.to_ascii_uppercase()
            }
            _ => return false,
        };
        let hint = match shown.as_str() {
            "XOR" | "<>" => "a and b differ: a AND NOT b OR NOT a AND b",
            "=" if matches!(self.kind_at(1), Kind::Bool(_)) => "a bit stands alone: a, or NOT a",
            "=" => "a and b are equal: a AND b OR NOT a AND NOT b",
            _ => "a rung has AND, OR, NOT and parentheses",
        };
        let at = self.start();
        self.error_at(at, format!("{shown} cannot be drawn as a rung"), Some(hint.to_owned()));
        true
    }

    /// Reads any number of NOT and what they stand before.
    fn opposite(&mut self, depth: u32) -> Result<Expr, Reported> {
        let mut opposite = false;
        while self.take_word("NOT") {
            opposite = !opposite;
        }
        let grouped = self.is_mark("(");
        let expr = self.primary(depth)?;
        Ok(if opposite { Expr::Not(Box::new(expr), grouped) } else { expr })
    }

    fn primary(&mut self, depth: u32) -> Result<Expr, Reported> {
        match self.kind().clone() {
            Kind::Bool(value) => {
                self.advance();
                Ok(Expr::Constant(value))
            }
            Kind::Mark("(") => self.group(depth),
            Kind::Word(word) if !is_reserved(&word) && !self.statement_begins() => Ok(self.bit(&word)),
            Kind::Address(text) => {
                let at = self.start();
                self.advance();
                let owner = super::declarations::read_address(&text)
                    .ok()
                    .and_then(|address| self.vars.iter().find(|var| var.address == Some(address)));
                let hint = match owner {
                    Some(var) => format!("{text} is {}", var.name),
                    None => format!("declare it: name AT {text} : BOOL;"),
                };
                self.error_at(at, "a name is expected", Some(hint));
                Ok(Expr::Wrong)
            }
            Kind::Literal(text) => {
                let at = self.start();
                self.advance();
                self.error_at(at, format!("a name or NOT is expected, not {text}"), None);
                Ok(Expr::Wrong)
            }
            Kind::Time(_) => {
                let at = self.start();
                self.advance();
                self.error_at(at, "a name or NOT is expected, not a duration", None);
                Ok(Expr::Wrong)
            }
            _ => Err(self.missing_operand()),
        }
    }

    /// Says that a name is missing, and why one was expected.
    fn missing_operand(&mut self) -> Reported {
        let before = self.next.checked_sub(1).map(|previous| &self.tokens[previous].kind);
        let ends = self.at_end() || self.is_mark(";") || self.is_mark(",") || self.is_mark(")");
        let hint = match before {
            Some(Kind::Word(word)) if ["AND", "OR", "NOT"].iter().any(|op| word.eq_ignore_ascii_case(op)) => {
                let word = word.to_ascii_uppercase();
                let what =
                    if ends || self.statement_begins() { "rung ends with" } else { "text breaks off after" };
                Some(format!("the {what} {word}; take it away or go on"))
            }
            Some(Kind::Mark("&")) => Some("the rung ends with &; take it away or go on".to_owned()),
            _ => match self.kind() {
                Kind::Word(word) if is_reserved(word) => {
                    Some(format!("{} is a word of the language", word.to_ascii_uppercase()))
                }
                _ => None,
            },
        };
        self.expected("a name or NOT", hint)
    }

    fn group(&mut self, depth: u32) -> Result<Expr, Reported> {
        let opened = self.start();
        if depth >= MAX_NESTING {
            let hint = Some("put the inner part into a variable of its own".to_owned());
            return Err(self.error_at(
                opened,
                format!("at most {MAX_NESTING} parentheses inside each other are expected"),
                hint,
            ));
        }
        self.advance();
        let expr = self.any_of(depth + 1)?;
        if self.take_mark(")") {
            return Ok(expr);
        }
        let hint = if opened.line == self.gap().line {
            format!("the ( of column {} is still open", opened.column)
        } else {
            format!("the ( of line {}, column {} is still open", opened.line, opened.column)
        };
        let what = if matches!(self.kind(), Kind::Word(_) | Kind::Bool(_)) { "AND, OR or )" } else { ")" };
        Err(self.expected(what, Some(hint)))
    }

    /// Reads a bit's name, and `.Q` after a block's.
    fn bit(&mut self, word: &str) -> Expr {
        let at = self.start();
        self.advance();
        let declared =
            self.by_name.get(&word.to_ascii_uppercase()).map(|declared| &self.vars[declared.index]);
        let (name, kind) = match declared {
            Some(var) => (Some(var.name.clone()), Some(var.kind)),
            None => (None, None),
        };
        let pin_at = self.start();
        let pin = if self.is_mark(".") {
            self.advance();
            match self.kind().clone() {
                Kind::Word(pin) => {
                    self.advance();
                    Some(pin)
                }
                _ => {
                    self.expected("a pin such as Q", None);
                    return Expr::Wrong;
                }
            }
        } else {
            None
        };
        if self.is_mark("(") || self.is_mark("[") {
            let hint = Some("a block is called on a rung of its own; its Q is read here".to_owned());
            self.error_at(at, format!("{word}(…) cannot be drawn inside a rung"), hint);
            self.skip_group();
            return Expr::Wrong;
        }
        match (name, kind, pin) {
            (Some(name), Some(VarKind::Bool), None) => return Expr::Bit(name),
            (Some(name), Some(VarKind::Bool), Some(_)) => {
                self.error_at(
                    pin_at,
                    format!("AND, OR or ; is expected: {name} is a BOOL and has no pins"),
                    None,
                );
            }
            (Some(name), Some(VarKind::Block(_)), Some(pin)) if pin.eq_ignore_ascii_case("Q") => {
                return Expr::Bit(format!("{name}.Q"));
            }
            (Some(name), Some(VarKind::Block(_)), Some(pin)) => {
                let hint = match pin.to_ascii_uppercase().as_str() {
                    "ET" | "PT" => format!("{pin} is a time; a contact reads {name}.Q"),
                    _ => format!("a contact reads {name}.Q"),
                };
                self.error_at(pin_at, format!("{name}.Q is expected"), Some(hint));
            }
            (Some(name), Some(VarKind::Block(_)), None) => {
                let hint = Some(format!("{name} is a timer; a contact reads its output"));
                self.error_at(at, format!("{name}.Q is expected"), hint);
            }
            _ => {
                self.not_declared(at, word);
            }
        }
        Expr::Wrong
    }

    pub(super) fn not_declared(&mut self, at: crate::lex::Position, word: &str) -> Reported {
        // Beyond the errors that are shown a search for the nearest name would only cost time.
        let searched = if self.diagnostics.len() <= MAX_DIAGNOSTICS { self.vars.as_slice() } else { &[] };
        let near = nearest(word, searched.iter().map(|var| var.name.as_str()));
        let hint = match near {
            Some(near) => format!("is {near} meant?"),
            None => format!("declare it between VAR and END_VAR, as {word} : BOOL;"),
        };
        self.error_at(at, format!("{word} is not declared"), Some(hint))
    }

    /// Skips a bracket and what it holds, however deep, but not past the statement.
    fn skip_group(&mut self) {
        let mut depth = 0u32;
        while !self.at_end() && !self.is_mark(";") {
            if self.is_mark("(") || self.is_mark("[") {
                depth += 1;
            } else if self.is_mark(")") || self.is_mark("]") {
                depth -= 1;
            }
            self.advance();
            if depth == 0 {
                return;
            }
        }
    }
}
