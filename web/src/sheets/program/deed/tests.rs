use super::*;
use sealin_ladder::{print_network, read};

const SOURCE: &str = "PROGRAM p
VAR
  a AT %IX0.0 : BOOL;   b : BOOL;
  q AT %QX0.0 : BOOL;
  t : TON;  n : CTU;
END_VAR
(* start *)
q := a   AND NOT b; // as wired
b:=q;
t(IN := a, PT := T#2s);
n(CU := a, PV := 3);
END_PROGRAM
";

fn at(rung: usize, part: Part) -> Option<Hand> {
    Some(Hand::at(rung, part))
}

fn contact(index: u32) -> Option<Hand> {
    at(0, Part::Contact(index))
}

fn after(source: &str, hand: Option<Hand>, deed: Deed) -> Done {
    let done = done(source, &read(source), hand, &deed).unwrap_or_else(|| panic!("{deed:?}"));
    let found = read(&done.source).diagnostics;
    assert!(found.is_empty(), "{deed:?}: {found:?}\n{}", done.source);
    done
}

fn logic(done: &Done, rung: usize) -> String {
    print_network(&read(&done.source).program.rungs[rung].logic)
}

#[test]
fn each_change_does_what_it_says() {
    let q = || Network::open("q");
    let both = Some(Hand { to: Some(1), ..Hand::at(0, Part::Contact(0)) });
    let cases = [
        (contact(0), Deed::Negate, "NOT a AND NOT b", contact(0)),
        (contact(1), Deed::Delete, "a", contact(0)),
        (contact(0), Deed::After(q()), "a AND q AND NOT b", contact(1)),
        (contact(0), Deed::Before(q()), "q AND a AND NOT b", contact(0)),
        (contact(1), Deed::Beside(q()), "a AND (NOT b OR q)", contact(2)),
        (both, Deed::Beside(q()), "a AND NOT b OR q", contact(2)),
        (contact(1), Deed::Read(q()), "a AND q", contact(1)),
        (at(0, Part::Output), Deed::After(q()), "a AND NOT b AND q", contact(2)),
        (contact(0), Deed::Shift(Way::Right), "NOT b AND a", contact(1)),
        (contact(1), Deed::Shift(Way::Left), "NOT b AND a", contact(0)),
    ];
    for (hand, deed, expected, next) in cases {
        let done = after(SOURCE, hand, deed.clone());
        assert_eq!((logic(&done, 0).as_str(), done.hand), (expected, next), "{deed:?}");
    }
}

#[test]
fn other_text_stays_as_written() {
    let changed = after(SOURCE, contact(0), Deed::Negate).source;
    assert!(changed.starts_with("PROGRAM p\nVAR\n  a AT %IX0.0 : BOOL;   b : BOOL;\n"));
    assert!(changed.contains("\nb:=q;\n"));
    assert!(changed.contains("start") && changed.contains("as wired"), "comments stay");
}

#[test]
fn the_last_contact_leaves_none_in_hand_and_one_can_be_put_back() {
    let once = after(SOURCE, contact(1), Deed::Delete);
    let none = after(&once.source, contact(0), Deed::Delete);
    assert_eq!((logic(&none, 0).as_str(), none.hand), ("TRUE", at(0, Part::Output)));
    let again = after(&none.source, none.hand, Deed::After(Network::open("a")));
    assert_eq!((logic(&again, 0).as_str(), again.hand), ("a", contact(0)));
}

#[test]
fn what_is_not_there_is_not_changed() {
    let reading = read(SOURCE);
    for hand in [contact(2), at(9, Part::Contact(0)), at(0, Part::Pin(0)), None] {
        assert_eq!(done(SOURCE, &reading, hand, &Deed::Negate), None, "{hand:?}");
    }
    assert_eq!(done("shorter", &reading, contact(0), &Deed::Negate), None);
    assert_eq!(done(SOURCE, &reading, at(0, Part::Rung), &Deed::Shift(Way::Up)), None);
    assert_eq!(done(SOURCE, &reading, at(3, Part::Rung), &Deed::Shift(Way::Down)), None);
}

#[test]
fn the_inputs_of_a_block_are_filled_and_left_open_again() {
    let reset = after(SOURCE, at(3, Part::Pin(0)), Deed::After(Network::open("b")));
    assert!(reset.source.contains("n(CU := a, R := b, PV := 3);"), "{}", reset.source);
    assert_eq!(reset.hand, at(3, Part::Contact(1)));
    let more = after(&reset.source, at(3, Part::Pin(0)), Deed::After(Network::closed("q")));
    assert!(more.source.contains("R := b AND NOT q"), "{}", more.source);
    assert_eq!(more.hand, at(3, Part::Contact(2)));
    let one = after(&reset.source, reset.hand, Deed::Delete);
    assert!(one.source.contains("n(CU := a, PV := 3);"), "the last contact leaves it open: {}", one.source);
    let open = after(&more.source, at(3, Part::Pin(0)), Deed::Delete);
    assert!(open.source.contains("n(CU := a, PV := 3);"), "{}", open.source);
}

#[test]
fn rungs_are_moved_doubled_and_taken_out() {
    let names = |done: &Done| -> Vec<String> {
        read(&done.source).program.rungs.iter().map(|rung| rung.output.var().to_string()).collect()
    };
    let down = after(SOURCE, at(0, Part::Rung), Deed::Shift(Way::Down));
    assert_eq!(
        (names(&down), down.hand),
        (vec!["b".into(), "q".into(), "t".into(), "n".into()], at(1, Part::Rung))
    );
    assert!(down.source.contains("q := a   AND NOT b; // as wired"), "as typed: {}", down.source);
    let back = after(&down.source, down.hand, Deed::Shift(Way::Up));
    assert_eq!(names(&back), ["q", "b", "t", "n"]);
    let double = after(SOURCE, at(2, Part::Rung), Deed::Duplicate);
    assert_eq!(names(&double), ["q", "b", "t", "t2", "n"], "an instance of its own");
    let less = after(SOURCE, at(3, Part::Rung), Deed::Delete);
    assert_eq!((names(&less), less.hand), (vec!["q".into(), "b".into(), "t".into()], at(2, Part::Rung)));
}

#[test]
fn a_rung_drives_something_else() {
    let set = after(SOURCE, at(0, Part::Output), Deed::Drive(Output::Set { var: "q".into() }));
    assert!(set.source.contains("THEN q := TRUE; END_IF;"), "{}", set.source);
    let old = &read(SOURCE).program.rungs;
    let call = call_of(Block::Tof, "t".into(), &old[2].output);
    let tof = after(SOURCE, at(2, Part::Output), Deed::Drive(Output::Block(call)));
    assert!(tof.source.contains("t : TOF;") && tof.source.contains("PT := T#2s"), "{}", tof.source);
    let call = call_of(Block::Ctu, "count".into(), &old[0].output);
    let ctu = after(SOURCE, at(0, Part::Output), Deed::Drive(Output::Block(call)));
    assert!(ctu.source.contains("count : CTU;") && ctu.source.contains("count(CU := a AND NOT b, PV := 3);"));
}

#[test]
fn a_name_is_numbered_on() {
    let reading = read(SOURCE);
    assert_eq!(
        [free_name(&reading, "t"), free_name(&reading, "timer"), free_name(&reading, "x7")],
        ["t2", "timer1", "x8"]
    );
}
