//! Two programs as one, with a bit that tells whether their outputs differ.

use sealin_ladder::{Address, Area, Contact, Network, Operand, Output, Program, Rung, Var, VarKind};
use std::collections::BTreeMap;

/// Name of the bit that is 1 after a scan in which some output of the one program was unlike that of the other.
pub const DIFFERS: &str = "differs";

/// What stands before the names of the second program's variables.
const SECOND: &str = "second_";

/// Name of the bit by which both know the first scan after a restart.
const FIRST_SCAN: &str = "first_scan";

/// Both programs, one after the other in each scan, on the same inputs. The outputs are those of the first; what the second has put
/// out goes into memory, and into the comparison.
pub fn merged(one: &Program, two: &Program) -> Program {
    let mut both = one.clone();
    let inputs: BTreeMap<Address, &str> =
        one.vars.iter().filter_map(|var| Some((var.address?, var.name.as_str()))).collect();
    let shared = |var: &Var| {
        let address = var.address.filter(|address| address.area == Area::Input)?;
        inputs.get(&address).map(|name| name.to_string())
    };
    let first_scan = |name: &str| name.eq_ignore_ascii_case(FIRST_SCAN);
    // By name in capitals, as names differ by more than that.
    let mut names: BTreeMap<String, String> = BTreeMap::new();
    for var in &two.vars {
        let known = first_scan(&var.name) && one.vars.iter().any(|var| first_scan(&var.name));
        let name = match shared(var) {
            Some(name) => name,
            None if first_scan(&var.name) => var.name.clone(),
            None => format!("{SECOND}{}", var.name),
        };
        if shared(var).is_none() && !known {
            let address = var.address.filter(|address| address.area == Area::Input);
            both.vars.push(Var { name: name.clone(), address, ..var.clone() });
        }
        names.insert(var.name.to_ascii_uppercase(), name);
    }
    let renamed = |name: &str| {
        let (var, pin) = name.split_once('.').map_or((name, ""), |(var, _)| (var, &name[var.len()..]));
        format!("{}{pin}", names.get(&var.to_ascii_uppercase()).map_or(var, String::as_str))
    };
    both.rungs.extend(two.rungs.iter().map(|rung| renamed_rung(rung, &renamed)));
    both.vars.push(bit(DIFFERS));
    let unlike = unlike(one, two, &renamed);
    both.rungs.push(Rung {
        comment: String::new(),
        logic: Network::Parallel(unlike).normal(),
        output: Output::Coil { var: DIFFERS.to_string() },
    });
    both
}

fn bit(name: &str) -> Var {
    Var {
        name: name.to_string(),
        address: None,
        kind: VarKind::Bool,
        initial: false,
        retain: false,
        comment: String::new(),
    }
}

/// For each output address the ways in which its two bits are unlike; one without a variable is 0.
fn unlike(one: &Program, two: &Program, renamed: &dyn Fn(&str) -> String) -> Vec<Network> {
    let outputs = |program: &Program| -> BTreeMap<Address, String> {
        let placed = program.vars.iter().filter_map(|var| Some((var.address?, var.name.clone())));
        placed.filter(|(address, _)| address.area == Area::Output).collect()
    };
    let (first, second) = (outputs(one), outputs(two));
    let mut all = Vec::new();
    for address in first.keys().chain(second.keys().filter(|address| !first.contains_key(address))) {
        match (first.get(address), second.get(address).map(|name| renamed(name))) {
            (Some(a), Some(b)) => {
                for (one, other) in [(a, &b), (&b, a)] {
                    all.push(Network::Series(vec![
                        Network::open(one.clone()),
                        Network::closed(other.clone()),
                    ]));
                }
            }
            (Some(a), None) => all.push(Network::open(a.clone())),
            (None, Some(b)) => all.push(Network::open(b)),
            (None, None) => unreachable!("an address of one of them"),
        }
    }
    all
}

fn renamed_rung(rung: &Rung, renamed: &dyn Fn(&str) -> String) -> Rung {
    let mut rung = rung.clone();
    rename_network(&mut rung.logic, renamed);
    match &mut rung.output {
        Output::Coil { var }
        | Output::Negated { var }
        | Output::Set { var }
        | Output::Reset { var }
        | Output::Rising { var }
        | Output::Falling { var } => *var = renamed(var),
        Output::Block(call) => {
            call.instance = renamed(&call.instance);
            call.further.iter_mut().flatten().for_each(|network| rename_network(network, renamed));
        }
    }
    rung
}

fn rename_network(network: &mut Network, renamed: &dyn Fn(&str) -> String) {
    match network {
        Network::Contact(Contact::Bit { var, .. }) => *var = renamed(var),
        Network::Contact(Contact::Compare(comparison)) => {
            comparison.value = renamed(&comparison.value);
            if let Operand::Value(value) = &mut comparison.with {
                *value = renamed(value);
            }
        }
        Network::Series(parts) | Network::Parallel(parts) => {
            parts.iter_mut().for_each(|part| rename_network(part, renamed));
        }
        Network::True | Network::False => {}
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use sealin_ladder::{compile, parse};

    /// `a` holds in both; the second has a coil of the other kind at %QX0.1, and none at %QX0.2.
    #[test]
    fn outputs_are_compared_by_address() {
        let text = |rungs: &str, vars: &str| {
            format!("PROGRAM p\nVAR\na AT %IX0.0 : BOOL;\n{vars}END_VAR\n{rungs}END_PROGRAM\n")
        };
        let one = parse(&text("x := a;\ny := a;\n", "x AT %QX0.0 : BOOL;\ny AT %QX0.1 : BOOL;\n")).unwrap();
        let same = parse(&text("y := a;\nz := a;\n", "z AT %QX0.0 : BOOL;\ny AT %QX0.1 : BOOL;\n")).unwrap();
        let negated =
            parse(&text("x := a;\ny := NOT (a);\n", "x AT %QX0.0 : BOOL;\ny AT %QX0.1 : BOOL;\n")).unwrap();
        let elsewhere =
            parse(&text("x := a;\ny := a;\n", "x AT %QX0.0 : BOOL;\ny AT %QX0.2 : BOOL;\n")).unwrap();
        for (two, off, on) in [(&same, false, false), (&negated, true, true), (&elsewhere, false, true)] {
            let both = compile(&merged(&one, two), 10);
            let mut memory = both.cold_start();
            assert_eq!(both.scan(&mut memory, 0), 0);
            assert_eq!(both.value(&memory, DIFFERS), Some(off));
            assert_eq!(both.scan(&mut memory, 1), 0b11);
            assert_eq!(both.value(&memory, DIFFERS), Some(on));
        }
    }
}
