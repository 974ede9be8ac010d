//! What is done before the first press: dead tests, then energising in stages, each with what is expected.
//!
//! Readings that the bench can give are taken with its meter and stand in the attempt's log; the rest is recorded by hand.
//! The order is that of IEC 60204-1 clause 18 and of EN 50110-1 (isolate, lock, prove dead, then test).

use crate::store::model::{Conductor, Function, Insulation, Kind, Part, Protection, Reading};
use crate::t;

/// A stage, with the state that the panel must be in.
#[derive(Clone, Debug, PartialEq)]
pub struct Stage {
    /// What it is about.
    pub title: &'static str,
    /// State of the panel.
    pub state: &'static str,
    /// Its readings count only when they are taken with the supply disconnector open.
    pub isolated: bool,
    /// Its checks, in order.
    pub checks: Vec<Check>,
}

/// One check of a stage.
#[derive(Clone, Debug, PartialEq)]
pub enum Check {
    /// Taken with the meter.
    Meter {
        /// What is checked.
        name: String,
        /// Terminals of the probes.
        at: [String; 2],
        /// What is measured.
        function: Function,
        /// What it should be.
        expect: Expect,
    },
    /// The dial of an overload against the motor's rated current, both read off.
    Dial {
        /// Tag of the overload.
        overload: String,
        /// Rated current of the motor, mA.
        rated_ma: u32,
    },
    /// The motor has been seen to turn this way while this contactor was in.
    Turns {
        /// Tag of the contactor.
        contactor: String,
        /// Tag of the motor.
        motor: String,
    },
    /// Recorded by hand: the bench does not show it.
    ByHand {
        /// Name under which it is kept.
        key: &'static str,
        /// What is done.
        name: &'static str,
    },
}

/// What a reading should be.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Expect {
    /// At most so many milliohms.
    AtMost(i64),
    /// No path.
    Open,
    /// Between two values, mV.
    Between(i64, i64),
}

impl Expect {
    /// Whether a recorded reading is as expected.
    pub fn met(self, reading: &Reading) -> bool {
        match (self, reading.shown) {
            (Expect::AtMost(most), Some(shown)) => shown.abs() <= most,
            (Expect::Between(low, high), Some(shown)) => (low..=high).contains(&shown.abs()),
            (Expect::Open, None) => true,
            // A contact that is open leaves megohms at most through what is wired in parallel.
            (Expect::Open, Some(shown)) => shown >= 1_000_000_000,
            (_, None) => false,
        }
    }

    /// In words and figures.
    pub fn text(self) -> String {
        let volts = |mv: i64| crate::loop_strip::volts_text(mv as f64 / 1000.0);
        match self {
            Expect::AtMost(milliohms) => {
                t!("before-at-most", ohms = super::probes::ohms_text(milliohms as f64 / 1000.0))
            }
            Expect::Open => t!("meter-open").to_string(),
            Expect::Between(0, high) => t!("before-below", volts = volts(high)),
            Expect::Between(low, high) => t!("before-between", low = volts(low), high = volts(high)),
        }
    }
}

/// Number of the newest reading of a check among the recorded ones, probes in either order.
pub fn newest(readings: &[Reading], at: &[String; 2], function: Function) -> Option<usize> {
    readings.iter().rposition(|reading| {
        let ends = [reading.from.to_string(), reading.to.to_string()];
        reading.function == function && (ends == *at || (ends[0] == at[1] && ends[1] == at[0]))
    })
}

/// The device that isolates the job: the first in the order of the parts that switches three poles and protects nothing.
pub fn disconnector(parts: &[Part]) -> Option<&str> {
    let isolates = |kind: &Kind| match kind {
        Kind::Switchgear(s) => s.poles == 3 && s.protection == Protection::None,
        _ => false,
    };
    parts.iter().find(|part| isolates(&part.kind)).map(|part| part.tag.as_str())
}

/// The stages for a job, from its parts and conductors.
pub fn stages(parts: &[Part], conductors: &[Conductor]) -> Vec<Stage> {
    let tag =
        |fits: fn(&Kind) -> bool| parts.iter().find(|part| fits(&part.kind)).map(|part| part.tag.clone());
    let motor = tag(|kind| matches!(kind, Kind::Motor(_)));
    let overload = tag(|kind| matches!(kind, Kind::Overload(_)));
    let mut stages = vec![Stage {
        title: t!("before-isolate"),
        state: t!("before-isolate-state"),
        isolated: true,
        checks: [
            Some(Check::ByHand { key: "locked", name: t!("before-locked") }),
            motor
                .as_ref()
                .map(|tag| volts(t!("before-dead"), [format!("{tag}:U1"), format!("{tag}:V1")], (0, 1_000))),
            Some(Check::ByHand { key: "proved", name: t!("before-proved") }),
        ]
        .into_iter()
        .flatten()
        .collect(),
    }];
    stages.push(Stage {
        title: t!("before-earth"),
        state: t!("before-dead-state"),
        isolated: true,
        checks: earth(conductors),
    });
    stages.push(Stage {
        title: t!("before-insulation"),
        state: t!("before-insulation-state"),
        isolated: true,
        checks: vec![Check::ByHand { key: "insulation", name: t!("before-insulation-name") }],
    });
    if let Some(overload) = &overload {
        stages.push(contacts(overload));
        let rated = parts.iter().find_map(|part| match &part.kind {
            Kind::Motor(motor) => Some(motor.rated_ma),
            _ => None,
        });
        stages.push(Stage {
            title: t!("before-dial"),
            state: t!("before-dead-state"),
            isolated: true,
            checks: rated
                .map(|rated_ma| Check::Dial { overload: overload.clone(), rated_ma })
                .into_iter()
                .collect(),
        });
    }
    stages.push(control(parts, motor.as_deref()));
    if let (Some(motor), Some(contactor)) = (motor, tag(|kind| matches!(kind, Kind::Contactor(_)))) {
        stages.push(Stage {
            title: t!("before-bump"),
            state: t!("before-bump-state"),
            isolated: false,
            checks: vec![Check::Turns { contactor, motor }],
        });
    }
    stages.retain(|stage| !stage.checks.is_empty());
    stages
}

fn volts(name: impl Into<String>, at: [String; 2], (low, high): (i64, i64)) -> Check {
    Check::Meter { name: name.into(), at, function: Function::VoltsAc, expect: Expect::Between(low, high) }
}

/// The protective conductor from the bar to everything that it goes to: at most 0.1 Ω here, by length and cross-section.
fn earth(conductors: &[Conductor]) -> Vec<Check> {
    let earthed = || conductors.iter().filter(|c| c.colour == Insulation::GreenYellow);
    let Some(bar) =
        earthed().map(|c| &c.from).find(|from| earthed().filter(|c| c.from.part == from.part).count() > 2)
    else {
        return Vec::new();
    };
    let ends = earthed().map(|c| &c.to).filter(|to| to.part != bar.part);
    // Terminal strips are on the way to what is earthed, not its end.
    let ends = ends.filter(|to| !earthed().any(|other| other.from == **to));
    ends.map(|to| Check::Meter {
        name: t!("before-earth-to", place = to),
        at: [format!("{}:1", bar.part), to.to_string()],
        function: Function::Ohms,
        expect: Expect::AtMost(100),
    })
    .collect()
}

fn contacts(overload: &str) -> Stage {
    let at = |a: &str, b: &str| [format!("{overload}:{a}"), format!("{overload}:{b}")];
    let ohms = |name: String, at: [String; 2], expect: Expect| Check::Meter {
        name,
        at,
        function: Function::Ohms,
        expect,
    };
    Stage {
        title: t!("before-trip"),
        state: t!("before-trip-state"),
        isolated: true,
        checks: vec![
            ohms(t!("before-rest", contact = "95-96"), at("95", "96"), Expect::AtMost(500)),
            ohms(t!("before-rest", contact = "97-98"), at("97", "98"), Expect::Open),
            Check::ByHand { key: "reversed", name: t!("before-reversed") },
        ],
    }
}

/// Control energised, power not: the voltages of the control supplies, and the motor's terminals dead.
fn control(parts: &[Part], motor: Option<&str>) -> Stage {
    let mut checks = Vec::new();
    for part in parts {
        let at = |a: &str, b: &str| [format!("{}:{a}", part.tag), format!("{}:{b}", part.tag)];
        match &part.kind {
            Kind::Transformer(transformer) => {
                let rated = i64::from(transformer.secondary_mv);
                checks.push(volts(
                    t!("before-control", tag = part.tag),
                    at("2U", "2V"),
                    (rated * 9 / 10, rated * 11 / 10),
                ));
            }
            Kind::DcSupply(supply) => {
                let rated = i64::from(supply.output_mv);
                checks.push(Check::Meter {
                    name: t!("before-control", tag = part.tag),
                    at: at("+", "-"),
                    function: Function::VoltsDc,
                    expect: Expect::Between(rated * 95 / 100, rated * 105 / 100),
                });
            }
            _ => {}
        }
    }
    if let Some(motor) = motor {
        checks.push(volts(
            t!("before-motor-dead"),
            [format!("{motor}:U1"), format!("{motor}:W1")],
            (0, 1_000),
        ));
    }
    checks.push(Check::ByHand { key: "points", name: t!("before-points") });
    Stage { title: t!("before-control-title"), state: t!("before-control-state"), isolated: false, checks }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::store::model::{Scenario, Terminal};

    fn paddle() -> Vec<Stage> {
        let text = sealin_exercise::shipped::get("paddle-closed-loop").unwrap();
        let scenario: Scenario = Scenario::parse(text).unwrap();
        stages(&scenario.parts, &scenario.given)
    }

    fn reading(from: &str, to: &str, shown: Option<i64>) -> Reading {
        Reading {
            from: Terminal::parse(from).unwrap(),
            to: Terminal::parse(to).unwrap(),
            function: Function::Ohms,
            shown,
        }
    }

    #[test]
    fn earth_goes_to_plate_door_station_motor_and_devices() {
        let stages = paddle();
        let ends: Vec<String> = stages[1]
            .checks
            .iter()
            .filter_map(|check| match check {
                Check::Meter { at, .. } => Some(at[1].clone()),
                _ => None,
            })
            .collect();
        for wanted in ["UC1:plate", "UC1:door", "UC2:PE", "MA1:PE"] {
            assert!(ends.iter().any(|end| end == wanted), "{wanted} in {ends:?}");
        }
    }

    #[test]
    fn control_supplies_have_their_tolerance() {
        let stages = paddle();
        let control = &stages[stages.len() - 2];
        let expected: Vec<Expect> = control
            .checks
            .iter()
            .filter_map(|check| match check {
                Check::Meter { expect, .. } => Some(*expect),
                _ => None,
            })
            .collect();
        // paddle-panel: TA1 230 V ± 10 %, TB1 24 V.
        assert!(expected.contains(&Expect::Between(207_000, 253_000)), "{expected:?}");
        assert!(expected.contains(&Expect::Between(22_800, 25_200)), "{expected:?}");
    }

    #[test]
    fn expectations_are_met_or_not() {
        let met = |expect: Expect, shown| expect.met(&reading("a:1", "b:1", shown));
        assert!(met(Expect::AtMost(100), Some(60)) && !met(Expect::AtMost(100), Some(101)));
        assert!(!met(Expect::AtMost(100), None));
        assert!(met(Expect::Open, None) && !met(Expect::Open, Some(40)));
        assert!(met(Expect::Between(207_000, 253_000), Some(230_000)));
        assert!(!met(Expect::Between(22_800, 25_200), Some(0)));
    }

    #[test]
    fn the_newest_reading_counts_either_way_round() {
        let readings =
            [reading("a:1", "b:1", Some(5)), reading("b:1", "a:1", Some(7)), reading("a:1", "c:1", Some(9))];
        let at = ["a:1".to_string(), "b:1".to_string()];
        assert_eq!(newest(&readings, &at, Function::Ohms).map(|k| readings[k].shown), Some(Some(7)));
        assert_eq!(newest(&readings, &at, Function::VoltsDc), None);
    }
}
