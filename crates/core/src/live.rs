//! What is live: whether a hand that takes a part out would touch a dangerous voltage.

use crate::bench::Bench;
use crate::part::Kind;
use crate::plan::Terminal;
use std::fmt;

/// Lowest voltage that counts as dangerous, V: limits of extra-low voltage, AC RMS and DC (IEC 60364-4-41, 414.1.1).
pub const DANGEROUS_VOLTS: (f64, f64) = (50.0, 120.0);

/// A dangerous voltage at a part.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Live {
    /// Terminal of the part.
    pub at: Terminal,
    /// To which terminal: another of the part, or the protective conductor of the supply.
    pub to: Terminal,
    /// Voltage, mV: RMS of AC, or DC.
    pub millivolts: u32,
}

impl fmt::Display for Live {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} V stand between {} and {}", (self.millivolts + 500) / 1000, self.at, self.to)
    }
}

impl Bench {
    /// The highest dangerous voltage at the terminals of a part, to each other and to earth; none where it is dead.
    pub fn live(&self, tag: &str) -> Option<Live> {
        let part = self.design.part(tag)?;
        let own: Vec<Terminal> = part.terminals().iter().map(|name| Terminal::new(tag, name)).collect();
        let supply = self.design.parts.iter().find(|p| matches!(p.kind, Kind::Supply(_)));
        let earth = supply.map(|s| Terminal::new(&s.tag, "PE"));
        let mut worst: Option<(f64, Live)> = None;
        for (k, at) in own.iter().enumerate() {
            for to in own[k + 1..].iter().chain(&earth) {
                let (Some(ac), Some(dc)) = (self.volts_ac(at, to), self.volts_dc(at, to)) else { continue };
                let (ac_part, dc_part) = (ac / DANGEROUS_VOLTS.0, dc.abs() / DANGEROUS_VOLTS.1);
                let (part, volts) = if ac_part > dc_part { (ac_part, ac) } else { (dc_part, dc.abs()) };
                if part > 1.0 && worst.as_ref().is_none_or(|(most, _)| part > *most) {
                    let millivolts = (volts * 1000.0) as u32;
                    worst = Some((part, Live { at: at.clone(), to: to.clone(), millivolts }));
                }
            }
        }
        worst.map(|(_, live)| live)
    }
}
