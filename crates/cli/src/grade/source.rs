//! Where attempts come from: files, folders with all below them, lines of JSON in files and from standard input.

use sealin_exercise::attempt::MOST_BYTES;
use sealin_exercise::attempt::lines::{Lines, too_long};
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
