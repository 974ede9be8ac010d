//! Settings of devices that a scenario leaves to the learner, dials aside: how an overload relay resets, and whether two contactors
//! stand under a mechanical interlock.

use sealin_core::part::{Kind, Part, Reset};

/// How a device is set or fitted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Setting {
    /// How the latch of an overload relay goes back.
    Reset(Reset),
    /// Whether the mechanical interlock is fitted.
    Interlock(bool),
}

/// What a learner may set at a device.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Adjustment {
    /// How an overload relay resets.
    Reset,
    /// The mechanical interlock between this contactor and the one of this tag.
    Interlock(String),
}

impl Setting {
    /// All of them.
    pub const ALL: [Setting; 4] = [
        Setting::Reset(Reset::Manual),
        Setting::Reset(Reset::Automatic),
        Setting::Interlock(true),
        Setting::Interlock(false),
    ];

    /// The words in files.
    pub fn word(self) -> &'static str {
        match self {
            Setting::Reset(Reset::Manual) => "manual reset",
            Setting::Reset(Reset::Automatic) => "automatic reset",
            Setting::Interlock(true) => "interlock fitted",
            Setting::Interlock(false) => "no interlock",
        }
    }

    /// Reads [`Setting::word`].
    ///
    /// # Errors
    /// Which words there are.
    pub fn parse(text: &str) -> Result<Setting, String> {
        let found = Setting::ALL.into_iter().find(|setting| setting.word() == text);
        found.ok_or_else(|| {
            format!("`{text}`: one of {} is expected", Setting::ALL.map(Setting::word).join(", "))
        })
    }
}

impl Adjustment {
    /// How it stands among these parts; `None` where the device or the other contactor is not there, or is another kind of device.
    pub fn now(&self, parts: &[Part], tag: &str) -> Option<Setting> {
        let kind = |tag: &str| parts.iter().find(|part| part.tag == tag).map(|part| &part.kind);
        match (self, kind(tag)?) {
            (Adjustment::Reset, Kind::Overload(overload)) => Some(Setting::Reset(overload.reset)),
            (Adjustment::Interlock(other), Kind::Contactor(contactor)) if other != tag => {
                let Kind::Contactor(_) = kind(other)? else { return None };
                Some(Setting::Interlock(contactor.interlocked_with.as_ref() == Some(other)))
            }
            _ => None,
        }
    }

    /// Whether the device can be set so.
    pub fn takes(&self, setting: Setting) -> bool {
        matches!(
            (self, setting),
            (Adjustment::Reset, Setting::Reset(_)) | (Adjustment::Interlock(_), Setting::Interlock(_))
        )
    }

    /// Sets the device among these parts. An interlock is one piece between two contactors: both have it, or none.
    pub fn set(&self, parts: &mut [Part], tag: &str, setting: Setting) {
        for part in parts {
            match (&mut part.kind, self, setting) {
                (Kind::Overload(overload), Adjustment::Reset, Setting::Reset(reset)) if part.tag == tag => {
                    overload.reset = reset;
                }
                (Kind::Contactor(contactor), Adjustment::Interlock(other), Setting::Interlock(fitted)) => {
                    let partner = match &part.tag {
                        own if own == tag => other,
                        own if own == other => tag,
                        _ => continue,
                    };
                    contactor.interlocked_with = fitted.then(|| partner.to_string());
                }
                _ => {}
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_word_reads_back() {
        for setting in Setting::ALL {
            assert_eq!(Setting::parse(setting.word()), Ok(setting));
        }
        assert!(Setting::parse("reset").unwrap_err().contains("manual reset, automatic reset"));
    }
}
