//! The readings that are worth thinking of on a panel: every terminal against what is earthed, and across everything that closes.

use sealin_core::instruments::Function;
use sealin_core::part::{Kind, Part};
use sealin_core::{Measurement, Plan, Terminal};

/// The readings of a panel: volts against earth and across contacts and coils on a live one; ohms across these on one that is off;
/// currents of the power circuit.
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
        Kind::Overload(_) => all.extend([pair("1", "2"), pair("3", "4"), pair("5", "6")]),
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
