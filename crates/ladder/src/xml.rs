//! Exchange of programs as XML: TC6 XML 0201 both ways, and IEC 61131-10 written.
//!
//! [`write()`] makes a whole project of a program, and `read(write(p))` gives `p` back for every program in normal form.
//! [`read()`] takes any project that conforms to TC6 XML 0201 and says of everything in it that it did not
//! understand what it was, where, and what became of it ([`Note`]).
//!
//! # What is read
//!
//! The first program. Its variables of BOOL and of the standard function blocks, those of configuration and resource too.
//! Bodies in structured text by [`parse()`](crate::parse()); bodies in ladder by their connections: several at one
//! input are an OR, coils and blocks are taken in the order of evaluation (what feeds an element before it, then the
//! written order of execution if every output has one, else from top to bottom), and each becomes a rung of its own. A
//! contact that several of them share is evaluated once in the standard's ladder; where a coil between them writes what
//! it reads, it is read into a bit of its own before, so that the meaning stays.
//!
//! # What is written otherwise
//!
//! The bit of the first scan is written as a variable that begins with 1 and that the last rung resets, and read back.
//!
//! # IEC 61131-10
//!
//! It is written from the standard's text (IEC 61131-10:2019); it was not checked against the schema that belongs to it. See
//! [`Form::Iec10`].

mod document;
mod first_scan;
mod iec10;
mod markup;
mod read;
mod sheet;
mod tc6;

pub use read::{Note, Read, read};

use crate::model::Program;

/// The longest file that is read, in bytes. The longest program of ours, 64 kB of contacts, takes about 6 MB.
pub const MAX_XML_BYTES: usize = 8 << 20;

/// The deepest nesting of elements. A project nests about 15 deep, texts in XHTML some more.
pub const MAX_DEPTH: usize = 64;

/// The most elements: about 14 for each contact of the longest program.
pub const MAX_ELEMENTS: usize = 200_000;

/// The most attributes of an element; the schema knows at most nine.
pub const MAX_ATTRIBUTES: usize = 32;

/// The most notes of a reading; beyond it a last one says that there are more.
pub const MAX_NOTES: usize = 200;

/// Namespace of TC6 XML 0201.
const TC6: &str = "http://www.plcopen.org/xml/tc6_0201";

/// Namespace of XHTML, in which TC6 writes texts.
const XHTML: &str = "http://www.w3.org/1999/xhtml";

/// A form of XML.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Form {
    /// TC6 XML 0201, the earlier public schema.
    Tc6,
    /// IEC 61131-10:2019.
    ///
    /// Known from the standard's text: rungs, `LdObject` with `xsi:type`, operands as attributes, numbered connection
    /// points. Not checked against the schema: the order of elements in the head of the file, and the words of the
    /// attributes of edges and of latching coils.
    Iec10,
}

/// What a file says about itself besides the program.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Heading<'a> {
    /// When it was written, as `2026-01-31T12:00:00` (XML Schema, `dateTime`). This crate has no clock.
    pub created: &'a str,
    /// Scan period in milliseconds, which becomes the interval of the task.
    pub period_ms: u32,
}

/// The program as a whole project. The same program and heading give the same bytes.
///
/// A character that XML cannot hold (XML 1.0, clause 2.2: U+FFFE and U+FFFF; comments in normal form have no others) is
/// written as U+FFFD. Networks deeper than [`MAX_NESTING`](crate::MAX_NESTING) are for the caller to keep out.
pub fn write(program: &Program, form: Form, heading: &Heading) -> String {
    let program = first_scan::spelled_out(program);
    match form {
        Form::Tc6 => tc6::write(&program, heading),
        Form::Iec10 => iec10::write(&program, heading),
    }
}
