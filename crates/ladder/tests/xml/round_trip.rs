//! Nothing of ours is lost.

use sealin_ladder::generate::{Shape, program};
use sealin_ladder::xml::{Form, MAX_XML_BYTES, read, write};
use sealin_ladder::{MAX_SOURCE_BYTES, Network, Output, Program, Rung, Test, Var, VarKind, print};

use super::{HEADING, normal};

fn comes_back(program: &Program, what: &str) {
    let text = write(program, Form::Tc6, &HEADING);
    let back = read(&text).unwrap_or_else(|wrong| panic!("{what}: {wrong}"));
    assert_eq!(back.notes, [], "{what}: nothing of ours may be strange");
    assert!(back.program == *program, "{what}\n{:#?}\n{program:#?}", back.program);
    assert_eq!(back.period_ms, Some(HEADING.period_ms), "{what}");
    assert!(
        write(&back.program, Form::Tc6, &HEADING) == text,
        "{what}: the same program gives the same bytes"
    );
}

#[test]
fn every_program_comes_back() {
    for seed in 0..300 {
        comes_back(&normal::program(seed), &format!("seed {seed}"));
    }
    for seed in 0..40 {
        comes_back(&program(seed, &Shape::SMALL), &format!("small {seed}"));
    }
    comes_back(&program(1, &Shape::THOUSAND), "a thousand rungs");
}

/// A program of one rung and one or two bits.
fn one_rung(logic: Network) -> Program {
    let var = |name: &str| Var {
        name: name.to_owned(),
        address: None,
        kind: VarKind::Bool,
        initial: false,
        retain: false,
        comment: String::new(),
    };
    let rung = Rung { comment: String::new(), logic, output: Output::Coil { var: "q".to_owned() } };
    Program {
        name: "p".to_owned(),
        comment: String::new(),
        vars: vec![var("a"), var("q")],
        rungs: vec![rung],
    }
}

/// The longest programs whose text is still read, by the ways in which they grow most as XML.
#[test]
fn the_longest_programs_come_back() {
    let a = || Network::open("a");
    let group = |count| Network::Parallel((0..count).map(|_| a()).collect());
    // `(a OR a OR a OR a) AND ` is 23 characters and asks for the most connections without an OR before a group.
    let groups = Network::Series((0..2800).map(|_| group(4)).collect());
    let pairs = Network::Series((0..4200).map(|_| group(2)).collect());
    // One wide group before another.
    let wide = Network::Series(vec![group(6000), group(6000)]);
    let long = Network::Series((0..9000).map(|_| a()).collect());
    let gaps =
        Network::Parallel((0..7000).map(|index| if index % 2 == 0 { Network::False } else { a() }).collect());
    for (what, logic) in
        [("groups", groups), ("pairs", pairs), ("wide", wide), ("long", long), ("gaps", gaps)]
    {
        let program = one_rung(logic);
        let length = print(&program).len();
        assert!(length > MAX_SOURCE_BYTES * 4 / 5, "{what} is {length} bytes: not near the longest");
        let text = write(&program, Form::Tc6, &HEADING);
        assert!(text.len() <= MAX_XML_BYTES, "{what} is {} bytes", text.len());
        comes_back(&program, what);
    }
}

/// As deep as parentheses may nest.
#[test]
fn the_deepest_network_comes_back() {
    let mut logic = Network::open("a");
    for level in 0..2 * sealin_ladder::MAX_NESTING + 1 {
        let contact = Network::bit("a", [Test::Closed, Test::Falling][level as usize % 2]);
        let parts = vec![logic, contact];
        logic = if level % 2 == 0 { Network::Parallel(parts) } else { Network::Series(parts) };
    }
    comes_back(&one_rung(logic), "deep");
}

/// Texts with all that XML marks; and what it cannot hold at all (XML 1.0, clause 2.2) becomes U+FFFD.
#[test]
fn comments_come_back() {
    let mut program = one_rung(Network::open("a"));
    for text in ["<raise> & \"lower\" 'gate'", "]]> <!-- --> &amp; &#10;", "größer 水门 𝄞", "a\n\n  b"]
    {
        let text =
            sealin_ladder::parse(&format!("(* {text} *) PROGRAM p END_PROGRAM")).expect("a text").comment;
        program.comment = text.clone();
        program.vars[0].comment = text.clone();
        program.rungs[0].comment = text;
        comes_back(&program, "comments");
    }
    program.comment = "a\u{ffff}b".to_owned();
    let back = read(&write(&program, Form::Tc6, &HEADING)).expect("a project");
    assert_eq!(back.program.comment, "a\u{fffd}b");
}
