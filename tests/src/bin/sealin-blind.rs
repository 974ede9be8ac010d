//! Blinded searches, run as a release: faults drawn by seed are hidden in the main job, and a fitter who sees only what the page shows
//! does what the coach says. `sealin-blind [N]`: N that show at the machine, 200 without it. Tells each on the error output, and on the
//! standard output the misses and how many were found. Ends with 0 if at least 95 of 100 were, 1 if not, 2 where nothing was run.

use sealin_tests::blind::{Blind, Search, drawn};
use std::process::ExitCode;

/// Of a hundred that show so many have to be found.
const LEAST_PER_CENT: usize = 95;

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let wanted = match arguments.as_slice() {
        [] => 200,
        [n] if n.parse::<usize>().is_ok_and(|n| n > 0) => n.parse().unwrap_or(1),
        other => {
            eprintln!("`{}`: how many are searched for is expected, from 1 on", other.join(" "));
            return ExitCode::from(2);
        }
    };
    let blind = Blind::of(1);
    let mut searched: Vec<Search> = Vec::new();
    let mut silent = 0;
    for seed in 0.. {
        if searched.len() == wanted {
            break;
        }
        let hidden = drawn(blind.all(), seed);
        let search = blind.search(&hidden).unwrap_or_else(|why| panic!("seed {seed}, {hidden}: {why}"));
        if search.shows {
            eprintln!("seed {seed}: {}", told(&search));
            searched.push(search);
        } else {
            silent += 1;
        }
    }
    let count = |of: &dyn Fn(&Search) -> bool| searched.iter().filter(|search| of(search)).count();
    let found = count(&Search::is_found);
    for missed in searched.iter().filter(|search| !search.is_found()) {
        println!("missed: {}", told(missed));
    }
    println!(
        "{found} of {wanted} found ({silent} more drawn that do not show): written down: the part {}, part, place and kind {}; gone {}; shown {}",
        count(&Search::names_part),
        count(&Search::names_fault),
        count(&|search| search.gone),
        count(&|search| search.shown),
    );
    ExitCode::from(u8::from(found * 100 < wanted * LEAST_PER_CENT))
}

/// One search in a line.
fn told(search: &Search) -> String {
    let repairs: Vec<String> = search.repairs.iter().map(ToString::to_string).collect();
    let named: Vec<String> = search.named.iter().map(ToString::to_string).collect();
    let gone = if search.gone { "gone" } else { "still there" };
    let shown = if search.shown { "shown" } else { "not shown" };
    let Search { hidden, readings, .. } = search;
    format!(
        "{hidden}: {readings} readings, {}; named [{}], {gone}, {shown}",
        repairs.join(", "),
        named.join(" | ")
    )
}
