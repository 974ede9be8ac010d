//! Writes elements one inside the other, escaped and indented.

use quick_xml::Writer;
use quick_xml::events::{BytesDecl, BytesEnd, BytesStart, BytesText, Event};

/// Attributes with their values.
pub(super) type Attributes<'a> = &'a [(&'a str, &'a str)];

pub(super) struct Markup {
    writer: Writer<Vec<u8>>,
}

impl Markup {
    pub fn new() -> Self {
        let mut markup = Markup { writer: Writer::new_with_indent(Vec::new(), b' ', 1) };
        markup.write(Event::Decl(BytesDecl::new("1.0", Some("utf-8"), None)));
        markup
    }

    /// An element and what is in it.
    pub fn within(&mut self, name: &str, attributes: Attributes, content: impl FnOnce(&mut Self)) {
        self.write(Event::Start(tag(name, attributes)));
        content(self);
        self.write(Event::End(BytesEnd::new(name)));
    }

    /// An element with nothing in it.
    pub fn empty(&mut self, name: &str, attributes: Attributes) {
        self.write(Event::Empty(tag(name, attributes)));
    }

    /// An element with text in it.
    pub fn text(&mut self, name: &str, attributes: Attributes, text: &str) {
        let text = allowed(text);
        self.within(name, attributes, |markup| markup.write(Event::Text(BytesText::new(&text))));
    }

    /// The whole, ended by a line break.
    pub fn finish(self) -> String {
        let mut text = String::from_utf8(self.writer.into_inner()).unwrap_or_default();
        text.push('\n');
        text
    }

    fn write(&mut self, event: Event) {
        // Only the store behind it could fail, and memory does not.
        self.writer.write_event(event).unwrap_or_default();
    }
}

fn tag<'a>(name: &'a str, attributes: Attributes) -> BytesStart<'a> {
    let mut tag = BytesStart::new(name);
    for (key, value) in attributes {
        tag.push_attribute((*key, allowed(value).as_str()));
    }
    tag
}

/// The text without the characters that XML cannot hold at all (XML 1.0, clause 2.2); each becomes U+FFFD.
fn allowed(text: &str) -> String {
    let holds = |c: char| matches!(c, '\t' | '\n' | ' '..='\u{fffd}' | '\u{10000}'..);
    text.chars().map(|c| if holds(c) { c } else { '\u{fffd}' }).collect()
}
