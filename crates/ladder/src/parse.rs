//! Reads structured text (IEC 61131-3, textual language ST): the part that a ladder can draw.

mod calls;
mod comparison;
mod declarations;
mod expression;
mod statements;
mod words;

use std::collections::BTreeMap;

use crate::diagnostic::{Diagnostic, MAX_DIAGNOSTICS, Severity};
use crate::lex::{Comment, Kind, Position, Token, lex};
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
    /// Where each rung of `program` stands, by index, its comments included.
    pub rung_places: Vec<Place>,
    /// The byte at which `END_PROGRAM` stands, or at which the text ends without one.
    pub body_end: u32,
    /// What is wrong, in the order of the places.
    pub diagnostics: Vec<Diagnostic>,
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
        var_spans: Vec::new(),
        by_name: BTreeMap::new(),
        rungs: Vec::new(),
        rung_spans: Vec::new(),
        called: BTreeMap::new(),
        bounds: Vec::new(),
        first_block: None,
        body_end: None,
    };
    let name = parser.program();
    let comment = place_comments(&mut parser, &lexed.comments);
    reading.var_places = parser.var_spans.iter().map(|span| span.place).collect();
    reading.rung_places = parser.rung_spans.iter().map(|span| span.place).collect();
    reading.body_end = parser.body_end.unwrap_or(reading.body_end);
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

/// The tokens that a variable or rung was read from, both ends included, and its place.
struct Span {
    first: usize,
    last: usize,
    place: Place,
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
    var_spans: Vec<Span>,
    /// Names in capitals, since upper and lower case are the same to the standard.
    by_name: BTreeMap<String, Declared>,
    rungs: Vec<Rung>,
    rung_spans: Vec<Span>,
    /// Line on which each block, by name in capitals, is called.
    called: BTreeMap<String, u32>,
    /// Tokens over which no comment reaches: `END_VAR` and `END_PROGRAM`.
    bounds: Vec<usize>,
    /// The first `VAR`; comments before it are about the whole program.
    first_block: Option<usize>,
    /// The byte at which `END_PROGRAM` stands.
    body_end: Option<u32>,
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

/// Gives every comment to the rung or variable it stands with, and returns those about the whole program.
///
/// A comment inside a statement, before it, or after it on its last line stays with it.
fn place_comments(parser: &mut Parser, comments: &[Comment]) -> String {
    enum Owner {
        Program,
        Var(usize),
        Rung(usize),
    }
    let spans: Vec<(usize, usize, u32)> = (parser.var_spans.iter().chain(&parser.rung_spans))
        .map(|span| (span.first, span.last, span.place.end_line))
        .collect();
    let var_count = parser.var_spans.len();
    let mut about_program: Vec<&str> = Vec::new();
    for comment in comments {
        let token = comment.before_token;
        // The first span that does not end before the comment; the one before it does.
        let following = spans.partition_point(|(_, last, _)| *last < token);
        let before = following.checked_sub(1);
        let owner = |index: usize| {
            if index < var_count { Owner::Var(index) } else { Owner::Rung(index - var_count) }
        };
        let before_all = before.is_none() && parser.first_block.is_none_or(|block| token <= block);
        let chosen = match (before, spans.get(following)) {
            (_, Some((first, _, _))) if *first < token => owner(following),
            (Some(index), _) if spans[index].2 == comment.start.line => owner(index),
            (None, _) if before_all => Owner::Program,
            (before, Some((first, _, _))) => {
                let cut = parser.bounds.iter().any(|bound| token <= *bound && bound < first);
                match before {
                    Some(index) if cut => owner(index),
                    _ => owner(following),
                }
            }
            // Behind the END_VAR or END_PROGRAM that follows the last one.
            (Some(index), None)
                if parser.bounds.iter().any(|bound| spans[index].1 < *bound && *bound < token) =>
            {
                Owner::Program
            }
            (Some(index), None) => owner(index),
            (None, None) => Owner::Program,
        };
        match chosen {
            Owner::Program => about_program.push(&comment.text),
            Owner::Var(index) => {
                append(&mut parser.vars[index].comment, &comment.text);
                parser.var_spans[index].widen(comment);
            }
            Owner::Rung(index) => {
                append(&mut parser.rungs[index].comment, &comment.text);
                parser.rung_spans[index].widen(comment);
            }
        }
    }
    about_program.join("\n")
}

fn append(text: &mut String, more: &str) {
    if !text.is_empty() {
        text.push('\n');
    }
    text.push_str(more);
}

impl Span {
    /// Takes a comment into the place, if nothing but comments stands between.
    fn widen(&mut self, comment: &Comment) {
        let place = &mut self.place;
        if comment.before_token == self.first && comment.start.byte < place.start {
            (place.line, place.column, place.start) =
                (comment.start.line, comment.start.column, comment.start.byte);
        }
        if comment.before_token == self.last + 1 && comment.end.byte > place.end {
            (place.end_line, place.end_column, place.end) =
                (comment.end.line, comment.end.column, comment.end.byte);
        }
    }
}
