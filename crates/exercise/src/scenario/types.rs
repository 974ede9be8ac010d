//! Types: typical figures of a kind of device, in one TOML file a kind under `types/`. A device names one by
//! `type = "…"` and takes its keys unless it gives its own.

use std::sync::OnceLock;
use toml::de::{DeTable, DeValue};

/// The kinds that have types, with their files. A line here and a file under `types/` gives a kind its types; a kind may
/// have several files. A machine is no device: a motor names one besides its type.
const FILES: &[(&str, &str)] = &[
    ("supply", include_str!("types/supply.toml")),
    ("switchgear", include_str!("types/disconnector.toml")),
    ("switchgear", include_str!("types/fuse.toml")),
    ("switchgear", include_str!("types/breaker.toml")),
    ("switchgear", include_str!("types/motor-breaker.toml")),
    ("contactor", include_str!("types/contactor.toml")),
    ("overload", include_str!("types/overload.toml")),
    ("transformer", include_str!("types/transformer.toml")),
    ("DC supply", include_str!("types/dc-supply.toml")),
    ("controller", include_str!("types/controller.toml")),
    ("button", include_str!("types/button.toml")),
    ("lamp", include_str!("types/lamp.toml")),
    ("motor", include_str!("types/motor.toml")),
    ("machine", include_str!("types/machine.toml")),
    ("emergency stop", include_str!("types/emergency-stop.toml")),
    ("selector", include_str!("types/selector.toml")),
    ("position switch", include_str!("types/position-switch.toml")),
    ("brake", include_str!("types/brake.toml")),
    ("relay", include_str!("types/relay.toml")),
    ("timer relay", include_str!("types/timer-relay.toml")),
];

/// All files, read once; one that is no TOML has no types (a test reads each).
fn tables() -> &'static Vec<(&'static str, DeTable<'static>)> {
    static TABLES: OnceLock<Vec<(&'static str, DeTable<'static>)>> = OnceLock::new();
    TABLES.get_or_init(|| {
        let read = |text| DeTable::parse(text).map(|t| t.into_inner()).unwrap_or_default();
        FILES.iter().map(|&(kind, text)| (kind, read(text))).collect()
    })
}

/// Names of the types of a kind of device, sorted.
pub fn names(kind: &str) -> Vec<&'static str> {
    let of = tables().iter().filter(|(k, _)| *k == kind);
    let mut all: Vec<&str> = of.flat_map(|(_, t)| t.keys().map(|k| k.get_ref().as_ref())).collect();
    all.sort_unstable();
    all
}

/// The keys of a type of a kind of device.
pub(super) fn find(kind: &str, name: &str) -> Option<&'static DeTable<'static>> {
    let mut all = tables().iter().filter(|(k, _)| *k == kind).flat_map(|(_, t)| t.iter());
    let (_, value) = all.find(|(k, _)| k.get_ref() == name)?;
    match value.get_ref() {
        DeValue::Table(table) => Some(table),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::super::device::device_of;
    use super::*;
    use sealin_core::part::Kind;

    /// Keys that belong to the job and not to the kind of device: where it is and what it is set to.
    fn own_keys(kind: &str) -> &'static str {
        match kind {
            "timer relay" => "time_ms = 500",
            "lamp" => "colour = \"white\"",
            "position switch" => "motor = \"MA1\"\nfrom_um = 0\nto_um = 1",
            "brake" => "motor = \"MA1\"",
            _ => "",
        }
    }

    /// Each type makes a whole device of its kind without a further key but those of the job, every key of it is one that
    /// the kind knows, and it says where its figures come from. A device can be built of it.
    #[test]
    fn every_type_makes_a_device() {
        for (kind, text) in FILES {
            DeTable::parse(text).unwrap_or_else(|e| panic!("{kind}: {e}"));
        }
        let mut kinds: Vec<&str> = FILES.iter().map(|(kind, _)| *kind).collect();
        kinds.dedup();
        for kind in kinds {
            let all = names(kind);
            assert!(!all.is_empty(), "{kind}");
            assert!(all.windows(2).all(|pair| pair[0] != pair[1]), "{kind}: a name is there twice");
            for name in all {
                let own = find(kind, name).unwrap();
                let source =
                    own.iter().find(|(k, _)| k.get_ref() == "source").and_then(|(_, v)| v.get_ref().as_str());
                assert!(source.is_some_and(|s| s.len() > 10), "{kind} {name}");
                let lines = match kind {
                    "machine" => {
                        format!("kind = \"motor\"\ntype = \"4 kW 400 V 50 Hz\"\nmachine = \"{name}\"\n")
                    }
                    _ => format!("kind = \"{kind}\"\ntype = \"{name}\"\n{}\n", own_keys(kind)),
                };
                let (problems, known, built) = device_of(&lines);
                assert!(problems.is_empty(), "{kind} {name}: {problems:?}");
                for (key, _) in own.iter().filter(|(k, _)| k.get_ref() != "source") {
                    assert!(known.contains(&key.get_ref().to_string()), "{kind} {name}: {}", key.get_ref());
                }
                built.unwrap_or_else(|e| panic!("{kind} {name}: {e}"));
            }
        }
    }

    /// A key of the device goes before that of its type, and the type's before what is usual; the two types of a motor,
    /// its own and its machine's, add up.
    #[test]
    fn own_keys_go_before_those_of_the_type() {
        let lines =
            "kind = \"motor\"\ntype = \"5 hp 460 V 60 Hz\"\nmachine = \"pump\"\nload_friction_mnm = 900\n";
        let (_, _, built) = device_of(lines);
        let Kind::Motor(m) = built.unwrap() else { panic!() };
        assert_eq!((m.rated_ma, m.load_friction_mnm, m.machine.load_fan_mnm), (6_300, 900, 22_000));
        let (problems, ..) = device_of("kind = \"motor\"\ntype = \"4 kW 400 V 50 Hz\"\nmachine = \"mill\"\n");
        assert!(problems[0].message.contains("`mill` is no type of a machine; there is: \"conveyor\""));
    }
}
