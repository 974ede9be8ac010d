//! Stores: parts that a learner takes by kind and type, where a job has its stores open.
//!
//! A part is written down by its kind, its type and the keys of the job (a lamp's colour, a timer's setting), in the words
//! of a scenario file, and built by the reader of scenario files: what a scenario refuses, stores refuse.

use crate::scenario::{Label, Scenario, types};
use sealin_core::canon::Writer;
use sealin_core::part::{Kind, Part, Place};

/// Most parts taken from stores at once.
pub const MOST_PARTS: usize = 100;

/// Most characters of the keys of the job, and of any other text of a part.
pub const MOST_TEXT: usize = 200;

/// A part as it was taken from stores.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StoresPart {
    /// Reference designation.
    pub tag: String,
    /// Kind, as a scenario file calls it.
    pub kind: String,
    /// Name of the type.
    pub model: String,
    /// Keys of the job in the form of a scenario file: `colour = "white"`.
    pub keys: String,
    /// What it is for.
    pub function: String,
    /// Where it is mounted.
    pub place: Place,
}

/// A kind of part that stores hold.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Family {
    /// As a scenario file calls it.
    pub kind: &'static str,
    /// Where it is mounted as a rule.
    pub place: Place,
    /// Class of its tag, IEC 81346-2.
    code: &'static str,
}

const fn family(kind: &'static str, code: &'static str, place: Place) -> Family {
    Family { kind, place, code }
}

/// All families, in the order of the way from supply to machine.
pub const FAMILIES: [Family; 16] = [
    family("supply", "XD", Place::Field),
    family("switchgear", "FC", Place::Panel),
    family("transformer", "TA", Place::Panel),
    family("DC supply", "TB", Place::Panel),
    family("controller", "KF", Place::Panel),
    family("relay", "KF", Place::Panel),
    family("timer relay", "KF", Place::Panel),
    family("contactor", "QA", Place::Panel),
    family("overload", "FC", Place::Panel),
    family("button", "SF", Place::Station),
    family("emergency stop", "SF", Place::Station),
    family("selector", "SF", Place::Station),
    family("lamp", "PF", Place::Station),
    family("motor", "MA", Place::Field),
    family("brake", "MZ", Place::Field),
    family("position switch", "BG", Place::Field),
];

impl Family {
    /// The family of a kind.
    pub fn of(kind: &str) -> Option<Family> {
        FAMILIES.into_iter().find(|family| family.kind == kind)
    }

    /// Names of its types, sorted.
    pub fn models(self) -> Vec<&'static str> {
        types::names(self.kind)
    }
}

/// The next free tag for a part: the class of the part, and the lowest number with which nothing is called yet.
pub fn next_tag(kind: &Kind, family: Family, taken: &[Part]) -> String {
    let code = match kind {
        // Isolating is another class than protecting.
        Kind::Switchgear(s) if s.protection == sealin_core::part::Protection::None => "QB",
        _ => family.code,
    };
    let free = |n: &u32| !taken.iter().any(|part| part.tag == format!("{code}{n}"));
    // There are fewer parts than numbers.
    format!("{code}{}", (1..).find(free).unwrap_or(1))
}

/// The word of a place in files.
pub fn place_word(place: Place) -> &'static str {
    match place {
        Place::Panel => "panel",
        Place::Station => "station",
        Place::Field => "field",
    }
}

/// The place that a word of a file means.
pub fn place_of(word: &str) -> Option<Place> {
    [Place::Panel, Place::Station, Place::Field].into_iter().find(|place| place_word(*place) == word)
}

impl StoresPart {
    /// The part itself, with what is written at it.
    ///
    /// # Errors
    /// What is wrong with it and what was expected.
    pub fn build(&self) -> Result<(Part, Label), String> {
        let family = Family::of(&self.kind).ok_or_else(|| format!("stores hold no `{}`", self.kind))?;
        if !family.models().contains(&self.model.as_str()) {
            return Err(format!("stores hold no {} `{}`", self.kind, self.model));
        }
        for text in [&self.tag, &self.keys, &self.function] {
            if text.chars().count() > MOST_TEXT {
                return Err(format!("a text of at most {MOST_TEXT} characters is expected"));
            }
        }
        if self.function.chars().chain(self.tag.chars()).any(|c| c.is_control() || matches!(c, '"' | '\\')) {
            return Err("a text without quotes and signs of control is expected".to_string());
        }
        let StoresPart { tag, kind, model, keys, function, place } = self;
        let place = place_word(*place);
        let text = format!(
            "tag = \"{tag}\"\nfunction = \"{function}\"\nplace = \"{place}\"\nkind = \"{kind}\"\ntype = \"{model}\"\nrating = \"{model}\"\n{keys}\n"
        );
        Scenario::device(&text)
            .map_err(|problems| problems.first().map_or_else(String::new, |problem| problem.message.clone()))
    }

    /// Canonical bytes.
    pub(crate) fn write(&self, w: &mut Writer) {
        let StoresPart { tag, kind, model, keys, function, place } = self;
        w.str(tag).str(kind).str(model).str(keys).str(function).str(place_word(*place));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn part(kind: &str, model: &str, keys: &str) -> StoresPart {
        StoresPart {
            tag: "X1".into(),
            kind: kind.into(),
            model: model.into(),
            keys: keys.into(),
            function: "trial".into(),
            place: Place::Panel,
        }
    }

    /// Everything on the shelves can be taken: each type of each family, with the keys that the job has to give.
    #[test]
    fn all_types_can_be_taken() {
        let mut count = 0;
        for family in FAMILIES {
            let keys = match family.kind {
                "lamp" => "colour = \"white\"",
                "timer relay" => "time_ms = 500",
                "position switch" => "motor = \"MA1\"\nfrom_um = 0\nto_um = 1000",
                "brake" => "motor = \"MA1\"",
                _ => "",
            };
            for model in family.models() {
                let built = part(family.kind, model, keys).build();
                let (built, label) = built.unwrap_or_else(|e| panic!("{} {model}: {e}", family.kind));
                assert_eq!((built.tag.as_str(), label.rating.as_str()), ("X1", model));
                count += 1;
            }
        }
        // 141 tables under `types/`, of which 5 are machines, which are no parts.
        assert_eq!(count, 136);
    }

    #[test]
    fn what_stores_do_not_hold_is_refused() {
        let refused = |part: StoresPart, why: &str| {
            let told = part.build().unwrap_err();
            assert!(told.contains(why), "{told}");
        };
        refused(part("dynamo", "small", ""), "stores hold no `dynamo`");
        refused(part("machine", "conveyor", ""), "stores hold no `machine`");
        refused(part("lamp", "9 A, coil 230 V AC", ""), "stores hold no lamp");
        let contactor = "9 A, coil 230 V AC";
        refused(part("contactor", contactor, "colour = \"red\""), "`colour` is not known here");
        refused(part("contactor", contactor, "tag = \"QA2\""), "not valid TOML");
        refused(part("contactor", contactor, "[x]"), "`x` is not known here");
        refused(part("contactor", contactor, &" ".repeat(201)), "at most 200");
        refused(
            StoresPart { function: "a\"\nb".into(), ..part("contactor", contactor, "") },
            "without quotes",
        );
        refused(StoresPart { tag: "Q-1".into(), ..part("contactor", contactor, "") }, "a tag of letters");
    }

    #[test]
    fn tags_by_class_and_lowest_free_number() {
        let taken = |tags: &[&str]| -> Vec<Part> {
            let (built, _) = part("contactor", "9 A, coil 230 V AC", "").build().unwrap();
            tags.iter().map(|tag| Part { tag: tag.to_string(), ..built.clone() }).collect()
        };
        let next = |kind: &str, tags: &[&str]| {
            let family = Family::of(kind).unwrap();
            let keys = if kind == "lamp" { "colour = \"red\"" } else { "" };
            let (built, _) = part(kind, family.models()[0], keys).build().unwrap();
            next_tag(&built.kind, family, &taken(tags))
        };
        assert_eq!(next("contactor", &[]), "QA1");
        assert_eq!(next("contactor", &["QA1", "QA2", "QA4"]), "QA3");
        assert_eq!(next("lamp", &["QA1"]), "PF1");
        assert_eq!(next("overload", &["FC1"]), "FC2");
        let (isolator, _) = part("switchgear", "disconnector 32 A, 3 poles", "").build().unwrap();
        let switchgear = Family::of("switchgear").unwrap();
        assert_eq!(next_tag(&isolator.kind, switchgear, &taken(&["QB1"])), "QB2");
        let (fuse, _) = part("switchgear", "gG 25 A, 3 poles", "").build().unwrap();
        assert_eq!(next_tag(&fuse.kind, switchgear, &taken(&["QB1"])), "FC1");
    }
}
