//! Finding things on the drawing: under a pointer, by name, and what is shown for a choice.

use super::drawing::Drawing;
use super::geometry::{Point, polyline_distance};
use crate::store::Thing;
use sealin_core::plan::{Conductor, Terminal};
use std::collections::BTreeSet;

/// What is shown heavy.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Shown {
    /// Ids of conductors.
    pub conductors: BTreeSet<String>,
    /// Terminals with a ring.
    pub terminals: Vec<Terminal>,
    /// Tag of a device.
    pub part: Option<String>,
}

impl Drawing {
    /// The conductor nearest to a point, within `reach`. Its stubs and ferrules count before what lies in ducts.
    pub fn conductor_at(&self, p: Point, reach: f64) -> Option<&str> {
        if let Some(f) = self.ferrules.iter().find(|f| f.area.distance(p) <= reach / 2.0) {
            return f.conductors.first().map(String::as_str);
        }
        self.routes
            .iter()
            .map(|r| (polyline_distance(p, &r.line), r.id.as_str()))
            .filter(|(d, _)| *d <= reach)
            .min_by(|a, b| a.0.total_cmp(&b.0))
            .map(|(_, id)| id)
    }

    /// What is shown heavy for a choice.
    pub fn shown(&self, choice: Option<&Thing>) -> Shown {
        let mut shown = Shown::default();
        match choice {
            Some(Thing::Conductor(id)) => {
                if let Some(c) = self.conductor(id) {
                    shown.conductors.insert(id.clone());
                    shown.terminals.extend([c.from.clone(), c.to.clone()]);
                }
            }
            Some(Thing::Terminal(t)) => {
                shown.terminals.push(t.clone());
                for c in self.conductors.iter().filter(|c| c.from == *t || c.to == *t) {
                    shown.conductors.insert(c.id.clone());
                    shown.terminals.push(if c.from == *t { c.to.clone() } else { c.from.clone() });
                }
            }
            Some(Thing::Part(tag)) => shown.part = Some(tag.clone()),
            _ => {}
        }
        shown
    }

    /// What a search means, all of it: the terminal, or conductors by number or id, or the part by its tag.
    pub fn found(&self, text: &str) -> Vec<Thing> {
        let text = text.trim();
        if let Ok(t) = super::entry::resolve(&self.parts, text) {
            return vec![Thing::Terminal(t)];
        }
        let of = |fits: &dyn Fn(&Conductor) -> bool| -> Vec<Thing> {
            let all = self.conductors.iter().filter(|c| fits(c));
            all.map(|c| Thing::Conductor(c.id.clone())).collect()
        };
        let numbered = of(&|c| !text.is_empty() && c.number.eq_ignore_ascii_case(text));
        if !numbered.is_empty() {
            return numbered;
        }
        let part = self.parts.iter().filter(|p| p.tag.eq_ignore_ascii_case(text));
        let named = of(&|c| c.id.eq_ignore_ascii_case(text));
        named.into_iter().chain(part.map(|p| Thing::Part(p.tag.clone()))).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheets::wiring::fixture::{drawing, learners, t};

    #[test]
    fn finds_terminals_numbers_and_tags() {
        let d = drawing(learners());
        assert_eq!(d.found("qa1:14"), [Thing::Terminal(t("QA1:14"))]);
        assert_eq!(d.found("213"), [Thing::Conductor("L4".into())]);
        assert_eq!(d.found("c05"), [Thing::Conductor("C05".into())]);
        assert_eq!(d.found("kf1"), [Thing::Part("KF1".into())]);
        assert_eq!(d.found(""), []);
        assert_eq!(d.found("999"), []);
        // paddle-panel.md, sections 3 and 5: D05, D06, S01 to S03 and L1 to L3.
        assert_eq!(d.found("201").len(), 8);
    }

    #[test]
    fn choosing_shows_the_route_and_both_ends() {
        let d = drawing(learners());
        let shown = d.shown(Some(&Thing::Conductor("L4".into())));
        assert_eq!(shown.terminals, [t("QA1:14"), t("KF1:I4")]);
        let shown = d.shown(Some(&Thing::Terminal(t("QA1:13"))));
        assert_eq!(shown.conductors.into_iter().collect::<Vec<_>>(), ["L1", "L2"]);
        assert_eq!(shown.terminals, [t("QA1:13"), t("XD4:7"), t("QA2:13")], "both ends of each");
        let middle = d.routes[0].line[2];
        assert!(d.conductor_at(middle, 2.0).is_some());
        assert_eq!(d.conductor_at(Point::new(-99.0, -99.0), 2.0), None);
    }
}
