//! What is done before the first press: dead tests, then energising in stages, each with what is expected.
//!
//! Readings are taken with the instruments of the bench and stand in the attempt's log, as does what is recorded by hand.
//! The order is that of IEC 60204-1 clause 18 and of EN 50110-1 (isolate, lock, prove dead, then test).

use crate::store::model::{
    Conductor, DeadPlace, Function, Insulation, Kind, Measurement, Part, Protection, Shown, Taken, Terminal,
};
use crate::t;
use crate::text::quantity::measured;

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
    /// Taken with an instrument.
    Reading {
        /// What is checked.
        name: String,
        /// What is measured and where.
        what: Measurement,
        /// What it should be.
        expect: Expect,
    },
    /// Proved dead with the two-pole detector, in its whole order.
    Dead {
        /// Where.
        place: DeadPlace,
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
    /// At least so many milliohms.
    AtLeast(i64),
    /// No path.
    Open,
    /// Between two values, mV.
    Between(i64, i64),
    /// No step of the detector lights.
    Dark,
}

/// Above this, milliohm, a contact counts as open: what is wired in parallel leaves some megohm at most.
const OPEN_MILLIOHMS: i64 = 1_000_000_000;

impl Expect {
    /// Whether what was shown is as expected.
    pub fn met(self, shown: Shown) -> bool {
        match (self, shown) {
            (Expect::AtMost(most), Shown::Figure(f)) => f.thousandths <= most,
            (Expect::AtLeast(least), Shown::Figure(f)) => f.thousandths >= least,
            (Expect::Open, Shown::Figure(f)) => f.thousandths >= OPEN_MILLIOHMS,
            (Expect::Between(low, high), Shown::Figure(f)) => (low..=high).contains(&f.thousandths.abs()),
            (Expect::Open | Expect::AtLeast(_), Shown::Over) => true,
            (Expect::Dark, Shown::Voltage(lit)) => lit.is_none(),
            _ => false,
        }
    }

    /// In words and figures.
    pub fn text(self) -> String {
        let volts = |mv: i64| crate::loop_strip::volts_text(mv as f64 / 1000.0);
        match self {
            Expect::AtMost(milliohms) => {
                t!("before-at-most", ohms = measured(milliohms as f64 / 1e3, 1, "Ω"))
            }
            Expect::AtLeast(milliohms) => {
                t!("before-at-least", ohms = measured(milliohms as f64 / 1e9, 0, "MΩ"))
            }
            Expect::Open => t!("before-open").to_string(),
            Expect::Between(0, high) => t!("before-below", volts = volts(high)),
            Expect::Between(low, high) => t!("before-between", low = volts(low), high = volts(high)),
            Expect::Dark => t!("detector-dark").to_string(),
        }
    }
}

/// Number of the newest reading of a check among those taken, probes in either order.
pub fn newest(readings: &[Taken], what: &Measurement) -> Option<usize> {
    let turned = match what {
        Measurement::Between { function, from, to } => {
            Some(Measurement::Between { function: *function, from: to.clone(), to: from.clone() })
        }
        _ => None,
    };
    readings.iter().rposition(|taken| taken.what == *what || Some(&taken.what) == turned.as_ref())
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
    let bar = earth_bar(conductors).map(|bar| Terminal::new(&bar, "1"));
    let dead = disconnector(parts).zip(bar.as_ref()).map(|(switch, earth)| {
        let poles = ["2", "4", "6"].map(|name| Terminal::new(switch, name)).into();
        Check::Dead { place: DeadPlace { poles, earth: earth.clone() } }
    });
    let isolate = [Some(Check::ByHand { key: "locked", name: t!("before-locked") }), dead];
    let mut stages = vec![
        Stage {
            title: t!("before-isolate"),
            state: t!("before-isolate-state"),
            isolated: true,
            checks: isolate.into_iter().flatten().collect(),
        },
        Stage {
            title: t!("before-earth"),
            state: t!("before-dead-state"),
            isolated: true,
            checks: bar.as_ref().map(|bar| earth(conductors, bar)).unwrap_or_default(),
        },
        Stage {
            title: t!("before-insulation"),
            state: t!("before-insulation-state"),
            isolated: true,
            checks: motor.iter().zip(&bar).flat_map(|(motor, bar)| insulation(motor, bar)).collect(),
        },
    ];
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

fn reading(
    name: impl Into<String>,
    function: Function,
    (from, to): (Terminal, Terminal),
    expect: Expect,
) -> Check {
    Check::Reading { name: name.into(), what: Measurement::Between { function, from, to }, expect }
}

fn is_earth(c: &&Conductor) -> bool {
    c.colour == Insulation::GreenYellow
}

/// The bar from which the protective conductors go out.
fn earth_bar(conductors: &[Conductor]) -> Option<String> {
    let out = |tag: &str| conductors.iter().filter(is_earth).filter(|c| c.from.part == tag).count();
    conductors.iter().filter(is_earth).map(|c| &c.from.part).find(|tag| out(tag) > 2).cloned()
}

/// The protective conductor from the bar to everything that it goes to: at most 0.1 Ω here, by length and cross-section.
fn earth(conductors: &[Conductor], bar: &Terminal) -> Vec<Check> {
    let earthed = || conductors.iter().filter(is_earth);
    let ends = earthed().map(|c| &c.to).filter(|to| to.part != bar.part);
    // Terminal strips are on the way to what is earthed, not its end.
    let ends = ends.filter(|to| !earthed().any(|other| other.from == **to));
    ends.map(|to| {
        let name = t!("before-earth-to", place = to);
        reading(name, Function::Continuity, (bar.clone(), to.clone()), Expect::AtMost(100))
    })
    .collect()
}

/// Each phase of the motor circuit to earth: at least 1 MΩ (IEC 60204-1 clause 18.3).
fn insulation(motor: &str, bar: &Terminal) -> Vec<Check> {
    let of = |name: &str| {
        let phase = Terminal::new(motor, name);
        let expect = Expect::AtLeast(1_000_000_000);
        let name = t!("before-insulation-name", place = phase);
        reading(name, Function::Insulation, (phase, bar.clone()), expect)
    };
    ["U1", "V1", "W1"].map(of).into()
}

fn contacts(overload: &str) -> Stage {
    let ohms = |a: &str, b: &str, expect: Expect| {
        let at = (Terminal::new(overload, a), Terminal::new(overload, b));
        reading(t!("before-rest", contact = format!("{a}-{b}")), Function::Continuity, at, expect)
    };
    Stage {
        title: t!("before-trip"),
        state: t!("before-trip-state"),
        isolated: true,
        checks: vec![
            ohms("95", "96", Expect::AtMost(500)),
            ohms("97", "98", Expect::Open),
            Check::ByHand { key: "reversed", name: t!("before-reversed") },
        ],
    }
}

/// Control energised, power not: the voltages of the control supplies, and the motor's terminals dead.
fn control(parts: &[Part], motor: Option<&str>) -> Stage {
    let mut checks = Vec::new();
    for part in parts {
        let at = |a: &str, b: &str| (Terminal::new(&part.tag, a), Terminal::new(&part.tag, b));
        let name = || t!("before-control", tag = part.tag);
        match &part.kind {
            Kind::Transformer(transformer) => {
                let rated = i64::from(transformer.secondary_mv);
                let [a, b] = transformer.secondary();
                let expect = Expect::Between(rated * 9 / 10, rated * 11 / 10);
                checks.push(reading(name(), Function::VoltsAc, at(a, b), expect));
            }
            Kind::DcSupply(supply) => {
                let rated = i64::from(supply.output_mv);
                let expect = Expect::Between(rated * 95 / 100, rated * 105 / 100);
                checks.push(reading(name(), Function::VoltsDc, at("+", "-"), expect));
            }
            _ => {}
        }
    }
    if let Some(motor) = motor {
        let at = (Terminal::new(motor, "U1"), Terminal::new(motor, "W1"));
        checks.push(reading(t!("before-motor-dead"), Function::Detector, at, Expect::Dark));
    }
    checks.push(Check::ByHand { key: "points", name: t!("before-points") });
    Stage { title: t!("before-control-title"), state: t!("before-control-state"), isolated: false, checks }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::store::model::{Figure, Measured, Quantity, Scenario};

    fn paddle() -> Vec<Stage> {
        let text = sealin_exercise::shipped::get("paddle-closed-loop").unwrap();
        let scenario: Scenario = Scenario::parse(text).unwrap();
        stages(&scenario.parts, &scenario.given)
    }

    fn figure(thousandths: i64) -> Shown {
        Shown::Figure(Figure { quantity: Quantity::Ohms, thousandths, step: 1, prefix: 0 })
    }

    fn between(from: &str, to: &str, function: Function) -> Measurement {
        Measurement::parse(function.word(), &[from.to_string(), to.to_string()]).unwrap()
    }

    fn expectations(stage: &Stage) -> Vec<Expect> {
        let of = |check: &Check| match check {
            Check::Reading { expect, .. } => Some(*expect),
            _ => None,
        };
        stage.checks.iter().filter_map(of).collect()
    }

    #[test]
    fn earth_goes_to_plate_door_station_motor_and_devices() {
        let ends: Vec<String> = paddle()[1]
            .checks
            .iter()
            .filter_map(|check| match check {
                Check::Reading { what, .. } => what.places().pop(),
                _ => None,
            })
            .collect();
        for wanted in ["UC1:plate", "UC1:door", "UC2:PE", "MA1:PE"] {
            assert!(ends.iter().any(|end| end == wanted), "{wanted} in {ends:?}");
        }
    }

    /// Dead at the outgoing terminals of QB1, to a terminal of the earth bar; three phases of the motor above 1 MΩ.
    #[test]
    fn dead_and_insulation_have_their_places() {
        let stages = paddle();
        let Check::Dead { place } = &stages[0].checks[1] else { unreachable!() };
        assert_eq!(
            place.poles.iter().map(Terminal::to_string).collect::<Vec<_>>(),
            ["QB1:2", "QB1:4", "QB1:6"]
        );
        assert_eq!(expectations(&stages[2]), [Expect::AtLeast(1_000_000_000); 3]);
    }

    #[test]
    fn control_supplies_have_their_tolerance() {
        let stages = paddle();
        let expected = expectations(&stages[stages.len() - 2]);
        // paddle-panel: TA1 230 V ± 10 %, TB1 24 V.
        assert!(expected.contains(&Expect::Between(207_000, 253_000)), "{expected:?}");
        assert!(expected.contains(&Expect::Between(22_800, 25_200)), "{expected:?}");
    }

    #[test]
    fn expectations_are_met_or_not() {
        let met = |expect: Expect, shown: i64| expect.met(figure(shown));
        assert!(met(Expect::AtMost(100), 60) && !met(Expect::AtMost(100), 101));
        assert!(!Expect::AtMost(100).met(Shown::Over) && !Expect::AtMost(100).met(Shown::Refused));
        assert!(Expect::Open.met(Shown::Over) && !met(Expect::Open, 40));
        assert!(Expect::AtLeast(1_000).met(Shown::Over) && !met(Expect::AtLeast(1_000), 990));
        assert!(met(Expect::Between(207_000, 253_000), 230_000));
        assert!(!met(Expect::Between(22_800, 25_200), 0));
        assert!(Expect::Dark.met(Shown::Voltage(None)) && !met(Expect::Dark, 0));
    }

    #[test]
    fn the_newest_reading_counts_either_way_round() {
        let taken = |from: &str, to: &str, shown| Taken {
            tick: 0,
            what: between(from, to, Function::Ohms),
            measured: Measured {
                shown: figure(shown),
                phasor: None,
                caution: None,
                danger: None,
                harm: Vec::new(),
            },
        };
        let readings = [taken("a:1", "b:1", 5), taken("b:1", "a:1", 7), taken("a:1", "c:1", 9)];
        assert_eq!(newest(&readings, &between("a:1", "b:1", Function::Ohms)), Some(1));
        assert_eq!(newest(&readings, &between("a:1", "b:1", Function::VoltsDc)), None);
    }
}
