//! The outside model checker, Spin: a model in, a verdict and a count of states out.

use sealin_judge::{CASE_VARIABLE, Export};
use std::fs::File;
use std::io::{BufWriter, Write as _};
use std::path::{Path, PathBuf};
use std::process::Command;

/// Name of the tables beside a model.
pub const TABLES: &str = "tables.h";

/// What the checker is compiled with: the search of all states, stored whole, by depth.
const FLAGS: [&str; 5] = ["-DSAFETY", "-DSFH", "-DNOBOUNDCHECK", "-DNOREDUCE", "-DNOCOMP"];

/// Most steps of a path, the choices within them included; more where these do not do, which takes some gigabytes.
const DEPTHS: [&str; 2] = ["-m4000000", "-m60000000"];

/// What the checker says of a case.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Judgement {
    /// Every state was stored, and nothing is broken.
    Kept,
    /// The assertion that tells a break is violated.
    Broken,
    /// Something was met that the plant does not cover.
    Outside,
}

/// A verdict, and the states of the model that were stored: without the one before power comes on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Judged {
    /// The verdict.
    pub judgement: Judgement,
    /// States, all of them if nothing is broken.
    pub states: u64,
    /// Seconds of the search, as Spin tells them.
    pub seconds: f64,
}

/// A model as a program that judges it.
pub struct Checker {
    folder: PathBuf,
}

impl Checker {
    /// Translates and compiles a model in a folder of its own; `optimised` takes some seconds more.
    ///
    /// # Panics
    /// If Spin or the C compiler is not there or complains.
    pub fn new(folder: &Path, export: &Export, optimised: bool) -> Checker {
        let _ = std::fs::remove_dir_all(folder);
        std::fs::create_dir_all(folder).unwrap();
        std::fs::write(folder.join("model.pml"), &export.model).unwrap();
        std::fs::write(folder.join(TABLES), as_files(folder, &export.tables)).unwrap();
        run(folder, "spin", &["-a", "model.pml"]);
        let mut gcc = vec![if optimised { "-O2" } else { "-O0" }];
        gcc.extend(FLAGS);
        gcc.extend(["-w", "-o", "pan", "pan.c"]);
        run(folder, "gcc", &gcc);
        Checker { folder: folder.to_path_buf() }
    }

    /// Judges a case of the model, by number.
    ///
    /// # Panics
    /// If the search does not come to its end.
    pub fn judge(&self, case: usize) -> Judged {
        let search = |depth: &str| {
            let mut pan = Command::new(self.folder.join("pan"));
            pan.arg(depth).current_dir(&self.folder).env(CASE_VARIABLE, case.to_string());
            String::from_utf8_lossy(&pan.output().unwrap().stdout).into_owned()
        };
        let is_cut_off = |told: &str| told.contains("max search depth");
        let told = search(DEPTHS[0]);
        let told = if is_cut_off(&told) { search(DEPTHS[1]) } else { told };
        let ended = !is_cut_off(&told) && !told.contains("out of memory");
        assert!(ended && told.contains("errors: "), "{}: {told}", self.folder.display());
        let judgement = if told.contains("errors: 0") {
            Judgement::Kept
        } else if told.contains("assertion violated  !(broken)") {
            Judgement::Broken
        } else {
            assert!(told.contains("assertion violated  !(outside)"), "{told}");
            Judgement::Outside
        };
        let states = told.lines().find_map(|line| line.trim().strip_suffix(" states, stored"));
        let states: f64 = states.and_then(|n| n.parse().ok()).unwrap_or_else(|| panic!("{told}"));
        let seconds =
            told.lines().find_map(|line| line.strip_prefix("pan: elapsed time ")?.split(' ').next());
        // A search of no time at all is told without a figure.
        let seconds = seconds.and_then(|n| n.parse().ok()).unwrap_or(0.0);
        Judged { judgement, states: states as u64 - 1, seconds }
    }
}

/// Writes the arrays of the tables as files of numbers, which the assembler takes in whole, and gives what stands in their place: of a large
/// one as text the C compiler takes gigabytes and most of the time.
fn as_files(folder: &Path, tables: &str) -> String {
    let mut head = String::from("#ifndef TABLES\n#define TABLES\n");
    let mut lines = tables.lines();
    while let Some(line) = lines.next() {
        let array = line.strip_prefix("static const ").and_then(|line| line.strip_suffix("[] = {"));
        let Some((kind, name)) = array.and_then(|array| array.rsplit_once(' ')) else {
            head.extend([line, "\n"]);
            continue;
        };
        let size = match kind {
            "unsigned char" => 1,
            "unsigned short" => 2,
            "int" | "unsigned" => 4,
            "unsigned long long" => 8,
            other => panic!("`{other}` is no kind of number that a table has"),
        };
        let file = format!("{name}.bin");
        let mut bytes = BufWriter::new(File::create(folder.join(&file)).unwrap());
        let values = lines.by_ref().take_while(|line| *line != "};").flat_map(|line| line.split(','));
        for value in values.map(|value| value.trim_end_matches(['u', 'l'])).filter(|value| !value.is_empty())
        {
            // Two's complement of a negative number, cut to the size of its kind: the machines that this runs on have the low byte first.
            let value: i128 = value.parse().unwrap_or_else(|_| panic!("{name} has `{value}`"));
            bytes.write_all(&value.to_le_bytes()[..size]).unwrap();
        }
        bytes.flush().unwrap();
        let section = format!(
            ".section .rodata\\n.balign 16\\n.globl {name}\\n{name}:\\n.incbin \\\"{file}\\\"\\n.previous\\n"
        );
        head.extend([format!("extern const {kind} {name}[];\n__asm__(\"{section}\");\n")]);
    }
    head + "#endif\n"
}

/// Runs a program in a folder.
fn run(folder: &Path, program: &str, args: &[&str]) {
    let output = Command::new(program).args(args).current_dir(folder).output().unwrap_or_else(|error| {
        panic!("{program} does not start ({error}); the outside model checker needs the packages `spin` and `gcc`")
    });
    let told = [output.stdout, output.stderr].concat();
    assert!(output.status.success(), "{program}: {}", String::from_utf8_lossy(&told));
}
