//! What a motor does, in the words of a person who stands beside it, from its currents, its speed and its torque.

use crate::store::Workshop;
use crate::store::model::{MotorCurve, MotorView};
use crate::t;
use crate::text::quantity::measured;

/// Below this the shaft counts as still, min⁻¹.
pub const STILL_RPM: f64 = 1.0;

/// A line that carries less, A, carries nothing.
const NOTHING_A: f64 = 0.2;

/// Currents are noted as unequal from this part of their mean on (typical: a few percent are usual in service).
const UNEQUAL_FROM: f64 = 0.1;

/// A line carries nothing beside the others when it has less than this part of the highest.
const OPEN_PART: f64 = 0.03;

/// Torque beyond that of the load, N·m, from which it still gains speed.
const SURPLUS_NM: f64 = 2.0;

/// Names of the lines at the motor.
pub const LINES: [&str; 3] = ["U1", "V1", "W1"];

/// What it does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Doing {
    /// No current, no motion.
    Still,
    /// Turns without current.
    Coasts,
    /// Held fast under current.
    BlockedHums,
    /// Under current, and does not start.
    Hums,
    /// Turns on two lines.
    RunsOnTwo,
    /// The torque is against the motion.
    Brakes,
    /// Gains speed.
    RunsUp,
    /// Runs steadily.
    Runs,
}

/// What a motor does against a load of so many N·m in the direction of the motion, or of the start.
pub fn doing(motor: &MotorView, load_nm: f64) -> Doing {
    let fed = highest(motor.amperes) > NOTHING_A;
    let turns = motor.rpm.abs() > STILL_RPM;
    // Torque in the direction of the motion, or of the start.
    let forward = if turns { motor.torque_nm * motor.rpm.signum() } else { motor.torque_nm.abs() };
    let gains = forward > load_nm + SURPLUS_NM;
    match (fed, turns) {
        (false, false) => Doing::Still,
        (false, true) => Doing::Coasts,
        (true, false) if motor.jammed => Doing::BlockedHums,
        // The first moment of a start, before the shaft is seen to turn.
        (true, false) if gains => Doing::RunsUp,
        (true, false) => Doing::Hums,
        (true, true) if forward < -SURPLUS_NM => Doing::Brakes,
        (true, true) if open_line(motor.amperes).is_some() => Doing::RunsOnTwo,
        (true, true) if gains => Doing::RunsUp,
        (true, true) => Doing::Runs,
    }
}

/// What the shaft sets against the motion, or at standstill against the start that the torque would make, N·m.
pub fn against(motor: &MotorView, curve: &MotorCurve) -> f64 {
    let way = if motor.rpm.abs() > STILL_RPM { motor.rpm } else { motor.torque_nm }.signum();
    let part =
        if motor.rpm.abs() > STILL_RPM { motor.rpm / curve.synchronous_rpm() } else { 0.0f64.copysign(way) };
    way * curve.load_nm(part)
}

/// What the motor of this tag does; none where there is no such motor.
pub fn doing_of(workshop: &Workshop, tag: &str) -> Option<Doing> {
    let bench = workshop.bench();
    let motor = bench.motor(tag)?;
    Some(doing(&motor, against(&motor, &bench.motor_curve(tag)?)))
}

impl Doing {
    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Doing::Still => t!("doing-still"),
            Doing::Coasts => t!("doing-coasts"),
            Doing::BlockedHums => t!("doing-blocked"),
            Doing::Hums => t!("doing-hums"),
            Doing::RunsOnTwo => t!("doing-two"),
            Doing::Brakes => t!("doing-brakes"),
            Doing::RunsUp => t!("doing-up"),
            Doing::Runs => t!("doing-runs"),
        }
    }

    /// Something is wrong when it does this.
    pub fn wrong(self) -> bool {
        matches!(self, Doing::BlockedHums | Doing::Hums | Doing::RunsOnTwo)
    }
}

/// The line that carries nothing while the others do.
pub fn open_line(amperes: [f64; 3]) -> Option<usize> {
    let highest = highest(amperes);
    let open = |a: f64| highest > NOTHING_A && a < OPEN_PART * highest;
    let mut lines = (0..3).filter(|line| open(amperes[*line]));
    // With two of them without current none would flow in the third.
    lines.next().filter(|_| lines.next().is_none())
}

/// What is to be noted about the three currents beside one another; none while they are alike.
pub fn inequality(amperes: [f64; 3]) -> Option<String> {
    if let Some(line) = open_line(amperes) {
        return Some(t!("lines-open", line = LINES[line]));
    }
    let mean = amperes.iter().sum::<f64>() / 3.0;
    let away = amperes.into_iter().map(|a| (a - mean).abs()).fold(0.0, f64::max);
    let unequal = mean > NOTHING_A && away > UNEQUAL_FROM * mean;
    unequal.then(|| t!("lines-unequal", percent = measured(away / mean * 100.0, 0, "%")))
}

/// The highest of three currents.
pub fn highest(amperes: [f64; 3]) -> f64 {
    amperes.into_iter().fold(0.0, f64::max)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn motor(amperes: [f64; 3], rpm: f64, torque_nm: f64, jammed: bool) -> MotorView {
        MotorView { rpm, amperes, torque_nm, jammed, ..MotorView::default() }
    }

    /// Figures of the 4 kW set: locked 50.6 A and 58 N·m; with one line open 43.8 A and no torque; at rated load
    /// 8.2 A and 26 N·m; reversed at full speed 54 A and 34 N·m against the motion.
    #[test]
    fn what_it_does_is_told_from_current_speed_and_torque() {
        let told = |amperes, rpm, torque, jammed| doing(&motor(amperes, rpm, torque, jammed), 6.3);
        let (none, locked, two) = ([0.0; 3], [50.6; 3], [43.8, 0.0, 43.8]);
        assert_eq!(told(none, 0.0, 0.0, false), Doing::Still);
        assert_eq!(told(none, 900.0, 0.0, false), Doing::Coasts);
        assert_eq!(told(locked, 0.0, 58.0, true), Doing::BlockedHums);
        assert_eq!(told(locked, 0.5, 58.0, false), Doing::RunsUp);
        assert_eq!(told(two, 0.0, 0.0, false), Doing::Hums);
        assert_eq!(told([9.0, 9.0, 0.1], 1_400.0, 6.3, false), Doing::RunsOnTwo);
        assert_eq!(told([54.0; 3], -1_450.0, 34.0, false), Doing::Brakes);
        assert_eq!(told([40.0; 3], 700.0, 66.0, false), Doing::RunsUp);
        assert_eq!(told([4.4; 3], 1_489.0, 6.3, false), Doing::Runs);
        // Against a load that it cannot move, with all lines, it hums as well.
        assert_eq!(doing(&motor([20.0; 3], 0.0, 5.0, false), 6.3), Doing::Hums);
    }

    #[test]
    fn unequal_currents_are_noted() {
        assert_eq!(inequality([4.4, 4.4, 4.4]), None);
        assert_eq!(inequality([0.0; 3]), None);
        assert!(inequality([43.8, 0.0, 43.8]).is_some_and(|text| text.contains("V1")));
        // Mean 8, the third 25 % below it.
        assert!(inequality([9.0, 9.0, 6.0]).is_some_and(|text| text.contains("25\u{a0}%")));
        assert_eq!(open_line([10.0, 0.1, 0.1]), None);
    }
}
