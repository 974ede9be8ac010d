//! The meter: what it is set to, and what it shows.

use crate::loop_strip::volts_text;
use crate::store::model::{Bench, Function, Reading, Terminal};
use crate::t;

/// Highest resistance that the meter can show, ohm; beyond it the circuit counts as open.
pub const MOST_OHMS: f64 = 50e6;

/// Where the two probes are and what is measured.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Probes {
    /// Terminals as written, such as `KF1:I4`.
    pub at: [String; 2],
    /// What is measured.
    pub function: Function,
}

impl Probes {
    /// The two terminals, where both are written out.
    pub fn terminals(&self) -> Option<(Terminal, Terminal)> {
        Some((Terminal::parse(&self.at[0])?, Terminal::parse(&self.at[1])?))
    }

    /// What the meter shows on this bench.
    pub fn shown(&self, bench: &Bench) -> Shown {
        let Some((a, b)) = self.terminals() else { return Shown::Nothing };
        let volts = |read: Option<f64>| read.map_or(Shown::Nothing, Shown::Volts);
        match self.function {
            Function::VoltsDc => volts(bench.meter_volts_dc(&a, &b)),
            Function::VoltsAc => volts(bench.meter_volts_ac(&a, &b)),
            Function::Ohms => match bench.meter_ohms(&a, &b) {
                Some(Ok(ohms)) if ohms > MOST_OHMS => Shown::Open,
                Some(Ok(ohms)) => Shown::Ohms(ohms),
                Some(Err(live)) => Shown::Live(live.millivolts),
                None => Shown::Nothing,
            },
        }
    }

    /// The reading for the record; none where a probe is in the air.
    pub fn reading(&self, bench: &Bench) -> Option<Reading> {
        let (from, to) = self.terminals()?;
        let shown = self.shown(bench);
        if shown == Shown::Nothing {
            return None;
        }
        Some(Reading { from, to, function: self.function, shown: shown.thousandths() })
    }
}

/// What the meter shows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Shown {
    /// A probe is in the air.
    Nothing,
    /// Volts.
    Volts(f64),
    /// Ohms.
    Ohms(f64),
    /// More ohms than it can show.
    Open,
    /// Ohms were asked for in a live circuit; the voltage found, mV.
    Live(u32),
}

impl Shown {
    /// The value in mV or milliohm, as it is recorded; none where there is no number.
    pub fn thousandths(self) -> Option<i64> {
        match self {
            Shown::Volts(value) | Shown::Ohms(value) => Some((value * 1000.0).round() as i64),
            Shown::Nothing | Shown::Open | Shown::Live(_) => None,
        }
    }

    /// As it stands on the display.
    pub fn text(self) -> String {
        match self {
            Shown::Nothing => "– – –".to_string(),
            Shown::Volts(volts) => volts_text(volts),
            Shown::Ohms(ohms) => ohms_text(ohms),
            Shown::Open => t!("meter-open").to_string(),
            Shown::Live(millivolts) => t!("meter-live", volts = volts_text(f64::from(millivolts) / 1000.0)),
        }
    }
}

/// Ohms with three figures or so and the unit that fits.
pub fn ohms_text(ohms: f64) -> String {
    let (value, unit) = match ohms {
        _ if ohms >= 1e6 => (ohms / 1e6, "MΩ"),
        _ if ohms >= 1e3 => (ohms / 1e3, "kΩ"),
        _ => (ohms, "Ω"),
    };
    let decimals = if value < 10.0 { 2 } else { usize::from(value < 100.0) };
    format!("{value:.decimals$} {unit}")
}

/// A recorded value as it was shown.
pub fn recorded_text(reading: &Reading) -> String {
    match (reading.shown, reading.function) {
        (None, _) => t!("meter-open").to_string(),
        (Some(milliohms), Function::Ohms) => ohms_text(milliohms as f64 / 1000.0),
        (Some(millivolts), _) => volts_text(millivolts as f64 / 1000.0),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::loop_strip::follow::tests::{conductors, parts};
    use crate::store::model::Plan;

    fn bench() -> Bench {
        let plan = Plan { parts: parts(), conductors: conductors(&[("QA1:14", "XD1:1")]), ..Plan::default() };
        Bench::new(plan).unwrap()
    }

    fn at(from: &str, to: &str, function: Function) -> Probes {
        Probes { at: [from.into(), to.into()], function }
    }

    #[test]
    fn ohms_tell_joined_from_open() {
        let joined = at("QA1:14", "XD1:2", Function::Ohms);
        assert!(matches!(joined.shown(&bench()), Shown::Ohms(ohms) if ohms < 0.1));
        let open = at("QA1:13", "QA1:14", Function::Ohms);
        assert_eq!(open.shown(&bench()), Shown::Open);
        assert_eq!(open.reading(&bench()).unwrap().shown, None);
    }

    #[test]
    fn a_probe_in_the_air_shows_nothing_and_records_nothing() {
        for probes in [at("QA1", "QA1:14", Function::VoltsDc), at("QA1:99", "QA1:14", Function::Ohms)] {
            assert_eq!(probes.shown(&bench()), Shown::Nothing);
            assert_eq!(probes.reading(&bench()), None);
        }
    }

    #[test]
    fn ohms_have_the_unit_that_fits() {
        let seen = [0.04, 12.34, 470.0, 4_700.0, 2.2e6].map(ohms_text);
        assert_eq!(seen, ["0.04 Ω", "12.3 Ω", "470 Ω", "4.70 kΩ", "2.20 MΩ"]);
    }
}
