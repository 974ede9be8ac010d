//! A program as assignments, straight from its rungs.
//!
//! IEC 61131-3: rungs are evaluated top to bottom; all that a rung reads is read before it writes; an edge contact
//! compares a bit with what it was when the contact was last evaluated. Blocks are in `blocks.rs`.

mod blocks;

use crate::formula::place;
use crate::text::{Field, Text};
use sealin_ladder::{
    Area, Comparison, Constant, Contact, FIRST_SCAN, Network, Operand, Output, Program, Relation, Rung, Test,
    Var, VarKind,
};

/// A program as Promela.
pub struct Translated {
    /// What it remembers.
    pub fields: Vec<Field>,
    /// A scan: reads the input image, writes [`IMAGE`].
    pub scan: String,
    /// Bits of the output image that it has, in ascending order: bit `i` of the model's image is bit `outputs[i]` there.
    pub outputs: Vec<u32>,
    /// Scratch bits that a scan uses: names, none of them part of a state.
    pub scratch: Vec<String>,
    /// Places for intermediate values that it uses.
    pub places: usize,
}

/// The input image of the way that was chosen, as C.
pub const INPUTS: &str = "COURSE_INPUTS[WAY_COURSE[way]]";

/// The output image, in as few bits as the program has outputs.
pub const IMAGE: &str = "image";

struct Translation<'a> {
    program: &'a Program,
    prefix: &'a str,
    period_ms: u32,
    fields: Vec<Field>,
    scratch: Vec<String>,
    /// Places of intermediate values used in this rung, and the most in any.
    used: usize,
    places: usize,
    edges: usize,
    text: Text,
}

/// Translates a program for a scan period; every name begins with `prefix`.
///
/// # Errors
/// A name that is not declared, or not of the kind its place asks for.
pub fn translate(
    program: &Program,
    prefix: &str,
    period_ms: u32,
    depth: usize,
) -> Result<Translated, String> {
    let outputs = outputs(program);
    let mut t = Translation {
        program,
        prefix,
        period_ms,
        fields: Vec::new(),
        scratch: Vec::new(),
        used: 0,
        places: 0,
        edges: 0,
        text: Text::at(depth),
    };
    for var in &program.vars {
        t.declare(var);
    }
    for rung in &program.rungs {
        t.used = 0;
        t.rung(rung)?;
    }
    t.write_image(&outputs);
    Ok(Translated { fields: t.fields, scan: t.text.done(), outputs, scratch: t.scratch, places: t.places })
}

/// Bits of the output image that a program declares.
pub fn outputs(program: &Program) -> Vec<u32> {
    let mut all: Vec<u32> = program.vars.iter().filter_map(|var| image_bit(var, Area::Output)).collect();
    all.sort_unstable();
    all
}

fn image_bit(var: &Var, area: Area) -> Option<u32> {
    var.address.filter(|address| address.area == area)?.image_bit()
}

impl Translation<'_> {
    /// Name of a variable, or of a pin as `rest.Q`, in the model.
    fn name(&self, name: &str) -> String {
        let (var, pin) = name.split_once('.').map_or((name, None), |(var, pin)| (var, Some(pin)));
        let spelled = self.var(var).map_or(var, |var| &var.name);
        let plain: String =
            spelled.chars().map(|c| if c.is_ascii_alphanumeric() { c } else { '_' }).collect();
        // Names that differ in letters beyond ASCII only are told apart by their number.
        let number = self.program.vars.iter().position(|v| v.name == spelled).unwrap_or(0);
        match pin {
            None => format!("{}v{number}_{plain}", self.prefix),
            Some(pin) => format!("{}v{number}_{plain}_{}", self.prefix, pin.to_ascii_uppercase()),
        }
    }

    fn var(&self, name: &str) -> Option<&Var> {
        self.program.vars.iter().find(|var| var.name.eq_ignore_ascii_case(name))
    }

    /// What a declaration adds to the state; an input is read anew by every scan.
    fn declare(&mut self, var: &Var) {
        let name = self.name(&var.name);
        if let VarKind::Block(_) = var.kind {
            return self.declare_block(var);
        }
        if let Some(bit) = image_bit(var, Area::Input) {
            self.text.line(format!("{name} = c_expr {{ {INPUTS} >> {bit} & 1 }};"));
            return self.scratch.push(name);
        }
        if is_first_scan(var) {
            let ran = format!("{}ran", self.prefix);
            self.text.line(format!("{name} = !{ran}; {ran} = 1;"));
            self.fields.push(Field::bit(ran));
            return self.scratch.push(name);
        }
        let field = Field { initial: var.initial.into(), kept: var.retain, ..Field::bit(name) };
        self.fields.push(field);
    }

    fn rung(&mut self, rung: &Rung) -> Result<(), String> {
        let passes = self.network(&rung.logic)?;
        if let Output::Block(call) = &rung.output {
            let mut given = vec![passes];
            for further in &call.further {
                given.push(further.as_ref().map_or(Ok("0".to_string()), |network| self.network(network))?);
            }
            given.resize(call.block.inputs().len(), "0".to_string());
            return self.call(call, given);
        }
        let var = self.written(rung.output.var())?;
        match &rung.output {
            Output::Negated { .. } => self.text.line(format!("{var} = !{passes};")),
            Output::Set { .. } => self.text.line(format!("{var} = {var} || {passes};")),
            Output::Reset { .. } => self.text.line(format!("{var} = {var} && !{passes};")),
            Output::Rising { .. } => {
                let rises = self.edge(passes);
                self.text.line(format!("{var} = {rises};"));
            }
            Output::Falling { .. } => {
                let falls = self.edge(format!("(!{passes})"));
                self.text.line(format!("{var} = {falls};"));
            }
            _ => self.text.line(format!("{var} = {passes};")),
        }
        Ok(())
    }

    /// A bit that a coil may write.
    fn written(&self, name: &str) -> Result<String, String> {
        let var = self.var(name).ok_or_else(|| format!("`{name}` is not declared"))?;
        let is_bit =
            var.kind == VarKind::Bool && image_bit(var, Area::Input).is_none() && !is_first_scan(var);
        is_bit.then(|| self.name(name)).ok_or_else(|| format!("`{name}` cannot be written"))
    }

    /// The expression of what a network passes. Edge contacts and comparisons in it are worked out before, in reading order,
    /// whatever else passes.
    fn network(&mut self, network: &Network) -> Result<String, String> {
        Ok(match network {
            Network::True => "1".to_string(),
            Network::False => "0".to_string(),
            Network::Series(parts) => self.group(parts, " && ", "1")?,
            Network::Parallel(parts) => self.group(parts, " || ", "0")?,
            Network::Contact(Contact::Bit { var, test }) => {
                let bit = self.read(var)?;
                match test {
                    Test::Open => bit,
                    Test::Closed => format!("(!{bit})"),
                    Test::Rising => self.edge(bit),
                    Test::Falling => self.edge(format!("(!{bit})")),
                }
            }
            Network::Contact(Contact::Compare(comparison)) => self.comparison(comparison)?,
        })
    }

    fn group(&mut self, parts: &[Network], sign: &str, none: &str) -> Result<String, String> {
        let parts = parts.iter().map(|part| self.network(part)).collect::<Result<Vec<_>, _>>()?;
        Ok(if parts.is_empty() { none.to_string() } else { format!("({})", parts.join(sign)) })
    }

    /// A bit that a contact may read: a variable or a pin.
    fn read(&self, name: &str) -> Result<String, String> {
        let (var, pin) = name.split_once('.').map_or((name, None), |(var, pin)| (var, Some(pin)));
        let found = self.var(var).is_some_and(|v| match (v.kind, pin) {
            (VarKind::Bool, None) => true,
            (VarKind::Block(block), Some(pin)) => block.bits().any(|bit| bit.eq_ignore_ascii_case(pin)),
            _ => false,
        });
        found.then(|| self.name(name)).ok_or_else(|| format!("`{name}` is no bit of the program"))
    }

    /// An edge of an expression: so, and not so when this was last evaluated.
    fn edge(&mut self, of: String) -> String {
        let (now, rises) = (self.place(), self.place());
        let before = format!("{}e{}", self.prefix, self.edges);
        self.edges += 1;
        self.fields.push(Field::bit(before.clone()));
        self.text.line(format!("{now} = {of}; {rises} = ({now} && !{before}); {before} = {now};"));
        rises
    }

    fn comparison(&mut self, comparison: &Comparison) -> Result<String, String> {
        let left = self.number(&comparison.value)?;
        let right = match &comparison.with {
            Operand::Constant(Constant::Time(ms)) => ms.to_string(),
            Operand::Constant(Constant::Count(count)) => format!("({count})"),
            Operand::Value(name) => self.number(name)?,
        };
        let sign = match comparison.relation {
            Relation::Less => "<",
            Relation::AtMost => "<=",
            Relation::Greater => ">",
            Relation::AtLeast => ">=",
            Relation::Equal => "==",
            Relation::NotEqual => "!=",
        };
        let holds = self.place();
        self.text.line(format!("{holds} = ({left} {sign} {right});"));
        Ok(holds)
    }

    /// A place for an intermediate value, which is nobody else's in this rung.
    fn place(&mut self) -> String {
        self.used += 1;
        self.places = self.places.max(self.used);
        place(self.used - 1)
    }

    fn write_image(&mut self, outputs: &[u32]) {
        let bit = |var: &Var| outputs.iter().position(|&o| Some(o) == image_bit(var, Area::Output));
        let terms: Vec<String> = self
            .program
            .vars
            .iter()
            .filter_map(|var| Some(format!("({} << {})", self.name(&var.name), bit(var)?)))
            .collect();
        let image = if terms.is_empty() { "0".to_string() } else { terms.join(" | ") };
        self.text.line(format!("{IMAGE} = {image};"));
    }
}

fn is_first_scan(var: &Var) -> bool {
    var.kind == VarKind::Bool && var.address.is_none() && var.name.eq_ignore_ascii_case(FIRST_SCAN)
}
