//! The graphic elements of a body and what they are connected to, as they stand.

use std::collections::BTreeMap;

use super::super::document::{Element, Space};
use super::Reading;
use super::short;
use crate::lex::normal_comment;

/// A graphic element.
pub(super) struct Item<'d> {
    pub element: Element<'d>,
    pub kind: Kind,
    pub x: i64,
    pub y: i64,
    /// Where it ends below.
    pub bottom: i64,
    /// The written order of execution; none if there is none.
    pub order: Option<u64>,
    pub inputs: Vec<Input>,
    /// For a block: its outputs.
    pub outputs: Vec<Output>,
    /// What is written about it.
    pub comment: String,
}

/// What a graphic element is.
pub(super) enum Kind {
    LeftRail,
    RightRail,
    Contact(Marks),
    Coil(Marks),
    /// A function, or a block if it has an instance.
    Block {
        type_name: String,
        instance: Option<String>,
    },
    /// A variable or literal that feeds an input.
    Value(Marks),
    /// A variable that takes what feeds it.
    Taker(Marks),
    /// The end of a connection that goes on at its continuation.
    Connector(String),
    Continuation(String),
    Comment,
}

/// The text of a contact, coil or variable, and what is marked on it.
pub(super) struct Marks {
    pub text: String,
    pub negated: bool,
    pub edge: Edge,
    pub storage: Storage,
}

#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Edge {
    None,
    Rising,
    Falling,
    Unknown,
}

#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Storage {
    None,
    Set,
    Reset,
    Unknown,
}

/// A place where an element is fed.
pub(super) struct Input {
    /// The formal parameter in capitals; empty for a contact, coil or rail.
    pub name: String,
    pub sources: Vec<Source>,
    /// A variable or literal in place of a connection.
    pub expression: Option<String>,
    pub negated: bool,
    /// Whether it has an edge or a storage, which an input of ours cannot have.
    pub marked: bool,
}

/// An output of a block.
pub(super) struct Output {
    pub name: String,
    pub negated: bool,
    /// Whether it has an edge or a storage.
    pub marked: bool,
}

/// One end of a connection.
pub(super) struct Source {
    /// Index of the element that feeds; none if there is none of its number that is understood.
    pub item: Option<usize>,
    /// The formal parameter in capitals; empty if none is given.
    pub name: String,
}

/// What has no place in a rung, and what follows from leaving it out.
const NOT_DRAWABLE: [(&str, &str); 3] = [
    ("jump", "what it jumps over is always evaluated"),
    ("return", "what follows it is always evaluated"),
    ("label", "it does nothing by itself"),
];

impl<'d> Reading<'d> {
    /// Reads the elements of a body in the order of the text. Those that are not understood are told and left out.
    pub(super) fn items(&mut self, body: Element<'d>) -> Vec<Item<'d>> {
        let mut items = Vec::new();
        let mut by_number: BTreeMap<u64, usize> = BTreeMap::new();
        let mut numbers: Vec<Vec<(usize, usize, u64)>> = Vec::new();
        for element in body.elements() {
            if let Some((_, why)) = NOT_DRAWABLE.iter().find(|(name, _)| element.is(name)) {
                element.see_all();
                self.note(element, &format!("is not read; left out: {why}"));
                continue;
            }
            let Some(kind) = self.kind(element) else { continue };
            element.see();
            let number = element.attribute("localId").and_then(|text| text.trim().parse::<u64>().ok());
            let index = items.len();
            let (item, sources) = item(element, kind);
            match number {
                Some(number) if !by_number.contains_key(&number) => {
                    by_number.insert(number, index);
                }
                Some(number) => self.note(
                    element,
                    &format!(
                        "its localId {number} is given already; connections to it are taken as to the first"
                    ),
                ),
                None if matches!(item.kind, Kind::Comment) => {}
                None => self.note(element, "it has no localId, so nothing can be connected to it"),
            }
            items.push(item);
            numbers.push(sources);
        }
        for (item, sources) in items.iter_mut().zip(numbers) {
            for (input, source, number) in sources {
                item.inputs[input].sources[source].item = by_number.get(&number).copied();
            }
        }
        items
    }

    fn kind(&mut self, element: Element<'d>) -> Option<Kind> {
        Some(match element.name() {
            _ if element.space() != Space::Tc6 => return None,
            "leftPowerRail" => Kind::LeftRail,
            "rightPowerRail" => Kind::RightRail,
            "contact" => Kind::Contact(marks(element, "variable")),
            "coil" => Kind::Coil(marks(element, "variable")),
            "inVariable" => Kind::Value(marks(element, "expression")),
            "outVariable" => Kind::Taker(marks(element, "expression")),
            "block" => Kind::Block {
                type_name: element.attribute("typeName").unwrap_or_default().trim().to_owned(),
                instance: element
                    .attribute("instanceName")
                    .map(|name| name.trim().to_owned())
                    .filter(|name| !name.is_empty()),
            },
            "connector" => Kind::Connector(element.attribute("name").unwrap_or_default().to_owned()),
            "continuation" => Kind::Continuation(element.attribute("name").unwrap_or_default().to_owned()),
            "comment" => Kind::Comment,
            _ => return None,
        })
    }
}

/// Reads an element, and its connections as input, source and number.
fn item(element: Element<'_>, kind: Kind) -> (Item<'_>, Vec<(usize, usize, u64)>) {
    element.know(&["width", "globalId"]);
    let height = element.attribute("height").map_or(0, whole);
    let order = element.attribute("executionOrderId").and_then(|text| text.trim().parse().ok());
    let position = element.one("position");
    let coordinate = |axis| position.and_then(|position| position.attribute(axis)).map_or(0, whole);
    let (x, y) = (coordinate("x"), coordinate("y"));
    let texts = match kind {
        Kind::Comment => element.all("content").map(|text| text.text()).collect::<Vec<_>>(),
        _ => element.all("documentation").map(|text| text.text()).collect(),
    };
    let (mut inputs, mut sources) = (Vec::new(), Vec::new());
    let mut outputs = Vec::new();
    for entry in element.all("connectionPointIn") {
        input(entry, None, &mut inputs, &mut sources);
    }
    for exit in element.all("connectionPointOut") {
        exit.attribute("formalParameter");
        see_point(exit);
    }
    for variable in element.all("inputVariables").flat_map(|list| list.all("variable")) {
        match variable.one("connectionPointIn") {
            Some(entry) => input(entry, Some(variable), &mut inputs, &mut sources),
            None => inputs.push(plain(Some(variable))),
        }
    }
    element.all("inOutVariables").for_each(drop);
    for variable in element.all("outputVariables").flat_map(|list| list.all("variable")) {
        variable.all("connectionPointOut").for_each(see_point);
        let Input { name, negated, marked, .. } = plain(Some(variable));
        outputs.push(Output { name, negated, marked });
    }
    let comment = normal_comment(&texts.join("\n"));
    let order = order.filter(|order| *order > 0);
    let bottom = y.saturating_add(height);
    (Item { element, kind, x, y, bottom, order, inputs, outputs, comment }, sources)
}

fn see_point(point: Element<'_>) {
    point.attribute("globalId");
    point.all("relPosition").for_each(Element::see_all);
}

/// An input without connections, with what is marked on it.
fn plain(variable: Option<Element<'_>>) -> Input {
    let mut input =
        Input { name: String::new(), sources: Vec::new(), expression: None, negated: false, marked: false };
    let Some(variable) = variable else { return input };
    input.name = variable.attribute("formalParameter").unwrap_or_default().trim().to_ascii_uppercase();
    input.negated = variable.attribute("negated") == Some("true");
    input.marked =
        ["edge", "storage"].iter().any(|mark| !matches!(variable.attribute(mark), None | Some("none")));
    variable.attribute("hidden");
    input
}

fn input(
    entry: Element<'_>,
    variable: Option<Element<'_>>,
    inputs: &mut Vec<Input>,
    all: &mut Vec<(usize, usize, u64)>,
) {
    see_point(entry);
    let mut input = plain(variable);
    input.expression =
        entry.one("expression").map(|text| text.text().trim().to_owned()).filter(|text| !text.is_empty());
    for connection in entry.all("connection") {
        connection.attribute("globalId");
        connection.all("position").for_each(Element::see_all);
        if let Some(number) = connection.attribute("refLocalId").and_then(|text| text.trim().parse().ok()) {
            all.push((inputs.len(), input.sources.len(), number));
        }
        let name = connection.attribute("formalParameter").unwrap_or_default().trim().to_ascii_uppercase();
        input.sources.push(Source { item: None, name });
    }
    inputs.push(input);
}

fn marks(element: Element<'_>, text: &str) -> Marks {
    let text = element.one(text).map(|text| text.text().trim().to_owned()).unwrap_or_default();
    let edge = match element.attribute("edge") {
        None | Some("none") => Edge::None,
        Some("rising") => Edge::Rising,
        Some("falling") => Edge::Falling,
        Some(_) => Edge::Unknown,
    };
    let storage = match element.attribute("storage") {
        None | Some("none") => Storage::None,
        Some("set") => Storage::Set,
        Some("reset") => Storage::Reset,
        Some(_) => Storage::Unknown,
    };
    Marks { text, negated: element.attribute("negated") == Some("true"), edge, storage }
}

/// The whole part of a decimal number; 0 for none.
fn whole(text: &str) -> i64 {
    let text = text.trim();
    text.split('.').next().and_then(|digits| digits.parse::<i32>().ok()).map_or(0, i64::from)
}

/// What an element is called where it is told of.
pub(super) fn shown(item: &Item) -> String {
    match &item.kind {
        Kind::Contact(marks) | Kind::Coil(marks) | Kind::Value(marks) | Kind::Taker(marks) => {
            format!("<{}> {}", item.element.name(), short(&marks.text))
        }
        Kind::Block { type_name, instance } => {
            let name = instance.as_deref().unwrap_or(type_name);
            format!("<block> {}", short(name))
        }
        _ => format!("<{}>", item.element.name()),
    }
}
