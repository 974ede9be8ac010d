//! Position switches.

use super::Form;

/// A position switch after IEC 60947-5-1, actuated by a machine while it is within a part of its way.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct PositionSwitch {
    /// Tag of the motor whose machine actuates it.
    pub motor: String,
    /// Lowest position at which it is actuated, µm.
    pub from_um: u32,
    /// Highest position at which it is actuated, µm.
    pub to_um: u32,
    /// Its contacts, one to four. Each is numbered by its place: 11-12 or 13-14 is the first, 21-22 or 23-24 the second.
    pub contacts: Vec<Form>,
    /// Its break contacts open positively (IEC 60947-5-1 Annex K): the actuator forces them open, welded or not.
    pub positive_opening: bool,
}

impl PositionSwitch {
    /// Names of the terminals, in the order in which they are drawn.
    pub fn terminals(&self) -> Vec<String> {
        self.contacts().into_iter().flat_map(|(a, b)| [a, b]).collect()
    }

    /// Contacts as their terminal pairs: digit of the sequence, then 1-2 for break or 3-4 for make.
    pub fn contacts(&self) -> Vec<(String, String)> {
        let pair = |(place, form): (usize, &Form)| {
            let (a, b) = if *form == Form::Make { (3, 4) } else { (1, 2) };
            (format!("{}{a}", place + 1), format!("{}{b}", place + 1))
        };
        self.contacts.iter().enumerate().map(pair).collect()
    }

    /// Whether this contact is forced open by the actuator, so that it cannot stick closed.
    pub fn opens_positively(&self, contact: &str) -> bool {
        let forms = self.contacts().into_iter().zip(&self.contacts);
        self.positive_opening
            && forms.into_iter().any(|((a, b), form)| *form == Form::Break && format!("{a}-{b}") == contact)
    }
}
