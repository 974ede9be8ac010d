//! The ticks behind an edge, for a counterexample.

use super::super::control::Mover;
use super::tick::{After, TickEdge, Tried, choices};
use super::{AsideEdge, Cut, Edge, Node, Plant, Presence, To};
use rustc_hash::FxHashMap;
use sealin_core::BenchAct;
use sealin_core::part::ArmatureDelays;
use sealin_core::step::MachineMove;

/// What happens in one tick of a path.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Moves {
    /// Acts at its start.
    pub acts: Vec<BenchAct>,
    /// The fault, once it has struck, is there in it.
    pub there: bool,
    /// Delays of every contactor in it.
    pub delays: Vec<ArmatureDelays>,
    /// Control devices, by number, whose contacts show where they were before, as they bounce; and those that show where
    /// they are.
    pub bounces: Vec<(usize, bool)>,
    /// Brakes of `Plant::untimed`, by number, that act now if their coil says so.
    pub brakes: Vec<usize>,
    /// What machines that actuate position switches do.
    pub machines: Vec<MachineMove>,
}

impl Plant {
    /// The ticks of a quantum that goes as an edge says, and each device apart, from a state of its own, by one of its own edges.
    pub fn path(
        &mut self,
        plant: u32,
        image: u64,
        edge: &Edge,
        asides: &[(u8, AsideEdge)],
    ) -> Result<Vec<Moves>, Cut> {
        /// Ticks for which contacts may bounce.
        const BOUNCE: usize = 3;
        let mut moves = self.plant_path(plant, image, edge)?;
        for (k, (state, aside)) in asides.iter().enumerate() {
            let climates = self.climates_of(edge.stream, k);
            let ticks = self.with_apart(k, edge.presence.is_there(), |apart, run| {
                apart.path(*state, &climates, aside, run)
            });
            let apart = &self.apart[k];
            for (tick, step) in ticks.iter().enumerate() {
                if let Some(level) = step.level {
                    // The fault, then the movers in their order.
                    let act = self.movers[apart.mover].act(level).clone();
                    let strikes = tick == 0 && edge.presence.has_struck() && !super::struck(plant);
                    let before = |other: &&BenchAct| self.order(other) < apart.mover;
                    let at = usize::from(strikes);
                    let at = at + moves[tick].acts[at..].iter().take_while(before).count();
                    moves[tick].acts.insert(at, act);
                    if apart.merged {
                        let bounces = moves.iter_mut().skip(tick).take(BOUNCE);
                        bounces.for_each(|m| m.bounces.push((apart.aside.control, false)));
                    }
                }
                moves[tick].bounces.extend(step.back.map(|back| (apart.aside.control, back)));
            }
        }
        Ok(moves)
    }

    /// The place among the movers of the one that an act moves.
    fn order(&self, act: &BenchAct) -> usize {
        let moves = |m: &Mover| (0..m.levels()).any(|level| m.act(level) == act);
        self.movers.iter().position(moves).unwrap_or(0)
    }

    /// The plant's ticks of a quantum, with the fewest acts, the first of them in the order of the movers.
    fn plant_path(&mut self, plant: u32, image: u64, edge: &Edge) -> Result<Vec<Moves>, Cut> {
        /// A node, the one of the tick before, by which edge, and the acts so far.
        type Step = (Node, usize, Option<TickEdge>, u8);
        let mut layers: Vec<Vec<Step>> = vec![vec![(Node::first(plant), 0, None, 0)]];
        let mut tried = Tried::default();
        let last = match edge.to {
            To::Plant(_) => self.period,
            To::End(_, tick) => u32::from(tick),
        };
        for tick in 0..last {
            let mut next: Vec<Step> = Vec::new();
            let mut seen: FxHashMap<Node, usize> = FxHashMap::default();
            for (from, (node, _, _, actions)) in layers[tick as usize].clone().iter().enumerate() {
                let barred = self.barred(tick);
                let all = self.tick_edges(node, image, tick, edge.presence, &mut tried)?;
                for by in all.edges.iter().filter(|by| by.fits(node, barred)) {
                    let actions = actions.saturating_add(by.actions());
                    let Ok(node) = self.follow(node, image, tick, by) else { continue };
                    match seen.get(&node) {
                        Some(&k) if next[k].3 <= actions => {}
                        Some(&k) => next[k] = (node, from, Some(*by), actions),
                        None => {
                            seen.insert(node, next.len());
                            next.push((node, from, Some(*by), actions));
                        }
                    }
                }
            }
            layers.push(next);
        }
        let (label, word) = (self.label(edge.label), self.word(edge.word));
        // The node at which it ends, and for an end the tick edge that leads there.
        let mut best: Option<(usize, Option<TickEdge>, u8)> = None;
        let mut offer = |at: usize, by: Option<TickEdge>, actions: u8| {
            if best.as_ref().is_none_or(|best| actions < best.2) {
                best = Some((at, by, actions));
            }
        };
        for (at, (node, _, _, actions)) in layers[last as usize].clone().iter().enumerate() {
            if (node.label, node.word, node.stream) != (label, word, edge.stream) {
                continue;
            }
            match edge.to {
                To::Plant(to) if node.plant == to => offer(at, None, *actions),
                To::Plant(_) => {}
                To::End(end, _) => {
                    let barred = self.barred(last);
                    let all = self.tick_edges(node, image, last, edge.presence, &mut tried)?;
                    let leads = |by: &&TickEdge| by.fits(node, barred) && by.after == After::End(end);
                    all.edges
                        .iter()
                        .filter(leads)
                        .for_each(|by| offer(at, Some(*by), actions.saturating_add(by.actions())));
                }
            }
        }
        let (mut at, end, _) = best.expect("an edge of this relation");
        let mut moves: Vec<Moves> = Vec::new();
        if let Some(by) = end {
            moves.push(self.moves(layers[last as usize][at].0.plant, edge.presence, &by));
        }
        for tick in (0..last as usize).rev() {
            let (_, from, by, _) = &layers[tick + 1][at];
            let by = by.expect("only the first node has none");
            moves.push(self.moves(layers[tick][*from].0.plant, edge.presence, &by));
            at = *from;
        }
        moves.reverse();
        Ok(moves)
    }

    /// What happens in a tick that goes by an edge.
    fn moves(&self, plant: u32, presence: Presence, edge: &TickEdge) -> Moves {
        let mut room = self.initial_state();
        let acts = self.acts.value(edge.acts);
        let strike = self.fault.clone().filter(|_| edge.strikes).map(BenchAct::Inject);
        self.begin(plant, presence, 0, 1, acts, &mut room);
        let pick = |i: usize| (edge.picks >> i & 1) as usize;
        let brakes = self.untimed.iter().enumerate();
        let brakes = brakes.filter(|(k, _)| pick(room.contactors.len() + room.controls.len() + k) != 0);
        let contactors = room.contactors.iter().zip(&self.ranges).enumerate();
        let bouncing = room.controls.iter().enumerate().filter(|(_, c)| c.bounce > 0);
        Moves {
            there: presence.is_there(),
            acts: strike
                .into_iter()
                .chain(acts.iter().map(|&(m, level)| self.movers[m].act(level).clone()))
                .collect(),
            delays: contactors.map(|(i, (c, range))| choices(c.armature, range)[pick(i)]).collect(),
            bounces: bouncing.map(|(i, _)| (i, pick(room.contactors.len() + i) != 0)).collect(),
            brakes: brakes.map(|(_, &i)| i).collect(),
            machines: match edge.after {
                After::State { .. } => self.machines.value(edge.machines).clone(),
                After::End(_) => Vec::new(),
            },
        }
    }
}
