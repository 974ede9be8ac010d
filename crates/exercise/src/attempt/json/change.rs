//! A change of the design in the attempt file.

use super::super::*;
use super::{bounded, terminal};
use crate::stores::{place_of, place_word};
use sealin_core::plan::Insulation;
use serde::{Deserialize, Serialize};

#[derive(Serialize, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub(super) enum ChangeDoc {
    Add(ConductorDoc),
    Remove(ConductorDoc),
    Alter { before: ConductorDoc, after: ConductorDoc },
    Program { at: u32, removed: String, inserted: String },
    Dial { part: String, before: u32, after: u32 },
    Set { part: String, before: String, after: String },
    Mount(MountedDoc),
    Unmount(MountedDoc),
    Move { before: PartDoc, after: PartDoc },
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct MountedDoc {
    part: PartDoc,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    conductors: Vec<ConductorDoc>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    dial: Option<u32>,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct PartDoc {
    tag: String,
    kind: String,
    #[serde(rename = "type")]
    model: String,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    keys: String,
    function: String,
    place: String,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct ConductorDoc {
    id: String,
    from: String,
    to: String,
    /// Hundredths of mm².
    section: u32,
    colour: String,
    number: String,
}

impl ChangeDoc {
    pub fn of(change: &Change) -> ChangeDoc {
        match change.clone() {
            Change::Add(c) => ChangeDoc::Add(ConductorDoc::of(c)),
            Change::Remove(c) => ChangeDoc::Remove(ConductorDoc::of(c)),
            Change::Alter { before, after } => {
                ChangeDoc::Alter { before: ConductorDoc::of(before), after: ConductorDoc::of(after) }
            }
            Change::Program { at, removed, inserted } => ChangeDoc::Program { at, removed, inserted },
            Change::Dial { part, before_ma, after_ma } => {
                ChangeDoc::Dial { part, before: before_ma, after: after_ma }
            }
            Change::Set { part, before, after } => {
                ChangeDoc::Set { part, before: before.word().to_string(), after: after.word().to_string() }
            }
            Change::Mount(mounted) => ChangeDoc::Mount(MountedDoc::of(mounted)),
            Change::Unmount(mounted) => ChangeDoc::Unmount(MountedDoc::of(mounted)),
            Change::Move { before, after } => {
                ChangeDoc::Move { before: PartDoc::of(before), after: PartDoc::of(after) }
            }
        }
    }

    pub fn change(self) -> Result<Change, String> {
        Ok(match self {
            ChangeDoc::Add(c) => Change::Add(c.conductor()?),
            ChangeDoc::Remove(c) => Change::Remove(c.conductor()?),
            ChangeDoc::Alter { before, after } => {
                Change::Alter { before: before.conductor()?, after: after.conductor()? }
            }
            ChangeDoc::Program { at, removed, inserted } => {
                if removed.len() > MOST_PROGRAM_BYTES || inserted.len() > MOST_PROGRAM_BYTES {
                    return Err(format!("a program has at most {MOST_PROGRAM_BYTES} bytes"));
                }
                Change::Program { at, removed, inserted }
            }
            ChangeDoc::Dial { part, before, after } => {
                Change::Dial { part: bounded(part, "a tag")?, before_ma: before, after_ma: after }
            }
            ChangeDoc::Set { part, before, after } => Change::Set {
                part: bounded(part, "a tag")?,
                before: Setting::parse(&bounded(before, "a setting")?)?,
                after: Setting::parse(&bounded(after, "a setting")?)?,
            },
            ChangeDoc::Mount(mounted) => Change::Mount(mounted.mounted()?),
            ChangeDoc::Unmount(mounted) => Change::Unmount(mounted.mounted()?),
            ChangeDoc::Move { before, after } => {
                Change::Move { before: before.part()?, after: after.part()? }
            }
        })
    }
}

impl MountedDoc {
    fn of(mounted: Mounted) -> MountedDoc {
        MountedDoc {
            part: PartDoc::of(mounted.part),
            conductors: mounted.conductors.into_iter().map(ConductorDoc::of).collect(),
            dial: mounted.dial_ma,
        }
    }

    fn mounted(self) -> Result<Mounted, String> {
        let conductors = self.conductors.into_iter().map(ConductorDoc::conductor);
        Ok(Mounted {
            part: self.part.part()?,
            conductors: conductors.collect::<Result<Vec<_>, _>>()?,
            dial_ma: self.dial,
        })
    }
}

impl PartDoc {
    fn of(part: StoresPart) -> PartDoc {
        let StoresPart { tag, kind, model, keys, function, place } = part;
        PartDoc { tag, kind, model, keys, function, place: place_word(place).to_string() }
    }

    fn part(self) -> Result<StoresPart, String> {
        Ok(StoresPart {
            tag: bounded(self.tag, "a tag")?,
            kind: bounded(self.kind, "a kind")?,
            model: bounded(self.model, "a type")?,
            keys: bounded(self.keys, "the keys of a part")?,
            function: bounded(self.function, "a function")?,
            place: place_of(&self.place)
                .ok_or_else(|| format!("`{}`: panel, station or field is expected", self.place))?,
        })
    }
}

impl ConductorDoc {
    fn of(c: Conductor) -> ConductorDoc {
        ConductorDoc {
            id: c.id,
            from: c.from.to_string(),
            to: c.to.to_string(),
            section: c.section_mm2_x100,
            colour: c.colour.word().to_string(),
            number: c.number,
        }
    }

    fn conductor(self) -> Result<Conductor, String> {
        Ok(Conductor {
            id: bounded(self.id, "a conductor's id")?,
            from: terminal(&self.from)?,
            to: terminal(&self.to)?,
            section_mm2_x100: self.section,
            colour: Insulation::parse(&self.colour)
                .ok_or_else(|| format!("`{}` is no insulation colour of the bench", self.colour))?,
            number: bounded(self.number, "a wire number")?,
        })
    }
}
