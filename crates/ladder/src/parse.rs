//! Reads structured text (IEC 61131-3, textual language ST): the part that a ladder can draw.

mod calls;
mod comments;
mod comparison;
mod declarations;
mod edges;
mod expression;
mod statements;
mod words;

pub(crate) use declarations::read_address;
pub use edges::is_edge_name;
pub(crate) use words::is_reserved;

use std::collections::BTreeMap;

use crate::block::Block;
use crate::diagnostic::{Diagnostic, MAX_DIAGNOSTICS, Severity};
use crate::lex::{Kind, Position, Token, lex};
use crate::model::{Program, Rung, Var};

/// The longest text that is read, in bytes (attempt.md: 64 kB a program).
pub const MAX_SOURCE_BYTES: usize = 64 * 1024;

/// The deepest nesting of parentheses in an expression.
pub const MAX_NESTING: u32 = 64;

/// Reads a program.
///
/// The text is read to its end whatever is wrong, so that all errors come in one pass, in the order of their places,
/// at most [`MAX_DIAGNOSTICS`] and one that says there are more. A text longer than [`MAX_SOURCE_BYTES`] or nested
/// deeper than [`MAX_NESTING`] is an error.
pub fn parse(source: &str) -> Result<Program, Vec<Diagnostic>> {
    let reading = read(source);
    if reading.diagnostics.iter().any(|diagnostic| diagnostic.severity == Severity::Error) {
        return Err(reading.diagnostics);
    }
    Ok(reading.program)
}

/// What could be read of a text, right or wrong.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Reading {
    /// The variables and rungs that have no error.
    pub program: Program,
    /// Where each variable of `program` stands, by index.
    pub var_places: Vec<Place>,
    /// Where each rung of `program` stands, by index, its comments and the calls of its edges included.
    pub rung_places: Vec<Place>,
    /// The declarations of the edges of rungs, in the order of the text.
    pub edge_places: Vec<EdgePlace>,
    /// The byte just behind the last `END_VAR` and the comments on its line; without one, at which the first rung or
    /// `END_PROGRAM` stands.
    pub declarations_end: u32,
    /// The byte at which `END_PROGRAM` stands, or at which the text ends without one.
    pub body_end: u32,
    /// What is wrong, in the order of the places.
    pub diagnostics: Vec<Diagnostic>,
}

/// Where an edge of a rung is declared: `edge_1 : R_TRIG;`.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct EdgePlace {
    /// Its reserved name, as spelled.
    pub name: String,
    /// The declaration, with its comments.
    pub place: Place,
    /// The `VAR … END_VAR` it stands in.
    pub var_block: Place,
    /// Index of the rung that reads it, if one does.
    pub rung: Option<u32>,
}

/// A stretch of a text.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct Place {
    /// First line, counted from 1.
    pub line: u32,
    /// Column of the first character, counted from 1.
    pub column: u32,
    /// Last line.
    pub end_line: u32,
    /// Column just after the last character.
    pub end_column: u32,
    /// First byte, counted from 0.
    pub start: u32,
    /// The byte just after the last.
    pub end: u32,
}

/// Reads as much of a program as has no error, for a screen that draws while a person types.
///
/// A rung with an error is left out; the others are drawn. [`parse`] is this, refusing any error.
pub fn read(source: &str) -> Reading {
    let mut reading = Reading {
        program: Program::default(),
        var_places: Vec::new(),
        rung_places: Vec::new(),
        edge_places: Vec::new(),
        declarations_end: 0,
        body_end: source.len().min(MAX_SOURCE_BYTES) as u32,
        diagnostics: Vec::new(),
    };
    if source.len() > MAX_SOURCE_BYTES {
        reading.diagnostics.push(too_long(source));
        return reading;
    }
    let lexed = lex(source);
    let mut parser = Parser {
        tokens: &lexed.tokens,
        next: 0,
        diagnostics: lexed.diagnostics,
        vars: Vec::new(),
        by_name: BTreeMap::new(),
        rungs: Vec::new(),
        spans: Vec::new(),
        edges: Vec::new(),
        edge_by_name: BTreeMap::new(),
        edge_calls: Vec::new(),
        edges_from: None,
        called: BTreeMap::new(),
        first_block: None,
        var_blocks: Vec::new(),
        body_start: None,
        body_end: None,
    };
    let name = parser.program();
    let comment = comments::place(&mut parser, &lexed.comments);
    reading.body_end = parser.body_end.map_or(reading.body_end, |token| lexed.tokens[token].start.byte);
    for span in &parser.spans {
        match span.owner {
            Owner::Var(_) => reading.var_places.push(span.place),
            Owner::Rung(_) => reading.rung_places.push(span.place),
            Owner::Edge(index) => {
                let edge = &parser.edges[index];
                reading.edge_places.push(EdgePlace {
                    name: edge.name.clone(),
                    place: span.place,
                    var_block: parser.var_blocks.get(edge.var_block).map_or(span.place, |block| block.place),
                    rung: edge.rung.map(|rung| rung as u32),
                });
            }
        }
    }
    reading.declarations_end = match parser.var_blocks.last() {
        Some(block) => lexed.comments.iter().fold(block.place, Place::with_comment_beside).end,
        None => parser.body_start.unwrap_or(reading.body_end),
    };
    reading.program = Program { name, comment, vars: parser.vars, rungs: parser.rungs };
    reading.diagnostics = in_order(parser.diagnostics);
    reading
}

fn too_long(source: &str) -> Diagnostic {
    let mut end = MAX_SOURCE_BYTES;
    while !source.is_char_boundary(end) {
        end -= 1;
    }
    let read = &source[..end];
    let line_start = read.rfind('\n').map_or(0, |at| at + 1);
    Diagnostic {
        line: 1 + read.bytes().filter(|b| *b == b'\n').count() as u32,
        column: 1 + read[line_start..].chars().count() as u32,
        message: format!("the text is {} bytes long; at most {MAX_SOURCE_BYTES} are expected", source.len()),
        hint: Some("the program ends here for the controller; shorten it".to_owned()),
        severity: Severity::Error,
    }
}

fn in_order(mut diagnostics: Vec<Diagnostic>) -> Vec<Diagnostic> {
    diagnostics.sort_by_key(|diagnostic| (diagnostic.line, diagnostic.column));
    diagnostics.dedup();
    if diagnostics.len() > MAX_DIAGNOSTICS {
        let more = diagnostics.len() - MAX_DIAGNOSTICS;
        let (line, column) = (diagnostics[MAX_DIAGNOSTICS].line, diagnostics[MAX_DIAGNOSTICS].column);
        diagnostics.truncate(MAX_DIAGNOSTICS);
        diagnostics.push(Diagnostic {
            line,
            column,
            message: if more == 1 {
                "one more error".to_owned()
            } else {
                format!("{more} more errors from here on")
            },
            hint: Some("mend the first ones; others may go with them".to_owned()),
            severity: Severity::Error,
        });
    }
    diagnostics
}

/// The tokens that something was read from, both ends included, and its place.
struct Span {
    first: usize,
    last: usize,
    place: Place,
    owner: Owner,
}

/// Whose comments those at a span are, by its index in `Parser::vars`, `rungs` or `edges`.
#[derive(Clone, Copy)]
enum Owner {
    Var(usize),
    Rung(usize),
    Edge(usize),
}

/// The tokens and place of a `VAR … END_VAR`.
struct VarBlock {
    first: usize,
    /// `END_VAR`, or the token where it is missing.
    end: usize,
    place: Place,
    /// Whether it declares edges and nothing else. Such a block comes and goes with the rungs, so comments outside it are
    /// placed as if it were not there.
    only_edges: bool,
}

/// A declaration of a name that is kept for edges.
struct EdgeDeclaration {
    name: String,
    line: u32,
    /// R_TRIG or F_TRIG; none where it was wrong and has been reported.
    block: Option<Block>,
    /// Index of the rung that reads it.
    rung: Option<usize>,
    /// Index of the `VAR … END_VAR` it stands in.
    var_block: usize,
}

/// What a name stands for, by its index in `Parser::vars`; and the line of its declaration.
#[derive(Clone, Copy)]
struct Declared {
    index: usize,
    line: u32,
}

struct Parser<'a> {
    tokens: &'a [Token],
    next: usize,
    diagnostics: Vec<Diagnostic>,
    vars: Vec<Var>,
    /// Names in capitals, since upper and lower case are the same to the standard.
    by_name: BTreeMap<String, Declared>,
    rungs: Vec<Rung>,
    /// Where declarations and rungs stand, in the order of the text.
    spans: Vec<Span>,
    edges: Vec<EdgeDeclaration>,
    /// Indices in `edges` by names in capitals.
    edge_by_name: BTreeMap<String, usize>,
    /// The edges called since the last rung.
    edge_calls: Vec<edges::EdgeCall>,
    /// The first token of those calls.
    edges_from: Option<usize>,
    /// Line on which each block, by name in capitals, is called.
    called: BTreeMap<String, u32>,
    /// The first `VAR`; comments before it are about the whole program.
    first_block: Option<usize>,
    /// The declarations, each from `VAR` to `END_VAR`.
    var_blocks: Vec<VarBlock>,
    /// The byte at which the first rung stands.
    body_start: Option<u32>,
    /// The token `END_PROGRAM`.
    body_end: Option<usize>,
}

/// A diagnostic has been written; the reader goes on elsewhere.
struct Reported;

impl Parser<'_> {
    fn kind(&self) -> &Kind {
        &self.tokens[self.next].kind
    }

    /// The kind of the token `ahead` further on; the last token, the end, goes on for ever.
    fn kind_at(&self, ahead: usize) -> &Kind {
        &self.tokens[(self.next + ahead).min(self.tokens.len() - 1)].kind
    }

    fn start(&self) -> Position {
        self.tokens[self.next].start
    }

    fn advance(&mut self) {
        if self.next + 1 < self.tokens.len() {
            self.next += 1;
        }
    }

    /// The variable of a name, whatever the case of its letters.
    fn declared(&self, name: &str) -> Option<&Var> {
        self.by_name.get(&name.to_ascii_uppercase()).map(|declared| &self.vars[declared.index])
    }

    fn at_end(&self) -> bool {
        *self.kind() == Kind::End
    }

    fn is_mark(&self, mark: &str) -> bool {
        matches!(self.kind(), Kind::Mark(m) if *m == mark)
    }

    fn is_word(&self, word: &str) -> bool {
        matches!(self.kind(), Kind::Word(w) if w.eq_ignore_ascii_case(word))
    }

    fn take_mark(&mut self, mark: &str) -> bool {
        let found = self.is_mark(mark);
        if found {
            self.advance();
        }
        found
    }

    fn take_word(&mut self, word: &str) -> bool {
        let found = self.is_word(word);
        if found {
            self.advance();
        }
        found
    }

    fn error_at(&mut self, at: Position, message: impl Into<String>, hint: Option<String>) -> Reported {
        self.diagnostics.push(Diagnostic {
            line: at.line,
            column: at.column,
            message: message.into(),
            hint,
            severity: Severity::Error,
        });
        Reported
    }

    /// Where something is missing: at the next token if that is on the same line as the last, else just after the
    /// last, since that is where a person has to write.
    fn gap(&self) -> Position {
        let next = self.start();
        match self.next.checked_sub(1).map(|previous| self.tokens[previous].end) {
            Some(end) if end.line < next.line || self.at_end() => end,
            _ => next,
        }
    }

    fn expected(&mut self, what: &str, hint: Option<String>) -> Reported {
        let at = self.gap();
        self.error_at(at, format!("{what} is expected"), hint)
    }

    fn add_span(&mut self, first: usize, last: usize, owner: Owner) {
        let place = self.place(first, last);
        self.spans.push(Span { first, last, place, owner });
    }

    fn place(&self, first: usize, last: usize) -> Place {
        let (from, to) = (self.tokens[first].start, self.tokens[last].end);
        Place {
            line: from.line,
            column: from.column,
            end_line: to.line,
            end_column: to.column,
            start: from.byte,
            end: to.byte,
        }
    }
}
