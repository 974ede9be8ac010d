//! The hand on the push-buttons: what it holds, and when it lets go.

use std::collections::BTreeMap;

/// The shortest press of a hand, ms of bench time. A click of a pointer or a key is over sooner than a finger can leave
/// a push-button, whose travel and spring take around a tenth of a second.
pub const SHORTEST_PRESS_MS: u64 = 120;

/// Push-buttons and stop actuators that a hand holds.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Hand(BTreeMap<String, Press>);

#[derive(Clone, Debug, PartialEq, Eq)]
struct Press {
    since: u64,
    let_go_at: Option<u64>,
}

impl Hand {
    /// Presses at this tick. False when it is held already.
    pub fn press(&mut self, tag: &str, tick: u64) -> bool {
        let fresh = !self.0.contains_key(tag);
        self.0
            .entry(tag.to_string())
            .and_modify(|press| press.let_go_at = None)
            .or_insert(Press { since: tick, let_go_at: None });
        fresh
    }

    /// Lets go as soon as a hand can. While the bench stands still a person works tick by tick: then one tick is enough.
    pub fn let_go(&mut self, tag: &str, standing: bool) {
        if let Some(press) = self.0.get_mut(tag) {
            press.let_go_at = Some(press.since + if standing { 1 } else { SHORTEST_PRESS_MS });
        }
    }

    /// Whether it is held.
    pub fn holds(&self, tag: &str) -> bool {
        self.0.contains_key(tag)
    }

    /// The tick at which the next one is let go.
    pub fn next_due(&self) -> Option<u64> {
        self.0.values().filter_map(|press| press.let_go_at).min()
    }

    /// What is to be let go by this tick; it is held no longer.
    pub fn due(&mut self, tick: u64) -> Vec<String> {
        let due = |press: &Press| press.let_go_at.is_some_and(|at| at <= tick);
        let tags = self.0.iter().filter(|(_, press)| due(press)).map(|(tag, _)| tag.clone()).collect();
        self.0.retain(|_, press| !due(press));
        tags
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_click_lasts_as_long_as_a_finger_needs() {
        let mut hand = Hand::default();
        assert!(hand.press("SF2", 1_000));
        assert!(!hand.press("SF2", 1_001));
        hand.let_go("SF2", false);
        assert_eq!(hand.next_due(), Some(1_120));
        assert!(hand.due(1_119).is_empty());
        assert!(hand.holds("SF2"));
        assert_eq!(hand.due(1_120), ["SF2"]);
        assert!(!hand.holds("SF2"));
    }

    #[test]
    fn a_long_press_ends_at_once_and_pressing_again_keeps_it() {
        let mut hand = Hand::default();
        hand.press("SF2", 0);
        hand.let_go("SF2", false);
        hand.press("SF2", 50);
        assert_eq!(hand.next_due(), None);
        hand.let_go("SF2", false);
        assert_eq!(hand.due(900), ["SF2"]);
    }

    #[test]
    fn tick_by_tick_a_press_may_last_one_tick() {
        let mut hand = Hand::default();
        hand.press("SF2", 7);
        hand.let_go("SF2", true);
        assert_eq!(hand.next_due(), Some(8));
    }
}
