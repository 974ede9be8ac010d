//! The diagram of the exercise that ships, and of plans damaged at random. What must hold of every drawing: each conductor
//! is there once and ends at its terminals, each terminal with a conductor is there once, nothing lies on anything else.

use super::diagram::{Diagram, Line, Symbol};
use super::element::Figure;
use crate::sheets::wiring::Practice;
use crate::sheets::wiring::geometry::{Point, Rect};
use sealin_core::part::Part;
use sealin_core::plan::{Conductor, Insulation, Terminal};
use sealin_exercise::scenario::{Scenario, parse_wires};
use sealin_exercise::shipped;
use std::collections::BTreeMap;

/// Parts and given conductors of the exercise, and what its reference adds.
fn paddle() -> (Vec<Part>, Vec<Conductor>, Vec<Conductor>) {
    let scenario = Scenario::parse(shipped::get("paddle-closed-loop").unwrap()).unwrap();
    let wires = parse_wires(shipped::reference("paddle-closed-loop").unwrap().wires).unwrap();
    let own =
        wires.into_iter().enumerate().map(|(k, c)| Conductor { id: format!("L{}", k + 1), ..c }).collect();
    (scenario.parts, scenario.given, own)
}

/// The exercise as its reference wires it, and the reference program.
pub fn reference() -> (super::Drawn, String) {
    let (parts, given, own) = paddle();
    let conductors = wired(&given, &own);
    let diagram = Diagram::new(&parts, &conductors, Practice::Iec);
    let source = shipped::reference("paddle-closed-loop").unwrap().program.to_string();
    (super::Drawn { diagram, parts, conductors }, source)
}

fn wired(given: &[Conductor], own: &[Conductor]) -> Vec<Conductor> {
    given.iter().chain(own).cloned().collect()
}

fn terminal(text: &str) -> Terminal {
    Terminal::parse(text).unwrap()
}

fn symbol<'a>(d: &'a Diagram, text: &str) -> &'a Symbol {
    &d.symbols[d.symbol_of(&terminal(text)).unwrap_or_else(|| panic!("no {text}"))]
}

/// Whether a level or upright stretch comes into a box.
fn enters(a: Point, b: Point, r: Rect) -> bool {
    let stretch =
        Rect::new(a.x.min(b.x), a.y.min(b.y), (a.x - b.x).abs().max(0.01), (a.y - b.y).abs().max(0.01));
    stretch.overlaps(Rect::new(r.x + 0.1, r.y + 0.1, r.w - 0.2, r.h - 0.2))
}

/// Whether two stretches lie on each other for more than a point.
fn on_each_other(a: &[Point], b: &[Point]) -> bool {
    let level = |s: &[Point]| s[0].y == s[1].y;
    let over = |a0: f64, a1: f64, b0: f64, b1: f64| a0.min(a1) < b0.max(b1) && b0.min(b1) < a0.max(a1);
    match (level(a), level(b)) {
        (true, true) => a[0].y == b[0].y && over(a[0].x, a[1].x, b[0].x, b[1].x),
        (false, false) => a[0].x == b[0].x && over(a[0].y, a[1].y, b[0].y, b[1].y),
        _ => false,
    }
}

/// Everything that must hold, with the plan's name in what it says.
fn holds(name: &str, parts: &[Part], conductors: &[Conductor], d: &Diagram) {
    assert_eq!(d.straight, 0, "{name}: a line or its number has found no room");
    let mut ends: BTreeMap<Terminal, usize> = BTreeMap::new();
    for port in d.symbols.iter().flat_map(|s| &s.element.ports).filter_map(|p| p.terminal.clone()) {
        *ends.entry(port).or_default() += 1;
    }
    assert!(ends.values().all(|n| *n == 1), "{name}: {ends:?}");
    let known = |t: &Terminal| parts.iter().any(|p| p.tag == t.part && p.terminals().contains(&t.name));
    for c in conductors {
        let of = |l: &&Line| l.conductor.as_ref().is_some_and(|o| o.id == c.id);
        let drawn: Vec<&Line> = d.lines.iter().filter(of).collect();
        assert_eq!(drawn.len(), 1, "{name}: {}", c.id);
        for t in [&c.from, &c.to] {
            assert!(known(t) && ends.get(t) == Some(&1), "{name}: {t}");
            let reached = d.leads.iter().filter(|l| l.terminal.as_ref() == Some(t)).any(|l| {
                let (low, high) = (l.from.y.min(l.to.y) - 0.1, l.from.y.max(l.to.y) + 0.1);
                let points = &drawn[0].points;
                [points[0], points[points.len() - 1]]
                    .iter()
                    .any(|p| p.x == l.to.x && (low..=high).contains(&p.y))
            });
            assert!(reached, "{name}: {} does not reach {t}", c.id);
        }
    }
    let boxes: Vec<(String, Rect)> = d.symbols.iter().map(|s| (s.element.tag.clone(), s.area)).collect();
    let labels = d.lines.iter().filter_map(|l| Some((format!("{:?}", l.conductor.as_ref()?.id), l.label?.0)));
    let outside = d.words.iter().map(|w| (w.text.clone(), w.area));
    let all: Vec<(String, Rect)> = boxes.iter().cloned().chain(labels).chain(outside).collect();
    for (i, (a, x)) in all.iter().enumerate() {
        let within = x.x >= 0.0 && x.y >= 0.0 && x.right() <= d.area.w && x.bottom() <= d.area.h;
        assert!(within, "{name}: {a} {x:?} outside {:?}", d.area);
        for (b, y) in &all[i + 1..] {
            assert!(!x.overlaps(*y), "{name}: {a} {x:?} on {b} {y:?}");
        }
    }
    for s in &d.symbols {
        for (i, a) in s.words.iter().enumerate() {
            let r = a.area;
            let within = r.x >= s.area.x
                && r.right() <= s.area.right()
                && r.y >= s.area.y
                && r.bottom() <= s.area.bottom();
            assert!(within, "{name}: {a:?} outside {} {:?}", s.element.tag, s.area);
            for b in &s.words[i + 1..] {
                assert!(!r.overlaps(b.area), "{name}: {a:?} on {b:?}");
            }
        }
    }
    for (i, line) in d.lines.iter().enumerate() {
        let id = line.conductor.as_ref().map_or("inside", |c| c.id.as_str());
        for s in line.points.windows(2) {
            assert!(s[0].x == s[1].x || s[0].y == s[1].y, "{name}: {id} runs askew");
            let hit = boxes.iter().find(|(_, r)| enters(s[0], s[1], *r));
            assert!(hit.is_none(), "{name}: {id} goes through {hit:?}");
            for other in &d.lines[i + 1..] {
                let on = other.points.windows(2).any(|o| on_each_other(s, o));
                let other = other.conductor.as_ref().map_or("inside", |c| c.id.as_str());
                assert!(!on, "{name}: {id} lies on {other}");
            }
            for word in &d.words {
                assert!(!enters(s[0], s[1], word.area), "{name}: {id} through {}", word.text);
            }
        }
        for other in d.lines.iter().enumerate().filter(|(k, _)| *k != i).map(|(_, l)| l) {
            if let Some((label, _)) = other.label {
                let through = line.points.windows(2).any(|s| enters(s[0], s[1], label));
                assert!(
                    !through,
                    "{name}: {id} through the number of {:?}",
                    other.conductor.as_ref().map(|c| &c.id)
                );
            }
        }
    }
}

#[test]
fn the_given_panel_and_the_reference() {
    let (parts, given, own) = paddle();
    for (name, conductors) in [("given", given.clone()), ("reference", wired(&given, &own))] {
        for practice in [Practice::Iec, Practice::NorthAmerican] {
            let d = Diagram::new(&parts, &conductors, practice);
            holds(name, &parts, &conductors, &d);
        }
    }
}

/// paddle-panel.md section 3: 2U, FC4, link, 95-96, CQ1 and Q0, 21-22 of QA2, A1-A2, and back to 2V; each under the one
/// before.
#[test]
fn the_coil_path_of_qa1_in_the_order_of_the_job() {
    let (parts, given, _) = paddle();
    let d = Diagram::new(&parts, &given, Practice::Iec);
    let order =
        ["TA1:2U", "FC4:1", "XD3:1", "XD3:2", "FC1:95", "KF1:CQ1", "KF1:Q0", "QA2:21", "QA1:A1", "XD3:3"];
    for pair in order.windows(2) {
        let (a, b) = (symbol(&d, pair[0]), symbol(&d, pair[1]));
        assert!(a.area.bottom() < b.area.y, "{} above {}", pair[0], pair[1]);
    }
    let path = |t: &str| symbol(&d, t).path;
    assert_eq!(path("QA2:21"), path("QA1:A1"), "the interlock stands in the path of the other coil");
    assert_eq!(path("QA1:21"), path("QA2:A1"));
    assert_eq!(symbol(&d, "QA2:21").moved_in, path("QA2:A1"));
    assert_eq!(symbol(&d, "QA1:1").moved_in, path("QA1:A1"));
    assert_eq!(symbol(&d, "FC1:95").moved_in, path("FC1:1"));
    assert_eq!(symbol(&d, "KF1:Q0").element.address, "%QX0.0");
    let order = ["XD0:L1", "QB1:1", "FC2:1", "QA1:1", "FC1:1", "XD1:U", "MA1:U1"];
    for pair in order.windows(2) {
        let (a, b) = (symbol(&d, pair[0]), symbol(&d, pair[1]));
        assert!(a.area.bottom() < b.area.y, "{} above {}", pair[0], pair[1]);
    }
}

/// Under the coil of QA1 stand its main poles, 21-22, and 13-14 once it is wired (paddle-panel.md sections 3 and 5).
#[test]
fn the_table_under_a_coil_names_its_contacts_with_their_paths() {
    let (parts, given, own) = paddle();
    let table = |conductors: &[Conductor]| -> Vec<String> {
        let d = Diagram::new(&parts, conductors, Practice::Iec);
        let coil = symbol(&d, "QA1:A1").area;
        let under = |w: &&super::words::Word| w.text.contains('/') && w.at.y > coil.bottom();
        d.words
            .iter()
            .filter(under)
            .filter(|w| (coil.x..coil.right()).contains(&w.at.x))
            .map(|w| w.text.clone())
            .collect()
    };
    let path = |conductors: &[Conductor], t: &str| {
        symbol(&Diagram::new(&parts, conductors, Practice::Iec), t).path.unwrap()
    };
    let all = wired(&given, &own);
    assert_eq!(
        table(&given),
        [format!("1-2 3-4 5-6 /{}", path(&given, "QA1:1")), format!("21-22 /{}", path(&given, "QA1:21"))]
    );
    assert!(table(&all).contains(&format!("13-14 /{}", path(&all, "QA1:13"))), "{:?}", table(&all));
}

#[test]
fn what_is_missing_leaves_an_open_end_and_a_short_is_a_line() {
    let (parts, given, own) = paddle();
    let mut cut = wired(&given, &own);
    cut.retain(|c| c.id != "L4");
    let d = Diagram::new(&parts, &cut, Practice::Iec);
    let open = |d: &Diagram, t: &str| d.leads.iter().any(|l| l.open && l.terminal == Some(terminal(t)));
    assert!(open(&d, "QA1:14"));
    assert_eq!(d.symbol_of(&terminal("KF1:I4")), None, "nothing goes there any more");
    assert!(!open(&Diagram::new(&parts, &wired(&given, &own), Practice::Iec), "QA1:14"));

    let mut short = wired(&given, &own);
    short.push(Conductor {
        id: "S".into(),
        from: terminal("TB1:+"),
        to: terminal("TB1:-"),
        ..own[0].clone()
    });
    let d = Diagram::new(&parts, &short, Practice::Iec);
    holds("short", &parts, &short, &d);
    assert!(d.line("S").is_some());
    assert_eq!(symbol(&d, "TB1:+").area, symbol(&d, "TB1:-").area);
    assert!(matches!(symbol(&d, "TB1:+").element.figure, Figure::Converter(true)));
}

/// A sequence of numbers: Numerical Recipes' linear congruence.
struct Dice(u64);

impl Dice {
    fn below(&mut self, n: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) as usize % n.max(1)
    }
}

/// The plan of a number with conductors taken out, moved and added anywhere, as `tests/src/wrong.rs` damages them, and harder.
fn damaged(seed: u64) -> (Vec<Part>, Vec<Conductor>) {
    let (parts, given, own) = paddle();
    let terminals: Vec<Terminal> =
        parts.iter().flat_map(|p| p.terminals().into_iter().map(|n| Terminal::new(&p.tag, &n))).collect();
    let mut dice = Dice(seed);
    let mut all = if seed.is_multiple_of(3) { given.clone() } else { wired(&given, &own) };
    for k in 0..1 + dice.below(8) {
        let at = dice.below(all.len());
        let any = terminals[dice.below(terminals.len())].clone();
        match dice.below(3) {
            0 => drop(all.remove(at)),
            1 if any != all[at].from => all[at].to = any,
            _ => {
                let to = terminals[dice.below(terminals.len())].clone();
                let number = ["", "7", "213", "1234567890"][dice.below(4)].into();
                let (section_mm2_x100, colour) = (75, Insulation::DarkBlue);
                if any != to {
                    all.push(Conductor {
                        id: format!("N{k}"),
                        from: any,
                        to,
                        section_mm2_x100,
                        colour,
                        number,
                    });
                }
            }
        }
    }
    (parts, all)
}

#[test]
fn damaged_plans_lose_nothing() {
    let seeds = std::env::var("SEALIN_PLANS").ok().and_then(|n| n.parse().ok()).unwrap_or(40);
    for seed in 0..seeds {
        let (parts, all) = damaged(seed);
        let d = Diagram::new(&parts, &all, [Practice::Iec, Practice::NorthAmerican][seed as usize % 2]);
        holds(&format!("plan {seed}"), &parts, &all, &d);
    }
}
