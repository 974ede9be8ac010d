//! An explorer that only calls the bench: clones of it, every act, every delay in its range and every bounce, tick by tick. It
//! remembers nothing of the plant and merges nothing. An intermittent fault is there or away anew in each quantum.

use sealin_core::devices::armature::Place;
use sealin_core::part::{ArmatureDelays, DelayRange};
use sealin_core::state::ContactorState;
use sealin_core::step::delay_range;
use sealin_core::{Bench, BenchAct, Fault, Plan};
use sealin_proof::explore::Boundary;
use sealin_proof::expr::{Formula, Memory, Verdict};
use std::collections::HashSet;

/// A control: what lets it go, what works it, and the signal that tells which is next.
pub type Hand<'a> = (BenchAct, BenchAct, &'a str);

/// What the program remembers, with the result of its last scan.
type Program = (Box<[u64]>, u64);

/// What was found.
pub struct Naive {
    /// States at grid instants, the program's memory left out.
    pub boundaries: HashSet<Boundary>,
    /// Number of them with the program's memory.
    pub states: usize,
}

/// A bench, what its monitors remember, and which controls have changed in this quantum.
type Node = (Bench, Vec<Memory>, u32);

/// Explores by quanta of `period` ticks. The error is the first quantum in which a formula breaks.
pub fn naively(
    plan: &Plan,
    fault: Option<&Fault>,
    free: &[Hand],
    required: &[Verdict],
    period: u64,
) -> Result<Naive, u64> {
    let mut first = Bench::new(plan.clone()).expect("a bench of a test builds");
    first.act(BenchAct::Power(true)).expect("a bench has a supply");
    let formula = |v: &Verdict| Formula::new(&v.of, &first.design).expect("a formula of a test fits");
    let formulas: Vec<(Formula, bool)> = required.iter().map(|v| (formula(v), v.always)).collect();
    let memories: Vec<Memory> = formulas.iter().map(|(f, _)| f.memory()).collect();
    let mut on = first.clone();
    on.state.supplies.fill(true);
    let mut reached: HashSet<(Boundary, Program)> = HashSet::new();
    reached.insert(state(&on, &memories));
    let mut layer = vec![(first, memories)];
    let mut quantum = 0u64;
    while !layer.is_empty() {
        let mut nodes = Vec::new();
        for (mut bench, memories) in layer.drain(..) {
            if let Some(fault) = fault.filter(|_| bench.plan().faults.is_empty()) {
                let mut struck = bench.clone();
                struck.hold_intermittent(true);
                struck.act(BenchAct::Inject(fault.clone())).expect("a fault of a test fits");
                nodes.push((struck, memories.clone(), 0));
            } else if fault.is_some_and(Fault::is_intermittent) {
                let mut there = bench.clone();
                there.hold_intermittent(true);
                bench.hold_intermittent(false);
                nodes.push((there, memories.clone(), 0));
            }
            nodes.push((bench, memories, 0));
        }
        for _ in 0..period {
            nodes = ticked(&nodes, free, &formulas).ok_or(quantum)?;
        }
        for (bench, memories, _) in nodes {
            if reached.insert(state(&bench, &memories)) {
                layer.push((bench, memories));
            }
        }
        quantum += 1;
    }
    let states = reached.len();
    Ok(Naive { boundaries: reached.into_iter().map(|(boundary, _)| boundary).collect(), states })
}

/// Where every node can be a tick later; none where a formula breaks.
fn ticked(nodes: &[Node], free: &[Hand], formulas: &[(Formula, bool)]) -> Option<Vec<Node>> {
    let mut next: Vec<Node> = Vec::new();
    let mut seen = HashSet::new();
    for (bench, memories, changed) in nodes {
        for (mut after, changed) in everything(bench, free, *changed) {
            let tick = after.tick();
            after.step();
            let mut memories = memories.clone();
            for ((formula, always), memory) in formulas.iter().zip(&mut memories) {
                if formula.step(memory, tick, &|n| after.state.signal(n)) != *always {
                    return None;
                }
            }
            let images = after.state.controllers.first().map(|c| (c.inputs, c.outputs));
            let there = !after.design.faults.is_empty();
            if seen.insert((state(&after, &memories), images, changed, there)) {
                next.push((after, memories, changed));
            }
        }
    }
    Some(next)
}

fn state(bench: &Bench, memories: &[Memory]) -> (Boundary, Program) {
    let struck = !bench.plan().faults.is_empty();
    let boundary = (bench.design.pack(&mut bench.state.clone()), memories.to_vec(), struck);
    let mut program = Program::default();
    if let Some(c) = bench.state.controllers.first() {
        // What a scan makes anew whatever it was is no state.
        program = (bench.design.compiled().packing().pack(&c.memory), c.result);
    }
    (boundary, program)
}

/// Every bench that the next tick may begin with.
fn everything(bench: &Bench, free: &[Hand], changed: u32) -> Vec<(Bench, u32)> {
    let mut acted = vec![(bench.clone(), changed)];
    for (k, (off, on, level)) in free.iter().enumerate() {
        if changed >> k & 1 != 0 {
            continue;
        }
        let act = if bench.signal(level).expect("a signal of a test") { off } else { on };
        for i in 0..acted.len() {
            let (mut other, changed) = acted[i].clone();
            other.act(act.clone()).expect("an act of a test fits");
            acted.push((other, changed | 1 << k));
        }
    }
    for i in 0..bench.state.contactors.len() {
        let delays = every_delay(&bench.state.contactors[i], delay_range(&bench.design, i));
        let with = |(bench, changed): &(Bench, u32), delays: &ArmatureDelays| {
            let mut one = bench.clone();
            one.state.contactors[i].delays = Some(*delays);
            (one, *changed)
        };
        acted = acted.iter().flat_map(|one| delays.iter().map(move |delays| with(one, delays))).collect();
    }
    acted.into_iter().flat_map(|(bench, changed)| every_bounce(bench, changed)).collect()
}

/// Every choice of what the contacts of control devices show.
fn every_bounce(bench: Bench, changed: u32) -> Vec<(Bench, u32)> {
    // An act of this tick begins a bounce; what is left of one goes on.
    let may = |i: usize| bench.state.controls[i].bounce > 0 || changed != 0;
    let bouncing = (0..bench.state.controls.len()).filter(|&i| may(i)).fold(0u32, |mask, i| mask | 1 << i);
    let with = |bounces: u32| {
        let mut one = bench.clone();
        for (i, control) in one.state.controls.iter_mut().enumerate() {
            control.back = Some(bounces >> i & 1 != 0);
        }
        one.state.awake = sealin_core::state::Awake::ALL;
        (one, changed)
    };
    (0..=bouncing).filter(|bounces| bounces & !bouncing == 0).map(with).collect()
}

/// Every choice, in their ranges, of the delays that matter where the armature is, so that the order of the contacts is kept.
fn every_delay(contactor: &ContactorState, DelayRange { least, most }: DelayRange) -> Vec<ArmatureDelays> {
    let armature = contactor.armature;
    let mut all = Vec::new();
    if matches!(armature.place, Place::In | Place::ReleasingMainShut | Place::ReleasedAllOpen) {
        for main_open_ms in least.main_open_ms..=most.main_open_ms {
            for break_close_ms in least.break_close_ms..=most.break_close_ms {
                // Drawn in again on its way out, it goes on from the earliest opening of the break contacts.
                let break_open_ms = least.break_open_ms;
                all.push(ArmatureDelays { break_open_ms, main_open_ms, break_close_ms, ..most });
            }
        }
        return all;
    }
    for break_open_ms in least.break_open_ms..=most.break_open_ms {
        for main_close_ms in least.main_close_ms..=most.main_close_ms {
            let skips = armature.place != Place::ClosingAllOpen && main_close_ms <= armature.elapsed + 1;
            if !skips {
                all.push(ArmatureDelays { break_open_ms, main_close_ms, ..most });
            }
        }
    }
    all
}
