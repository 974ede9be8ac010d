//! An XML document in memory: bounded while it is read, and with a mark on every element and attribute that was
//! understood, so that the rest can be told.

use std::cell::Cell;

use quick_xml::Reader;
use quick_xml::XmlVersion;
use quick_xml::escape::resolve_xml_entity;
use quick_xml::events::{BytesRef, BytesStart, Event};

use super::{MAX_ATTRIBUTES, MAX_DEPTH, MAX_ELEMENTS, MAX_XML_BYTES, TC6, XHTML};

/// What went wrong, and the byte at which it did.
pub(super) struct Wrong {
    pub at: usize,
    pub message: String,
}

/// Which vocabulary an element belongs to.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Space {
    /// TC6 XML 0201.
    Tc6,
    /// XHTML, in which TC6 writes texts.
    Xhtml,
    /// Any other, or none.
    Other,
}

pub(super) struct Document {
    nodes: Vec<Node>,
}

enum Node {
    Element(Parts),
    Text { text: String, at: u32, next: Option<u32> },
}

struct Parts {
    space: Space,
    name: String,
    /// The byte of its `<`.
    at: u32,
    attributes: Vec<(String, String)>,
    first: Option<u32>,
    last: Option<u32>,
    next: Option<u32>,
    seen: Cell<bool>,
    seen_text: Cell<bool>,
    /// One bit for each attribute.
    seen_attributes: Cell<u32>,
}

/// An element of a document.
#[derive(Clone, Copy)]
pub(super) struct Element<'d> {
    document: &'d Document,
    index: u32,
}

/// Something that nobody has asked for.
pub(super) enum Unseen<'d> {
    Element(Element<'d>),
    /// An attribute of an element that somebody has asked for.
    Attribute(Element<'d>, &'d (String, String)),
    /// Text between the elements in one.
    Text(Element<'d>, &'d str),
}

impl Document {
    /// Reads a text. Elements are not nested by recursion, so depth costs no stack.
    pub fn read(text: &str) -> Result<Document, Wrong> {
        if text.len() > MAX_XML_BYTES {
            let message = format!("the file has {} bytes; at most {MAX_XML_BYTES} are expected", text.len());
            return Err(Wrong { at: 0, message });
        }
        let mut building =
            Building { nodes: Vec::new(), open: Vec::new(), namespaces: Vec::new(), elements: 0, at: 0 };
        let mut reader = Reader::from_str(text);
        reader.config_mut().check_comments = true;
        loop {
            building.at = reader.buffer_position() as usize;
            match reader.read_event() {
                Ok(Event::Eof) => break,
                Ok(event) => building.take(event)?,
                Err(error) => {
                    let at = (reader.error_position() as usize).min(text.len());
                    return Err(Wrong { at, message: format!("this is not well-formed XML: {error}") });
                }
            }
        }
        if !building.open.is_empty() {
            return building.wrong("the file ends inside an element; its end tag is expected");
        }
        if building.nodes.is_empty() {
            return building.wrong("an XML document is expected");
        }
        Ok(Document { nodes: building.nodes })
    }

    /// The outermost element.
    pub fn root(&self) -> Element<'_> {
        Element { document: self, index: 0 }
    }

    /// What nobody has asked for, in the order of the text. Of an element that nobody has asked for only itself.
    pub fn unseen(&self) -> Vec<Unseen<'_>> {
        let mut found = Vec::new();
        let mut todo = vec![self.root()];
        while let Some(element) = todo.pop() {
            let parts = element.parts();
            if !parts.seen.get() {
                found.push(Unseen::Element(element));
                continue;
            }
            for (bit, attribute) in parts.attributes.iter().enumerate() {
                if parts.seen_attributes.get() & (1 << bit) == 0 {
                    found.push(Unseen::Attribute(element, attribute));
                }
            }
            for (_, node) in element.nodes().filter(|_| !parts.seen_text.get()) {
                if let Node::Text { text, .. } = node {
                    found.push(Unseen::Text(element, text));
                }
            }
            let children: Vec<Element> = element.elements().collect();
            todo.extend(children.into_iter().rev());
        }
        found
    }
}

struct Building {
    nodes: Vec<Node>,
    /// Elements that are open, outermost first, and how many namespaces were known before each.
    open: Vec<(u32, usize)>,
    /// Prefix and what it stands for, innermost last.
    namespaces: Vec<(String, Space)>,
    elements: usize,
    at: usize,
}

impl Building {
    fn wrong<T>(&self, message: impl Into<String>) -> Result<T, Wrong> {
        Err(Wrong { at: self.at, message: message.into() })
    }

    fn take(&mut self, event: Event) -> Result<(), Wrong> {
        match event {
            Event::Start(tag) => self.begin(&tag),
            Event::Empty(tag) => {
                self.begin(&tag)?;
                self.end();
                Ok(())
            }
            Event::End(_) => {
                self.end();
                Ok(())
            }
            Event::Text(text) => self.text(&text.xml10_content()),
            Event::CData(text) => self.text(&text.xml10_content()),
            Event::GeneralRef(reference) => self.reference(&reference),
            Event::DocType(_) => self.wrong("a document type is not read; take the <!DOCTYPE …> away"),
            Event::Decl(declaration) => match declaration.encoding() {
                Some(Ok(name))
                    if !["utf-8", "us-ascii"].iter().any(|known| name.eq_ignore_ascii_case(known)) =>
                {
                    self.wrong(format!("the encoding {name} is not read; UTF-8 is expected"))
                }
                _ => Ok(()),
            },
            Event::Comment(_) | Event::PI(_) | Event::Eof => Ok(()),
        }
    }

    fn begin(&mut self, tag: &BytesStart) -> Result<(), Wrong> {
        if self.open.is_empty() && !self.nodes.is_empty() {
            return self.wrong("the end of the file is expected after the outermost element");
        }
        if self.open.len() >= MAX_DEPTH {
            return self.wrong(format!("at most {MAX_DEPTH} elements inside each other are expected"));
        }
        self.elements += 1;
        if self.elements > MAX_ELEMENTS {
            return self.wrong(format!("at most {MAX_ELEMENTS} elements are expected"));
        }
        let known = self.namespaces.len();
        let mut attributes: Vec<(String, String)> = Vec::new();
        let mut count = 0;
        for attribute in tag.attributes().with_checks(false) {
            count += 1;
            if count > MAX_ATTRIBUTES {
                return self.wrong(format!("at most {MAX_ATTRIBUTES} attributes of an element are expected"));
            }
            let value = attribute.map_err(|error| error.to_string()).and_then(|attribute| {
                let value = attribute.normalized_value(XmlVersion::Implicit1_0);
                Ok((
                    attribute.key.as_ref().to_owned(),
                    value.map_err(|error| error.to_string())?.into_owned(),
                ))
            });
            let (key, value) = match value {
                Ok(pair) => pair,
                Err(error) => {
                    return self.wrong(format!("an attribute of this element is not well-formed: {error}"));
                }
            };
            if attributes.iter().any(|(other, _)| *other == key) {
                return self.wrong(format!("the attribute {key} is given twice"));
            }
            attributes.push((key, value));
        }
        for (key, value) in &attributes {
            if key == "xmlns" {
                self.namespaces.push((String::new(), space(value)));
            } else if let Some(prefix) = key.strip_prefix("xmlns:") {
                self.namespaces.push((prefix.to_owned(), space(value)));
            }
        }
        // What is left are attributes without prefix: those with one belong to XML itself or to a schema.
        attributes.retain(|(key, _)| !key.contains(':') && key != "xmlns");
        let full = tag.name();
        let (prefix, name) = full.as_ref().split_once(':').unwrap_or(("", full.as_ref()));
        let found = self.namespaces.iter().rev().find(|(known, _)| known == prefix);
        let parts = Parts {
            space: found.map_or(Space::Other, |(_, space)| *space),
            name: name.to_owned(),
            at: self.at as u32,
            attributes,
            first: None,
            last: None,
            next: None,
            seen: Cell::new(false),
            seen_text: Cell::new(false),
            seen_attributes: Cell::new(0),
        };
        let index = self.push(Node::Element(parts));
        self.open.push((index, known));
        Ok(())
    }

    fn end(&mut self) {
        // The parser has checked that an end tag has its start.
        if let Some((_, known)) = self.open.pop() {
            self.namespaces.truncate(known);
        }
    }

    fn text(&mut self, text: &str) -> Result<(), Wrong> {
        if self.open.is_empty() {
            if text.trim_start_matches('\u{feff}').trim().is_empty() {
                return Ok(());
            }
            return self.wrong("an element is expected, no text");
        }
        let (last, in_xhtml) = match self.open.last().map(|(parent, _)| &self.nodes[*parent as usize]) {
            Some(Node::Element(parts)) => (parts.last, parts.space == Space::Xhtml),
            _ => (None, false),
        };
        // A text that a reference or a comment parts is one text.
        if let Some(Node::Text { text: before, .. }) = last.map(|index| &mut self.nodes[index as usize]) {
            before.push_str(text);
        } else if in_xhtml || !text.trim().is_empty() {
            // What stands between elements of TC6 is only indentation.
            self.push(Node::Text { text: text.to_owned(), at: self.at as u32, next: None });
        }
        Ok(())
    }

    fn reference(&mut self, reference: &BytesRef) -> Result<(), Wrong> {
        if let Ok(Some(letter)) = reference.resolve_char_ref() {
            return self.text(letter.encode_utf8(&mut [0; 4]));
        }
        let name: &str = reference;
        match resolve_xml_entity(name) {
            Some(text) => self.text(text),
            None => self.wrong("only the entities that XML itself knows are read: lt, gt, amp, apos, quot"),
        }
    }

    fn push(&mut self, node: Node) -> u32 {
        let index = self.nodes.len() as u32;
        self.nodes.push(node);
        let Some((parent, _)) = self.open.last().copied() else { return index };
        let before = match &mut self.nodes[parent as usize] {
            Node::Element(parts) => {
                let before = parts.last.replace(index);
                parts.first = parts.first.or(Some(index));
                before
            }
            Node::Text { .. } => None,
        };
        match before.map(|before| &mut self.nodes[before as usize]) {
            Some(Node::Element(parts)) => parts.next = Some(index),
            Some(Node::Text { next, .. }) => *next = Some(index),
            None => {}
        }
        index
    }
}

fn space(uri: &str) -> Space {
    match uri {
        TC6 => Space::Tc6,
        XHTML => Space::Xhtml,
        _ => Space::Other,
    }
}

impl<'d> Element<'d> {
    fn parts(self) -> &'d Parts {
        match &self.document.nodes[self.index as usize] {
            Node::Element(parts) => parts,
            // An element is only ever made of an element's index.
            Node::Text { .. } => unreachable!("a text is no element"),
        }
    }

    pub fn space(self) -> Space {
        self.parts().space
    }

    /// The name without prefix.
    pub fn name(self) -> &'d str {
        &self.parts().name
    }

    /// The byte at which it begins.
    pub fn at(self) -> usize {
        self.parts().at as usize
    }

    /// Whether it is the TC6 element of this name.
    pub fn is(self, name: &str) -> bool {
        self.space() == Space::Tc6 && self.name() == name
    }

    /// Its place in the order of the text.
    pub fn order(self) -> u32 {
        self.index
    }

    /// Marks it as understood, but neither its attributes nor what is in it.
    pub fn see(self) -> Self {
        self.parts().seen.set(true);
        self
    }

    /// Marks it with all that is in it as understood.
    pub fn see_all(self) {
        let mut todo = vec![self];
        while let Some(element) = todo.pop() {
            element.see().see_attributes();
            element.parts().seen_text.set(true);
            todo.extend(element.elements());
        }
    }

    /// Marks all its attributes as understood.
    pub fn see_attributes(self) {
        self.parts().seen_attributes.set(u32::MAX);
    }

    fn nodes(self) -> impl Iterator<Item = (u32, &'d Node)> {
        let mut next = self.parts().first;
        std::iter::from_fn(move || {
            let index = next?;
            let node = &self.document.nodes[index as usize];
            next = match node {
                Node::Element(parts) => parts.next,
                Node::Text { next, .. } => *next,
            };
            Some((index, node))
        })
    }

    /// The elements in it, of any vocabulary; they are not marked.
    pub fn elements(self) -> impl Iterator<Item = Element<'d>> {
        let document = self.document;
        self.nodes()
            .filter(|(_, node)| matches!(node, Node::Element(_)))
            .map(move |(index, _)| Element { document, index })
    }

    /// The TC6 elements of a name in it, marked.
    pub fn all(self, name: &str) -> impl Iterator<Item = Element<'d>> {
        self.elements().filter(move |element| element.is(name)).map(Element::see)
    }

    /// The first TC6 element of a name in it, marked.
    pub fn one(self, name: &str) -> Option<Element<'d>> {
        self.all(name).next()
    }

    /// An attribute without looking at it: it stays unmarked.
    pub fn peek(self, name: &str) -> Option<&'d str> {
        self.parts().attributes.iter().find(|(key, _)| key == name).map(|(_, value)| value.as_str())
    }

    /// An attribute, marked.
    pub fn attribute(self, name: &str) -> Option<&'d str> {
        let parts = self.parts();
        let bit = parts.attributes.iter().position(|(key, _)| key == name)?;
        parts.seen_attributes.set(parts.seen_attributes.get() | 1 << bit);
        Some(&parts.attributes[bit].1)
    }

    /// Marks these attributes.
    pub fn know(self, names: &[&str]) {
        for name in names {
            self.attribute(name);
        }
    }

    /// All text in it, a line for each paragraph; it is marked with all that is in it.
    pub fn text(self) -> String {
        self.see_all();
        let mut text = String::new();
        // What is still to come, the next last.
        let mut todo: Vec<(u32, &Node)> = self.nodes().collect();
        todo.reverse();
        while let Some((index, node)) = todo.pop() {
            match node {
                Node::Text { text: part, .. } => text.push_str(part),
                Node::Element(parts) => {
                    if ["br", "p", "div", "li", "pre"].contains(&parts.name.as_str())
                        && !text.trim().is_empty()
                    {
                        text.push('\n');
                    }
                    let element = Element { document: self.document, index };
                    let inner: Vec<(u32, &Node)> = element.nodes().collect();
                    todo.extend(inner.into_iter().rev());
                }
            }
        }
        text
    }

    /// The byte at which the first text in it begins, however deep.
    pub fn text_at(self) -> usize {
        let mut element = self;
        loop {
            let mut inner = None;
            for (index, node) in element.nodes() {
                match node {
                    Node::Text { text, at, .. } if !text.trim().is_empty() => return *at as usize,
                    Node::Text { .. } => {}
                    Node::Element(_) => inner = inner.or(Some(Element { document: self.document, index })),
                }
            }
            match inner {
                Some(inner) => element = inner,
                None => return self.at(),
            }
        }
    }
}
