//! The program as structured text, in one canonical form.

use crate::lex::normal_comment;
use crate::model::{
    Call, Comparison, Constant, Contact, Network, Operand, Output, Program, Rung, Test, Var, VarKind,
};
use crate::time::print_time;

/// Longest line of a rung that is kept on one line, in characters; a longer one is broken before each outer operator.
const LINE_CHARS: usize = 96;

/// The program as structured text (IEC 61131-3, textual language ST), comments included.
///
/// For a program in normal form, as [`parse`](crate::parse()) gives it, `parse(print(p)) == p`, unless line breaks and indents
/// make the text longer than [`MAX_SOURCE_BYTES`](crate::MAX_SOURCE_BYTES).
pub fn print(program: &Program) -> String {
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
    for rung in &program.rungs {
        if !rung.comment.is_empty() {
            text.push('\n');
        }
        text.push_str(&print_rung(rung));
    }
    text.push_str("END_PROGRAM\n");
    text
}

/// One rung as its statement, with its comment on lines before it, ended by a line break.
pub fn print_rung(rung: &Rung) -> String {
    let mut text = String::new();
    comment_line(&rung.comment, &mut text);
    let (before, after) = match &rung.output {
        Output::Coil { var } => (format!("{var} := "), ";".to_owned()),
        Output::Negated { var } => (format!("{var} := NOT ("), ");".to_owned()),
        Output::Set { var } => ("IF ".to_owned(), format!(" THEN {var} := TRUE; END_IF;")),
        Output::Reset { var } => ("IF ".to_owned(), format!(" THEN {var} := FALSE; END_IF;")),
        Output::Rising { var } | Output::Falling { var } => (format!("{var} := "), ";".to_owned()),
        Output::Block(call) => around_call(call),
    };
    let whole = print_network(&rung.logic);
    let is_short = before.len() + whole.chars().count() + after.len() <= LINE_CHARS;
    text.push_str(&before);
    match &rung.logic {
        Network::Series(parts) if !is_short => {
            let parts: Vec<String> = parts.iter().map(member_of_series).collect();
            text.push_str(&parts.join("\n    AND "));
        }
        Network::Parallel(parts) if !is_short => {
            let parts: Vec<String> = parts.iter().map(print_network).collect();
            text.push_str(&parts.join("\n    OR "));
        }
        _ => text.push_str(&whole),
    }
    text.push_str(&after);
    text.push('\n');
    text
}

/// A network as an expression on one line.
pub fn print_network(logic: &Network) -> String {
    match logic {
        Network::Contact(contact) => print_contact(contact),
        Network::True => "TRUE".to_owned(),
        Network::False => "FALSE".to_owned(),
        Network::Series(parts) if parts.is_empty() => "TRUE".to_owned(),
        Network::Parallel(parts) if parts.is_empty() => "FALSE".to_owned(),
        Network::Series(parts) => parts.iter().map(member_of_series).collect::<Vec<_>>().join(" AND "),
        Network::Parallel(parts) => parts.iter().map(print_network).collect::<Vec<_>>().join(" OR "),
    }
}

/// A contact as an operand.
fn print_contact(contact: &Contact) -> String {
    match contact {
        Contact::Bit { var, test: Test::Closed } => format!("NOT {var}"),
        Contact::Bit { var, .. } => var.clone(),
        Contact::Compare(Comparison { value, relation, with }) => {
            let with = match with {
                Operand::Constant(figure) => print_constant(*figure),
                Operand::Value(name) => name.clone(),
            };
            format!("{value} {} {with}", relation.sign())
        }
    }
}

fn print_constant(figure: Constant) -> String {
    match figure {
        Constant::Time(time_ms) => print_time(time_ms),
        Constant::Count(count) => count.to_string(),
    }
}

/// What stands before and behind the first input of a call.
fn around_call(call: &Call) -> (String, String) {
    let pins = call.block.inputs();
    let mut after = String::new();
    for (pin, input) in pins[1..].iter().zip(&call.further) {
        if let Some(logic) = input {
            after.push_str(&format!(", {pin} := {}", print_network(logic)));
        }
    }
    if let (Some(preset), Some(figure)) = (call.block.preset(), call.preset) {
        after.push_str(&format!(", {} := {}", preset.pin(), print_constant(figure)));
    }
    after.push_str(");");
    (format!("{}({} := ", call.instance, pins[0]), after)
}

fn member_of_series(part: &Network) -> String {
    match part {
        Network::Parallel(branches) if branches.len() > 1 => format!("({})", print_network(part)),
        _ => print_network(part),
    }
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
