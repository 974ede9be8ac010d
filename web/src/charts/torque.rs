//! The torque-speed diagram of a motor as a picture without a screen: curves, load, the point, the words.

use super::doing::{Doing, against, doing, highest};
use crate::store::Workshop;
use crate::store::model::{Feed, Kind, MotorCurve, rated_line_volts};
use crate::t;
use crate::text::quantity::measured;

/// Speeds at which the curves are taken, from full speed one way to full speed the other.
const POINTS: usize = 80;

/// Rows of the table, percent of synchronous speed.
pub const ROWS: [i32; 9] = [-100, -50, -20, 0, 20, 50, 75, 90, 100];

/// Part of the torque at standstill with all lines under which there is none worth speaking of.
const NO_TORQUE: f64 = 0.03;

/// Torque and highest line current at a speed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct At {
    /// Speed in parts of synchronous speed, positive clockwise.
    pub speed: f64,
    /// Torque, N·m, positive clockwise.
    pub torque_nm: f64,
    /// Highest of the three line currents, A.
    pub amperes: f64,
}

/// All that is to be seen.
#[derive(Clone, Debug, PartialEq)]
pub struct TorquePicture {
    now: MotorCurve,
    rated: MotorCurve,
    rated_volts: f64,
    /// Where the motor is.
    pub point: At,
    /// The terminals are without voltage.
    pub dead: bool,
    /// What the motor does.
    pub doing: Doing,
    /// Highest torque at rated voltage, N·m, and highest current, A: the ends of the measures.
    pub ends: (f64, f64),
}

/// The picture of a motor now; none where there is no such motor.
pub fn picture(workshop: &Workshop, tag: &str) -> Option<TorquePicture> {
    let bench = workshop.bench();
    let Kind::Motor(motor) = &bench.design.part(tag)?.kind else { return None };
    let (now, view) = (bench.motor_curve(tag)?, bench.motor(tag)?);
    let rated_volts = rated_line_volts(motor.model);
    let rated = MotorCurve { feed: Feed::stiff(rated_volts), ..now };
    let ends =
        speeds().map(|speed| at(&rated, speed)).fold((1.0, 1.0), |(torque, amperes): (f64, f64), at| {
            (torque.max(at.torque_nm.abs()), amperes.max(at.amperes))
        });
    Some(TorquePicture {
        point: At {
            speed: view.rpm / now.synchronous_rpm(),
            torque_nm: view.torque_nm,
            amperes: highest(view.amperes),
        },
        dead: now.feed.dead(),
        doing: doing(&view, against(&view, &now)),
        now,
        rated,
        rated_volts,
        ends,
    })
}

impl TorquePicture {
    /// The curves at the present voltage; empty without any.
    pub fn curve(&self) -> Vec<At> {
        if self.dead { Vec::new() } else { speeds().map(|speed| at(&self.now, speed)).collect() }
    }

    /// The curves at rated voltage with all three lines, turned the way the motor is fed.
    pub fn at_rated(&self) -> Vec<At> {
        let way = if self.backwards() { -1.0 } else { 1.0 };
        let turned = |at: At| At { speed: way * at.speed, torque_nm: way * at.torque_nm, ..at };
        speeds().map(|speed| turned(at(&self.rated, speed))).collect()
    }

    /// Fed so that it turns counter-clockwise; with a line open, already turning that way.
    fn backwards(&self) -> bool {
        let standing = self.now.at(0.0).torque_nm;
        if self.no_start() { self.point.speed < 0.0 } else { standing < 0.0 }
    }

    /// Under voltage, and yet without torque at standstill.
    pub fn no_start(&self) -> bool {
        !self.dead && self.now.at(0.0).torque_nm.abs() < NO_TORQUE * self.rated.at(0.0).torque_nm
    }

    /// Torque that keeps the present speed up, or at standstill sets the shaft moving, N·m, positive clockwise.
    pub fn load_nm(&self) -> f64 {
        self.now.load_nm(if self.backwards() && self.point.speed == 0.0 { -0.0 } else { self.point.speed })
    }

    /// Torque of the load over the speed, N·m: with a step at standstill, where friction turns round.
    pub fn load(&self) -> Vec<(f64, f64)> {
        let back = speeds().filter(|part| *part < 0.0).chain([-0.0]);
        let forth = [0.0].into_iter().chain(speeds().filter(|part| *part > 0.0));
        back.chain(forth).map(|part| (part, self.now.load_nm(part))).collect()
    }

    /// A point of the present curve, for the table.
    pub fn row(&self, percent: i32) -> At {
        at(&self.now, f64::from(percent) / 100.0)
    }

    /// Synchronous speed and rated voltage.
    pub fn rating(&self) -> String {
        t!(
            "torque-rating",
            speed = measured(self.now.synchronous_rpm(), 0, "min⁻¹"),
            volts = measured(self.rated_volts, 0, "V")
        )
    }

    /// Speed, torque, load and current, one line.
    pub fn figures(&self) -> String {
        t!(
            "torque-figures",
            speed = measured(self.point.speed * 100.0, 0, "%"),
            torque = measured(self.point.torque_nm, 1, "N·m"),
            load = measured(self.load_nm(), 1, "N·m"),
            amperes = measured(self.point.amperes, 1, "A")
        )
    }

    /// What the curve says of what the motor does, one sentence.
    pub fn now(&self) -> &'static str {
        match self.doing {
            Doing::Still => t!("torque-now-still"),
            Doing::Coasts => t!("torque-now-coasts"),
            Doing::BlockedHums => t!("torque-now-blocked"),
            Doing::Hums if self.no_start() => t!("torque-now-hums"),
            Doing::Hums => t!("torque-now-too-weak"),
            Doing::RunsOnTwo => t!("torque-now-two"),
            Doing::Brakes => t!("torque-now-brakes"),
            Doing::RunsUp => t!("torque-now-up"),
            Doing::Runs => t!("torque-now-runs"),
        }
    }
}

fn speeds() -> impl Iterator<Item = f64> {
    (0..=POINTS).map(|n| 2.0 * n as f64 / POINTS as f64 - 1.0)
}

fn at(curve: &MotorCurve, speed: f64) -> At {
    let point = curve.at(speed);
    At { speed, torque_nm: point.torque_nm, amperes: highest(point.amperes) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::store::Command;
    use crate::store::fixture::{act, workshop};

    fn after(acts: &[&str], ticks: u64) -> Workshop {
        let mut w = workshop();
        for line in acts {
            act(&mut w, line);
        }
        w.carry_out(Command::Step(ticks)).unwrap();
        w
    }

    fn of(w: &Workshop) -> TorquePicture {
        picture(w, "MA1").unwrap()
    }

    /// Figures of the 4 kW set at 400 V: locked 58.1 N·m and 50.6 A, breakdown 73.9 N·m (fitted, `models`); behind the
    /// wiring up to 4 % less current and so 8 % less torque. Uncoupled it runs close to synchronous speed, where its
    /// torque is that of the load.
    #[test]
    fn the_point_lies_on_the_curve_and_on_the_load() {
        let dead = of(&after(&[], 100));
        assert!(dead.dead && dead.curve().is_empty() && dead.doing == Doing::Still);
        assert!((dead.ends.0 / 74.0 - 1.0).abs() < 0.02, "{:?}", dead.ends);
        let runs = of(&after(&["power on", "push QA1"], 2_000));
        assert_eq!(runs.doing, Doing::Runs);
        let standing = runs.row(0);
        assert!((53.5..58.2).contains(&standing.torque_nm), "{standing:?}");
        assert!((48.5..50.7).contains(&standing.amperes), "{standing:?}");
        let there = at(&runs.now, runs.point.speed);
        assert!((there.torque_nm - runs.point.torque_nm).abs() < 0.7, "{there:?} {:?}", runs.point);
        assert!((runs.point.torque_nm - runs.load_nm()).abs() < 0.7, "{:?}", runs.point);
        assert!(!runs.no_start() && !runs.backwards());
    }

    /// The other contactor exchanges two lines: the curve is turned about the origin.
    #[test]
    fn the_other_way_turns_the_curve() {
        let (up, down) = (
            of(&after(&["power on", "jam MA1", "push QA1"], 500)),
            of(&after(&["power on", "jam MA1", "push QA2"], 500)),
        );
        let (a, b) = (up.row(50), down.row(-50));
        assert!((a.torque_nm + b.torque_nm).abs() < 0.01 * a.torque_nm.abs(), "{a:?} {b:?}");
        assert!(down.backwards() && !up.backwards() && down.doing == Doing::BlockedHums);
    }

    /// One line open: no torque at standstill, it hums; √3/2 of the locked-rotor current flows in the two others.
    #[test]
    fn with_one_line_open_the_curve_passes_through_nothing() {
        let mut w = after(&["power on"], 100);
        let wire = w
            .conductors()
            .into_iter()
            .find(|c| c.to.to_string() == "MA1:V1" || c.from.to_string() == "MA1:V1");
        let fault = format!("inject conductor {} open", wire.unwrap().id);
        for line in [fault.as_str(), "push QA1"] {
            act(&mut w, line);
        }
        w.carry_out(Command::Step(500)).unwrap();
        let hums = of(&w);
        assert!(hums.no_start() && hums.doing == Doing::Hums, "{:?}", hums.doing);
        assert!((hums.point.amperes / 43.8 - 1.0).abs() < 0.03, "{:?}", hums.point);
        assert!(hums.row(0).torque_nm.abs() < 0.01 && hums.row(75).torque_nm > 10.0);
    }
}
