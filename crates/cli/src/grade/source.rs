//! Where attempts come from: files, folders with all below them, lines of JSON in files and from standard input.

use sealin_exercise::attempt::MOST_BYTES;
use std::fs::File;
use std::io::{self, BufRead, BufReader, Read};
use std::path::{Path, PathBuf};

/// A place with one attempt or many.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Source {
    /// A file with one attempt.
    File(PathBuf),
    /// A file with an attempt on each line.
    Lines(PathBuf),
    /// An attempt on each line of standard input.
    Stdin,
    /// A folder or a name that cannot be looked into, with the reason.
    Unreadable(PathBuf, String),
}

/// What a name ends in when the file has an attempt on each line.
const LINES: [&str; 2] = ["jsonl", "ndjson"];

/// An attempt that waits to be read.
pub struct Item {
    /// Path of the file, with the number of the line where it has several; none for a line of standard input, which is known by
    /// its place.
    pub name: Option<String>,
    /// Which of the sources it is from.
    pub source: usize,
    /// Its text, or where that is.
    pub body: Body,
}

/// The text of an attempt.
pub enum Body {
    /// Still in its file.
    Path(PathBuf),
    /// Here, or why not.
    Read(Result<Vec<u8>, String>),
}

/// The sources that these names mean, in their order, those of a folder by name; and how many files of folders were passed over,
/// as their names do not end as those of attempts do.
pub fn sources(names: &[PathBuf]) -> Result<(Vec<Source>, usize), String> {
    if names.iter().any(|p| p.as_os_str() == "-") {
        if names.len() > 1 {
            return Err("`-` stands alone: it reads one attempt a line".to_string());
        }
        return Ok((vec![Source::Stdin], 0));
    }
    let (mut all, mut passed_over) = (Vec::new(), 0);
    for name in names {
        if !name.is_dir() {
            all.push(if has_lines(name) { Source::Lines(name.clone()) } else { Source::File(name.clone()) });
            continue;
        }
        for found in walkdir::WalkDir::new(name).sort_by_file_name() {
            match found {
                Ok(entry) if entry.path().is_dir() => {}
                Ok(entry) if has_lines(entry.path()) => all.push(Source::Lines(entry.into_path())),
                Ok(entry) if entry.path().extension().is_some_and(|e| e == "json") => {
                    all.push(Source::File(entry.into_path()))
                }
                Ok(_) => passed_over += 1,
                Err(e) => {
                    let path = e.path().unwrap_or(name).to_path_buf();
                    all.push(Source::Unreadable(path, e.to_string()));
                }
            }
        }
    }
    Ok((all, passed_over))
}

fn has_lines(path: &Path) -> bool {
    path.extension().is_some_and(|e| LINES.iter().any(|known| e == *known))
}

/// All attempts of the sources, one after the other.
pub fn items(sources: Vec<Source>) -> impl Iterator<Item = Item> + Send {
    sources.into_iter().enumerate().flat_map(|(source, place)| {
        let one = |name: PathBuf, body| {
            let name = Some(name.display().to_string());
            Box::new(std::iter::once(Item { name, source, body })) as Box<dyn Iterator<Item = Item> + Send>
        };
        let lines = |reader: Box<dyn BufRead + Send>, name: Option<PathBuf>| {
            Box::new(Lines::new(reader).enumerate().map(move |(number, body)| {
                let name = name.as_ref().map(|path| format!("{}:{}", path.display(), number + 1));
                Item { name, source, body: Body::Read(body) }
            })) as Box<dyn Iterator<Item = Item> + Send>
        };
        match place {
            Source::File(path) => one(path.clone(), Body::Path(path)),
            Source::Unreadable(path, reason) => one(path, Body::Read(Err(reason))),
            Source::Stdin => lines(Box::new(BufReader::new(io::stdin())), None),
            Source::Lines(path) => match File::open(&path) {
                Ok(file) => lines(Box::new(BufReader::new(file)), Some(path)),
                Err(e) => one(path, Body::Read(Err(e.to_string()))),
            },
        }
    })
}

impl Body {
    /// The bytes, at most as many as an attempt can have; the error says why they cannot be read.
    pub fn bytes(self) -> Result<Vec<u8>, String> {
        let path = match self {
            Body::Read(bytes) => return bytes,
            Body::Path(path) => path,
        };
        let mut bytes = Vec::new();
        let file = File::open(&path).map_err(|e| e.to_string())?;
        file.take(MOST_BYTES as u64 + 1).read_to_end(&mut bytes).map_err(|e| e.to_string())?;
        if bytes.len() > MOST_BYTES { Err(too_long("the file")) } else { Ok(bytes) }
    }
}

fn too_long(what: &str) -> String {
    format!("{what} has more than {MOST_BYTES} bytes; an attempt has at most so many")
}

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
        Lines { reader, in_long_line: false, ended: false, most: MOST_BYTES }
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
                return Ok(Some(Err(too_long("the line"))));
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

#[cfg(test)]
mod tests {
    use super::*;

    /// Lines of at most 4 bytes, from a reader that gives two bytes at a time: what is longer is told once, whether it ends or not.
    #[test]
    fn lines_that_are_too_long_are_told_and_passed_over() {
        let told = |text: &'static str| -> Vec<String> {
            let lines = Lines { most: 4, ..Lines::new(BufReader::with_capacity(2, text.as_bytes())) };
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
