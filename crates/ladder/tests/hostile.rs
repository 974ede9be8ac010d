//! Texts that nobody means well with: they give an error or a program, never a panic, a hang or a stack overflow.

mod normal;

use sealin_ladder::generate::{Numbers, Shape, program};
use sealin_ladder::{
    MAX_NESTING, MAX_SOURCE_BYTES, compile, insert_rung, parse, print, read, remarks, remove_rung,
    replace_rung,
};

const HEAD: &str = "PROGRAM p VAR a AT %IX0.0 : BOOL; q AT %QX0.0 : BOOL; END_VAR q := ";

/// Reads, and if it is a program puts it through everything. Runs on a thread with a small stack.
fn survives(source: &str) {
    let reading = read(source);
    let compiled = compile(&reading.program, 5);
    compiled.scan(&mut compiled.cold_start(), u64::MAX);
    remarks(&reading.program);
    for (index, rung) in reading.program.rungs.iter().enumerate() {
        let place = reading.rung_places[index];
        assert!(source.is_char_boundary(place.start as usize) && source.is_char_boundary(place.end as usize));
        sealin_ladder::lay_out(rung).passing(&|_, _| true, &|_| true);
    }
    // A rung of a text with errors elsewhere can be changed too.
    if let Some(rung) = reading.program.rungs.first() {
        assert!(replace_rung(source, &reading, 0, rung).is_some());
        assert!(insert_rung(source, &reading, 0, rung).is_some());
        assert!(remove_rung(source, &reading, 0).is_some());
    }
    if let Ok(program) = parse(source) {
        let printed = print(&program);
        // Printed one operator a line a text can outgrow the limit.
        if printed.len() <= MAX_SOURCE_BYTES {
            assert!(parse(&printed).as_ref() == Ok(&program), "{}", &printed[..printed.len().min(2000)]);
        }
    }
}

#[test]
fn ten_megabytes_are_refused_with_the_place() {
    let errors = parse(&"q := a AND b;\n".repeat(750_000)).expect_err("too long");
    assert_eq!(errors.len(), 1);
    // 65,536 = 4,681 lines of 14 bytes and 2 bytes more.
    assert_eq!((errors[0].line, errors[0].column), (4682, 3));
    assert!(errors[0].message.contains("65536"), "{errors:?}");
}

#[test]
fn noise_of_ten_megabytes_is_refused() {
    let mut numbers = Numbers::new(10);
    let noise: String = (0..5_000_000).map(|_| char::from_u32(numbers.below(0x2ff)).unwrap_or('?')).collect();
    assert_eq!(parse(&noise).expect_err("too long").len(), 1);
}

#[test]
fn the_limit_of_the_text_is_where_it_says() {
    let text = format!("{HEAD}a; END_PROGRAM");
    let filled = format!("{}{text}", " ".repeat(MAX_SOURCE_BYTES - text.len()));
    assert!(parse(&filled).is_ok());
    assert!(parse(&format!(" {filled}")).is_err());
}

#[test]
fn nesting_of_200_000_is_refused_by_length_and_that_of_a_full_text_by_depth() {
    assert!(parse(&format!("{HEAD}{}a{};", "(".repeat(200_000), ")".repeat(200_000))).is_err());
    for unit in [
        "(",
        "NOT (",
        "NOT ",
        "a AND (",
        "(*",
        "IF a THEN ",
        "a(",
        "a OR NOT((",
        "5<(",
        "edge_1(CLK:=(",
        "-(",
    ] {
        let text = format!("{HEAD}{}", unit.repeat((MAX_SOURCE_BYTES - HEAD.len()) / unit.len()));
        assert!(parse(&text).is_err(), "{unit}");
        survives(&text);
    }
}

#[test]
fn the_limit_of_nesting_is_where_it_says() {
    let nested = |depth: usize| format!("{HEAD}{}a{}; END_PROGRAM", "(".repeat(depth), ")".repeat(depth));
    assert!(parse(&nested(MAX_NESTING as usize)).is_ok());
    let errors = parse(&nested(MAX_NESTING as usize + 1)).expect_err("too deep");
    assert_eq!(errors.len(), 1);
    assert_eq!(errors[0].column as usize, HEAD.len() + MAX_NESTING as usize + 1);
}

#[test]
fn the_deepest_network_goes_through_everything_on_a_small_stack() {
    let mut deep = "a".to_owned();
    for level in 0..MAX_NESTING {
        deep = if level % 2 == 0 { format!("(a OR {deep})") } else { format!("(a AND {deep})") };
    }
    let text = format!("{HEAD}{deep}; END_PROGRAM");
    assert!(parse(&text).is_ok());
    let small = std::thread::Builder::new().stack_size(512 * 1024).spawn(move || survives(&text));
    small.expect("a thread").join().expect("no overflow");
}

#[test]
fn wide_texts_take_no_time_that_grows_with_the_square() {
    // Each fills the limit; what is quadratic in it would be seen as a hang.
    let fill = |unit: &str, room: usize| unit.repeat((MAX_SOURCE_BYTES - room) / unit.len());
    survives(&format!("{HEAD}{}a; END_PROGRAM", fill("q OR ", 200)));
    survives(&format!("{HEAD}{}a; END_PROGRAM", fill("q AND a OR ", 200)));
    survives(&format!("{HEAD}{}a; END_PROGRAM", fill("zz OR ", 200)));
    survives(&format!("{HEAD}a; {} END_PROGRAM", fill("q:=q;", 200)));
    survives(&format!("{HEAD}a; {} END_PROGRAM", fill("(**)", 200)));
    survives(&format!("{HEAD}a; {} END_PROGRAM", fill("(*1*)", 200)));
    survives(&format!("{HEAD}a; {} END_PROGRAM", fill("; // 1\n", 200)));
    let many: String = (0..3_000).map(|index| format!("b{index}:BOOL;")).collect();
    survives(&format!("PROGRAM p VAR {many} END_VAR {} END_PROGRAM", fill("c9:=d1;", 36_000)));
    survives(&format!("PROGRAM p VAR {many} END_VAR {} END_PROGRAM", fill("b2999:=b2998;", 36_000)));
    survives(&format!("PROGRAM p {} END_PROGRAM", fill("VAR END_VAR (*1*)", 200)));
    survives(&format!("PROGRAM p {} END_PROGRAM", fill("VAR edge_1:R_TRIG; END_VAR (*1*)", 200)));
    let edges: String = (0..900).map(|index| format!("VAR edge_{index}:F_TRIG; END_VAR (*1*)")).collect();
    let calls: String = (0..900).map(|index| format!("edge_{index}(CLK:=a);")).collect();
    survives(&format!("{HEAD}a; {edges} {calls} q:=a; END_PROGRAM"));
    let read: String = (0..900).map(|index| format!("edge_{index}.Q OR ")).collect();
    survives(&format!("PROGRAM p VAR a:BOOL; END_VAR {edges} {calls} a:={read}a; END_PROGRAM"));
    survives(&format!("{HEAD}a; {} END_PROGRAM", fill("edge_1(CLK:=a);", 200)));
    survives(&format!("{HEAD}{}a; END_PROGRAM", fill("a<5 OR ", 200)));
    survives(&format!("{HEAD}{}a; END_PROGRAM", fill("5<", 200)));
    survives(&format!("{HEAD}a; a({}); END_PROGRAM", fill("CU:=a,", 200)));
}

#[test]
fn a_text_cut_anywhere() {
    let text = print(&program(7, &Shape::SMALL));
    let text = text + &print(&normal::program(7));
    for end in (0..=text.len()).filter(|end| text.is_char_boundary(*end)) {
        survives(&text[..end]);
        survives(&text[end..]);
    }
}

#[test]
fn texts_with_pieces_moved_dropped_and_put_in() {
    const PIECES: [&str; 52] = [
        "(",
        ")",
        "(*",
        "*)",
        "//",
        "\n",
        ";",
        ":=",
        ":",
        ",",
        ".",
        "=>",
        "AND",
        "OR",
        "NOT",
        "XOR",
        "IF",
        "THEN",
        "END_IF",
        "VAR",
        "END_VAR",
        "PROGRAM",
        "END_PROGRAM",
        "AT",
        "%IX0.0",
        "%",
        "T#1s",
        "T#",
        "#",
        "BOOL",
        "TON",
        "TRUE",
        "1",
        "'",
        "\"",
        "é",
        "\u{0}",
        "FOR",
        "wait0",
        "RETAIN",
        "edge_1",
        "edge_1.Q",
        "edge_2(CLK := I0_in);",
        "edge_1 : F_TRIG;",
        "VAR edge_9 : R_TRIG; END_VAR",
        "ctu_0x",
        "ctu_0x.CV >= 5",
        ">=",
        "-5",
        "<> T#2s",
        ", R := Q0_out",
        "first_scan",
    ];
    let mut numbers = Numbers::new(40);
    for seed in 0..4_000 {
        let mut text = match seed % 2 {
            0 => print(&program(seed % 50, &Shape::SMALL)),
            _ => print(&normal::program(seed % 100)),
        };
        for _ in 0..1 + numbers.below(6) {
            let at = |numbers: &mut Numbers, text: &str| {
                let mut at = numbers.below(text.len() as u32 + 1) as usize;
                while !text.is_char_boundary(at) {
                    at -= 1;
                }
                at
            };
            let (x, y) = (at(&mut numbers, &text), at(&mut numbers, &text));
            match numbers.below(3) {
                0 => text.insert_str(x, PIECES[numbers.below(PIECES.len() as u32) as usize]),
                1 if x < text.len() => {
                    text.remove(x);
                }
                _ => {
                    let piece = text[x.min(y)..x.max(y)].chars().take(30).collect::<String>();
                    text.insert_str(x, &piece);
                }
            }
        }
        survives(&text);
    }
}

#[test]
fn a_program_made_otherwise_compiles_and_runs() {
    use sealin_ladder::{Block, Call, Network, Output, Program, Rung};
    let rung = |logic, output| Rung { comment: "*) (*".to_owned(), logic, output };
    let program = Program {
        name: "p".to_owned(),
        rungs: vec![
            rung(Network::open("nowhere"), Output::Coil { var: "nowhere".to_owned() }),
            rung(Network::Series(Vec::new()), Output::Set { var: "nowhere".to_owned() }),
            rung(
                Network::Parallel(vec![Network::Parallel(Vec::new()), Network::Series(vec![Network::True])]),
                Output::Block(Call::timer("nowhere", Block::Ton, u32::MAX)),
            ),
        ],
        ..Program::default()
    };
    let input = parse("PROGRAM p VAR a AT %IX0.0 : BOOL; END_VAR END_PROGRAM").expect("no errors");
    let coil = rung(Network::False, Output::Coil { var: "a".to_owned() });
    let compiled = compile(&Program { rungs: vec![coil], ..input }, 5);
    let mut memory = compiled.cold_start();
    compiled.scan(&mut memory, 1);
    assert_eq!(compiled.value(&memory, "a"), Some(true), "no coil writes an input");

    let compiled = compile(&program, 0);
    let mut memory = compiled.cold_start();
    assert_eq!(compiled.scan(&mut memory, u64::MAX), 0);
    assert_eq!(memory, compiled.cold_start());
    assert!(print(&program).contains("* ) ( *"));
}
