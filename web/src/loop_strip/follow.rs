//! Following the conductors as drawn: what stands behind an input, and what drives a coil.

use crate::store::model::{Conductor, Controller, Group, Kind, Part, Terminal};
use std::collections::{BTreeMap, BTreeSet, VecDeque};

/// A contact in the field or on a device.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FieldContact {
    /// Tag of its part.
    pub part: String,
    /// Its terminals, such as `13` and `14`.
    pub terminals: (String, String),
    /// Make contact, open at rest; else break contact.
    pub make: bool,
}

impl FieldContact {
    /// Its name among the signals, such as `QA1.13-14`.
    pub fn signal(&self) -> String {
        format!("{}.{}", self.part, self.name())
    }

    /// Its terminal numbers, such as `13-14`.
    pub fn name(&self) -> String {
        format!("{}-{}", self.terminals.0, self.terminals.1)
    }
}

/// A channel of a controller.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Channel {
    /// Its terminal.
    pub terminal: Terminal,
    /// The common terminal of its group.
    pub common: Terminal,
    /// Its bit, counted over all groups.
    pub bit: usize,
    /// Input, else output.
    pub input: bool,
}

impl Channel {
    /// Its address in the program, such as `%IX0.4`.
    pub fn address(&self) -> String {
        format!("%{}", self.image())
    }

    /// Its bit of the image among the signals, such as `KF1.IX0.4`.
    pub fn signal(&self) -> String {
        format!("{}.{}", self.terminal.part, self.image())
    }

    /// Its bit of the image, such as `IX0.4`.
    pub fn image(&self) -> String {
        format!("{}X{}.{}", if self.input { 'I' } else { 'Q' }, self.bit / 8, self.bit % 8)
    }
}

/// Parts and conductors, ready to be followed.
pub struct Wiring<'a> {
    parts: &'a [Part],
    joined: BTreeMap<Terminal, Vec<Terminal>>,
}

impl<'a> Wiring<'a> {
    /// Joins what conductors and bridges join.
    pub fn new(parts: &'a [Part], conductors: &[Conductor]) -> Wiring<'a> {
        let mut joined: BTreeMap<Terminal, Vec<Terminal>> = BTreeMap::new();
        let mut join = |a: Terminal, b: Terminal| {
            joined.entry(a.clone()).or_default().push(b.clone());
            joined.entry(b).or_default().push(a);
        };
        for conductor in conductors {
            join(conductor.from.clone(), conductor.to.clone());
        }
        for part in parts {
            if let Kind::Strip(strip) = &part.kind {
                for pair in strip.bridges.iter().flat_map(|bridge| bridge.windows(2)) {
                    join(Terminal::new(&part.tag, &pair[0]), Terminal::new(&part.tag, &pair[1]));
                }
            }
        }
        Wiring { parts, joined }
    }

    /// All channels of all controllers.
    pub fn channels(&self) -> Vec<Channel> {
        self.parts
            .iter()
            .filter_map(|part| match &part.kind {
                Kind::Controller(controller) => Some(channels(&part.tag, controller)),
                _ => None,
            })
            .flatten()
            .collect()
    }

    /// The contact that a terminal is wired to, nearest first; main poles and switching devices do not count.
    pub fn contact_behind(&self, terminal: &Terminal) -> Option<FieldContact> {
        self.search(terminal, false, |found| self.contact_of(found))
    }

    /// The input that a contact is wired to.
    pub fn input_of(&self, part: &str, terminals: (&str, &str)) -> Option<Channel> {
        self.channels().into_iter().filter(|channel| channel.input).find(|channel| {
            self.contact_behind(&channel.terminal).is_some_and(|c| {
                c.part == part && (c.terminals.0.as_str(), c.terminals.1.as_str()) == terminals
            })
        })
    }

    /// The output that a coil terminal is fed from, auxiliary contacts on the way passed over.
    pub fn output_of(&self, coil: &Terminal) -> Option<Channel> {
        let outputs: Vec<Channel> = self.channels().into_iter().filter(|channel| !channel.input).collect();
        self.search(coil, true, |found| outputs.iter().find(|channel| channel.terminal == *found).cloned())
    }

    fn search<T>(
        &self,
        from: &Terminal,
        through_contacts: bool,
        found: impl Fn(&Terminal) -> Option<T>,
    ) -> Option<T> {
        let mut seen = BTreeSet::from([from.clone()]);
        let mut open = VecDeque::from([from.clone()]);
        while let Some(terminal) = open.pop_front() {
            if terminal != *from
                && let Some(value) = found(&terminal)
            {
                return Some(value);
            }
            let mut next: Vec<Terminal> = self.joined.get(&terminal).cloned().unwrap_or_default();
            if through_contacts && let Some(contact) = self.contact_of(&terminal) {
                next.push(Terminal::new(&contact.part, &contact.terminals.0));
                next.push(Terminal::new(&contact.part, &contact.terminals.1));
            }
            open.extend(next.into_iter().filter(|terminal| seen.insert(terminal.clone())));
        }
        None
    }

    /// The auxiliary contact that a terminal belongs to: numbers of two digits, whose last one tells make (3-4, 7-8) from
    /// break (1-2, 5-6), IEC 60947-5-1 annex on terminal numbers.
    fn contact_of(&self, terminal: &Terminal) -> Option<FieldContact> {
        let part = self.parts.iter().find(|part| part.tag == terminal.part)?;
        let pairs = part.contacts();
        let (a, b) = pairs.into_iter().find(|(a, b)| *a == terminal.name || *b == terminal.name)?;
        let make = match a.as_bytes() {
            [_, b'3' | b'7'] => true,
            [_, _] => false,
            _ => return None,
        };
        Some(FieldContact { part: part.tag.clone(), terminals: (a, b), make })
    }
}

fn channels(tag: &str, controller: &Controller) -> Vec<Channel> {
    let mut all = of_groups(tag, &controller.inputs, true);
    all.extend(of_groups(tag, &controller.outputs, false));
    all
}

fn of_groups<C>(tag: &str, groups: &[Group<C>], input: bool) -> Vec<Channel> {
    let all = groups
        .iter()
        .flat_map(|group| group.channels.iter().map(|name| (name.clone(), group.common.clone())));
    all.enumerate()
        .map(|(bit, (name, common))| Channel {
            terminal: Terminal::new(tag, &name),
            common: Terminal::new(tag, &common),
            bit,
            input,
        })
        .collect()
}

#[cfg(test)]
pub mod tests {
    use super::*;
    use crate::store::model::{Contactor, Insulation, Place, Strip};

    fn part(tag: &str, kind: Kind) -> Part {
        Part { tag: tag.into(), function: String::new(), place: Place::Panel, kind }
    }

    fn contactor(tag: &str) -> Part {
        part(tag, Kind::Contactor(Contactor { mirror: true, ..Contactor::default() }))
    }

    /// Two contactors, a controller with two inputs and two outputs, a strip with one bridge.
    pub fn parts() -> Vec<Part> {
        fn group<C: Default>(common: &str, channels: [&str; 2]) -> Group<C> {
            let channels = channels.map(String::from).to_vec();
            Group { common: common.into(), channels, circuit: C::default() }
        }
        let controller = Controller {
            inputs: vec![group("CI1", ["I0", "I1"])],
            outputs: vec![group("CQ1", ["Q0", "Q1"])],
            scan_ms: 5,
            filter_ms: 3,
            start_up_ms: 500,
            watchdog_ms: Controller::WATCHDOG_MS,
            contact_ns: Controller::CONTACT_NS,
        };
        let strip = Strip {
            terminals: ["1", "2"].map(String::from).to_vec(),
            bridges: vec![["1", "2"].map(String::from).to_vec()],
        };
        vec![
            contactor("QA1"),
            contactor("QA2"),
            part("KF1", Kind::Controller(controller)),
            part("XD1", Kind::Strip(strip)),
        ]
    }

    pub fn conductors(list: &[(&str, &str)]) -> Vec<Conductor> {
        list.iter()
            .enumerate()
            .map(|(n, (from, to))| Conductor {
                id: format!("W{n}"),
                from: Terminal::parse(from).unwrap(),
                to: Terminal::parse(to).unwrap(),
                section_mm2_x100: 75,
                colour: Insulation::DarkBlue,
                number: String::new(),
            })
            .collect()
    }

    #[test]
    fn a_contact_is_found_over_a_strip_and_its_input_again() {
        let (parts, wires) = (parts(), conductors(&[("QA1:14", "XD1:1"), ("XD1:2", "KF1:I1")]));
        let wiring = Wiring::new(&parts, &wires);
        let contact = wiring.contact_behind(&Terminal::new("KF1", "I1")).unwrap();
        assert_eq!((contact.signal().as_str(), contact.make), ("QA1.13-14", true));
        let input = wiring.input_of("QA1", ("13", "14")).unwrap();
        assert_eq!((input.signal().as_str(), input.address().as_str()), ("KF1.IX0.1", "%IX0.1"));
        assert_eq!(input.common, Terminal::new("KF1", "CI1"));
        assert_eq!(wiring.contact_behind(&Terminal::new("KF1", "I0")), None);
    }

    #[test]
    fn a_coil_is_followed_through_the_interlock_to_its_output() {
        let (parts, wires) = (parts(), conductors(&[("KF1:Q1", "QA2:21"), ("QA2:22", "QA1:A1")]));
        let wiring = Wiring::new(&parts, &wires);
        assert_eq!(wiring.output_of(&Terminal::new("QA1", "A1")).unwrap().image(), "QX0.1");
        assert_eq!(wiring.output_of(&Terminal::new("QA2", "A1")), None);
        assert!(!wiring.contact_of(&Terminal::new("QA2", "22")).unwrap().make);
        assert_eq!(wiring.contact_of(&Terminal::new("QA2", "1")), None, "a main pole");
    }
}
