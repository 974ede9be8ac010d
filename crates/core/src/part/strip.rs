//! Terminal strips, earth bars and conductive parts with earth terminals.

/// Terminals by name, some of them joined.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Strip {
    /// Terminal names.
    pub terminals: Vec<String>,
    /// Groups of joined terminals.
    pub bridges: Vec<Vec<String>>,
}
