//! Expressions: text and back, places of errors, and the monitors against their definitions over the whole history.

use sealin_core::part::{Colour, Control, Form, Kind, Part, Place};
use sealin_core::{Design, Plan};
use sealin_proof::expr::{Expr, Formula, MOST_DEPTH, Name, parse, parse_requirement};

/// A design of three buttons: no controller, so that the grid is 10 ms.
fn design() -> Design {
    let button = |tag: &str| Part {
        tag: tag.to_string(),
        function: String::new(),
        place: Place::Station,
        kind: Kind::Control(Control::button(Form::Make, Colour::White)),
    };
    let plan = Plan { parts: ["SF1", "SF2", "SF3"].map(button).to_vec(), ..Plan::default() };
    Design::build(&plan).unwrap()
}

const NAMES: [&str; 3] = ["SF1.pressed", "SF2.pressed", "SF3.pressed"];
const GRID: usize = 10;

struct Random(u64);

impl Random {
    fn below(&mut self, n: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 33) as usize) % n
    }

    fn expr(&mut self, depth: usize) -> Expr {
        let kinds = if depth == 0 { 2 } else { 12 };
        let bound = |r: &mut Random| (r.below(4) * GRID) as u64;
        match self.below(kinds) {
            0 => Expr::Signal(Name { text: NAMES[self.below(3)].to_string(), column: 1 }),
            1 if depth > 0 => Expr::Constant(self.below(2) == 0),
            1 => Expr::Signal(Name { text: NAMES[self.below(3)].to_string(), column: 1 }),
            2 => Expr::Not(Box::new(self.expr(depth - 1))),
            // Operands of `and` and `or` that are themselves `and` or `or` would be read as one list.
            3 => Expr::And(vec![self.expr(0), Expr::Not(Box::new(self.expr(depth - 1)))]),
            4 => Expr::Or(vec![self.expr(0), Expr::Not(Box::new(self.expr(depth - 1))), self.expr(0)]),
            5 => Expr::Implies(Box::new(self.expr(depth - 1)), Box::new(self.expr(depth - 1))),
            6 => Expr::Rose(Box::new(self.expr(depth - 1))),
            7 => Expr::Fell(Box::new(self.expr(depth - 1))),
            8 => Expr::Prev(Box::new(self.expr(depth - 1))),
            9 => {
                let bound = (self.below(4) > 0).then(|| bound(self));
                Expr::Once(Box::new(self.expr(depth - 1)), bound)
            }
            10 => {
                let bound = bound(self);
                Expr::Held(Box::new(self.expr(depth - 1)), bound)
            }
            _ => Expr::Since(Box::new(self.expr(depth - 1)), Box::new(self.expr(depth - 1))),
        }
    }
}

/// The definitions of the requirement language, read off the page: values at all ticks of a history.
fn by_definition(e: &Expr, history: &[[bool; 3]]) -> Vec<bool> {
    let ticks = 0..history.len();
    let grid_instants = |after: Option<usize>, to: usize| {
        (after.map_or(0, |s| s + 1)..=to).filter(|t| t.is_multiple_of(GRID)).count()
    };
    match e {
        Expr::Constant(c) => ticks.map(|_| *c).collect(),
        Expr::Signal(name) => {
            let n = NAMES.iter().position(|x| *x == name.text).unwrap();
            ticks.map(|t| history[t][n]).collect()
        }
        Expr::Not(x) => by_definition(x, history).iter().map(|v| !v).collect(),
        Expr::And(all) => {
            let all: Vec<_> = all.iter().map(|x| by_definition(x, history)).collect();
            ticks.map(|t| all.iter().all(|v| v[t])).collect()
        }
        Expr::Or(all) => {
            let all: Vec<_> = all.iter().map(|x| by_definition(x, history)).collect();
            ticks.map(|t| all.iter().any(|v| v[t])).collect()
        }
        Expr::Implies(a, b) => {
            let (a, b) = (by_definition(a, history), by_definition(b, history));
            ticks.map(|t| !a[t] || b[t]).collect()
        }
        Expr::Rose(x) => {
            let x = by_definition(x, history);
            ticks.map(|t| x[t] && !(t > 0 && x[t - 1])).collect()
        }
        Expr::Fell(x) => {
            let x = by_definition(x, history);
            ticks.map(|t| !x[t] && t > 0 && x[t - 1]).collect()
        }
        Expr::Prev(x) => {
            let x = by_definition(x, history);
            ticks.map(|t| t > 0 && x[t - 1]).collect()
        }
        Expr::Once(x, bound) => {
            let x = by_definition(x, history);
            let near =
                |s: usize, t: usize| bound.is_none_or(|ms| grid_instants(Some(s), t) * GRID <= ms as usize);
            ticks.map(|t| (0..=t).any(|s| x[s] && near(s, t))).collect()
        }
        Expr::Held(x, ms) => {
            let x = by_definition(x, history);
            ticks
                .map(|t| {
                    let failed = (0..=t).rev().find(|&s| !x[s]);
                    failed != Some(t) && grid_instants(failed, t) * GRID > *ms as usize
                })
                .collect()
        }
        Expr::Since(a, b) => {
            let (a, b) = (by_definition(a, history), by_definition(b, history));
            ticks.map(|t| (0..=t).any(|s| b[s] && (s + 1..=t).all(|u| a[u]))).collect()
        }
    }
}

#[test]
fn monitors_agree_with_the_definitions() {
    let design = design();
    let numbers = NAMES.map(|n| design.signal(n).unwrap());
    let mut random = Random(7);
    let (mut trues, mut falses) = (0, 0);
    for _ in 0..2_000 {
        let expr = random.expr(3);
        let mut now = [false; 3];
        let history: Vec<[bool; 3]> = (0..120)
            .map(|_| {
                for v in &mut now {
                    *v ^= random.below(9) == 0;
                }
                now
            })
            .collect();
        let formula = Formula::new(&expr, &design).unwrap();
        let mut memory = formula.memory();
        let seen: Vec<bool> = (0..)
            .zip(&history)
            .map(|(tick, values)| {
                let signal = |n: usize| values[numbers.iter().position(|&x| x == n).unwrap()];
                formula.step(&mut memory, tick, &signal)
            })
            .collect();
        assert_eq!(seen, by_definition(&expr, &history), "{expr}");
        trues += seen.iter().filter(|v| **v).count();
        falses += seen.iter().filter(|v| !**v).count();
    }
    assert!(trues > 20_000 && falses > 20_000, "{trues} true, {falses} false: both are met");
}

/// A bound ends up to one scan late, never early: by hand, grid 10. Seen at tick 13; at 20, 30, 40 the age is 1, 2, 3;
/// once(x, 20ms) holds up to tick 39, which is 26 ms and not less than 20.
#[test]
fn a_bound_by_hand() {
    let design = design();
    let value = |text: &str, at: u64, so: &dyn Fn(u64) -> bool| {
        let formula = Formula::new(&parse(text).unwrap(), &design).unwrap();
        let mut memory = formula.memory();
        (0..=at).map(|t| formula.step(&mut memory, t, &|_| so(t))).last().unwrap()
    };
    let seen = |t: u64| t == 13;
    for (tick, expected) in [(12, false), (13, true), (39, true), (40, false)] {
        assert_eq!(value("once(SF1.pressed, 20ms)", tick, &seen), expected, "tick {tick}");
    }
    // Fails at 13, so from 14 on; ages 1, 2, 3 at 20, 30, 40: held for 20 ms from 40 on, which is 26 ms and not less.
    let failed = |t: u64| t != 13;
    for (tick, expected) in [(13, false), (39, false), (40, true)] {
        assert_eq!(value("held(SF1.pressed, 20ms)", tick, &failed), expected, "tick {tick}");
    }
}

/// Counted by hand: rose 1, once 1, held 100 ms on a grid of 10: ages 0 to 11 need 4 bits.
#[test]
fn memory_is_counted() {
    let formula = Formula::new(
        &parse("rose(SF1.pressed) and once(SF2.pressed) and held(SF3.pressed, 100ms)").unwrap(),
        &design(),
    );
    assert_eq!(formula.unwrap().memory_bits(), 6);
}

#[test]
fn text_and_back() {
    for text in [
        "QA1.closed",
        "not QA1.closed and FC1.95-96",
        "a or b and not c",
        "(a or b) and c",
        "not (a and b)",
        "a implies b implies c",
        "(a implies b) implies c",
        "since(IX0.1 or IX0.2, IX0.1 and IX0.2)",
        "rose(QX0.0) and once(not IX0.0, 100ms) and not IX0.1",
        "prev(held(not QA1.closed, 20ms)) or fell(x) or true",
    ] {
        assert_eq!(parse(text).unwrap().to_string(), text);
    }
    assert_eq!(parse_requirement("never (a and b)").unwrap().to_string(), "never (a and b)");
    let mut random = Random(3);
    for _ in 0..2_000 {
        let expr = random.expr(4);
        assert_eq!(parse(&expr.to_string()).as_ref(), Ok(&expr), "{expr}");
    }
}

#[test]
fn errors_have_a_column_and_say_what_was_expected() {
    for (text, column, says) in [
        ("", 1, "a signal"),
        ("a and", 6, "a signal"),
        ("a b", 3, "and, or, implies"),
        ("(a or b", 8, ") is expected"),
        ("a && b", 3, "no meaning"),
        ("é and a", 1, "no meaning"),
        ("rise(a)", 1, "rose, fell, prev, once, held or since"),
        ("held(a)", 7, ", and a time"),
        ("held(a, b)", 9, "a time such as 200ms"),
        ("once(a, 5min)", 9, "ms or s"),
        ("since(a)", 8, ", is expected"),
        ("not", 4, "a signal"),
        ("and", 1, "a signal"),
    ] {
        let e = parse(text).unwrap_err();
        assert_eq!(e.column, column, "{text}: {e}");
        assert!(e.message.contains(says), "{text}: {e}");
    }
    assert_eq!(parse_requirement("a").unwrap_err().column, 1);
    let deep = "(".repeat(5000);
    assert!(parse(&deep).is_err());
    let at_limit = |n: u32| format!("{}a", "not ".repeat(n as usize));
    assert!(parse(&at_limit(MOST_DEPTH)).is_ok());
    assert!(parse(&at_limit(MOST_DEPTH + 1)).unwrap_err().message.contains("nested deeper"));
}

#[test]
fn names_and_bounds_must_fit_the_design() {
    let design = design();
    let wrong = |text: &str| Formula::new(&parse(text).unwrap(), &design).unwrap_err();
    let e = wrong("SF1.pressed and SF2.closed");
    assert_eq!(e.column, 17);
    assert!(e.message.contains("SF2.13-14, SF2.pressed"), "{e}");
    assert!(wrong("once(SF1.pressed, 15ms)").message.contains("multiple of the scan period of 10 ms"));
    assert!(wrong("held(SF1.pressed, 61s)").message.contains("at most 60 s"));
}

/// Any text is read or refused; the column lies in it.
#[test]
fn no_text_makes_the_reader_panic() {
    let words = [
        "not ", "and ", "or ", "(", ")", ",", "once", "held(", "a.b", "5ms", "é", "-", "implies ", "\n", "9",
    ];
    let mut random = Random(11);
    let mut read = 0;
    for _ in 0..20_000 {
        let text: String = (0..random.below(12)).map(|_| words[random.below(words.len())]).collect();
        match parse(&text) {
            Ok(expr) => {
                read += 1;
                assert_eq!(parse(&expr.to_string()).as_ref(), Ok(&expr), "{text}");
            }
            Err(e) => assert!((1..=text.chars().count() as u32 + 1).contains(&e.column), "{text}: {e}"),
        }
    }
    assert!(read > 100, "{read} texts were read");
}
