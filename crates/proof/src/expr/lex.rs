//! The words and signs of an expression, with their columns.

use super::ExprError;

/// One word or sign.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Token<'t> {
    /// A name or an operator's word.
    Word(&'t str),
    /// A span of time, unread.
    Time(&'t str),
    Open,
    Close,
    Comma,
}

impl Token<'_> {
    /// As it is shown in a message.
    pub fn shown(self) -> String {
        let text = match self {
            Token::Word(text) | Token::Time(text) => text,
            Token::Open => "(",
            Token::Close => ")",
            Token::Comma => ",",
        };
        format!("`{}`", text.chars().take(40).collect::<String>())
    }
}

/// All tokens with their columns, and the column after the last character.
pub(super) fn lex(text: &str) -> Result<(Vec<(u32, Token<'_>)>, u32), ExprError> {
    let mut tokens = Vec::new();
    let mut column = 1;
    let mut rest = text;
    while let Some(first) = rest.chars().next() {
        let length = match first {
            c if c.is_whitespace() => c.len_utf8(),
            c if c.is_ascii_alphabetic() || c == '_' => word_length(rest),
            c if c.is_ascii_digit() => rest.bytes().take_while(u8::is_ascii_alphanumeric).count(),
            '(' | ')' | ',' => 1,
            other => {
                let message = format!(
                    "`{}` has no meaning here; a signal, not, or ( is expected",
                    other.escape_debug()
                );
                return Err(ExprError { column, message });
            }
        };
        let (taken, after) = rest.split_at(length);
        match first {
            '(' => tokens.push((column, Token::Open)),
            ')' => tokens.push((column, Token::Close)),
            ',' => tokens.push((column, Token::Comma)),
            c if c.is_ascii_digit() => tokens.push((column, Token::Time(taken))),
            c if c.is_whitespace() => {}
            _ => tokens.push((column, Token::Word(taken))),
        }
        column += taken.chars().count() as u32;
        rest = after;
    }
    Ok((tokens, column))
}

/// A name may hold dots, and hyphens between letters or digits: `FC1.95-96`.
fn word_length(text: &str) -> usize {
    let bytes = text.as_bytes();
    let plain = |i: usize| bytes.get(i).is_some_and(|&b| b.is_ascii_alphanumeric() || b == b'_');
    let mut end = 0;
    while plain(end) || matches!(bytes.get(end), Some(b'.' | b'-')) && plain(end + 1) {
        end += 1;
    }
    end
}
