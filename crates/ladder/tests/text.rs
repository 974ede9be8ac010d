//! What structured text means: precedence, De Morgan, outputs, literals, comments. Expectations are from IEC 61131-3 and
//! worked out by hand.

use sealin_ladder::generate::Numbers;
use sealin_ladder::{Block, Call, Constant, Network, Output, Program, compile, parse, print, print_network};

const HEAD: &str =
    "PROGRAM p VAR a AT %IX0.0 : BOOL; b AT %IX0.1 : BOOL; c AT %IX0.2 : BOOL; d AT %IX0.3 : BOOL;
    q AT %QX0.0 : BOOL; t : TON; n : CTU; m : CTD; END_VAR\n";

fn program(body: &str) -> Program {
    let source = format!("{HEAD}{body}\nEND_PROGRAM");
    match parse(&source) {
        Ok(program) => program,
        Err(errors) => panic!("{body}: {errors:?}"),
    }
}

#[test]
fn precedence_and_de_morgan() {
    // Each expression, and the network that is drawn, printed with the fewest parentheses.
    let cases = [
        ("a", "a"),
        ("a OR b AND c", "a OR b AND c"),
        ("(a OR b) AND c", "(a OR b) AND c"),
        ("a AND b OR c AND d", "a AND b OR c AND d"),
        ("NOT a AND b", "NOT a AND b"),
        ("a & b", "a AND b"),
        ("a and B or not C", "a AND b OR NOT c"),
        ("a AND (b AND (c AND d))", "a AND b AND c AND d"),
        ("a OR (b OR c) OR d", "a OR b OR c OR d"),
        ("(((a)))", "a"),
        ("NOT NOT a", "a"),
        ("NOT NOT NOT a", "NOT a"),
        ("a AND NOT (b AND c)", "a AND (NOT b OR NOT c)"),
        ("a AND NOT (b OR c)", "a AND NOT b AND NOT c"),
        ("a OR NOT (b OR NOT c AND d)", "a OR NOT b AND (c OR NOT d)"),
        ("a OR NOT (NOT (b OR c))", "a OR b OR c"),
        ("a AND NOT TRUE", "a AND FALSE"),
        ("a OR NOT (FALSE OR b)", "a OR TRUE AND NOT b"),
        ("a AND 1 OR 0", "a AND TRUE OR FALSE"),
        ("a OR BOOL#1", "a OR TRUE"),
        ("t.q OR a", "t.Q OR a"),
        // A comparison binds tighter than AND and looser than NOT (IEC 61131-3, operators of the ST language).
        ("n.CV >= 5 AND a OR t.ET < T#2s", "n.CV >= 5 AND a OR t.ET < T#2s"),
        ("a AND N.cv<>-5", "a AND n.CV <> -5"),
        ("(n.CV > +1_000)", "n.CV > 1000"),
        ("n.CV = m.CV AND NOT a", "n.CV = m.CV AND NOT a"),
        (
            "n.CV = INT#-3 OR n.CV = 16#1F OR n.CV = int#2#101 OR n.CV = 8#17",
            "n.CV = -3 OR n.CV = 31 OR n.CV = 5 OR n.CV = 15",
        ),
        (
            "n.CV = -32768 OR n.CV = 32767 OR n.CV = 0 OR n.CV = 1",
            "n.CV = -32768 OR n.CV = 32767 OR n.CV = 0 OR n.CV = 1",
        ),
        ("t.ET = T#0s", "t.ET = T#0ms"),
        // A figure on the left is turned round.
        ("5 <= n.CV", "n.CV >= 5"),
        ("5 < n.CV OR 5 > n.CV OR 5 >= n.CV", "n.CV > 5 OR n.CV < 5 OR n.CV <= 5"),
        ("-5 = n.CV OR 0 <> n.CV OR T#1s < t.ET", "n.CV = -5 OR n.CV <> 0 OR t.ET > T#1s"),
        // NOT over a comparison is its opposite.
        ("a AND NOT (n.CV < 5)", "a AND n.CV >= 5"),
        ("a AND NOT (n.CV <= 5 OR n.CV > m.CV)", "a AND n.CV > 5 AND n.CV <= m.CV"),
        ("a AND NOT (n.CV >= 5 AND n.CV = 2 OR n.CV <> 3)", "a AND (n.CV < 5 OR n.CV <> 2) AND n.CV = 3"),
    ];
    for (text, drawn) in cases {
        let program = program(&format!("q := {text};"));
        assert_eq!(print_network(&program.rungs[0].logic), drawn, "{text}");
        assert_eq!(program.rungs[0].output, Output::Coil { var: "q".to_owned() }, "{text}");
    }
}

#[test]
fn outputs() {
    let q = || "q".to_owned();
    let cases = [
        ("q := a;", Output::Coil { var: q() }, "a"),
        ("Q := NOT a;", Output::Coil { var: q() }, "NOT a"),
        ("q := NOT (a);", Output::Negated { var: q() }, "a"),
        ("q := NOT (a OR b);", Output::Negated { var: q() }, "a OR b"),
        ("q := (NOT (a OR b));", Output::Negated { var: q() }, "a OR b"),
        ("q := NOT (NOT a);", Output::Negated { var: q() }, "NOT a"),
        ("q := NOT (a) AND b;", Output::Coil { var: q() }, "NOT a AND b"),
        ("q := NOT NOT (a OR b);", Output::Coil { var: q() }, "a OR b"),
        ("q := TRUE;", Output::Coil { var: q() }, "TRUE"),
        ("IF a THEN q := TRUE; END_IF;", Output::Set { var: q() }, "a"),
        ("if NOT (a or b) then q := FALSE; end_if;", Output::Reset { var: q() }, "NOT a AND NOT b"),
        ("t(IN := a, PT := T#200ms);", Output::Block(Call::timer("t", Block::Ton, 200)), "a"),
        ("T(PT := TIME#1s500ms, IN := a OR b);", Output::Block(Call::timer("t", Block::Ton, 1500)), "a OR b"),
    ];
    for (text, output, logic) in cases {
        let program = program(text);
        assert_eq!(program.rungs.len(), 1, "{text}");
        assert_eq!(program.rungs[0].output, output, "{text}");
        assert_eq!(print_network(&program.rungs[0].logic), logic, "{text}");
        assert_eq!(parse(&print(&program)), Ok(program), "{text}");
    }
}

/// Every block with all its pins, with those that may be left out left out, and out of order.
#[test]
fn blocks() {
    // Declared block, call as typed, call as printed.
    let cases = [
        ("SR", "x(S1 := a, R := b OR c);", "x(S1 := a, R := b OR c);"),
        ("RS", "x(r1 := NOT b, s := a);", "x(S := a, R1 := NOT b);"),
        ("R_TRIG", "x(CLK := a AND b);", "x(CLK := a AND b);"),
        ("F_TRIG", "X(clk := a);", "x(CLK := a);"),
        ("CTU", "x(CU := a, R := b OR c, PV := 5);", "x(CU := a, R := b OR c, PV := 5);"),
        ("CTU", "x(PV := -5, CU := a);", "x(CU := a, PV := -5);"),
        ("CTD", "x(LD := b, CD := a, PV := 16#7FFF);", "x(CD := a, LD := b, PV := 32767);"),
        (
            "CTUD",
            "x(CU := a, CD := b, R := c, LD := d, PV := 3);",
            "x(CU := a, CD := b, R := c, LD := d, PV := 3);",
        ),
        ("CTUD", "x(CU := a, LD := d AND (b OR c), PV := 0);", "x(CU := a, LD := d AND (b OR c), PV := 0);"),
        ("CTUD", "x(CU := a, R := FALSE, PV := 1);", "x(CU := a, R := FALSE, PV := 1);"),
        ("TP", "x(IN := a, PT := T#1s);", "x(IN := a, PT := T#1s);"),
        ("TON", "x(PT := T#61s, IN := x.ET < T#2s);", "x(IN := x.ET < T#2s, PT := T#1m1s);"),
        ("TOF", "x(IN := NOT (a OR b), PT := T#0s);", "x(IN := NOT a AND NOT b, PT := T#0ms);"),
    ];
    let mut met = std::collections::BTreeSet::new();
    for (block, typed, printed) in cases {
        let source = |call: &str| {
            format!(
                "PROGRAM p\nVAR\n    x : {block};\n    a : BOOL;\n    b : BOOL;\n    c : BOOL;\n    d : BOOL;\nEND_VAR\n{call}\nEND_PROGRAM\n"
            )
        };
        let program = parse(&source(typed)).expect(typed);
        assert_eq!(print(&program), source(printed));
        assert_eq!(parse(&source(printed)), Ok(program), "{printed}");
        met.insert(block);
    }
    assert_eq!(met.len(), Block::ALL.len());
}

/// What a contact reads of each block: its outputs, in any case of letters.
#[test]
fn outputs_of_blocks() {
    for block in Block::ALL {
        for pin in block.outputs() {
            let source = format!(
                "PROGRAM p VAR x : {}; q : BOOL; END_VAR q := X.{}; END_PROGRAM",
                block.word(),
                pin.to_lowercase()
            );
            let program = parse(&source).expect(&source);
            assert_eq!(program.rungs[0].logic, Network::open(format!("x.{pin}")));
        }
        if let Some(value) = block.value() {
            let figure = if value == "ET" { "T#5ms" } else { "5" };
            let source = format!(
                "PROGRAM p VAR x : {}; q : BOOL; END_VAR q := x.{value} > {figure}; END_PROGRAM",
                block.word()
            );
            assert_eq!(
                print_network(&parse(&source).expect(&source).rungs[0].logic),
                format!("x.{value} > {figure}")
            );
        }
    }
}

#[test]
fn durations() {
    let cases = [
        ("T#0ms", 0),
        ("T#0s", 0),
        ("t#14ms", 14),
        ("T#14.7s", 14_700),
        ("T#1.5m", 90_000),
        ("TIME#25h_15m", 90_900_000),
        ("T#5d14h12m18s3ms", 482_400_000 + 720_000 + 18_003),
        ("T#1_000ms", 1_000),
        ("T#0.000005d", 432),
        ("T#1.250s", 1_250),
        ("T#2147483647ms", 2_147_483_647),
    ];
    for (text, time_ms) in cases {
        let program = program(&format!("t(IN := a, PT := {text});"));
        let Output::Block(Call { preset: Some(Constant::Time(preset_ms)), .. }) = program.rungs[0].output
        else {
            panic!("{text}")
        };
        assert_eq!(preset_ms, time_ms, "{text}");
        assert_eq!(parse(&print(&program)), Ok(program), "{text}");
    }
    let wrong = [
        "T#",
        "T#ms",
        "T#5",
        "T#1.5s2ms",
        "T#1ms1s",
        "T#1s1s",
        "T#-1s",
        "T#0.5ms",
        "T#1us",
        "T#1..5s",
        "T#1__0s",
        "T#1s_",
        "T#2147483648ms",
        "T#99999999999999999999999999d",
        "T#0.0000000000000000000001d",
        "T#_1s",
        "T#1.s",
        "T#.5s",
    ];
    for text in wrong {
        let errors = parse(&format!("{HEAD}t(IN := a, PT := {text});\nEND_PROGRAM")).expect_err(text);
        assert_eq!((errors.len(), errors[0].line, errors[0].column), (1, 3, 18), "{text}: {errors:?}");
    }
}

#[test]
fn comments_stay() {
    let source = "(* the paddle *)
PROGRAM p  // gear PG-1
(* before VAR *)
VAR
    (* field *)
    a AT %IX0.0 : BOOL; (* stop *) // break contact
    b : BOOL;
    // own line after b, before c
    c : BOOL; (* two
                 lines *)
    (* last in the block *)
END_VAR // after the block
(* 1 (* nested *) *)
(* more *)
b := a; // behind

c := a  (* inside *)
     AND (* and
   again *) b;
(* left over *)
END_PROGRAM
(* behind the end *)";
    let program = parse(source).expect("no errors");
    assert_eq!(program.comment, "the paddle\ngear PG-1\nbefore VAR\nbehind the end");
    assert_eq!(program.vars[0].comment, "field\nstop\nbreak contact");
    assert_eq!(program.vars[1].comment, "");
    assert_eq!(program.vars[2].comment, "own line after b, before c\ntwo\nlines\nlast in the block");
    assert_eq!(program.rungs[0].comment, "after the block\n1 (* nested *)\nmore\nbehind");
    assert_eq!(program.rungs[1].comment, "inside\nand\nagain\nleft over");
    assert_eq!(parse(&print(&program)), Ok(program));
}

#[test]
fn a_comment_inside_a_rung_that_begins_on_another_ones_line_is_its_own() {
    let source = "PROGRAM p VAR a : BOOL; b (* of b *) : BOOL; END_VAR a := b; (* of a *) b := a (* mine *) AND b; END_PROGRAM";
    let program = parse(source).expect("no errors");
    let comments: Vec<_> = program.rungs.iter().map(|rung| rung.comment.as_str()).collect();
    assert_eq!(comments, ["of a", "mine"]);
    assert_eq!(program.vars[1].comment, "of b");
}

#[test]
fn declarations() {
    let source = "PROGRAM p
VAR x, y : BOOL := TRUE; m AT %MX255.7 : BOOL; i AT %I7.7 : BOOL; END_VAR
VAR RETAIN k : BOOL; END_VAR
VAR NON_RETAIN END_VAR
END_PROGRAM";
    let program = parse(source).expect("no errors");
    let names: Vec<_> = program.vars.iter().map(|var| (var.name.as_str(), var.initial, var.retain)).collect();
    assert_eq!(
        names,
        [
            ("x", true, false),
            ("y", true, false),
            ("m", false, false),
            ("i", false, false),
            ("k", false, true)
        ]
    );
    assert_eq!(program.vars[3].address.map(|address| address.to_string()).as_deref(), Some("%IX7.7"));
    assert_eq!(parse(&print(&program)), Ok(program));
}

#[test]
fn a_long_rung_is_broken_before_its_outer_operators() {
    let source = format!(
        "{HEAD}q := (a AND b OR c AND d) AND a AND b AND c AND d AND (a OR b) AND (c OR d) AND a AND b AND c AND d AND a;\nEND_PROGRAM"
    );
    let text = print(&parse(&source).expect("no errors"));
    assert!(text.contains("q := (a AND b OR c AND d)\n    AND a\n"), "{text}");
}

/// An expression with NOT over groups, as text and as what it is worth.
enum Formula {
    Bit(u32),
    Not(Box<Formula>),
    And(Vec<Formula>),
    Or(Vec<Formula>),
}

impl Formula {
    fn random(numbers: &mut Numbers, depth: u32) -> Self {
        let some = |numbers: &mut Numbers| {
            (0..2 + numbers.below(3)).map(|_| Formula::random(numbers, depth - 1)).collect::<Vec<_>>()
        };
        match numbers.below(if depth == 0 { 1 } else { 4 }) {
            0 => Formula::Bit(numbers.below(4)),
            1 => Formula::Not(Box::new(Formula::random(numbers, depth - 1))),
            2 => Formula::And(some(numbers)),
            _ => Formula::Or(some(numbers)),
        }
    }

    fn text(&self) -> String {
        let join = |parts: &[Formula], word| {
            format!("({})", parts.iter().map(Formula::text).collect::<Vec<_>>().join(word))
        };
        match self {
            Formula::Bit(bit) => ["a", "b", "c", "d"][*bit as usize].to_owned(),
            Formula::Not(inner) => format!("NOT {}", inner.text()),
            Formula::And(parts) => join(parts, " AND "),
            Formula::Or(parts) => join(parts, " OR "),
        }
    }

    fn value(&self, inputs: u64) -> bool {
        match self {
            Formula::Bit(bit) => inputs >> bit & 1 == 1,
            Formula::Not(inner) => !inner.value(inputs),
            Formula::And(parts) => parts.iter().all(|part| part.value(inputs)),
            Formula::Or(parts) => parts.iter().any(|part| part.value(inputs)),
        }
    }
}

#[test]
fn random_formulas_keep_their_value_for_all_inputs() {
    let mut numbers = Numbers::new(61131);
    for _ in 0..2_000 {
        let formula = Formula::random(&mut numbers, 5);
        let program = program(&format!("q := {};", formula.text()));
        let compiled = compile(&program, 5);
        for inputs in 0..16 {
            let mut memory = compiled.cold_start();
            let output = compiled.scan(&mut memory, inputs) == 1;
            assert_eq!(output, formula.value(inputs), "{} at {inputs:04b}", formula.text());
        }
    }
}

#[test]
fn groups_come_out_flat() {
    let logic = &program("q := a AND (b AND c) AND (c OR (d OR a));").rungs[0].logic;
    let open = |name: &str| Network::open(name);
    let branches = Network::Parallel(vec![open("c"), open("d"), open("a")]);
    assert_eq!(*logic, Network::Series(vec![open("a"), open("b"), open("c"), branches]));
}
