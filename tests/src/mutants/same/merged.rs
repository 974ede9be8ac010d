//! Two programs as one, with a bit that tells whether their outputs differ.

use sealin_ladder::{Address, Area, Contact, Network, Operand, Output, Program, Rung, Var, VarKind};
use std::collections::BTreeMap;

/// Name of the bit that is 1 after a scan in which some output of the one program was unlike that of the other.
pub const DIFFERS: &str = "differs";

/// What stands before the names of the second program's variables.
const SECOND: &str = "second_";

/// Name of the bit by which both know the first scan after a restart.
const FIRST_SCAN: &str = "first_scan";

/// Both programs, one after the other in each scan, on the same inputs. The outputs are those of the first; what the second puts out
/// goes into memory. Where they are unlike at an address of `compared`, the output `told` is 1, which neither may have.
pub fn merged(one: &Program, two: &Program, compared: &[Address], told: Address) -> Program {
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
    both.vars.push(Var { address: Some(told), ..bit(DIFFERS) });
    let unlike = unlike(one, two, compared, &renamed);
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

/// For each of the addresses the ways in which its two bits are unlike; one without a variable is 0.
fn unlike(
    one: &Program,
    two: &Program,
    compared: &[Address],
    renamed: &dyn Fn(&str) -> String,
) -> Vec<Network> {
    let at = |program: &Program, address: &Address| {
        program.vars.iter().find(|var| var.address.as_ref() == Some(address)).map(|var| var.name.clone())
    };
    let mut all = Vec::new();
    for address in compared {
        match (at(one, address), at(two, address).map(|name| renamed(&name))) {
            (Some(a), Some(b)) => {
                all.push(Network::Series(vec![Network::open(a.clone()), Network::closed(b.clone())]));
                all.push(Network::Series(vec![Network::closed(a), Network::open(b)]));
            }
            (Some(only), None) | (None, Some(only)) => all.push(Network::open(only)),
            (None, None) => {}
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

    /// An input goes to %QX0.0 and %QX0.1. In the second program by other names; at %QX0.1 the other way round; at %QX0.2 in place
    /// of %QX0.1, which is compared, or not.
    #[test]
    fn outputs_are_compared_by_address() {
        let program = |rungs: &str, vars: &str| {
            let vars = format!("a AT %IX0.0 : BOOL;\n{vars}");
            parse(&format!("PROGRAM p\nVAR\n{vars}END_VAR\n{rungs}END_PROGRAM\n")).unwrap()
        };
        let vars = "x AT %QX0.0 : BOOL;\ny AT %QX0.1 : BOOL;\n";
        let one = program("x := a;\ny := a;\n", vars);
        let same = program("y := a;\nx := a;\n", "x AT %QX0.1 : BOOL;\ny AT %QX0.0 : BOOL;\n");
        let negated = program("x := a;\ny := NOT (a);\n", vars);
        let elsewhere = program("x := a;\ny := a;\n", "x AT %QX0.0 : BOOL;\ny AT %QX0.2 : BOOL;\n");
        let output = |bit| Address { area: Area::Output, byte: 0, bit };
        for (two, last, off, on) in
            [(&same, 1, 0, 0), (&negated, 1, 1, 1), (&elsewhere, 1, 0, 1), (&elsewhere, 0, 0, 0)]
        {
            let compared: Vec<Address> = (0..=last).map(output).collect();
            let both = compile(&merged(&one, two, &compared, output(7)), 10);
            let mut memory = both.cold_start();
            assert_eq!(both.scan(&mut memory, 0), off << 7);
            assert_eq!(both.value(&memory, DIFFERS), Some(off == 1));
            assert_eq!(both.scan(&mut memory, 1), 0b11 | on << 7);
        }
    }
}
