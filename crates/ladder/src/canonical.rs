//! The program's meaning as bytes, for a hash.

use crate::model::{Area, Network, Output, Program, VarKind};

/// Appends the program in normal form: fields in order, integers as LEB128, text as its length in bytes and UTF-8.
///
/// Two programs give the same bytes exactly if they declare the same variables in the same order and have the same
/// rungs in the same order, comments aside; how the text is laid out does not count. Names are ASCII, so Unicode
/// normal forms do not arise. The first byte is the version of this form.
pub fn canonical_bytes(program: &Program, out: &mut Vec<u8>) {
    const VERSION: u8 = 1;
    out.push(VERSION);
    text(&program.name, out);
    integer(program.vars.len() as u64, out);
    for var in &program.vars {
        text(&var.name, out);
        match var.address {
            None => out.push(0),
            Some(address) => {
                out.push(match address.area {
                    Area::Input => 1,
                    Area::Output => 2,
                    Area::Memory => 3,
                });
                out.push(address.byte);
                out.push(address.bit);
            }
        }
        out.push(match var.kind {
            VarKind::Bool => 0,
            VarKind::Ton => 1,
        });
        out.push(u8::from(var.initial));
        out.push(u8::from(var.retain));
    }
    integer(program.rungs.len() as u64, out);
    for rung in &program.rungs {
        network(&rung.logic, out);
        output(&rung.output, out);
    }
}

fn network(logic: &Network, out: &mut Vec<u8>) {
    match logic {
        Network::Contact { var, negated } => {
            out.push(if *negated { 1 } else { 0 });
            text(var, out);
        }
        Network::Series(parts) => group(2, parts, out),
        Network::Parallel(parts) => group(3, parts, out),
        Network::True => out.push(4),
        Network::False => out.push(5),
    }
}

fn group(tag: u8, parts: &[Network], out: &mut Vec<u8>) {
    out.push(tag);
    integer(parts.len() as u64, out);
    for part in parts {
        network(part, out);
    }
}

fn output(output: &Output, out: &mut Vec<u8>) {
    let (tag, name) = match output {
        Output::Coil { var } => (0, var),
        Output::Negated { var } => (1, var),
        Output::Set { var } => (2, var),
        Output::Reset { var } => (3, var),
        Output::Ton { instance, .. } => (4, instance),
    };
    out.push(tag);
    text(name, out);
    if let Output::Ton { preset_ms, .. } = output {
        integer(u64::from(*preset_ms), out);
    }
}

fn text(text: &str, out: &mut Vec<u8>) {
    integer(text.len() as u64, out);
    out.extend_from_slice(text.as_bytes());
}

/// LEB128, unsigned: seven bits a byte, low ones first, the top bit set on all but the last.
fn integer(mut value: u64, out: &mut Vec<u8>) {
    loop {
        let low = (value & 0x7f) as u8;
        value >>= 7;
        if value == 0 {
            out.push(low);
            return;
        }
        out.push(low | 0x80);
    }
}
