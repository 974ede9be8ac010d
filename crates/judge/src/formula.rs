//! Requirements as assignments, one tick after the other.
//!
//! Straight from the definition: a time bound counts grid instants, from the tick at which the operand was last so (`once`) or
//! last failed (`held`) on; what was never so is never `once`, and `held` begins at the start. Written as what is left of the
//! bound: it is set on at such a tick, and a grid instant takes one from it.

use crate::text::{Field, Sort, Text};
use sealin_proof::explore::Relation;
use sealin_proof::expr::{Expr, Verdict};

/// Formulas of one case on their way to Promela.
pub struct Monitors<'a> {
    /// What begins every name.
    prefix: &'a str,
    /// Tells which bit of [`SEEN`] a signal is.
    relation: &'a Relation,
    /// What they remember.
    pub fields: Vec<Field>,
    /// Places for intermediate values that have been used.
    pub places: usize,
}

/// The signals of the tick, one bit each.
pub const SEEN: &str = "seen";

/// The tick within its quantum, which begins with a grid instant.
pub const TICK: &str = "tick";

/// Name of the place of an intermediate value.
pub fn place(number: usize) -> String {
    format!("value_{number}")
}

impl<'a> Monitors<'a> {
    pub fn new(prefix: &'a str, relation: &'a Relation) -> Monitors<'a> {
        Monitors { prefix, relation, fields: Vec::new(), places: 0 }
    }

    /// Writes what one tick does, and gives the expression that says whether the verdict is kept at it.
    ///
    /// # Errors
    /// A name that is no signal, or a bound that is no multiple of the period.
    pub fn kept(&mut self, verdict: &Verdict, text: &mut Text) -> Result<String, String> {
        let value = self.value(&verdict.of, text)?;
        Ok(if verdict.always { value } else { format!("!{value}") })
    }

    /// The expression of a value at this tick, whatever it takes written before.
    fn value(&mut self, of: &Expr, text: &mut Text) -> Result<String, String> {
        Ok(match of {
            Expr::Constant(value) => u8::from(*value).to_string(),
            Expr::Signal(name) => {
                let bit = self.relation.bit(&name.text);
                let bit = bit.ok_or_else(|| format!("`{}` is no signal of the plant", name.text))?;
                format!("(({SEEN} >> {bit}) & 1)")
            }
            Expr::Not(x) => format!("(!{})", self.value(x, text)?),
            Expr::And(all) => self.joined(all, " && ", text)?,
            Expr::Or(all) => self.joined(all, " || ", text)?,
            Expr::Implies(a, b) => {
                let (a, b) = (self.value(a, text)?, self.value(b, text)?);
                format!("(!{a} || {b})")
            }
            Expr::Rose(x) => {
                let (now, before) = self.beside_before(x, text)?;
                self.put(format!("({now} && !{before})"), Some((before, now)), text)
            }
            Expr::Fell(x) => {
                let (now, before) = self.beside_before(x, text)?;
                self.put(format!("(!{now} && {before})"), Some((before, now)), text)
            }
            Expr::Prev(x) => {
                let (now, before) = self.beside_before(x, text)?;
                self.put(before.clone(), Some((before, now)), text)
            }
            Expr::Once(x, None) => {
                let x = self.value(x, text)?;
                let ever = self.field(Sort::Bit, 0);
                text.line(format!("{ever} = {ever} || {x};"));
                ever
            }
            Expr::Since(a, b) => {
                let (a, b) = (self.value(a, text)?, self.value(b, text)?);
                let holds = self.field(Sort::Bit, 0);
                text.line(format!("{holds} = {b} || ({a} && {holds});"));
                holds
            }
            Expr::Once(x, Some(ms)) => {
                let x = self.value(x, text)?;
                let left = self.left(&x, *ms, 0, text)?;
                format!("({left} > 0)")
            }
            Expr::Held(x, ms) => {
                let fails = format!("(!{})", self.value(x, text)?);
                // It begins at the start, as if it had failed just before.
                let left = self.left(&fails, *ms, 1, text)?;
                format!("({left} == 0)")
            }
        })
    }

    fn joined(&mut self, all: &[Expr], sign: &str, text: &mut Text) -> Result<String, String> {
        let all = all.iter().map(|x| self.value(x, text)).collect::<Result<Vec<_>, _>>()?;
        Ok(format!("({})", all.join(sign)))
    }

    /// The value of an operand at this tick, in a place of its own, and the bit that holds it for the next.
    fn beside_before(&mut self, x: &Expr, text: &mut Text) -> Result<(String, String), String> {
        let now = self.value(x, text)?;
        let now = self.put(now, None, text);
        Ok((now, self.field(Sort::Bit, 0)))
    }

    /// Puts a value into a place of its own, and then something into a field.
    fn put(&mut self, value: String, then: Option<(String, String)>, text: &mut Text) -> String {
        let at = place(self.places);
        self.places += 1;
        text.line(format!("{at} = {value};"));
        if let Some((field, value)) = then {
            text.line(format!("{field} = {value};"));
        }
        at
    }

    /// The field of the grid instants that are left of a bound since `mark` was last so; `set` if it starts as if it had been.
    fn left(&mut self, mark: &str, ms: u64, set: u32, text: &mut Text) -> Result<String, String> {
        let period_ms = u64::from(self.relation.period());
        if !ms.is_multiple_of(period_ms) {
            return Err(format!("a time of {ms} ms is no multiple of {period_ms} ms"));
        }
        let whole = u32::try_from(ms / period_ms).map_err(|e| e.to_string())? + 1;
        let left = self.field(Sort::UpTo(whole), set * whole);
        text.choose(&[
            (mark.to_string(), format!("{left} = {whole}")),
            (format!("(!{mark} && {TICK} == 0 && {left} > 0)"), format!("{left}--")),
        ]);
        Ok(left)
    }

    fn field(&mut self, sort: Sort, initial: u32) -> String {
        let name = format!("{}m{}", self.prefix, self.fields.len());
        self.fields.push(Field { name: name.clone(), sort, initial, kept: false });
        name
    }
}
