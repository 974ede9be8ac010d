//! Comparisons of counts and durations: `parts.CV >= 5`, `rest.ET < T#2s`.

use super::expression::Expr;
use super::{Parser, Reported};
use crate::block::Preset;
use crate::count::read_count;
use crate::lex::{Kind, Position};
use crate::model::{Comparison, Constant, Operand, Relation};

/// One side of a comparison, with its place.
pub(super) struct Value {
    operand: Operand,
    sort: Preset,
    at: Position,
}

impl Value {
    /// What a block has counted or measured, as `parts.CV`.
    pub(super) fn pin(name: String, sort: Preset, at: Position) -> Self {
        Value { operand: Operand::Value(name), sort, at }
    }

    fn constant(figure: Constant, at: Position) -> Self {
        Value { operand: Operand::Constant(figure), sort: figure.sort(), at }
    }

    /// It as a text would write it.
    pub(super) fn shown(&self) -> String {
        self.operand.to_string()
    }
}

/// Operators that calculate, which no contact does.
const ARITHMETIC: [&str; 5] = ["+", "-", "*", "/", "**"];

impl Parser<'_> {
    /// Reads one operand of AND and OR: a bit, a group, or a comparison.
    pub(super) fn compared(&mut self, depth: u32) -> Result<Expr, Reported> {
        let at = self.start();
        let mut left = match self.figure_before_relation() {
            Some(value) => value,
            None => self.opposite(depth)?,
        };
        let mut is_comparison = false;
        loop {
            if let Some(relation) = self.relation() {
                let operator_at = self.start();
                self.advance();
                let right_at = self.start();
                let is_bit = self.kind().bit().is_some();
                let right = match self.figure() {
                    Some(value) => value,
                    None => self.opposite(depth)?,
                };
                let sides = Sides { left, left_at: at, right, right_at, is_bit };
                left = if is_comparison {
                    self.wrong_operator(operator_at, relation.sign(), "join two comparisons with AND")
                } else {
                    self.comparison(sides, relation, operator_at)
                };
                is_comparison = true;
            } else if let Some(operator) = self.arithmetic() {
                self.not_drawable(&operator, "a rung calculates nothing: it has AND, OR, NOT and parentheses, and compares counts and durations");
                self.advance();
                match self.figure() {
                    Some(_) => {}
                    None => drop(self.opposite(depth)?),
                }
                left = Expr::Wrong;
            } else {
                break;
            }
        }
        Ok(self.no_lone_value(left))
    }

    fn wrong_operator(&mut self, at: Position, operator: &str, hint: &str) -> Expr {
        self.error_at(at, format!("{operator} cannot be drawn as a rung"), Some(hint.to_owned()));
        Expr::Wrong
    }

    fn relation(&self) -> Option<Relation> {
        let Kind::Mark(mark) = self.kind() else { return None };
        Relation::ALL.into_iter().find(|relation| relation.sign() == *mark)
    }

    fn arithmetic(&self) -> Option<String> {
        match self.kind() {
            Kind::Mark(mark) if ARITHMETIC.contains(mark) => Some((*mark).to_owned()),
            Kind::Word(word) if word.eq_ignore_ascii_case("MOD") => Some("MOD".to_owned()),
            _ => None,
        }
    }

    /// Reads a figure if one comes next that an operator follows; a figure alone is left to be reported as no bit.
    fn figure_before_relation(&mut self) -> Option<Expr> {
        let signed = usize::from(self.sign().is_some());
        let follows = match self.kind_at(signed + 1) {
            Kind::Mark(mark) => {
                ARITHMETIC.contains(mark) || Relation::ALL.iter().any(|relation| relation.sign() == *mark)
            }
            _ => false,
        };
        if signed > 0 || follows { self.figure() } else { None }
    }

    /// The sign before a number, if both come next.
    fn sign(&self) -> Option<&'static str> {
        match (self.kind(), self.kind_at(1)) {
            (Kind::Mark(sign @ ("-" | "+")), Kind::Number(_)) => Some(sign),
            _ => None,
        }
    }

    /// Reads a count or duration if one comes next; one that is wrong is reported.
    fn figure(&mut self) -> Option<Expr> {
        let at = self.start();
        let figure = match self.kind() {
            Kind::Time(time_ms) => {
                let figure = time_ms.map(Constant::Time);
                self.advance();
                figure
            }
            _ => self.count()?.map(Constant::Count),
        };
        Some(figure.map_or(Expr::Wrong, |figure| Expr::Value(Value::constant(figure, at))))
    }

    /// Reads a count with its sign if one comes next; none inside if it is wrong, which is reported.
    pub(super) fn count(&mut self) -> Option<Option<i16>> {
        let at = self.start();
        let sign = self.sign();
        let Kind::Number(text) = self.kind_at(usize::from(sign.is_some())).clone() else { return None };
        if sign.is_some() {
            self.advance();
        }
        self.advance();
        match read_count(&format!("{}{text}", sign.unwrap_or_default())) {
            Ok(count) => Some(Some(count)),
            Err(message) => {
                self.error_at(at, message, None);
                Some(None)
            }
        }
    }

    /// The comparison of two sides, or what is wrong with it.
    fn comparison(&mut self, sides: Sides, relation: Relation, operator_at: Position) -> Expr {
        let sign = relation.sign();
        let Sides { left, left_at, right, right_at, is_bit } = sides;
        match (left, right) {
            (Expr::Value(left), Expr::Value(right)) => self.of_values(left, relation, right),
            (Expr::Wrong, _) | (_, Expr::Wrong) => Expr::Wrong,
            (Expr::Value(left), _) => {
                let hint = format!("{} is {}, and is compared with another", left.shown(), sort(left.sort));
                self.error_at(right_at, format!("{} is expected", example(left.sort)), Some(hint));
                Expr::Wrong
            }
            (_, Expr::Value(right)) if !is_bit => {
                let hint = format!("{sign} compares counts and durations; a bit is read by its name");
                self.error_at(left_at, format!("{} is expected", of_block(right.sort)), Some(hint));
                Expr::Wrong
            }
            _ => {
                let hint = match relation {
                    Relation::NotEqual => "a and b differ: a AND NOT b OR NOT a AND b",
                    Relation::Equal if is_bit => "a bit stands alone: a, or NOT a",
                    Relation::Equal => "a and b are equal: a AND b OR NOT a AND NOT b",
                    _ => "a rung compares counts and durations; bits are joined by AND, OR and NOT",
                };
                self.wrong_operator(operator_at, sign, hint)
            }
        }
    }

    fn of_values(&mut self, left: Value, relation: Relation, right: Value) -> Expr {
        if left.sort != right.sort {
            let hint = format!("{} is {}", left.shown(), sort(left.sort));
            self.error_at(right.at, format!("{} is expected", example(left.sort)), Some(hint));
            return Expr::Wrong;
        }
        match (left.operand, right.operand) {
            (Operand::Value(value), with) => Expr::Compare(Comparison { value, relation, with }),
            (with, Operand::Value(value)) => {
                Expr::Compare(Comparison { value, relation: relation.mirrored(), with })
            }
            _ => {
                let hint = Some("two figures compare the same for ever".to_owned());
                self.error_at(left.at, format!("{} is expected", of_block(left.sort)), hint);
                Expr::Wrong
            }
        }
    }

    /// Reports a count or duration that stands where a bit is expected.
    fn no_lone_value(&mut self, expr: Expr) -> Expr {
        let Expr::Value(value) = expr else { return expr };
        let shown = value.shown();
        if let Operand::Constant(_) = value.operand {
            self.error_at(value.at, format!("a name or NOT is expected, not {shown}"), None);
        } else {
            let hint =
                format!("{shown} is {}: compare it, as {shown} >= {}", sort(value.sort), figure(value.sort));
            self.expected("a comparison", Some(hint));
        }
        Expr::Wrong
    }
}

/// What stands on both sides of an operator.
struct Sides {
    left: Expr,
    left_at: Position,
    right: Expr,
    right_at: Position,
    /// Whether the right one is TRUE, FALSE, 0 or 1.
    is_bit: bool,
}

/// A sort in words.
pub(super) fn sort(sort: Preset) -> &'static str {
    match sort {
        Preset::Time => "a duration",
        Preset::Count => "a count",
    }
}

fn figure(sort: Preset) -> &'static str {
    match sort {
        Preset::Time => "T#2s",
        Preset::Count => "5",
    }
}

/// What is expected beside a value.
pub(super) fn example(of: Preset) -> String {
    match of {
        Preset::Time => format!("{} such as T#200ms", sort(of)),
        Preset::Count => format!("{} such as 5", sort(of)),
    }
}

/// What is expected beside a figure.
fn of_block(sort: Preset) -> &'static str {
    match sort {
        Preset::Time => "the ET of a timer",
        Preset::Count => "the CV of a counter",
    }
}
