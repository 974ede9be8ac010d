//! The sentence of each link, in English, for the tool, the page and tests alike.

use super::{Chain, End, Flip, Link, Load, Subject, Timing};
use sealin_ladder::{Comparison, Contact, Network, Preset, print_network};
use std::fmt;

impl Chain {
    /// What is said of each link that says something, with its index: a reading that goes on with the variable itself says
    /// nothing more, nor does a channel before its volts.
    pub fn told(&self) -> Vec<(usize, String)> {
        let silent = |link: &Link| {
            matches!(link.subject, Subject::Read(_) | Subject::Channel(..)) && link.end.is_none()
        };
        let told = self.links.iter().enumerate().filter(|(_, link)| !silent(link));
        told.map(|(k, link)| {
            let mut text = link.to_string();
            if let Some(End::Holds(back)) = link.end {
                text.push_str(": it holds itself");
                if let Some(first) = self.links.get(back as usize).filter(|_| back as usize != k) {
                    text.push_str(&format!(", as {}", first.what()));
                }
            }
            (k, text)
        })
        .collect()
    }
}

impl fmt::Display for Chain {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let all: Vec<String> = self.told().into_iter().map(|(_, text)| text).collect();
        f.write_str(&all.join(": "))
    }
}

impl fmt::Display for Link {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.what())?;
        if let (Some(rung), false) = (self.rung, self.because.is_empty()) {
            let way = if self.value { "passes by" } else { "is blocked at" };
            let set: Vec<String> = self.because.iter().map(Flip::bit).collect();
            let sure = if self.sure { "" } else { "probably " };
            write!(f, ", {sure}rung {rung} {way} {}", set.join(" and "))?;
        }
        match &self.end {
            Some(end) => end.tell(f, self),
            None => Ok(()),
        }
    }
}

impl Link {
    /// What is so, without why.
    pub fn what(&self) -> String {
        State { subject: &self.subject, value: self.value, millivolts: self.millivolts }.to_string()
    }
}

/// A subject with its value.
struct State<'a> {
    subject: &'a Subject,
    value: bool,
    /// For volts: how many, where that is known.
    millivolts: Option<u32>,
}

impl fmt::Display for State<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let word = |on: &'static str, off: &'static str| if self.value { on } else { off };
        let bit = u8::from(self.value);
        match self.subject {
            Subject::Supply(t) => write!(f, "the supply {t} is {}", word("on", "off"))?,
            Subject::DcSupply(t) => write!(f, "{t} gives {}", word("its voltage", "no voltage"))?,
            Subject::Controller(t) => write!(f, "{t} {}", word("runs", "does not run"))?,
            Subject::Button(t) => write!(f, "{t} is {}", word("pressed", "not pressed"))?,
            Subject::Position(t, position) => write!(f, "{t} is {}in position {position}", word("", "not "))?,
            Subject::Hand(t) => write!(f, "{} {t} in", word("a hand pushes", "no hand pushes"))?,
            Subject::Actuated(t) => write!(f, "{t} is {}", word("actuated", "not actuated"))?,
            Subject::Brake(t) => write!(f, "brake {t} {}", word("is released", "holds"))?,
            Subject::Lever(t) => write!(f, "{t} is {}", word("closed", "open"))?,
            Subject::FuseLink(t, pole) => write!(f, "link {pole} of {t} {}", word("is whole", "has melted"))?,
            Subject::Latch(t) => write!(f, "{t} has {}tripped", word("", "not "))?,
            Subject::StopActuator(t) => write!(f, "the stop of {t} is {}", word("held", "not held"))?,
            Subject::ResetActuator(t) => write!(f, "the reset of {t} is {}", word("held", "not held"))?,
            Subject::Jam(t) => write!(f, "{t} is {}", word("blocked", "free"))?,
            // An output relay stands between a channel and its common; other contacts have numbers.
            Subject::Contact(t, pair) if pair.starts_with(char::is_alphabetic) => {
                let channel = pair.split_once('-').map_or(pair.as_str(), |(channel, _)| channel);
                write!(f, "output {channel} of {t} is {}", word("closed", "open"))?;
            }
            Subject::Contact(t, pair) => write!(f, "{pair} of {t} is {}", word("closed", "open"))?,
            Subject::Armature(t) => write!(f, "{t} is {}", word("in", "out"))?,
            Subject::Coil(t) => write!(f, "coil {t} is {}", word("on", "off"))?,
            Subject::Volts(load) => self.volts(f, load)?,
            Subject::Conductor(id) => write!(f, "conductor {id} is there")?,
            Subject::Joined { from, to, back: true } => write!(f, "no return: nothing joins {from} to {to}")?,
            Subject::Joined { from, to, back: false } => write!(f, "no feed: nothing joins {from} to {to}")?,
            Subject::Channel(t, k) => write!(f, "input {k} of {t} is {}", word("on", "off"))?,
            Subject::Input(_, k) => write!(f, "IX{}.{} is {bit}", k / 8, k % 8)?,
            Subject::Output(_, k) => write!(f, "QX{}.{} is {bit}", k / 8, k % 8)?,
            Subject::Variable(name) | Subject::Read(name) => write!(f, "{name} is {bit}")?,
            Subject::TimeUp(name) => write!(f, "{name} is {}", word("up", "not up"))?,
            Subject::Compared(c) => write!(f, "{} {}", text(c), word("holds", "does not hold"))?,
            Subject::Passed(rung) => {
                write!(f, "rung {rung} {} in the scan before", word("passed", "did not pass"))?
            }
            Subject::Lamp(t) => write!(f, "lamp {t} is {}", word("lit", "dark"))?,
            Subject::Motor(t) => write!(f, "{t} {}", word("turns", "stands"))?,
        }
        Ok(())
    }
}

impl State<'_> {
    fn volts(&self, f: &mut fmt::Formatter<'_>, load: &Load) -> fmt::Result {
        let Some(millivolts) = self.millivolts else {
            return write!(f, "{} at {load}", if self.value { "volts" } else { "no volts" });
        };
        let volts = millivolts.saturating_add(500) / 1000;
        match (self.value, volts) {
            (true, _) => write!(f, "{volts} V at {load}"),
            (false, 0) => write!(f, "no volts at {load}"),
            (false, _) => write!(f, "only {volts} V at {load}"),
        }
    }
}

impl Flip {
    /// What is so of it, without a figure.
    pub fn what(&self) -> String {
        State { subject: &self.subject, value: self.value, millivolts: None }.to_string()
    }

    /// `QA2_in = 1`, for a member of a rung.
    fn bit(&self) -> String {
        match &self.subject {
            Subject::Variable(name) => format!("{name} = {}", u8::from(self.value)),
            Subject::Read(name) => format!("{name} = {} before", u8::from(self.value)),
            Subject::Compared(c) if self.value => format!("{} which holds", text(c)),
            Subject::Compared(c) => format!("{} which does not hold", text(c)),
            Subject::Passed(rung) => format!("rung {rung} = {} before", u8::from(self.value)),
            _ => self.what(),
        }
    }
}

impl fmt::Display for Load {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Load::Coil(t) => write!(f, "A1-A2 of {t}"),
            Load::Lamp(t) => write!(f, "X1-X2 of {t}"),
            Load::Channel(t, k) => write!(f, "input {k} of {t}"),
            Load::Primary(t) => write!(f, "the input of {t}"),
            Load::Controller(t) => write!(f, "L+ and L- of {t}"),
            Load::Brake(t) => write!(f, "the coil of {t}"),
            Load::Motor(t) => write!(f, "the terminals of {t}"),
            Load::Meter(a, b) => write!(f, "{a} to {b}"),
        }
    }
}

impl End {
    fn tell(&self, f: &mut fmt::Formatter<'_>, link: &Link) -> fmt::Result {
        match self {
            End::Given => match &link.subject {
                Subject::Lever(_) if !link.value => f.write_str(", by hand or by its release"),
                Subject::Actuated(_) => f.write_str(", where the machine stands"),
                _ => Ok(()),
            },
            End::Hot(permille) => write!(f, ", by heat: {} % of the heat that trips", permille / 10),
            End::Cold => f.write_str(", by its test slide, or it has cooled since"),
            End::Melted | End::Missing | End::Holds(_) => Ok(()),
            End::Fault => f.write_str(", by a fault"),
            End::Damaged => f.write_str(": it is damaged, welded or burnt"),
            End::Overrun => f.write_str(": its watchdog has stopped it, since a scan takes too long"),
            End::Destroyed => f.write_str(": over-voltage has destroyed it"),
            End::Time { of, elapsed_ms, whole_ms } => of.tell(f, *elapsed_ms, *whole_ms),
            End::NextScan => f.write_str(", until the next scan"),
            End::NextTick => f.write_str(", until the next tick"),
            End::Disagrees => f.write_str(", and by the drawing it would be otherwise: measure here"),
            End::NotRun => f.write_str(": the program does not run, or has not since it was changed"),
            End::NothingDrives => f.write_str(": no rung drives it"),
            End::Constant => match link.rung {
                Some(rung) => write!(f, ": rung {rung} has no contact that matters"),
                None => Ok(()),
            },
            End::Figures { value, with, sort: Preset::Count } => write!(f, ": {value} against {with}"),
            End::Figures { value, with, sort: Preset::Time } => {
                write!(f, ": {} against {}", seconds(value.unsigned_abs()), seconds(with.unsigned_abs()))
            }
            End::FirstScan => f.write_str(": it is 1 in the first scan only"),
            End::Remembered => Ok(()),
            End::Earlier => f.write_str(" when the scan read it, and has changed since"),
            End::Inertia => match link.value {
                true => f.write_str(": it runs out"),
                false => f.write_str(": it has not run up"),
            },
            End::Weight => f.write_str(": the weight on it turns it"),
            End::EndStop => f.write_str(": its machine is at an end stop"),
            End::Supply => f.write_str(", straight from the supply"),
            End::Field => f.write_str(", from the field of a motor that runs out, which fades"),
            End::Bridged => f.write_str(": both its ends are joined to each other"),
            End::NotFound => f.write_str(": no few things alone decide it"),
        }
    }
}

impl Timing {
    fn tell(self, f: &mut fmt::Formatter<'_>, elapsed_ms: u32, whole_ms: u32) -> fmt::Result {
        let what = match self {
            Timing::Closing => ": it is closing",
            Timing::Releasing => ": it is releasing",
            Timing::TimerRelay => ": its timer relay counts",
            Timing::Relay => ": its relay is changing over",
            Timing::Brake => ": it is under way",
            Timing::Filter => ": its filter is running",
            Timing::StartUp => ": it is starting",
            Timing::HoldUp => ": it holds up",
            Timing::Bounce => ": it bounces",
            Timing::Timer => return write!(f, ": {} of {}", seconds(elapsed_ms), seconds(whole_ms)),
        };
        write!(f, "{what}, {elapsed_ms} of {whole_ms} ms")
    }
}

/// A time to a tenth of a second.
fn seconds(ms: u32) -> String {
    format!("{}.{} s", ms / 1000, ms % 1000 / 100)
}

/// A comparison as the program's text has it.
fn text(comparison: &Comparison) -> String {
    print_network(&Network::Contact(Contact::Compare(comparison.clone())))
}
