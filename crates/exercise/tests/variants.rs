//! Variants: a seed deals out inputs, outputs and wire numbers; nothing that a scenario asks is lost by it, and a copied work does not fit.

use sealin_core::Conductor;
use sealin_exercise::attempt::{Attempt, Change};
use sealin_exercise::grade::{grade, kept, scenario_of};
use sealin_exercise::marking::{Marks, mark};
use sealin_exercise::predictions::right;
use sealin_exercise::project::Project;
use sealin_exercise::scenario::{Scenario, parse_wiring};
use sealin_exercise::session::Session;
use sealin_exercise::shipped;
use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

const SMALL: &str = include_str!("../../cli/src/new/scenario.toml");
const PROGRAM: &str = include_str!("../../cli/src/new/reference.st");
const WIRES: &str = include_str!("../../cli/src/new/reference.wires.toml");
const CONVEYOR: &str = "conveyor-controller";

const INPUTS: &str =
    "\n[[variant]]\nkind = \"inputs\"\namong = [\"KF1:I0\", \"KF1:I1\", \"KF1:I2\", \"KF1:I3\"]\n";
const OUTPUTS: &str = "\n[[variant]]\nkind = \"outputs\"\namong = [\"KF1:Q0\", \"KF1:Q1\"]\n";
const NUMBERS: &str = "\n[[variant]]\nkind = \"numbers\"\namong = [\"210\", \"211\"]\nfrom = 205\nto = 215\n";

fn small(variants: &str) -> Rc<Scenario> {
    let text = SMALL.replacen("\"ID\"", "\"bilge-pump\"", 1) + variants;
    Rc::new(Scenario::parse(&text).unwrap_or_else(|e| panic!("{e:#?}")))
}

fn conveyor() -> Rc<Scenario> {
    Rc::new(Scenario::parse(shipped::get(CONVEYOR).unwrap()).unwrap())
}

/// The reference of the small scenario, as it is for this form of it.
fn reference(s: &Scenario) -> Project {
    let wires = s.wires_dealt(parse_wiring(WIRES).unwrap());
    let mut work = Project { source: s.program_dealt(PROGRAM), ..Project::given(s) };
    for change in wires.changes(s, &work).unwrap() {
        work.apply(s, &change).unwrap();
    }
    work
}

fn marked(s: &Scenario, work: &Project) -> Marks {
    mark(s, work, &mut |_, _| true)
}

/// Which terminal each name of the I/O list has.
fn io(s: &Scenario) -> BTreeMap<&str, (&str, &str)> {
    s.names.iter().map(|row| (row.comment.as_str(), (row.address.as_str(), row.terminal.as_str()))).collect()
}

/// All 4! orders of the inputs, by both of the outputs, and 10 · 9 pairs of the numbers 205 to 215 come up, as 212 is
/// another potential's; with each order the reference keeps all.
#[test]
fn every_permutation_keeps_the_reference_at_full_marks() {
    let written = small(&format!("{INPUTS}{OUTPUTS}{NUMBERS}"));
    let (mut orders, mut numbers) = (BTreeSet::new(), BTreeSet::new());
    for seed in 1..2_000 {
        let s = written.dealt(seed);
        numbers.insert((number_at(&s, "SF1:12"), number_at(&s, "SF2:14")));
        let order: Vec<(&str, &str)> = io(&s).into_values().collect();
        let order: Vec<String> =
            order.iter().map(|(address, terminal)| format!("{address} {terminal}")).collect();
        if !orders.insert(order) {
            continue;
        }
        let marks = marked(&s, &reference(&s));
        assert!(marks.unfit.is_none(), "{:?}", marks.unfit);
        let earned: u32 = marks.lines.iter().map(|line| line.earned).sum();
        assert_eq!(earned, 6 + 4 + 6 + 2, "seed {seed}: three requirements and a bonus");
    }
    assert_eq!(orders.len(), 48);
    assert_eq!(numbers.len(), 90);
    assert!(numbers.iter().all(|(a, b)| a != b));
}

fn number_at(s: &Scenario, terminal: &str) -> String {
    let at = |c: &&Conductor| [&c.from, &c.to].iter().any(|end| end.to_string() == terminal);
    s.given.iter().find(at).unwrap().number.clone()
}

/// Address and terminal of a row belong together as the controller has them: channel k, bit k.
#[test]
fn a_row_of_the_list_is_one_channel() {
    let written = small(&format!("{INPUTS}{OUTPUTS}"));
    for seed in 0..50 {
        let s = written.dealt(seed);
        let mut before = "";
        for row in &s.names {
            let (kind, bit) = (&row.address[1..2], &row.address[row.address.len() - 1..]);
            assert_eq!(row.terminal, format!("KF1:{kind}{bit}"), "seed {seed}");
            assert!(before < row.address.as_str(), "in the order of the addresses");
            before = &row.address;
        }
    }
}

#[test]
fn a_seed_fixes_the_form_and_0_is_as_written() {
    let written = conveyor();
    let forms: Vec<Rc<Scenario>> = (1..=8).map(|seed| written.dealt(seed)).collect();
    assert_eq!(*written.dealt(5), *forms[4]);
    // From whatever form it is dealt, the same comes of it.
    assert_eq!(*forms[0].dealt(5), *forms[4]);
    assert_eq!(*forms[0].dealt(0), *written);
    let different: BTreeSet<_> = forms.iter().map(|s| format!("{:?}", io(s))).collect();
    assert!(different.len() > 4, "{different:#?}");
    assert!(forms.iter().all(|s| s.content_hash() == written.content_hash()));
    assert_eq!(forms.iter().map(|s| s.seed()).collect::<Vec<_>>(), (1..=8).collect::<Vec<_>>());
    assert_eq!(written.seed(), 0);
}

/// Whatever names a bit, terminal or number goes with it: worked out by hand for one seed from what its I/O list says.
#[test]
fn all_that_names_a_channel_goes_with_it() {
    let written = conveyor();
    let s = (1..).map(|seed| written.dealt(seed)).find(|s| io(s)["START pressed"].1 == "KF1:I3").unwrap();
    let (stop, stop_at) = io(&s)["STOP, break contact: not pressed and wire whole"];
    let (answer, answer_at) = io(&s)["QA1 is in"];
    let bit = |address: &str| address.trim_start_matches('%').to_string();
    let channel = |terminal: &str| terminal.trim_start_matches("KF1:").to_string();
    assert!(s.program.contains(&format!("SF1_in  AT {stop} : BOOL")));
    assert!(s.program.contains("SF2_in  AT %IX0.3 : BOOL"));
    let formula = |id: &str| &s.requirements.iter().find(|q| q.id == id).unwrap().formulas[0];
    assert_eq!(
        formula("R5").source,
        format!("never (QX0.0 and held(not {} and not IX0.3, 5ms))", bit(answer))
    );
    assert!(formula("R5").verdict.to_string().contains(&bit(answer)));
    let lost = s.requirements.iter().find(|q| q.id == "R5").unwrap();
    assert!(lost.trials[0].source.contains(&format!("inject conductor {answer_at} open")));
    assert!(lost.trials[0].script.to_string().contains(&format!("inject conductor {answer_at} open")));
    assert!(
        s.brief_markdown.contains(&format!("STOP is wired to the input {}, its group", channel(stop_at)))
    );
    assert!(s.brief_markdown.contains("START from XD2:3 to I3"));
    assert!(s.predictions[0].question.ends_with(&format!("for STOP, {stop}?")));
    assert!(s.predictions[0].answers[1].source.contains(&bit(stop)));
    let given = s.given.iter().find(|c| c.id == "D12").unwrap();
    assert_eq!(given.to.to_string(), stop_at);
    // The core of the station cable that goes on from the same terminal has the same number.
    assert_eq!(given.number, s.given.iter().find(|c| c.id == "S02").unwrap().number);
    assert_eq!(s.todo[0].number, s.given.iter().find(|c| c.id == "S03").unwrap().number);
    assert!((210..=219).contains(&given.number.parse::<u32>().unwrap()));
    for form in [&written, &s] {
        let texts = format!("{}{:?}{:?}", form.brief_markdown, form.predictions, form.hints);
        assert!(!texts.contains("{I") && !texts.contains("{%"), "no mark is left");
    }
}

/// The answers of the predictions stay right, by number, and the reference keeps its marks.
#[test]
fn the_shipped_job_is_the_same_for_every_seed() {
    let written = conveyor();
    let answers = |s: &Scenario| s.predictions.iter().map(|p| right(s, p).unwrap()).collect::<Vec<_>>();
    let wanted = answers(&written);
    for seed in [1, 2, 0xffff_ffff_ffff_ffff] {
        let s = written.dealt(seed);
        assert_eq!(answers(&s), wanted);
        let work = shipped::reference(CONVEYOR).unwrap().work(&s).unwrap();
        let marks = marked(&s, &work);
        assert_eq!((marks.earned, marks.of, marks.unfit), (s.required_marks(), s.required_marks(), None));
    }
}

/// Two seeds under which inputs lie elsewhere.
fn two_forms(written: &Rc<Scenario>) -> (Rc<Scenario>, Rc<Scenario>) {
    let a = written.dealt(1);
    let b = (2..).map(|seed| written.dealt(seed));
    let b = b.into_iter().find(|b| {
        io(&a)
            .into_iter()
            .all(|(name, at)| name.contains("spare") || name.contains("coil") || io(b)[name] != at)
    });
    (a, b.unwrap())
}

#[test]
fn a_copied_program_loses_marks() {
    let (a, b) = two_forms(&conveyor());
    let reference = shipped::reference(CONVEYOR).unwrap();
    let copied = Project { source: reference.program(&a), ..reference.work(&b).unwrap() };
    let marks = marked(&b, &copied);
    assert!(!marks.passed && marks.earned * 2 < marks.of, "{} of {}", marks.earned, marks.of);
    // The wires of another seed, with the program that fits: the given conductors lie elsewhere.
    let mut wired = Project { source: reference.program(&b), ..Project::given(&b) };
    for wire in reference.wires(&a).unwrap().made {
        wired.apply(&b, &Change::Add(wire)).unwrap();
    }
    assert!(!marked(&b, &wired).passed);
    assert_ne!(reference.work(&a).unwrap().design_hash(&a), reference.work(&b).unwrap().design_hash(&b));
}

/// An attempt carries the seed: whoever opens it has the same form, from the file as it was written.
#[test]
fn an_attempt_is_marked_for_its_own_form() {
    let written = conveyor();
    let mut session = Session::new(Rc::clone(&written), 11).unwrap();
    let s = Rc::clone(session.scenario());
    assert_eq!(*s, *written.dealt(11));
    let reference = shipped::reference(CONVEYOR).unwrap();
    session.do_work(&reference.wires(&s).unwrap(), Some(&reference.program(&s))).unwrap();
    let attempt = Attempt::parse(&session.export().unwrap().to_json()).unwrap();
    for scenario in [scenario_of(&attempt).unwrap(), Rc::clone(&written), written.dealt(3)] {
        let report = grade(&scenario, &attempt).unwrap();
        assert_eq!(report.marks.required_earned(), s.required_marks());
        assert_eq!((report.chain, report.claim), (Some(true), Some(true)));
    }
    // The same log under another seed cannot earn the same: either it cannot be followed, or it does something else.
    let mut other = Attempt { chain_read: None, links_read: None, claim: None, ..attempt.clone() };
    other.head.seed = two_forms(&written).1.seed();
    let earned = grade(&written, &other).map_or(0, |report| report.marks.required_earned());
    assert!(earned < s.required_marks());
    // Marks that are kept are kept for one form.
    let given = |seed| {
        let s = written.dealt(seed);
        kept::key(&s, &Project::given(&s), sealin_exercise::grade::Judge::Trials)
    };
    assert_ne!(given(1), given(two_forms(&written).1.seed()));
}

/// A key that says something counts in the hash; what has no variants is what it was, whatever the seed.
#[test]
fn what_has_no_variants_has_one_form() {
    let plain = small("");
    for seed in [0, 1, 99] {
        assert!(Rc::ptr_eq(&plain.dealt(seed), &plain));
    }
    assert_eq!(plain.seed(), 0);
    let hashes =
        [small(""), small(INPUTS), small(OUTPUTS), small(NUMBERS), small(&NUMBERS.replace("205", "206"))];
    let different: BTreeSet<_> = hashes.iter().map(|s| s.content_hash()).collect();
    assert_eq!(different.len(), 5);
}

#[test]
fn what_cannot_vary_soundly_is_refused() {
    let text = SMALL.replacen("\"ID\"", "\"bilge-pump\"", 1);
    let numbers = |from: u32, to: u32| {
        format!("\n[[variant]]\nkind = \"numbers\"\namong = [\"210\"]\nfrom = {from}\nto = {to}\n")
    };
    let inputs = |among: &str| format!("\n[[variant]]\nkind = \"inputs\"\namong = [{among}]\n");
    let brief = |words: &str| text.replacen("## The machine\n", &format!("## The machine\n\n{words}\n"), 1);
    let cases = [
        (text.clone() + &inputs("\"KF1:I0\", \"KF1:I4\""), "`KF1:I4` is of another group than `KF1:I0`"),
        (text.clone() + &inputs("\"KF1:I0\", \"KF1:Q0\""), "a terminal of a group of inputs of KF1"),
        (text.clone() + &inputs("\"KF1:I0\", \"KF1:CI1\""), "a terminal of a group of inputs of KF1"),
        (text.clone() + &inputs("\"KF1:I0\""), "two terminals or more"),
        (text.clone() + &inputs("\"KF1:I0\", \"KF1:I0\""), "dealt out twice"),
        (text.clone() + INPUTS + INPUTS, "dealt out twice"),
        (text.clone() + "\n[[variant]]\nkind = \"colours\"\namong = []\n", "one of inputs, outputs, numbers"),
        (text.clone() + &inputs("\"KF1:I0\", \"KF1:I1\"") + "from = 3\n", "`from` is not known here"),
        (text.clone() + &numbers(300, 200), "numbers from `from` on"),
        (text.clone() + &numbers(299, 299), "fewer than 1 free numbers"),
        (text.clone() + &numbers(300, 302).replace("\"210\"", "\"777\""), "`777`: a number of a conductor"),
        (
            text.clone() + &numbers(205, 215) + &numbers(215, 217).replace("\"210\"", "\"211\""),
            "have none in common",
        ),
        (
            brief("STOP is on I0.") + INPUTS,
            "the brief speaks of `I0`, which differs from learner to learner; write {I0}",
        ),
        (brief("STOP is %IX0.0.") + INPUTS, "the brief speaks of `IX0.0`"),
        (brief("STOP is on KF1:I0.") + INPUTS, "the brief speaks of `I0`"),
        (brief("Wire 210.") + NUMBERS, "the brief speaks of `210`"),
        (brief("See {I7}.") + INPUTS, "the brief has {I7}"),
        (text.replacen("(* START *)", "(* START at I1 *)", 1) + INPUTS, "the given program speaks of `I1`"),
    ];
    for (text, says) in cases {
        let problems = Scenario::parse(&text).expect_err(says);
        assert!(problems.iter().any(|p| p.message.contains(says)), "{says}: {problems:#?}");
        assert!(problems.iter().all(|p| p.line > 1), "told at its place: {problems:#?}");
    }
    // Marked, the same is right, and the mark goes with the channel.
    let marked = Rc::new(Scenario::parse(&(brief("On {I0}, {KF1:I0}, {%IX0.0}.") + INPUTS)).unwrap());
    assert!(marked.brief_markdown.contains("On I0, KF1:I0, %IX0.0."));
    let moved = (1..).map(|seed| marked.dealt(seed)).find(|s| s.brief_markdown.contains("On I2,"));
    assert!(moved.unwrap().brief_markdown.contains("On I2, KF1:I2, %IX0.2."));
}
