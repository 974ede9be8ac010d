//! Reads expressions: recursive descent with a limit on depth.

use super::lex::{Token, lex};
use super::{Expr, ExprError, Name, Verdict};
use crate::duration::parse_duration_ms;

/// Longest expression, bytes.
pub const MOST_BYTES: usize = 4096;

/// Deepest nesting of operators and parentheses.
pub const MOST_DEPTH: u32 = 64;

/// Words that are no names.
const WORDS: [&str; 6] = ["not", "and", "or", "implies", "true", "false"];

/// Reads a whole expression. The error says where it stops making sense and what was expected there.
pub fn parse(text: &str) -> Result<Expr, ExprError> {
    let (expr, rest) = parse_before(text, &[])?;
    debug_assert!(rest.is_none(), "without ending words, all of the text is read");
    Ok(expr)
}

/// Reads `always E` or `never E`.
pub fn parse_requirement(text: &str) -> Result<Verdict, ExprError> {
    let mut parser = Parser::new(text, &[])?;
    let always = match parser.peek() {
        Some(Token::Word("always")) => true,
        Some(Token::Word("never")) => false,
        _ => return Err(parser.expected("always or never")),
    };
    parser.next += 1;
    let of = parser.expr(0)?;
    parser.end()?;
    Ok(Verdict { always, of })
}

/// Reads an expression up to the end of the text or to one of the words `ends` outside any parentheses. Gives the byte
/// at which that word begins.
pub(crate) fn parse_before(text: &str, ends: &[&str]) -> Result<(Expr, Option<usize>), ExprError> {
    let mut parser = Parser::new(text, ends)?;
    let expr = parser.expr(0)?;
    let Some((column, token)) = parser.tokens.get(parser.next) else { return Ok((expr, None)) };
    match token {
        Token::Word(word) if ends.contains(word) => {
            let byte = text.char_indices().nth(*column as usize - 1).map_or(text.len(), |(at, _)| at);
            Ok((expr, Some(byte)))
        }
        _ => Err(parser.expected("and, or, implies, or the end")),
    }
}

struct Parser<'t> {
    tokens: Vec<(u32, Token<'t>)>,
    next: usize,
    end_column: u32,
    ends: Vec<&'t str>,
}

impl<'t> Parser<'t> {
    fn new(text: &'t str, ends: &[&'t str]) -> Result<Self, ExprError> {
        if text.len() > MOST_BYTES {
            let message = format!("the expression has {} bytes; at most {MOST_BYTES} are read", text.len());
            return Err(ExprError { column: 1, message });
        }
        let (tokens, end_column) = lex(text)?;
        Ok(Parser { tokens, next: 0, end_column, ends: ends.to_vec() })
    }

    fn peek(&self) -> Option<Token<'t>> {
        self.tokens.get(self.next).map(|&(_, token)| token)
    }

    fn column(&self) -> u32 {
        self.tokens.get(self.next).map_or(self.end_column, |&(column, _)| column)
    }

    fn error(&self, message: String) -> ExprError {
        ExprError { column: self.column(), message }
    }

    fn expected(&self, what: &str) -> ExprError {
        match self.peek() {
            Some(token) => self.error(format!("{what} is expected, found {}", token.shown())),
            None => self.error(format!("{what} is expected, and the text ends")),
        }
    }

    fn take(&mut self, token: Token<'_>, what: &str) -> Result<(), ExprError> {
        if self.peek() != Some(token) {
            return Err(self.expected(what));
        }
        self.next += 1;
        Ok(())
    }

    fn end(&self) -> Result<(), ExprError> {
        if self.peek().is_some() { Err(self.expected("and, or, implies, or the end")) } else { Ok(()) }
    }

    fn expr(&mut self, depth: u32) -> Result<Expr, ExprError> {
        if depth > MOST_DEPTH {
            return Err(self.error(format!("nested deeper than {MOST_DEPTH}; write it flatter")));
        }
        let first = self.either(depth)?;
        if self.peek() != Some(Token::Word("implies")) {
            return Ok(first);
        }
        self.next += 1;
        let second = self.expr(depth + 1)?;
        Ok(Expr::Implies(Box::new(first), Box::new(second)))
    }

    fn either(&mut self, depth: u32) -> Result<Expr, ExprError> {
        let mut all = vec![self.both(depth)?];
        while self.peek() == Some(Token::Word("or")) {
            self.next += 1;
            all.push(self.both(depth)?);
        }
        Ok(if all.len() == 1 { all.remove(0) } else { Expr::Or(all) })
    }

    fn both(&mut self, depth: u32) -> Result<Expr, ExprError> {
        let mut all = vec![self.single(depth)?];
        while self.peek() == Some(Token::Word("and")) {
            self.next += 1;
            all.push(self.single(depth)?);
        }
        Ok(if all.len() == 1 { all.remove(0) } else { Expr::And(all) })
    }

    fn single(&mut self, depth: u32) -> Result<Expr, ExprError> {
        if depth > MOST_DEPTH {
            return Err(self.error(format!("nested deeper than {MOST_DEPTH}; write it flatter")));
        }
        let column = self.column();
        match self.peek() {
            Some(Token::Open) => {
                self.next += 1;
                let inner = self.expr(depth + 1)?;
                self.take(Token::Close, ")")?;
                Ok(inner)
            }
            Some(Token::Word("not")) => {
                self.next += 1;
                Ok(Expr::Not(Box::new(self.single(depth + 1)?)))
            }
            Some(Token::Word(value @ ("true" | "false"))) => {
                self.next += 1;
                Ok(Expr::Constant(value == "true"))
            }
            Some(Token::Word(word)) if !WORDS.contains(&word) && !self.ends.contains(&word) => {
                self.next += 1;
                if self.peek() == Some(Token::Open) {
                    self.next += 1;
                    return self.looking_back(word, column, depth);
                }
                Ok(Expr::Signal(Name { text: word.to_string(), column }))
            }
            _ => Err(self.expected("a signal, not, true, false, an operator or (")),
        }
    }

    /// An operator that looks back in time, after its opening parenthesis.
    fn looking_back(&mut self, word: &str, column: u32, depth: u32) -> Result<Expr, ExprError> {
        if !matches!(word, "rose" | "fell" | "prev" | "once" | "held" | "since") {
            let message =
                format!("`{word}` is no operator; rose, fell, prev, once, held or since is expected");
            return Err(ExprError { column, message });
        }
        let first = Box::new(self.expr(depth + 1)?);
        let made = match word {
            "rose" => Expr::Rose(first),
            "fell" => Expr::Fell(first),
            "prev" => Expr::Prev(first),
            "once" if self.peek() == Some(Token::Comma) => Expr::Once(first, Some(self.time()?)),
            "once" => Expr::Once(first, None),
            "held" => Expr::Held(first, self.time()?),
            _ => {
                self.take(Token::Comma, ",")?;
                Expr::Since(first, Box::new(self.expr(depth + 1)?))
            }
        };
        self.take(Token::Close, ")")?;
        Ok(made)
    }

    fn time(&mut self) -> Result<u64, ExprError> {
        self.take(Token::Comma, ", and a time")?;
        let Some(Token::Time(text)) = self.peek() else {
            return Err(self.expected("a time such as 200ms or 2s"));
        };
        let ms = parse_duration_ms(text).map_err(|message| self.error(message))?;
        self.next += 1;
        Ok(ms)
    }
}
