//! Wrong designs: a plan with conductors missing, moved and added, and a program with contacts and coils of other kinds; or
//! slips of a learner, a few at a time. Deterministic by seed.

use crate::generate::Random;
use sealin_core::{Conductor, Insulation, Plan, Terminal};
use sealin_ladder::{Constant, Contact, Network, Output, Program, VarKind};

/// Damages a plan in a few places; with luck in none.
pub fn wrong(plan: &Plan, random: &mut Random) -> Plan {
    let mut plan = plan.clone();
    let terminals: Vec<Terminal> = plan
        .parts
        .iter()
        .flat_map(|p| p.terminals().into_iter().map(|name| Terminal { part: p.tag.clone(), name }))
        .collect();
    for k in 0..random.below(4) {
        let at = random.below(plan.conductors.len() as u64) as usize;
        match random.below(3) {
            0 => drop(plan.conductors.remove(at)),
            1 => plan.conductors[at].to = random.pick(&terminals).clone(),
            _ => plan.conductors.push(Conductor {
                id: format!("W{k}"),
                from: random.pick(&terminals).clone(),
                to: random.pick(&terminals).clone(),
                section_mm2_x100: 100,
                colour: Insulation::Black,
                number: String::new(),
            }),
        }
    }
    if let Some(program) = &mut plan.program {
        for _ in 0..random.below(4) {
            damage(program, random);
        }
    }
    plan
}

/// Makes one or two slips of a learner: a contact forgotten, of the other kind, of another bit or in a branch of its own, a coil of
/// another kind, rungs in another order, another preset time; or of the conductors `made` one missing or two changed over.
pub fn slips(plan: &Plan, made: &[String], random: &mut Random) -> Plan {
    let mut plan = plan.clone();
    for _ in 0..=random.below(2) {
        let wires: Vec<usize> =
            (0..plan.conductors.len()).filter(|&k| made.contains(&plan.conductors[k].id)).collect();
        match (random.below(8), &mut plan.program) {
            (0, _) if !wires.is_empty() => drop(plan.conductors.remove(*random.pick(&wires))),
            (1, _) if !wires.is_empty() => {
                let (one, other) = (*random.pick(&wires), *random.pick(&wires));
                let kept = plan.conductors[one].to.clone();
                plan.conductors[one].to = plan.conductors[other].to.clone();
                plan.conductors[other].to = kept;
            }
            (2, Some(program)) => {
                let last = program.rungs.len() as u64;
                let (one, other) = (random.below(last) as usize, random.below(last) as usize);
                program.rungs.swap(one, other);
            }
            (3, Some(program)) => {
                let presets = program.rungs.iter_mut().filter_map(|rung| match &mut rung.output {
                    Output::Block(call) => call.preset.as_mut(),
                    _ => None,
                });
                presets.for_each(|preset| *preset = Constant::Time(random.below(30) as u32 * 10));
            }
            (4 | 5, Some(program)) => {
                let rung = random.below(program.rungs.len() as u64) as usize;
                let which = random.below(u64::from(program.rungs[rung].logic.contacts()).max(1));
                forget(&mut program.rungs[rung].logic, which, &mut 0, Network::True);
            }
            (_, Some(program)) => damage(program, random),
            (_, None) => {}
        }
    }
    plan
}

/// Takes contact `which` out: what is left in its place is `without`, a link in a row and a gap beside others.
fn forget(logic: &mut Network, which: u64, index: &mut u64, without: Network) {
    match logic {
        Network::Contact(_) => {
            if *index == which {
                *logic = without;
            }
            *index += 1;
        }
        Network::Series(parts) => parts.iter_mut().for_each(|p| forget(p, which, index, Network::True)),
        Network::Parallel(parts) => parts.iter_mut().for_each(|p| forget(p, which, index, Network::False)),
        _ => {}
    }
}

fn damage(program: &mut Program, random: &mut Random) {
    let bits: Vec<String> =
        program.vars.iter().filter(|v| v.kind == VarKind::Bool).map(|v| v.name.clone()).collect();
    if program.rungs.is_empty() || bits.is_empty() {
        return;
    }
    let rung = random.below(program.rungs.len() as u64) as usize;
    let contacts = u64::from(program.rungs[rung].logic.contacts());
    let (which, change, bit) = (random.below(contacts.max(1)), random.below(5), random.pick(&bits).clone());
    let rung = &mut program.rungs[rung];
    match (change, &rung.output) {
        (0, Output::Coil { var }) => rung.output = Output::Set { var: var.clone() },
        (1, Output::Coil { var }) => rung.output = Output::Reset { var: var.clone() },
        (2, Output::Coil { var }) => rung.output = Output::Negated { var: var.clone() },
        _ => {
            let mut index = 0;
            contact(&mut rung.logic, which, &mut index, change == 3, &bit);
        }
    }
}

/// Makes contact `which` one of the other kind, or one of another bit.
fn contact(logic: &mut Network, which: u64, index: &mut u64, kind: bool, bit: &str) {
    match logic {
        Network::Contact(Contact::Bit { var, test }) => {
            if *index == which {
                if kind { *test = test.opposite() } else { *var = bit.to_string() }
            }
            *index += 1;
        }
        Network::Series(parts) | Network::Parallel(parts) => {
            parts.iter_mut().for_each(|p| contact(p, which, index, kind, bit));
        }
        _ => {}
    }
}
