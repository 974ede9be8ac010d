//! Reads TC6 XML 0201: the project around the bodies.

mod body;
mod drives;
mod elements;
mod names;
mod reduce;
mod text;

use std::fmt;

use self::names::Names;
use super::document::{Document, Element, Space, Unseen, Wrong};
use super::{MAX_NOTES, TC6, first_scan};
use crate::diagnostic::{Diagnostic, Severity};
use crate::lex::normal_comment;
use crate::model::{Constant, Program, Rung};

/// What was read of a project.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Read {
    /// The program, in normal form.
    pub program: Program,
    /// Interval in milliseconds of the task that runs it; none if the project gives none.
    pub period_ms: Option<u32>,
    /// What was not understood, or is written otherwise than it stood, in the order of the places.
    ///
    /// Of everything in the project it is here or in the program, but for what says nothing of the program: the head of
    /// the file, the page, places and sizes of elements, and the names of configuration, resource, task and instance.
    pub notes: Vec<Note>,
}

/// Something that was not understood, or is written otherwise than it stood.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Note {
    /// Line, counted from 1.
    pub line: u32,
    /// Column in characters, counted from 1.
    pub column: u32,
    /// What it is, as `<contact>`.
    pub element: String,
    /// What is not understood, and what was done with it.
    pub done: String,
}

impl fmt::Display for Note {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "line {}, column {}: {}: {}", self.line, self.column, self.element, self.done)
    }
}

/// Reads a project in TC6 XML 0201.
///
/// It is an error, with its place, if the text is no well-formed XML, is over one of the bounds of this module, has a
/// document type, is no project of this schema, or has no program. All else that is not understood is a [`Note`].
pub fn read(text: &str) -> Result<Read, Diagnostic> {
    let places = Places::of(text);
    let refused = |wrong: Wrong| {
        let (line, column) = places.find(wrong.at);
        Diagnostic { line, column, message: wrong.message, hint: None, severity: Severity::Error }
    };
    let document = Document::read(text).map_err(refused)?;
    let root = document.root();
    if !root.is("project") {
        let message = format!("a <project> of the namespace {TC6} is expected");
        return Err(refused(Wrong { at: root.at(), message }));
    }
    let mut reading = Reading {
        places: &places,
        names: Names::default(),
        comment: Vec::new(),
        rungs: Vec::new(),
        period_ms: None,
        notes: Vec::new(),
        more: 0,
    };
    let name = reading.project(root).map_err(refused)?;
    reading.first_scan(root);
    for unseen in document.unseen() {
        let (element, what) = match unseen {
            Unseen::Element(element) => (element, String::new()),
            Unseen::Attribute(element, (key, value)) => (element, format!("{key}=\"{}\" ", short(value))),
            Unseen::Text(element, text) => (element, format!("the text {} in it ", short(text))),
        };
        reading.note(element, &format!("{what}is not understood; left out"));
    }
    Ok(Read {
        program: Program {
            name,
            comment: normal_comment(&reading.comment.join("\n")),
            vars: reading.names.vars,
            rungs: reading.rungs,
        },
        period_ms: reading.period_ms,
        notes: in_order(reading.notes, reading.more),
    })
}

/// The beginning of a text from a file, on one line.
fn short(text: &str) -> String {
    const MOST: usize = 40;
    let mut shown: String =
        text.split_whitespace().collect::<Vec<_>>().join(" ").chars().take(MOST + 1).collect();
    if shown.chars().count() > MOST {
        shown.pop();
        shown.push('…');
    }
    shown
}

fn in_order(mut notes: Vec<Note>, more: usize) -> Vec<Note> {
    notes.sort_by_key(|note| (note.line, note.column));
    if more > 0 {
        let (line, column) = notes.last().map_or((1, 1), |note| (note.line, note.column));
        let done = format!("{more} more that are not told");
        notes.push(Note { line, column, element: "<project>".to_owned(), done });
    }
    notes
}

/// Finds lines and columns.
struct Places<'a> {
    text: &'a str,
    /// The byte at which each line begins.
    lines: Vec<u32>,
}

impl<'a> Places<'a> {
    fn of(text: &'a str) -> Self {
        let read = &text.as_bytes()[..text.len().min(super::MAX_XML_BYTES)];
        let ends = read.iter().enumerate().filter(|(_, byte)| **byte == b'\n');
        Places { text, lines: std::iter::once(0).chain(ends.map(|(at, _)| at as u32 + 1)).collect() }
    }

    /// Line of a byte, counted from 1.
    fn line(&self, at: usize) -> u32 {
        self.lines.partition_point(|start| *start as usize <= at) as u32
    }

    /// A line and column that lie in the text, or just behind one of its lines.
    fn within(&self, line: u32, column: u32) -> (u32, u32) {
        let line = line.clamp(1, self.lines.len() as u32);
        let start = self.lines[line as usize - 1] as usize;
        let text = self.text[start..].split('\n').next().unwrap_or_default();
        (line, column.min(text.chars().count() as u32 + 1))
    }

    /// Line and column of a byte, both counted from 1.
    fn find(&self, at: usize) -> (u32, u32) {
        let line = self.line(at);
        let start = self.lines[line as usize - 1] as usize;
        let mut at = at.min(self.text.len());
        while !self.text.is_char_boundary(at) {
            at -= 1;
        }
        (line, 1 + self.text[start..at].chars().count() as u32)
    }
}

struct Reading<'d> {
    places: &'d Places<'d>,
    names: Names,
    /// What is written about the whole.
    comment: Vec<String>,
    rungs: Vec<Rung>,
    period_ms: Option<u32>,
    notes: Vec<Note>,
    /// How many notes there were beyond the most that are told.
    more: usize,
}

impl<'d> Reading<'d> {
    fn note(&mut self, element: Element<'d>, done: &str) {
        let name = match element.space() {
            Space::Xhtml => format!("<xhtml:{}>", short(element.name())),
            _ => format!("<{}>", short(element.name())),
        };
        self.note_at(element.at(), name, done.to_owned());
    }

    /// Tells of something by its byte.
    fn note_at(&mut self, at: usize, element: String, done: String) {
        // A column is counted only for what is told: a file may be one long line.
        let (line, column) = if self.notes.len() < MAX_NOTES { self.places.find(at) } else { (0, 0) };
        self.told(Note { line, column, element, done });
    }

    fn told(&mut self, note: Note) {
        if self.notes.len() < MAX_NOTES {
            self.notes.push(note);
        } else {
            self.more += 1;
        }
    }

    /// Reads the whole; gives the program's name.
    fn project(&mut self, root: Element<'d>) -> Result<String, Wrong> {
        root.see();
        if let Some(head) = root.one("fileHeader") {
            head.see_all();
        }
        let pous: Vec<Element> = root.one("types").into_iter().flat_map(sections).collect();
        let program = pous.iter().copied().find(|pou| pou.peek("pouType") == Some("program"));
        let Some(program) = program else {
            let message = "a program is expected: <pou> with pouType=\"program\"".to_owned();
            return Err(Wrong { at: root.at(), message });
        };
        let name = self.program_name(program);
        for pou in pous.into_iter().filter(|pou| pou.order() != program.order()) {
            let sort = short(pou.peek("pouType").unwrap_or("pou"));
            let other = short(pou.peek("name").unwrap_or_default());
            pou.see_all();
            let why =
                if sort == "program" { "only the first program is read" } else { "only a program is read" };
            self.note(pou, &format!("the {sort} {other}: {why}; left out"));
        }
        if let Some(head) = root.one("contentHeader") {
            // A project called as its program says nothing more.
            if head.peek("name").is_some_and(|project| project == name) {
                head.attribute("name");
            }
            head.all("coordinateInfo").for_each(Element::see_all);
        }
        self.variables(program, root);
        self.documentation(program);
        for body in program.all("body") {
            body.attribute("globalId");
            self.body(body);
        }
        Ok(name)
    }

    /// Takes the bit of the first scan back. Another variable of its name, which the controller would set, is renamed.
    fn first_scan(&mut self, root: Element<'d>) {
        let Some(index) = first_scan::find(&self.names.vars) else { return };
        if first_scan::taken_back(&mut self.names.vars, &mut self.rungs, index) {
            return;
        }
        let old = self.names.vars[index].name.clone();
        let new = self.names.free(&old);
        first_scan::rename(&mut self.rungs, &old, &new);
        self.note(root, &format!("{old} is the bit of the first scan here; the variable is read as {new}"));
        self.names.vars[index].name = new;
    }

    fn program_name(&mut self, program: Element<'d>) -> String {
        let program = program.see();
        program.know(&["pouType", "globalId"]);
        let name = program.attribute("name").unwrap_or_default();
        if names::is_name(name) {
            return name.to_owned();
        }
        self.note(program, &format!("{} is no name of a program; it is called main", short(name)));
        "main".to_owned()
    }

    fn documentation(&mut self, program: Element<'d>) {
        let texts: Vec<String> =
            program.all("documentation").map(|text| normal_comment(&text.text())).collect();
        self.comment.extend(texts);
    }

    /// Declares the program's variables, then those of configuration and resource.
    fn variables(&mut self, program: Element<'d>, root: Element<'d>) {
        let mut external = Vec::new();
        for list in program.all("interface").flat_map(Element::elements) {
            match list.name() {
                "localVars" | "inputVars" | "outputVars" | "tempVars" if list.space() == Space::Tc6 => {
                    self.list(list)
                }
                "externalVars" if list.is("externalVars") => external.push(list.see()),
                // The rest stays unseen and is told.
                _ => {}
            }
        }
        let name = program.peek("name").unwrap_or_default();
        for configuration in root.all("instances").flat_map(|one| sub(one, "configurations", "configuration"))
        {
            configuration.attribute("name");
            let resources: Vec<Element> = configuration.all("resource").collect();
            for globals in configuration.all("globalVars") {
                self.list(globals);
            }
            for resource in resources {
                resource.attribute("name");
                resource.all("globalVars").for_each(|globals| self.list(globals));
                self.tasks(resource, name);
            }
        }
        for variable in external.into_iter().flat_map(|list| list.all("variable")) {
            match variable.peek("name") {
                Some(name) if self.names.knows(name) => variable.see_all(),
                _ => {
                    self.note(
                        variable,
                        "there is no global variable of this name; it is read as one of the program",
                    );
                    self.declare(variable, false);
                }
            }
        }
    }

    /// Reads a list of variables.
    fn list(&mut self, list: Element<'d>) {
        let list = list.see();
        let retain = list.attribute("retain") == Some("true");
        // These say what is so anyway; anything else stays unseen and is told.
        for (key, usual) in
            [("constant", "false"), ("nonretain", "true"), ("persistent", "false"), ("nonpersistent", "true")]
        {
            if list.peek(key) == Some(usual) || (key == "nonretain" && list.peek(key) == Some("false")) {
                list.attribute(key);
            }
        }
        if list.name() == "tempVars" {
            self.note(list, "the variables are read as such that keep their values between scans");
        }
        for variable in list.all("variable") {
            self.declare(variable, retain);
        }
    }

    /// Reads the tasks of a resource, for the interval of the one that runs the program.
    fn tasks(&mut self, resource: Element<'d>, program: &str) {
        let tasks: Vec<Element> = resource.all("task").collect();
        let runs = |task: &Element| {
            task.elements().any(|one| one.is("pouInstance") && one.peek("typeName") == Some(program))
        };
        let chosen = tasks.iter().position(runs).unwrap_or(0);
        for (index, task) in tasks.into_iter().enumerate() {
            task.know(&["name", "priority"]);
            self.instances(task, program);
            if index != chosen || self.period_ms.is_some() {
                continue;
            }
            let Some(interval) = task.peek("interval") else { continue };
            if let Some(Constant::Time(period_ms)) = names::constant(interval) {
                task.attribute("interval");
                self.period_ms = Some(period_ms);
            }
        }
        self.instances(resource, program);
    }

    /// Takes the instances of the program; others stay unseen and are told.
    fn instances(&mut self, parent: Element<'d>, program: &str) {
        for instance in
            parent.elements().filter(|one| one.is("pouInstance") && one.peek("typeName") == Some(program))
        {
            let instance = instance.see();
            instance.know(&["name", "typeName", "globalId"]);
        }
    }
}

/// The program units in the types.
fn sections(types: Element<'_>) -> impl Iterator<Item = Element<'_>> {
    types.one("dataTypes");
    types.all("pous").flat_map(|pous| pous.elements().filter(|pou| pou.is("pou")))
}

/// The elements of a name that stand in an element of another name, all marked.
fn sub<'d>(
    parent: Element<'d>,
    between: &'static str,
    name: &'static str,
) -> impl Iterator<Item = Element<'d>> {
    parent.all(between).flat_map(move |one| one.all(name))
}
