//! Edges as text, and that text and ladder are two notations of one program.

mod normal;

use std::collections::BTreeSet;

use normal::{program as made, rung as made_rung};
use sealin_ladder::generate::{self, Shape};
use sealin_ladder::{
    Block, Contact, Network, Output, Program, Rung, Test, canonical_bytes, insert_rung, parse, print,
    print_network, print_rung, read, remove_rung, replace_rung,
};

const HEAD: &str = "PROGRAM p
VAR
    SF1   AT %IX0.0 : BOOL;
    SF2   AT %IX0.1 : BOOL;
    q     AT %QX0.0 : BOOL;
    m     : BOOL;
    parts : CTU;
END_VAR
";

fn program(edges: &str, body: &str) -> Program {
    let source = format!("{HEAD}VAR {edges} END_VAR\n{body}\nEND_PROGRAM\n");
    parse(&source).unwrap_or_else(|errors| panic!("{body}: {errors:?}"))
}

/// Declarations and rungs as typed, the rungs as they are drawn, and the rungs as printed.
#[test]
fn edges_of_rungs() {
    let r = "edge_1 : R_TRIG;";
    let f = "edge_1 : F_TRIG;";
    let two = "edge_7 : F_TRIG; Edge_3 : R_TRIG;";
    let cases = [
        (r, "edge_1(CLK := SF2); q := edge_1.Q;", "R_TRIG(SF2)", "edge_1(CLK := SF2);\nq := edge_1.Q;\n"),
        (
            f,
            "EDGE_1(clk := sf2);\n\nq := SF1 AND edge_1.q;",
            "SF1 AND F_TRIG(SF2)",
            "edge_1(CLK := SF2);\nq := SF1 AND edge_1.Q;\n",
        ),
        (
            r,
            "edge_1(CLK := parts.Q); IF edge_1.Q THEN q := TRUE; END_IF;",
            "R_TRIG(parts.Q)",
            "edge_1(CLK := parts.Q);\nIF edge_1.Q THEN q := TRUE; END_IF;\n",
        ),
        // The order of the calls is that of the text; printed they are numbered as the rung reads them.
        (
            two,
            "edge_3(CLK := SF1); edge_7(CLK := SF2); q := edge_7.Q OR edge_3.Q;",
            "F_TRIG(SF2) OR R_TRIG(SF1)",
            "edge_1(CLK := SF2);\nedge_2(CLK := SF1);\nq := edge_1.Q OR edge_2.Q;\n",
        ),
        (
            two,
            "edge_7(CLK := SF1); edge_3(CLK := SF2); parts(CU := edge_7.Q, R := edge_3.Q, PV := 5);",
            "F_TRIG(SF1)",
            "edge_1(CLK := SF1);\nedge_2(CLK := SF2);\nparts(CU := edge_1.Q, R := edge_2.Q, PV := 5);\n",
        ),
        // A negated coil holds the rung as it is; NOT twice is nothing.
        (
            r,
            "edge_1(CLK := SF2); q := NOT (edge_1.Q);",
            "R_TRIG(SF2)",
            "edge_1(CLK := SF2);\nq := NOT (edge_1.Q);\n",
        ),
        (
            r,
            "edge_1(CLK := SF2); q := m OR NOT (NOT edge_1.Q);",
            "m OR R_TRIG(SF2)",
            "edge_1(CLK := SF2);\nq := m OR edge_1.Q;\n",
        ),
    ];
    for (edges, body, drawn, printed) in cases {
        let program = program(edges, body);
        assert_eq!(program.vars.len(), 5, "an edge is no variable: {body}");
        assert_eq!(program.rungs.len(), 1, "{body}");
        assert_eq!(print_network(&program.rungs[0].logic), drawn, "{body}");
        assert_eq!(print_rung(&program.rungs[0]), printed, "{body}");
        assert_eq!(parse(&print(&program)), Ok(program), "{body}");
    }
}

/// A bare name is an edge contact; anything else is the rung of an edge coil.
#[test]
fn edge_coils() {
    let q = || "q".to_owned();
    let cases = [
        ("R_TRIG", "SF1 AND SF2", Output::Rising { var: q() }, "SF1 AND SF2", "SF1 AND SF2"),
        ("F_TRIG", "SF1 OR NOT m", Output::Falling { var: q() }, "SF1 OR NOT m", "SF1 OR NOT m"),
        ("R_TRIG", "(SF2)", Output::Rising { var: q() }, "SF2", "(SF2)"),
        ("R_TRIG", "((parts.Q))", Output::Rising { var: q() }, "parts.Q", "(parts.Q)"),
        ("R_TRIG", "NOT SF2", Output::Rising { var: q() }, "NOT SF2", "NOT SF2"),
        ("F_TRIG", "parts.CV >= 5", Output::Falling { var: q() }, "parts.CV >= 5", "parts.CV >= 5"),
        ("R_TRIG", "TRUE", Output::Rising { var: q() }, "TRUE", "TRUE"),
        ("R_TRIG", "SF2", Output::Coil { var: q() }, "R_TRIG(SF2)", "SF2"),
    ];
    for (block, typed, output, drawn, printed) in cases {
        let program =
            program(&format!("edge_1 : {block};"), &format!("edge_1(CLK := {typed}); q := edge_1.Q;"));
        assert_eq!(program.rungs[0].output, output, "{typed}");
        assert_eq!(print_network(&program.rungs[0].logic), drawn, "{typed}");
        assert_eq!(
            print_rung(&program.rungs[0]),
            format!("edge_1(CLK := {printed});\nq := edge_1.Q;\n"),
            "{typed}"
        );
        assert_eq!(parse(&print(&program)), Ok(program), "{typed}");
    }
    // The rung of an edge coil may hold edge contacts, even one alone.
    let two = "edge_1 : F_TRIG; edge_2 : R_TRIG;";
    for (typed, drawn) in [("edge_1.Q AND m", "F_TRIG(SF2) AND m"), ("edge_1.Q", "F_TRIG(SF2)")] {
        let program = program(two, &format!("edge_1(CLK := SF2); edge_2(CLK := {typed}); q := edge_2.Q;"));
        assert_eq!(program.rungs[0].output, Output::Rising { var: q() }, "{typed}");
        assert_eq!(print_network(&program.rungs[0].logic), drawn, "{typed}");
        assert_eq!(parse(&print(&program)), Ok(program), "{typed}");
    }
}

#[test]
fn a_detector_with_a_name_of_its_own_is_a_rung() {
    let program = program(
        "pressed, edge1 : R_TRIG; edge_1a, edges_1 : F_TRIG;",
        "pressed(CLK := SF2); edge1(CLK := SF2); edge_1a(CLK := SF1); edges_1(CLK := m);
         q := pressed.Q AND NOT edge_1a.Q AND (edge1.Q OR edge1.Q);",
    );
    assert_eq!(program.rungs.len(), 5);
    let names: Vec<&str> = program.vars[5..].iter().map(|var| var.name.as_str()).collect();
    assert_eq!(names, ["pressed", "edge1", "edge_1a", "edges_1"]);
    assert_eq!(parse(&print(&program)), Ok(program));
}

#[test]
fn a_program_with_edges_as_printed() {
    let source = format!(
        "{HEAD}VAR
    edge_1 : R_TRIG;
    edge_2 : F_TRIG;
    edge_3 : R_TRIG;
END_VAR

(* starts (* once *) *)
edge_1(CLK := SF2);
m := edge_1.Q AND SF1;
q := m;
edge_2(CLK := SF1);
edge_3(CLK := edge_2.Q OR m);
q := edge_3.Q;
END_PROGRAM
"
    );
    assert_eq!(print(&parse(&source).expect("no errors")), source);
}

/// Comments at the declaration and the calls of an edge are about its rung.
#[test]
fn comments_of_edges_are_the_rungs() {
    let source = "PROGRAM p VAR a : BOOL; b : BOOL; END_VAR // of the first rung
VAR // kept by an edge that is not used: about the program
    edge_9 : R_TRIG; (* nobody's *)
    (* press *)
    edge_1 : R_TRIG; // its release
END_VAR
(* of the first rung too *)
b := a;
(* before the call *)
edge_1(CLK (* inside *) := a); // behind the call
a := edge_1.Q; // behind
END_PROGRAM";
    let program = parse(source).expect("no errors");
    assert_eq!(program.vars[1].comment, "of the first rung", "on its line");
    assert_eq!(program.rungs[0].comment, "of the first rung too");
    assert_eq!(
        program.rungs[1].comment,
        "press\nits release\nbefore the call\ninside\nbehind the call\nbehind"
    );
    assert_eq!(program.comment, "kept by an edge that is not used: about the program\nnobody's");
    assert_eq!(parse(&print(&program)), Ok(program));
}

#[test]
fn every_program_in_normal_form_prints_as_text_that_reads_the_same() {
    let mut met: BTreeSet<String> = BTreeSet::new();
    for seed in 0..3_000 {
        let program = made(seed);
        let text = print(&program);
        let again = parse(&text);
        assert!(again.as_ref() == Ok(&program), "seed {seed}: {again:?}\n{text}");
        assert_eq!(print(&again.expect("read")), text);
        for rung in &program.rungs {
            met.insert(match &rung.output {
                Output::Block(call) => call.block.word().to_owned(),
                other => format!("{other:?}").split(' ').next().unwrap_or_default().to_owned(),
            });
            rung.each_contact(&mut |contact| {
                met.insert(match contact {
                    Contact::Bit { test, .. } => format!("{test:?} contact"),
                    Contact::Compare(comparison) => comparison.relation.sign().to_owned(),
                });
            });
        }
    }
    assert_eq!(met.len(), Block::ALL.len() + 6 + 4 + 6, "{met:?}");
    // So do the programs that scans are tried with.
    for seed in 0..500 {
        let program = generate::program(seed, &Shape::SMALL);
        assert_eq!(parse(&print(&program)), Ok(program), "seed {seed}");
    }
}

/// Different programs have different bytes, edges and blocks included; comments do not count.
#[test]
fn bytes_tell_programs_apart() {
    let mut seen = std::collections::BTreeMap::new();
    for seed in 0..1_000 {
        let mut program = made(seed);
        let bytes = |program: &Program| {
            let mut bytes = Vec::new();
            canonical_bytes(program, &mut bytes);
            bytes
        };
        let with_comments = bytes(&program);
        program.comment.clear();
        program.vars.iter_mut().for_each(|var| var.comment.clear());
        program.rungs.iter_mut().for_each(|rung| rung.comment.clear());
        assert_eq!(bytes(&program), with_comments);
        let text = print(&program);
        if let Some(other) = seen.insert(with_comments, text.clone()) {
            assert_eq!(other, text);
        }
    }
    assert_eq!(seen.len(), 1_000);
}

/// A program's text with statements put together on lines, as a person might type it.
fn squeezed(program: &Program) -> String {
    print(program)
        .replace(";\nedge", "; edge")
        .replace(";\nQ", ";Q")
        .replace(";\nEND_VAR", "; END_VAR")
        .replace("VAR\n", "VAR ")
}

#[test]
fn a_rung_with_edges_is_changed_in_a_text() {
    for seed in 0..60 {
        let program = made(seed);
        for text in [print(&program), squeezed(&program)] {
            let reading = read(&text);
            // Where comments stand together in one line they may belong to another than in the model.
            let program = reading.program.clone();
            assert_eq!(reading.diagnostics, [], "{text}");
            for index in 0..=program.rungs.len() {
                let new = made_rung(seed * 100 + index as u64, &program);
                let is = |text: Option<String>, change: &dyn Fn(&mut Vec<Rung>)| {
                    let text = text.expect("a rung");
                    let mut expected = program.clone();
                    change(&mut expected.rungs);
                    let read = parse(&text);
                    assert!(
                        read.as_ref() == Ok(&expected),
                        "seed {seed} at {index}: {read:#?}\n{expected:#?}\n{text}"
                    );
                };
                is(insert_rung(&text, &reading, index, &new), &|rungs| rungs.insert(index, new.clone()));
                if index < program.rungs.len() {
                    is(replace_rung(&text, &reading, index, &new), &|rungs| rungs[index] = new.clone());
                    is(remove_rung(&text, &reading, index), &|rungs| drop(rungs.remove(index)));
                }
            }
        }
    }
}

#[test]
fn declarations_of_edges_come_and_go_with_their_rungs() {
    let rung = |test| Rung {
        comment: String::new(),
        logic: Network::Series(vec![Network::bit("a", test), Network::bit("b", test)]),
        output: Output::Coil { var: "q".to_owned() },
    };
    let text = "PROGRAM p
VAR a, b, q : BOOL; END_VAR // mine

q  :=  a; // first
END_PROGRAM
";
    let with = insert_rung(text, &read(text), 1, &rung(Test::Falling)).expect("room");
    assert_eq!(
        with,
        "PROGRAM p
VAR a, b, q : BOOL; END_VAR // mine
VAR
    edge_1 : F_TRIG;
    edge_2 : F_TRIG;
END_VAR

q  :=  a; // first
edge_1(CLK := a);
edge_2(CLK := b);
q := edge_1.Q AND edge_2.Q;
END_PROGRAM
"
    );
    // A further rung takes the next numbers; a changed one keeps its own.
    let more = insert_rung(&with, &read(&with), 0, &rung(Test::Rising)).expect("room");
    assert!(
        more.contains("    edge_2 : F_TRIG;\n    edge_3 : R_TRIG;\n    edge_4 : R_TRIG;\nEND_VAR"),
        "{more}"
    );
    assert!(more.contains("\nedge_3(CLK := a);\nedge_4(CLK := b);\nq := edge_3.Q AND edge_4.Q;\n"), "{more}");
    let plain = Rung { logic: Network::bit("b", Test::Rising), ..rung(Test::Open) };
    let changed = replace_rung(&more, &read(&more), 0, &plain).expect("a rung");
    assert!(changed.contains("    edge_2 : F_TRIG;\n    edge_3 : R_TRIG;\nEND_VAR"), "{changed}");
    assert!(changed.contains("\nedge_3(CLK := b);\nq := edge_3.Q;\n"), "{changed}");
    // The number that became free is taken again, beside the others.
    let third = insert_rung(&changed, &read(&changed), 0, &rung(Test::Rising)).expect("room");
    assert!(
        third.contains("    edge_3 : R_TRIG;\n    edge_4 : R_TRIG;\n    edge_5 : R_TRIG;\nEND_VAR"),
        "{third}"
    );
    // Without them the text is as it was.
    let without = remove_rung(&with, &read(&with), 1).expect("a rung");
    assert_eq!(without, text);
}
