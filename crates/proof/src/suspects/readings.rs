//! The readings that are worth thinking of on a panel: every terminal against what is earthed, and across everything that closes.

use sealin_core::instruments::Function;
use sealin_core::part::{Kind, Part};
use sealin_core::{Measurement, Plan, Terminal};

/// The readings of a panel: volts against earth, across contacts and coils, and along the lines of the power circuit on a live one; ohms
/// across contacts and coils on one that is off; currents.
pub fn readings(plan: &Plan, live: bool) -> Vec<Measurement> {
    let mut all = Vec::new();
    let between = |function: Function, from: &Terminal, to: &Terminal| Measurement::Between {
        function,
        from: from.clone(),
        to: to.clone(),
    };
    let functions: &[Function] =
        if live { &[Function::VoltsDc, Function::VoltsAc] } else { &[Function::Ohms] };
    let references = references(plan);
    for part in &plan.parts {
        let terminals = part.terminals().into_iter().map(|name| Terminal::new(&part.tag, &name));
        for terminal in terminals {
            for reference in references.iter().filter(|&reference| *reference != terminal) {
                all.extend(functions.iter().map(|&function| between(function, &terminal, reference)));
            }
        }
        for (a, b) in across(part) {
            let (a, b) = (Terminal::new(&part.tag, &a), Terminal::new(&part.tag, &b));
            all.extend(functions.iter().map(|&function| between(function, &a, &b)));
        }
    }
    for c in &plan.conductors {
        all.extend(functions.iter().map(|&function| between(function, &c.from, &c.to)));
        if live {
            all.push(Measurement::Clamp { conductor: c.id.clone() });
        }
    }
    if live {
        for [from, to] in down_the_lines(plan) {
            let what = between(Function::VoltsAc, &from, &to);
            if !all.contains(&what) {
                all.push(what);
            }
        }
    }
    all
}

/// From each pole of the three-phase supply to every terminal that its line leads to, through conductors, contacts and heaters: what is lost on
/// the way there, so that a contact that is worn or loose is found by halves.
fn down_the_lines(plan: &Plan) -> Vec<[Terminal; 2]> {
    let mut ways: Vec<[Terminal; 2]> =
        plan.conductors.iter().map(|c| [c.from.clone(), c.to.clone()]).collect();
    for part in &plan.parts {
        let mut pairs = part.contacts();
        if let Kind::Overload(o) = &part.kind {
            pairs.extend(o.heaters().map(|[a, b]| (a.to_string(), b.to_string())));
        }
        ways.extend(pairs.iter().map(|(a, b)| [a, b].map(|name| Terminal::new(&part.tag, name))));
    }
    let supplies = plan.parts.iter().filter(|part| matches!(part.kind, Kind::Supply(_)));
    let poles = supplies.flat_map(|part| ["L1", "L2", "L3"].map(|pole| Terminal::new(&part.tag, pole)));
    let mut all = Vec::new();
    for pole in poles {
        let mut reached = vec![pole];
        let mut next = 0;
        while next < reached.len() {
            for [a, b] in &ways {
                for (here, there) in [(a, b), (b, a)] {
                    if *here == reached[next] && !reached.contains(there) {
                        reached.push(there.clone());
                    }
                }
            }
            next += 1;
        }
        all.extend(reached[1..].iter().map(|there| [reached[0].clone(), there.clone()]));
    }
    all
}

/// What one probe stays on: an end of the protective conductor, and minus of the controls.
fn references(plan: &Plan) -> Vec<Terminal> {
    let of = |part: &Part| match part.kind {
        Kind::Supply(_) => Some(Terminal::new(&part.tag, "PE")),
        Kind::DcSupply(_) => Some(Terminal::new(&part.tag, "-")),
        _ => None,
    };
    plan.parts.iter().filter_map(of).collect()
}

/// Pairs of terminals of a part between which something closes, or lies a coil or winding.
fn across(part: &Part) -> Vec<(String, String)> {
    let mut all = part.contacts();
    let pair = |a: &str, b: &str| (a.to_string(), b.to_string());
    match &part.kind {
        Kind::Contactor(_) | Kind::Relay(_) => all.push(pair("A1", "A2")),
        Kind::Lamp(_) => all.push(pair("X1", "X2")),
        Kind::Motor(_) => all.extend([pair("U1", "V1"), pair("V1", "W1"), pair("U1", "W1")]),
        Kind::Overload(o) => all.extend(o.heaters().map(|[a, b]| pair(a, b))),
        Kind::Transformer(t) => all.extend([t.primary(), t.secondary()].map(|[a, b]| pair(a, b))),
        Kind::DcSupply(_) => all.extend([pair("L1", "L2"), pair("+", "-")]),
        Kind::Controller(c) => {
            all.push(pair("L+", "L-"));
            for group in &c.inputs {
                all.extend(group.channels.iter().map(|name| pair(name, &group.common)));
            }
            for group in &c.outputs {
                all.extend(group.channels.iter().map(|name| pair(name, &group.common)));
            }
        }
        _ => {}
    }
    all
}
