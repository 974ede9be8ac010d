//! The coach tried on every kind of fault of the main job, run as a release by `cargo xtask coach-table`: a table on the standard output,
//! progress on the other. Ends with 0 if it finds enough of them in few enough readings and loses none, 1 if not, 2 where nothing was run.
//!
//! `sealin-coach [--of N]`: every so manieth place; without it, all. `sealin-coach --shown`: all that show at the machine, as the search for
//! what does not is long. `sealin-coach --fault LINE…`: the way to each of these instead, step by
//! step, with what is left.

use sealin_core::{Fault, Plan};
use sealin_proof::suspects::{Finding, Rehearsal, Suspect};
use sealin_tests::coach::{Table, Tried, Ways, at_fault, by_suspect, main_job, off_list, rehearsed, tried};
use std::collections::BTreeMap;
use std::process::ExitCode;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::thread;

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let arguments: Vec<&str> = arguments.iter().map(String::as_str).collect();
    let only_shown = arguments == ["--shown"];
    let (of, asked) = match arguments.as_slice() {
        [] | ["--shown"] => (1, Vec::new()),
        ["--of", n] if n.parse::<usize>().is_ok_and(|n| n > 0) => (n.parse().unwrap_or(1), Vec::new()),
        ["--fault", lines @ ..] if lines.iter().all(|line| Fault::parse(line).is_ok()) => {
            (1, lines.iter().filter_map(|line| Fault::parse(line).ok()).collect())
        }
        other => {
            eprintln!(
                "`{}`: --of N is expected, N from 1 on, --shown, or --fault with lines of faults",
                other.join(" ")
            );
            return ExitCode::from(2);
        }
    };
    eprintln!("{} faults are rehearsed", by_suspect(&main_job()).values().flatten().count());
    let (plan, all, rehearsal) = rehearsed_job();
    if !asked.is_empty() {
        asked.iter().for_each(|fault| tell(&rehearsal, &plan, fault));
        return ExitCode::SUCCESS;
    }
    let mut table = Table::new(&plan, all.len(), &rehearsal);
    drop(rehearsal);
    for found in by_crew(of, only_shown).into_values() {
        match found {
            Some(found) => table.add(found),
            None => table.leave_out(),
        }
    }
    print!("{table}");
    ExitCode::from(u8::from(!table.is_good()))
}

/// The main job, its suspects and their rehearsal.
fn rehearsed_job() -> (Plan, BTreeMap<Suspect, Vec<Fault>>, Rehearsal) {
    let plan = main_job();
    let all = by_suspect(&plan);
    let faults: Vec<Fault> = all.values().flatten().cloned().collect();
    let rehearsal = rehearsed(&plan, &faults);
    (plan, all, rehearsal)
}

/// Every so manieth place, by number, worked on by as many as the machine has cores, each with a rehearsal of its own; nothing for one that is
/// left out.
fn by_crew(of: usize, only_shown: bool) -> BTreeMap<usize, Option<Tried>> {
    let (next, ways) = (AtomicUsize::new(0), Ways::default());
    let work = || {
        let (plan, all, rehearsal) = rehearsed_job();
        let mut done = Vec::new();
        loop {
            let number = next.fetch_add(of, Ordering::Relaxed);
            let Some(listed) = all.values().nth(number) else { break done };
            let hidden = off_list(listed);
            if only_shown && !rehearsal.shows(&mut at_fault(&plan, &hidden)).expect("the way fits its job") {
                done.push((number, None));
                continue;
            }
            let found = tried(&rehearsal, &plan, &hidden, &ways);
            let shows = if found.shows { ", shows" } else { "" };
            let (of_all, Tried { fault, readings, left, .. }) = (all.len(), &found);
            eprintln!("{} of {of_all}: {fault}{shows}, {readings} readings, {left} left", number + 1);
            done.push((number, Some(found)));
        }
    };
    thread::scope(|scope| {
        let cores = thread::available_parallelism().map_or(1, usize::from);
        let crew: Vec<_> = (0..cores).map(|_| scope.spawn(work)).collect();
        crew.into_iter().flat_map(|one| one.join().expect("the way fits its job")).collect()
    })
}

/// The way of the coach to a fault.
fn tell(rehearsal: &Rehearsal, plan: &Plan, fault: &Fault) {
    let path = rehearsal.path(&mut at_fault(plan, fault)).expect("the way fits its job");
    println!("{fault}");
    for step in &path.steps {
        let what = match &step.finding {
            Finding::Reading(what, shown) => format!("{what}: {shown:?}"),
            Finding::Seen(signal, on) => format!("{signal} is {}", u8::from(*on)),
        };
        println!("  {}: {what}; {:.2} bits, {} out, {} left", step.situation, step.bits, step.out, step.left);
    }
    let left: Vec<String> =
        path.left.iter().map(|(one, _)| format!("{} {} {:?}", one.subject, one.at, one.mode)).collect();
    println!("  left: {}", left.join(", "));
}
