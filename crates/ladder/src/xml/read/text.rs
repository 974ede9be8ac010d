//! Bodies in structured text.

use super::super::document::Element;
use super::super::first_scan;
use super::{Note, Reading};
use crate::model::Program;
use crate::print::print;

impl<'d> Reading<'d> {
    /// Reads a body in structured text with the declared variables before it.
    pub(super) fn structured_text(&mut self, body: Element<'d>) {
        let at = body.text_at();
        let text = body.see().text();
        let mut vars = self.names.vars.clone();
        if let Some(index) = first_scan::find(&vars) {
            // The text is read by our rules, in which the bit has no initial value.
            vars[index].initial = false;
        }
        let declared = Program { name: "main".to_owned(), vars, ..Program::default() };
        let mut source = print(&declared);
        source.truncate(source.trim_end().len() - "END_PROGRAM".len());
        let head = source.lines().count() as u32;
        source.push_str(&text);
        source.push_str("\nEND_PROGRAM\n");
        let reading = crate::parse::read(&source);
        let (first_line, first_column) = self.places.find(at);
        let last_line = first_line + text.lines().count().saturating_sub(1) as u32;
        for wrong in reading.diagnostics {
            let line = (first_line + wrong.line.saturating_sub(head + 1)).min(last_line);
            let column = if wrong.line == head + 1 { first_column + wrong.column - 1 } else { wrong.column };
            // Lines of the text are lines of the file but where XML breaks or escapes it.
            let (line, column) = self.places.within(line, column);
            let (element, done) = ("<ST>".to_owned(), format!("{}; left out", wrong.message));
            self.told(Note { line, column, element, done });
        }
        if !reading.program.comment.is_empty() {
            self.comment.push(reading.program.comment);
        }
        self.rungs.extend(reading.program.rungs);
    }
}
