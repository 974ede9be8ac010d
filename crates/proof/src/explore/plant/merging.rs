//! Which controls may be moved at one tick of a quantum only, since every sample sequence that they can cause is caused at that
//! tick too.

use super::super::control::Mover;
use super::{Demoted, Plant};
use sealin_core::step::{channels_only, filter_ms};
use sealin_core::{Design, State};

/// Whether a mover may be merged at first: a control device that no formula names, with a filter that settles within a period
/// whatever bounces.
pub(super) fn mergeable(design: &Design, mover: &Mover, signals: &[usize], period: u32) -> bool {
    /// Ticks of bounce that a filter sees before its count begins.
    const BOUNCE: u32 = 2;
    let named = signals.iter().any(|&n| {
        let name = design.signals[n].name.as_str();
        name.split('.').next() == Some(mover.name.as_str())
    });
    mover.device.is_some() && !named && period > 1 && filter_ms(design) + BOUNCE <= period
}

impl Plant {
    /// Whether the merged controls still change nothing but channels of their own and lamps.
    pub(super) fn look_at_merging(&mut self, state: &State, struck: bool) -> Result<(), Demoted> {
        if !self.looked_at.insert((struck, state.key)) {
            return Ok(());
        }
        for m in 0..self.movers.len() {
            let Some(device) = self.movers[m].device.filter(|_| self.merged[m]) else { continue };
            let here = state.controls[device].position;
            for position in (1..=self.movers[m].levels() as u8).filter(|&p| p != here) {
                let body = &mut self.bodies[usize::from(struck)];
                let channels = channels_only(&body.design, state, &mut body.free, device, position);
                self.channels[m] |= channels.unwrap_or(u64::MAX);
                let others = self.channels.iter().enumerate().filter(|(k, _)| *k != m);
                let shared = others.fold(0, |all, (_, mask)| all | mask) & self.channels[m] != 0;
                if self.channels[m].count_ones() > 1 || shared {
                    self.merged[m] = false;
                    return Err(Demoted);
                }
            }
        }
        Ok(())
    }
}
