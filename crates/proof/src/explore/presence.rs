//! Where the fault is in a quantum.

/// Where the fault is in a quantum.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(super) enum Presence {
    /// It has not struck.
    Before,
    /// It is there through the quantum.
    There,
    /// It has struck, comes and goes, and is away through the quantum.
    Away,
}

impl Presence {
    /// Whether the quantum goes by the design with the fault.
    pub fn is_there(self) -> bool {
        self == Presence::There
    }

    /// Whether it has struck by the end of the quantum.
    pub fn has_struck(self) -> bool {
        self != Presence::Before
    }
}
