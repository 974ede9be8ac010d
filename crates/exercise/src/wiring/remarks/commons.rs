//! Commons of a controller that lead nowhere.

use super::Remark;
use crate::wiring::circuit::Circuit;
use sealin_core::part::{Current, Kind, Part};
use sealin_core::plan::{Conductor, Terminal};

/// Groups of which a channel is wired, and the common is not as it should be.
pub fn commons(parts: &[Part], conductors: &[Conductor], circuit: &Circuit) -> Vec<Remark> {
    let wired = |t: &Terminal| conductors.iter().any(|c| c.from == *t || c.to == *t);
    let supplies = || parts.iter().filter(|p| matches!(p.kind, Kind::DcSupply(_)));
    let poles = |name: &str| supplies().map(|p| Terminal::new(&p.tag, name)).collect::<Vec<_>>();
    let (zero_volts, plus) = (poles("-"), poles("+"));
    let mut all = Vec::new();
    for part in parts {
        let Kind::Controller(controller) = &part.kind else { continue };
        let at = |name: &String| Terminal::new(&part.tag, name);
        // The pole that the common of an input group belongs to.
        let pole =
            |current| if current == Current::Sinking { ("0 V", &zero_volts) } else { ("+24 V", &plus) };
        let inputs =
            controller.inputs.iter().map(|g| (&g.common, &g.channels, Some(pole(g.circuit.current))));
        let outputs = controller.outputs.iter().map(|g| (&g.common, &g.channels, None));
        for (common, channels, pole) in inputs.chain(outputs) {
            let (Some(first), Some(last)) = (channels.first(), channels.last()) else { continue };
            if !channels.iter().any(|channel| wired(&at(channel))) {
                continue;
            }
            let common = at(common);
            let channels = (first.clone(), last.clone());
            match pole {
                // A fuse or breaker on the way does not part it from its pole.
                Some((pole, ends)) if !ends.iter().any(|end| circuit.same_when_closed(end, &common)) => {
                    let elsewhere = wired(&common);
                    all.push(Remark::InputCommonOpen { common, channels, pole, elsewhere });
                }
                None if !wired(&common) => all.push(Remark::OutputCommonOpen { common, channels }),
                _ => {}
            }
        }
    }
    all
}
