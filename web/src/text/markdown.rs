//! Markdown of a scenario as nodes. Nothing of the text is ever read as markup of the page, and no link leads away.

use pulldown_cmark::{CodeBlockKind, Event, HeadingLevel, Options, Parser, Tag};
use yew::prelude::*;
use yew::virtual_dom::{VNode, VTag, VText};

/// Deepest nesting that is drawn; what is deeper is drawn at this depth.
const MOST_DEPTH: usize = 24;

#[derive(Debug, PartialEq)]
enum Node {
    Text(String),
    Element(&'static str, Vec<Node>),
}

/// Text in Markdown.
#[derive(Properties, PartialEq)]
pub struct MarkdownProps {
    /// The text.
    pub text: AttrValue,
}

/// Draws a text in Markdown. Its first heading is a second-level heading of the page.
#[component]
pub fn Markdown(props: &MarkdownProps) -> Html {
    html! { <div class="prose">{ for read(&props.text).iter().map(draw) }</div> }
}

/// The text in pieces, each a paragraph, a list or the like; beside it, whether it is a heading.
pub fn pieces(text: &str) -> Vec<(bool, Html)> {
    let is_heading = |node: &Node| matches!(node, Node::Element("h2" | "h3", _));
    read(text).iter().map(|node| (is_heading(node), draw(node))).collect()
}

fn draw(node: &Node) -> VNode {
    match node {
        Node::Text(text) => VText::new(text.clone()).into(),
        Node::Element(tag, children) => {
            let mut element = VTag::new(*tag);
            element.add_children(children.iter().map(draw));
            element.into()
        }
    }
}

fn read(text: &str) -> Vec<Node> {
    // Each level of the stack: the element that is open, and what stands in it so far. `None` is drawn through.
    let mut stack: Vec<(Option<&'static str>, Vec<Node>)> = vec![(None, Vec::new())];
    for event in Parser::new_ext(text, Options::ENABLE_TABLES) {
        let top = |stack: &mut Vec<(Option<&'static str>, Vec<Node>)>, node| {
            if let Some((_, children)) = stack.last_mut() {
                children.push(node);
            }
        };
        match event {
            Event::Start(tag) => {
                let element = element_of(&tag).filter(|_| stack.len() < MOST_DEPTH);
                stack.push((element, Vec::new()));
            }
            Event::End(_) => {
                if let Some((element, children)) = stack.pop() {
                    match element {
                        Some(tag) => top(&mut stack, Node::Element(tag, children)),
                        None => children.into_iter().for_each(|child| top(&mut stack, child)),
                    }
                }
            }
            Event::Code(code) => {
                top(&mut stack, Node::Element("code", vec![Node::Text(code.into_string())]));
            }
            Event::Text(text) | Event::Html(text) | Event::InlineHtml(text) => {
                top(&mut stack, Node::Text(text.into_string()));
            }
            Event::SoftBreak => top(&mut stack, Node::Text(" ".into())),
            Event::HardBreak => top(&mut stack, Node::Element("br", Vec::new())),
            Event::Rule => top(&mut stack, Node::Element("hr", Vec::new())),
            _ => {}
        }
    }
    stack.into_iter().next().map(|(_, nodes)| nodes).unwrap_or_default()
}

fn element_of(tag: &Tag) -> Option<&'static str> {
    Some(match tag {
        Tag::Paragraph => "p",
        Tag::Heading { level: HeadingLevel::H1, .. } => "h2",
        Tag::Heading { .. } => "h3",
        Tag::BlockQuote(_) => "blockquote",
        Tag::CodeBlock(CodeBlockKind::Indented | CodeBlockKind::Fenced(_)) => "pre",
        Tag::List(Some(_)) => "ol",
        Tag::List(None) => "ul",
        Tag::Item => "li",
        Tag::Table(_) => "table",
        Tag::TableHead => "thead",
        Tag::TableRow => "tr",
        Tag::TableCell => "td",
        Tag::Emphasis => "em",
        Tag::Strong => "strong",
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn text(words: &str) -> Node {
        Node::Text(words.into())
    }

    #[test]
    fn headings_lists_and_stress() {
        assert_eq!(
            read("# Job\n\n- make *L4*\n"),
            vec![
                Node::Element("h2", vec![text("Job")]),
                Node::Element(
                    "ul",
                    vec![Node::Element("li", vec![text("make "), Node::Element("em", vec![text("L4")])])]
                ),
            ]
        );
    }

    #[test]
    fn markup_stays_text_and_links_lead_nowhere() {
        let nodes = read("<b onclick=\"a()\">x</b> [away](https://example.org)");
        let Node::Element("p", children) = &nodes[0] else { panic!("a paragraph is expected: {nodes:?}") };
        assert!(children.iter().all(|child| matches!(child, Node::Text(_))), "{children:?}");
        assert!(children.contains(&text("away")));
    }

    #[test]
    fn deep_nesting_stays_flat_enough_to_draw() {
        fn depth(nodes: &[Node]) -> usize {
            nodes
                .iter()
                .map(|n| if let Node::Element(_, c) = n { 1 + depth(c) } else { 0 })
                .max()
                .unwrap_or(0)
        }
        assert!(depth(&read(&">".repeat(500))) <= MOST_DEPTH);
        assert!(depth(&read(&format!("{}x", "- ".repeat(500)))) <= MOST_DEPTH);
    }
}
