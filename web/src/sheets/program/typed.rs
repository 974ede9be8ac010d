//! What a person types in a field of the drawing, read as the text would be; what it needs is declared with it.

use super::deed::{Deed, call_of, free_name, variable};
use super::facts::Facts;
use sealin_ladder::{
    Block, Constant, Contact, Diagnostic, FIRST_SCAN, Network, Operand, Output, Program, Reading, Rung, Var,
    VarKind, rewrite,
};

/// What is typed.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Ask {
    /// Contacts in series behind.
    After,
    /// Contacts in series in front.
    Before,
    /// Contacts side by side.
    Beside,
    /// Contacts in the place of the one in hand.
    Read,
    /// A comparison in its place.
    Compare,
    /// Whole rungs.
    Rung,
    /// The name that the rung drives.
    Name,
    /// The instance of a block that the rung is to drive.
    Instance(Block),
    /// The preset of a block.
    Preset,
    /// What is written about the rung.
    Comment,
}

/// Why what was typed cannot be done.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Refused {
    /// Names that nothing declares, and what is wrong without them.
    Undeclared(Vec<String>),
    /// In words.
    Wrong(String),
}

/// What is to be done, and in which text: that of the sheet, with what had to be declared.
#[derive(Clone, PartialEq, Debug)]
pub struct Typed {
    /// The text.
    pub source: String,
    /// The deed.
    pub deed: Deed,
}

/// Reads what was typed for `ask`. Names of the I/O list are declared with their address; others only if `declares`, as
/// bits inside the controller. `now` is what the rung in hand drives.
///
/// # Errors
/// If it cannot be read, or needs a name that is not declared.
pub fn typed(
    ask: Ask,
    text: &str,
    (source, reading): (&str, &Reading),
    facts: &Facts,
    now: Option<&Output>,
    declares: bool,
) -> Result<Typed, Refused> {
    let text = text.trim();
    if let Ask::Comment = ask {
        return Ok(Typed { source: source.to_string(), deed: Deed::Comment(text.to_string()) });
    }
    if let Ask::Instance(block) = ask {
        let call = call_of(
            block,
            instance(text, block, reading)?,
            now.unwrap_or(&Output::Coil { var: String::new() }),
        );
        return Ok(Typed { source: source.to_string(), deed: Deed::Drive(Output::Block(call)) });
    }
    let (source, reading) = with_names(text, source, reading, facts, declares, ask)?;
    let program = &reading.program;
    let network = |text: &str| rewrite::read_network(program, text).map_err(refused);
    let deed = match ask {
        Ask::After => Deed::After(network(without_word(text, "and"))?),
        Ask::Before => Deed::Before(network(without_word(text, "and"))?),
        Ask::Beside => Deed::Beside(network(without_word(text, "or"))?),
        Ask::Read | Ask::Compare => Deed::Read(network(text)?),
        Ask::Rung => Deed::Insert(rungs(program, text)?),
        Ask::Name => Deed::Drive(renamed(program, text, now)?),
        Ask::Preset => Deed::Preset(preset(program, text, now)?),
        Ask::Comment | Ask::Instance(_) => return Err(Refused::Wrong(String::new())),
    };
    Ok(Typed { source, deed })
}

/// The text without a word that the key for it has said already: `and SF1_in` after A.
fn without_word<'a>(text: &'a str, word: &str) -> &'a str {
    let rest = text.get(..word.len()).filter(|start| start.eq_ignore_ascii_case(word));
    match rest.and_then(|_| text.get(word.len()..)).filter(|rest| rest.starts_with(char::is_whitespace)) {
        Some(rest) => rest.trim_start(),
        None => text,
    }
}

/// Statements, or a name alone, which becomes a coil behind a gap: it drives nothing until a contact takes the gap's place.
fn rungs(program: &Program, text: &str) -> Result<Vec<Rung>, Refused> {
    let name = text.trim_end_matches(';').trim_end();
    if !is_name(name) {
        return rewrite::read_rungs(program, text).map_err(refused);
    }
    let var = program.vars.iter().find(|var| var.name.eq_ignore_ascii_case(name));
    let output = match var {
        Some(Var { name, kind: VarKind::Block(block), .. }) => {
            let nothing = Output::Coil { var: String::new() };
            Output::Block(call_of(*block, name.clone(), &nothing))
        }
        Some(var) => Output::Coil { var: var.name.clone() },
        None => return Err(Refused::Undeclared(vec![name.to_string()])),
    };
    Ok(vec![Rung { comment: String::new(), logic: Network::False, output }])
}

/// The same output for another name.
fn renamed(program: &Program, text: &str, now: Option<&Output>) -> Result<Output, Refused> {
    let Some(var) = program.vars.iter().find(|var| var.name.eq_ignore_ascii_case(text)) else {
        return Err(Refused::Undeclared(vec![text.to_string()]));
    };
    let name = var.name.clone();
    Ok(match (now, var.kind) {
        (now, VarKind::Block(block)) => {
            Output::Block(call_of(block, name, now.unwrap_or(&Output::Coil { var: String::new() })))
        }
        (Some(Output::Negated { .. }), _) => Output::Negated { var: name },
        (Some(Output::Set { .. }), _) => Output::Set { var: name },
        (Some(Output::Reset { .. }), _) => Output::Reset { var: name },
        (Some(Output::Rising { .. }), _) => Output::Rising { var: name },
        (Some(Output::Falling { .. }), _) => Output::Falling { var: name },
        (_, VarKind::Bool) => Output::Coil { var: name },
    })
}

/// A duration such as `200ms` or `T#1.5s`, or a count: read as the right side of a comparison of the block's value.
fn preset(program: &Program, text: &str, now: Option<&Output>) -> Result<Constant, Refused> {
    let Some(Output::Block(call)) = now else { return Err(Refused::Wrong(String::new())) };
    let value = call.block.value().unwrap_or("CV");
    let is_time = call.block.preset() == Some(sealin_ladder::Preset::Time);
    let plain = !text.contains('#');
    let text = if is_time && plain { format!("T#{}", text.replace(' ', "")) } else { text.to_string() };
    let read = rewrite::read_network(program, &format!("{}.{value} >= {text}", call.instance));
    match read.map_err(refused)? {
        Network::Contact(Contact::Compare(comparison)) => match comparison.with {
            Operand::Constant(figure) => Ok(figure),
            Operand::Value(_) => Err(Refused::Wrong(crate::t!("program-figure-expected").into())),
        },
        _ => Err(Refused::Wrong(crate::t!("program-figure-expected").into())),
    }
}

/// The name of an instance: one that is declared as this block or as nothing yet; the given name otherwise.
fn instance(text: &str, block: Block, reading: &Reading) -> Result<String, Refused> {
    if text.is_empty() {
        return Ok(free_name(reading, usual_name(block)));
    }
    if !is_name(text) {
        return Err(Refused::Wrong(crate::t!("program-no-name", name = text)));
    }
    match reading.program.vars.iter().find(|var| var.name.eq_ignore_ascii_case(text)) {
        Some(var) if var.kind == VarKind::Bool => {
            Err(Refused::Wrong(crate::t!("program-is-a-bit", name = var.name)))
        }
        Some(var) => Ok(var.name.clone()),
        None => Ok(text.to_string()),
    }
}

/// What an instance is called if nobody says.
pub fn usual_name(block: Block) -> &'static str {
    match block {
        Block::Ton | Block::Tof | Block::Tp => "timer",
        Block::Ctu | Block::Ctd | Block::Ctud => "count",
        Block::Sr | Block::Rs => "latch",
        Block::RTrig | Block::FTrig => "edge_of",
    }
}

fn refused(found: Diagnostic) -> Refused {
    Refused::Wrong(match &found.hint {
        Some(hint) => format!("{}; {hint}", found.message),
        None => found.message,
    })
}

/// The text with the names declared that were typed and are not.
fn with_names(
    text: &str,
    source: &str,
    reading: &Reading,
    facts: &Facts,
    declares: bool,
    ask: Ask,
) -> Result<(String, Reading), Refused> {
    let mut source = if source.trim().is_empty() { EMPTY.to_string() } else { source.to_string() };
    let mut missing = Vec::new();
    for (name, block) in names(text, ask) {
        let known = reading.program.vars.iter().any(|var| var.name.eq_ignore_ascii_case(&name));
        if known {
            continue;
        }
        let listed = facts.undeclared(&name).and_then(|row| row.variable());
        let new = match (listed, block) {
            (Some(var), _) => Some(var),
            (None, Some(block)) => Some(variable(name.clone(), VarKind::Block(block))),
            (None, None) if declares || name.eq_ignore_ascii_case(FIRST_SCAN) => {
                Some(variable(name.clone(), VarKind::Bool))
            }
            (None, None) => None,
        };
        match new.and_then(|var| rewrite::declare(&source, &var)) {
            Some(text) => source = text,
            None => missing.push(name),
        }
    }
    if !missing.is_empty() {
        return Err(Refused::Undeclared(missing));
    }
    let reading = sealin_ladder::read(&source);
    Ok((source, reading))
}

/// What a text that has nothing yet begins with.
pub const EMPTY: &str = "PROGRAM main\nVAR\nEND_VAR\n\nEND_PROGRAM\n";

/// The names that are used in what was typed, each once; for one that is called, the block that its pins tell.
fn names(text: &str, ask: Ask) -> Vec<(String, Option<Block>)> {
    let mut found: Vec<(String, Option<Block>)> = Vec::new();
    // The units of a duration are no names.
    let words = if ask == Ask::Preset { Vec::new() } else { super::places::words(text) };
    for (n, word) in words.iter().enumerate() {
        let next = words.get(n + 1).map_or("", String::as_str);
        let before = n.checked_sub(1).map_or("", |n| words[n].as_str());
        let name = word.split('.').next().unwrap_or(word);
        // The pin of a call is no name of the program.
        let pin = next == ":" && (before == "(" || before == ",");
        let called = next == "(" && ask == Ask::Rung && !super::places::is_word(name);
        let block = called.then(|| block_of(&words[n + 1..])).flatten();
        if !is_name(name) || pin || super::places::is_word(name) || is_function(name, next) {
            continue;
        }
        if !found.iter().any(|(known, _)| known.eq_ignore_ascii_case(name)) {
            found.push((name.to_string(), block));
        }
    }
    found
}

fn is_function(name: &str, next: &str) -> bool {
    next == "(" && Block::from_word(name).is_some()
}

/// The block that has the pins of a call; of timers the on-delay.
fn block_of(call: &[String]) -> Option<Block> {
    let pins: Vec<&str> = (1..call.len().saturating_sub(1))
        .filter(|n| call[n + 1] == ":" && matches!(call[n - 1].as_str(), "(" | ","))
        .map(|n| call[n].as_str())
        .collect();
    let has = |block: &Block| {
        let own = block.inputs().iter().copied().chain(block.preset().map(sealin_ladder::Preset::pin));
        let own: Vec<&str> = own.collect();
        !pins.is_empty() && pins.iter().all(|pin| own.iter().any(|own| own.eq_ignore_ascii_case(pin)))
    };
    let usual = [Block::Ton, Block::Ctu, Block::Ctd, Block::Ctud, Block::Sr, Block::Rs, Block::RTrig];
    usual.into_iter().find(has)
}

fn is_name(text: &str) -> bool {
    text.starts_with(|c: char| c.is_ascii_alphabetic() || c == '_')
        && text.chars().all(|c| c.is_ascii_alphanumeric() || c == '_')
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::loop_strip::follow::tests::{conductors, parts};
    use crate::store::model::IoRow;

    const SOURCE: &str =
        "PROGRAM p VAR a : BOOL; q : BOOL; t : TON; END_VAR t(IN := a, PT := T#2s); END_PROGRAM";

    fn read(ask: Ask, text: &str, declares: bool) -> Result<Typed, Refused> {
        let reading = sealin_ladder::read(SOURCE);
        let given = [IoRow {
            address: "%IX0.1".into(),
            name: "SF2_in".into(),
            terminal: String::new(),
            device: String::new(),
            comment: "RAISE".into(),
        }];
        let facts = Facts::gather(&reading.program, &given, &parts(), &conductors(&[]));
        let now = reading.program.rungs[0].output.clone();
        typed(ask, text, (SOURCE, &reading), &facts, Some(&now), declares)
    }

    #[test]
    fn the_word_of_the_key_may_be_typed_again() {
        let deed = read(Ask::After, "AND not A", false).unwrap().deed;
        assert_eq!(deed, Deed::After(Network::closed("a")));
        let deed = read(Ask::Beside, "or a and q", false).unwrap().deed;
        assert_eq!(deed, Deed::Beside(Network::Series(vec![Network::open("a"), Network::open("q")])));
    }

    #[test]
    fn a_name_of_the_list_is_declared_with_it_and_another_only_when_wanted() {
        let typed = read(Ask::After, "sf2_in", false).unwrap();
        assert!(typed.source.contains("SF2_in AT %IX0.1 : BOOL;  (* RAISE *)"), "{}", typed.source);
        assert_eq!(typed.deed, Deed::After(Network::open("SF2_in")));
        let unknown = read(Ask::After, "fresh and a", false);
        assert_eq!(unknown, Err(Refused::Undeclared(vec!["fresh".into()])));
        assert!(read(Ask::After, "fresh and a", true).unwrap().source.contains("fresh : BOOL;"));
        assert!(read(Ask::After, "first_scan", false).unwrap().source.contains("first_scan : BOOL;"));
    }

    #[test]
    fn a_line_is_a_rung_and_its_block_is_declared() {
        let typed = read(Ask::Rung, "q := (a and t.q or q) and not a", false).unwrap();
        let Deed::Insert(rungs) = typed.deed else { panic!() };
        assert_eq!(rungs[0].logic.contacts(), 4);
        for (text, declared) in [
            ("rest(IN := a, PT := T#200ms)", "rest : TON;"),
            ("n(CU := a, R := q, PV := 3)", "n : CTU;"),
            ("m(CU := a, CD := q, PV := 3)", "m : CTUD;"),
            ("s(S := a, R1 := q)", "s : RS;"),
        ] {
            let typed = read(Ask::Rung, text, false).unwrap_or_else(|e| panic!("{text}: {e:?}"));
            assert!(typed.source.contains(declared), "{text}: {}", typed.source);
        }
        assert!(matches!(read(Ask::Rung, "q := a and", false), Err(Refused::Wrong(_))));
    }

    #[test]
    fn a_name_alone_is_a_coil_behind_a_gap() {
        let Deed::Insert(rungs) = read(Ask::Rung, "Q", false).unwrap().deed else { panic!() };
        assert_eq!((&rungs[0].logic, rungs[0].output.var()), (&Network::False, "q"));
    }

    #[test]
    fn presets_need_no_sign() {
        let figure = |text: &str| read(Ask::Preset, text, false).map(|typed| typed.deed);
        for text in ["1500ms", "T#1.5s", "1s500ms", "1 s 500 ms"] {
            assert_eq!(figure(text), Ok(Deed::Preset(Constant::Time(1_500))), "{text}");
        }
        for text in ["", "3", "a", "T#"] {
            assert!(matches!(figure(text), Err(Refused::Wrong(_) | Refused::Undeclared(_))), "{text}");
        }
    }

    #[test]
    fn a_block_is_given_a_name() {
        let drive = |text: &str| read(Ask::Instance(Block::Tof), text, false).map(|typed| typed.deed);
        let Ok(Deed::Drive(Output::Block(call))) = drive("") else { panic!() };
        assert_eq!(
            (call.instance.as_str(), call.block, call.preset),
            ("timer1", Block::Tof, Some(Constant::Time(2_000)))
        );
        assert!(matches!(drive("a"), Err(Refused::Wrong(_))), "a bit");
        assert!(matches!(drive("1x"), Err(Refused::Wrong(_))));
    }
}
