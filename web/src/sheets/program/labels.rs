//! What the parts of a rung are, in words, and which bit each has.

use super::block::kind_name;
use crate::t;
use sealin_ladder::layout::ItemKind;
use sealin_ladder::{Call, Comparison, Contact, Network, Output, Test, print_network};

/// The bit that an item reads or writes; for a block its first output. None for a comparison, a link or a gap.
pub fn bit(kind: &ItemKind) -> Option<String> {
    match kind {
        ItemKind::Contact { contact, .. } => contact.bit().map(str::to_string),
        ItemKind::Coil(output) => Some(output.var().to_string()),
        ItemKind::Block { call, .. } => Some(format!("{}.{}", call.instance, call.block.outputs()[0])),
        ItemKind::Link | ItemKind::Gap => None,
    }
}

/// What an item is, in words.
pub fn label(kind: &ItemKind) -> String {
    match kind {
        ItemKind::Contact { contact, .. } => contact_label(contact),
        ItemKind::Coil(output) => output_label(output),
        ItemKind::Block { call, .. } => block_label(call),
        ItemKind::Link => t!("program-link").to_string(),
        ItemKind::Gap => t!("program-gap").to_string(),
    }
}

fn contact_label(contact: &Contact) -> String {
    match contact {
        Contact::Bit { var, test: Test::Open } => t!("program-normally-open", name = var),
        Contact::Bit { var, test: Test::Closed } => t!("program-normally-closed", name = var),
        Contact::Bit { var, test: Test::Rising } => t!("program-rising-contact", name = var),
        Contact::Bit { var, test: Test::Falling } => t!("program-falling-contact", name = var),
        Contact::Compare(comparison) => t!("program-comparison", text = comparison_text(comparison)),
    }
}

/// What an output is, in words.
pub fn output_label(output: &Output) -> String {
    match output {
        Output::Block(call) => block_label(call),
        Output::Set { var } => t!("program-set-coil", name = var),
        Output::Reset { var } => t!("program-reset-coil", name = var),
        Output::Negated { var } => t!("program-negated-coil", name = var),
        Output::Rising { var } => t!("program-rising-coil", name = var),
        Output::Falling { var } => t!("program-falling-coil", name = var),
        Output::Coil { var } => t!("program-coil", name = var),
    }
}

fn block_label(call: &Call) -> String {
    t!("program-block", name = call.instance, kind = kind_name(call.block))
}

fn comparison_text(comparison: &Comparison) -> String {
    format!("{} {} {}", comparison.value, comparison.relation.sign(), comparison.with)
}

/// What Why? asks about at an item: its bit, or the comparison as the text has it.
pub fn asked(kind: &ItemKind) -> Option<String> {
    bit(kind).or_else(|| match kind {
        ItemKind::Contact { contact, .. } => Some(print_network(&Network::Contact(contact.clone()))),
        _ => None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use sealin_ladder::{Constant, Operand, Relation};

    #[test]
    fn each_contact_says_what_it_is() {
        let bit = |test| contact_label(&Contact::Bit { var: "a".into(), test });
        let tests = [Test::Open, Test::Closed, Test::Rising, Test::Falling];
        let labels: std::collections::BTreeSet<String> = tests.into_iter().map(bit).collect();
        assert_eq!(labels.len(), 4);
        assert!(labels.iter().all(|label| label.starts_with("a, ")), "{labels:?}");
        let comparison = Comparison {
            value: "parts.CV".into(),
            relation: Relation::AtLeast,
            with: Operand::Constant(Constant::Count(5)),
        };
        assert!(contact_label(&Contact::Compare(comparison)).starts_with("parts.CV >= 5, "));
    }
}
