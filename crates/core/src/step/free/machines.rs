//! Machines that actuate position switches, with their speed left free: where one can be after a tick.
//!
//! Kept of such a machine is the part of its way, between two places at which a switch changes, and the sense in which its motor
//! turns. In the motor's tick ([`crate::step`], part 6) the sense can become what the torques allow: a shaft that turns may go on, as
//! it coasts, or stop, as a machine may jam; it begins to turn in a sense, from standstill or from the other one, only where the
//! torque of the motor on the solution of this tick, the weight, friction and brakes drive it there. The machine then stays in its part,
//! or moves into the next one in the sense of its motor. So the time that it needs is free, the senses and their order are the bench's.

use super::FreeCache;
use crate::design::{Design, MotorData};
use crate::devices::machine::Way;
use crate::devices::motor_curve::Feed;
use crate::devices::shaft::{RESTAMP_SLIP, friction};
use crate::discrete::sense;
use crate::network::Solution;
use crate::state::State;
use crate::step::motors::{self, brake_torque};
use std::rc::Rc;

/// What a machine does in a tick.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct MachineMove {
    /// Number of its motor.
    pub motor: usize,
    /// The sense in which the motor turns after the tick: 1 clockwise, −1 counter-clockwise, 0 not.
    pub sense: i8,
    /// The part of the way before the tick and after it, from the bottom.
    pub parts: [usize; 2],
}

/// Least and most torque of a motor near standstill, N·m, positive clockwise.
pub(super) type Torque = [f64; 2];

/// Part by which the torque near standstill may be exceeded: currents are taken at slips up to [`RESTAMP_SLIP`] apart, and the
/// torque goes along the tangent between.
const TANGENT: f64 = 0.05;

/// Part by which the greatest speed may be exceeded: steps of 1 ms follow the steep side of a motor's curve roughly.
const OVERSHOOT: f64 = 2.0;

/// Points at which a curve is looked at on either side of standstill.
const POINTS: i32 = 16;

/// Numbers of the motors whose machine actuates a position switch somewhere on its way.
pub fn watched_machines(design: &Design) -> impl Iterator<Item = usize> {
    watched(design).map(|(i, ..)| i)
}

fn watched(design: &Design) -> impl Iterator<Item = (usize, &MotorData, &Way)> {
    let motors = design.motors.iter().enumerate();
    motors.filter_map(|(i, m)| Some((i, &m.data, m.data.load.watched_way()?)))
}

/// Whether each position switch is actuated, by number.
pub fn actuated(design: &Design, state: &State) -> Vec<bool> {
    (0..design.position_switches.len()).map(|i| motors::actuated(design, state, i)).collect()
}

/// Puts a machine elsewhere in the part of its way in which it is: to its upper end for `Some(true)`, to its lower one for
/// `Some(false)`, else well within it.
pub fn stand(design: &Design, state: &mut State, motor: usize, end: Option<bool>) {
    let Some(way) = design.motors[motor].data.load.watched_way() else { return };
    let part = way.part(state.motors[motor].position_nm);
    let (first, last) = way.part_nm(part);
    state.motors[motor].position_nm = match end {
        Some(true) => last,
        Some(false) => first,
        None => way.within_part(part),
    };
    // Off an end stop it may turn again.
    (state.awake.motors, state.awake.travel) = (true, true);
}

/// Why a machine cannot be explored in quanta of so many ticks; none if it can.
pub fn machines_outside(design: &Design, ticks: u32) -> Option<String> {
    watched(design).find_map(|(i, data, way)| {
        let shortest = way.shortest_inner_nm()?;
        let most = way.step(greatest_speed(data, way)).unsigned_abs().saturating_mul(ticks.into());
        (most >= shortest.unsigned_abs()).then(|| {
            format!(
                "the machine of {} may pass two places at which a position switch changes within a scan",
                design.motors[i].tag
            )
        })
    })
}

/// A speed that the shaft never exceeds, rad/s: a motor by itself brakes above synchronous speed, in either sense; what a weight
/// adds is at most its work along the whole way, `ω² = ω₀² + 2·M·φ/J`.
fn greatest_speed(data: &MotorData, way: &Way) -> f64 {
    let (load, circuit) = (&data.load, &data.circuit);
    let pull = if load.pull < 0.0 { -load.pull } else { load.pull };
    let work = if pull > 0.0 { pull * way.radians() } else { 0.0 };
    let square = circuit.synchronous * circuit.synchronous + 2.0 * work / (circuit.inertia + load.inertia);
    square.sqrt() * OVERSHOOT
}

/// Every way in which the machines can go in the tick of this state: at rest where they are first. Contacts, network and brakes are
/// those of the tick.
pub fn machine_moves(design: &Design, state: &State, free: &mut FreeCache) -> Vec<Vec<MachineMove>> {
    let mut all = vec![Vec::new()];
    for (i, data, way) in watched(design) {
        let torque = torques(design, state, free)[i];
        let (s, here) = (&state.motors[i], way.part(state.motors[i].position_nm));
        let drive = torque.map(|torque| torque + data.load.pull);
        let against = friction(&data.circuit, &data.load, brake_torque(data, &state.brakes), 0.0);
        let can = |sense: i8| match sense {
            0 => true,
            _ if sense == self::sense(s) => true,
            1 => drive[1] > against,
            _ => drive[0] < -against,
        };
        let mut moves = Vec::new();
        for sense in [0, 1, -1].into_iter().filter(|&sense| can(sense)) {
            let mut go = |part: usize| moves.push(MachineMove { motor: i, sense, parts: [here, part] });
            go(here);
            match sense * way.sense() {
                1 if here + 1 < way.parts() => go(here + 1),
                -1 if here > 0 => go(here - 1),
                _ => {}
            }
        }
        let before = std::mem::take(&mut all);
        all = before
            .iter()
            .flat_map(|so_far| moves.iter().map(|&m| so_far.iter().copied().chain([m]).collect()))
            .collect();
    }
    all
}

impl MachineMove {
    /// Puts it into a state.
    pub fn take(&self, design: &Design, state: &mut State) {
        let s = &mut state.motors[self.motor];
        s.speed = self.sense.into();
        if let Some(way) = design.motors[self.motor].data.load.watched_way() {
            s.position_nm = way.within_part(self.parts[1]);
        }
    }

    /// Tag of its motor.
    pub fn tag<'d>(&self, design: &'d Design) -> &'d str {
        &design.motors[self.motor].tag
    }

    /// The place that it crosses, nm: the first position of the upper of the two parts.
    pub fn place_nm(&self, design: &Design) -> i64 {
        let way = design.motors[self.motor].data.load.watched_way();
        way.map_or(0, |way| way.part_nm(self.parts[0].max(self.parts[1])).0)
    }

    /// Whether the position goes up, 1, or down, −1, into another part, or stays, 0.
    pub fn crosses(&self) -> i8 {
        i8::from(self.parts[1] > self.parts[0]) - i8::from(self.parts[1] < self.parts[0])
    }
}

/// Of every motor the torque near standstill on the solution of the state's key.
fn torques(design: &Design, state: &State, free: &mut FreeCache) -> Rc<[Torque]> {
    if let Some(known) = free.torques.get(&state.key) {
        return Rc::clone(known);
    }
    let known = free.cache.known(design, &state.key);
    let of = |data: &MotorData| torque(data, &known.solution);
    let torques: Rc<[Torque]> = design.motors.iter().map(|m| of(&m.data)).collect();
    free.torques.insert(state.key, Rc::clone(&torques));
    torques
}

fn torque(data: &MotorData, solution: &Solution) -> Torque {
    let (feed, circuit) = (Feed::of(data, solution), &data.circuit);
    if feed.dead() {
        return [0.0; 2];
    }
    let between = |most: f64| {
        let points = (-POINTS..=POINTS).map(|k| f64::from(k) / f64::from(POINTS) * most);
        // While a field fades at open terminals there is no torque.
        let idle = feed.apart().then_some(0.0);
        let all = points.map(|speed| feed.at(circuit, speed).torque).chain(idle);
        all.fold([f64::INFINITY, f64::NEG_INFINITY], |[least, most]: Torque, nm| {
            [if nm < least { nm } else { least }, if nm > most { nm } else { most }]
        })
    };
    let largest = |[least, most]: Torque| if most > -least { most } else { -least };
    // All that can change the speed in a tick, from the whole curve; the sense changes within that of standstill.
    let pull = if data.load.pull < 0.0 { -data.load.pull } else { data.load.pull };
    let brakes: f64 = data.brakes.iter().map(|b| b.torque).sum();
    let all = largest(between(circuit.synchronous)) * OVERSHOOT
        + pull
        + friction(circuit, &data.load, brakes, circuit.synchronous);
    let near = all / (circuit.inertia + data.load.inertia) * 0.001 + 2.0 * RESTAMP_SLIP * circuit.synchronous;
    let range = if near < circuit.synchronous { between(near) } else { between(circuit.synchronous) };
    let more = largest(range) * TANGENT;
    [range[0] - more, range[1] + more]
}
