//! What is written keeps to the structure that the public schema of TC6 XML 0201 states: which elements stand in which,
//! in which order, and which attributes they must and may have. The table holds the part of the schema that a program of
//! ours can need.

use std::collections::{BTreeMap, BTreeSet};
use std::io::Write;
use std::process::{Command, Stdio};

use quick_xml::Reader;
use quick_xml::events::{BytesStart, Event};
use sealin_ladder::xml::{Form, write};

use super::{HEADING, normal};

/// Element; its children in order (`?` at most one, `*` any number, `+` one or more, `a|b` either); its attributes (`!`
/// must be there). `element/child` is the child inside that element only. `#` is text.
const SCHEMA: &[(&str, &str, &str)] = &[
    ("project", "fileHeader contentHeader types instances addData? documentation?", ""),
    (
        "fileHeader",
        "",
        "companyName! companyURL productName! productVersion! productRelease creationDateTime! contentDescription",
    ),
    (
        "contentHeader",
        "Comment? coordinateInfo addDataInfo? addData?",
        "name! version modificationDateTime organization author language",
    ),
    ("coordinateInfo", "pageSize? fbd ld sfc", ""),
    ("fbd", "scaling", ""),
    ("ld", "scaling", ""),
    ("sfc", "scaling", ""),
    ("scaling", "", "x! y!"),
    ("types", "dataTypes pous", ""),
    ("dataTypes", "dataType*", ""),
    ("pous", "pou*", ""),
    ("pou", "interface? actions? transitions? body* addData? documentation?", "name! pouType! globalId"),
    (
        "interface",
        "returnType? localVars|tempVars|inputVars|outputVars|externalVars|globalVars* addData? documentation?",
        "",
    ),
    (
        "localVars",
        "variable* addData? documentation?",
        "name constant retain nonretain persistent nonpersistent",
    ),
    ("localVars/variable", "type initialValue? addData? documentation?", "name! address globalId"),
    ("type", "BOOL|derived", ""),
    ("BOOL", "", ""),
    ("derived", "", "name!"),
    ("initialValue", "simpleValue|arrayValue|structValue", ""),
    ("simpleValue", "", "value"),
    ("documentation", "xhtml:pre", ""),
    ("content", "xhtml:pre", ""),
    ("xhtml:pre", "#", ""),
    ("body", "IL|ST|FBD|LD|SFC addData? documentation?", "WorksheetName globalId"),
    ("LD", "comment|block|inVariable|leftPowerRail|rightPowerRail|coil|contact*", ""),
    ("comment", "position content addData? documentation?", "localId! height! width! globalId"),
    (
        "block",
        "position inputVariables inOutVariables outputVariables addData? documentation?",
        "localId! width height typeName! instanceName executionOrderId globalId",
    ),
    ("inputVariables", "variable*", ""),
    ("inOutVariables", "variable*", ""),
    ("outputVariables", "variable*", ""),
    (
        "inputVariables/variable",
        "connectionPointIn addData? documentation?",
        "formalParameter! negated edge storage hidden",
    ),
    (
        "outputVariables/variable",
        "connectionPointOut? addData? documentation?",
        "formalParameter! negated edge storage hidden",
    ),
    (
        "inVariable",
        "position connectionPointOut? expression addData? documentation?",
        "localId! height width executionOrderId negated edge storage globalId",
    ),
    (
        "leftPowerRail",
        "position connectionPointOut* addData? documentation?",
        "localId! height width executionOrderId globalId",
    ),
    ("leftPowerRail/connectionPointOut", "relPosition? expression? addData?", "formalParameter! globalId"),
    (
        "rightPowerRail",
        "position connectionPointIn* addData? documentation?",
        "localId! height width executionOrderId globalId",
    ),
    (
        "contact",
        "position connectionPointIn? connectionPointOut? variable addData? documentation?",
        "localId! height width executionOrderId negated edge storage globalId",
    ),
    (
        "coil",
        "position connectionPointIn? connectionPointOut? variable addData? documentation?",
        "localId! height width executionOrderId negated edge storage globalId",
    ),
    ("contact/variable", "#", ""),
    ("coil/variable", "#", ""),
    ("expression", "#", ""),
    ("position", "", "x! y!"),
    ("relPosition", "", "x! y!"),
    ("connectionPointIn", "relPosition? connection|expression* addData?", "globalId"),
    ("connectionPointOut", "relPosition? expression? addData?", "globalId"),
    ("connection", "position* addData?", "refLocalId! formalParameter globalId"),
    ("instances", "configurations", ""),
    ("configurations", "configuration*", ""),
    (
        "configuration",
        "resource* globalVars* accessVars? configVars? addData? documentation?",
        "name! globalId",
    ),
    ("resource", "task* globalVars* pouInstance* addData? documentation?", "name! globalId"),
    ("task", "pouInstance* addData? documentation?", "name! single interval priority! globalId"),
    ("pouInstance", "addData? documentation?", "name! typeName! globalId"),
];

/// The values that the schema allows for attributes that have a list of them.
const VALUES: &[(&str, &[&str])] = &[
    ("pouType", &["program"]),
    ("negated", &["true", "false"]),
    ("retain", &["true", "false"]),
    ("edge", &["none", "rising", "falling"]),
    ("storage", &["none", "set", "reset"]),
];

/// An element of a written document.
struct Node {
    name: String,
    attributes: BTreeMap<String, String>,
    children: Vec<usize>,
    text: String,
}

fn document(text: &str) -> Vec<Node> {
    let mut reader = Reader::from_str(text);
    let (mut nodes, mut open): (Vec<Node>, Vec<usize>) = (Vec::new(), Vec::new());
    let node = |tag: &BytesStart| Node {
        name: tag.name().as_ref().to_owned(),
        attributes: tag
            .attributes()
            .map(|one| one.expect("an attribute"))
            .map(|one| (one.key.as_ref().to_owned(), one.value.to_string()))
            .collect(),
        children: Vec::new(),
        text: String::new(),
    };
    loop {
        match reader.read_event().expect("well-formed") {
            Event::Start(tag) => {
                if let Some(parent) = open.last() {
                    let index = nodes.len();
                    nodes[*parent].children.push(index);
                }
                open.push(nodes.len());
                nodes.push(node(&tag));
            }
            Event::Empty(tag) => {
                let index = nodes.len();
                nodes[*open.last().expect("not the outermost")].children.push(index);
                nodes.push(node(&tag));
            }
            Event::End(_) => drop(open.pop()),
            Event::Text(text) if !open.is_empty() => {
                nodes[*open.last().expect("an element")].text.push_str(text.trim());
            }
            Event::Eof => return nodes,
            _ => {}
        }
    }
}

/// Whether the children are in the order of the rule.
fn in_order(children: &[&str], rule: &str) -> bool {
    let mut rest = children;
    for part in rule.split_whitespace().filter(|part| *part != "#") {
        let names: Vec<&str> = part.trim_end_matches(['?', '*', '+']).split('|').collect();
        let count = rest.iter().take_while(|child| names.contains(child)).count();
        let taken = if part.ends_with(['*', '+']) { count } else { count.min(1) };
        if taken == 0 && !part.ends_with(['?', '*']) {
            return false;
        }
        rest = &rest[taken..];
    }
    rest.is_empty()
}

fn conforms(nodes: &[Node]) {
    for parent in nodes {
        for child in &parent.children {
            let node = &nodes[*child];
            check(node, &parent.name, nodes);
        }
    }
    check(&nodes[0], "", nodes);
}

fn check(node: &Node, parent: &str, nodes: &[Node]) {
    let inside = format!("{parent}/{}", node.name);
    let rule = SCHEMA.iter().find(|(name, _, _)| *name == inside);
    let rule = rule.or_else(|| SCHEMA.iter().find(|(name, _, _)| *name == node.name));
    let (_, children, attributes) = rule.unwrap_or_else(|| panic!("the schema has no {inside}"));
    let found: Vec<&str> = node.children.iter().map(|child| nodes[*child].name.as_str()).collect();
    assert!(in_order(&found, children), "{inside} has {found:?}, the schema wants {children}");
    assert!(node.text.is_empty() || *children == "#", "{inside} has text");
    for name in attributes.split_whitespace().filter_map(|name| name.strip_suffix('!')) {
        assert!(node.attributes.contains_key(name), "{inside} has no {name}");
    }
    let allowed: Vec<&str> = attributes.split_whitespace().map(|name| name.trim_end_matches('!')).collect();
    for (name, value) in &node.attributes {
        assert!(name.starts_with("xmlns") || allowed.contains(&name.as_str()), "{inside} has {name}");
        if let Some((_, values)) = VALUES.iter().find(|(known, _)| known == name) {
            assert!(values.contains(&value.as_str()), "{inside} has {name} = {value}");
        }
    }
}

/// Numbers are given once, and every connection ends at an output that there is.
fn is_connected(nodes: &[Node]) {
    let mut outputs: BTreeMap<&str, BTreeSet<&str>> = BTreeMap::new();
    for node in nodes.iter().filter(|node| node.attributes.contains_key("localId")) {
        let mut names = BTreeSet::from([""]);
        let lists =
            node.children.iter().map(|child| &nodes[*child]).filter(|child| child.name == "outputVariables");
        names.extend(
            lists
                .flat_map(|list| &list.children)
                .map(|pin| nodes[*pin].attributes["formalParameter"].as_str()),
        );
        assert!(outputs.insert(&node.attributes["localId"], names).is_none(), "a number is given twice");
    }
    for connection in nodes.iter().filter(|node| node.name == "connection") {
        let name = connection.attributes.get("formalParameter").map_or("", String::as_str);
        let known = outputs.get(connection.attributes["refLocalId"].as_str());
        assert!(known.is_some_and(|names| names.contains(name)), "a connection ends nowhere: {name}");
    }
}

/// No element lies on another one; the rails lie at the two sides of all.
fn lie_apart(nodes: &[Node]) {
    let number = |node: &Node, name: &str| node.attributes[name].parse::<i64>().expect("a number");
    let mut boxes: Vec<(i64, i64, i64, i64)> = Vec::new();
    for node in nodes.iter().filter(|node| node.attributes.contains_key("localId")) {
        let place = &nodes[node.children[0]];
        let (x, y) = (number(place, "x"), number(place, "y"));
        let this = (x, y, x + number(node, "width"), y + number(node, "height"));
        let is_apart = |other: &(i64, i64, i64, i64)| {
            this.2 <= other.0 || other.2 <= this.0 || this.3 <= other.1 || other.3 <= this.1
        };
        let comment = node.name == "comment" || node.name.ends_with("PowerRail");
        assert!(comment || boxes.iter().all(is_apart), "{} {this:?} lies on another element", node.name);
        if !comment {
            boxes.push(this);
        }
    }
}

#[test]
fn what_is_written_conforms() {
    for seed in 0..60 {
        let text = write(&normal::program(seed), Form::Tc6, &HEADING);
        let nodes = document(&text);
        conforms(&nodes);
        is_connected(&nodes);
        lie_apart(&nodes);
    }
}

/// The rules themselves, by hand: a wrong order, a missing child, one too many.
#[test]
fn the_table_finds_what_is_wrong() {
    assert!(
        in_order(&["a", "b", "b"], "a b* c?") && in_order(&["a"], "a|b") && in_order(&["b", "a"], "a|b*")
    );
    for wrong in [&["b", "a"][..], &["a", "c", "b"], &["a", "c", "c"], &[]] {
        assert!(!in_order(wrong, "a b* c?"), "{wrong:?}");
    }
}

/// Outputs of IEC 61131-10 have numbers of their own, and every connection names one; rungs come in order.
#[test]
fn the_later_form_is_connected() {
    for seed in 0..60 {
        let program = normal::program(seed);
        let nodes = document(&write(&program, Form::Iec10, &HEADING));
        let values =
            |name: &str| nodes.iter().filter_map(|node| node.attributes.get(name)).collect::<Vec<_>>();
        let outputs = values("connectionPointOutId");
        let known: BTreeSet<&String> = outputs.iter().copied().collect();
        assert_eq!(known.len(), outputs.len(), "a number is given twice");
        assert!(values("refConnectionPointOutId").iter().all(|number| known.contains(number)));
        // One rung more ends the first scan.
        let orders: Vec<String> = (1..=program.rungs.len() + 1).map(|order| order.to_string()).collect();
        assert_eq!(values("evaluationOrder"), orders.iter().collect::<Vec<_>>());
        let coils =
            nodes.iter().filter(|node| node.attributes.get("xsi:type").is_some_and(|kind| kind == "Coil"));
        let is_coil = |rung: &&sealin_ladder::Rung| !matches!(rung.output, sealin_ladder::Output::Block(_));
        assert_eq!(coils.count(), program.rungs.iter().filter(is_coil).count() + 1);
    }
}

/// xmllint, where there is one, finds nothing wrong.
#[test]
fn an_outside_reader_finds_it_well_formed() {
    for form in [Form::Tc6, Form::Iec10] {
        for seed in 0..6 {
            let text = write(&normal::program(seed), form, &HEADING);
            let Ok(mut reader) = Command::new("xmllint")
                .args(["--noout", "-"])
                .stdin(Stdio::piped())
                .stderr(Stdio::piped())
                .spawn()
            else {
                println!("no xmllint: well-formedness is tried by our own reader only");
                document(&text);
                return;
            };
            reader.stdin.take().expect("its input").write_all(text.as_bytes()).expect("it reads");
            let answer = reader.wait_with_output().expect("it ends");
            assert!(answer.status.success(), "{}", String::from_utf8_lossy(&answer.stderr));
        }
    }
}
