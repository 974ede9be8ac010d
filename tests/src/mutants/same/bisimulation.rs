//! Two benches beside one program, quantum by quantum: whether whatever the one can show the other can, for as long as one looks.

use sealin_core::part::Kind;
use sealin_core::{Design, Plan};
use sealin_exercise::wiring::circuit::{Circuit, Class};
use sealin_proof::explore::{Answer, Next, Question, Relation, Way, default_free};
use sealin_proof::expr::{Verdict, parse_requirement};
use std::collections::{BTreeMap, HashMap};

use super::Same;

/// Compares the benches of two wirings. Contactors, relays, lamps and brakes are looked at in every tick, the input image in every scan;
/// what the job's controls, supplies and overloads can do both are given. Motors and heat are free in a proof, so that a wiring which
/// differs in what only these show is not known to be the same.
pub fn same(one: &Plan, other: &Plan, most_states: u64) -> Same {
    if one.parts != other.parts {
        return Same::Unknown("what a dial is set to shows by heat, which is free in a proof".to_string());
    }
    if differs_in_power(one, other) {
        return Same::Unknown("a motor's circuit differs, and motors are free in a proof".to_string());
    }
    let relations = relation(one, most_states).and_then(|a| Ok([a, relation(other, most_states)?]));
    match relations {
        Ok([a, b]) => compare(&a, &b),
        Err(why) => Same::Unknown(why),
    }
}

fn differs_in_power(one: &Plan, other: &Plan) -> bool {
    let power = |plan: &Plan, beside: &Plan| {
        let circuit = Circuit::new(&plan.parts, &plan.conductors);
        let own = plan.conductors.iter().filter(|c| !beside.conductors.contains(c));
        own.flat_map(|c| [&c.from, &c.to]).any(|end| circuit.class(end).is_none_or(|of| of == Class::Power))
    };
    power(one, other) || power(other, one)
}

fn relation(plan: &Plan, most_states: u64) -> Result<Relation, String> {
    let design = Design::build(plan).map_err(|why| why.to_string())?;
    let free = default_free(&design);
    let required = looked_at(plan);
    let question = Question { max_states: most_states, ..Question::new(plan, &required, &free) };
    let relation = Relation::explored(&question, &mut |_| true)?;
    match &relation.report.answer {
        Answer::Proven | Answer::NeverExercised => Ok(relation),
        Answer::Undecided => Err(format!("more than {most_states} states")),
        Answer::NotProvable(why) => Err(why.clone()),
        other => Err(format!("{other:?}")),
    }
}

/// Formulas that cannot be broken, for the signals that they name.
fn looked_at(plan: &Plan) -> Vec<Verdict> {
    let shows = plan.parts.iter().filter_map(|part| match &part.kind {
        Kind::Contactor(_) | Kind::Relay(_) => Some(format!("{}.closed", part.tag)),
        Kind::Lamp(_) => Some(format!("{}.lit", part.tag)),
        Kind::Brake(_) => Some(format!("{}.released", part.tag)),
        _ => None,
    });
    let formula = |name: String| parse_requirement(&format!("never ({name} and not {name})"));
    shows.map(|name| formula(name).expect("a formula of one name reads")).collect()
}

/// What a way shows by itself, and where it goes on.
type Shown = (u64, Option<u64>, bool, Vec<u64>, Option<String>);

/// States that no way tells apart are parted no more: those of both together, from one class on, until none is parted any more.
fn compare(a: &Relation, b: &Relation) -> Same {
    let mut numbers: HashMap<(bool, u32), usize> = HashMap::new();
    let mut labels: HashMap<Shown, u32> = HashMap::new();
    let mut steps: Vec<Vec<(u32, Option<usize>)>> = Vec::new();
    let mut start = Vec::new();
    for (second, relation) in [(false, a), (true, b)] {
        let mut number = |state: u32| {
            let next = numbers.len();
            *numbers.entry((second, state)).or_insert(next)
        };
        for (n, (state, image)) in relation.met().enumerate() {
            let from = number(state);
            if n == 0 {
                start.push(from);
            }
            for way in relation.ways(state, image).unwrap_or_default() {
                let (shown, next) = shown(way, image);
                let count = labels.len() as u32;
                let step = (*labels.entry(shown).or_insert(count), next.map(&mut number));
                steps.resize_with(steps.len().max(from + 1), Vec::new);
                steps[from].push(step);
            }
        }
    }
    steps.resize_with(numbers.len(), Vec::new);
    part(&steps, start[0], start[1])
}

fn shown(way: Way, image: u64) -> (Shown, Option<u32>) {
    let (end, next) = match way.next {
        Next::State(next) => (None, Some(next)),
        Next::Harm(harm, tick) => (Some(format!("{harm} at {tick}")), None),
        Next::Outside(why) => (Some(why), None),
    };
    ((image, way.scanned, way.restarted, way.ticks, end), next)
}

fn part(steps: &[Vec<(u32, Option<usize>)>], one: usize, other: usize) -> Same {
    let mut class = vec![0u32; steps.len()];
    let mut classes = 1;
    for quanta in 1.. {
        let mut of: BTreeMap<(u32, Vec<(u32, Option<u32>)>), u32> = BTreeMap::new();
        let mut next = Vec::with_capacity(steps.len());
        for (state, steps) in steps.iter().enumerate() {
            let mut seen: Vec<(u32, Option<u32>)> =
                steps.iter().map(|&(label, to)| (label, to.map(|to| class[to]))).collect();
            seen.sort_unstable();
            seen.dedup();
            let count = of.len() as u32;
            next.push(*of.entry((class[state], seen)).or_insert(count));
        }
        class = next;
        if class[one] != class[other] {
            return Same::No(format!("told apart within {quanta} scans"));
        }
        if of.len() == classes {
            return Same::Yes;
        }
        classes = of.len();
    }
    unreachable!("there are no more classes than states")
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 0 → 1 → 0 by turns, 2 ⟲: the same while both ways show the same; not when the second step shows something else.
    #[test]
    fn states_are_parted_by_what_they_show() {
        let steps = |second| vec![vec![(0, Some(1))], vec![(second, Some(0))], vec![(0, Some(2))]];
        assert_eq!(part(&steps(0), 0, 2), Same::Yes);
        assert_eq!(part(&steps(1), 0, 2), Same::No("told apart within 2 scans".to_string()));
    }
}
