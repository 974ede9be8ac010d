//! The class as comma-separated values: a line an attempt, a column a requirement.

use super::class::{Class, Row};
use super::same::Same;
use std::io;
use std::path::Path;

/// Columns before those of the requirements.
const BEFORE: [&str; 8] = ["attempt", "author", "scenario", "earned", "of", "open", "passed", "bench_ms"];

/// Columns behind them.
const BEHIND: [&str; 4] = ["hints", "hints_cost", "remarks", "error"];

/// Writes the table. With several jobs a requirement's column has the job's id before it.
pub fn write(class: &mut Class, same: &Same, path: &Path) -> io::Result<()> {
    let mut table = csv::Writer::from_path(path)?;
    let several = class.jobs.len() > 1;
    let columns = class.jobs.iter().flat_map(|job| {
        job.requirements.iter().map(move |(mark, _)| {
            if several { format!("{} {}", job.scenario, mark.id) } else { mark.id.clone() }
        })
    });
    let columns: Vec<String> = columns.map(|name| harmless(&name)).collect();
    table.write_record(BEFORE.into_iter().chain(columns.iter().map(String::as_str)).chain(BEHIND))?;
    let words = class.same_acts(same)?;
    let jobs = std::mem::take(&mut class.jobs);
    let written = class.each(|number, row| {
        let marks = jobs.iter().flat_map(|job| {
            let on_it = job.is_of(&row);
            job.marks(&row).map(move |mark| match mark {
                Some(mark) if on_it && mark.open => "open".to_string(),
                Some(mark) if on_it => mark.earned.to_string(),
                _ => String::new(),
            })
        });
        let remarks = row.remarks.iter().chain(words.get(&number)).cloned().collect::<Vec<_>>().join("; ");
        let (hints, cost) = row.hints();
        let cost = if hints.is_empty() { String::new() } else { cost.to_string() };
        let error = harmless(row.error.as_deref().unwrap_or_default());
        let behind = [harmless(&hints.join(" ")), cost, harmless(&remarks), error];
        let cells = before(&row, number).into_iter().chain(marks).chain(behind);
        table.write_record(cells.collect::<Vec<_>>()).map_err(io::Error::from)
    });
    class.jobs = jobs;
    written?;
    table.flush()
}

fn before(row: &Row, number: u32) -> [String; 8] {
    let name = harmless(&row.name(number));
    if row.error.is_some() {
        return [
            name,
            String::new(),
            String::new(),
            String::new(),
            String::new(),
            String::new(),
            String::new(),
            String::new(),
        ];
    }
    [
        name,
        harmless(&row.author),
        harmless(&row.scenario),
        row.earned.to_string(),
        row.of.to_string(),
        row.open.to_string(),
        row.passed.to_string(),
        row.bench_ms.to_string(),
    ]
}

/// A text that no spreadsheet takes for something to be computed: it stands behind an apostrophe then.
fn harmless(text: &str) -> String {
    if text.starts_with(['=', '+', '-', '@', '\t', '\r']) { format!("'{text}") } else { text.to_string() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_is_computed_by_a_spreadsheet() {
        assert_eq!(harmless("=1+1"), "'=1+1");
        assert_eq!(harmless("@SUM(A1)"), "'@SUM(A1)");
        assert_eq!(harmless("Lock keeper = me"), "Lock keeper = me");
    }
}
