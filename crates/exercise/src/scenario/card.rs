//! What a list of jobs says of one: read without building anything, so that a long list comes up at once.

use serde::Deserialize;

/// A job on a list.
#[derive(Clone, Debug, PartialEq, Eq, Deserialize)]
pub struct Card {
    /// Name of its folder.
    pub id: String,
    /// What the job is called.
    pub title: String,
    /// Which machine.
    pub machine: String,
    /// 1 (first steps) to 5.
    pub level: u8,
    /// How long it takes, minutes.
    pub minutes: u32,
    #[serde(default)]
    requirement: Vec<Marked>,
    #[serde(default)]
    prediction: Vec<Marked>,
    fault_finding: Option<FindingCard>,
    #[serde(default)]
    craft: std::collections::BTreeMap<String, u32>,
}

#[derive(Clone, Debug, PartialEq, Eq, Deserialize)]
struct Marked {
    marks: u32,
    #[serde(default)]
    bonus: bool,
}

#[derive(Clone, Debug, PartialEq, Eq, Deserialize)]
struct FindingCard {
    #[serde(default)]
    marks: std::collections::BTreeMap<String, u32>,
}

impl Card {
    /// Reads the card of a scenario; none where it is no scenario. Nothing is checked that it does not show.
    pub fn read(text: &str) -> Option<Card> {
        toml::from_str(text).ok()
    }

    /// Sum of all marks that can be earned without a bonus.
    pub fn total_marks(&self) -> u32 {
        let all = self.requirement.iter().chain(&self.prediction).filter(|one| !one.bonus);
        let finding = self.fault_finding.iter().flat_map(|finding| finding.marks.values());
        all.map(|one| one.marks).sum::<u32>() + self.craft.values().chain(finding).sum::<u32>()
    }

    /// Whether a fault is to be found.
    pub fn is_fault_finding(&self) -> bool {
        self.fault_finding.is_some()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scenario::Scenario;
    use crate::shipped;

    #[test]
    fn a_card_says_what_the_scenario_says() {
        for (id, text) in shipped::all() {
            let (card, whole) = (Card::read(text).unwrap(), Scenario::parse(text).unwrap());
            assert_eq!((&*card.id, &card.title, &card.machine), (id, &whole.title, &whole.machine));
            assert_eq!((card.level, card.minutes), (whole.level, whole.minutes));
            assert_eq!(card.total_marks(), whole.total_marks(), "{id}");
        }
        assert!(Card::read("no scenario").is_none());
    }
}
