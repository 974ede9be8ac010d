//! A bench that runs: plan, design, state and cache together. Readings are in [`crate::instruments`].

mod come_and_go;

use crate::act::BenchAct;
use crate::complex::Complex;
use crate::design::{BuildError, Design};
use crate::devices::armature::Place;
use crate::devices::coil::BURNT_HEAT;
use crate::devices::motor_curve::{Feed, MotorCurve, ShaftLoad};
use crate::devices::shaft::friction;
use crate::fault::Fault;
use crate::network::{Key, Solution};
use crate::part::{Kind, Protection};
use crate::plan::Plan;
use crate::state::{Awake, ControllerState, DcState, State};
use crate::step::{Cache, Events, Harm, harm, pass_over, quiet_ticks, step};
use come_and_go::ComeAndGo;
use sealin_ladder::Contact;
use std::collections::BTreeSet;
use std::rc::Rc;

/// The whole simulated machine at one instant.
#[derive(Clone, Debug)]
pub struct Bench {
    /// What it is built from, ready to run; without the intermittent faults that are away at the last tick.
    pub design: Rc<Design>,
    /// What it is at now.
    pub state: State,
    plan: Rc<Plan>,
    /// What is wrong besides, though no drawing and no screen says so: the bench as it is has it, [`Bench::plan`] has not.
    hidden: BTreeSet<Fault>,
    come_and_go: ComeAndGo,
    cache: Cache,
    pending: Vec<BenchAct>,
    skip: bool,
}

/// What is to be seen at a motor.
#[derive(Default, Clone, Copy, Debug, PartialEq)]
pub struct MotorView {
    /// Speed, min⁻¹, positive clockwise seen from the drive end.
    pub rpm: f64,
    /// Currents into U1 V1 W1, A RMS.
    pub amperes: [f64; 3],
    /// Torque, N·m.
    pub torque_nm: f64,
    /// The machine is blocked.
    pub jammed: bool,
    /// Torque of load, weight, brake and the rotor's own friction at this speed, N·m, positive against clockwise; at
    /// standstill that of the weight alone.
    pub load_nm: f64,
    /// Position of the machine along its way, µm; none where it does not count.
    pub position_um: Option<i64>,
    /// End stops of the way, µm, lower first, where there are any.
    pub stops_um: [Option<i64>; 2],
    /// Temperatures of the windings at U1 V1 W1, °C.
    pub winding_c: [f64; 3],
    /// The hottest winding is above the limit of its insulation class.
    pub hot: bool,
    /// Terminal whose winding has failed to the frame.
    pub burnt: Option<&'static str>,
}

/// Least current of a motor that is under power, A: a cage motor draws a quarter of its rated current and more at no load (typical),
/// which is above this from 0.1 kW on.
const FED_AMPERES: f64 = 0.1;

/// Whether a motor that draws these currents, A, is under power.
fn is_fed(amperes: [f64; 3]) -> bool {
    amperes.iter().any(|&amperes| amperes > FED_AMPERES)
}

impl MotorView {
    /// It is under power, whether it turns or not.
    pub fn is_fed(&self) -> bool {
        is_fed(self.amperes)
    }
}

/// What is to be seen at a brake.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct BrakeView {
    /// The coil has voltage enough.
    pub energised: bool,
    /// The shaft is free.
    pub released: bool,
}

/// What is to be seen, heard and found at a contactor or relay.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct RelayView {
    /// Its AC coil hums: the armature is not held tight.
    pub hums: bool,
    /// Its coil is burnt.
    pub burnt: bool,
    /// Heat of the coil in per mille of the one that burns it.
    pub coil_permille: u32,
    /// Rise of each main pole by switching, K; they weld at 300.
    pub pole_kelvin: [u32; 3],
    /// Main poles that have welded.
    pub welded: [bool; 3],
    /// Time that a running timer has left, ms.
    pub left_ms: Option<u64>,
}

/// What is to be seen at an overload.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OverloadView {
    /// The latch is out.
    pub tripped: bool,
    /// The stop actuator is held.
    pub stop_held: bool,
    /// Deflection in per mille of the one that trips.
    pub heat_permille: u32,
    /// A reset would take.
    pub cool: bool,
    /// Dial, mA.
    pub dial_ma: u32,
    /// Heat of each pole; 1 is the equilibrium at the dial.
    pub heat: [f64; 3],
    /// Current of each pole in multiples of the dial.
    pub multiples: [f64; 3],
}

impl Bench {
    /// A bench with the supply off, the switching devices closed and all else at rest.
    pub fn new(plan: Plan) -> Result<Bench, BuildError> {
        let mut come_and_go = ComeAndGo::default();
        let design = come_and_go.build(&plan, 0)?;
        Ok(Bench { come_and_go, ..Bench::of(Rc::new(design), Rc::new(plan)) })
    }

    /// A bench of a design that is built already, at rest, drawn from this plan. Faults that the plan has not are gone as soon as it is
    /// built anew.
    pub fn of(design: Rc<Design>, plan: Rc<Plan>) -> Bench {
        Bench {
            state: design.initial_state(),
            design,
            plan,
            hidden: BTreeSet::new(),
            come_and_go: ComeAndGo::default(),
            cache: Cache::default(),
            pending: Vec::new(),
            skip: true,
        }
    }

    /// Goes on with another design, drawn from this plan; the state goes over by tag.
    pub fn go_on_with(&mut self, design: Rc<Design>, plan: Rc<Plan>) {
        self.state = design.carry(&self.design, &self.state);
        self.design = design;
        self.plan = plan;
        self.cache = Cache::default();
    }

    /// The plan that the bench was last built from, with the faults that were set on it; as drawn, whatever is hidden.
    pub fn plan(&self) -> &Plan {
        &self.plan
    }

    /// Builds the bench anew from another plan; the state goes over by tag. On an error nothing changes.
    pub fn replan(&mut self, plan: Plan) -> Result<(), BuildError> {
        if plan == *self.plan {
            return Ok(());
        }
        self.rebuild(Rc::new(plan), self.hidden.clone())
    }

    /// What is wrong with the bench besides the faults of its plan, from now on. Whatever asks for the plan, the proof and the
    /// drawings among others, does not learn of it; the bench is built with it. One that does not fit is left out.
    ///
    /// # Errors
    /// Why there is no such bench; then nothing changes.
    pub fn hide(&mut self, hidden: BTreeSet<Fault>) -> Result<(), BuildError> {
        if hidden == self.hidden {
            return Ok(());
        }
        self.rebuild(Rc::clone(&self.plan), hidden)
    }

    fn rebuild(&mut self, plan: Rc<Plan>, hidden: BTreeSet<Fault>) -> Result<(), BuildError> {
        let design = self.come_and_go.build(&as_is(&plan, &hidden), self.state.tick)?;
        self.go_on_with(Rc::new(design), plan);
        self.hidden = hidden;
        Ok(())
    }

    /// A cold start of the controller's program, as after a cold transfer.
    pub fn cold_restart(&mut self) {
        let memory = self.design.compiled().cold_start();
        for c in &mut self.state.controllers {
            c.memory = memory.clone();
            (c.outputs, c.result) = (0, 0);
            c.relays_due = true;
            c.settled = false;
        }
        self.state.stale = true;
        self.state.awake = Awake::ALL;
    }

    /// Next tick to be computed.
    pub fn tick(&self) -> u64 {
        self.state.tick
    }

    /// Takes an act at the start of the next tick; a fault strikes at once, between two ticks. The error says why the
    /// act does not fit; then nothing happens.
    pub fn act(&mut self, act: BenchAct) -> Result<(), String> {
        self.fits(&act)?;
        self.locked_off(&act)?;
        let mut plan = None;
        match &act {
            BenchAct::Inject(fault) => {
                fault.fits(&self.plan)?;
                plan.insert(Plan::clone(&self.plan)).faults.insert(fault.clone());
            }
            BenchAct::Clear(fault) => {
                plan.insert(Plan::clone(&self.plan)).faults.remove(fault);
            }
            BenchAct::ClearAll => plan.insert(Plan::clone(&self.plan)).faults.clear(),
            _ => self.pending.push(act),
        }
        match plan {
            Some(plan) => self.replan(plan).map_err(|e| e.to_string()),
            None => Ok(()),
        }
    }

    /// Whether an act fits this bench; the error says what it may name.
    pub fn fits(&self, act: &BenchAct) -> Result<(), String> {
        let d = &self.design;
        let known = |tags: Vec<String>, tag: &str, what: &str| {
            if tags.iter().any(|t| t == tag) {
                Ok(())
            } else {
                Err(format!("`{tag}` is no {what}; there is: {}", tags.join(", ")))
            }
        };
        let tags = |kind: fn(&Kind) -> bool| -> Vec<String> {
            d.parts.iter().filter(|p| kind(&p.kind)).map(|p| p.tag.clone()).collect()
        };
        let overloads = || tags(|k| matches!(k, Kind::Overload(_)));
        let pressable = || {
            let mut all = tags(|k| matches!(k, Kind::Control(c) if c.is_pressed()));
            all.extend(overloads().iter().flat_map(|t| ["stop", "reset"].map(|what| format!("{t}.{what}"))));
            all
        };
        match act {
            BenchAct::Press(tag) => known(pressable(), tag, "push-button, stop actuator or reset"),
            BenchAct::Release(tag) => {
                let mut all = pressable();
                all.extend(tags(pushable));
                known(all, tag, "push-button, stop actuator, reset, contactor or relay")
            }
            BenchAct::Turn(tag, position) => {
                known(tags(|k| matches!(k, Kind::Control(c) if !c.is_pressed())), tag, "selector")?;
                match d.part(tag).map(|p| &p.kind) {
                    Some(Kind::Control(c)) if !(1..=c.positions()).contains(position) => {
                        Err(format!("`{tag}` has the positions 1 to {}", c.positions()))
                    }
                    _ => Ok(()),
                }
            }
            BenchAct::Push(tag) => known(tags(pushable), tag, "contactor or relay"),
            BenchAct::Trip(tag) => {
                let mut all = overloads();
                all.extend(tags(
                    |k| matches!(k, Kind::Switchgear(s) if matches!(s.protection, Protection::Motor { .. })),
                ));
                known(all, tag, "overload or motor-protective breaker")
            }
            BenchAct::Reset(tag) => known(overloads(), tag, "overload"),
            BenchAct::Open(tag) | BenchAct::Close(tag) => {
                known(tags(|k| matches!(k, Kind::Switchgear(_))), tag, "switching device")
            }
            BenchAct::Lock(tag) | BenchAct::Unlock(tag) => known(
                tags(
                    |k| matches!(k, Kind::Switchgear(s) if !matches!(s.protection, Protection::FuseFast { .. })),
                ),
                tag,
                "switching device with a handle",
            ),
            BenchAct::Stop(tag) | BenchAct::Run(tag) | BenchAct::Restart(tag, _) => {
                known(tags(|k| matches!(k, Kind::Controller(_))), tag, "controller")
            }
            BenchAct::Replace(tag) => known(tags(replaceable), tag, "device that can be damaged"),
            BenchAct::Jam(tag) | BenchAct::Free(tag) => {
                known(tags(|k| matches!(k, Kind::Motor(_))), tag, "motor")
            }
            BenchAct::Inject(fault) | BenchAct::Clear(fault) => fault.fits(&self.plan),
            BenchAct::Power(_) | BenchAct::ClearAll => Ok(()),
        }
    }

    /// Refuses what a padlock does not let happen, acts that wait for the next tick included.
    fn locked_off(&self, act: &BenchAct) -> Result<(), String> {
        let (BenchAct::Close(tag) | BenchAct::Lock(tag)) = act else { return Ok(()) };
        let Some(i) = self.design.switches.iter().position(|s| s.tag == *tag) else { return Ok(()) };
        let (mut closed, mut locked) = (self.state.switches[i].closed, self.state.switches[i].locked);
        for waiting in &self.pending {
            match waiting {
                BenchAct::Open(t) if t == tag => closed = false,
                BenchAct::Close(t) if t == tag => closed |= !locked,
                BenchAct::Lock(t) if t == tag => locked = !closed,
                BenchAct::Unlock(t) if t == tag => locked = false,
                _ => {}
            }
        }
        match act {
            BenchAct::Close(_) if locked => Err(format!(
                "`{tag}` is locked off; only who has locked it takes the padlock off, with `unlock {tag}`"
            )),
            BenchAct::Lock(_) if closed => {
                Err(format!("`{tag}` is closed; only its open position can be locked"))
            }
            _ => Ok(()),
        }
    }

    /// Computes one tick.
    pub fn step(&mut self) -> Events {
        self.come_and_go();
        let acts = std::mem::take(&mut self.pending);
        let fed = self.fed_before();
        let events = step(&self.design, &mut self.state, &mut self.cache, &acts);
        self.count_starts(fed);
        events
    }

    /// Passes over ticks in which nothing happens, at most up to `target`. Returns how many.
    pub fn skip_quiet(&mut self, target: u64) -> u64 {
        if !self.skip || !self.pending.is_empty() {
            return 0;
        }
        self.look_for_events();
        let next = self.come_and_go.next_change(self.state.tick).unwrap_or(u64::MAX);
        let ticks = quiet_ticks(&self.design, &self.state, target.min(next));
        pass_over(&self.design, &mut self.state, ticks);
        ticks
    }

    /// Runs to tick `target`, handing each tick's events to `seen` (tick, events).
    pub fn run_until(&mut self, target: u64, seen: &mut dyn FnMut(&Bench, u64, Events)) {
        while self.state.tick < target {
            if self.skip_quiet(target) > 0 {
                continue;
            }
            let tick = self.state.tick;
            let events = self.step();
            seen(self, tick, events);
        }
    }

    /// Whether quiet ticks are passed over (they are, unless a test wants to compare).
    pub fn set_skip(&mut self, skip: bool) {
        self.skip = skip;
    }

    /// Empties the cache: no bit changes by it.
    pub fn empty_cache(&mut self) {
        self.cache = Cache::default();
    }

    /// Value of a signal by name.
    pub fn signal(&self, name: &str) -> Option<bool> {
        self.design.signal(name).map(|n| self.state.signal(n))
    }

    /// Whether a contact of the program passes, by rung and index in it; an edge contact as in the last scan. False
    /// without a controller.
    pub fn contact_passes(&self, rung: u32, index: u32, contact: &Contact) -> bool {
        let memory = self.state.controllers.first().map(|c| &c.memory);
        memory.is_some_and(|memory| self.design.compiled().passes(memory, rung, index, contact))
    }

    /// A contactor: place of the armature, coil attracting, pushed by hand.
    pub fn contactor(&self, tag: &str) -> Option<(Place, bool, bool)> {
        let i = self.design.contactors.iter().position(|c| c.tag == tag)?;
        let s = &self.state.contactors[i];
        Some((s.armature.place, s.attracted, s.pushed))
    }

    /// What is to be seen, heard and found at a contactor or relay.
    pub fn relay(&self, tag: &str) -> Option<RelayView> {
        let i = self.design.contactors.iter().position(|c| c.tag == tag)?;
        let (data, s) = (&self.design.contactors[i].data, &self.state.contactors[i]);
        let times = data.timing.filter(|(off_delay, _)| {
            if *off_delay {
                s.timer.driven && !s.timer.energised
            } else {
                s.timer.energised && !s.timer.driven
            }
        });
        Some(RelayView {
            hums: s.coil.hums,
            burnt: s.coil.burnt,
            coil_permille: (s.coil.heat / BURNT_HEAT * 1000.0) as u32,
            pole_kelvin: s.poles.map(|p| p.kelvin as u32),
            welded: [0, 1, 2].map(|k| s.welded >> k & 1 != 0),
            left_ms: times.map(|(_, setting)| setting.saturating_sub(self.state.tick - s.timer.since)),
        })
    }

    /// A controller's state.
    pub fn controller(&self, tag: &str) -> Option<&ControllerState> {
        let i = self.design.controllers.iter().position(|c| c.tag == tag)?;
        self.state.controllers.get(i)
    }

    /// A DC supply's state.
    pub fn dc_supply(&self, tag: &str) -> Option<DcState> {
        let i = self.design.dc_supplies.iter().position(|d| d.tag == tag)?;
        self.state.dc_supplies.get(i).copied()
    }

    /// A motor as it is seen.
    pub fn motor(&self, tag: &str) -> Option<MotorView> {
        let i = self.design.motors.iter().position(|m| m.tag == tag)?;
        let (data, s) = (&self.design.motors[i].data, &self.state.motors[i]);
        Some(MotorView {
            rpm: s.speed * 30.0 / std::f64::consts::PI,
            amperes: s.current.map(Complex::abs),
            torque_nm: s.torque,
            jammed: s.jammed,
            load_nm: s.load_nm(
                &data.circuit,
                &data.load,
                crate::step::motors::brake_torque(data, &self.state.brakes),
            ),
            position_um: data.load.way.as_ref().map(|_| s.position_nm.div_euclid(1000)),
            stops_um: data.load.way.as_ref().map_or([None; 2], |way| way.stops_um()),
            winding_c: s.winding.celsius(),
            hot: s.winding.hot(),
            burnt: s.winding.failed.map(|k| ["U1", "V1", "W1"][usize::from(k)]),
        })
    }

    /// A brake as it is seen.
    pub fn brake(&self, tag: &str) -> Option<BrakeView> {
        let i = self.design.brakes.iter().position(|b| b.tag == tag)?;
        let s = &self.state.brakes[i];
        Some(BrakeView { energised: s.energised, released: s.released })
    }

    /// A motor over its speed, on the network as it stands now.
    pub fn motor_curve(&self, tag: &str) -> Option<MotorCurve> {
        let data = &self.design.motors.iter().find(|m| m.tag == tag)?.data;
        let brake = crate::step::motors::brake_torque(data, &self.state.brakes);
        let friction = friction(&data.circuit, &data.load, brake, 0.0);
        Some(MotorCurve {
            circuit: data.circuit,
            feed: Feed::of(data, &self.solution(&self.state.key)),
            load: ShaftLoad { friction, fan: data.load.fan, pull: data.load.pull },
        })
    }

    /// An overload as it is seen.
    pub fn overload(&self, tag: &str) -> Option<OverloadView> {
        let i = self.design.overloads.iter().position(|o| o.tag == tag)?;
        let (data, s) = (&self.design.overloads[i].data.overload, &self.state.overloads[i]);
        Some(OverloadView {
            tripped: s.tripped,
            stop_held: s.stop_held,
            heat_permille: (s.deflection(data) / crate::devices::overload::TRIP_HEAT * 1000.0) as u32,
            cool: s.cool(),
            dial_ma: data.dial_ma,
            heat: s.heat,
            multiples: s.multiples(data),
        })
    }

    /// Position of a control device, from 1, faults included.
    pub fn position(&self, tag: &str) -> Option<u8> {
        let i = self.design.controls.iter().position(|c| c.tag == tag)?;
        Some(crate::step::controls::position(&self.design, &self.state, i))
    }

    /// A switching device: lever closed, poles that have opened by over-current.
    pub fn switch(&self, tag: &str) -> Option<(bool, [bool; 3])> {
        let i = self.design.switches.iter().position(|s| s.tag == tag)?;
        let s = &self.state.switches[i];
        Some((s.closed, s.open_poles))
    }

    /// Whether a padlock is on the handle of a switching device.
    pub fn is_locked(&self, tag: &str) -> bool {
        let i = self.design.switches.iter().position(|s| s.tag == tag);
        i.is_some_and(|i| self.state.switches[i].locked)
    }

    /// What does harm, after the last tick, though nothing may have given way yet: as an exploration sees it.
    pub fn harm(&self) -> Option<Harm> {
        harm(&self.design, &self.state, &self.solution(&self.state.key))
    }

    /// The solution for a key. Solved here when the cache does not hold it: a reading changes nothing.
    pub(crate) fn solution(&self, key: &Key) -> Rc<Solution> {
        match self.cache.peek(key) {
            Some(solution) => solution,
            None => Rc::new(self.design.network.solve(key)),
        }
    }
}

/// What is built of a plan with something hidden in it.
fn as_is(plan: &Plan, hidden: &BTreeSet<Fault>) -> Plan {
    let mut built = plan.clone();
    let fits = |fault: &&Fault| fault.fits(plan).is_ok();
    built.faults.extend(hidden.iter().filter(fits).cloned());
    built
}

/// A hand can push its armature in: an electronic timer has none to push.
fn pushable(kind: &Kind) -> bool {
    match kind {
        Kind::Contactor(_) => true,
        Kind::Relay(r) => r.timing.is_none(),
        _ => false,
    }
}

/// Something in it can be damaged, melt or trip.
fn replaceable(kind: &Kind) -> bool {
    match kind {
        Kind::Switchgear(s) => s.protection != Protection::None,
        Kind::Contactor(_) | Kind::Relay(_) | Kind::Overload(_) | Kind::Controller(_) | Kind::Motor(_) => {
            true
        }
        _ => false,
    }
}
