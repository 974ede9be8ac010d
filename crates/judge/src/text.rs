//! Lines of Promela with their indentation, and declarations of what a state holds.

use std::fmt::Write as _;

/// Lines of a block of statements.
#[derive(Debug, Default)]
pub struct Text {
    lines: String,
    depth: usize,
}

impl Text {
    /// Begins at a depth of indentation.
    pub fn at(depth: usize) -> Text {
        Text { lines: String::new(), depth }
    }

    /// One line.
    pub fn line(&mut self, line: impl AsRef<str>) {
        let _ = writeln!(self.lines, "{:1$}{2}", "", self.depth * 2, line.as_ref());
    }

    /// `if` with options that exclude one another, and nothing if none of them is so.
    pub fn choose(&mut self, options: &[(String, String)]) {
        self.line("if");
        for (guard, then) in options {
            self.line(format!(":: {guard} -> {then}"));
        }
        self.line(":: else");
        self.line("fi;");
    }

    /// What has been written.
    pub fn done(self) -> String {
        self.lines
    }
}

/// A part of a state, with its value at the start.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Field {
    pub name: String,
    pub sort: Sort,
    /// Value after a cold start.
    pub initial: u32,
    /// Whether a warm start keeps it.
    pub kept: bool,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sort {
    Bit,
    /// A number up to this one.
    UpTo(u32),
    /// An INT.
    Count,
}

impl Field {
    /// A bit that is 0 at the start.
    pub fn bit(name: impl Into<String>) -> Field {
        Field { name: name.into(), sort: Sort::Bit, initial: 0, kept: false }
    }

    /// Its declaration.
    pub fn declared(&self) -> String {
        match self.sort {
            Sort::Bit => format!("bit {};", self.name),
            Sort::UpTo(most) => format!("unsigned {} : {};", self.name, width(most)),
            Sort::Count => format!("short {};", self.name),
        }
    }

    /// The assignment of its first value.
    pub fn reset(&self) -> String {
        format!("{} = {};", self.name, self.initial)
    }
}

/// Bits that the numbers up to `most` need, at least one.
fn width(most: u32) -> u32 {
    (u32::BITS - most.leading_zeros()).max(1)
}
