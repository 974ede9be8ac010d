//! Generated runs of the whole bench, followed through an exploration quantum by quantum: whatever the bench does, heat, motor and
//! damage running, the exploration must know.
//!
//! Each mover is worked at most once a quantum, at any of its ticks. The armatures' delays lie within the ranges of their device
//! data, the contacts of buttons bounce at random, motors jam, a machine that actuates position switches is at times put to an end of the
//! part of its way in which it is, the fault strikes at a grid instant, and one that is intermittent comes and goes at others.
//! Everything follows from a seed.

use crate::generate::Random;
use sealin_core::devices::armature::{Armature, Place};
use sealin_core::part::{ArmatureDelays, DelayRange, Kind};
use sealin_core::step::{actuated, delay_range, delays, stand, watched_machines};
use sealin_core::{Bench, BenchAct, Fault, Note};
use sealin_proof::explore::{Explorer, Followed, Follower, Quantum, Question};
use sealin_proof::expr::{Formula, Memory};

/// How a run ended.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum End {
    /// It was as long as was asked for.
    Whole,
    /// A required formula broke, here and there at the same tick.
    Broken,
    /// What is assumed was not so.
    Unassumed,
    /// Harm, here and there at the same tick.
    Harm,
    /// The first damage by heat or current, which no exploration knows.
    Damage,
    /// The overload tripped by heat, which does not move by itself in this question.
    Heat,
    /// The exploration refuses what can follow from here.
    Outside,
    /// There is more to try from here than an exploration does in a quantum.
    TooMany,
}

/// A run that the exploration knew in all its quanta.
#[derive(Clone, Debug)]
pub struct Known {
    /// Quanta that were compared.
    pub quanta: u64,
    /// Bytes that what the exploration knows takes by now, roughly.
    pub bytes: usize,
    /// The fault has struck.
    pub struck: bool,
    /// Times that a coil has drawn its armature.
    pub draws: u64,
    /// Times that a machine has come to where a position switch changes.
    pub crossings: u64,
    /// How it ended.
    pub end: End,
}

/// Follows the run of a seed for at most so many quanta.
///
/// # Errors
/// What the exploration does not know, with seed, fault and tick; or why the question cannot be explored.
pub fn follow(
    explorer: &mut Explorer,
    question: &Question,
    fault: Option<&Fault>,
    seed: u64,
    quanta: u64,
) -> Result<Known, String> {
    loop {
        let mut follower = explorer.follower(fault)?;
        let mut run = Run::new(question, &follower, seed)?;
        let told = |run: &Run, why: String| {
            let fault = fault.map_or("no fault".to_string(), Fault::to_string);
            format!("seed {seed}, {fault}, quantum to {} ms: {why}\n{}", run.bench.tick(), run.lately())
        };
        match run.all(&mut follower, fault, quanta) {
            Ok(Ok(known)) => return Ok(Known { bytes: follower.bytes(), ..known }),
            Ok(Err(mover)) => explorer.deny(mover),
            Err(why) => return Err(told(&run, why)),
        }
    }
}

/// Something that moves by itself.
struct Mover {
    /// The act for each of its levels.
    acts: Vec<BenchAct>,
    /// It feeds the bench or a part of it: seldom off, and then not for long.
    supply: bool,
    level: usize,
}

/// The armature of a contactor or relay, and how long it takes.
struct Travel {
    range: DelayRange,
    nominal: ArmatureDelays,
    /// When it changes, were nothing to hold it.
    target: ArmatureDelays,
}

/// A run in the making.
struct Run {
    bench: Bench,
    /// The bench as a learner has it, with nominal delays and bounces, beside one that is told to do the same by records.
    twin: Option<Bench>,
    random: Random,
    period: u64,
    movers: Vec<Mover>,
    travels: Vec<Travel>,
    motors: Vec<String>,
    overloads_move: bool,
    /// Numbers of the signals that are compared.
    signals: Vec<usize>,
    formulas: Vec<(Formula, bool)>,
    memories: Vec<Memory>,
    required: usize,
    /// Of a thousand movers at rest in a quantum so many are worked, and of those that are not so many go back; for so many quanta more.
    activity: (u64, u64, u64),
    draws: u64,
    /// Motors whose machines actuate position switches, by number, and how often these have changed.
    machines: Vec<usize>,
    crossings: u64,
    /// What was done, for a person who looks for what went wrong.
    log: Vec<(u64, String)>,
}

/// How a quantum went on the bench.
#[derive(Default)]
struct Seen {
    ticks: Vec<u64>,
    scanned: Option<u64>,
    harmed: Option<u32>,
    heat: bool,
    damaged: bool,
    /// The first tick at which a formula broke, and whether it is one that is assumed.
    broken: Option<(u32, usize)>,
}

impl Run {
    fn new(question: &Question, follower: &Follower, seed: u64) -> Result<Run, String> {
        let mut bench = Bench::new(question.plan.clone()).map_err(|e| e.to_string())?;
        bench.act(BenchAct::Power(true))?;
        let design = bench.design.clone();
        let all = question.required.iter().chain(question.assumed);
        let formulas = all
            .map(|v| Ok((Formula::new(&v.of, &design).map_err(|e| e.to_string())?, v.always)))
            .collect::<Result<Vec<(Formula, bool)>, String>>()?;
        let mut random = Random::new(seed);
        if random.below(3) == 0 {
            // Warm from before, so that it trips within the run.
            let heat = 1.0 + random.below(28) as f64 / 100.0;
            bench.state.overloads.iter_mut().for_each(|o| o.heat = [heat; 3]);
        }
        let movers: Vec<(String, Vec<BenchAct>)> = follower.movers();
        let overload = |tag: &String| matches!(design.part(tag).map(|p| &p.kind), Some(Kind::Overload(_)));
        let overloads = design.parts.iter().filter(|p| matches!(p.kind, Kind::Overload(_)));
        Ok(Run {
            twin: (random.below(4) == 0).then(|| bench.clone()),
            period: follower.period().into(),
            overloads_move: overloads
                .clone()
                .all(|p| movers.iter().any(|(name, _)| *name == p.tag && overload(name))),
            movers: movers
                .into_iter()
                .map(|(name, acts)| Mover {
                    supply: name == "power" || acts.iter().any(|a| matches!(a, BenchAct::Open(_))),
                    level: usize::from(
                        name == "power" || acts.iter().any(|a| matches!(a, BenchAct::Open(_))),
                    ),
                    acts,
                })
                .collect(),
            travels: (0..bench.state.contactors.len())
                .map(|i| {
                    let nominal = delays(&design, i);
                    Travel { range: delay_range(&design, i), nominal, target: nominal }
                })
                .collect(),
            motors: design
                .parts
                .iter()
                .filter(|p| matches!(p.kind, Kind::Motor(_)))
                .map(|p| p.tag.clone())
                .collect(),
            signals: follower
                .signals()
                .iter()
                .map(|name| design.signal(name).ok_or(format!("`{name}` is no signal of the bench")))
                .collect::<Result<_, String>>()?,
            memories: formulas.iter().map(|(f, _)| f.memory()).collect(),
            formulas,
            required: question.required.len(),
            activity: (0, 0, 0),
            draws: 0,
            machines: watched_machines(&design).collect(),
            crossings: 0,
            log: Vec::new(),
            random,
            bench,
        })
    }

    /// The whole run; the inner error is a mover that cannot be looked at apart.
    fn all(
        &mut self,
        follower: &mut Follower,
        fault: Option<&Fault>,
        quanta: u64,
    ) -> Result<Result<Known, usize>, String> {
        // Whether power is just coming on, all is at rest, or it is in full work when the fault strikes.
        let strike = fault.map(|_| self.random.below(3) * self.random.below(quanta.max(1)) / 2);
        for quantum in 0..quanta {
            if let (Some(fault), Some(at)) = (fault, strike)
                && at == quantum
            {
                self.act(BenchAct::Inject(fault.clone()))?;
            }
            if let (Some(fault), Some(at)) = (fault, strike)
                && fault.is_intermittent()
                && at <= quantum
                && self.twin.is_none()
            {
                // There or away anew in each quantum; beside a learner's bench as its pattern says.
                self.bench.hold_intermittent(at == quantum || self.random.below(3) > 0);
            }
            let seen = self.quantum(follower)?;
            let (struck, draws) = (strike.is_some_and(|at| at <= quantum), self.draws);
            let crossings = self.crossings;
            let known = |end| Ok(Ok(Known { quanta: quantum + 1, bytes: 0, struck, draws, crossings, end }));
            if seen.heat && !self.overloads_move {
                return known(End::Heat);
            }
            if seen.damaged {
                return known(End::Damage);
            }
            let followed = follower.follow(&Quantum {
                bench: &self.bench,
                ticks: &seen.ticks,
                scanned: seen.scanned,
                memories: &self.memories,
                harmed: seen.harmed,
            })?;
            match (followed, seen.broken) {
                (Followed::On, None) if quantum + 1 == quanta => return known(End::Whole),
                (Followed::On, None) => {}
                (Followed::Harm, _) => return known(End::Harm),
                (Followed::Outside(_), _) => return known(End::Outside),
                (Followed::TooMany, _) => return known(End::TooMany),
                (Followed::Demoted(mover), _) => return Ok(Err(mover)),
                (Followed::Broken(formula, at), Some((tick, k))) if (formula, at) == (k, tick) => {
                    return known(End::Broken);
                }
                (Followed::Unassumed, Some((_, k))) if k >= self.required => return known(End::Unassumed),
                (followed, broken) => return Err(format!("{followed:?}, on the bench {broken:?}")),
            }
        }
        Err("a run of no quanta".to_string())
    }

    /// One quantum of the bench.
    fn quantum(&mut self, follower: &Follower) -> Result<Seen, String> {
        debug_assert_eq!(u64::from(follower.period()), self.period);
        let acts = self.choose();
        self.stand();
        let mut seen = Seen::default();
        for tick in 0..self.period as u32 {
            for act in acts.iter().filter(|(at, _)| *at == u64::from(tick)).map(|(_, act)| act.clone()) {
                self.act(act)?;
            }
            self.environment();
            let now = self.bench.tick();
            let switches = |bench: &Bench| actuated(&bench.design, &bench.state);
            let before = switches(&self.bench);
            let drew: Vec<bool> = self.bench.state.contactors.iter().map(|c| c.attracted).collect();
            let events = self.bench.step();
            let draws = self.bench.state.contactors.iter().zip(drew).filter(|(c, drew)| c.attracted && !drew);
            self.draws += draws.count() as u64;
            self.crossings += u64::from(switches(&self.bench) != before);
            self.compare_twin(now)?;
            seen.heat |= events
                .notes
                .iter()
                .any(|note| matches!(note, Note::HeatTrip { .. } | Note::ResetByItself { .. }));
            if tick == 0 && self.running() {
                seen.scanned = self.bench.state.controllers.first().map(|c| c.inputs);
            }
            if self.bench.harm().is_some() {
                seen.harmed = Some(tick);
                return Ok(seen);
            }
            seen.damaged |= events.notes.iter().any(damage);
            let bits = self.signals.iter().enumerate();
            seen.ticks.push(bits.fold(0, |bits, (k, &n)| bits | u64::from(self.bench.state.signal(n)) << k));
            self.judge(now, tick, &mut seen);
        }
        Ok(seen)
    }

    fn judge(&mut self, now: u64, tick: u32, seen: &mut Seen) {
        if seen.broken.is_some() {
            return;
        }
        for (k, ((formula, always), memory)) in self.formulas.iter().zip(&mut self.memories).enumerate() {
            let value = formula.step(memory, now, &|n| self.bench.state.signal(n));
            // What is assumed comes first in a tick.
            if value != *always && (seen.broken.is_none() || k >= self.required) {
                seen.broken = Some((tick, k));
            }
        }
    }

    fn running(&self) -> bool {
        use sealin_core::state::ControllerPhase;
        self.bench.state.controllers.first().is_some_and(|c| c.phase == ControllerPhase::Running)
    }

    /// What is done in this quantum, with the tick at which.
    fn choose(&mut self) -> Vec<(u64, BenchAct)> {
        if self.activity.2 == 0 {
            // At times all is at rest for a while: some programs ask for that before anything starts.
            let (often, back) = ([0, 0, 2, 5, 10, 30, 120], [20, 60, 200]);
            self.activity =
                (*self.random.pick(&often), *self.random.pick(&back), 20 + self.random.below(200));
        }
        self.activity.2 -= 1;
        let mut acts = Vec::new();
        for mover in &mut self.movers {
            let chance = match (mover.supply, mover.level) {
                (false, 0) => self.activity.0,
                (false, _) => self.activity.1,
                (true, 0) => 150,
                (true, _) => 4,
            };
            if self.random.below(1000) < chance {
                let steps = 1 + self.random.below(mover.acts.len() as u64 - 1) as usize;
                mover.level = (mover.level + steps) % mover.acts.len();
                acts.push((self.random.below(self.period), mover.acts[mover.level].clone()));
            }
        }
        if !self.motors.is_empty() && self.random.below(400) == 0 {
            let motor = self.random.pick(&self.motors).clone();
            acts.push((0, BenchAct::Jam(motor)));
        }
        acts
    }

    /// Where in its part a machine is, is free: by itself it seldom comes to an end of it.
    fn stand(&mut self) {
        for &motor in &self.machines {
            if self.random.below(8) == 0 {
                let upper = self.random.below(2) == 0;
                self.log.push((self.bench.tick(), format!("motor {motor} stands at an end, upper: {upper}")));
                for bench in self.twin.iter_mut().chain([&mut self.bench]) {
                    stand(&bench.design, &mut bench.state, motor, Some(upper));
                }
            }
        }
    }

    fn act(&mut self, act: BenchAct) -> Result<(), String> {
        self.log.push((self.bench.tick(), act.to_string()));
        if let Some(twin) = &mut self.twin {
            twin.act(act.clone())?;
        }
        self.bench.act(act)
    }

    /// Delays and bounces of the next tick.
    fn environment(&mut self) {
        let nominal = self.twin.is_some();
        for (travel, contactor) in self.travels.iter_mut().zip(&mut self.bench.state.contactors) {
            travel.draw(contactor.armature, nominal, &mut self.random);
            contactor.delays = Some(travel.delays(contactor.armature));
        }
        for control in &mut self.bench.state.controls {
            control.back = (!nominal).then(|| self.random.below(2) == 0);
        }
        self.bench.state.awake = sealin_core::state::Awake::ALL;
    }

    /// The bench of a learner does the same, but for the sound of a coil whose armature is held: there the records let the
    /// time of the travel run on.
    fn compare_twin(&mut self, tick: u64) -> Result<(), String> {
        let Some(twin) = &mut self.twin else { return Ok(()) };
        twin.step();
        let names = self.bench.design.signals.iter().enumerate().filter(|(_, s)| !s.name.ends_with(".hums"));
        for (n, signal) in names {
            if self.bench.state.signal(n) != twin.state.signal(n) {
                return Err(format!("{} at {tick} ms is another one with nominal delays", signal.name));
            }
        }
        Ok(())
    }

    /// The last acts.
    fn lately(&self) -> String {
        let last = &self.log[self.log.len().saturating_sub(12)..];
        last.iter().map(|(tick, act)| format!("  {tick} ms {act}\n")).collect()
    }
}

impl Travel {
    /// At rest it is drawn how long the next travel takes; break contacts open before main poles close.
    fn draw(&mut self, armature: Armature, nominal: bool, random: &mut Random) {
        let DelayRange { least, most } = self.range;
        match (armature.place, nominal) {
            (Place::ReleasedAllOpen, true) => {
                // Drawn in again it has gone as far as one whose break contacts opened as early as can be.
                let earlier = self.nominal.break_open_ms - least.break_open_ms;
                self.target.main_close_ms = self.nominal.main_close_ms - earlier;
            }
            (place, true) if place != Place::ClosingAllOpen => self.target = self.nominal,
            (Place::Out | Place::In, false) => {
                let mut within =
                    |least: u8, most: u8| least + random.below(u64::from(most - least) + 1) as u8;
                let main_close_ms =
                    within(least.main_close_ms.max(least.break_open_ms + 1), most.main_close_ms);
                self.target = ArmatureDelays {
                    main_close_ms,
                    break_open_ms: within(least.break_open_ms, most.break_open_ms.min(main_close_ms - 1)),
                    main_open_ms: within(least.main_open_ms, most.main_open_ms),
                    break_close_ms: within(least.break_close_ms, most.break_close_ms),
                };
            }
            _ => {}
        }
    }

    /// What the next tick is told: to change if it is time, else to go on as long as it may.
    fn delays(&self, armature: Armature) -> ArmatureDelays {
        let DelayRange { least, most } = self.range;
        let next = if armature.at_rest() { 1 } else { armature.elapsed.saturating_add(1) };
        let at =
            |target: u8, least: u8, most: u8| if next >= target { next.clamp(least, most) } else { most };
        ArmatureDelays {
            break_open_ms: match armature.place {
                Place::ReleasedAllOpen => least.break_open_ms,
                _ => at(self.target.break_open_ms, least.break_open_ms, most.break_open_ms),
            },
            main_close_ms: match armature.place {
                Place::ClosingAllOpen => {
                    at(self.target.main_close_ms, least.main_close_ms, most.main_close_ms)
                }
                _ => most.main_close_ms,
            },
            main_open_ms: at(self.target.main_open_ms, least.main_open_ms, most.main_open_ms),
            break_close_ms: at(self.target.break_close_ms, least.break_close_ms, most.break_close_ms),
        }
    }
}

/// Damage: up to the first an exploration says something.
fn damage(note: &Note) -> bool {
    matches!(
        note,
        Note::Opened { .. }
            | Note::BurntOut(_)
            | Note::ChannelDestroyed { .. }
            | Note::OutputDamaged { .. }
            | Note::PolesWelded { .. }
            | Note::CoilBurnt { .. }
    )
}
