//! Which variable or rung a comment stands with.

use super::{Owner, Parser, Place, Span, VarBlock};
use crate::lex::Comment;

/// Gives every comment to the rung or variable it stands with, and returns those about the whole program.
///
/// A comment inside a statement, before it, or after it on its last line stays with it.
pub(super) fn place(parser: &mut Parser, comments: &[Comment]) -> String {
    let mut about_program: Vec<&str> = Vec::new();
    for comment in comments {
        let Some(index) = span_of(parser, comment) else {
            about_program.push(&comment.text);
            continue;
        };
        let text = match parser.spans[index].owner {
            Owner::Var(var) => Some(&mut parser.vars[var].comment),
            Owner::Rung(rung) => Some(&mut parser.rungs[rung].comment),
            Owner::Edge(edge) => parser.edges[edge].rung.map(|rung| &mut parser.rungs[rung].comment),
        };
        match text {
            Some(text) => append(text, &comment.text),
            None => about_program.push(&comment.text),
        }
        parser.spans[index].widen(comment);
    }
    about_program.join("\n")
}

/// The span that a comment stands with; none if it is about the whole program.
fn span_of(parser: &Parser, comment: &Comment) -> Option<usize> {
    let (spans, token) = (&parser.spans, comment.before_token);
    let seen = |index: &usize| match spans[*index].owner {
        Owner::Edge(edge) => {
            parser.var_blocks.get(parser.edges[edge].var_block).is_none_or(|b| b.holds(token))
        }
        _ => true,
    };
    // The first span that does not end before the comment; the one before it does.
    let middle = spans.partition_point(|span| span.last < token);
    let before = (0..middle).rev().find(seen);
    let following = (middle..spans.len()).find(seen);
    let before_all = before.is_none() && parser.first_block.is_none_or(|block| token <= block);
    // No comment reaches over END_VAR or END_PROGRAM.
    let is_bound_in = |from: usize, to: usize| {
        let blocks = &parser.var_blocks[parser.var_blocks.partition_point(|block| block.end < from)..];
        let mut blocks = blocks.iter().take_while(|block| block.end < to);
        blocks.any(|block| !block.only_edges || block.holds(token))
            || parser.body_end.is_some_and(|end| from <= end && end < to)
    };
    match (before, following) {
        (_, Some(next)) if spans[next].first < token => Some(next),
        (Some(index), _) if spans[index].place.end_line == comment.start.line => Some(index),
        (None, _) if before_all => None,
        (before, Some(next)) => before.filter(|_| is_bound_in(token, spans[next].first)).or(Some(next)),
        // Behind the END_VAR or END_PROGRAM that follows the last one.
        (Some(index), None) if is_bound_in(spans[index].last + 1, token) => None,
        (before, None) => before,
    }
}

fn append(text: &mut String, more: &str) {
    if !text.is_empty() {
        text.push('\n');
    }
    text.push_str(more);
}

impl VarBlock {
    /// Whether what stands before a token stands inside.
    fn holds(&self, token: usize) -> bool {
        self.first < token && token <= self.end
    }
}

impl Place {
    /// With a comment that begins on its last line.
    pub(super) fn with_comment_beside(self, comment: &Comment) -> Place {
        if comment.start.byte < self.end || comment.start.line != self.end_line {
            return self;
        }
        Place { end_line: comment.end.line, end_column: comment.end.column, end: comment.end.byte, ..self }
    }
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
