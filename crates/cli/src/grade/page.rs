//! The class as a page: one file, without a script, to be read on a screen or on paper.

use super::class::{Class, Job, Mark, Row};
use super::same::Same;
use sealin_core::MODEL_REVISION;
use std::collections::BTreeMap;
use std::fmt;
use std::fs::File;
use std::io::{self, BufWriter, Write};
use std::path::Path;

/// What stands before everything else, as on every print of the bench.
const CAUTIONS: [&str; 4] = [
    "Training model: simplified, not a design, not evidence of competence. Marks say what a simulated machine did.",
    "Real equipment is worked on by qualified or licensed persons only: isolated, locked off and proved dead. National rules, the \
     employer's procedures and the equipment's instructions take precedence.",
    "A chain of hashes detects damage to a file, not forgery: whoever edits a log can compute it anew, and such a log is simply an \
     attempt, marked for what it does.",
    "Names are as the learners wrote them. The same acts at the same ticks are a reason to ask, no proof of copying: two short \
     attempts can be alike by chance.",
];

/// Writes the page.
pub fn write(class: &mut Class, same: &Same, path: &Path) -> io::Result<()> {
    let mut out = BufWriter::new(File::create(path)?);
    let words = class.same_acts(same)?;
    let jobs = std::mem::take(&mut class.jobs);
    head(&mut out, class, &jobs)?;
    for (number, job) in (1..).zip(&jobs) {
        matrix(&mut out, class, job, number)?;
        requirements(&mut out, job, number)?;
    }
    let listed: u32 = jobs.iter().map(|job| job.attempts).sum();
    let unlisted = class.attempts - class.wrong - listed;
    if unlisted > 0 {
        let jobs = jobs.len();
        writeln!(
            out,
            "<p>{unlisted} attempts on further jobs than these {jobs} are in the remarks only.</p>"
        )?;
    }
    class.jobs = jobs;
    remarks(&mut out, class, &words, same)?;
    errors(&mut out, class)?;
    writeln!(out, "</main>\n</body>\n</html>")?;
    out.flush()
}

/// Text as it stands in a page: nothing of it is markup, and its direction does not touch what is around it.
struct Safe<'a>(&'a str);

impl fmt::Display for Safe<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("<bdi>")?;
        for c in self.0.chars() {
            match c {
                '&' => f.write_str("&amp;")?,
                '<' => f.write_str("&lt;")?,
                '>' => f.write_str("&gt;")?,
                '"' => f.write_str("&quot;")?,
                '\'' => f.write_str("&#39;")?,
                c if c.is_control() => f.write_str(" ")?,
                c => write!(f, "{c}")?,
            }
        }
        f.write_str("</bdi>")
    }
}

fn head(out: &mut impl Write, class: &Class, jobs: &[Job]) -> io::Result<()> {
    let style = include_str!("page.css");
    writeln!(
        out,
        "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
         <meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'\">\n\
         <title>Marks of the class</title>\n<style>\n{style}</style>\n</head>\n<body>\n<main>\n<h1>Marks of the class</h1>"
    )?;
    let Class { attempts, passed, wrong, .. } = class;
    let failed = attempts - passed - wrong;
    writeln!(
        out,
        "<p>Attempts: {attempts}. Passed: {passed}. Not passed: {failed}. Could not be marked: {wrong}. \
         Marked under model revision {MODEL_REVISION}.</p>"
    )?;
    writeln!(out, "<ul class=\"cautions\" aria-label=\"Cautions\">")?;
    for caution in CAUTIONS {
        writeln!(out, "<li>{caution}</li>")?;
    }
    writeln!(out, "</ul>\n<nav aria-label=\"Parts of this page\">\n<ul>")?;
    for (number, job) in (1..).zip(jobs) {
        writeln!(out, "<li><a href=\"#job-{number}\">{}</a></li>", Safe(&job.title))?;
    }
    writeln!(out, "<li><a href=\"#remarks\">Remarks and lost marks</a></li>")?;
    if *wrong > 0 {
        writeln!(out, "<li><a href=\"#errors\">Could not be marked</a></li>")?;
    }
    writeln!(out, "</ul>\n</nav>")
}

/// Learners by requirement.
fn matrix(out: &mut impl Write, class: &mut Class, job: &Job, number: usize) -> io::Result<()> {
    let (title, id) = (Safe(&job.title), Safe(&job.scenario));
    writeln!(
        out,
        "<section aria-labelledby=\"job-{number}\">\n<h2 id=\"job-{number}\">{title}</h2>\n\
         <div class=\"wide\" role=\"region\" tabindex=\"0\" aria-label=\"Marks of each learner\">\n<table class=\"matrix\">\n\
         <caption>Marks by requirement on {id}, {} of {} passed. A frame marks what was not earned in full.</caption>\n\
         <thead>\n<tr><th scope=\"col\">Learner</th><th scope=\"col\">Marks</th><th scope=\"col\">Result</th>",
        job.passed, job.attempts
    )?;
    for (k, (mark, _)) in (1..).zip(&job.requirements) {
        let must = if mark.must { ", must" } else { "" };
        let id = Safe(&mark.id);
        writeln!(
            out,
            "<th scope=\"col\" class=\"n\"><a href=\"#job-{number}-{k}\">{id}</a><span class=\"of\">of {}{must}</span></th>",
            mark.of
        )?;
    }
    if job.hinted > 0 {
        writeln!(out, "<th scope=\"col\" class=\"n\">Hints<span class=\"of\">marks taken</span></th>")?;
    }
    writeln!(out, "</tr>\n</thead>\n<tbody>")?;
    class.each(|k, row| if job.is_of(&row) { learner(out, job, k, &row) } else { Ok(()) })?;
    writeln!(out, "</tbody>\n<tfoot>\n<tr><th scope=\"row\" colspan=\"3\">Earned in full by</th>")?;
    for (_, full) in &job.requirements {
        write!(out, "<td class=\"n\">{full}</td>")?;
    }
    if job.hinted > 0 {
        write!(out, "<td class=\"n\">opened by {}</td>", job.hinted)?;
    }
    writeln!(out, "</tr>\n</tfoot>\n</table>\n</div>")
}

fn learner(out: &mut impl Write, job: &Job, number: u32, row: &Row) -> io::Result<()> {
    let result = if row.passed { "passed" } else { "not passed" };
    let (name, open) =
        (row.learner(number), if row.open > 0 { format!(", {} open", row.open) } else { String::new() });
    write!(
        out,
        "<tr><th scope=\"row\">{}{}</th><td>{} of {}{open}</td><td>{result}</td>",
        Safe(&name),
        file(row, &name, number),
        row.earned,
        row.of
    )?;
    for mark in job.marks(row) {
        let (class, text) = mark.map_or(("none", String::new()), cell);
        write!(out, "<td class=\"n {class}\">{text}</td>")?;
    }
    let (hints, cost) = row.hints();
    match hints[..] {
        _ if job.hinted == 0 => {}
        [] => write!(out, "<td class=\"n\"></td>")?,
        _ => write!(out, "<td class=\"n\">{}: {cost}</td>", Safe(&hints.join(" ")))?,
    }
    writeln!(out, "</tr>")
}

/// Where the attempt is, below a name that does not say so already.
fn file(row: &Row, name: &str, number: u32) -> String {
    let place = row.name(number);
    if place == name { String::new() } else { format!("<span class=\"file\">{}</span>", Safe(&place)) }
}

fn cell(mark: &Mark) -> (&'static str, String) {
    match mark {
        Mark { open: true, .. } => ("open", "open".to_string()),
        Mark { earned, of, .. } if earned == of => ("kept", earned.to_string()),
        Mark { earned: 0, .. } => ("lost", "0".to_string()),
        Mark { earned, .. } => ("part", earned.to_string()),
    }
}

/// What each requirement says.
fn requirements(out: &mut impl Write, job: &Job, number: usize) -> io::Result<()> {
    writeln!(out, "<h3>What the requirements say</h3>\n<dl>")?;
    for (k, (mark, _)) in (1..).zip(&job.requirements) {
        let must = if mark.must { ", needed for a pass" } else { "" };
        let (id, text) = (Safe(&mark.id), Safe(&mark.text));
        writeln!(out, "<dt id=\"job-{number}-{k}\">{id}, marks: {}{must}</dt><dd>{text}</dd>", mark.of)?;
    }
    writeln!(out, "</dl>\n</section>")
}

/// What there is to say of each attempt beyond its marks.
fn remarks(
    out: &mut impl Write,
    class: &mut Class,
    words: &BTreeMap<u32, String>,
    same: &Same,
) -> io::Result<()> {
    writeln!(out, "<section aria-labelledby=\"remarks\">\n<h2 id=\"remarks\">Remarks and lost marks</h2>")?;
    if same.left_out > 0 {
        writeln!(out, "<p>{} attempts were not compared with others any more.</p>", same.left_out)?;
    }
    let mut any = false;
    class.each(|number, row| {
        let lost = || row.lines.iter().filter_map(|mark| Some((mark, mark.why.as_ref()?)));
        let said: Vec<&String> = row.remarks.iter().chain(words.get(&number)).collect();
        if row.error.is_some() || (said.is_empty() && lost().next().is_none()) {
            return Ok(());
        }
        any = true;
        let name = row.learner(number);
        writeln!(out, "<h3>{}{}</h3>\n<ul>", Safe(&name), file(&row, &name, number))?;
        for remark in said {
            writeln!(out, "<li>{}</li>", Safe(remark))?;
        }
        for (mark, why) in lost() {
            writeln!(out, "<li>{}, {} of {}: {}</li>", Safe(&mark.id), mark.earned, mark.of, Safe(why))?;
        }
        writeln!(out, "</ul>")
    })?;
    if !any {
        writeln!(out, "<p>None.</p>")?;
    }
    writeln!(out, "</section>")
}

/// What could not be marked, and why.
fn errors(out: &mut impl Write, class: &mut Class) -> io::Result<()> {
    if class.wrong == 0 {
        return Ok(());
    }
    writeln!(
        out,
        "<section aria-labelledby=\"errors\">\n<h2 id=\"errors\">Could not be marked</h2>\n<table>\n\
         <caption>Files and lines without marks</caption>\n\
         <thead>\n<tr><th scope=\"col\">Attempt</th><th scope=\"col\">Reason</th></tr>\n</thead>\n<tbody>"
    )?;
    class.each(|number, row| match &row.error {
        Some(reason) => writeln!(
            out,
            "<tr><th scope=\"row\">{}</th><td>{}</td></tr>",
            Safe(&row.name(number)),
            Safe(reason)
        ),
        None => Ok(()),
    })?;
    writeln!(out, "</tbody>\n</table>\n</section>")
}
