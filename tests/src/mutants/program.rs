//! Single edits of a program.

use super::rung;
use sealin_ladder::{Address, Area, Block, Constant, Network, Output, Program, Rung, VarKind};

/// Every single edit of a program with what was done: of the rungs one after the other, then of the addresses. `channels` are the
/// addresses that the controller has terminals for.
pub fn edits(program: &Program, channels: &[Address]) -> Vec<(String, Program)> {
    let mut all = Vec::new();
    for n in 0..program.rungs.len() {
        let mut take = |what: String, edited: Program| all.push((format!("rung {}{what}", n + 1), edited));
        order(program, n, &mut take);
        contacts(program, n, &mut take);
        output(program, n, &mut take);
    }
    addresses(program, channels, &mut |what, edited| all.push((what, edited)));
    all
}

type Take<'a> = &'a mut dyn FnMut(String, Program);

/// The rung dropped, changed over with the next, or run before or after all others.
fn order(program: &Program, n: usize, take: Take) {
    let mut edited = program.clone();
    let rung = edited.rungs.remove(n);
    take(": dropped".to_string(), edited.clone());
    let last = edited.rungs.len();
    for (to, word) in [(n + 1, "changed over with the next"), (0, "run first"), (last, "run last")] {
        // To change places with a neighbour is one edit, whatever it is called.
        if to <= last && to != n && (word != "run last" || n + 1 < last) && (word != "run first" || n > 1) {
            let mut moved = edited.clone();
            moved.rungs.insert(to, rung.clone());
            take(format!(": {word}"), moved);
        }
    }
}

fn contacts(program: &Program, n: usize, take: Take) {
    let rung = &program.rungs[n];
    let bits = bits(program);
    let mut first = 1;
    for (k, network) in rung.networks().enumerate() {
        let mut give = |what: String, new: Network| {
            let mut edited = program.clone();
            put(&mut edited.rungs[n], k, new.normal());
            take(format!(", {what}"), edited);
        };
        rung::edits(network, first, &bits, &mut give);
        if let Network::Contact(contact) = network {
            let name = contact.names().next().unwrap_or_default();
            give(format!("contact {first} {name}: dropped"), Network::True);
        }
        first += network.contacts();
    }
}

/// Puts a network in the place of the one of this number, as [`Rung::networks`] counts.
fn put(rung: &mut Rung, k: usize, new: Network) {
    if k == 0 {
        rung.logic = new;
    } else if let Output::Block(call) = &mut rung.output
        && let Some(place) = call.further.iter_mut().flatten().nth(k - 1)
    {
        *place = new;
    }
}

/// What can be read: bits, and what blocks give.
fn bits(program: &Program) -> Vec<String> {
    let of = |var: &sealin_ladder::Var| match var.kind {
        VarKind::Bool => vec![var.name.clone()],
        VarKind::Block(block) => block.outputs().iter().map(|pin| format!("{}.{pin}", var.name)).collect(),
    };
    program.vars.iter().flat_map(of).collect()
}

/// Another kind of coil, another bit for it; another block of its family, another preset.
fn output(program: &Program, n: usize, take: Take) {
    let mut give = |what: String, output: Output| {
        let mut edited = program.clone();
        if let Output::Block(call) = &output
            && let Some(var) = edited.vars.iter_mut().find(|var| var.name == call.instance)
        {
            var.kind = VarKind::Block(call.block);
        }
        edited.rungs[n].output = output;
        take(what, edited);
    };
    let now = &program.rungs[n].output;
    if let Output::Block(call) = now {
        for block in family(call.block).iter().filter(|block| **block != call.block) {
            let other = sealin_ladder::Call { block: *block, ..call.clone() };
            give(format!(", {}: as {}", call.instance, block.word()), Output::Block(other));
        }
        for preset in call.preset.iter().flat_map(|preset| presets(*preset)) {
            let other = sealin_ladder::Call { preset: Some(preset), ..call.clone() };
            give(format!(", {}: preset {preset}", call.instance), Output::Block(other));
        }
        return;
    }
    for (word, output) in coils(now.var()).into_iter().filter(|(_, output)| output != now) {
        give(format!(", {word} of {}", now.var()), output);
    }
    let written = |var: &&sealin_ladder::Var| {
        let read_only = var.address.is_some_and(|address| address.area == Area::Input);
        var.kind == VarKind::Bool && !read_only && var.name != now.var()
    };
    for var in program.vars.iter().filter(written) {
        let mut output = now.clone();
        match &mut output {
            Output::Coil { var: name }
            | Output::Negated { var: name }
            | Output::Set { var: name }
            | Output::Reset { var: name }
            | Output::Rising { var: name }
            | Output::Falling { var: name } => name.clone_from(&var.name),
            Output::Block(_) => unreachable!("coils only"),
        }
        give(format!(", coil of {}: drives {}", now.var(), var.name), output);
    }
}

fn coils(var: &str) -> [(&'static str, Output); 6] {
    let var = || var.to_string();
    [
        ("coil", Output::Coil { var: var() }),
        ("negated coil", Output::Negated { var: var() }),
        ("set coil", Output::Set { var: var() }),
        ("reset coil", Output::Reset { var: var() }),
        ("rising-edge coil", Output::Rising { var: var() }),
        ("falling-edge coil", Output::Falling { var: var() }),
    ]
}

/// The blocks with the same pins.
fn family(block: Block) -> &'static [Block] {
    match block {
        Block::Ton | Block::Tof | Block::Tp => &[Block::Ton, Block::Tof, Block::Tp],
        Block::RTrig | Block::FTrig => &[Block::RTrig, Block::FTrig],
        _ => &[],
    }
}

/// A tenth, half, twice, and ten times as much.
fn presets(preset: Constant) -> Vec<Constant> {
    match preset {
        Constant::Time(ms) => [ms / 10, ms / 2, ms * 2, ms * 10].map(Constant::Time).to_vec(),
        Constant::Count(n) => [n - 1, n + 1].map(Constant::Count).to_vec(),
    }
}

/// Two addresses of an area changed over; one at a channel that no variable has.
fn addresses(program: &Program, channels: &[Address], take: Take) {
    let placed: Vec<usize> = (0..program.vars.len()).filter(|&n| program.vars[n].address.is_some()).collect();
    let address = |n: usize| program.vars[n].address.expect("filtered");
    for (k, &a) in placed.iter().enumerate() {
        let name = &program.vars[a].name;
        for &b in placed[k + 1..].iter().filter(|&&b| address(b).area == address(a).area) {
            let mut edited = program.clone();
            (edited.vars[a].address, edited.vars[b].address) = (Some(address(b)), Some(address(a)));
            take(format!("{name} and {}: addresses changed over", program.vars[b].name), edited);
        }
        let taken = |channel: &Address| placed.iter().any(|&n| address(n) == *channel);
        for channel in channels.iter().filter(|c| c.area == address(a).area && !taken(c)) {
            let mut edited = program.clone();
            edited.vars[a].address = Some(*channel);
            take(format!("{name}: at {channel}"), edited);
        }
    }
}
