//! Reads tables of a TOML file key by key; what does not fit is noted with its place and the reading goes on.

use super::{Problem, types};
use sealin_core::Terminal;
use std::ops::{Range, RangeInclusive};
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// Most problems that one reading reports.
const MOST_PROBLEMS: usize = 50;

/// A value with its place.
pub(super) type Value<'a, 't> = &'a Spanned<DeValue<'t>>;

/// The text that is read, and what is wrong with it so far.
pub(super) struct Reader<'t> {
    text: &'t str,
    problems: Vec<Problem>,
}

/// A table that is read, with the keys that have been asked for.
pub(super) struct Table<'a, 't> {
    table: &'a DeTable<'t>,
    /// Keys of its types, which it has unless it gives its own.
    bases: Vec<&'a DeTable<'t>>,
    /// Where it stands, bytes.
    pub at: Range<usize>,
    known: Vec<&'static str>,
}

/// A row of texts.
pub(super) struct Row {
    /// Each cell with its place.
    pub cells: Vec<(String, Range<usize>)>,
    /// Where the row stands.
    pub at: Range<usize>,
}

/// The bytes of a file as text, bounded in size.
pub(super) fn utf8(bytes: &[u8], most: usize) -> Result<&str, Vec<Problem>> {
    too_long(bytes.len(), most)?;
    std::str::from_utf8(bytes).map_err(|e| {
        let before = String::from_utf8_lossy(&bytes[..e.valid_up_to()]);
        let (line, column) = place(&before, before.len());
        vec![Problem { line, column, message: "this is no text: UTF-8 is expected".to_string() }]
    })
}

/// Reads the text as TOML.
pub(super) fn document(text: &str, most: usize) -> Result<Spanned<DeTable<'_>>, Vec<Problem>> {
    too_long(text.len(), most)?;
    DeTable::parse(text).map_err(|e| {
        let (line, column) = place(text, e.span().map_or(0, |s| s.start));
        let message = e.message().trim().replace('\n', "; ");
        vec![Problem { line, column, message: format!("this is not valid TOML: {message}") }]
    })
}

fn too_long(bytes: usize, most: usize) -> Result<(), Vec<Problem>> {
    if bytes <= most {
        return Ok(());
    }
    let message = format!("the file has {bytes} bytes; at most {most} are read");
    Err(vec![Problem { line: 1, column: 1, message }])
}

/// Line and column of a byte.
fn place(text: &str, byte: usize) -> (u32, u32) {
    let mut byte = byte.min(text.len());
    while !text.is_char_boundary(byte) {
        byte -= 1;
    }
    let before = &text[..byte];
    let line = before.matches('\n').count() as u32 + 1;
    let column = before.rsplit('\n').next().unwrap_or("").chars().count() as u32 + 1;
    (line, column)
}

impl<'t> Reader<'t> {
    pub fn new(text: &'t str) -> Self {
        Reader { text, problems: Vec::new() }
    }

    /// Notes a problem at a byte.
    pub fn wrong(&mut self, at: &Range<usize>, message: impl Into<String>) {
        if self.problems.len() < MOST_PROBLEMS {
            let (line, column) = place(self.text, at.start);
            self.problems.push(Problem { line, column, message: message.into() });
        }
    }

    /// Notes a problem at a line and column of a text that stands in a string of the file.
    pub fn wrong_inside(&mut self, string: &Range<usize>, line: u32, column: u32, message: String) {
        let raw = self.text.get(string.clone()).unwrap_or("");
        let quotes = raw.chars().take_while(|c| matches!(c, '\'' | '"')).count().min(3);
        let body = if quotes == 3 { raw.get(3..) } else { raw.get(1..) }.unwrap_or("");
        // A newline directly after the opening quotes of a multi-line string does not belong to it.
        let dropped = if quotes < 3 {
            0
        } else if body.starts_with("\r\n") {
            2
        } else {
            usize::from(body.starts_with('\n'))
        };
        let body_at = string.start + raw.len() - body.len() + dropped;
        let (first_line, first_column) = place(self.text, body_at);
        let line_in_file = first_line + line.saturating_sub(1);
        let column_in_file = if line <= 1 { first_column + column.saturating_sub(1) } else { column };
        if self.problems.len() < MOST_PROBLEMS {
            self.problems.push(Problem { line: line_in_file, column: column_in_file, message });
        }
    }

    /// Whether anything is wrong.
    pub fn has_problems(&self) -> bool {
        !self.problems.is_empty()
    }

    /// All that is wrong, in the order of the places.
    pub fn into_problems(mut self) -> Vec<Problem> {
        self.problems.sort_by_key(|p| (p.line, p.column));
        self.problems
    }

    /// Checks `format` and `version` at the top of a file. `false`: reading on makes no sense.
    pub fn head(&mut self, top: &mut Table<'_, 't>, format: &str, version: u32) -> bool {
        let found = top.take("format").map(|v| (v.span(), v.get_ref().as_str().unwrap_or("").to_string()));
        match found {
            Some((_, text)) if text == format => {}
            Some((at, _)) => {
                self.wrong(&at, format!("format = \"{format}\" is expected"));
                return false;
            }
            None => {
                self.wrong(&(0..0), format!("format = \"{format}\" is expected at the top"));
                return false;
            }
        }
        let read = self.number(top, "version", 1..=u64::from(u32::MAX));
        if read > u64::from(version) {
            let at = top.place("version");
            self.wrong(&at, format!("version {read} is newer than this program reads, which is {version}"));
        }
        !self.has_problems()
    }

    /// A text that must be there.
    pub fn text(&mut self, t: &mut Table<'_, 't>, key: &'static str, most: usize) -> String {
        match self.needed(t, key, "a text") {
            Some(value) => self.value_text(value, most),
            None => String::new(),
        }
    }

    /// A text that may be missing.
    pub fn text_or_empty(&mut self, t: &mut Table<'_, 't>, key: &'static str, most: usize) -> String {
        t.take(key).map_or_else(String::new, |value| self.value_text(value, most))
    }

    /// A whole number that must be there.
    pub fn number(&mut self, t: &mut Table<'_, 't>, key: &'static str, within: RangeInclusive<u64>) -> u64 {
        match self.needed(t, key, "a whole number") {
            Some(value) => self.value_number(value, within),
            None => 0,
        }
    }

    /// A whole number that may be missing.
    pub fn number_or(
        &mut self,
        t: &mut Table<'_, 't>,
        key: &'static str,
        within: RangeInclusive<u64>,
        otherwise: u64,
    ) -> u64 {
        t.take(key).map_or(otherwise, |value| self.value_number(value, within))
    }

    /// A truth value that may be missing; then it is false.
    pub fn flag(&mut self, t: &mut Table<'_, 't>, key: &'static str) -> bool {
        let Some(value) = t.take(key) else { return false };
        value.get_ref().as_bool().unwrap_or_else(|| {
            self.wrong(&value.span(), format!("`{key}`: true or false is expected"));
            false
        })
    }

    /// One of some words; gives its number.
    pub fn word(&mut self, t: &mut Table<'_, 't>, key: &'static str, words: &[&str]) -> usize {
        let Some(value) = self.needed(t, key, "a word") else { return 0 };
        let found = value.get_ref().as_str().and_then(|text| words.iter().position(|w| *w == text));
        found.unwrap_or_else(|| {
            self.wrong(&value.span(), format!("`{key}`: one of {} is expected", words.join(", ")));
            0
        })
    }

    /// One of some words, or the first of them when it is missing; gives its number.
    pub fn word_or_first(&mut self, t: &mut Table<'_, 't>, key: &'static str, words: &[&str]) -> usize {
        if t.take(key).is_some() { self.word(t, key, words) } else { 0 }
    }

    /// Reads the key that names a type: from now on the table has the keys of that type of this kind of device, unless it
    /// gives its own. The values of types are all sound (a test reads each), so that what is wrong is always in the table
    /// itself.
    pub fn type_of(&mut self, t: &mut Table<'_, 't>, key: &'static str, kind: &str) {
        let Some(value) = t.take(key) else { return };
        let name = self.value_text(value, 80);
        if let Some(base) = types::find(kind, &name) {
            t.bases.push(base);
            return;
        }
        let known = types::names(kind);
        let message = if known.is_empty() {
            format!("there are no types of a {kind}; give its own keys")
        } else {
            let known: Vec<String> = known.iter().map(|n| format!("\"{n}\"")).collect();
            format!("`{name}` is no type of a {kind}; there is: {}", known.join(", "))
        };
        self.wrong(&value.span(), message);
    }

    /// A list of texts; missing is empty.
    pub fn texts(
        &mut self,
        t: &mut Table<'_, 't>,
        key: &'static str,
        most: usize,
        most_bytes: usize,
    ) -> Vec<(String, Range<usize>)> {
        let Some(value) = t.take(key) else { return Vec::new() };
        self.value_texts(value, key, most, most_bytes)
    }

    /// A list of rows of texts; missing is empty. Every row must have a number of cells in `columns`.
    pub fn rows(
        &mut self,
        t: &mut Table<'_, 't>,
        key: &'static str,
        columns: RangeInclusive<usize>,
        most: usize,
    ) -> Vec<Row> {
        const MOST_CELL_BYTES: usize = 400;
        let Some(value) = t.take(key) else { return Vec::new() };
        let Some(list) = value.get_ref().as_array() else {
            self.wrong(&value.span(), format!("`{key}`: a list of rows is expected, [[\"…\", \"…\"], …]"));
            return Vec::new();
        };
        if list.len() > most {
            self.wrong(&value.span(), format!("`{key}`: at most {most} rows are expected"));
            return Vec::new();
        }
        let mut rows = Vec::new();
        for row in list.iter() {
            let cells = self.value_texts(row, key, *columns.end() + 1, MOST_CELL_BYTES);
            if columns.contains(&cells.len()) {
                rows.push(Row { cells, at: row.span() });
            } else {
                let count = if columns.start() == columns.end() {
                    columns.end().to_string()
                } else {
                    format!("{} to {}", columns.start(), columns.end())
                };
                self.wrong(&row.span(), format!("`{key}`: a row of {count} texts is expected"));
            }
        }
        rows
    }

    /// A list of tables; missing is empty.
    pub fn tables<'a>(
        &mut self,
        t: &mut Table<'a, 't>,
        key: &'static str,
        most: usize,
    ) -> Vec<Table<'a, 't>> {
        let Some(value) = t.take(key) else { return Vec::new() };
        let Some(list) = value.get_ref().as_array() else {
            self.wrong(&value.span(), format!("`{key}`: tables are expected, each begun with [[{key}]]"));
            return Vec::new();
        };
        if list.len() > most {
            self.wrong(&value.span(), format!("`{key}`: at most {most} tables are expected"));
            return Vec::new();
        }
        list.iter().filter_map(|v| self.value_table(v, key)).collect()
    }

    /// A table that must be there.
    pub fn table<'a>(&mut self, t: &mut Table<'a, 't>, key: &'static str) -> Option<Table<'a, 't>> {
        let value = self.needed(t, key, "a table")?;
        self.value_table(value, key)
    }

    /// Refuses keys that nothing has asked for.
    pub fn finish(&mut self, t: Table<'_, 't>) {
        for (key, _) in t.table.iter() {
            if !t.known.contains(&key.get_ref().as_ref()) {
                let shown: String = key.get_ref().chars().take(40).collect();
                self.wrong(
                    &key.span(),
                    format!("`{shown}` is not known here; expected: {}", t.known.join(", ")),
                );
            }
        }
    }

    /// Reads `QA1:14`; the error is noted.
    pub fn terminal(&mut self, cell: &(String, Range<usize>)) -> Option<Terminal> {
        let found = Terminal::parse(&cell.0);
        if found.is_none() {
            self.wrong(&cell.1, format!("`{}`: a terminal such as QA1:14 is expected", cell.0));
        }
        found
    }

    fn needed<'a>(&mut self, t: &mut Table<'a, 't>, key: &'static str, what: &str) -> Option<Value<'a, 't>> {
        let value = t.take(key);
        if value.is_none() {
            self.wrong(&t.at.clone(), format!("`{key}` is missing; {what} is expected"));
        }
        value
    }

    fn value_table<'a>(&mut self, value: Value<'a, 't>, key: &str) -> Option<Table<'a, 't>> {
        let table = value.get_ref().as_table();
        if table.is_none() {
            self.wrong(&value.span(), format!("`{key}`: a table is expected"));
        }
        table.map(|table| Table::new(table, value.span()))
    }

    fn value_text(&mut self, value: Value<'_, 't>, most: usize) -> String {
        let Some(text) = value.get_ref().as_str() else {
            self.wrong(&value.span(), "a text in quotes is expected");
            return String::new();
        };
        if text.len() > most {
            self.wrong(&value.span(), format!("a text of at most {most} bytes is expected"));
            return String::new();
        }
        // Line endings are those of the editor, not of the meaning.
        text.replace("\r\n", "\n").replace('\r', "\n")
    }

    fn value_number(&mut self, value: Value<'_, 't>, within: RangeInclusive<u64>) -> u64 {
        let read = value
            .get_ref()
            .as_integer()
            .and_then(|n| u64::from_str_radix(n.as_str(), n.radix()).ok())
            .filter(|n| within.contains(n));
        read.unwrap_or_else(|| {
            let message = format!("a whole number from {} to {} is expected", within.start(), within.end());
            self.wrong(&value.span(), message);
            *within.start()
        })
    }

    fn value_texts(
        &mut self,
        value: Value<'_, 't>,
        key: &str,
        most: usize,
        most_bytes: usize,
    ) -> Vec<(String, Range<usize>)> {
        let Some(list) = value.get_ref().as_array() else {
            self.wrong(&value.span(), format!("`{key}`: a list of texts is expected, [\"…\", \"…\"]"));
            return Vec::new();
        };
        if list.len() > most {
            self.wrong(&value.span(), format!("`{key}`: at most {most} texts are expected"));
            return Vec::new();
        }
        list.iter().map(|v| (self.value_text(v, most_bytes), v.span())).collect()
    }
}

impl<'a, 't> Table<'a, 't> {
    pub fn new(table: &'a DeTable<'t>, at: Range<usize>) -> Self {
        Table { table, bases: Vec::new(), at, known: Vec::new() }
    }

    /// The value of a key; the key counts as known from now on.
    pub fn take(&mut self, key: &'static str) -> Option<Value<'a, 't>> {
        self.ask(key);
        self.layers().find_map(|t| t.iter().find(|(k, _)| k.get_ref() == key).map(|(_, v)| v))
    }

    /// Whether it has the key, or its type has; the key counts as known from now on.
    pub fn has(&mut self, key: &'static str) -> bool {
        self.ask(key);
        self.layers().any(|t| t.iter().any(|(k, _)| k.get_ref() == key))
    }

    fn ask(&mut self, key: &'static str) {
        if !self.known.contains(&key) {
            self.known.push(key);
        }
    }

    /// Its own keys, then those of its types.
    fn layers(&self) -> impl Iterator<Item = &'a DeTable<'t>> {
        [self.table].into_iter().chain(self.bases.iter().copied())
    }

    /// The keys that have been asked for.
    #[cfg(test)]
    pub fn known(&self) -> &[&'static str] {
        &self.known
    }

    /// Where the value of a key stands; the table itself when it is missing.
    pub fn place(&self, key: &str) -> Range<usize> {
        self.table.iter().find(|(k, _)| k.get_ref() == key).map_or(self.at.clone(), |(_, v)| v.span())
    }
}
