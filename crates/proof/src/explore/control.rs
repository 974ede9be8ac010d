//! What may move by itself in a proof: buttons, latches, supplies, switches, each with its levels.

use sealin_core::part::{Actuator, Kind};
use sealin_core::step::{control_number, free_signal};
use sealin_core::{BenchAct, Design, State};

/// A thing that may change its level at any tick, once a quantum.
#[derive(Clone, Debug)]
pub(super) struct Mover {
    /// As a scenario names it: `SF2`, `FC1` for the latch of an overload, `FC1.stop`, `power`, `FC4`.
    pub name: String,
    /// The act that brings it to a level, and the signal and its value that tell that it is there.
    levels: Vec<(BenchAct, usize, bool)>,
    /// Number among the control devices, if it is one.
    pub device: Option<usize>,
}

impl Mover {
    /// The level it is at.
    pub fn level(&self, design: &Design, state: &State) -> usize {
        if let Some(device) = self.device {
            // Where a hand has it, stuck or not.
            return usize::from(state.controls[device].position) - 1;
        }
        let there =
            |(_, signal, value): &&(BenchAct, usize, bool)| free_signal(design, state, *signal) == *value;
        self.levels.iter().position(|level| there(&level)).unwrap_or(0)
    }

    /// Number of its levels.
    pub fn levels(&self) -> usize {
        self.levels.len()
    }

    /// What brings it to a level.
    pub fn act(&self, level: usize) -> &BenchAct {
        &self.levels[level].0
    }
}

/// What moves where nothing else is said: every control device, latch, reset and stop actuator of every overload, and the
/// supply of the job.
pub fn default_free(design: &Design) -> Vec<String> {
    let mut all = Vec::new();
    for part in &design.parts {
        match &part.kind {
            Kind::Control(_) => all.push(part.tag.clone()),
            Kind::Overload(_) => all.extend([part.tag.clone(), format!("{}.stop", part.tag)]),
            _ => {}
        }
    }
    if design.parts.iter().any(|part| matches!(part.kind, Kind::Supply(_))) {
        all.push("power".to_string());
    }
    all
}

/// Whether a name is that of something that can move by itself. The error says what may be named.
pub fn can_move(design: &Design, name: &str) -> Result<(), String> {
    mover(design, name).map(|_| ())
}

/// Finds what a name means. The error says what may be named.
pub(super) fn mover(design: &Design, name: &str) -> Result<Mover, String> {
    let wrong = || {
        let mut names = default_free(design);
        let switches = design.parts.iter().filter(|part| matches!(part.kind, Kind::Switchgear(_)));
        names.extend(switches.map(|part| part.tag.clone()));
        format!("`{name}` cannot move by itself; there is: {}", names.join(", "))
    };
    let signal = |name: String| design.signal(&name).ok_or_else(wrong);
    let two = |off: BenchAct, on: BenchAct, signal: usize| vec![(off, signal, false), (on, signal, true)];
    if name == "power" {
        let supply =
            design.parts.iter().find(|part| matches!(part.kind, Kind::Supply(_))).ok_or_else(wrong)?;
        let levels =
            two(BenchAct::Power(false), BenchAct::Power(true), signal(format!("{}.on", supply.tag))?);
        return Ok(Mover { name: name.to_string(), levels, device: None });
    }
    let tag = name.strip_suffix(".stop").unwrap_or(name);
    let part = design.part(tag).ok_or_else(wrong)?;
    let named = || name.to_string();
    let levels = match &part.kind {
        Kind::Overload(_) if tag != name => {
            two(BenchAct::Release(named()), BenchAct::Press(named()), signal(named())?)
        }
        Kind::Overload(_) => {
            two(BenchAct::Reset(named()), BenchAct::Trip(named()), signal(format!("{tag}.tripped"))?)
        }
        _ if tag != name => return Err(wrong()),
        Kind::Control(control) => match control.actuator {
            Actuator::Button | Actuator::EmergencyStop => {
                two(BenchAct::Release(named()), BenchAct::Press(named()), signal(format!("{tag}.pressed"))?)
            }
            Actuator::Selector { .. } => {
                let mut levels = Vec::new();
                for position in 1..=control.positions() {
                    let here = signal(format!("{tag}.position{position}"))?;
                    levels.push((BenchAct::Turn(named(), position), here, true));
                }
                levels
            }
        },
        Kind::Switchgear(_) => {
            two(BenchAct::Open(named()), BenchAct::Close(named()), signal(format!("{tag}.closed"))?)
        }
        _ => return Err(wrong()),
    };
    Ok(Mover { name: named(), levels, device: control_number(design, tag) })
}
