//! A fault in words.

use crate::store::model::Fault;
use crate::t;

/// What is wrong, without saying where.
pub fn what(fault: &Fault) -> String {
    match fault {
        Fault::ConductorOpen { .. } => t!("fault-conductor-open").into(),
        Fault::StuckOpen { contact, .. } => t!("fault-stuck-open", contact = contact),
        Fault::StuckClosed { contact, .. } => t!("fault-stuck-closed", contact = contact),
        Fault::PolesWelded { .. } => t!("fault-poles-welded").into(),
        Fault::CoilOpen { .. } => t!("fault-coil-open").into(),
        Fault::ChannelDead { input, .. } => t!("fault-channel-dead", input = input),
        Fault::ButtonStuck { .. } => t!("fault-button-stuck").into(),
        Fault::ContactDirty { contact, ohms, .. } => {
            let ohms = if *ohms < 1_000 {
                format!("{ohms}\u{a0}Ω")
            } else {
                crate::text::quantity::thousandths(u64::from(*ohms), "kΩ")
            };
            t!("fault-dirty", contact = contact, ohms = ohms)
        }
    }
}

/// The part or conductor that it is on.
pub fn place(fault: &Fault) -> &str {
    match fault {
        Fault::ConductorOpen { conductor } => conductor,
        Fault::StuckOpen { part, .. }
        | Fault::StuckClosed { part, .. }
        | Fault::PolesWelded { part }
        | Fault::CoilOpen { part }
        | Fault::ChannelDead { part, .. }
        | Fault::ButtonStuck { part }
        | Fault::ContactDirty { part, .. } => part,
    }
}
