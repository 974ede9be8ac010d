//! Where a rung's parts stand, which pass power, and what changes to a rung give. Places are worked out by hand.

use sealin_ladder::edit;
use sealin_ladder::generate::{Numbers, Shape, program as generated};
use sealin_ladder::layout::{ItemKind, Pin, PinKind, Point, Segment, Span, lay_out, lay_out_to};
use sealin_ladder::{Block, Call, Constant, Contact, Test};
use sealin_ladder::{
    Network, Output, Program, Rung, insert_rung, parse, print, print_network, read, remove_rung, replace_rung,
};

const HEAD: &str = "PROGRAM p VAR a, b, c, d, e, f, q : BOOL; t : TON; END_VAR ";

fn rung(statement: &str) -> Rung {
    parse(&format!("{HEAD}{statement} END_PROGRAM")).expect("no errors").rungs.remove(0)
}

/// `name column,row from>to` of each contact and output.
fn items(rung: &Rung) -> Vec<String> {
    let show = |kind: &ItemKind| match kind {
        ItemKind::Contact { contact: Contact::Bit { var, test }, .. } => {
            format!("{}{var}", if *test == Test::Closed { "/" } else { "" })
        }
        ItemKind::Contact { contact, .. } => panic!("{contact:?}"),
        ItemKind::Link => "link".to_owned(),
        ItemKind::Gap => "gap".to_owned(),
        ItemKind::Coil(output) => format!("({})", output.var()),
        ItemKind::Block { call, .. } => format!("[{}]", call.instance),
    };
    let items = lay_out(rung).items;
    items.iter().map(|i| format!("{} {},{} {}>{}", show(&i.kind), i.column, i.row, i.from, i.to)).collect()
}

/// `point: x1,y1-x2,y2 …` of each wire.
fn wires(rung: &Rung) -> Vec<String> {
    let show = |s: &Segment| format!("{},{}-{},{}", s.x1, s.y1, s.x2, s.y2);
    let wires = lay_out(rung).wires;
    wires
        .iter()
        .map(|w| format!("{}: {}", w.point, w.segments.iter().map(show).collect::<Vec<_>>().join(" ")))
        .collect()
}

#[test]
fn the_holding_rung() {
    // a--b--+--/c--(q)
    // q-----+
    let rung = rung("q := (a AND b OR q) AND NOT c;");
    let layout = lay_out(&rung);
    assert_eq!((layout.columns, layout.rows), (4, 2));
    assert_eq!(items(&rung), ["a 0,0 0>1", "b 1,0 1>2", "q 0,1 0>3", "/c 2,0 4>5", "(q) 3,0 5>6"]);
    assert_eq!(wires(&rung), ["0: 0,0-0,1", "3: 1,1-2,1", "4: 2,0-2,1"]);
    assert_eq!(layout.points[4], Point::Join(vec![2, 3]));
}

#[test]
fn groups_inside_groups_keep_apart() {
    // a--+--b--+----c--(q)
    // d--+     |
    // e--f-----+
    let rung = rung("q := ((a OR d) AND b OR e AND f) AND c;");
    assert_eq!((lay_out(&rung).columns, lay_out(&rung).rows), (4, 3));
    assert_eq!(
        items(&rung),
        ["a 0,0 0>1", "d 0,1 0>2", "b 1,0 3>4", "e 0,2 0>5", "f 1,2 5>6", "c 2,0 7>8", "(q) 3,0 8>9"]
    );
    assert_eq!(wires(&rung), ["0: 0,0-0,1 0,0-0,2", "3: 1,0-1,1", "7: 2,0-2,2"]);
}

#[test]
fn blocks_links_gaps_and_room() {
    let timer = rung("t(IN := a, PT := T#1s);");
    let layout = lay_out_to(&timer, 6);
    assert_eq!((layout.columns, layout.rows), (6, 2));
    let block = layout.items.last().expect("a block");
    assert_eq!((block.column, block.row, block.width, block.height), (4, 0, 2, 2));
    assert_eq!(layout.wires.len(), 1);
    assert_eq!(layout.wires[0].segments, [Segment { x1: 1, y1: 0, x2: 4, y2: 0 }]);
    assert_eq!(
        items(&rung("q := a AND TRUE OR FALSE;")),
        ["a 0,0 0>1", "link 1,0 1>2", "gap 0,1 0>3", "(q) 2,0 4>5"]
    );
    assert_eq!(items(&rung("q := TRUE;")), ["link 0,0 0>1", "(q) 1,0 1>2"]);
}

/// A counter with what its inputs after the first are given.
fn counter(block: Block, logic: Network, further: Vec<Option<Network>>) -> Rung {
    let preset = Some(Constant::Count(3));
    let output = Output::Block(Call { instance: "n".to_owned(), block, further, preset });
    Rung { comment: String::new(), logic, output }
}

#[test]
fn each_input_of_a_block_has_rows_of_its_own() {
    // a--b--[CU   Q]
    // d--+--[R     ]
    // e--+
    let reset = Network::Parallel(vec![Network::open("d"), Network::open("e")]);
    let count = Network::Series(vec![Network::open("a"), Network::open("b")]);
    let rung = counter(Block::Ctu, count, vec![Some(reset)]);
    let layout = lay_out(&rung);
    assert_eq!((layout.columns, layout.rows), (4, 3));
    assert_eq!(items(&rung), ["a 0,0 0>1", "b 1,0 1>2", "d 0,1 0>3", "e 0,2 0>4", "[n] 2,0 2>6"]);
    assert_eq!(wires(&rung), ["0: 0,1-0,2", "5: 1,1-1,2 1,1-2,1"]);
    assert_eq!(layout.networks, [Span { row: 0, rows: 1, columns: 2 }, Span { row: 1, rows: 2, columns: 1 }]);
    let block = layout.items.last().expect("a block");
    assert_eq!((block.width, block.height), (2, 2));
    let ItemKind::Block { pins, .. } = &block.kind else { panic!("{block:?}") };
    // IEC 61131-3, table of counters: CU, R, PV at the left; Q, CV at the right.
    let pin = |name, kind, row| Pin { name, kind, row };
    assert_eq!(
        *pins,
        [
            pin("CU", PinKind::Input(Some(2)), 0),
            pin("R", PinKind::Input(Some(5)), 1),
            pin("PV", PinKind::Preset, 1),
            pin("Q", PinKind::Output, 0),
            pin("CV", PinKind::Value, 0),
        ]
    );
}

#[test]
fn an_open_input_keeps_a_row_and_contacts_are_counted_through_all_networks() {
    let rung = counter(
        Block::Ctud,
        Network::open("a"),
        vec![None, Some(Network::Series(vec![Network::closed("b"), Network::open("c")])), None],
    );
    let layout = lay_out(&rung);
    assert_eq!((layout.columns, layout.rows), (4, 4));
    assert_eq!(items(&rung), ["a 0,0 0>1", "/b 0,2 0>2", "c 1,2 2>3", "[n] 2,0 1>4"]);
    let indices: Vec<u32> = layout.items.iter().filter_map(|item| item.kind.contact()).collect();
    assert_eq!(indices, [0, 1, 2]);
    let ItemKind::Block { pins, .. } = &layout.items[3].kind else { panic!() };
    let seen: Vec<_> = pins.iter().map(|pin| (pin.name, pin.row)).collect();
    let left = [("CU", 0), ("CD", 1), ("R", 2), ("LD", 3), ("PV", 3)];
    assert_eq!(seen, [left.as_slice(), &[("QU", 0), ("QD", 1), ("CV", 1)]].concat());
    assert_eq!(pins[1].kind, PinKind::Input(None));
    assert_eq!(pins[2].kind, PinKind::Input(Some(3)));
}

#[test]
fn each_pin_has_the_state_of_its_own_network() {
    let rung = counter(
        Block::Ctu,
        Network::open("a"),
        vec![Some(Network::Parallel(vec![Network::closed("b"), Network::open("c")]))],
    );
    for bits in 0..8u8 {
        let on = |name: &str| bits >> (name.as_bytes()[0] - b'a').min(7) & 1 == 1;
        let layout = lay_out(&rung);
        let shown = layout.passing(&|_, contact| plainly(contact, &on), &on);
        let ItemKind::Block { pins, .. } = &layout.items.last().expect("a block").kind else { panic!() };
        let fed = |pin: &Pin| match pin.kind {
            PinKind::Input(Some(point)) => Some(shown.points[point as usize]),
            _ => None,
        };
        let fed: Vec<bool> = pins.iter().filter_map(fed).collect();
        assert_eq!(fed, [on("a"), !on("b") || on("c")], "{bits:03b}");
    }
}

#[test]
fn power_flows_from_left_to_right_only() {
    let rung = rung("q := (a AND b OR q) AND NOT c;");
    let on = |names: &'static [&'static str]| {
        let bit = move |name: &str| names.contains(&name);
        lay_out(&rung).passing(&move |_, contact| plainly(contact, &bit), &bit)
    };
    // Held: the upper branch is dead behind its contacts, though its right end meets a live link.
    let held = on(&["q"]);
    assert_eq!(held.closed, [false, false, true, true, true]);
    assert_eq!(held.items, [false, false, true, true, true]);
    assert_eq!(held.points, [true, false, false, true, true, true, true]);
    assert_eq!(held.wires, [true, true, true]);
    // b is closed, but nothing reaches it.
    let waiting = on(&["b"]);
    assert_eq!(waiting.closed, [false, true, false, true, false]);
    assert_eq!(waiting.items, [false, false, false, false, false]);
    assert_eq!(waiting.wires, [true, false, false]);
    // The coil's bit may be 1 while its rung does not pass: another rung has set it.
    let stopped = on(&["q", "c"]);
    assert_eq!(stopped.closed, [false, false, true, false, true]);
    assert_eq!(stopped.items, [false, false, true, false, false]);
}

#[test]
fn power_reaches_the_output_exactly_if_the_network_passes() {
    fn passes(logic: &Network, bit: &dyn Fn(&str) -> bool) -> bool {
        match logic {
            Network::Contact(Contact::Bit { var, test }) => bit(var) != (*test == Test::Closed),
            Network::Contact(contact) => panic!("{contact:?}"),
            Network::Series(parts) => parts.iter().all(|part| passes(part, bit)),
            Network::Parallel(parts) => parts.iter().any(|part| passes(part, bit)),
            Network::True => true,
            Network::False => false,
        }
    }
    let mut live = 0;
    for seed in 0..400 {
        for rung in
            generated(seed, &Shape { depth: 6, contacts: 14, compares: false, edges: false, ..Shape::SMALL })
                .rungs
        {
            let layout = lay_out(&rung);
            // No two items share a cell, and all lie inside.
            let mut cells = std::collections::BTreeSet::new();
            for item in &layout.items {
                for column in item.column..item.column + item.width {
                    for row in item.row..item.row + item.height {
                        assert!(column < layout.columns && row < layout.rows);
                        assert!(cells.insert((column, row)), "two items at {column}, {row}");
                    }
                }
            }
            let bits = Numbers::new(seed).bits();
            let bit = |name: &str| bits >> (name.bytes().map(u64::from).sum::<u64>() % 64) & 1 == 1;
            let shown = layout.passing(&|_, contact| plainly(contact, &bit), &bit);
            let reached = shown.points[layout.items.last().expect("an output").from as usize];
            assert_eq!(reached, passes(&rung.logic, &bit), "{}", print_network(&rung.logic));
            live += u32::from(reached);
        }
    }
    assert!((600..2600).contains(&live), "{live} of 3,200 pass");
}

#[test]
fn changes() {
    let start = rung("q := (a AND b OR q) AND NOT c;");
    let logic = |rung: Option<Rung>| rung.map(|rung| print_network(&rung.logic));
    let x = || Network::open("f");
    let cases = [
        (edit::insert_before(&start, 0, x()), "(f AND a AND b OR q) AND NOT c"),
        (edit::insert_after(&start, 1, x()), "(a AND b AND f OR q) AND NOT c"),
        (edit::insert_after(&start, 2, x()), "(a AND b OR q AND f) AND NOT c"),
        (edit::insert_before(&start, 3, Network::closed("f")), "(a AND b OR q) AND NOT f AND NOT c"),
        (Some(edit::append(&start, x())), "(a AND b OR q) AND NOT c AND f"),
        (edit::branch_around(&start, 1, 1, x()), "(a AND (b OR f) OR q) AND NOT c"),
        (edit::branch_around(&start, 0, 1, x()), "(a AND b OR f OR q) AND NOT c"),
        (edit::branch_around(&start, 2, 0, x()), "(a AND b OR q OR f) AND NOT c"),
        (edit::branch_around(&start, 0, 3, x()), "(a AND b OR q) AND NOT c OR f"),
        (edit::branch_around(&start, 3, 3, x()), "(a AND b OR q) AND (NOT c OR f)"),
        (edit::negate(&start, 0), "(NOT a AND b OR q) AND NOT c"),
        (edit::negate(&start, 3), "(a AND b OR q) AND c"),
        (edit::rename(&start, 3, "d"), "(a AND b OR q) AND NOT d"),
        (edit::delete(&start, 0), "(b OR q) AND NOT c"),
        (edit::delete(&start, 2), "a AND b AND NOT c"),
        (edit::delete(&start, 3), "a AND b OR q"),
    ];
    for (changed, expected) in cases {
        assert_eq!(changed.as_ref().map(|rung| &rung.output), Some(&start.output));
        assert_eq!(logic(changed).as_deref(), Some(expected));
    }
    for beyond in [4, u32::MAX] {
        assert_eq!(edit::negate(&start, beyond), None);
        assert_eq!(edit::branch_around(&start, 0, beyond, x()), None);
        assert_eq!(edit::delete(&start, beyond), None);
    }
    let single = edit::delete(&rung("q := a;"), 0);
    assert_eq!(logic(single.clone()).as_deref(), Some("TRUE"));
    assert_eq!(logic(single.map(|rung| edit::append(&rung, x()))).as_deref(), Some("f"));
    // A link that is there on purpose stays.
    assert_eq!(logic(edit::delete(&rung("q := a AND TRUE OR b;"), 0)).as_deref(), Some("TRUE OR b"));
}

#[test]
fn negating_twice_gives_the_rung_back() {
    for rung in generated(5, &Shape::SMALL).rungs {
        for index in 0..rung.logic.contacts() {
            let twice = edit::negate(&rung, index).and_then(|once| edit::negate(&once, index));
            assert_eq!(twice.as_ref(), Some(&rung));
            assert_eq!(
                edit::delete(&rung, index).map(|less| less.logic.contacts()),
                Some(rung.logic.contacts() - 1)
            );
        }
    }
}

const TYPED: &str = "PROGRAM p (* the gear *)
VAR a, b, q : BOOL; END_VAR
(* one *)   q := a
      AND   b; (* with *) b := a OR q;   a := b; // last
  (* left over *)
END_PROGRAM (* behind *)
";

#[test]
fn one_rung_of_a_text_is_changed() {
    let reading = read(TYPED);
    let new = Rung {
        comment: "new".to_owned(),
        logic: Network::closed("a"),
        output: Output::Set { var: "b".to_owned() },
    };
    let text = replace_rung(TYPED, &reading, 1, &new).expect("a rung");
    assert_eq!(
        text,
        "PROGRAM p (* the gear *)
VAR a, b, q : BOOL; END_VAR
(* one *)   q := a
      AND   b; (* with *) 
(* new *)
IF NOT a THEN b := TRUE; END_IF;
   a := b; // last
  (* left over *)
END_PROGRAM (* behind *)
"
    );
    assert_eq!(replace_rung(TYPED, &reading, 3, &new), None);
    assert_eq!(insert_rung(TYPED, &reading, 4, &new), None);
    let empty = "PROGRAM p VAR b, a : BOOL; END_VAR END_PROGRAM";
    let text = insert_rung(empty, &read(empty), 0, &new).expect("room");
    assert_eq!(parse(&text).expect("no errors").rungs, [new]);
    let lines = "PROGRAM p VAR a : BOOL; END_VAR\na := a;\na := NOT a;\nEND_PROGRAM";
    let removed = remove_rung(lines, &read(lines), 0);
    assert_eq!(removed.as_deref(), Some("PROGRAM p VAR a : BOOL; END_VAR\na := NOT a;\nEND_PROGRAM"));
}

/// A program's text without line breaks that matter: statements of one line are put together.
fn squeezed(program: &Program) -> String {
    print(program).replace(";\nI", "; I").replace(";\nQ", ";Q")
}

#[test]
fn changes_to_a_text_are_changes_to_the_program() {
    for seed in 0..300 {
        let program = generated(seed, &Shape::SMALL);
        for text in [print(&program), squeezed(&program)] {
            let reading = read(&text);
            let program = reading.program.clone();
            let plain = |rung: &&Rung| !matches!(rung.output, Output::Block(_));
            let Some(new) = reading.program.rungs.iter().rfind(plain) else { continue };
            for index in 0..=program.rungs.len() {
                let mut expected = program.clone();
                expected.rungs.insert(index, new.clone());
                let text_with = insert_rung(&text, &reading, index, new).expect("room");
                assert_eq!(parse(&text_with), Ok(expected), "seed {seed}, before {index}:\n{text_with}");
                if index == program.rungs.len() {
                    continue;
                }
                let mut expected = program.clone();
                expected.rungs[index] = new.clone();
                let text_with = replace_rung(&text, &reading, index, new).expect("a rung");
                assert_eq!(parse(&text_with), Ok(expected), "seed {seed}, at {index}:\n{text_with}");
                let mut expected = program.clone();
                expected.rungs.remove(index);
                let text_without = remove_rung(&text, &reading, index).expect("a rung");
                assert_eq!(
                    parse(&text_without),
                    Ok(expected),
                    "seed {seed}, without {index}:\n{text_without}"
                );
            }
        }
    }
}

/// Whether a contact without memory passes.
fn plainly(contact: &Contact, bit: &dyn Fn(&str) -> bool) -> bool {
    match contact {
        Contact::Bit { var, test: Test::Open } => bit(var),
        Contact::Bit { var, test: Test::Closed } => !bit(var),
        other => panic!("{other:?}"),
    }
}

#[test]
fn stretches_are_copied_cut_and_moved() {
    let start = rung("q := (a AND b OR d) AND NOT c AND e;");
    let text = |network: Option<Network>| network.map(|network| print_network(&network));
    // Contacts: a 0, b 1, d 2, c 3, e 4.
    assert_eq!(text(edit::copy(&start, 0, 1)).as_deref(), Some("a AND b"));
    assert_eq!(text(edit::copy(&start, 0, 2)).as_deref(), Some("a AND b OR d"));
    assert_eq!(text(edit::copy(&start, 2, 3)).as_deref(), Some("(a AND b OR d) AND NOT c"));
    assert_eq!(text(edit::copy(&start, 4, 4)).as_deref(), Some("e"));
    let logic = |rung: Option<Rung>| rung.map(|rung| print_network(&rung.logic));
    assert_eq!(logic(edit::cut(&start, 0, 1)).as_deref(), Some("d AND NOT c AND e"));
    assert_eq!(logic(edit::cut(&start, 0, 2)).as_deref(), Some("NOT c AND e"));
    assert_eq!(logic(edit::cut(&start, 3, 4)).as_deref(), Some("a AND b OR d"));
    assert_eq!(logic(edit::cut(&start, 0, 4)).as_deref(), Some("TRUE"));
    let moved = |found: Option<(Rung, u32)>| found.map(|(rung, at)| (print_network(&rung.logic), at));
    let gone = |text: &str, at| Some((text.to_owned(), at));
    assert_eq!(moved(edit::shift(&start, 0, 0, true)), gone("(b AND a OR d) AND NOT c AND e", 1));
    assert_eq!(moved(edit::shift(&start, 0, 0, false)), None);
    assert_eq!(moved(edit::shift(&start, 3, 4, false)), gone("NOT c AND e AND (a AND b OR d)", 0));
    assert_eq!(moved(edit::shift(&start, 4, 4, false)), gone("(a AND b OR d) AND e AND NOT c", 3));
    assert_eq!(moved(edit::shift_branch(&start, 1, true)), gone("(d OR a AND b) AND NOT c AND e", 2));
    assert_eq!(moved(edit::shift_branch(&start, 2, false)), gone("(d OR a AND b) AND NOT c AND e", 0));
    assert_eq!(moved(edit::shift_branch(&start, 2, true)), None);
    assert_eq!(moved(edit::shift_branch(&start, 4, true)), None);
}

#[test]
fn inputs_of_a_block_are_filled_changed_and_left_open() {
    let start = counter(Block::Ctu, Network::open("a"), vec![None]);
    let reset = |rung: &Rung| match &rung.output {
        Output::Block(call) => call.further[0].as_ref().map(print_network),
        other => panic!("{other:?}"),
    };
    let filled = edit::append_to_input(&start, 0, Network::open("b")).expect("R");
    assert_eq!(reset(&filled).as_deref(), Some("b"));
    let longer = edit::append_to_input(&filled, 0, Network::closed("c")).expect("R");
    assert_eq!(reset(&longer).as_deref(), Some("b AND NOT c"));
    // Contact 0 is a, at CU; 1 and 2 are b and c, at R.
    assert_eq!(reset(&edit::negate(&longer, 2).expect("c")).as_deref(), Some("b AND c"));
    assert_eq!(reset(&edit::delete(&filled, 1).expect("b")), None, "nothing left: open, never a link");
    assert_eq!(reset(&edit::cut(&longer, 1, 2).expect("b and c")), None);
    assert_eq!(edit::copy(&longer, 0, 1), None, "two networks");
    assert_eq!(edit::append_to_input(&start, 1, Network::open("b")), None);
    assert_eq!(edit::set_input(&rung("q := a;"), 0, None), None);
}
