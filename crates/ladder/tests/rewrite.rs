//! Changes to the declarations, names and order of a text, and reading what is typed for one rung. Texts are worked out by
//! hand: what is not changed stays as it was typed.

use sealin_ladder::rewrite::{declare, move_rung, read_network, read_rungs, redeclare, rename, undeclare};
use sealin_ladder::{Block, Network, Test, Var, VarKind, parse, print_network, read};

const TYPED: &str = "PROGRAM rest (* rest is its name too *)
VAR
  SF1_in AT %IX0.0 : BOOL;  (* STOP *)
  a, b : BOOL;
  rest : TON;
END_VAR
VAR RETAIN kept : BOOL; END_VAR
(* one: rest *) a := rest.Q AND   NOT b; // rest
rest(IN := a AND Rest.Q, PT := T#2s);
b := a;
END_PROGRAM
";

fn var(name: &str, kind: VarKind) -> Var {
    Var { name: name.into(), address: None, kind, initial: false, retain: false, comment: String::new() }
}

#[test]
fn a_variable_is_declared_in_the_block_of_its_sort() {
    let text = declare(TYPED, &var("fresh", VarKind::Bool)).expect("room");
    assert_eq!(text, TYPED.replace("  rest : TON;\n", "  rest : TON;\n  fresh : BOOL;\n"));
    let kept = Var { retain: true, initial: true, ..var("more", VarKind::Bool) };
    let text = declare(TYPED, &kept).expect("room");
    let more = parse(&text).expect("no errors").vars.pop().expect("a variable");
    assert_eq!((more.name.as_str(), more.retain, more.initial), ("more", true, true));
    let bare = "PROGRAM p a := b; END_PROGRAM";
    let text = declare(bare, &var("t", VarKind::Block(Block::Tof))).expect("room");
    assert_eq!(read(&text).program.vars, [var("t", VarKind::Block(Block::Tof))]);
    assert_eq!(declare("", &var("x", VarKind::Bool)), None);
}

#[test]
fn one_of_a_declaration_is_changed_or_taken_out() {
    let reading = read(TYPED);
    let index = |name: &str| reading.program.vars.iter().position(|var| var.name == name).expect("declared");
    let text =
        redeclare(TYPED, &reading, index("a"), &Var { comment: "x (* y".into(), ..var("c", VarKind::Bool) });
    assert_eq!(text.expect("a"), TYPED.replace("  a, b : BOOL;", "  c : BOOL;  (* x ( * y *)\n  b : BOOL;"));
    let text = redeclare(
        TYPED,
        &reading,
        index("SF1_in"),
        &Var { comment: String::new(), ..reading.program.vars[0].clone() },
    );
    assert_eq!(text.expect("SF1_in"), TYPED.replace("  (* STOP *)", ""));
    assert_eq!(
        undeclare(TYPED, &reading, index("rest")).expect("rest"),
        TYPED.replace("  rest : TON;\n", "")
    );
    assert_eq!(
        undeclare(TYPED, &reading, index("b")).expect("b"),
        TYPED.replace("a, b : BOOL;", "a : BOOL;")
    );
    assert_eq!(undeclare(TYPED, &reading, 9), None);
}

#[test]
fn a_name_changes_everywhere_but_in_comments() {
    let text = rename(TYPED, "REST", "pause").expect("used");
    let expected = TYPED
        .replace("  rest : TON", "  pause : TON")
        .replace(":= rest.Q", ":= pause.Q")
        .replace("rest(IN := a AND Rest.Q", "pause(IN := a AND pause.Q");
    assert_eq!(text, expected);
    // A pin is no use of a variable of that name.
    let pins = "PROGRAM p VAR n : CTU; R : BOOL; END_VAR n(CU := R, R := R, PV := 1); END_PROGRAM";
    let text = rename(pins, "r", "clear").expect("used");
    assert_eq!(
        text,
        "PROGRAM p VAR n : CTU; clear : BOOL; END_VAR n(CU := clear, R := clear, PV := 1); END_PROGRAM"
    );
    assert_eq!(rename(TYPED, "nobody", "x"), None);
}

#[test]
fn a_rung_moves_as_it_was_typed() {
    let reading = read(TYPED);
    let order = |text: &str| -> Vec<String> {
        let program = parse(text).unwrap_or_else(|e| panic!("{e:?}\n{text}"));
        program.rungs.iter().map(|rung| rung.output.var().to_owned()).collect()
    };
    for (from, to, expected) in [
        (0, 1, ["rest", "a", "b"]),
        (0, 2, ["rest", "b", "a"]),
        (2, 0, ["b", "a", "rest"]),
        (1, 0, ["rest", "a", "b"]),
        (1, 1, ["a", "rest", "b"]),
    ] {
        let text = move_rung(TYPED, &reading, from, to).expect("rungs");
        assert_eq!(order(&text), expected, "{from} to {to}:\n{text}");
        assert!(text.contains("(* one: rest *) a := rest.Q AND   NOT b; // rest"), "{text}");
    }
    assert_eq!(move_rung(TYPED, &reading, 0, 3), None);
    assert_eq!(move_rung(TYPED, &reading, 3, 0), None);
}

#[test]
fn what_is_typed_is_read_with_the_names_of_the_program() {
    let program = read(TYPED).program;
    let network = |text: &str| read_network(&program, text);
    assert_eq!(network("a"), Ok(Network::open("a")));
    assert_eq!(
        print_network(&network("A and (not b or rest.q)").expect("contacts")),
        "a AND (NOT b OR rest.Q)"
    );
    let edge = network("r_trig(SF1_in) AND F_TRIG( b )").expect("edges");
    assert_eq!(
        edge,
        Network::Series(vec![Network::bit("SF1_in", Test::Rising), Network::bit("b", Test::Falling)])
    );
    assert_eq!(network("f_trig(REST.q)"), Ok(Network::bit("rest.Q", Test::Falling)));
    let rungs = read_rungs(&program, "a := b // over it\n").expect("one rung");
    assert_eq!((rungs.len(), rungs[0].output.var()), (1, "a"));
    assert_eq!(read_rungs(&program, "a := b; b := a;").map(|rungs| rungs.len()), Ok(2));
}

#[test]
fn what_is_wrong_is_told_with_its_place_in_what_was_typed() {
    let program = read(TYPED).program;
    let wrong = read_network(&program, "a and nobody").expect_err("not declared");
    assert_eq!((wrong.line, wrong.column, wrong.message.as_str()), (1, 7, "nobody is not declared"));
    let wrong = read_rungs(&program, "a := b;\nb := (a;").expect_err("open");
    assert_eq!(wrong.line, 2);
    for text in [
        "",
        "a and",
        "R_TRIG(nobody)",
        "NOT R_TRIG(a)",
        "R_TRIG(rest.ET)",
        "R_TRIG(a AND b)",
        "R_TRIG",
        "a; b := a",
        "END_PROGRAM",
        "(* ",
        ")",
    ] {
        assert!(read_network(&program, text).is_err(), "{text}");
    }
}
