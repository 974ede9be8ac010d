//! Which instrument is in the hand, and where it is put.

use crate::store::Workshop;
use crate::store::model::{Function, Kind, Measured, Measurement, Part, Taken, Terminal};
use crate::t;
use crate::text::instrument::{NOTHING, place_text, remark_text, shown_text};
use crate::text::time::bench_time;

/// An instrument of the case.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Instrument {
    /// Volts and ohms.
    Meter,
    /// Current of a conductor.
    Clamp,
    /// Two-pole voltage detector, with its proving unit.
    Detector,
    /// Earth continuity, 200 mA.
    Continuity,
    /// Insulation, 500 V.
    Insulation,
    /// Phase sequence.
    Sequence,
}

impl Instrument {
    /// All instruments, in the order of the chooser.
    pub const ALL: [Instrument; 6] = [
        Instrument::Meter,
        Instrument::Clamp,
        Instrument::Detector,
        Instrument::Continuity,
        Instrument::Insulation,
        Instrument::Sequence,
    ];

    /// Its name.
    pub fn name(self) -> &'static str {
        match self {
            Instrument::Meter => t!("instrument-meter"),
            Instrument::Clamp => t!("instrument-clamp"),
            Instrument::Detector => t!("instrument-detector"),
            Instrument::Continuity => t!("instrument-continuity"),
            Instrument::Insulation => t!("instrument-insulation"),
            Instrument::Sequence => t!("instrument-sequence"),
        }
    }

    /// What it is and what it is for, in a line.
    pub fn about(self) -> &'static str {
        match self {
            Instrument::Meter => t!("about-meter"),
            Instrument::Clamp => t!("about-clamp"),
            Instrument::Detector => t!("about-detector"),
            Instrument::Continuity => t!("about-continuity"),
            Instrument::Insulation => t!("about-insulation"),
            Instrument::Sequence => t!("about-sequence"),
        }
    }

    /// It shows a value all the time; the others test when they are told to.
    pub fn live(self) -> bool {
        matches!(self, Instrument::Meter | Instrument::Clamp)
    }

    /// Its probes.
    pub fn probes(self) -> &'static [ProbeKind] {
        match self {
            Instrument::Clamp => &[],
            Instrument::Sequence => &[ProbeKind::L1, ProbeKind::L2, ProbeKind::L3],
            _ => &[ProbeKind::Red, ProbeKind::Black],
        }
    }
}

/// A probe of an instrument.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ProbeKind {
    /// The first of two.
    Red,
    /// The second of two.
    Black,
    /// The first of three.
    L1,
    /// The second of three.
    L2,
    /// The third of three.
    L3,
}

impl ProbeKind {
    /// Its name.
    pub fn name(self) -> &'static str {
        match self {
            ProbeKind::Red => t!("meter-red"),
            ProbeKind::Black => t!("meter-black"),
            ProbeKind::L1 => "L1",
            ProbeKind::L2 => "L2",
            ProbeKind::L3 => "L3",
        }
    }

    /// What tells it in the style sheet.
    pub fn class(self) -> &'static str {
        match self {
            ProbeKind::Red => "probe-red",
            ProbeKind::Black => "probe-black",
            ProbeKind::L1 | ProbeKind::L2 | ProbeKind::L3 => "probe-phase",
        }
    }
}

/// The instrument in the hand and where its probes are.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Probes {
    /// The instrument.
    pub instrument: Instrument,
    /// What the meter is set to.
    pub meter: Function,
    /// Terminals of two probes as written, such as `KF1:I4`.
    pub two: [String; 2],
    /// Terminals of the phase-sequence indicator.
    pub three: [String; 3],
    /// Id of the conductor in the clamp.
    pub conductor: String,
}

impl Probes {
    /// At first: the meter from the first input to its common, the indicator behind the first three-pole device.
    pub fn first(parts: &[Part], conductor: &str) -> Probes {
        let of = |part: &Part, names: &[&str]| {
            names.iter().map(|name| format!("{}:{name}", part.tag)).collect::<Vec<_>>()
        };
        let input = parts.iter().find_map(|part| match &part.kind {
            Kind::Controller(c) => {
                let group = c.inputs.iter().find(|group| !group.channels.is_empty())?;
                Some(of(part, &[&group.channels[0], &group.common]))
            }
            _ => None,
        });
        let poles = parts.iter().find_map(|part| match &part.kind {
            Kind::Switchgear(s) if s.poles == 3 => Some(of(part, &["2", "4", "6"])),
            _ => None,
        });
        Probes {
            instrument: Instrument::Meter,
            meter: Function::VoltsDc,
            two: input.and_then(|at| at.try_into().ok()).unwrap_or_default(),
            three: poles.and_then(|at| at.try_into().ok()).unwrap_or_default(),
            conductor: conductor.to_string(),
        }
    }

    /// Terminal of a probe, as written.
    pub fn at(&self, probe: usize) -> &str {
        let all: &[String] = if self.instrument == Instrument::Sequence { &self.three } else { &self.two };
        all.get(probe).map_or("", String::as_str)
    }

    /// The same with one probe elsewhere.
    pub fn with_at(&self, probe: usize, text: &str) -> Probes {
        let mut next = self.clone();
        let all: &mut [String] =
            if self.instrument == Instrument::Sequence { &mut next.three } else { &mut next.two };
        if let Some(place) = all.get_mut(probe) {
            *place = text.to_string();
        }
        next
    }

    /// The instrument for a measurement, put where that is taken.
    pub fn put(&self, what: &Measurement) -> Probes {
        let mut next = self.clone();
        match what {
            Measurement::Between { function, from, to } => {
                next.two = [from.to_string(), to.to_string()];
                next.instrument = match function {
                    Function::Detector => Instrument::Detector,
                    Function::Continuity => Instrument::Continuity,
                    Function::Insulation => Instrument::Insulation,
                    Function::VoltsDc | Function::VoltsAc | Function::Ohms => {
                        next.meter = *function;
                        Instrument::Meter
                    }
                };
            }
            Measurement::Clamp { conductor } => {
                next.conductor.clone_from(conductor);
                next.instrument = Instrument::Clamp;
            }
            Measurement::ProvingUnit => next.instrument = Instrument::Detector,
            Measurement::Sequence(at) => {
                next.three = at.each_ref().map(Terminal::to_string);
                next.instrument = Instrument::Sequence;
            }
        }
        next
    }

    /// What is measured; none where a probe is in the air.
    pub fn measurement(&self) -> Option<Measurement> {
        let between = |function: Function| {
            let (from, to) = (Terminal::parse(&self.two[0])?, Terminal::parse(&self.two[1])?);
            Some(Measurement::Between { function, from, to })
        };
        match self.instrument {
            Instrument::Meter => between(self.meter),
            Instrument::Detector => between(Function::Detector),
            Instrument::Continuity => between(Function::Continuity),
            Instrument::Insulation => between(Function::Insulation),
            Instrument::Clamp => Some(Measurement::Clamp { conductor: self.conductor.clone() }),
            Instrument::Sequence => {
                let [a, b, c] = self.three.each_ref().map(|text| Terminal::parse(text));
                Some(Measurement::Sequence([a?, b?, c?]))
            }
        }
    }

    /// The reading that is shown: of a live instrument now, of a tester the last one that it took here.
    pub fn reading(&self, workshop: &Workshop) -> Option<Measured> {
        let what = self.measurement()?;
        // In a sealed job each look at a display is a reading that counts.
        if self.instrument.live() && !workshop.is_sealed() {
            return workshop.bench().measure(&what).ok();
        }
        // A terminal that is not there has no reading, and a conductor that was moved does not undo one.
        self.last(workshop).map(|taken| taken.measured.clone())
    }

    /// The last reading that was taken with this instrument here, or by the detector on its proving unit.
    pub fn last<'a>(&self, workshop: &'a Workshop) -> Option<&'a Taken> {
        let what = self.measurement()?;
        let fits = |taken: &&Taken| {
            taken.what == what
                || taken.what == Measurement::ProvingUnit && self.instrument == Instrument::Detector
        };
        workshop.session().fold().readings.iter().rev().find(fits)
    }

    /// As it stands on the display.
    pub fn shown(&self, workshop: &Workshop) -> String {
        self.reading(workshop).map_or(NOTHING.to_string(), |found| shown_text(found.shown))
    }

    /// What is to be said beside it.
    pub fn remark(&self, workshop: &Workshop) -> String {
        self.reading(workshop).map_or(String::new(), |found| remark_text(&found))
    }

    /// Where, when and what was taken last.
    pub fn taken(&self, workshop: &Workshop) -> String {
        self.last(workshop).map_or(String::new(), |taken| {
            let (place, time) = (place_text(&taken.what), bench_time(taken.tick));
            t!("meter-taken", reading = shown_text(taken.measured.shown), place = place, time = time)
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::store::Command;
    use crate::store::fixture::workshop;

    fn first(workshop: &Workshop) -> Probes {
        Probes::first(&workshop.scenario().parts, &workshop.conductors()[0].id)
    }

    fn between(function: Function, from: &str, to: &str) -> Measurement {
        Measurement::parse(function.word(), &[from.to_string(), to.to_string()]).unwrap()
    }

    #[test]
    fn a_live_instrument_shows_at_once_and_a_tester_when_told() {
        let mut w = workshop();
        // 95-96 at rest: one contact of 10 mΩ, below what the meter's 0.1 Ω can tell.
        let meter = first(&w).put(&between(Function::Ohms, "FC1:95", "FC1:96"));
        assert_eq!(meter.shown(&w), "0.0\u{a0}Ω");
        let what = between(Function::Continuity, "FC1:95", "FC1:96");
        let tester = meter.put(&what);
        assert_eq!(tester.shown(&w), NOTHING);
        w.carry_out(Command::Measure(what)).unwrap();
        assert_eq!(tester.shown(&w), "0.01\u{a0}Ω");
        // The reading has cost its time.
        assert_eq!(w.session().tick(), 1_500);
    }

    #[test]
    fn a_probe_in_the_air_measures_nothing() {
        let w = workshop();
        for text in ["QA1", "", "QA1:14:2"] {
            let probes = first(&w).with_at(0, text);
            assert_eq!(probes.measurement(), None);
            assert_eq!(probes.shown(&w), NOTHING);
        }
        assert_eq!(first(&w).with_at(0, "QA1:99").shown(&w), NOTHING);
    }

    #[test]
    fn putting_an_instrument_on_gives_its_measurement_back() {
        let w = workshop();
        let three = ["QB1:2", "QB1:4", "QB1:6"].map(String::from);
        let mut all: Vec<Measurement> =
            Function::ALL.into_iter().map(|f| between(f, "KF1:I4", "KF1:CI2")).collect();
        all.push(Measurement::Clamp { conductor: "P01".into() });
        all.push(Measurement::parse("phase sequence", &three).unwrap());
        for what in all {
            assert_eq!(first(&w).put(&what).measurement(), Some(what));
        }
        assert_eq!(first(&w).put(&Measurement::ProvingUnit).instrument, Instrument::Detector);
    }

    #[test]
    fn an_unsafe_reading_says_why() {
        let mut w = workshop();
        w.carry_out(Command::Act(crate::store::model::BenchAct::Power(true))).unwrap();
        w.carry_out(Command::Step(100)).unwrap();
        let what = between(Function::Insulation, "QB1:2", "XE1:1");
        let probes = first(&w).put(&what);
        w.carry_out(Command::Measure(what)).unwrap();
        // 400 V / √3 to earth.
        assert!(probes.remark(&w).contains("230.9\u{a0}V"), "{}", probes.remark(&w));
        assert!(w.notice().is_some_and(|notice| notice.refused));
        assert_eq!(w.session().fold().unsafe_acts.len(), 1);
    }
}
