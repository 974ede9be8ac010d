//! The program as structured text, in one canonical form.

use crate::block::Block;
use crate::lex::normal_comment;
use crate::model::{Call, Comparison, Contact, Network, Output, Program, Rung, Test, Var, VarKind};

/// Longest line of a rung that is kept on one line, in characters; a longer one is broken before each outer operator.
const LINE_CHARS: usize = 96;

/// The program as structured text (IEC 61131-3, textual language ST), comments included.
///
/// Edges are numbered through the program in reading order. For a program in normal form, as [`parse`](crate::parse())
/// gives it, `parse(print(p)) == p`, unless line breaks and indents make the text longer than
/// [`MAX_SOURCE_BYTES`](crate::MAX_SOURCE_BYTES).
pub fn print(program: &Program) -> String {
    let mut edges = Edges::numbered();
    let rungs: Vec<String> = program.rungs.iter().map(|rung| rung_text(rung, &mut edges)).collect();
    let mut text = String::new();
    comment_line(&program.comment, &mut text);
    text.push_str("PROGRAM ");
    text.push_str(&program.name);
    text.push('\n');
    let mut vars = program.vars.as_slice();
    while let Some(first) = vars.first() {
        let count = vars.iter().take_while(|var| var.retain == first.retain).count();
        let (block, rest) = vars.split_at(count);
        print_block(block, &mut text);
        vars = rest;
    }
    if !edges.used.is_empty() {
        text.push_str("VAR\n");
        let width = edges.used.iter().map(|(name, _)| name.len()).max().unwrap_or(0);
        for (name, block) in &edges.used {
            text.push_str(&format!("    {name:width$} : {};\n", block.word()));
        }
        text.push_str("END_VAR\n");
    }
    for (rung, statement) in program.rungs.iter().zip(rungs) {
        if !rung.comment.is_empty() {
            text.push('\n');
        }
        text.push_str(&statement);
    }
    text.push_str("END_PROGRAM\n");
    text
}

/// One rung as its statement, with its comment on lines before it, ended by a line break. Edges are called before it, from
/// `edge_1` on; their declarations are not part of it.
pub fn print_rung(rung: &Rung) -> String {
    rung_text(rung, &mut Edges::numbered())
}

/// A network as an expression on one line. An edge contact is shown as `R_TRIG(a)` or `F_TRIG(a)`: in a program its call
/// stands before the rung.
pub fn print_network(logic: &Network) -> String {
    network_text(logic, &mut |bit, block| format!("{}({bit})", block.word()))
}

/// Names of the edges that a text has used, with their blocks, and where the next name comes from.
pub(crate) struct Edges<'a> {
    next: Box<dyn FnMut() -> String + 'a>,
    pub used: Vec<(String, Block)>,
}

impl<'a> Edges<'a> {
    fn numbered() -> Self {
        let mut number = 0u32;
        Self::named(move || {
            number += 1;
            format!("edge_{number}")
        })
    }

    /// Names as they are given out.
    pub(crate) fn named(next: impl FnMut() -> String + 'a) -> Self {
        Edges { next: Box::new(next), used: Vec::new() }
    }

    fn take(&mut self, block: Block) -> String {
        let name = (self.next)();
        self.used.push((name.clone(), block));
        name
    }
}

/// One rung as [`print_rung`] gives it, with these names for its edges.
pub(crate) fn rung_text(rung: &Rung, edges: &mut Edges) -> String {
    let mut text = String::new();
    comment_line(&rung.comment, &mut text);
    let mut contact = |bit: &str, block: Block| {
        let name = edges.take(block);
        text.push_str(&format!("{name}(CLK := {bit});\n"));
        format!("{name}.Q")
    };
    let (members, operator) = members(&rung.logic, &mut contact);
    let mut one = |logic: &Network| network_text(logic, &mut contact);
    let further: Vec<Option<String>> =
        rung.output.further().iter().map(|input| input.as_ref().map(&mut one)).collect();
    let (before, after) = match &rung.output {
        Output::Coil { var } => (format!("{var} := "), ";".to_owned()),
        Output::Negated { var } => (format!("{var} := NOT ("), ");".to_owned()),
        Output::Set { var } => ("IF ".to_owned(), format!(" THEN {var} := TRUE; END_IF;")),
        Output::Reset { var } => ("IF ".to_owned(), format!(" THEN {var} := FALSE; END_IF;")),
        Output::Rising { var } => around_edge(&edges.take(Block::RTrig), var, &rung.logic),
        Output::Falling { var } => around_edge(&edges.take(Block::FTrig), var, &rung.logic),
        Output::Block(call) => around_call(call, &further),
    };
    let line = members.join(&format!(" {operator} "));
    let is_short = before.len() + line.chars().count() + after.len() <= LINE_CHARS;
    text.push_str(&before);
    text.push_str(&if is_short { line } else { members.join(&format!("\n    {operator} ")) });
    text.push_str(&after);
    text.push('\n');
    text
}

/// What an edge contact is written as, given its bit and its block.
type EdgeContact<'a> = dyn FnMut(&str, Block) -> String + 'a;

/// The members of the outer group of a network as operands, and the operator between them.
fn members(logic: &Network, edge: &mut EdgeContact) -> (Vec<String>, &'static str) {
    match logic {
        Network::Series(parts) if !parts.is_empty() => {
            let mut member = |part: &Network| match part {
                Network::Parallel(branches) if branches.len() > 1 => {
                    format!("({})", network_text(part, edge))
                }
                _ => network_text(part, edge),
            };
            (parts.iter().map(&mut member).collect(), "AND")
        }
        Network::Parallel(parts) if !parts.is_empty() => {
            (parts.iter().map(|part| network_text(part, edge)).collect(), "OR")
        }
        Network::Contact(contact) => (vec![contact_text(contact, edge)], ""),
        Network::True | Network::Series(_) => (vec!["TRUE".to_owned()], ""),
        Network::False | Network::Parallel(_) => (vec!["FALSE".to_owned()], ""),
    }
}

fn network_text(logic: &Network, edge: &mut EdgeContact) -> String {
    let (members, operator) = members(logic, edge);
    members.join(&format!(" {operator} "))
}

/// A contact as an operand.
fn contact_text(contact: &Contact, edge: &mut EdgeContact) -> String {
    match contact {
        Contact::Bit { var, test: Test::Open } => var.clone(),
        Contact::Bit { var, test: Test::Closed } => format!("NOT {var}"),
        Contact::Bit { var, test: Test::Rising } => edge(var, Block::RTrig),
        Contact::Bit { var, test: Test::Falling } => edge(var, Block::FTrig),
        Contact::Compare(Comparison { value, relation, with }) => {
            format!("{value} {} {with}", relation.sign())
        }
    }
}

/// What stands before and behind the first input of a call, given what the further ones are.
fn around_call(call: &Call, further: &[Option<String>]) -> (String, String) {
    let pins = call.block.inputs();
    let mut after = String::new();
    for (pin, input) in pins[1..].iter().zip(further) {
        if let Some(input) = input {
            after.push_str(&format!(", {pin} := {input}"));
        }
    }
    if let (Some(preset), Some(figure)) = (call.block.preset(), call.preset) {
        after.push_str(&format!(", {} := {figure}", preset.pin()));
    }
    after.push_str(");");
    (format!("{}({} := ", call.instance, pins[0]), after)
}

/// What stands before and behind the rung of an edge coil. A bare name would be read as an edge contact.
fn around_edge(name: &str, var: &str, logic: &Network) -> (String, String) {
    let is_bare = matches!(logic, Network::Contact(Contact::Bit { test: Test::Open, .. }));
    let (open, close) = if is_bare { ("(", ")") } else { ("", "") };
    (format!("{name}(CLK := {open}"), format!("{close});\n{var} := {name}.Q;"))
}

fn print_block(block: &[Var], text: &mut String) {
    text.push_str(if block[0].retain { "VAR RETAIN\n" } else { "VAR\n" });
    let width = block.iter().map(|var| var.name.len()).max().unwrap_or(0);
    for var in block {
        let name = &var.name;
        let place = var.address.map(|address| format!("AT {address} ")).unwrap_or_default();
        let kind = var.kind.word();
        let initial = if var.initial && var.kind == VarKind::Bool { " := TRUE" } else { "" };
        text.push_str(&format!("    {name:width$} {place}: {kind}{initial};"));
        if !var.comment.is_empty() {
            text.push(' ');
            push_comment(&var.comment, "       ", text);
        }
        text.push('\n');
    }
    text.push_str("END_VAR\n");
}

fn comment_line(comment: &str, text: &mut String) {
    if !comment.is_empty() {
        push_comment(comment, "   ", text);
        text.push('\n');
    }
}

fn push_comment(comment: &str, indent: &str, text: &mut String) {
    text.push_str("(* ");
    for (index, line) in normal_comment(comment).split('\n').enumerate() {
        if index > 0 {
            text.push('\n');
            text.push_str(if line.is_empty() { "" } else { indent });
        }
        text.push_str(line);
    }
    text.push_str(" *)");
}
