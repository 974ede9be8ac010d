//! The scenarios that ship, compiled in.

/// A program and wires that earn full marks.
#[derive(Clone, Copy, Debug)]
pub struct Reference {
    /// Structured text.
    pub program: &'static str,
    /// Conductors that the learner makes, in the form of [`crate::scenario::parse_wires`].
    pub wires: &'static str,
}

struct Shipped {
    id: &'static str,
    scenario: &'static str,
    reference: Reference,
}

macro_rules! shipped {
    ($($id:literal),*) => {
        [$(Shipped {
            id: $id,
            scenario: include_str!(concat!("../../../scenarios/", $id, "/scenario.toml")),
            reference: Reference {
                program: include_str!(concat!("../../../scenarios/", $id, "/reference.st")),
                wires: include_str!(concat!("../../../scenarios/", $id, "/reference.wires.toml")),
            },
        }),*]
    };
}

static SHIPPED: [Shipped; 1] = shipped!["paddle-closed-loop"];

/// Id and text of every shipped scenario.
pub fn all() -> impl Iterator<Item = (&'static str, &'static str)> {
    SHIPPED.iter().map(|s| (s.id, s.scenario))
}

/// Text of a shipped scenario.
pub fn get(id: &str) -> Option<&'static str> {
    SHIPPED.iter().find(|s| s.id == id).map(|s| s.scenario)
}

/// What earns full marks in a shipped scenario.
pub fn reference(id: &str) -> Option<Reference> {
    SHIPPED.iter().find(|s| s.id == id).map(|s| s.reference)
}
