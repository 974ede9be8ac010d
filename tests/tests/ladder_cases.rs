//! The ladder language against IEC 61131-3: every file of `tests/cases/ladder`.

use sealin_ladder::{Block, Contact, Network, Output, Program, Relation, Rung, Test, VarKind};
use sealin_tests::ladder_cases::{Case, Line, used};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

fn files() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("cases/ladder");
    let mut all: Vec<PathBuf> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|e| e == "toml"))
        .collect();
    all.sort();
    all
}

fn name(file: &Path) -> String {
    file.file_stem().unwrap().display().to_string()
}

fn cases() -> Vec<(String, Case)> {
    let read = |file: &PathBuf| Case::read(file).unwrap_or_else(|e| panic!("{}: {e}", name(file)));
    files().iter().map(|file| (name(file), read(file))).collect()
}

#[test]
fn every_case_holds() {
    let files = files();
    let broken: Vec<String> = files
        .iter()
        .filter_map(|file| {
            Case::read(file).and_then(|case| case.run()).err().map(|e| format!("{}: {e}", name(file)))
        })
        .collect();
    assert!(broken.is_empty(), "{} of {} cases break:\n{}", broken.len(), files.len(), broken.join("\n"));
    println!("{} cases of the ladder language hold", files.len());
    assert!(files.len() >= 150, "{}", files.len());
}

/// Every word of the language is in some case.
#[test]
fn every_block_contact_and_coil_is_met() {
    let cases = cases();
    let mut met = BTreeSet::new();
    for (_, case) in &cases {
        met.extend(used(&case.program));
    }
    let words = [
        "normally open contact",
        "normally closed contact",
        "rising-edge contact",
        "falling-edge contact",
        "coil",
        "negated coil",
        "set coil",
        "reset coil",
        "rising-edge coil",
        "falling-edge coil",
        "series",
        "parallel",
        "link",
        "gap",
    ];
    let all = words.into_iter().chain(Block::ALL.map(Block::word)).chain(Relation::ALL.map(Relation::sign));
    let missed: Vec<&str> = all.filter(|word| !met.contains(*word)).collect();
    assert!(missed.is_empty(), "in no case: {missed:?}");
    // Each block alone fills a chapter: at rest, timing, limits, restarts and the order of evaluation.
    for block in Block::ALL {
        let of_block = cases.iter().filter(|(_, case)| used(&case.program).contains(block.word())).count();
        assert!(of_block >= 6, "{} is in {of_block} cases", block.word());
    }
}

/// Each cell of each table is looked at: a case with any one of them changed breaks.
#[test]
fn a_wrong_figure_in_any_cell_breaks_its_case() {
    let mut tried = 0;
    for (name, mut case) in cases() {
        // Rows written once for many scans would be changed many times over.
        let lines = case.table.lines.len().min(40);
        for line in 0..lines {
            for cell in 0..case.table.looked_at.len() {
                let before = case.table.lines[line].clone();
                let Line::Scan(_, expected) = &mut case.table.lines[line] else { continue };
                let Some(value) = expected[cell] else { continue };
                expected[cell] = Some(value + 1);
                assert!(case.run().is_err(), "{name}: line {line}, cell {cell}");
                case.table.lines[line] = before;
                tried += 1;
            }
        }
    }
    assert!(tried > 1_500, "{tried}");
}

/// A language in which one thing is taken for another breaks some case.
#[test]
fn the_cases_tell_every_two_things_apart() {
    let cases = cases();
    let mut missed = Vec::new();
    let changes = changes();
    assert_eq!(changes.len(), 6 + 2 + 2 + 2 + 12 + 30 + 30 + 2);
    for (from, to, change) in &changes {
        let breaks = |(_, case): &(String, Case)| {
            if !used(&case.program).contains(*from) {
                return false;
            }
            let mut case = case.clone();
            change(&mut case.program);
            if let Some(then) = &mut case.then {
                change(then);
            }
            case.run().is_err()
        };
        if !cases.iter().any(breaks) {
            missed.push(format!("{from} as {to}"));
        }
    }
    assert!(missed.is_empty(), "no case breaks with {}", missed.join(", "));
}

/// Makes a coil of a bit.
type Coil = fn(String) -> Output;

/// From what, to what, and how.
type Change = (&'static str, &'static str, Box<dyn Fn(&mut Program)>);

/// All changes of one block, contact, coil, relation or group for another that a program of the same shape could have.
fn changes() -> Vec<Change> {
    let mut all: Vec<Change> = Vec::new();
    let tests = [
        ("normally open contact", Test::Open),
        ("normally closed contact", Test::Closed),
        ("rising-edge contact", Test::Rising),
        ("falling-edge contact", Test::Falling),
    ];
    pairs(&tests, &mut all, |from, to| {
        Box::new(move |program| {
            each_network(program, &mut |network| {
                if let Network::Contact(Contact::Bit { test, .. }) = network
                    && *test == from
                {
                    *test = to;
                }
            });
        })
    });
    pairs(&Relation::ALL.map(|relation| (relation.sign(), relation)), &mut all, |from, to| {
        Box::new(move |program| {
            each_network(program, &mut |network| {
                if let Network::Contact(Contact::Compare(comparison)) = network
                    && comparison.relation == from
                {
                    comparison.relation = to;
                }
            });
        })
    });
    let coils: [(&str, Coil); 6] = [
        ("coil", |var| Output::Coil { var }),
        ("negated coil", |var| Output::Negated { var }),
        ("set coil", |var| Output::Set { var }),
        ("reset coil", |var| Output::Reset { var }),
        ("rising-edge coil", |var| Output::Rising { var }),
        ("falling-edge coil", |var| Output::Falling { var }),
    ];
    pairs(&coils, &mut all, |from, to| {
        Box::new(move |program| {
            for Rung { output, .. } in &mut program.rungs {
                if *output == from(output.var().to_string()) {
                    *output = to(output.var().to_string());
                }
            }
        })
    });
    pairs(&[("series", true), ("parallel", false)], &mut all, |from, _| {
        Box::new(move |program| {
            each_network(program, &mut |network| match network {
                Network::Series(parts) if from => *network = Network::Parallel(std::mem::take(parts)),
                Network::Parallel(parts) if !from => *network = Network::Series(std::mem::take(parts)),
                _ => {}
            });
        })
    });
    // Blocks with as many inputs and a preset of the same sort.
    for alike in [
        [Block::Ton, Block::Tof, Block::Tp].as_slice(),
        &[Block::Sr, Block::Rs],
        &[Block::RTrig, Block::FTrig],
        &[Block::Ctu, Block::Ctd],
    ] {
        let named: Vec<_> = alike.iter().map(|block| (block.word(), *block)).collect();
        pairs(&named, &mut all, |from, to| Box::new(move |program| exchange(program, from, to)));
    }
    all
}

/// Each of the things for each other.
fn pairs<T: Copy + 'static>(
    things: &[(&'static str, T)],
    all: &mut Vec<Change>,
    change: impl Fn(T, T) -> Box<dyn Fn(&mut Program)>,
) {
    for (from, (word, one)) in things.iter().enumerate() {
        for (to, (other_word, other)) in things.iter().enumerate() {
            if from != to {
                all.push((word, other_word, change(*one, *other)));
            }
        }
    }
}

fn exchange(program: &mut Program, from: Block, to: Block) {
    for var in &mut program.vars {
        if var.kind == VarKind::Block(from) {
            var.kind = VarKind::Block(to);
        }
    }
    for rung in &mut program.rungs {
        if let Output::Block(call) = &mut rung.output
            && call.block == from
        {
            call.block = to;
        }
    }
}

/// Calls `change` with every network of a program, inner ones first.
fn each_network(program: &mut Program, change: &mut dyn FnMut(&mut Network)) {
    fn each(network: &mut Network, change: &mut dyn FnMut(&mut Network)) {
        if let Network::Series(parts) | Network::Parallel(parts) = network {
            parts.iter_mut().for_each(|part| each(part, change));
        }
        change(network);
    }
    for rung in &mut program.rungs {
        each(&mut rung.logic, change);
        if let Output::Block(call) = &mut rung.output {
            call.further.iter_mut().flatten().for_each(|network| each(network, change));
        }
    }
}
