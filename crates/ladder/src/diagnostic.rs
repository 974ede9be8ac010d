//! What is wrong with a text, where, and what to try.

/// The most diagnostics one reading gives; beyond it a last one says that there are more.
pub const MAX_DIAGNOSTICS: usize = 50;

/// One thing to say about a text, with its place.
///
/// Shown as `line 38, column 26: a name or NOT is expected`; the hint is for a second line.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
#[error("line {line}, column {column}: {message}")]
pub struct Diagnostic {
    /// Line, counted from 1.
    pub line: u32,
    /// Column in characters, counted from 1.
    pub column: u32,
    /// What is wrong and what was expected.
    pub message: String,
    /// What to try.
    pub hint: Option<String>,
    /// Whether it stops the program from being used.
    pub severity: Severity,
}

/// How much a diagnostic matters.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Hash)]
pub enum Severity {
    /// The text is no program until it is mended.
    Error,
    /// The text is a program; a person should look at it.
    Remark,
}
