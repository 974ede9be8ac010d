//! Changes to a text that leave the rest of it as it was typed: declarations, names, the order of rungs; and reading what
//! a person types for one rung or contact.

use crate::diagnostic::{Diagnostic, Severity};
use crate::lex::{Kind, Token, lex, normal_comment};
use crate::model::{Contact, Network, Program, Rung, Test, Var, VarKind};
use crate::parse::{Place, Reading, parse};
use crate::print::print;
use crate::splice::{apply, on_lines, without};

/// The text with a variable declared behind those of its last `VAR … END_VAR` without RETAIN, or in a block of its own
/// before the first rung. None if the text does not begin with PROGRAM and a name. That the name is free is for the caller
/// to see to.
pub fn declare(source: &str, var: &Var) -> Option<String> {
    let tokens = lex(source).tokens;
    let line = declaration(var);
    if let Some((end, indent)) = last_block(&tokens, var.retain) {
        let before = source.get(..end)?;
        let line_start = before.rfind('\n').map_or(0, |at| at + 1);
        let rest = &source[end..];
        let indent = " ".repeat(indent.min(16));
        return Some(if before[line_start..].trim().is_empty() {
            format!("{}{indent}{line}\n{}{rest}", &before[..line_start], &before[line_start..])
        } else {
            format!("{}\n{indent}{line}\n{rest}", before.trim_end_matches([' ', '\t']))
        });
    }
    let head = tokens.iter().position(|token| is_word(token, "PROGRAM"))?;
    let Kind::Word(_) = tokens.get(head + 1)?.kind else { return None };
    let at = tokens[head + 1].end.byte as usize;
    let word = if var.retain { "VAR RETAIN" } else { "VAR" };
    apply(source, vec![on_lines(source, at, at, &format!("{word}\n    {line}\nEND_VAR"))?])
}

/// The text with variable `index` of its reading declared as another one; others of the same declaration get lines of
/// their own. Its uses stay as they are; [`rename`] changes those. None if there is no such variable.
pub fn redeclare(source: &str, reading: &Reading, index: usize, var: &Var) -> Option<String> {
    let place = *reading.var_places.get(index)?;
    let lines = together(reading, place).map(|other| {
        let var = if other == index { var } else { &reading.program.vars[other] };
        declaration(var)
    });
    let indent = format!("\n{}", " ".repeat(place.column.saturating_sub(1).min(16) as usize));
    let text = lines.collect::<Vec<_>>().join(&indent);
    apply(source, vec![(place.start as usize, place.end as usize, text)])
}

/// The text without the declaration of variable `index`; none if there is no such variable.
pub fn undeclare(source: &str, reading: &Reading, index: usize) -> Option<String> {
    let place = *reading.var_places.get(index)?;
    let others: Vec<String> = together(reading, place)
        .filter(|other| *other != index)
        .map(|other| declaration(&reading.program.vars[other]))
        .collect();
    let (start, end) = (place.start as usize, place.end as usize);
    if !others.is_empty() {
        let indent = format!("\n{}", " ".repeat(place.column.saturating_sub(1).min(16) as usize));
        return apply(source, vec![(start, end, others.join(&indent))]);
    }
    let after = source.get(end..)?;
    let blanks = after.len() - after.trim_start_matches([' ', '\t']).len();
    apply(source, vec![without(source, start, end + blanks)?])
}

/// The text with a variable called otherwise wherever it is declared, read or written; comments, pins and the name of the
/// program stay. None if the text does not have the name.
pub fn rename(source: &str, from: &str, to: &str) -> Option<String> {
    let tokens = lex(source).tokens;
    let is_mark = |at: Option<usize>, mark: &str| {
        at.and_then(|at| tokens.get(at)).is_some_and(|token| matches!(token.kind, Kind::Mark(m) if m == mark))
    };
    let is_it = |at: &usize| {
        let before = at.checked_sub(1);
        let pin = is_mark(before, ".")
            || (is_mark(Some(at + 1), ":=") && (is_mark(before, "(") || is_mark(before, ",")));
        let program = before.is_some_and(|before| is_word(&tokens[before], "PROGRAM"));
        is_word(&tokens[*at], from) && !pin && !program
    };
    let put = |at: usize| (tokens[at].start.byte as usize, tokens[at].end.byte as usize, to.to_owned());
    let changes: Vec<_> = (0..tokens.len()).filter(is_it).map(put).collect();
    if changes.is_empty() { None } else { apply(source, changes) }
}

/// The text with rung `from` moved to stand as rung `to`, as it was typed, its comments included; none if either is no
/// rung.
pub fn move_rung(source: &str, reading: &Reading, from: usize, to: usize) -> Option<String> {
    let place = reading.rung_places.get(from)?;
    let statement = source.get(place.start as usize..place.end as usize)?.to_owned();
    let beside = reading.rung_places.get(to)?;
    if from == to {
        return Some(source.to_owned());
    }
    let at = if to < from { beside.start } else { beside.end } as usize;
    let taken_out = without(source, place.start as usize, place.end as usize)?;
    apply(source, vec![taken_out, on_lines(source, at, at, &statement)?])
}

/// Reads statements as typed, with the variables of a program; the last semicolon can be left out.
///
/// # Errors
/// What is wrong first, with its place in `text`.
pub fn read_rungs(program: &Program, text: &str) -> Result<Vec<Rung>, Diagnostic> {
    let known = Program { rungs: Vec::new(), comment: String::new(), ..program.clone() };
    let printed = print(&known);
    let head = printed.strip_suffix("END_PROGRAM\n").unwrap_or(&printed);
    // An empty statement is allowed, so that a semicolon more does no harm.
    let whole = format!("{head}{}\n;\nEND_PROGRAM", text.trim_end());
    match parse(&whole) {
        Ok(program) => Ok(program.rungs),
        Err(found) => {
            let lines = head.bytes().filter(|b| *b == b'\n').count() as u32;
            let first = found.into_iter().find(|d| d.severity == Severity::Error);
            Err(first.map_or_else(
                || nothing(text),
                |d| Diagnostic { line: d.line.saturating_sub(lines).max(1), ..d },
            ))
        }
    }
}

/// Reads a contact or network as typed, with the variables of a program. An edge contact is written as
/// [`print_network`](crate::print_network) shows it, `R_TRIG(a)`.
///
/// # Errors
/// What is wrong first, with its place in `text`.
pub fn read_network(program: &Program, text: &str) -> Result<Network, Diagnostic> {
    const DRIVEN: &str = "sealin_driven";
    let (plain, mut edges) = without_edges(text);
    for (_, bit, _) in &mut edges {
        // Gives the reader's own words for what is wrong with it, and its spelling.
        match read_network(program, bit)? {
            Network::Contact(Contact::Bit { var, test: Test::Open }) => *bit = var,
            _ => return Err(nothing(text)),
        }
    }
    let mut known = program.clone();
    let bits = edges.iter().map(|(name, ..)| name.as_str()).chain([DRIVEN]);
    known.vars.extend(bits.map(|name| Var {
        name: name.to_owned(),
        address: None,
        kind: VarKind::Bool,
        initial: false,
        retain: false,
        comment: String::new(),
    }));
    let shift = DRIVEN.len() as u32 + 4;
    let rungs = read_rungs(&known, &format!("{DRIVEN} := {plain}")).map_err(|d| Diagnostic {
        column: if d.line == 1 { d.column.saturating_sub(shift).max(1) } else { d.column },
        ..d
    })?;
    match <[Rung; 1]>::try_from(rungs) {
        Ok([rung]) => with_edges(rung.logic, &edges).ok_or_else(|| nothing(text)),
        Err(_) => Err(nothing(text)),
    }
}

fn nothing(text: &str) -> Diagnostic {
    let message =
        if text.trim().is_empty() { "a name is expected" } else { "a contact or contacts are expected" };
    Diagnostic { line: 1, column: 1, message: message.to_owned(), hint: None, severity: Severity::Error }
}

/// The text with each edge contact written as a name of its own; that name, the bit, and when it passes.
fn without_edges(text: &str) -> (String, Vec<(String, String, Test)>) {
    let tokens = lex(text).tokens;
    let mut plain = String::new();
    let mut edges = Vec::new();
    let (mut copied, mut at) = (0, 0);
    while at < tokens.len() {
        let test = match &tokens[at].kind {
            Kind::Word(word) if word.eq_ignore_ascii_case("R_TRIG") => Some(Test::Rising),
            Kind::Word(word) if word.eq_ignore_ascii_case("F_TRIG") => Some(Test::Falling),
            _ => None,
        };
        if let (Some(test), Some(length)) = (test, bit_in_brackets(&tokens[at + 1..])) {
            let name = format!("sealin_edge{}", edges.len());
            plain.push_str(&text[copied..tokens[at].start.byte as usize]);
            plain.push_str(&name);
            let (open, close) = (&tokens[at + 1], &tokens[at + length]);
            copied = close.end.byte as usize;
            edges.push((name, text[open.end.byte as usize..close.start.byte as usize].to_owned(), test));
            at += length;
        }
        at += 1;
    }
    plain.push_str(&text[copied..]);
    (plain, edges)
}

/// Number of tokens of `(a)` or `(rest.Q)`.
fn bit_in_brackets(tokens: &[Token]) -> Option<usize> {
    let kinds: Vec<&Kind> = tokens.iter().take(5).map(|token| &token.kind).collect();
    match kinds[..] {
        [Kind::Mark("("), Kind::Word(_), Kind::Mark(")"), ..] => Some(3),
        [Kind::Mark("("), Kind::Word(_), Kind::Mark("."), Kind::Word(_), Kind::Mark(")")] => Some(5),
        _ => None,
    }
}

/// The network with the names of edges turned to edge contacts; none if one is negated, which no contact is.
fn with_edges(logic: Network, edges: &[(String, String, Test)]) -> Option<Network> {
    let all = |parts: Vec<Network>| -> Option<Vec<Network>> {
        parts.into_iter().map(|part| with_edges(part, edges)).collect()
    };
    Some(match logic {
        Network::Series(parts) => Network::Series(all(parts)?),
        Network::Parallel(parts) => Network::Parallel(all(parts)?),
        Network::Contact(Contact::Bit { var, test }) => match edges.iter().find(|(name, ..)| *name == var) {
            Some((_, bit, edge)) if test == Test::Open => Network::bit(bit.clone(), *edge),
            Some(_) => return None,
            None => Network::bit(var, test),
        },
        other => other,
    })
}

fn declaration(var: &Var) -> String {
    let address = var.address.map(|address| format!(" AT {address}")).unwrap_or_default();
    let initial = if var.initial && var.kind == VarKind::Bool { " := TRUE" } else { "" };
    let comment = normal_comment(&var.comment);
    let comment = if comment.is_empty() { comment } else { format!("  (* {comment} *)") };
    format!("{}{address} : {}{initial};{comment}", var.name, var.kind.word())
}

/// Indices of the variables of one declaration.
fn together(reading: &Reading, place: Place) -> impl Iterator<Item = usize> + '_ {
    (0..reading.var_places.len()).filter(move |other| {
        let other = reading.var_places[*other];
        other.start < place.end && place.start < other.end
    })
}

/// Byte of the `END_VAR` of the last block of variables of this sort, and the column of what it declares first, from 0.
fn last_block(tokens: &[Token], retain: bool) -> Option<(usize, usize)> {
    let mut found = None;
    let mut open = None;
    for (at, token) in tokens.iter().enumerate() {
        if is_word(token, "VAR") {
            let is_retain = tokens.get(at + 1).is_some_and(|next| is_word(next, "RETAIN"));
            open = (is_retain == retain).then_some(at + if is_retain { 2 } else { 1 });
        } else if is_word(token, "END_VAR")
            && let Some(first) = open.take()
        {
            let first = &tokens[first];
            let is_empty = first.start.byte == token.start.byte;
            let indent = if is_empty { 4 } else { first.start.column.saturating_sub(1) as usize };
            found = Some((token.start.byte as usize, indent));
        }
    }
    found
}

fn is_word(token: &Token, word: &str) -> bool {
    matches!(&token.kind, Kind::Word(text) if text.eq_ignore_ascii_case(word))
}
