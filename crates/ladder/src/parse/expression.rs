//! Boolean expressions, by precedence: parentheses, NOT, comparisons, AND, OR.

use super::edges::is_edge_name;
use super::words::{is_reserved, nearest, noun};
use super::{MAX_NESTING, Parser, Reported};
use crate::block::{Block, Preset};
use crate::diagnostic::MAX_DIAGNOSTICS;
use crate::lex::{Kind, Position};
use crate::model::{Comparison, Contact, Network, Relation, Test, VarKind};

/// An expression as written, before NOT over a group is pushed down to the contacts.
pub(super) enum Expr {
    Bit(String),
    /// The edge of a bit, read as `edge_1.Q`.
    Edge {
        bit: String,
        test: Test,
        name: String,
        at: Position,
    },
    /// The edge of a rung, which only a coil takes.
    Pulse {
        rung: Network,
        test: Test,
        name: String,
        at: Position,
    },
    Compare(Comparison),
    /// A count or duration, which is no bit: one side of a comparison.
    Value(super::comparison::Value),
    Constant(bool),
    /// The opposite; whether what follows NOT stands in parentheses.
    Not(Box<Expr>, bool),
    And(Vec<Expr>),
    Or(Vec<Expr>),
    /// Something wrong, which has been reported.
    Wrong,
}

/// What in an expression no contact shows.
pub(super) enum Undrawable {
    /// The opposite of an edge.
    Opposite { at: Position, name: String },
    /// The edge of a rung beside other contacts.
    Pulse { at: Position, name: String },
}

impl Expr {
    /// The network that passes when the expression equals `wanted`, by De Morgan's laws; none if any of it is wrong or
    /// cannot be drawn.
    pub(super) fn network(&self, wanted: bool, undrawable: &mut Vec<Undrawable>) -> Option<Network> {
        let mut all = |parts: &[Expr]| {
            // All are gone through, so that all of what is wrong is told.
            let parts: Vec<_> = parts.iter().map(|part| part.network(wanted, undrawable)).collect();
            parts.into_iter().collect::<Option<Vec<_>>>()
        };
        Some(match self {
            Expr::Bit(var) => Network::bit(var.clone(), if wanted { Test::Open } else { Test::Closed }),
            Expr::Edge { bit, test, .. } if wanted => Network::bit(bit.clone(), *test),
            Expr::Edge { name, at, .. } => {
                undrawable.push(Undrawable::Opposite { at: *at, name: name.clone() });
                return None;
            }
            Expr::Pulse { name, at, .. } => {
                undrawable.push(Undrawable::Pulse { at: *at, name: name.clone() });
                return None;
            }
            Expr::Compare(comparison) => {
                let mut comparison = comparison.clone();
                if !wanted {
                    comparison.relation = comparison.relation.opposite();
                }
                Network::Contact(Contact::Compare(comparison))
            }
            Expr::Constant(value) if *value == wanted => Network::True,
            Expr::Constant(_) => Network::False,
            Expr::Not(inner, _) => inner.network(!wanted, undrawable)?,
            Expr::And(parts) if wanted => Network::Series(all(parts)?),
            Expr::Or(parts) if !wanted => Network::Series(all(parts)?),
            Expr::And(parts) | Expr::Or(parts) => Network::Parallel(all(parts)?),
            Expr::Value(_) | Expr::Wrong => return None,
        })
    }
}

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
        let mut parts = vec![self.compared(depth)?];
        loop {
            if self.take_word("AND") || self.take_mark("&") {
                parts.push(self.compared(depth)?);
            } else if self.is_word("XOR") {
                self.not_drawable("XOR", "a and b differ: a AND NOT b OR NOT a AND b");
                self.advance();
                self.compared(depth)?;
                parts.push(Expr::Wrong);
            } else {
                break;
            }
        }
        Ok(if parts.len() == 1 { parts.swap_remove(0) } else { Expr::And(parts) })
    }

    /// Reports an operator that a rung cannot show, where it stands.
    pub(super) fn not_drawable(&mut self, operator: &str, hint: &str) {
        let at = self.start();
        self.error_at(at, format!("{operator} cannot be drawn as a rung"), Some(hint.to_owned()));
    }

    /// Reads any number of NOT and what they stand before.
    pub(super) fn opposite(&mut self, depth: u32) -> Result<Expr, Reported> {
        let at = self.start();
        let (mut any, mut opposite) = (false, false);
        while self.take_word("NOT") {
            any = true;
            opposite = !opposite;
        }
        let grouped = self.is_mark("(");
        let expr = self.primary(depth)?;
        if let (true, Expr::Value(value)) = (any, &expr) {
            let value = value.shown();
            let hint = format!("NOT takes what stands next to it: NOT ({value} >= …), or {value} < …");
            self.error_at(at, format!("a bit or ( is expected after NOT, not {value}"), Some(hint));
            return Ok(Expr::Wrong);
        }
        Ok(if opposite { Expr::Not(Box::new(expr), grouped) } else { expr })
    }

    fn primary(&mut self, depth: u32) -> Result<Expr, Reported> {
        if let Some(value) = self.kind().bit() {
            self.advance();
            return Ok(Expr::Constant(value));
        }
        match self.kind().clone() {
            Kind::Mark("(") => self.group(depth),
            Kind::Word(word) if !is_reserved(&word) && !self.statement_begins() => Ok(self.name(&word)),
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
            Kind::Literal(text) | Kind::Number(text) => {
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
            Some(Kind::Mark(sign)) if Relation::ALL.iter().any(|relation| relation.sign() == *sign) => {
                return self.expected("a count or a duration", Some(format!("nothing stands after {sign}")));
            }
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
        let what = if matches!(self.kind(), Kind::Word(_) | Kind::Bool(_) | Kind::Number(_)) {
            "AND, OR or )"
        } else {
            ")"
        };
        Err(self.expected(what, Some(hint)))
    }

    /// Reads a name and the pin behind a block's: a bit, or a value to compare.
    fn name(&mut self, word: &str) -> Expr {
        let at = self.start();
        self.advance();
        let declared = self.declared(word).map(|var| (var.name.clone(), var.kind));
        let pin_at = self.start();
        let mut pin = None;
        if self.take_mark(".") {
            let Kind::Word(word) = self.kind().clone() else {
                self.expected("a pin such as Q", None);
                return Expr::Wrong;
            };
            self.advance();
            pin = Some(word);
        }
        if self.is_mark("(") || self.is_mark("[") {
            let hint = Some("a block is called on a rung of its own; its output is read here".to_owned());
            self.error_at(at, format!("{word}(…) cannot be drawn inside a rung"), hint);
            self.skip_group();
            return Expr::Wrong;
        }
        if is_edge_name(word) {
            return self.read_edge(word, at, pin.as_deref());
        }
        match (declared, pin) {
            (Some((name, VarKind::Bool)), None) => return Expr::Bit(name),
            (Some((name, VarKind::Bool)), Some(_)) => {
                let message = format!("AND, OR or ; is expected: {name} is a BOOL and has no pins");
                self.error_at(pin_at, message, None);
            }
            (Some((name, VarKind::Block(block))), Some(pin)) => {
                return self.pin(at, pin_at, &name, block, &pin);
            }
            (Some((name, VarKind::Block(block))), None) => {
                let mut hint = format!("{name} is {}; a contact reads its output", noun(block));
                if let Some(value) = block.value() {
                    hint.push_str(&format!(" or compares {name}.{value}"));
                }
                self.error_at(at, format!("{} is expected", outputs(&name, block)), Some(hint));
            }
            (None, _) => {
                self.not_declared(at, word);
            }
        }
        Expr::Wrong
    }

    /// What a pin of a block stands for where it is read.
    fn pin(&mut self, at: Position, pin_at: Position, name: &str, block: Block, pin: &str) -> Expr {
        let pin = pin.to_ascii_uppercase();
        if block.outputs().contains(&pin.as_str()) {
            return Expr::Bit(format!("{name}.{pin}"));
        }
        if let Some(sort) = block.preset().filter(|sort| sort.value() == pin) {
            return Expr::Value(super::comparison::Value::pin(format!("{name}.{pin}"), sort, at));
        }
        let hint = match (block.preset(), block.inputs().contains(&pin.as_str())) {
            (_, true) => format!("{pin} is an input of {name}; read what drives it"),
            (Some(Preset::Time), _) => format!("a contact reads {name}.Q or compares {name}.ET"),
            (Some(Preset::Count), _) => {
                format!("a contact reads {} or compares {name}.CV", outputs(name, block))
            }
            (None, _) => format!("a contact reads {}", outputs(name, block)),
        };
        self.error_at(pin_at, format!("{} is expected", outputs(name, block)), Some(hint));
        Expr::Wrong
    }

    pub(super) fn not_declared(&mut self, at: Position, word: &str) -> Reported {
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

/// The outputs of a block that a contact reads, as `t.Q` or `n.QU or n.QD`.
fn outputs(name: &str, block: Block) -> String {
    let all: Vec<String> = block.outputs().iter().map(|pin| format!("{name}.{pin}")).collect();
    all.join(" or ")
}
