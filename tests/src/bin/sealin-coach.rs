//! The coach tried on every kind of fault of the main job, run as a release by `cargo xtask coach-table`: a table on the standard output,
//! progress on the other. Ends with 0 if it finds enough of them in few enough readings and loses none, 1 if not, 2 where nothing was run.
//!
//! `sealin-coach [--of N]`: every so manieth place; without it, all.

use sealin_core::Fault;
use sealin_tests::coach::{Table, by_suspect, main_job, off_list, rehearsed, tried};
use std::process::ExitCode;

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let of = match arguments.iter().map(String::as_str).collect::<Vec<_>>().as_slice() {
        [] => 1,
        ["--of", n] if n.parse::<usize>().is_ok_and(|n| n > 0) => n.parse().unwrap_or(1),
        other => {
            eprintln!("`{}`: --of N is expected, N from 1 on", other.join(" "));
            return ExitCode::from(2);
        }
    };
    let plan = main_job();
    let all = by_suspect(&plan);
    let faults: Vec<Fault> = all.values().flatten().cloned().collect();
    eprintln!("{} faults are rehearsed", faults.len());
    let rehearsal = rehearsed(&plan, &faults);
    let mut table = Table::new(&plan, all.len(), rehearsal.classes());
    for (number, listed) in all.values().enumerate().step_by(of) {
        let found = tried(&rehearsal, &plan, &off_list(listed));
        eprintln!(
            "{} of {}: {}, {} readings, {} left",
            number + 1,
            all.len(),
            found.fault,
            found.readings,
            found.left
        );
        table.add(found);
    }
    print!("{table}");
    ExitCode::from(u8::from(!table.is_good()))
}
