//! Control devices looked at apart from the plant, as all that they reach is an input channel each.
//!
//! In every key that is met, and in whatever positions such devices are, a device changes nothing but what its own channel reads.
//! So the plant goes on as if there were none, and each device goes on by itself, through the same functions of the bench: its
//! contacts, their bounce, and the filter of its channel. The first key that says otherwise turns this off for a device, and all
//! begins anew with it in the plant.

use super::control::Mover;
use super::interner::Interner;
use rustc_hash::FxHashMap;
use sealin_core::state::ControlState;
use sealin_core::step::{Aside, Reads, filter_ms, free_act, free_signal};
use sealin_core::{Design, State};
use std::rc::Rc;

/// Most devices that are looked at apart: all their positions together are tried at each key.
pub(super) const MOST_ASIDES: usize = 8;

/// Numbers of the states of all such devices, 8 bits each.
pub(super) type AsideStates = u64;

/// What the plant has to tell them of a tick: what their channels read, and whether the controller has power.
pub(super) type Climate = (Rc<[Reads]>, bool);

/// A device and its channel between two ticks.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
struct AsideState {
    control: ControlState,
    raw: bool,
    filtered: bool,
    differing: u8,
}

/// One way in which a quantum can go for a device.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct AsideEdge {
    /// Number of its state afterwards.
    pub to: u8,
    /// The bit of its channel if it was sampled as 1.
    pub sampled: u64,
    /// Its own signals, as in a word.
    pub word: u128,
    pub actions: u8,
}

/// What a device does in a tick of a path.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct AsideMove {
    /// The level that it takes.
    pub level: Option<usize>,
    /// Whether its contacts show where they were before, where they bounce.
    pub back: Option<bool>,
}

/// Every way in which a quantum can go, by state and stream.
type Known = FxHashMap<(u8, u32), Rc<[AsideEdge]>>;

/// A mover that is looked at apart.
pub(super) struct Apart {
    /// Number of the mover.
    pub mover: usize,
    pub aside: Aside,
    /// It changes at the first tick after the sample only, as any sequence of samples that it can cause is caused at that tick
    /// too: no formula names it, and the filter settles within a period whatever bounces.
    pub merged: bool,
    /// Places of its own signals in a word, with their numbers.
    signals: Vec<(usize, usize)>,
    /// Places of its channel's bit of the input image in a word, at every tick.
    pub image: u128,
    states: Interner<AsideState>,
    /// Without the fault, and with it.
    known: [Known; 2],
}

/// A device within a quantum: how it came here, and by how many acts.
#[derive(Clone, Copy)]
struct Step {
    state: AsideState,
    changed: bool,
    sampled: bool,
    word: u128,
    from: usize,
    by: AsideMove,
    actions: u8,
}

impl Step {
    fn same(&self, other: &Step) -> bool {
        let of = |s: &Step| (s.state, s.changed, s.sampled, s.word);
        of(self) == of(other)
    }
}

/// Where the devices' ticks are computed.
pub(super) struct Run<'a> {
    /// The design, with the fault if it is there.
    pub design: &'a Design,
    pub there: bool,
    pub movers: &'a [Mover],
    pub room: &'a mut State,
    /// Signals of a tick in a word.
    pub signals: usize,
}

impl Apart {
    /// `signals`: those of the formulas, in their order, and which are bits of the input image.
    pub fn new(
        design: &Design,
        mover: (usize, &Mover),
        aside: Aside,
        signals: &[usize],
        images: &[(usize, bool, u8)],
        period: u32,
    ) -> Apart {
        /// Ticks of bounce that a filter sees before its count begins.
        const BOUNCE: u32 = 2;
        let own = |n: usize| design.signals[n].name.split('.').next() == Some(mover.1.name.as_str());
        let own: Vec<(usize, usize)> = signals.iter().copied().enumerate().filter(|&(_, n)| own(n)).collect();
        let bits = images.iter().filter(|(_, input, bit)| *input && Some(*bit) == aside.channel);
        let image = bits.fold(0, |mask, &(place, ..)| mask | every_tick(place, signals.len(), period));
        Apart {
            mover: mover.0,
            aside,
            merged: own.is_empty() && period > 1 && filter_ms(design) + BOUNCE <= period,
            signals: own,
            image,
            states: Interner::new(),
            known: Default::default(),
        }
    }

    /// Places of its own signals in a word, at every tick.
    pub fn own(&self, signals: usize, period: u32) -> u128 {
        self.signals.iter().fold(0, |mask, &(place, _)| mask | every_tick(place, signals, period))
    }

    /// Bytes that what is known of it takes, roughly.
    #[cfg(feature = "under-test")]
    pub fn footprint(&self) -> usize {
        self.known.iter().map(super::plant::bytes_of_lists).sum()
    }

    /// Forgets what it did while the fault was there.
    pub fn forget_struck(&mut self) {
        self.known[1].clear();
    }

    fn state(&self, state: &State) -> AsideState {
        let bit = self.aside.bit();
        let c = state.controllers.first();
        let mut control = ControlState { back: None, ..state.controls[self.aside.control] };
        if control.bounce == 0 {
            control.before = control.position;
        }
        AsideState {
            control,
            raw: c.is_some_and(|c| c.raw & bit != 0),
            filtered: c.is_some_and(|c| c.filtered & bit != 0),
            differing: c.zip(self.aside.channel).map_or(0, |(c, k)| c.differing[usize::from(k)]),
        }
    }

    /// The number of the state that it is in on a bench.
    pub fn number(&mut self, state: &State) -> u8 {
        self.numbered(self.state(state))
    }

    fn numbered(&mut self, state: AsideState) -> u8 {
        u8::try_from(self.states.number(state)).expect("a device with its channel has few states")
    }

    /// Puts it into a state.
    pub fn put(&self, number: u8, state: &mut State) {
        self.put_state(*self.states.value(number.into()), state);
    }

    fn put_state(&self, aside: AsideState, state: &mut State) {
        state.controls[self.aside.control] = aside.control;
        if let (Some(k), Some(c)) = (self.aside.channel, state.controllers.first_mut()) {
            let bit = self.aside.bit();
            c.raw = if aside.raw { c.raw | bit } else { c.raw & !bit };
            c.filtered = if aside.filtered { c.filtered | bit } else { c.filtered & !bit };
            c.differing[usize::from(k)] = aside.differing;
        }
    }

    /// Every way in which a quantum, or the part of it that a stream is long, can go from a state.
    pub fn edges(
        &mut self,
        state: u8,
        stream: u32,
        climates: &[(Reads, bool)],
        run: &mut Run,
    ) -> Rc<[AsideEdge]> {
        let half = usize::from(run.there);
        if let Some(edges) = self.known[half].get(&(state, stream)) {
            return Rc::clone(edges);
        }
        let layers = self.layers(state, climates, run);
        let mut edges: Vec<AsideEdge> = Vec::new();
        for step in &layers[layers.len() - 1] {
            let edge = self.edge(step);
            match edges
                .iter_mut()
                .find(|e| AsideEdge { actions: 0, ..**e } == AsideEdge { actions: 0, ..edge })
            {
                Some(known) => known.actions = known.actions.min(edge.actions),
                None => edges.push(edge),
            }
        }
        let edges: Rc<[AsideEdge]> = edges.into();
        self.known[half].insert((state, stream), Rc::clone(&edges));
        edges
    }

    fn edge(&mut self, step: &Step) -> AsideEdge {
        AsideEdge {
            to: self.numbered(step.state),
            sampled: if step.sampled { self.aside.bit() } else { 0 },
            word: step.word,
            actions: step.actions,
        }
    }

    /// What it does tick by tick where it goes by an edge.
    pub fn path(
        &mut self,
        state: u8,
        climates: &[(Reads, bool)],
        edge: &AsideEdge,
        run: &mut Run,
    ) -> Vec<AsideMove> {
        let layers = self.layers(state, climates, run);
        let last = &layers[layers.len() - 1];
        let mut at = (0..last.len()).find(|&k| self.edge(&last[k]) == *edge).expect("an edge of this device");
        let mut moves = Vec::new();
        for layer in layers[1..].iter().rev() {
            moves.push(layer[at].by);
            at = layer[at].from;
        }
        moves.reverse();
        moves
    }

    /// Where it can be after each tick.
    fn layers(&self, state: u8, climates: &[(Reads, bool)], run: &mut Run) -> Vec<Vec<Step>> {
        let state = *self.states.value(state.into());
        let first = Step {
            state,
            changed: false,
            sampled: false,
            word: 0,
            from: 0,
            by: AsideMove::default(),
            actions: 0,
        };
        let mut layers = vec![vec![first]];
        for (tick, &(reads, powered)) in climates.iter().enumerate() {
            let mut next: Vec<Step> = Vec::new();
            for (from, step) in layers[tick].iter().enumerate() {
                for to in self.ticks(from, step, tick, reads, powered, run) {
                    match next.iter_mut().find(|known| known.same(&to)) {
                        Some(known) if known.actions <= to.actions => {}
                        Some(known) => *known = to,
                        None => next.push(to),
                    }
                }
            }
            layers.push(next);
        }
        layers
    }

    /// Every way in which a tick can go.
    fn ticks(
        &self,
        from: usize,
        step: &Step,
        tick: usize,
        reads: Reads,
        powered: bool,
        run: &mut Run,
    ) -> Vec<Step> {
        let Run { design, movers, room, signals, .. } = run;
        let (mover, mut all) = (&movers[self.mover], Vec::new());
        self.put_state(step.state, room);
        let level = mover.level(design, room);
        let may = !step.changed && (!self.merged || tick == 1);
        let others = (0..mover.levels()).filter(|&other| may && other != level).map(Some);
        for level in std::iter::once(None).chain(others) {
            self.put_state(step.state, room);
            if let Some(level) = level {
                free_act(design, room, mover.act(level));
                if self.merged {
                    // What it does in its bounce is seen by no filter.
                    room.controls[self.aside.control].bounce = 0;
                }
            }
            let control = room.controls[self.aside.control];
            let bounces: &[Option<bool>] =
                if control.bounce > 0 { &[Some(false), Some(true)] } else { &[None] };
            for &back in bounces {
                self.put_state(step.state, room);
                room.controls[self.aside.control] = ControlState { back, ..control };
                self.aside.step(design, room, reads, powered);
                let state = self.state(room);
                let mut word = step.word;
                for &(place, signal) in &self.signals {
                    word |= u128::from(free_signal(design, room, signal)) << (tick * *signals + place);
                }
                all.push(Step {
                    state,
                    changed: step.changed || level.is_some(),
                    sampled: if tick == 0 { state.filtered } else { step.sampled },
                    word,
                    from,
                    by: AsideMove { level, back },
                    actions: step.actions + u8::from(level.is_some()),
                });
            }
        }
        all
    }
}

/// The bits of one signal at every tick of a word.
fn every_tick(place: usize, signals: usize, period: u32) -> u128 {
    (0..period as usize).fold(0, |mask, tick| mask | 1 << (tick * signals + place))
}
