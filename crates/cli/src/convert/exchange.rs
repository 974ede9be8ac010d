//! Programs between structured text and XML.

use crate::Answer;
use crate::input::text;
use sealin_ladder::xml::{self, Form};
use sealin_ladder::{Program, parse, print};
use std::path::Path;
use std::time::SystemTime;

/// What is written into the head of an XML file.
#[derive(clap::Args)]
pub struct Heading {
    /// For XML: its form.
    #[arg(long, value_enum, default_value_t = XmlForm::Tc6)]
    form: XmlForm,
    /// For XML: when it was written, as 2026-01-31T12:00:00; now (UTC) without it.
    #[arg(long, value_name = "TIME", value_parser = date_time)]
    date: Option<String>,
    /// For XML: scan period in milliseconds; without it that of an XML file that is read, else 5.
    #[arg(long, value_name = "MS", value_parser = clap::value_parser!(u32).range(1..=60_000))]
    scan_ms: Option<u32>,
}

#[derive(Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
enum XmlForm {
    /// TC6 XML 0201, the earlier public schema.
    Tc6,
    /// IEC 61131-10:2019.
    Iec10,
}

/// Scan period of the controllers that ship, in milliseconds.
const USUAL_SCAN_MS: u32 = 5;

/// A program, its scan period if the file has one, and whether all of it was understood.
struct Found {
    program: Program,
    period_ms: Option<u32>,
    answer: Answer,
}

/// Writes a program as XML.
pub fn to_xml(from: &Path, out: &Path, heading: &Heading) -> Result<Answer, String> {
    let found = program(from)?;
    let created = heading.date.clone().unwrap_or_else(now);
    let period_ms = heading.scan_ms.or(found.period_ms).unwrap_or(USUAL_SCAN_MS);
    let form = match heading.form {
        XmlForm::Tc6 => Form::Tc6,
        XmlForm::Iec10 => Form::Iec10,
    };
    write(out, &xml::write(&found.program, form, &xml::Heading { created: &created, period_ms }))?;
    Ok(found.answer)
}

/// Writes a program as structured text.
pub fn to_text(from: &Path, out: &Path) -> Result<Answer, String> {
    let found = program(from)?;
    write(out, &print(&found.program))?;
    Ok(found.answer)
}

/// Reads a program by what the file holds: XML begins with `<`. What is not understood goes to standard error.
fn program(path: &Path) -> Result<Found, String> {
    let source = text(path)?;
    let shown = path.display();
    if !source.trim_start_matches('\u{feff}').trim_start().starts_with('<') {
        let program = parse(&source).map_err(|errors| {
            errors.iter().map(|e| format!("{shown}: {e}")).collect::<Vec<_>>().join("\n")
        })?;
        return Ok(Found { program, period_ms: None, answer: Answer::Yes });
    }
    let read = xml::read(&source).map_err(|error| format!("{shown}: {error}"))?;
    for note in &read.notes {
        eprintln!("{shown}: {note}");
    }
    let answer = if read.notes.is_empty() { Answer::Yes } else { Answer::No };
    Ok(Found { program: read.program, period_ms: read.period_ms, answer })
}

fn write(path: &Path, text: &str) -> Result<(), String> {
    std::fs::write(path, text).map_err(|e| format!("{}: {e}", path.display()))
}

/// Takes `2026-01-31T12:00:00`, the form of XML Schema's `dateTime` without a zone.
fn date_time(text: &str) -> Result<String, String> {
    let pattern = "dddd-dd-ddTdd:dd:dd";
    let fits = |(c, p): (char, char)| if p == 'd' { c.is_ascii_digit() } else { c == p };
    let number = |range| text.get(range).and_then(|digits: &str| digits.parse::<u32>().ok()).unwrap_or(99);
    let in_range = (1..=12).contains(&number(5..7))
        && (1..=31).contains(&number(8..10))
        && number(11..13) < 24
        && number(14..16) < 60
        && number(17..19) < 60;
    if text.len() == pattern.len() && text.chars().zip(pattern.chars()).all(fits) && in_range {
        return Ok(text.to_owned());
    }
    Err("a time such as 2026-01-31T12:00:00 is expected".to_owned())
}

/// The present time, UTC.
fn now() -> String {
    let since = SystemTime::now().duration_since(SystemTime::UNIX_EPOCH).unwrap_or_default();
    moment(since.as_secs())
}

/// A moment in seconds from the beginning of 1970, as a date of the Gregorian calendar.
fn moment(seconds: u64) -> String {
    let (mut days, clock) = (seconds / 86_400, seconds % 86_400);
    let is_leap =
        |year: u64| year.is_multiple_of(4) && (!year.is_multiple_of(100) || year.is_multiple_of(400));
    let mut year = 1970;
    while days >= 365 + u64::from(is_leap(year)) {
        days -= 365 + u64::from(is_leap(year));
        year += 1;
    }
    let mut month = 1;
    for length in [31, 28 + u64::from(is_leap(year)), 31, 30, 31, 30, 31, 31, 30, 31, 30, 31] {
        if days < length {
            break;
        }
        days -= length;
        month += 1;
    }
    let (hours, minutes) = (clock / 3600, clock / 60 % 60);
    format!("{year:04}-{month:02}-{:02}T{hours:02}:{minutes:02}:{:02}", days + 1, clock % 60)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// POSIX.1, "Seconds Since the Epoch", and leap days of 2000 and 2024 counted by hand.
    #[test]
    fn moments() {
        assert_eq!(moment(0), "1970-01-01T00:00:00");
        assert_eq!(moment(951_782_400), "2000-02-29T00:00:00");
        assert_eq!(moment(1_709_251_199), "2024-02-29T23:59:59");
        assert_eq!(moment(1_735_689_599), "2024-12-31T23:59:59");
        assert_eq!(moment(4_102_444_800), "2100-01-01T00:00:00");
    }

    #[test]
    fn date_times() {
        assert!(date_time("2026-01-31T12:00:00").is_ok());
        for wrong in ["2026-01-31", "2026-13-31T12:00:00", "2026-01-31T24:00:00", "2026-01-31 12:00:00", "é"]
        {
            assert!(date_time(wrong).is_err(), "{wrong}");
        }
    }
}
