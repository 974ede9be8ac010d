//! A small hard-wired bench tick by tick: every device from its data and the definition of its choices, so that nothing but the
//! network is shared with the exploration.
//!
//! The network is a table: for every place of every contact, what each coil does.

mod network;

use crate::formula::{ASSUMED, KEPT, Monitors, TICK, place};
use crate::model::{Export, formulas};
use crate::text::Text;
use network::Bench;
use sealin_core::design::SignalSource;
use sealin_core::part::DelayRange;
use sealin_core::step::delay_range;
use sealin_proof::explore::{Question, default_free};
use sealin_proof::expr::grid_ms;

/// Ticks for which the contacts of a button bounce.
const BOUNCE: u8 = 3;

/// Places of an armature, in the order in which it passes them.
const OUT: u8 = 0;
const CLOSING_BREAK_SHUT: u8 = 1;
const CLOSING_ALL_OPEN: u8 = 2;
const IN: u8 = 3;
const RELEASING_MAIN_SHUT: u8 = 4;
const RELEASED_ALL_OPEN: u8 = 5;

/// Writes the model of a bench of supplies, transformers, buttons, overloads and contactors, without controller. Its states
/// are those of every tick.
///
/// # Errors
/// What of the bench or of the question this form does not have.
pub fn export_ticks(question: &Question, tables: &str) -> Result<Export, String> {
    let bench = Bench::new(question)?;
    let period = grid_ms(&bench.design);
    let signal = |name: &str| signal(&bench, name);
    let mut monitors = Monitors::new("", &signal, period);
    let mut judged = Text::at(3);
    monitors.tick(question.required, question.assumed, &mut judged)?;
    let free = question.free.map_or_else(|| default_free(&bench.design), <[String]>::to_vec);
    let movers = free.iter().map(|name| mover(&bench, name)).collect::<Result<Vec<_>, _>>()?;

    let mut text = Text::at(0);
    text.line("/* Training model: simplified, not a design. A hard-wired bench, tick by tick.");
    formulas(question).for_each(|formula| text.line(format!("   {formula}")));
    text.line("   spin -a MODEL.pml; gcc -O2 -DSAFETY -DNOREDUCE -o pan pan.c; ./pan -m10000000 */");
    text.line(format!("c_decl {{\n\\#include \"{tables}\"\n}}"));
    for name in ["contacts", "coils"] {
        text.line(format!("hidden int {name};"));
    }
    for name in [KEPT, ASSUMED, "ended", "broken", "harm"] {
        text.line(format!("hidden byte {name};"));
    }
    (0..monitors.places).for_each(|k| text.line(format!("hidden byte {};", place(k))));
    text.line(format!("byte {TICK};"));
    let fields = fields(&bench, movers.len());
    fields.iter().for_each(|(name, _)| text.line(format!("byte {name};")));
    monitors.fields.iter().for_each(|field| text.line(field.declared()));
    let begin = |depth| {
        let mut text = Text::at(depth);
        text.line(format!("{TICK} = 0;"));
        fields.iter().for_each(|(name, value)| text.line(format!("{name} = {value};")));
        monitors.fields.iter().for_each(|field| text.line(field.reset()));
        text.done()
    };
    text.line("active proctype bench() {\n  d_step {");
    let mut out = text.done() + &begin(2);
    let mut text = Text::at(1);
    text.line("};\n  do\n  :: atomic {");
    choices(&bench, &movers, &mut text);
    text.line("  ended = 0;");
    text.line("  d_step {");
    devices(&bench, &mut text);
    out += &text.done();
    out += &judged.done();
    let mut text = Text::at(3);
    // Of a requirement the path ends with harm, whose tick is not judged.
    let judges = if question.required.is_empty() { "harm" } else { "!harm && assumed && !kept" };
    text.line(format!("broken = {judges}; ended = harm || !{KEPT} || !{ASSUMED};"));
    bench.controls.iter().enumerate().for_each(|(i, _)| {
        text.choose(&[(format!("bounce_{i} > 0"), format!("bounce_{i}--"))]);
        text.choose(&[(format!("bounce_{i} == 0"), format!("before_{i} = position_{i}"))]);
        text.line(format!("shown_{i} = 0;"));
    });
    (0..bench.contactors.len()).for_each(|k| text.line(format!("pick_{k} = 0; closed_{k} = 0;")));
    text.line(format!("{TICK} = ({TICK} + 1) % {period};"));
    let still: String = (0..movers.len()).map(|m| format!("moved_{m} = 0; ")).collect();
    text.choose(&[(format!("{TICK} == 0"), if still.is_empty() { "skip".to_string() } else { still })]);
    text.line("if\n      :: ended ->");
    out += &text.done();
    out += &begin(4);
    out += "      :: else\n      fi;\n    };\n    assert(!broken);\n  }\n  od\n}\n";
    Ok(Export { model: out, tables: bench.table()? })
}

/// Names of what a state holds, with their values when power comes on.
fn fields(bench: &Bench, movers: usize) -> Vec<(String, u8)> {
    let mut all = vec![("power".to_string(), 1)];
    for (i, position) in bench.controls.iter().enumerate() {
        all.extend([
            (format!("position_{i}"), *position),
            (format!("before_{i}"), *position),
            (format!("bounce_{i}"), 0),
            (format!("shown_{i}"), 0),
        ]);
    }
    for i in 0..bench.overloads.len() {
        all.extend([(format!("tripped_{i}"), 0), (format!("stop_{i}"), 0)]);
    }
    for k in 0..bench.contactors.len() {
        let names = ["place", "since", "coil", "pick", "closed"];
        all.extend(names.iter().map(|name| (format!("{name}_{k}"), 0)));
    }
    all.extend((0..movers).map(|m| (format!("moved_{m}"), 0)));
    all
}

/// The expression of a signal.
fn signal(bench: &Bench, name: &str) -> Option<String> {
    let number = bench.design.signal(name)?;
    Some(match bench.design.signals[number].source {
        SignalSource::SupplyOn(_) => "power".to_string(),
        SignalSource::Position(i, position) => format!("(position_{i} == {position})"),
        SignalSource::Coil(k) => format!("coil_{k}"),
        SignalSource::MainClosed(k) => format!("closed_{k}"),
        SignalSource::Tripped(i) => format!("tripped_{i}"),
        SignalSource::StopHeld(i) => format!("stop_{i}"),
        _ => return None,
    })
}

/// What a thing that moves by itself does when it changes.
fn mover(bench: &Bench, name: &str) -> Result<String, String> {
    let at = |all: &[String], tag: &str| all.iter().position(|other| other == tag);
    let overload = |tag: &str| at(&bench.overloads, tag);
    if name == "power" {
        return Ok("power = 1 - power".to_string());
    }
    if let Some(i) = sealin_core::step::control_number(&bench.design, name) {
        return Ok(format!(
            "before_{i} = position_{i}; position_{i} = 3 - position_{i}; bounce_{i} = {BOUNCE}"
        ));
    }
    match (overload(name), name.strip_suffix(".stop").and_then(overload)) {
        (Some(i), _) => Ok(format!("tripped_{i} = 1 - tripped_{i}")),
        (_, Some(i)) => Ok(format!("stop_{i} = 1 - stop_{i}")),
        _ => Err(format!("`{name}` does not move in this form of a model")),
    }
}

/// What is free in a tick: each mover that has not changed in this quantum, contacts that bounce, armatures on their way.
fn choices(bench: &Bench, movers: &[String], text: &mut Text) {
    for (m, moves) in movers.iter().enumerate() {
        text.line(format!("  if\n    :: !moved_{m} -> {moves}; moved_{m} = 1\n    :: skip\n    fi;"));
    }
    for i in 0..bench.controls.len() {
        text.line(format!(
            "  if\n    :: bounce_{i} > 0 -> shown_{i} = before_{i}\n    :: shown_{i} = position_{i}\n    fi;"
        ));
    }
    for k in 0..bench.contactors.len() {
        text.line(format!("  if\n    :: pick_{k} = 0\n    :: pick_{k} = 1\n    fi;"));
    }
}

/// Contacts, network, coils and armatures of a tick.
fn devices(bench: &Bench, text: &mut Text) {
    text.line("    contacts = power;");
    for i in 0..bench.controls.len() {
        text.line(format!("    contacts = contacts * 2 + shown_{i} - 1;"));
    }
    for i in 0..bench.overloads.len() {
        text.line(format!("    contacts = contacts * 4 + tripped_{i} * 2 + stop_{i};"));
    }
    for k in 0..bench.contactors.len() {
        text.line(format!(
            "    closed_{k} = (place_{k} == {IN} || place_{k} == {RELEASING_MAIN_SHUT});\n      contacts = contacts * 3 + \
             (place_{k} <= {CLOSING_BREAK_SHUT} -> 0 : (closed_{k} -> 2 : 1));"
        ));
    }
    text.line("    coils = c_expr { NETWORK[contacts] };");
    text.line(format!("    harm = coils >> {} & 1;", network::HARM_BIT));
    for k in 0..bench.contactors.len() {
        text.line(format!("    coil_{k} = (coils >> ({} + coil_{k})) & 1;", 2 * k));
        armature(k, &delay_range(&bench.design, k), text);
    }
}

/// One tick of an armature, by the table of its places: within its range a change may come, at the end of the range it must.
fn armature(k: usize, range: &DelayRange, text: &mut Text) {
    let (least, most) = (range.least, range.most);
    let turns = |least: u8, most: u8, then: String, other: &str| {
        let may = format!("((pick_{k} && since_{k} >= {least}) || since_{k} >= {most})");
        format!("if :: {may} -> {then} :: else -> {other} fi")
    };
    let to = |place: u8| format!("place_{k} = {place}; since_{k} = 0");
    let all_open = format!("place_{k} = {CLOSING_ALL_OPEN}");
    let breaks = |other: &str| turns(least.break_open_ms, most.break_open_ms, all_open.clone(), other);
    let makes = turns(least.main_close_ms, most.main_close_ms, to(IN), "skip");
    let releases = |other: &str| turns(least.main_open_ms, most.main_open_ms, to(RELEASED_ALL_OPEN), other);
    let rests = turns(least.break_close_ms, most.break_close_ms, to(OUT), "skip");
    let (begins_in, begins_out) = (
        breaks(&format!("place_{k} = {CLOSING_BREAK_SHUT}")),
        releases(&format!("place_{k} = {RELEASING_MAIN_SHUT}")),
    );
    let rows = [
        (OUT, 1, format!("since_{k} = 1; {begins_in}")),
        (CLOSING_BREAK_SHUT, 1, format!("since_{k}++; {}", breaks("skip"))),
        (CLOSING_BREAK_SHUT, 0, to(OUT)),
        (CLOSING_ALL_OPEN, 1, format!("since_{k}++; {makes}")),
        (CLOSING_ALL_OPEN, 0, to(RELEASED_ALL_OPEN)),
        (IN, 0, format!("since_{k} = 1; {begins_out}")),
        (RELEASING_MAIN_SHUT, 1, to(IN)),
        (RELEASING_MAIN_SHUT, 0, format!("since_{k}++; {}", releases("skip"))),
        (RELEASED_ALL_OPEN, 1, format!("{all_open}; since_{k} = {}", least.break_open_ms)),
        (RELEASED_ALL_OPEN, 0, format!("since_{k}++; {rests}")),
    ];
    let options: Vec<(String, String)> = rows
        .into_iter()
        .map(|(place, coil, then)| (format!("(place_{k} == {place} && coil_{k} == {coil})"), then))
        .collect();
    text.choose(&options);
}
