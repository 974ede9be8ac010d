//! The outside circuit simulator, ngspice: netlists in, voltages out.

use sealin_core::complex::Complex;
use std::collections::HashMap;
use std::fmt::Write as _;
use std::path::Path;
use std::process::Command;

/// Volts by name of the node, of one solved netlist; of a sweep, those of its first point.
pub type Plot = HashMap<String, Complex>;

/// Solves all netlists in one process.
///
/// # Panics
/// If ngspice is not there, complains, or leaves a netlist unsolved.
pub fn solved(folder: &Path, netlists: &[String]) -> Vec<Plot> {
    let mut steps = String::from("set filetype=ascii\nset appendwrite\nset numdgt=15\n");
    clear(folder);
    for (number, text) in netlists.iter().enumerate() {
        std::fs::write(folder.join(format!("{number}.cir")), with_branch_currents(text)).unwrap();
        let _ = writeln!(steps, "source {number}.cir\nrun\nwrite all.raw\ndestroy all\nremcirc");
    }
    control(folder, &steps);
    let raw = std::fs::read_to_string(folder.join("all.raw")).expect("ngspice has written what it solved");
    let plots: Vec<Plot> = raw.split("Title: ").skip(1).map(plot).collect();
    assert_eq!(plots.len(), netlists.len(), "every netlist must have been solved");
    plots
}

/// Runs one netlist as it stands and writes nothing.
///
/// # Panics
/// If ngspice is not there or complains.
pub fn run(folder: &Path, netlist: &str) {
    clear(folder);
    std::fs::write(folder.join("0.cir"), netlist).unwrap();
    control(folder, "source 0.cir\nrun\n");
}

fn clear(folder: &Path) {
    let _ = std::fs::remove_dir_all(folder);
    std::fs::create_dir_all(folder).unwrap();
}

/// Runs steps of the simulator's own script language.
fn control(folder: &Path, steps: &str) {
    let script = format!("* steps\n.control\n{steps}quit\n.endc\n.end\n");
    std::fs::write(folder.join("steps.sp"), script).unwrap();
    let told = Command::new("ngspice").args(["-b", "steps.sp"]).current_dir(folder).output();
    let output = told.unwrap_or_else(|error| {
        panic!(
            "ngspice does not start ({error}); it is the outside circuit simulator: install the package `ngspice`"
        )
    });
    let text = String::from_utf8_lossy(&output.stderr);
    let complaint = text.lines().find(|l| l.to_lowercase().contains("error") || l.contains("singular"));
    assert!(output.status.success() && complaint.is_none(), "{}: {complaint:?}", output.status);
}

/// The same netlist with every resistor below 1 megohm as a voltage that its own current makes.
///
/// ngspice adds up all conductances at a node: beside 100 S a leak of 5 gigaohm keeps six digits of sixteen, and what
/// only leaks hold would differ in the sixth. A current that is an unknown of its own stands in no sum.
fn with_branch_currents(netlist: &str) -> String {
    let mut text = String::new();
    for line in netlist.lines() {
        let words: Vec<&str> = line.split(' ').collect();
        match words[..] {
            [id, a, b, ohms] if id.starts_with('R') && ohms.parse::<f64>().unwrap() < 1e6 => {
                let _ = writeln!(text, "V{id} {a} m{id} DC 0\nH{id} m{id} {b} V{id} {ohms}");
            }
            _ => {
                let _ = writeln!(text, "{line}");
            }
        }
    }
    text
}

/// Reads one plot of a raw file in letters: names under `Variables:`, then under `Values:` a real number or two parts
/// for each.
fn plot(text: &str) -> Plot {
    let (head, values) = text.split_once("Values:").expect("a plot has values");
    let (_, variables) = head.split_once("\nVariables:").expect("a plot has variables");
    let names =
        variables.lines().filter(|l| !l.trim().is_empty()).map(|l| l.split_whitespace().nth(1).unwrap());
    let numbers = values.split_whitespace().skip(1);
    let mut volts = Plot::new();
    for (name, number) in names.zip(numbers) {
        let mut parts = number.split(',').map(|part| part.parse::<f64>().unwrap());
        let value = Complex::new(parts.next().unwrap(), parts.next().unwrap_or(0.0));
        if let Some(node) = name.strip_prefix("v(").and_then(|n| n.strip_suffix(')')) {
            volts.insert(node.to_string(), value);
        }
    }
    volts
}
