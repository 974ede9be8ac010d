//! Expressions over signals: what they are, and how they are written.
//!
//! ```text
//! formula  = ( "always" | "never" ) expr
//! expr     = either [ "implies" expr ]
//! either   = both { "or" both }
//! both     = single { "and" single }
//! single   = "not" single | "(" expr ")" | "true" | "false" | NAME
//!          | ( "rose" | "fell" | "prev" ) "(" expr ")"
//!          | "once" "(" expr [ "," TIME ] ")" | "held" "(" expr "," TIME ")" | "since" "(" expr "," expr ")"
//! ```
//!
//! A name is a signal of the bench: `QA1.closed`, `FC1.95-96`, `QX0.0`, or a program variable. The words are those of
//! IEEE 1850 and of past-time temporal logic.

mod lex;
mod monitor;
mod parse;

use std::fmt;

pub use monitor::{Formula, MOST_BOUND_MS, Memory, NO_CONTROLLER_GRID_MS, grid_ms};
pub(crate) use parse::parse_before;
pub use parse::{MOST_BYTES, MOST_DEPTH, parse, parse_requirement};

/// An expression over signals.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Expr {
    /// `true` or `false`.
    Constant(bool),
    /// A signal by name.
    Signal(Name),
    /// Not so.
    Not(Box<Expr>),
    /// All of them.
    And(Vec<Expr>),
    /// At least one of them.
    Or(Vec<Expr>),
    /// The second wherever the first.
    Implies(Box<Expr>, Box<Expr>),
    /// So at this tick and not at the one before.
    Rose(Box<Expr>),
    /// Not so at this tick, and so at the one before.
    Fell(Box<Expr>),
    /// So at the tick before.
    Prev(Box<Expr>),
    /// So at this tick or an earlier one, at most so many milliseconds ago where a bound is given.
    Once(Box<Expr>, Option<u64>),
    /// So without a break for more than that many milliseconds.
    Held(Box<Expr>, u64),
    /// `since(a, b)`: b at some tick, and a at every later one.
    Since(Box<Expr>, Box<Expr>),
}

/// A name in an expression, with its place.
#[derive(Clone, Debug, Eq)]
pub struct Name {
    /// The name.
    pub text: String,
    /// Column of its first character, from 1.
    pub column: u32,
}

impl PartialEq for Name {
    /// Two names are the same wherever they stand.
    fn eq(&self, other: &Name) -> bool {
        self.text == other.text
    }
}

/// A requirement: what must hold, or must not, at every tick.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Verdict {
    /// `true` for `always`, `false` for `never`.
    pub always: bool,
    /// Of what.
    pub of: Expr,
}

/// What is wrong in an expression, and where.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("column {column}: {message}")]
pub struct ExprError {
    /// Column in characters, from 1.
    pub column: u32,
    /// What is wrong and what was expected.
    pub message: String,
}

impl Expr {
    /// Whether it looks only at the present tick.
    pub fn is_present(&self) -> bool {
        match self {
            Expr::Constant(_) | Expr::Signal(_) => true,
            Expr::Not(x) => x.is_present(),
            Expr::And(all) | Expr::Or(all) => all.iter().all(Expr::is_present),
            Expr::Implies(a, b) => a.is_present() && b.is_present(),
            _ => false,
        }
    }

    /// Whether a time bound stands in it.
    pub fn is_timed(&self) -> bool {
        match self {
            Expr::Constant(_) | Expr::Signal(_) => false,
            Expr::Held(..) | Expr::Once(_, Some(_)) => true,
            Expr::And(all) | Expr::Or(all) => all.iter().any(Expr::is_timed),
            Expr::Implies(a, b) | Expr::Since(a, b) => a.is_timed() || b.is_timed(),
            Expr::Not(x) | Expr::Rose(x) | Expr::Fell(x) | Expr::Prev(x) | Expr::Once(x, None) => {
                x.is_timed()
            }
        }
    }

    /// Every name in it, in the order of the text.
    pub fn names(&self) -> Vec<&Name> {
        fn walk<'a>(e: &'a Expr, all: &mut Vec<&'a Name>) {
            match e {
                Expr::Constant(_) => {}
                Expr::Signal(name) => all.push(name),
                Expr::And(xs) | Expr::Or(xs) => xs.iter().for_each(|x| walk(x, all)),
                Expr::Implies(a, b) | Expr::Since(a, b) => {
                    walk(a, all);
                    walk(b, all);
                }
                Expr::Not(x) | Expr::Rose(x) | Expr::Fell(x) | Expr::Prev(x) => walk(x, all),
                Expr::Once(x, _) | Expr::Held(x, _) => walk(x, all),
            }
        }
        let mut all = Vec::new();
        walk(self, &mut all);
        all
    }

    /// How tightly it binds: an operand that binds less tightly than its operator stands in parentheses.
    fn strength(&self) -> u8 {
        match self {
            Expr::Implies(..) => 0,
            Expr::Or(_) => 1,
            Expr::And(_) => 2,
            _ => 3,
        }
    }
}

impl fmt::Display for Expr {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let operand = |f: &mut fmt::Formatter<'_>, e: &Expr, least: u8| {
            if e.strength() < least { write!(f, "({e})") } else { write!(f, "{e}") }
        };
        let joined = |f: &mut fmt::Formatter<'_>, all: &[Expr], word: &str, least: u8| {
            for (i, e) in all.iter().enumerate() {
                if i > 0 {
                    write!(f, " {word} ")?;
                }
                operand(f, e, least)?;
            }
            Ok(())
        };
        match self {
            Expr::Constant(value) => write!(f, "{value}"),
            Expr::Signal(name) => f.write_str(&name.text),
            Expr::Not(x) => {
                f.write_str("not ")?;
                operand(f, x, 3)
            }
            Expr::And(all) => joined(f, all, "and", 3),
            Expr::Or(all) => joined(f, all, "or", 2),
            Expr::Implies(a, b) => {
                operand(f, a, 1)?;
                f.write_str(" implies ")?;
                operand(f, b, 0)
            }
            Expr::Rose(x) => write!(f, "rose({x})"),
            Expr::Fell(x) => write!(f, "fell({x})"),
            Expr::Prev(x) => write!(f, "prev({x})"),
            Expr::Once(x, None) => write!(f, "once({x})"),
            Expr::Once(x, Some(ms)) => write!(f, "once({x}, {})", crate::print_duration(*ms)),
            Expr::Held(x, ms) => write!(f, "held({x}, {})", crate::print_duration(*ms)),
            Expr::Since(a, b) => write!(f, "since({a}, {b})"),
        }
    }
}

impl fmt::Display for Verdict {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} ({})", if self.always { "always" } else { "never" }, self.of)
    }
}
