//! Cuts a text into tokens and comments, each with its place.

use crate::diagnostic::{Diagnostic, Severity};
use crate::time::read_time;

/// A place in a text.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(crate) struct Position {
    /// Line, counted from 1.
    pub line: u32,
    /// Column in characters, counted from 1.
    pub column: u32,
    /// Byte, counted from 0.
    pub byte: u32,
}

/// A token with its place; `end` is just after it.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(crate) struct Token {
    pub kind: Kind,
    pub start: Position,
    pub end: Position,
}

/// What a token is.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(crate) enum Kind {
    /// A name or a word of the language, as spelled.
    Word(String),
    /// `%…`, as spelled.
    Address(String),
    /// A duration in ms; none where it was wrong and has been reported.
    Time(Option<u32>),
    /// `TRUE`, `FALSE`, `BOOL#1` and the like.
    Bool(bool),
    /// A number, as spelled, its sign before it left to the parser: `5`, `16#1F`, `INT#-5`; also `0` and `1`, which may stand for a bit.
    Number(String),
    /// Any other literal, as spelled.
    Literal(String),
    /// A mark such as `:=` or `(`.
    Mark(&'static str),
    /// The end of the text.
    End,
}

impl Kind {
    /// The value of `TRUE`, `FALSE`, `0` or `1`.
    pub fn bit(&self) -> Option<bool> {
        match self {
            Kind::Bool(value) => Some(*value),
            Kind::Number(text) if text == "0" => Some(false),
            Kind::Number(text) if text == "1" => Some(true),
            _ => None,
        }
    }
}

/// A comment with its place.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(crate) struct Comment {
    /// Text in normal form.
    pub text: String,
    /// The index of the first token after it.
    pub before_token: usize,
    pub start: Position,
    pub end: Position,
}

/// Tokens (the last one is [`Kind::End`]), comments, and what is wrong with them.
pub(crate) struct Lexed {
    pub tokens: Vec<Token>,
    pub comments: Vec<Comment>,
    pub diagnostics: Vec<Diagnostic>,
}

/// Marks, longer ones first.
const MARKS: [&str; 25] = [
    ":=", "=>", "<=", ">=", "<>", "**", "..", "(", ")", "[", "]", ";", ":", ",", ".", "=", "<", ">", "+",
    "-", "*", "/", "&", "#", "^",
];

pub(crate) fn lex(source: &str) -> Lexed {
    let mut lexer = Lexer {
        source,
        at: Position { line: 1, column: 1, byte: 0 },
        lexed: Lexed { tokens: Vec::new(), comments: Vec::new(), diagnostics: Vec::new() },
    };
    if source.starts_with('\u{feff}') {
        lexer.at.byte = '\u{feff}'.len_utf8() as u32;
    }
    lexer.run();
    lexer.lexed
}

/// A comment's text in normal form: lines trimmed, no blank line at either end, no control character, comment marks
/// in pairs. Text in this form comes back unchanged when it is printed and read.
pub(crate) fn normal_comment(text: &str) -> String {
    let clean = text.replace("\r\n", "\n").replace('\r', "\n");
    let clean: String = clean.chars().map(|c| if c.is_control() && c != '\n' { ' ' } else { c }).collect();
    let lines: Vec<&str> = clean.split('\n').map(str::trim).collect();
    let first = lines.iter().position(|line| !line.is_empty()).unwrap_or(lines.len());
    let last = lines.iter().rposition(|line| !line.is_empty()).map_or(first, |index| index + 1);
    let joined = lines[first..last].join("\n");
    if marks_pair(&joined) { joined } else { joined.replace("(*", "( *").replace("*)", "* )") }
}

fn marks_pair(text: &str) -> bool {
    let mut depth = 0u32;
    let mut rest = text;
    while !rest.is_empty() {
        if let Some(after) = rest.strip_prefix("(*") {
            depth += 1;
            rest = after;
        } else if let Some(after) = rest.strip_prefix("*)") {
            if depth == 0 {
                return false;
            }
            depth -= 1;
            rest = after;
        } else {
            let mut chars = rest.chars();
            chars.next();
            rest = chars.as_str();
        }
    }
    depth == 0
}

struct Lexer<'a> {
    source: &'a str,
    at: Position,
    lexed: Lexed,
}

impl Lexer<'_> {
    fn run(&mut self) {
        while let Some(c) = self.peek() {
            let start = self.at;
            if c.is_whitespace() {
                self.step();
            } else if self.rest().starts_with("(*") {
                self.block_comment();
            } else if self.rest().starts_with("*)") {
                self.step();
                self.step();
                self.error(
                    start,
                    "*) ends a comment that was not begun; (* is expected before it".to_owned(),
                    None,
                );
            } else if self.rest().starts_with("//") {
                let line = self.take_while(|c| c != '\n');
                self.comment(start, line.trim_start_matches('/').to_owned());
            } else if c.is_ascii_alphabetic() || c == '_' {
                self.word(start);
            } else if c == '%' {
                self.step();
                let body = self.take_while(|c| c.is_ascii_alphanumeric() || c == '.' || c == '_');
                self.push(Kind::Address(format!("%{body}")), start);
            } else if c.is_ascii_digit() {
                let text = self.take_while(|c| c.is_ascii_alphanumeric() || matches!(c, '.' | '_' | '#'));
                self.push(Kind::Number(text), start);
            } else if c == '\'' || c == '"' {
                self.string(c, start);
            } else if let Some(mark) = MARKS.iter().find(|mark| self.rest().starts_with(**mark)) {
                for _ in 0..mark.len() {
                    self.step();
                }
                self.push(Kind::Mark(mark), start);
            } else {
                self.foreign(start);
            }
        }
        let end = self.at;
        self.push(Kind::End, end);
    }

    fn rest(&self) -> &str {
        &self.source[self.at.byte as usize..]
    }

    fn peek(&self) -> Option<char> {
        self.rest().chars().next()
    }

    fn step(&mut self) {
        if let Some(c) = self.peek() {
            self.at.byte += c.len_utf8() as u32;
            if c == '\n' {
                self.at.line += 1;
                self.at.column = 1;
            } else {
                self.at.column += 1;
            }
        }
    }

    fn take_while(&mut self, keep: impl Fn(char) -> bool) -> String {
        let start = self.at.byte as usize;
        while self.peek().is_some_and(&keep) {
            self.step();
        }
        self.source[start..self.at.byte as usize].to_owned()
    }

    fn push(&mut self, kind: Kind, start: Position) {
        let end = self.at;
        self.lexed.tokens.push(Token { kind, start, end });
    }

    fn error(&mut self, at: Position, message: String, hint: Option<&str>) {
        self.lexed.diagnostics.push(Diagnostic {
            line: at.line,
            column: at.column,
            message,
            hint: hint.map(str::to_owned),
            severity: Severity::Error,
        });
    }

    fn comment(&mut self, start: Position, text: String) {
        let text = normal_comment(&text);
        if text.is_empty() {
            return;
        }
        let before_token = self.lexed.tokens.len();
        self.lexed.comments.push(Comment { text, before_token, start, end: self.at });
    }

    /// Reads `(* … *)`, which may hold others.
    fn block_comment(&mut self) {
        let start = self.at;
        let mut depth = 0u32;
        loop {
            if self.rest().starts_with("(*") {
                depth += 1;
                self.step();
                self.step();
            } else if self.rest().starts_with("*)") {
                depth -= 1;
                self.step();
                self.step();
                if depth == 0 {
                    break;
                }
            } else if self.peek().is_some() {
                self.step();
            } else {
                self.error(start, "the comment that begins here has no end; *) is expected".to_owned(), None);
                return;
            }
        }
        let text = self.source[start.byte as usize + 2..self.at.byte as usize - 2].to_owned();
        self.comment(start, text);
    }

    fn word(&mut self, start: Position) {
        let text = self.take_while(|c| c.is_ascii_alphanumeric() || c == '_');
        if self.peek() == Some('#') {
            self.step();
            let signed = self.take_while(|c| c == '-' || c == '+');
            let body = self.take_while(|c| c.is_ascii_alphanumeric() || matches!(c, '.' | '_' | '#'));
            let kind = match (text.to_ascii_uppercase().as_str(), body.to_ascii_uppercase().as_str()) {
                ("T" | "TIME", _) => match read_time(&format!("{signed}{body}")) {
                    Ok(time_ms) => Kind::Time(Some(time_ms)),
                    Err(message) => {
                        self.error(start, message, None);
                        Kind::Time(None)
                    }
                },
                ("BOOL", "TRUE" | "1") if signed.is_empty() => Kind::Bool(true),
                ("BOOL", "FALSE" | "0") if signed.is_empty() => Kind::Bool(false),
                ("INT", _) => Kind::Number(format!("{text}#{signed}{body}")),
                _ => Kind::Literal(format!("{text}#{signed}{body}")),
            };
            self.push(kind, start);
            return;
        }
        let kind = match text.to_ascii_uppercase().as_str() {
            "TRUE" => Kind::Bool(true),
            "FALSE" => Kind::Bool(false),
            _ => {
                if text.contains("__") || (text.ends_with('_')) {
                    let hint = "a name has single underscores, and none at its end";
                    self.error(start, format!("{text} is not a name"), Some(hint));
                }
                Kind::Word(text)
            }
        };
        self.push(kind, start);
    }

    fn string(&mut self, quote: char, start: Position) {
        self.step();
        let body = self.take_while(|c| c != quote && c != '\n');
        if self.peek() == Some(quote) {
            self.step();
        }
        self.push(Kind::Literal(format!("{quote}{body}{quote}")), start);
    }

    /// Reports a run of characters that belong to no token, once.
    fn foreign(&mut self, start: Position) {
        let run = self.take_while(|c| {
            !c.is_whitespace()
                && !c.is_ascii_alphanumeric()
                && !matches!(c, '_' | '%' | '\'' | '"' | '/')
                && !MARKS.iter().any(|mark| mark.starts_with(c))
        });
        let mut shown: String = run.chars().take(12).flat_map(char::escape_debug).collect();
        if run.chars().nth(12).is_some() {
            shown.push('…');
        }
        self.error(
            start,
            format!("{shown} has no meaning here; a name, a mark or a number is expected"),
            None,
        );
    }
}
