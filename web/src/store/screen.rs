//! What the screen shows of the work: sheet, selection, theme, drawer. A pure reducer.

use super::model::{Scenario, Terminal};

/// A sheet of the drawing set, in order.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub enum Sheet {
    /// The job sheet.
    #[default]
    Brief,
    /// Panel, field and wiring schedule.
    Wiring,
    /// What is wired as current paths.
    Circuit,
    /// I/O list, rungs and structured text.
    Program,
    /// The machine running.
    Commissioning,
    /// Every single fault against every requirement.
    FaultTable,
    /// Set and clear faults.
    Faults,
    /// Marks and their evidence.
    SignOff,
}

impl Sheet {
    /// All sheets, in order.
    pub const ALL: [Sheet; 8] = [
        Sheet::Brief,
        Sheet::Wiring,
        Sheet::Circuit,
        Sheet::Program,
        Sheet::Commissioning,
        Sheet::FaultTable,
        Sheet::Faults,
        Sheet::SignOff,
    ];

    /// Its number on the list of drawings, from 1.
    pub fn number(self) -> usize {
        self as usize + 1
    }

    /// Its name in the address of the page.
    pub fn anchor(self) -> &'static str {
        match self {
            Sheet::Brief => "brief",
            Sheet::Wiring => "wiring",
            Sheet::Circuit => "circuit",
            Sheet::Program => "program",
            Sheet::Commissioning => "commissioning",
            Sheet::FaultTable => "fault-table",
            Sheet::Faults => "fault-finding",
            Sheet::SignOff => "sign-off",
        }
    }

    /// Whether a job opens it. Current paths belong to the wiring, the fault table to fault finding.
    pub fn is_open_in(self, job: &Scenario) -> bool {
        let named = match self {
            Sheet::Brief => "brief",
            Sheet::Wiring | Sheet::Circuit => "wiring",
            Sheet::Program => "program",
            Sheet::Commissioning => "commissioning",
            Sheet::FaultTable | Sheet::Faults => "fault finding",
            Sheet::SignOff => "sign-off",
        };
        job.sheets.iter().any(|sheet| sheet == named)
    }

    /// The sheet that has this name in the address.
    pub fn from_anchor(anchor: &str) -> Option<Sheet> {
        Sheet::ALL.into_iter().find(|sheet| sheet.anchor() == anchor)
    }
}

/// A thing that can be chosen; the choice is shared by all sheets.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub enum Thing {
    /// A conductor, by id.
    Conductor(String),
    /// A terminal.
    Terminal(Terminal),
    /// A part, by tag.
    Part(String),
    /// A requirement, by id.
    Requirement(String),
    /// A rung, counted from 1.
    Rung(usize),
    /// The first contact of a rung that reads a bit: the rung, counted from 1, and the bit's name.
    Contact(usize, String),
    /// A signal or variable, by name.
    Signal(String),
}

/// Whether light or dark is shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Theme {
    /// As the system says.
    #[default]
    System,
    /// Paper and ink.
    Day,
    /// Light lines on dark.
    Night,
}

impl Theme {
    /// All choices, in the order in which they are offered.
    pub const ALL: [Theme; 3] = [Theme::System, Theme::Day, Theme::Night];

    /// The word under which the choice is remembered, and put on the page.
    pub fn word(self) -> &'static str {
        match self {
            Theme::System => "system",
            Theme::Day => "day",
            Theme::Night => "night",
        }
    }

    /// The choice that has this word.
    pub fn from_word(word: &str) -> Option<Theme> {
        Theme::ALL.into_iter().find(|theme| theme.word() == word)
    }
}

/// What the screen shows.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Screen {
    /// The sheet in view.
    pub sheet: Sheet,
    /// What is chosen.
    pub selection: Option<Thing>,
    /// Counts requests to bring the selection into view; a sheet scrolls when it has changed.
    pub shown: u32,
    /// The sheet in view was turned to for what is chosen, which takes the keyboard.
    pub turned_to_show: bool,
    /// The companion's drawer is open (narrow screens).
    pub companion_open: bool,
    /// Light or dark.
    pub theme: Theme,
}

/// A change to what the screen shows.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum ScreenAct {
    /// Turn to a sheet.
    GoTo(Sheet),
    /// Choose a thing, or nothing.
    Select(Option<Thing>),
    /// Turn to a sheet, choose a thing and bring it into view.
    Show(Sheet, Thing),
    /// Open or close the companion's drawer.
    Companion(bool),
    /// Light or dark.
    Theme(Theme),
}

impl ScreenAct {
    /// The sheet that it turns to.
    pub fn sheet(&self) -> Option<Sheet> {
        match self {
            ScreenAct::GoTo(sheet) | ScreenAct::Show(sheet, _) => Some(*sheet),
            _ => None,
        }
    }
}

impl Screen {
    /// The screen after a change.
    pub fn reduce(&self, act: ScreenAct) -> Screen {
        let mut next = self.clone();
        match act {
            ScreenAct::GoTo(sheet) => {
                next.companion_open &= sheet == self.sheet;
                next.turned_to_show &= sheet == self.sheet;
                next.sheet = sheet;
            }
            ScreenAct::Select(thing) => next.selection = thing,
            ScreenAct::Show(sheet, thing) => {
                next.companion_open &= sheet == self.sheet;
                next.turned_to_show |= sheet != self.sheet;
                next.sheet = sheet;
                next.selection = Some(thing);
                next.shown = next.shown.wrapping_add(1);
            }
            ScreenAct::Companion(open) => next.companion_open = open,
            ScreenAct::Theme(theme) => next.theme = theme,
        }
        next
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_sheet_is_found_by_its_anchor() {
        for (at, sheet) in Sheet::ALL.into_iter().enumerate() {
            assert_eq!(sheet.number(), at + 1);
            assert_eq!(Sheet::from_anchor(sheet.anchor()), Some(sheet));
        }
        assert_eq!(Sheet::from_anchor("cellar"), None);
    }

    #[test]
    fn turning_the_sheet_keeps_the_choice_and_closes_the_drawer() {
        let screen = Screen::default()
            .reduce(ScreenAct::Select(Some(Thing::Part("QA1".into()))))
            .reduce(ScreenAct::Companion(true));
        let turned = screen.reduce(ScreenAct::GoTo(Sheet::Wiring));
        assert_eq!(turned.selection, Some(Thing::Part("QA1".into())));
        assert!(!turned.companion_open);
        assert!(screen.reduce(ScreenAct::GoTo(Sheet::Brief)).companion_open);
    }

    #[test]
    fn only_a_sheet_that_was_turned_to_for_the_choice_gives_it_the_keyboard() {
        let rung = ScreenAct::Show(Sheet::Program, Thing::Rung(4));
        let shown = Screen::default().reduce(rung.clone());
        assert!(shown.turned_to_show);
        assert!(shown.reduce(ScreenAct::Select(None)).turned_to_show);
        let back = shown.reduce(ScreenAct::GoTo(Sheet::Brief)).reduce(ScreenAct::GoTo(Sheet::Program));
        assert!(!back.turned_to_show);
        assert!(!back.reduce(rung).turned_to_show, "the sheet is in view, and so is what was pressed");
    }

    #[test]
    fn showing_twice_asks_twice() {
        let show = ScreenAct::Show(Sheet::Wiring, Thing::Conductor("L4".into()));
        let once = Screen::default().reduce(show.clone());
        assert_ne!(once.reduce(show).shown, once.shown);
    }
}
