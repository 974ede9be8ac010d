//! What a person has chosen from stores: family, type, and what the job has to say of it.

use crate::store::model::{Kind, Part, Place};
use crate::t;
use crate::text::device::kind_and_function;
use sealin_exercise::scenario::types;
use sealin_exercise::stores::{FAMILIES, Family, StoresPart, next_tag};

/// A part in the making.
#[derive(Clone, Debug, PartialEq)]
pub struct Choice {
    /// Its family.
    pub family: Family,
    /// Its type.
    pub model: String,
    /// What it is for.
    pub function: String,
    /// Where it goes.
    pub place: Place,
    /// Colour of a lamp.
    pub colour: String,
    /// Setting of a timer relay, ms.
    pub time_ms: u32,
    /// The motor that works a position switch, or that a brake holds.
    pub motor: String,
    /// Where a position switch is actuated, µm of the way.
    pub from_um: u32,
    /// Where that ends.
    pub to_um: u32,
    /// What a motor turns; empty for a plain load.
    pub machine: String,
    /// The contactor that a contactor is interlocked with; empty for none.
    pub interlock: String,
}

/// Colours of lamps, IEC 60073.
pub const COLOURS: [&str; 5] = ["white", "red", "yellow", "green", "blue"];

impl Choice {
    /// The first type of a family, where it belongs.
    pub fn of(family: Family) -> Choice {
        Choice {
            family,
            model: family.models().first().copied().unwrap_or_default().to_string(),
            function: String::new(),
            place: family.place,
            colour: COLOURS[0].to_string(),
            time_ms: 1_000,
            motor: String::new(),
            from_um: 0,
            to_um: 10_000,
            machine: String::new(),
            interlock: String::new(),
        }
    }

    /// What is on the counter at first: a contactor.
    pub fn first() -> Choice {
        Choice::of(Family::of("contactor").unwrap_or(FAMILIES[0]))
    }

    /// It needs a motor that is there.
    pub fn needs_motor(&self) -> bool {
        matches!(self.family.kind, "brake" | "position switch")
    }

    /// Tags of the motors that it can go with: a position switch needs one whose machine moves along a way.
    pub fn motors(&self, parts: &[Part]) -> Vec<String> {
        match self.family.kind {
            "position switch" => {
                tags(parts, |kind| matches!(kind, Kind::Motor(motor) if motor.machine.travel.is_some()))
            }
            _ => tags(parts, |kind| matches!(kind, Kind::Motor(_))),
        }
    }

    /// What motors can turn.
    pub fn machines() -> Vec<&'static str> {
        types::names("machine")
    }

    fn keys(&self) -> String {
        match self.family.kind {
            "lamp" => format!("colour = \"{}\"", self.colour),
            "timer relay" => format!("time_ms = {}", self.time_ms),
            "brake" => format!("motor = \"{}\"", self.motor),
            "position switch" => {
                format!("motor = \"{}\"\nfrom_um = {}\nto_um = {}", self.motor, self.from_um, self.to_um)
            }
            "motor" if !self.machine.is_empty() => format!("machine = \"{}\"", self.machine),
            "contactor" if !self.interlock.is_empty() => format!("interlocked_with = \"{}\"", self.interlock),
            _ => String::new(),
        }
    }

    /// The part with the next free tag, and what it is.
    ///
    /// # Errors
    /// What is wrong with it and what was expected.
    pub fn part(&self, parts: &[Part]) -> Result<(StoresPart, Kind), String> {
        let mut stores = StoresPart {
            tag: "X0".to_string(),
            kind: self.family.kind.to_string(),
            model: self.model.clone(),
            keys: self.keys(),
            function: self.function.trim().to_string(),
            place: self.place,
        };
        if self.needs_motor() && self.motor.is_empty() {
            let brake = self.family.kind == "brake";
            return Err(if brake { t!("stores-no-motor") } else { t!("stores-no-way") }.to_string());
        }
        let built = stores.build()?.0;
        if stores.function.is_empty() {
            // What is for nothing in particular is told by its kind, wherever tag and function are its name.
            stores.function = kind_and_function(&built);
        }
        let kind = built.kind;
        stores.tag = next_tag(&kind, self.family, parts);
        Ok((stores, kind))
    }
}

/// Tags of the parts of a kind.
pub fn tags(parts: &[Part], fits: fn(&Kind) -> bool) -> Vec<String> {
    parts.iter().filter(|part| fits(&part.kind)).map(|part| part.tag.clone()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Whatever is chosen can be taken once there is a motor.
    #[test]
    fn the_first_of_each_family_can_be_taken() {
        let mut parts = Vec::new();
        for family in FAMILIES {
            let choice = Choice { motor: "MA1".into(), ..Choice::of(family) };
            let (stores, _) = choice.part(&parts).unwrap_or_else(|e| panic!("{}: {e}", family.kind));
            assert_eq!(stores.place, family.place);
            assert_ne!(stores.function, "", "{}", family.kind);
            parts.push(stores.build().unwrap().0);
        }
        let tags: Vec<&str> = parts.iter().map(|part| part.tag.as_str()).collect();
        // By hand, from the classes of IEC 81346-2 that the project uses; breakers come before disconnectors by name.
        let wanted = [
            "XD1", "FC1", "TA1", "TB1", "KF1", "KF2", "KF3", "QA1", "FC2", "SF1", "SF2", "SF3", "PF1", "MA1",
            "MZ1", "BG1",
        ];
        assert_eq!(tags, wanted);
    }

    /// By the machines' data: a fan has no way, the winch of a slipway has one.
    #[test]
    fn a_position_switch_goes_with_what_moves_along_a_way() {
        let family = |kind| Family::of(kind).unwrap();
        let switch = Choice::of(family("position switch"));
        assert_eq!(switch.part(&[]), Err(t!("stores-no-way").to_string()));
        let mut parts = Vec::new();
        for machine in ["", "slipway winch, 6 t on 60 m"] {
            let motor = Choice { machine: machine.into(), ..Choice::of(family("motor")) };
            parts.push(motor.part(&parts).unwrap().0.build().unwrap().0);
        }
        assert_eq!(switch.motors(&parts), ["MA2"]);
        assert_eq!(Choice::of(family("brake")).motors(&parts), ["MA1", "MA2"]);
    }

    #[test]
    fn what_the_job_says_is_in_the_part() {
        let family = |kind| Family::of(kind).unwrap();
        let lamp = Choice { colour: "red".into(), ..Choice::of(family("lamp")) };
        assert_eq!(lamp.part(&[]).unwrap().0.keys, "colour = \"red\"");
        let timer = Choice { time_ms: 2_500, ..Choice::of(family("timer relay")) };
        let Kind::Relay(relay) = timer.part(&[]).unwrap().1 else { panic!() };
        assert_eq!(relay.timing.unwrap().setting_ms, 2_500);
        let locked = Choice { interlock: "QA1".into(), ..Choice::first() };
        let Kind::Contactor(contactor) = locked.part(&[]).unwrap().1 else { panic!() };
        assert_eq!(contactor.interlocked_with.as_deref(), Some("QA1"));
    }
}
