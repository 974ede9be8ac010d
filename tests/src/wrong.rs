//! Wrong designs: a plan with conductors missing, moved and added, and a program with contacts and coils of other kinds,
//! deterministic by seed.

use crate::generate::Random;
use sealin_core::{Conductor, Insulation, Plan, Terminal};
use sealin_ladder::{Contact, Network, Output, Program, VarKind};

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
