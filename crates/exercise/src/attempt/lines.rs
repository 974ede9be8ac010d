//! Attempts one a line, as a batch system hands them over: a stream cut into lines, each bounded.

use super::MOST_BYTES;
use std::io::{self, BufRead};

/// The lines of a stream, each at most as long as an attempt can be. One that is longer, or never ends, is told as soon as that is
/// known, and passed over then.
pub struct Lines<R> {
    reader: R,
    /// The rest of a line that was too long comes first.
    in_long_line: bool,
    /// The stream could not be read on, or is at its end.
    ended: bool,
    most: usize,
}

impl<R: BufRead> Lines<R> {
    /// Lines of at most [`MOST_BYTES`].
    pub fn new(reader: R) -> Lines<R> {
        Lines::bounded(reader, MOST_BYTES)
    }

    /// Lines of at most so many bytes.
    pub fn bounded(reader: R, most: usize) -> Lines<R> {
        Lines { reader, in_long_line: false, ended: false, most }
    }

    /// The next line without its end; none at the end of the stream.
    fn line(&mut self) -> io::Result<Option<Result<Vec<u8>, String>>> {
        let mut line = Vec::new();
        loop {
            let found = match self.reader.fill_buf() {
                Err(e) if e.kind() == io::ErrorKind::Interrupted => continue,
                found => found?,
            };
            if found.is_empty() {
                self.ended = true;
                return Ok((!line.is_empty()).then_some(Ok(line)));
            }
            let end = found.iter().position(|&byte| byte == b'\n');
            let part = &found[..end.unwrap_or(found.len())];
            let long = !self.in_long_line && line.len() + part.len() > self.most;
            if !self.in_long_line && !long {
                line.extend_from_slice(part);
            }
            let used = part.len() + usize::from(end.is_some());
            self.reader.consume(used);
            let was_in_long_line = self.in_long_line;
            if end.is_some() {
                self.in_long_line = false;
            }
            if long {
                self.in_long_line = end.is_none();
                return Ok(Some(Err(told("the line", self.most))));
            }
            if end.is_some() && !was_in_long_line {
                if line.last() == Some(&b'\r') {
                    line.pop();
                }
                return Ok(Some(Ok(line)));
            }
        }
    }
}

impl<R: BufRead> Iterator for Lines<R> {
    type Item = Result<Vec<u8>, String>;

    fn next(&mut self) -> Option<Self::Item> {
        if self.ended {
            return None;
        }
        self.line().unwrap_or_else(|e| {
            self.ended = true;
            Some(Err(format!("reading stops here: {e}")))
        })
    }
}

/// What is told of a file or line that is longer than an attempt can be.
pub fn too_long(what: &str) -> String {
    told(what, MOST_BYTES)
}

fn told(what: &str, most: usize) -> String {
    format!("{what} has more than {most} bytes; an attempt has at most so many")
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::BufReader;

    /// Lines of at most 4 bytes, from a reader that gives two bytes at a time: what is longer is told once, whether it ends or not.
    #[test]
    fn lines_that_are_too_long_are_told_and_passed_over() {
        let told = |text: &'static str| -> Vec<String> {
            let lines = Lines::bounded(BufReader::with_capacity(2, text.as_bytes()), 4);
            lines
                .map(|line| line.map_or_else(|_| "LONG".to_string(), |l| String::from_utf8(l).unwrap()))
                .collect()
        };
        assert_eq!(told("abcd\nab\r\n\nabcde\nx\n"), ["abcd", "ab", "", "LONG", "x"]);
        assert_eq!(told("abcdefghijklmno\n\nend"), ["LONG", "", "end"]);
        assert_eq!(told("abcdefghijklmno"), ["LONG"]);
        assert_eq!(told("abcdef"), ["LONG"]);
        assert_eq!(told(""), [] as [&str; 0]);
        assert_eq!(told("\n"), [""]);
    }

    /// A stream without an end and without a line's end is told after its bound.
    #[test]
    fn an_endless_line_is_told() {
        let mut lines = Lines::new(BufReader::new(io::repeat(b'[')));
        assert!(lines.next().unwrap().unwrap_err().contains("8388608"));
    }
}
