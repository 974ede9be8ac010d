//! The shaft of a motor: speed and position under the torques of motor, load and brake.

use super::machine::Load;
use super::motor::Circuit;
use super::winding::WindingState;
use crate::complex::Complex;

/// State of one motor.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct MotorState {
    /// Speed, rad/s, positive clockwise seen from the drive end.
    pub speed: f64,
    /// Speed at which the currents were last computed.
    pub stamped: f64,
    /// Currents into U1 V1 W1, A (RMS phasor).
    pub current: [Complex; 3],
    /// Torque of the motor at the stamped speed, N·m.
    pub torque: f64,
    /// What the torque gains with speed there, N·m per rad/s.
    pub slope: f64,
    /// The last tick left the speed as it was.
    pub settled: bool,
    /// The machine is blocked.
    pub jammed: bool,
    /// The terminals are apart from everything.
    pub apart: bool,
    /// Field of the rotor, as the phase voltage that it gives at synchronous speed, V RMS.
    pub field: f64,
    /// Position of the machine along its way, nm.
    pub position_nm: i64,
    /// Heat of the windings.
    pub winding: WindingState,
}

/// Change of slip at which the currents are computed anew.
pub const RESTAMP_SLIP: f64 = 0.002;

/// A change of speed per tick under this limit, rad/s, is none: the machine then runs steadily.
pub const STEADY: f64 = 1e-4;

/// Speed above which the shaft is seen to turn, rad/s.
pub const TURNING: f64 = 1.0;

fn size(x: f64) -> f64 {
    if x < 0.0 { -x } else { x }
}

impl MotorState {
    /// At rest and cold, the machine at its start.
    pub fn at_start(load: &Load) -> MotorState {
        let position_nm = load.way.as_ref().map_or(0, |way| way.start_nm);
        MotorState { position_nm, ..MotorState::default() }
    }

    /// The slip has moved by [`RESTAMP_SLIP`] or more since the currents were computed, or has come to rest elsewhere.
    pub fn off_stamp(&self, circuit: &Circuit) -> bool {
        size((self.speed - self.stamped) / circuit.synchronous) >= RESTAMP_SLIP
            || self.settled && self.speed != self.stamped
    }

    /// The field fades at the open terminals.
    pub fn fading(&self) -> bool {
        self.apart && self.field != 0.0
    }

    /// The way in which the shaft is seen to turn: 1 clockwise, −1 counter-clockwise, 0 not.
    pub fn turning(&self) -> i8 {
        i8::from(self.speed > TURNING) - i8::from(self.speed < -TURNING)
    }

    /// One tick of the speed, under the motor's torque, the load, a `brake` (N·m, against the motion) and the rotor's
    /// own friction. Returns whether it changed.
    pub fn turn(&mut self, circuit: &Circuit, load: &Load, brake: f64) -> bool {
        let before = self.speed;
        if self.jammed {
            self.speed = 0.0;
            self.settled = before == 0.0;
            return !self.settled;
        }
        let friction = friction(circuit, load, brake, self.speed);
        let drive = self.torque + self.slope * (self.speed - self.stamped) + load.pull;
        let net = if self.speed > 0.0 {
            drive - friction
        } else if self.speed < 0.0 || drive < -friction {
            drive + friction
        } else if drive > friction {
            drive - friction
        } else {
            0.0
        };
        let change = net / (circuit.inertia + load.inertia) * 0.001;
        let mut speed = self.speed + change;
        // Friction stops the shaft; it does not turn it back.
        let crosses = self.speed > 0.0 && speed < 0.0 || self.speed < 0.0 && speed > 0.0;
        let held = drive <= friction && drive >= -friction;
        if crosses && held {
            speed = 0.0;
        } else if size(change) < STEADY && self.torque != 0.0 {
            speed = self.speed;
        }
        if load.way.as_ref().is_some_and(|way| way.bars(self.position_nm, speed)) {
            speed = 0.0;
        }
        self.speed = speed;
        self.settled = speed == before;
        !self.settled
    }

    /// One tick of the position. Returns whether the machine has come into another part of its way, an end stop
    /// included.
    pub fn travel(&mut self, load: &Load) -> bool {
        let Some(way) = &load.way else { return false };
        let before = self.position_nm;
        let (position, stopped) = way.after(before, self.speed, 1);
        self.position_nm = position;
        if stopped {
            (self.speed, self.settled) = (0.0, false);
        }
        way.cell(position) != way.cell(before)
    }

    /// The position changes from tick to tick.
    pub fn moves(&self, load: &Load) -> bool {
        load.way.as_ref().is_some_and(|way| way.step(self.speed) != 0)
    }

    /// Torque of load, weight, brake and own friction at this speed, N·m, positive against clockwise; at standstill
    /// that of the weight alone.
    pub fn load_nm(&self, circuit: &Circuit, load: &Load, brake: f64) -> f64 {
        let against = friction(circuit, load, brake, self.speed);
        match self.speed {
            s if s > 0.0 => against - load.pull,
            s if s < 0.0 => -against - load.pull,
            _ => -load.pull,
        }
    }

    /// Hands every floating-point value to `take`.
    pub(crate) fn floats(&self, take: &mut dyn FnMut(f64)) {
        [self.speed, self.stamped, self.torque, self.slope, self.field].into_iter().for_each(&mut *take);
        self.current.iter().for_each(|c| {
            take(c.re);
            take(c.im);
        });
        self.winding.floats(take);
    }
}

/// Torque against the motion at a speed in rad/s, without a weight, N·m.
pub(crate) fn friction(circuit: &Circuit, load: &Load, brake: f64, speed: f64) -> f64 {
    load.against(speed) + circuit.friction_w / circuit.synchronous + brake
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::devices::motor::circuit;
    use crate::devices::motor_curve::Feed;
    use crate::part::MotorModel;

    fn plain(inertia: f64, friction: f64) -> Load {
        Load { inertia, friction, ..Load::default() }
    }

    /// A tick on a feed, as the step does it.
    fn tick(s: &mut MotorState, c: &Circuit, load: &Load, feed: &Feed) -> bool {
        if s.off_stamp(c) || s.torque == 0.0 {
            s.stamped = s.speed;
            let drawn = feed.at(c, s.stamped);
            (s.current, s.torque, s.slope) = (drawn.current, drawn.torque, drawn.slope);
        }
        s.turn(c, load, 0.0) || s.off_stamp(c)
    }

    fn rpm(s: &MotorState) -> f64 {
        s.speed * 30.0 / std::f64::consts::PI
    }

    /// Runs up, and coasts to a stand by friction without turning back.
    #[test]
    fn runs_up_and_coasts() {
        let c = circuit(MotorModel::Kw4At400V);
        let (load, feed) = (plain(0.05, 6.0), Feed::stiff(400.0));
        let mut s = MotorState::default();
        (0..2000).for_each(|_| {
            tick(&mut s, &c, &load, &feed);
        });
        assert!((1450.0..1500.0).contains(&rpm(&s)), "{}", rpm(&s));
        (s.torque, s.slope) = (0.0, 0.0);
        for _ in 0..5000 {
            s.turn(&c, &load, 0.0);
            assert!(s.speed >= 0.0);
        }
        assert_eq!(s.speed, 0.0);
    }

    /// A running motor comes to one speed and stays there: no swing about it, so that its ticks can be passed over.
    /// The load is the rated torque; the rated speed of the parameter sets is then 1446 and 1750 min⁻¹.
    #[test]
    fn rated_load_settles_at_rated_speed() {
        for (model, volts, torque, rated) in
            [(MotorModel::Kw4At400V, 400.0, 26.4, 1446.0), (MotorModel::Hp5At460V, 460.0, 20.4, 1750.0)]
        {
            let (c, feed) = (circuit(model), Feed::stiff(volts));
            // The rated torque is that at the shaft: the rotor's own friction comes on top.
            let load = plain(0.03, torque);
            let mut s = MotorState::default();
            let mut last_change = 0;
            for k in 0..5000 {
                if tick(&mut s, &c, &load, &feed) {
                    last_change = k;
                }
            }
            assert!(last_change < 2000, "{last_change}");
            assert!((rpm(&s) / rated - 1.0).abs() < 0.005, "{} for {rated}", rpm(&s));
        }
    }

    /// Models of the 4 kW set: unloaded, plugging from full speed until it runs backwards takes 0.075 s with the rotor
    /// alone and 0.22 s with three times its inertia, and heats with 3.6 times the I²t of a start. Steps of 1 ms and
    /// of 0.002 in slip come within 3 % of the time and 6 % of the heat.
    #[test]
    fn plugging_reverses_in_the_time_of_the_model() {
        let c = circuit(MotorModel::Kw4At400V);
        let mut backwards = Feed::stiff(400.0);
        backwards.open.swap(0, 2);
        for (extra, expected) in [(0.0, 0.075), (2.0 * c.inertia, 0.22)] {
            let load = plain(extra, 0.0);
            let run = |s: &mut MotorState, feed: &Feed, until: f64| {
                s.torque = 0.0;
                let (mut ticks, mut heat) = (0u32, 0.0);
                while (s.speed - until).abs() > 0.05 * c.synchronous {
                    tick(s, &c, &load, feed);
                    heat += s.current[0].norm_sqr();
                    ticks += 1;
                }
                (f64::from(ticks) / 1000.0, heat)
            };
            let mut s = MotorState::default();
            let (_, start) = run(&mut s, &Feed::stiff(400.0), c.synchronous);
            (0..1000).for_each(|_| {
                tick(&mut s, &c, &load, &Feed::stiff(400.0));
            });
            let (seconds, heat) = run(&mut s, &backwards, -c.synchronous);
            assert!((seconds / expected - 1.0).abs() < 0.03, "{seconds} s for {expected}");
            assert!((heat / start / 3.6 - 1.0).abs() < 0.06, "{}", heat / start);
        }
    }

    /// A weight of 15 N·m that nothing holds falls faster and faster: ω = M·t/J, by hand 15/0.0625 · 0.2 s = 48 rad/s;
    /// a brake of 20 N·m holds it, one of 10 N·m only slows it.
    #[test]
    fn a_weight_falls_and_a_brake_holds_it() {
        let c = Circuit { friction_w: 0.0, ..circuit(MotorModel::Kw4At400V) };
        let load = Load { pull: -15.0, ..plain(0.05, 0.0) };
        let fall = |brake: f64| {
            let mut s = MotorState::default();
            (0..200).for_each(|_| {
                s.turn(&c, &load, brake);
            });
            s.speed
        };
        assert!((fall(0.0) + 48.0).abs() < 0.01, "{}", fall(0.0));
        assert!((fall(10.0) + 16.0).abs() < 0.01, "{}", fall(10.0));
        assert_eq!(fall(20.0), 0.0);
    }
}
