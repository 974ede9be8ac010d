//! Programs in normal form in which everything of the model occurs.

use sealin_ladder::generate::Numbers;
use sealin_ladder::{
    Address, Area, Block, Call, Comparison, Constant, Contact, Network, Operand, Output, Preset, Program,
    Relation, Rung, Test, Var, VarKind,
};

const COMMENTS: [&str; 6] = [
    "",
    "",
    "gate & paddle <raise>",
    "nach Pause: größer\n\nsecond \"line\"",
    "a (* b *) ]]> c",
    "&amp; &#10;",
];

/// A program made by rule.
pub fn any(numbers: &mut Numbers) -> Program {
    let mut vars = Vec::new();
    for index in 0..2 + numbers.below(6) {
        let area =
            [None, Some(Area::Input), Some(Area::Output), Some(Area::Memory)][numbers.below(4) as usize];
        let address = area.map(|area| Address { area, byte: (index / 8) as u8, bit: (index % 8) as u8 });
        let is_input = area == Some(Area::Input);
        let initial = !is_input && numbers.one_in(3);
        vars.push(var(numbers, format!("b{index}"), address, VarKind::Bool, initial));
    }
    vars.push(var(numbers, "q".to_owned(), None, VarKind::Bool, false));
    for (index, block) in Block::ALL.into_iter().enumerate() {
        vars.push(var(numbers, format!("f{index}"), None, VarKind::Block(block), false));
    }
    let mut rungs = Vec::new();
    let mut blocks: Vec<Var> = vars.iter().filter(|var| var.kind != VarKind::Bool).cloned().collect();
    for _ in 0..numbers.below(12) {
        let output = match numbers.below(3) {
            0 if !blocks.is_empty() => {
                let block = blocks.swap_remove(numbers.below(blocks.len() as u32) as usize);
                Output::Block(call(numbers, &vars, block))
            }
            _ => coil(numbers, &vars),
        };
        rungs.push(Rung { comment: comment(numbers), logic: network(numbers, &vars), output });
    }
    Program { name: "lock_1".to_owned(), comment: comment(numbers), vars, rungs }
}

fn var(numbers: &mut Numbers, name: String, address: Option<Address>, kind: VarKind, initial: bool) -> Var {
    Var { name, address, kind, initial, retain: numbers.one_in(3), comment: comment(numbers) }
}

fn comment(numbers: &mut Numbers) -> String {
    COMMENTS[numbers.below(COMMENTS.len() as u32) as usize].to_owned()
}

fn coil(numbers: &mut Numbers, vars: &[Var]) -> Output {
    let writable = |var: &&Var| {
        var.kind == VarKind::Bool && var.address.is_none_or(|address| address.area != Area::Input)
    };
    let writable: Vec<&Var> = vars.iter().filter(writable).collect();
    let var = writable[numbers.below(writable.len() as u32) as usize].name.clone();
    match numbers.below(6) {
        0 => Output::Coil { var },
        1 => Output::Negated { var },
        2 => Output::Set { var },
        3 => Output::Reset { var },
        4 => Output::Rising { var },
        _ => Output::Falling { var },
    }
}

fn call(numbers: &mut Numbers, vars: &[Var], instance: Var) -> Call {
    let VarKind::Block(block) = instance.kind else { unreachable!("only blocks are called") };
    let further =
        block.inputs()[1..].iter().map(|_| (!numbers.one_in(4)).then(|| network(numbers, vars))).collect();
    let preset = block.preset().map(|preset| match preset {
        Preset::Time => Constant::Time(numbers.below(i32::MAX as u32)),
        Preset::Count => Constant::Count(numbers.below(1 << 16) as u16 as i16),
    });
    Call { instance: instance.name, block, further, preset }
}

fn network(numbers: &mut Numbers, vars: &[Var]) -> Network {
    let depth = numbers.below(6);
    let in_series = numbers.one_in(2);
    part(numbers, vars, depth, in_series).normal()
}

fn part(numbers: &mut Numbers, vars: &[Var], depth: u32, in_series: bool) -> Network {
    if depth == 0 || numbers.one_in(5) {
        return leaf(numbers, vars);
    }
    let most = if numbers.one_in(8) { 9 } else { 3 };
    let parts = (0..1 + numbers.below(most)).map(|_| part(numbers, vars, depth - 1, !in_series)).collect();
    if in_series { Network::Series(parts) } else { Network::Parallel(parts) }
}

fn leaf(numbers: &mut Numbers, vars: &[Var]) -> Network {
    match numbers.below(14) {
        0 => return Network::True,
        1 => return Network::False,
        2..5 => {
            let values: Vec<(String, Preset)> = vars
                .iter()
                .filter_map(|var| match var.kind {
                    VarKind::Block(block) => {
                        Some((format!("{}.{}", var.name, block.value()?), block.preset()?))
                    }
                    VarKind::Bool => None,
                })
                .collect();
            let (value, sort) = values[numbers.below(values.len() as u32) as usize].clone();
            let relation = Relation::ALL[numbers.below(6) as usize];
            let with = match sort {
                _ if numbers.one_in(4) => {
                    let same: Vec<&(String, Preset)> =
                        values.iter().filter(|other| other.1 == sort).collect();
                    Operand::Value(same[numbers.below(same.len() as u32) as usize].0.clone())
                }
                Preset::Time => Operand::Constant(Constant::Time(numbers.below(100_000))),
                Preset::Count => Operand::Constant(Constant::Count(numbers.below(9) as i16 - 4)),
            };
            return Network::Contact(Contact::Compare(Comparison { value, relation, with }));
        }
        _ => {}
    }
    let bits: Vec<String> = vars
        .iter()
        .flat_map(|var| match var.kind {
            VarKind::Bool => vec![var.name.clone()],
            VarKind::Block(block) => block.bits().map(|pin| format!("{}.{pin}", var.name)).collect(),
        })
        .collect();
    let bit = bits[numbers.below(bits.len() as u32) as usize].clone();
    Network::bit(bit, [Test::Open, Test::Closed, Test::Rising, Test::Falling][numbers.below(4) as usize])
}
