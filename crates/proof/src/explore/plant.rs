//! The bench without its program, a quantum at a time: from a discrete state and an output image, every state that can follow.
//!
//! A quantum begins with the tick of a grid instant: filters, the images, the scan, whose result the next quantum's output
//! image takes. What can follow from a state and an image is computed once and kept.

mod edges;
#[cfg(feature = "under-test")]
mod footprint;
mod path;
mod tick;

use super::aside::{Apart, AsideEdge, AsideStates, Climate, MOST_ASIDES, Run};
use super::control::{Mover, mover};
use super::interner::Interner;
use super::presence::Presence;
use rustc_hash::FxHashMap;
use sealin_core::design::SignalSource;
use sealin_core::discrete::Packed;
use sealin_core::part::DelayRange;
use sealin_core::state::ControllerPhase;
use sealin_core::step::{
    Aside, End, FreeCache, MachineMove, Marginal, Marginals, delay_range, free_act, free_step,
    machines_outside, watched_machines,
};
use sealin_core::{BenchAct, Design, Fault, State};
use std::rc::Rc;
use tick::Ticked;

#[cfg(feature = "under-test")]
pub(super) use footprint::bytes_of_lists;
pub use path::Moves;
pub(super) use tick::MOST_TRIED;

/// Most bits of a word: signals of every tick of a quantum.
const WORD_BITS: usize = 128;

/// Most machines with position switches: two bits each tell what they crossed.
const MOST_MACHINES: usize = 8;

/// What the controller did in a quantum.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub(super) struct Label {
    /// It ran its program with this input image.
    pub scanned: Option<u64>,
    /// It lost its supply after that, so that its program will start anew.
    pub restarted: bool,
}

/// How a quantum ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(super) enum To {
    /// In this state.
    Plant(u32),
    /// By what [`Plant::end`] has under this number, at this tick of the quantum.
    End(u32, u8),
}

/// One way in which a quantum can go for the plant.
#[derive(Clone, Copy, Debug)]
pub(super) struct Edge {
    pub to: To,
    /// Where the fault is through the quantum.
    pub presence: Presence,
    /// Number of a [`Label`], without what is sampled of devices apart.
    pub label: u32,
    /// Number of a word: the named signals tick by tick, those of tick i from bit `i · signals` on. Those of devices apart are 0;
    /// bits of the input image from their channels are 1 wherever there is an image.
    pub word: u32,
    /// Number of what it tells devices apart.
    pub stream: u32,
    /// Fewest acts by which it goes so.
    pub actions: u8,
}

/// Why not every way of a quantum is known.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Cut {
    /// This mover cannot be looked at apart; all begins anew with it in the plant.
    Demoted(usize),
    /// There is more to try in it than [`Plant::most_tried`].
    TooMany,
}

/// Where a quantum stands between two ticks.
#[derive(Clone, Copy, PartialEq, Eq, Hash)]
struct Node {
    plant: u32,
    /// Movers that have changed in this quantum, one bit each.
    changed: u32,
    /// What machines crossed last in this quantum, as in a tick edge.
    crossed: u16,
    label: Label,
    word: u128,
    stream: u32,
}

/// A design, and what is known of it.
struct Body {
    design: Rc<Design>,
    free: FreeCache,
    ticks: FxHashMap<(u32, u64, bool), Rc<Ticked>>,
    relation: FxHashMap<(u32, u64), Rc<[Edge]>>,
}

/// A design without its program, ready to be explored.
///
/// The number of a state is twice its number among those with the fault, or without it, and one more with it.
pub(super) struct Plant {
    /// By [`Presence`]: the design without the fault, with it if there is one, and, for one that comes and goes, without it once it
    /// has struck. A fault changes no part's place in the state and no signal's number. What is known before it strikes is the
    /// same whatever fault may strike.
    bodies: Vec<Body>,
    /// States before the fault has struck, and after.
    standings: [Interner<Packed>; 2],
    pub fault: Option<Fault>,
    pub movers: Vec<Mover>,
    /// Movers that are looked at apart, what of the bench each is, and the bits of their channels.
    pub apart: Vec<Apart>,
    asides: Rc<[Aside]>,
    apart_bits: u64,
    pub period: u32,
    /// Most that is tried in a quantum.
    pub most_tried: u64,
    /// Movers that are worked at the tick after the sample only, one bit each: a mistake where they reach more than a channel.
    #[cfg(feature = "under-test")]
    pub once: u32,
    /// Signals that the formulas name.
    pub signals: Vec<usize>,
    /// Those of them that are bits of an image: place among the signals, of the input image, which bit.
    images: Vec<(usize, bool, u8)>,
    /// Those that are neither bits of an image nor of a device apart: place and number.
    plain: Vec<(usize, usize)>,
    ranges: Vec<DelayRange>,
    /// Brakes that no formula names, by number: they act at any tick, or not before their coil changes back. How long they have had is
    /// then no state.
    pub untimed: Vec<usize>,
    room: State,
    labels: Interner<Label>,
    words: Interner<u128>,
    ends: Interner<End>,
    acts: Interner<Vec<(usize, usize)>>,
    /// What machines do in a tick.
    machines: Interner<Vec<MachineMove>>,
    climates: Interner<Climate>,
    /// What the plant tells devices apart, tick by tick: the stream before, and the climate of its last tick. The first is empty.
    streams: Interner<(u32, u32)>,
}

impl Plant {
    /// Movers of `denied` are not looked at apart.
    ///
    /// # Errors
    /// What cannot move, or is too much.
    pub fn new(
        design: Rc<Design>,
        free: &[String],
        denied: &[usize],
        signals: Vec<usize>,
        period: u32,
    ) -> Result<Plant, String> {
        let movers = free.iter().map(|name| mover(&design, name)).collect::<Result<Vec<Mover>, String>>()?;
        if movers.len() > 32 || signals.len() * period as usize > WORD_BITS {
            return Err(format!(
                "{} things that move and {} signals are too many",
                movers.len(),
                signals.len()
            ));
        }
        if let Some(why) = machines_outside(&design, period) {
            return Err(why);
        }
        if watched_machines(&design).count() > MOST_MACHINES {
            return Err(format!("more than {MOST_MACHINES} machines with position switches are too many"));
        }
        let contactors = design.initial_state().contactors.len();
        let mut plant = Plant {
            apart: Vec::new(),
            asides: Rc::default(),
            apart_bits: 0,
            plain: Vec::new(),
            ranges: (0..contactors).map(|i| delay_range(&design, i)).collect(),
            untimed: untimed(&design, &signals),
            room: design.initial_state(),
            images: signals
                .iter()
                .enumerate()
                .filter_map(|(place, &n)| image_bit(&design, place, n))
                .collect(),
            bodies: vec![Body::of(design, FreeCache::default())],
            standings: [Interner::new(), Interner::new()],
            fault: None,
            #[cfg(feature = "under-test")]
            once: 0,
            movers,
            period,
            most_tried: MOST_TRIED,
            signals,
            labels: Interner::new(),
            words: Interner::new(),
            ends: Interner::new(),
            acts: Interner::new(),
            machines: Interner::new(),
            climates: Interner::new(),
            streams: Interner::new(),
        };
        plant.room = plant.initial_state();
        plant.streams.number((u32::MAX, 0));
        plant.put_apart(denied);
        plant.list_plain();
        Ok(plant)
    }

    /// Finds the movers that are control devices with a channel of their own: what they reach with power on.
    fn put_apart(&mut self, denied: &[usize]) {
        /// Longest start-up that is waited for, ticks.
        const MOST_START_UP: usize = 10_000;
        let design = Rc::clone(self.design());
        let Some(mut state) = running(&design, &mut self.bodies[0].free, MOST_START_UP) else { return };
        state.tick = 0;
        for (m, mover) in self.movers.iter().enumerate().filter(|(m, _)| !denied.contains(m)) {
            let Some(control) = mover.device.filter(|_| self.apart.len() < MOST_ASIDES) else { continue };
            let free = &mut self.bodies[0].free;
            let Some(aside) = Aside::of(&design, &state, free, control, mover.levels() as u8) else {
                continue;
            };
            if aside.bit() & self.apart_bits == 0 {
                self.apart_bits |= aside.bit();
                self.apart.push(Apart::new(
                    &design,
                    (m, mover),
                    aside,
                    &self.signals,
                    &self.images,
                    self.period,
                ));
            }
        }
        self.asides = self.apart.iter().map(|apart| apart.aside).collect();
    }

    /// Lists the signals that are read after each tick of the plant.
    fn list_plain(&mut self) {
        let own = self.apart.iter().fold(0, |mask, apart| mask | apart.own(self.signals.len(), self.period));
        let image = |place: usize| self.images.iter().any(|&(at, ..)| at == place);
        let plain = |&(place, _): &(usize, usize)| !image(place) && own >> place & 1 == 0;
        self.plain = self.signals.iter().copied().enumerate().filter(plain).collect();
    }

    /// The design without the fault.
    pub fn design(&self) -> &Rc<Design> {
        &self.bodies[0].design
    }

    /// It, and it with the fault.
    pub fn designs(&self) -> impl Iterator<Item = &Design> {
        self.bodies.iter().map(|body| &*body.design)
    }

    /// The design as it is, with what is known of it.
    fn body(&self, presence: Presence) -> &Body {
        &self.bodies[presence as usize]
    }

    /// The same, to learn more of it.
    fn body_mut(&mut self, presence: Presence) -> &mut Body {
        &mut self.bodies[presence as usize]
    }

    /// From now on this fault may strike; what was known of another is forgotten.
    pub fn may_strike(&mut self, (fault, design): (Fault, Rc<Design>)) {
        self.bodies.truncate(1);
        self.standings[1] = Interner::new();
        self.bodies.push(Body::of(design, FreeCache::default()));
        if fault.is_intermittent() {
            // What keys come to is the same as before it struck.
            let sound = &self.bodies[0];
            self.bodies.push(Body::of(Rc::clone(&sound.design), sound.free.clone()));
        }
        self.fault = Some(fault);
        self.apart.iter_mut().for_each(Apart::forget_struck);
    }

    /// The number of a state, out of which is taken what has no effect any more, and what is apart.
    pub fn number(&mut self, state: &mut State, struck: bool) -> u32 {
        self.apart.iter().for_each(|apart| apart.aside.take_out(state));
        let packed = self.design().pack(state);
        2 * self.standings[usize::from(struck)].number(packed) + u32::from(struck)
    }

    /// A state before anything has happened.
    pub fn initial_state(&self) -> State {
        let mut state = self.design().initial_state();
        self.free_times(&mut state);
        state
    }

    /// Has what acts at any tick here be so in a state: the times that it has had are left out of what is packed.
    pub fn free_times(&self, state: &mut State) {
        self.untimed.iter().for_each(|&i| state.brakes[i].due = Some(false));
    }

    /// The numbers of the states that the devices apart are in on a bench.
    pub fn asides(&mut self, state: &State) -> AsideStates {
        let numbers = self.apart.iter_mut().enumerate();
        numbers.fold(0, |all, (k, apart)| all | AsideStates::from(apart.number(state)) << (8 * k))
    }

    fn packed(&self, number: u32) -> &Packed {
        self.standings[usize::from(struck(number))].value(number / 2)
    }

    /// The discrete half of a state with what is apart.
    pub fn whole(&mut self, number: u32, asides: AsideStates) -> Packed {
        self.in_room(|plant, room| {
            plant.load(number, 0, 0, room);
            for (k, apart) in plant.apart.iter().enumerate() {
                apart.put(aside_number(asides, k), room);
            }
            plant.design().pack(room)
        })
    }

    /// The discrete half of a state as another design has it, that of the bench for example.
    #[cfg(feature = "under-test")]
    pub fn packed_by(&mut self, design: &Design, number: u32) -> Packed {
        self.in_room(|plant, room| {
            plant.load(number, 0, 0, room);
            design.pack(room)
        })
    }

    pub fn label(&self, number: u32) -> Label {
        *self.labels.value(number)
    }

    /// The number of a label in which these bits were sampled besides.
    pub fn label_with(&mut self, number: u32, sampled: u64) -> u32 {
        let label = self.label(number);
        match label.scanned {
            Some(inputs) if sampled != 0 => {
                self.labels.number(Label { scanned: Some(inputs | sampled), ..label })
            }
            _ => number,
        }
    }

    pub fn word(&self, number: u32) -> u128 {
        *self.words.value(number)
    }

    pub fn end(&self, number: u32) -> &End {
        self.ends.value(number)
    }

    /// Voltages that were met inside tolerance bands.
    pub fn marginals(&self) -> Vec<Marginal> {
        let mut all = Marginals::default();
        self.bodies.iter().for_each(|body| all.join(body.free.marginals()));
        all.list()
    }

    /// States met, and edges kept.
    pub fn size(&self) -> (usize, usize) {
        let edges = |body: &Body| body.relation.values().map(|edges| edges.len()).sum::<usize>();
        (self.standings.iter().map(Interner::len).sum(), self.bodies.iter().map(edges).sum())
    }

    /// Where the fault may be in a quantum that begins in a state: `with_fault`, it strikes at the start if it has not yet, and
    /// from then on one that comes and goes may be away.
    pub fn presences(&self, plant: u32, with_fault: bool) -> &'static [Presence] {
        let comes_and_goes = self.fault.as_ref().is_some_and(Fault::is_intermittent);
        match (with_fault, struck(plant) && comes_and_goes) {
            (false, _) => &[Presence::Before],
            (true, false) => &[Presence::There],
            (true, true) => &[Presence::There, Presence::Away],
        }
    }

    /// Does something with a state to work in, which is kept so that it need not be made each time.
    fn in_room<T>(&mut self, work: impl FnOnce(&mut Plant, &mut State) -> T) -> T {
        let mut room = std::mem::take(&mut self.room);
        let done = work(self, &mut room);
        self.room = room;
        done
    }

    /// Every way in which a device apart can go through a quantum that tells it `stream`, with the fault there or not.
    pub fn aside_edges(&mut self, k: usize, state: u8, stream: u32, there: bool) -> Rc<[AsideEdge]> {
        let climates = self.climates_of(stream, k);
        self.with_apart(k, there, |apart, run| apart.edges(state, stream, &climates, run))
    }

    /// What one device apart is told, tick by tick.
    fn climates_of(&self, mut stream: u32, k: usize) -> Vec<(u8, bool)> {
        let mut all = Vec::new();
        while stream != 0 {
            let &(before, climate) = self.streams.value(stream);
            let (reads, powered) = self.climates.value(climate);
            all.push((reads[k], *powered));
            stream = before;
        }
        all.reverse();
        all
    }

    fn with_apart<T>(&mut self, k: usize, there: bool, work: impl FnOnce(&mut Apart, &mut Run) -> T) -> T {
        let mut room = std::mem::take(&mut self.room);
        let body = &self.bodies[usize::from(there)];
        let signals = self.signals.len();
        let mut run = Run { design: &body.design, there, movers: &self.movers, room: &mut room, signals };
        let done = work(&mut self.apart[k], &mut run);
        self.room = room;
        done
    }
}

/// Whether the fault has struck in a state of this number.
pub(super) fn struck(number: u32) -> bool {
    number % 2 == 1
}

/// The number of one of the states of devices apart.
pub(super) fn aside_number(asides: AsideStates, k: usize) -> u8 {
    (asides >> (8 * k)) as u8
}

/// Brakes that none of these signals is of.
fn untimed(design: &Design, signals: &[usize]) -> Vec<usize> {
    let named = |i: usize| {
        signals.iter().any(|&n| matches!(design.signals[n].source, SignalSource::Released(k) if k == i))
    };
    (0..design.initial_state().brakes.len()).filter(|&i| !named(i)).collect()
}

/// The bench with power on and nothing moved, when its controller runs; none if it does not come to that.
fn running(design: &Design, free: &mut FreeCache, most_ticks: usize) -> Option<State> {
    let mut state = design.initial_state();
    free_act(design, &mut state, &BenchAct::Power(true));
    for _ in 0..most_ticks {
        free_step(design, &mut state, free).ok()?;
        if state.controllers.first()?.phase == ControllerPhase::Running {
            return Some(state);
        }
    }
    None
}

impl Body {
    fn of(design: Rc<Design>, free: FreeCache) -> Body {
        Body { design, free, ticks: FxHashMap::default(), relation: FxHashMap::default() }
    }
}

fn image_bit(design: &Design, place: usize, signal: usize) -> Option<(usize, bool, u8)> {
    match design.signals[signal].source {
        SignalSource::Input(_, bit) => Some((place, true, bit)),
        SignalSource::Output(_, bit) => Some((place, false, bit)),
        _ => None,
    }
}

impl Node {
    fn first(plant: u32) -> Node {
        Node { plant, changed: 0, crossed: 0, label: Label::default(), word: 0, stream: 0 }
    }
}

impl Label {
    /// Input and output image after the tick of the grid instant, where the output image begins as `image`.
    fn images(&self, image: u64) -> (u64, u64) {
        if self.lives() { (self.scanned.unwrap_or(0), image) } else { (0, 0) }
    }

    /// Whether there are images.
    fn lives(&self) -> bool {
        self.scanned.is_some() && !self.restarted
    }
}
