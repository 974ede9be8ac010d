//! Colour, cross-section and number of a conductor that a person is making, by the circuit it joins.

use super::circuit::{Circuit, Class, Practice};
use sealin_core::plan::{Conductor, Insulation, Terminal};
use std::collections::{BTreeMap, BTreeSet};

/// What a new conductor is made of.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Proposal {
    /// Insulation colour.
    pub colour: Insulation,
    /// Cross-section, hundredths of mm².
    pub section_mm2_x100: u32,
    /// Wire number; PE on a protective conductor.
    pub number: String,
}

/// What the job sheet says about conductors that are to be made.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Job {
    /// Terminals of the I/O list in its order: signals are numbered in that order.
    pub io_list: Vec<Terminal>,
    /// Terminals at which a conductor is to begin, with its number.
    pub numbers: Vec<(Terminal, String)>,
    /// Whose colours are used.
    pub practice: Practice,
    /// Colour and section of the reel that is at hand.
    pub reel: Option<(Insulation, u32)>,
}

/// What a fitter would take for a conductor from `from` to `to`.
pub fn propose(
    circuit: &Circuit,
    conductors: &[Conductor],
    job: &Job,
    from: &Terminal,
    to: &Terminal,
) -> Proposal {
    let class = circuit.class(from).or_else(|| circuit.class(to));
    // Earthing of a circuit is wired and numbered as that circuit.
    let class = match (circuit.class(from), circuit.class(to)) {
        (Some(Class::Earth), Some(other)) => Some(other),
        _ => class,
    };
    let grounded = circuit.is_grounded(from) || circuit.is_grounded(to);
    let colour = class.unwrap_or(Class::DcControl).colour(job.practice, grounded);
    let reel = job.reel.filter(|(reel, _)| *reel == colour).map(|(_, section)| section);
    Proposal {
        colour,
        section_mm2_x100: reel.unwrap_or_else(|| section(circuit, conductors, class, [from, to])),
        number: if class == Some(Class::Earth) {
            "PE".into()
        } else {
            number(circuit, conductors, class, job, from, to)
        },
    }
}

/// The section already used in the potential, else the one most used in such circuits.
fn section(circuit: &Circuit, conductors: &[Conductor], class: Option<Class>, ends: [&Terminal; 2]) -> u32 {
    let most_used = |of: &dyn Fn(&Conductor) -> bool| {
        let mut uses: BTreeMap<u32, usize> = BTreeMap::new();
        for c in conductors.iter().filter(|c| of(c)) {
            *uses.entry(c.section_mm2_x100).or_default() += 1;
        }
        // On a tie the larger section, which is on the safe side.
        uses.into_iter().max_by_key(|&(section, uses)| (uses, section)).map(|(section, _)| section)
    };
    let here = |c: &Conductor| ends.iter().any(|end| circuit.same(end, &c.from));
    let alike = |c: &Conductor| class.is_some() && circuit.class(&c.from) == class;
    // IEC 60204-1 table 5: 0.75 mm² is enough for control wiring with flexible conductors inside the enclosure.
    most_used(&here).or_else(|| most_used(&alike)).unwrap_or(75)
}

fn number(
    circuit: &Circuit,
    conductors: &[Conductor],
    class: Option<Class>,
    job: &Job,
    from: &Terminal,
    to: &Terminal,
) -> String {
    for end in [from, to] {
        if let Some(number) = circuit.numbers(end).next() {
            return number.to_string();
        }
    }
    let ends = |t: &Terminal| circuit.same(t, from) || circuit.same(t, to);
    if let Some((_, number)) = job.numbers.iter().find(|(t, number)| !number.is_empty() && ends(t)) {
        return number.clone();
    }
    let io_list = &job.io_list;
    let used: BTreeSet<&str> = conductors.iter().map(|c| c.number.as_str()).collect();
    let free = |n: u32| !used.contains(n.to_string().as_str());
    let listed = io_list.iter().position(ends);
    if let Some(rank) = listed
        && let Some(first) = io_list.iter().enumerate().find_map(|(r, t)| {
            let known = circuit.numbers(t).next()?.parse::<u32>().ok()?;
            (alike(&io_list[rank], t)).then_some(known.saturating_sub(r as u32))
        })
    {
        let fitting = first.saturating_add(rank as u32);
        return (fitting..fitting + 1000).find(|&n| free(n)).unwrap_or(fitting).to_string();
    }
    // The next number after the highest of the circuit, leaving the highest of all (the common return) aside.
    let mut in_circuit: Vec<u32> = conductors
        .iter()
        .filter(|c| class.is_none_or(|class| circuit.class(&c.from) == Some(class)))
        .filter_map(|c| c.number.parse().ok())
        .collect();
    in_circuit.sort_unstable();
    in_circuit.dedup();
    let _return = in_circuit.pop();
    let start = in_circuit.last().map_or(1, |n| n.saturating_add(1));
    (start..start.saturating_add(1000)).find(|&n| free(n)).unwrap_or(start).to_string()
}

/// Two channels of one area: their names begin with the same letter.
fn alike(a: &Terminal, b: &Terminal) -> bool {
    a.part == b.part && a.name.chars().next() == b.name.chars().next()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheets::wiring::fixture::{job, learners, paddle, t};

    /// Makes the learner's conductors in this order and compares each with paddle-panel.md section 5.
    fn make(order: &[usize]) {
        let (parts, mut all) = paddle();
        let wanted = learners();
        for &n in order {
            let wanted = &wanted[n];
            let circuit = Circuit::new(&parts, &all);
            let made = propose(&circuit, &all, &job(), &wanted.from, &wanted.to);
            assert_eq!(
                (made.colour, made.section_mm2_x100, made.number.as_str()),
                (wanted.colour, wanted.section_mm2_x100, wanted.number.as_str()),
                "{} {} > {}",
                wanted.id,
                wanted.from,
                wanted.to
            );
            all.push(wanted.clone());
        }
    }

    #[test]
    fn the_learners_conductors_come_out_as_listed() {
        make(&[0, 1, 2, 3, 4, 5, 6, 7, 8]);
    }

    #[test]
    fn signals_first_and_backwards_gives_the_same_numbers() {
        make(&[8, 7, 6, 5, 4, 3, 0, 1, 2]);
    }

    #[test]
    fn the_reel_at_hand_gives_the_section_where_its_colour_fits() {
        let (parts, all) = paddle();
        let circuit = Circuit::new(&parts, &all);
        let job = Job { reel: Some((Insulation::DarkBlue, 50)), ..job() };
        let of = |a: &str, b: &str| propose(&circuit, &all, &job, &t(a), &t(b)).section_mm2_x100;
        assert_eq!(of("QA1:14", "KF1:I4"), 50);
        assert_eq!(of("KF1:Q2", "XD3:1"), 100, "red is not on the reel");
    }

    #[test]
    fn the_job_sheet_fixes_a_number() {
        let (parts, all) = paddle();
        let circuit = Circuit::new(&parts, &all);
        let numbers = vec![(t("QA2:14"), "214".into()), (t("XD5:6"), "299".into())];
        let job = Job { numbers, ..job() };
        let of = |a: &str, b: &str| propose(&circuit, &all, &job, &t(a), &t(b)).number;
        assert_eq!(of("KF1:I7", "QA2:14"), "214", "though I7 is not on the list");
        assert_eq!(of("QA1:14", "KF1:I4"), "213", "by its place on the I/O list");
    }

    /// NFPA 79 clause 13.2.4: the grounded conductors of AC and DC control are white, and white with a blue stripe.
    #[test]
    fn grounded_conductors_are_white_by_north_american_practice() {
        let (parts, all) = paddle();
        let circuit = Circuit::new(&parts, &all);
        let job = Job { practice: Practice::NorthAmerican, ..job() };
        let of = |a: &str, b: &str| propose(&circuit, &all, &job, &t(a), &t(b)).colour;
        assert_eq!(of("XD5:6", "KF1:CI2"), Insulation::WhiteBlue, "0 V is joined to XE1 by D15");
        assert_eq!(of("XD3:3", "QA1:A2"), Insulation::White, "199 is joined to XE1 by C13");
        assert_eq!(of("QA1:14", "KF1:I4"), Insulation::DarkBlue);
        assert_eq!(of("KF1:Q2", "XD3:1"), Insulation::Red);
        assert_eq!(of("XE1:2", "XD2:PE"), Insulation::GreenYellow);
    }

    #[test]
    fn control_and_earth_take_their_colours() {
        let (parts, all) = paddle();
        let circuit = Circuit::new(&parts, &all);
        let of = |a: &str, b: &str| propose(&circuit, &all, &job(), &t(a), &t(b));
        assert_eq!(of("KF1:Q2", "XD3:1").colour, Insulation::Red);
        assert_eq!(of("KF1:Q2", "XD3:1").number, "101");
        assert_eq!(of("KF1:Q2", "QA1:13").number, "122", "next after 121, the return 199 aside");
        let earth = of("XE1:2", "XD2:PE");
        assert_eq!((earth.colour, earth.number.as_str()), (Insulation::GreenYellow, "PE"));
        assert_eq!(of("XE1:9", "XD3:4").number, "199");
    }
}
