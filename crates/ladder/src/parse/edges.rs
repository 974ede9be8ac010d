//! Edge contacts and edge coils: calls of R_TRIG and F_TRIG with a reserved instance name before the rung that reads them.
//!
//! `edge_1(CLK := SF2_in);` before a rung that reads `edge_1.Q` is an edge contact of one bit in it. With anything but one
//! bare name behind `CLK :=` it is the rung of an edge coil, which `q := edge_1.Q;` ends; a single contact there stands in
//! parentheses.

use super::expression::{Expr, Undrawable};
use super::{EdgeDeclaration, Owner, Parser, Reported};
use crate::block::Block;
use crate::lex::{Kind, Position};
use crate::model::{Network, Test};

/// A call of an edge that the next rung has to read.
pub(super) struct EdgeCall {
    /// Index in `Parser::edges`; none if it is not declared, which has been reported.
    edge: Option<usize>,
    name: String,
    at: Position,
    watched: Watched,
    is_read: bool,
}

/// What an edge watches.
enum Watched {
    /// A bit: it is a contact.
    Bit(String),
    /// A rung: it belongs to a coil.
    Rung(Network),
    /// Something wrong, which has been reported.
    Wrong,
}

/// Whether a name is kept for the edges of rungs: `edge_1`, `edge_2` and so on.
pub fn is_edge_name(name: &str) -> bool {
    name.get(..5).is_some_and(|start| start.eq_ignore_ascii_case("edge_"))
        && name.len() > 5
        && name.bytes().skip(5).all(|b| b.is_ascii_digit())
}

impl Parser<'_> {
    /// The declaration of an edge, whatever the case of its letters, by its index in `Parser::edges`.
    fn edge(&self, name: &str) -> Option<usize> {
        self.edge_by_name.get(&name.to_ascii_uppercase()).copied()
    }

    /// Whether an edge is declared with an error, so that no use of it is worth another.
    pub(super) fn is_wrong_edge(&self, name: &str) -> bool {
        self.edge(name).is_some_and(|index| self.edges[index].block.is_none())
    }

    /// Takes a declaration of a reserved name in; without its block, one that was wrong and has been reported.
    pub(super) fn declare_edge(
        &mut self,
        name: String,
        at: Position,
        block: Option<Block>,
        (first, last): (usize, usize),
    ) {
        if let Some(declared) = self.edge(&name) {
            let line = self.edges[declared].line;
            self.error_at(at, format!("{name} is declared already, in line {line}"), Some(next_number()));
            return;
        }
        let index = self.edges.len();
        self.edge_by_name.insert(name.to_ascii_uppercase(), index);
        let var_block = self.var_blocks.len();
        self.edges.push(EdgeDeclaration { name, line: at.line, block, rung: None, var_block });
        self.add_span(first, last, Owner::Edge(index));
    }

    /// Whether a call of an edge begins here.
    pub(super) fn edge_call_begins(&self) -> bool {
        matches!(self.kind(), Kind::Word(word) if is_edge_name(word)) && *self.kind_at(1) == Kind::Mark("(")
    }

    /// Reads `edge_1(CLK := SF2_in);`.
    pub(super) fn edge_call(&mut self) -> Result<(), Reported> {
        let (first, at) = (self.next, self.start());
        self.edges_from.get_or_insert(first);
        let Kind::Word(name) = self.kind().clone() else { return Ok(()) };
        let edge = self.edge(&name);
        let errors = self.diagnostics.len();
        if edge.is_none() {
            let hint = format!("declare it between VAR and END_VAR, as {name} : R_TRIG;");
            self.error_at(at, format!("{name} is not declared"), Some(hint));
        }
        if let Some(line) = self.called.insert(name.to_ascii_uppercase(), at.line) {
            self.error_at(at, format!("{name} is called already, in line {line}"), Some(next_number()));
        }
        self.advance();
        let watched = self.edge_pin(&name);
        let is_right = self.diagnostics.len() == errors && !self.is_wrong_edge(&name);
        let watched = match watched {
            Ok(watched) if is_right => watched,
            _ => Watched::Wrong,
        };
        let is_whole = !matches!(watched, Watched::Wrong);
        self.edge_calls.push(EdgeCall { edge, name, at, watched, is_read: false });
        if is_whole || self.is_mark(";") {
            return self.end_statement();
        }
        self.skip_call();
        Ok(())
    }

    /// Reads from the opening parenthesis to the closing one.
    fn edge_pin(&mut self, name: &str) -> Result<Watched, Reported> {
        self.advance();
        match self.pin_begins().as_deref() {
            Some("CLK") if *self.kind_at(1) == Kind::Mark(":=") => {
                self.advance();
                self.advance();
            }
            _ => return Err(self.expected("CLK :=", Some(format!("as in {name}(CLK := SF2_in);")))),
        }
        let is_bare = *self.kind_at(1) == Kind::Mark(")")
            || *self.kind_at(1) == Kind::Mark(".") && *self.kind_at(3) == Kind::Mark(")");
        let watched = match self.expression()? {
            Expr::Bit(bit) if is_bare => Watched::Bit(bit),
            expr => self.network(&expr).map_or(Watched::Wrong, |logic| Watched::Rung(logic.normal())),
        };
        if !self.take_mark(")") {
            return Err(self.expected("AND, OR or )", Some("an edge watches one thing".to_owned())));
        }
        Ok(watched)
    }

    /// What reading a reserved name stands for, its pin already read.
    pub(super) fn read_edge(&mut self, name: &str, at: Position, pin: Option<&str>) -> Expr {
        if self.is_wrong_edge(name) {
            return Expr::Wrong;
        }
        if !pin.is_some_and(|pin| pin.eq_ignore_ascii_case("Q")) {
            let hint = Some(format!("{name} is an edge contact; the rung reads {name}.Q"));
            self.error_at(at, format!("{name}.Q is expected"), hint);
            return Expr::Wrong;
        }
        let block = self.edge(name).and_then(|index| self.edges[index].block);
        let Some(call) = self.edge_calls.iter_mut().find(|call| call.name.eq_ignore_ascii_case(name)) else {
            let hint = match (block, self.called.get(&name.to_ascii_uppercase())) {
                (None, _) => format!("declare it between VAR and END_VAR, as {name} : R_TRIG; and call it"),
                (_, Some(line)) => {
                    format!("it is called in line {line}, for another rung; call another edge for this one")
                }
                _ => format!("as in {name}(CLK := SF2_in);"),
            };
            self.error_at(at, format!("a call of {name} is expected directly before this rung"), Some(hint));
            return Expr::Wrong;
        };
        if std::mem::replace(&mut call.is_read, true) {
            let hint = "one call, one contact: call another edge, or declare an R_TRIG with another name";
            self.error_at(at, format!("{name}.Q is read already"), Some(hint.to_owned()));
            return Expr::Wrong;
        }
        let test = if block == Some(Block::FTrig) { Test::Falling } else { Test::Rising };
        match &call.watched {
            Watched::Bit(bit) => Expr::Edge { bit: bit.clone(), test, name: name.to_owned(), at },
            Watched::Rung(logic) => Expr::Pulse { rung: logic.clone(), test, name: name.to_owned(), at },
            Watched::Wrong => Expr::Wrong,
        }
    }

    /// Ends the rung that the calls since the last one belong to. `errors` is how many there were before the rung: with
    /// more, what it reads is not known.
    pub(super) fn rung_done(&mut self, errors: usize) {
        self.edges_from = None;
        for call in std::mem::take(&mut self.edge_calls) {
            let is_wrong = matches!(call.watched, Watched::Wrong);
            if !call.is_read && !is_wrong && self.diagnostics.len() == errors {
                let hint = Some(format!("an edge belongs to the rung behind it: … AND {}.Q", call.name));
                self.error_at(call.at, format!("{}.Q in the next rung is expected", call.name), hint);
            }
        }
    }

    /// Notes that the rung that is added next reads the edges called before it.
    pub(super) fn edges_of_rung(&mut self, rung: usize) {
        for call in self.edge_calls.iter().filter(|call| call.is_read) {
            if let Some(index) = call.edge {
                self.edges[index].rung = Some(rung);
            }
        }
    }

    /// The network of an expression; none if any of it is wrong, all of which is reported.
    pub(super) fn network(&mut self, expr: &Expr) -> Option<Network> {
        let mut undrawable = Vec::new();
        let logic = expr.network(true, &mut undrawable);
        for found in undrawable {
            let (at, message, hint) = match found {
                Undrawable::Opposite { at, name } => (
                    at,
                    format!("NOT over the edge {name}.Q cannot be drawn"),
                    format!("give the edge a bit of its own, pulse := {name}.Q; and read NOT pulse"),
                ),
                Undrawable::Pulse { at, name } => (
                    at,
                    format!("the edge {name}.Q of a rung cannot be drawn as a contact"),
                    format!(
                        "a contact watches one name, {name}(CLK := a); a coil takes the edge of a rung, q := {name}.Q;"
                    ),
                ),
            };
            self.error_at(at, message, Some(hint));
        }
        logic
    }
}

fn next_number() -> String {
    "give it the next number that is free".to_owned()
}
