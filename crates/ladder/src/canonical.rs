//! The program's meaning as bytes, for a hash.

use crate::block::Block;
use crate::model::{
    Area, Comparison, Constant, Contact, Network, Operand, Output, Program, Relation, Test, VarKind,
};

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
            VarKind::Block(block) => 1 + block_tag(block),
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
        Network::Contact(Contact::Bit { var, test }) => {
            out.push(match test {
                Test::Open => 0,
                Test::Closed => 1,
                Test::Rising => 6,
                Test::Falling => 7,
            });
            text(var, out);
        }
        Network::Contact(Contact::Compare(comparison)) => compare(comparison, out),
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

fn compare(Comparison { value, relation, with }: &Comparison, out: &mut Vec<u8>) {
    out.push(8);
    text(value, out);
    out.push(match relation {
        Relation::Less => 0,
        Relation::AtMost => 1,
        Relation::Greater => 2,
        Relation::AtLeast => 3,
        Relation::Equal => 4,
        Relation::NotEqual => 5,
    });
    match with {
        Operand::Constant(figure) => constant(*figure, out),
        Operand::Value(name) => {
            out.push(2);
            text(name, out);
        }
    }
}

fn constant(figure: Constant, out: &mut Vec<u8>) {
    match figure {
        Constant::Time(time_ms) => {
            out.push(0);
            integer(u64::from(time_ms), out);
        }
        Constant::Count(count) => {
            out.push(1);
            out.extend_from_slice(&count.to_le_bytes());
        }
    }
}

/// The number of a block in this form; the on-delay timer is 0 since it was the first.
fn block_tag(block: Block) -> u8 {
    match block {
        Block::Ton => 0,
        Block::Tof => 1,
        Block::Tp => 2,
        Block::Ctu => 3,
        Block::Ctd => 4,
        Block::Ctud => 5,
        Block::Sr => 6,
        Block::Rs => 7,
        Block::RTrig => 8,
        Block::FTrig => 9,
    }
}

fn output(output: &Output, out: &mut Vec<u8>) {
    let (tag, name) = match output {
        Output::Coil { var } => (0, var),
        Output::Negated { var } => (1, var),
        Output::Set { var } => (2, var),
        Output::Reset { var } => (3, var),
        Output::Block(call) if call.block == Block::Ton => (4, &call.instance),
        Output::Rising { var } => (5, var),
        Output::Falling { var } => (6, var),
        Output::Block(call) => (7 + block_tag(call.block), &call.instance),
    };
    out.push(tag);
    text(name, out);
    let Output::Block(call) = output else { return };
    for input in &call.further {
        match input {
            None => out.push(0),
            Some(logic) => {
                out.push(1);
                network(logic, out);
            }
        }
    }
    match call.preset {
        Some(Constant::Time(time_ms)) => integer(u64::from(time_ms), out),
        Some(Constant::Count(count)) => out.extend_from_slice(&count.to_le_bytes()),
        None => {}
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
