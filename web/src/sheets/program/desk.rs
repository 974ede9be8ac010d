//! What is going on at the drawing: what is in hand, what is being asked for, what was said last; and what an act makes of
//! it. Pure: what is to be done to the page is given back.

use super::deed::{Deed, Done, done};
use super::facts::Facts;
use super::sketch::{Hand, Part, Sketch};
use super::typed::{Ask, Refused, Typed, typed};
use crate::store::model::Terminal;
use crate::t;
use sealin_ladder::{Contact, Network, Output, Program, Rung, Severity, edit, print_network, print_rung};
use std::rc::Rc;

/// Something that a person does at the drawing.
#[derive(Clone, Debug, PartialEq)]
pub enum Act {
    /// Takes this in hand by the keyboard, or nothing.
    Hand(Option<Hand>),
    /// Takes this in hand by pointer or touch; `further` stretches what is in hand to it.
    Touch {
        /// What is touched.
        hand: Hand,
        /// Shift is held.
        further: bool,
    },
    /// The caret of the text stands in this, or in nothing.
    Caret(Option<Hand>),
    /// From now on a touch stretches what is in hand, or no longer.
    Stretch,
    /// Opens a field.
    Ask(Ask),
    /// Opens the choice of kinds.
    Kinds,
    /// Shows the bit in hand in the circuit diagram.
    Circuit,
    /// Closes what was opened.
    Leave,
    /// Does it to what is in hand.
    Do(Deed),
    /// What was written in the field; whether names that nothing declares become bits.
    Write(Ask, String, bool),
    /// Copies what is in hand.
    Copy,
    /// Copies and takes it out.
    Cut,
    /// Puts in what was copied: this text, or what was copied here last.
    Paste(Option<String>),
    /// Takes the last change back.
    Undo,
    /// Makes it again.
    Redo,
    /// The same from the text, which keeps the keyboard: makes it again if true.
    History(bool),
}

/// What is open below the drawing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Mode {
    /// What can be done.
    #[default]
    Tools,
    /// A field.
    Asks(Ask),
    /// The kinds of contact or output.
    Kinds,
}

/// What was copied.
#[derive(Clone, Debug, PartialEq)]
pub struct Clip {
    /// As it went to the clipboard.
    pub text: String,
    what: Copied,
}

#[derive(Clone, Debug, PartialEq)]
enum Copied {
    Contacts(Network),
    Rung(Rung),
}

/// What is to be done outside the desk.
#[derive(Clone, Debug, PartialEq)]
pub enum Effect {
    /// Nothing.
    None,
    /// This is the text now.
    Put(String),
    /// The last change is taken back.
    Undo,
    /// It is made again.
    Redo,
    /// This terminal is shown in the circuit diagram.
    Show(Terminal),
    /// To the clipboard, and then this is the text if something was cut.
    Copy(String, Option<String>),
}

/// What the desk works on.
pub struct Ground<'a> {
    /// The drawing.
    pub sketch: &'a Sketch,
    /// It is that of the text; else the text has errors, and nothing can be changed.
    pub good: bool,
    /// What is known of the names.
    pub facts: &'a Facts,
}

/// What is going on.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Desk {
    /// What is in hand.
    pub hand: Option<Hand>,
    /// What is open.
    pub mode: Mode,
    /// Counts the times that what is in hand wants the keyboard.
    pub focus: u32,
    /// A touch stretches what is in hand.
    pub stretching: bool,
    /// What was said last.
    pub said: Option<String>,
    /// Why the field was refused.
    pub refused: Option<Refused>,
    /// What was copied.
    pub clip: Option<Rc<Clip>>,
}

impl Desk {
    /// The desk after an act, and what is to be done outside.
    pub fn after(&self, act: Act, ground: &Ground) -> (Desk, Effect) {
        let mut next = Desk { said: None, refused: None, ..self.clone() };
        let effect = next.take(act, ground);
        (next, effect)
    }

    fn take(&mut self, act: Act, ground: &Ground) -> Effect {
        match act {
            Act::Hand(hand) => self.put_in_hand(hand, true),
            Act::Touch { hand, further } => self.touch(hand, further),
            Act::Caret(hand) => self.put_in_hand(hand, false),
            Act::Stretch => self.stretching = !self.stretching,
            Act::Leave => {
                self.mode = Mode::Tools;
                self.focus += 1;
            }
            Act::Undo => return self.taken_back(Effect::Undo, t!("program-undone")),
            Act::Redo => return self.taken_back(Effect::Redo, t!("program-redone")),
            Act::History(redo) => {
                let act = if redo { Act::Redo } else { Act::Undo };
                let effect = self.take(act, ground);
                self.focus -= 1;
                return effect;
            }
            Act::Copy => return self.copy(ground, false),
            _ if !ground.good => self.said = Some(t!("program-mend-first").into()),
            Act::Ask(ask) => self.ask(ask, ground),
            Act::Kinds => self.mode = Mode::Kinds,
            Act::Circuit => {
                let place = in_circuit(ground.sketch.program(), self.hand, ground.facts);
                return place.map_or(Effect::None, |place| Effect::Show(place.clone()));
            }
            Act::Do(deed) => return self.carry_out(&ground.sketch.source, &deed, ground),
            Act::Write(ask, text, declares) => return self.write(ask, &text, declares, ground),
            Act::Cut => return self.copy(ground, true),
            Act::Paste(text) => return self.paste(text, ground),
        }
        Effect::None
    }

    fn put_in_hand(&mut self, hand: Option<Hand>, follow: bool) {
        self.hand = hand;
        self.mode = Mode::Tools;
        self.stretching = false;
        self.focus += u32::from(follow);
    }

    fn touch(&mut self, hand: Hand, further: bool) {
        let stretched = self.hand.filter(|held| held.rung == hand.rung && held.contact().is_some());
        match (stretched.filter(|_| further || self.stretching), hand.contact()) {
            (Some(held), Some(to)) => {
                self.hand = Some(Hand { to: Some(to), ..held });
                self.mode = Mode::Tools;
                self.stretching = false;
            }
            _ => self.put_in_hand(Some(hand), false),
        }
    }

    fn taken_back(&mut self, effect: Effect, said: &str) -> Effect {
        self.said = Some(said.into());
        self.mode = Mode::Tools;
        self.focus += 1;
        effect
    }

    /// Opens a field, if what it asks for makes sense for what is in hand.
    fn ask(&mut self, ask: Ask, ground: &Ground) {
        let is_block =
            output(ground.sketch.program(), self.hand).is_some_and(|o| matches!(o, Output::Block(_)));
        let fits = match ask {
            Ask::Rung => true,
            Ask::Preset => preset(ground.sketch.program(), self.hand).is_some(),
            Ask::Name | Ask::Instance(_) | Ask::Comment => self.hand.is_some(),
            // A block asks for the contacts of its first input, as a coil does.
            Ask::After => self.hand.is_some_and(|hand| is_block || hand.part != Part::Preset),
            Ask::Before | Ask::Beside | Ask::Read | Ask::Compare => {
                self.hand.is_some_and(|hand| hand.contact().is_some())
            }
        };
        if fits {
            self.mode = Mode::Asks(ask);
        }
    }

    fn carry_out(&mut self, source: &str, deed: &Deed, ground: &Ground) -> Effect {
        let reading = if source == ground.sketch.source {
            ground.sketch.reading.clone()
        } else {
            sealin_ladder::read(source)
        };
        let Some(Done { source, hand }) = done(source, &reading, self.hand, deed) else {
            self.said = Some(t!("program-cannot").into());
            return Effect::None;
        };
        let wrong =
            sealin_ladder::read(&source).diagnostics.into_iter().find(|d| d.severity == Severity::Error);
        if let Some(wrong) = wrong {
            self.refuse(wrong.message);
            return Effect::None;
        }
        self.put_in_hand(hand, true);
        let gap = |rungs: &[Rung]| matches!(rungs, [Rung { logic: Network::False, .. }]);
        if let Deed::Insert(rungs) = deed
            && gap(rungs)
        {
            self.mode = Mode::Asks(Ask::After);
        }
        Effect::Put(source)
    }

    fn refuse(&mut self, why: String) {
        match self.mode {
            Mode::Asks(_) => self.refused = Some(Refused::Wrong(why)),
            _ => self.said = Some(why),
        }
    }

    fn write(&mut self, ask: Ask, text: &str, declares: bool, ground: &Ground) -> Effect {
        let sketch = ground.sketch;
        let now = output(sketch.program(), self.hand);
        match typed(ask, text, (&sketch.source, &sketch.reading), ground.facts, now, declares) {
            Ok(Typed { source, deed }) => self.carry_out(&source, &deed, ground),
            Err(refused) => {
                self.refused = Some(refused);
                Effect::None
            }
        }
    }

    fn copy(&mut self, ground: &Ground, cuts: bool) -> Effect {
        let Some(clip) = clip(ground.sketch.program(), self.hand) else {
            self.said = Some(t!("program-nothing-in-hand").into());
            return Effect::None;
        };
        let text = clip.text.clone();
        let is_rung = matches!(clip.what, Copied::Rung(_));
        self.clip = Some(Rc::new(clip));
        let mut left = None;
        if cuts {
            if is_rung {
                self.hand = self.hand.map(|hand| Hand::at(hand.rung, Part::Rung));
            }
            match self.carry_out(&ground.sketch.source, &Deed::Delete, ground) {
                Effect::Put(source) => left = Some(source),
                other => return other,
            }
        }
        self.said = Some(t!("program-copied", text = text));
        Effect::Copy(text, left)
    }

    fn paste(&mut self, text: Option<String>, ground: &Ground) -> Effect {
        let own = self.clip.clone().filter(|clip| text.as_ref().is_none_or(|text| *text == clip.text));
        let deed = match (own.as_deref().map(|clip| &clip.what), text) {
            (Some(Copied::Contacts(network)), _) => Deed::After(network.clone()),
            (Some(Copied::Rung(rung)), _) => Deed::Insert(vec![rung.clone()]),
            (None, Some(text)) => {
                let as_rung = self.write(Ask::Rung, &text, false, ground);
                if as_rung != Effect::None {
                    return as_rung;
                }
                let wrong = self.refused.take();
                let effect = self.write(Ask::After, &text, false, ground);
                if let (Effect::None, Some(_)) = (&effect, self.refused.take()) {
                    self.said = wrong.map(|wrong| words(&wrong));
                }
                return effect;
            }
            (None, None) => {
                self.said = Some(t!("program-nothing-copied").into());
                return Effect::None;
            }
        };
        self.carry_out(&ground.sketch.source, &deed, ground)
    }
}

/// Why something was refused, in words.
pub fn words(refused: &Refused) -> String {
    match refused {
        Refused::Undeclared(names) => t!("program-not-declared", names = names.join(", ")),
        Refused::Wrong(text) => text.clone(),
    }
}

/// Where the bit of the contact or output in hand is found in the circuit diagram.
pub fn in_circuit<'a>(program: &Program, hand: Option<Hand>, facts: &'a Facts) -> Option<&'a Terminal> {
    let name = match (hand?.part, contact(program, hand)) {
        (Part::Contact(_), Some(Contact::Bit { var, .. })) => var,
        (Part::Output, _) => output(program, hand)?.var().to_string(),
        _ => return None,
    };
    facts.places.get(&name)
}

/// The contact in hand.
pub fn contact(program: &Program, hand: Option<Hand>) -> Option<Contact> {
    let hand = hand?;
    let (first, _) = hand.stretch()?;
    match edit::copy(program.rungs.get(hand.rung)?, first, first)? {
        Network::Contact(contact) => Some(contact),
        _ => None,
    }
}

/// What the rung in hand drives.
pub fn output(program: &Program, hand: Option<Hand>) -> Option<&Output> {
    Some(&program.rungs.get(hand?.rung)?.output)
}

/// The preset of the block in hand.
pub fn preset(program: &Program, hand: Option<Hand>) -> Option<sealin_ladder::Constant> {
    match output(program, hand)? {
        Output::Block(call) => call.preset,
        _ => None,
    }
}

/// The hand, if what it holds is there.
pub fn valid(program: &Program, hand: Option<Hand>) -> Option<Hand> {
    let hand = hand?;
    let rung = program.rungs.get(hand.rung)?;
    let there = |contact: u32| contact < rung.contacts();
    let call = match &rung.output {
        Output::Block(call) => Some(call),
        _ => None,
    };
    let holds = match hand.part {
        Part::Rung | Part::Output => true,
        Part::Contact(contact) => there(contact),
        Part::Pin(pin) => call.is_some_and(|call| pin < call.further.len()),
        Part::Preset => call.is_some_and(|call| call.preset.is_some()),
    };
    let to = hand.to.filter(|to| there(*to));
    Some(if holds { Hand { to, ..hand } } else { Hand::at(hand.rung, Part::Output) })
}

/// What copying takes of what is in hand.
pub fn clip(program: &Program, hand: Option<Hand>) -> Option<Clip> {
    let hand = hand?;
    let rung = program.rungs.get(hand.rung)?;
    Some(match hand.stretch() {
        Some((first, last)) => {
            let network = edit::copy(rung, first, last)?;
            Clip { text: print_network(&network), what: Copied::Contacts(network) }
        }
        None => Clip { text: print_rung(rung), what: Copied::Rung(rung.clone()) },
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use sealin_ladder::read;

    const SOURCE: &str = "PROGRAM p VAR a : BOOL; b : BOOL; q : BOOL; t : TON; END_VAR
q := a AND NOT b;
t(IN := a, PT := T#2s);
END_PROGRAM
";

    /// Acts one after the other; the desk and the text at the end.
    fn play(acts: Vec<Act>) -> (Desk, String, Vec<Effect>) {
        let (mut desk, mut source, mut effects) = (Desk::default(), SOURCE.to_string(), Vec::new());
        for act in acts {
            let (sketch, good) = Sketch::read(&source);
            let facts = Facts::default();
            let (next, effect) = desk.after(act, &Ground { sketch: &sketch, good, facts: &facts });
            desk = next;
            if let Effect::Put(text) | Effect::Copy(_, Some(text)) = &effect {
                source = text.clone();
            }
            effects.push(effect);
        }
        (desk, source, effects)
    }

    fn rungs(source: &str) -> Vec<String> {
        read(source).program.rungs.iter().map(|rung| print_rung(rung).trim().to_string()).collect()
    }

    fn hand(rung: usize, part: Part) -> Act {
        Act::Hand(Some(Hand::at(rung, part)))
    }

    #[test]
    fn a_rung_is_written_step_by_step() {
        let write = |ask, text: &str| Act::Write(ask, text.into(), false);
        let (desk, source, _) = play(vec![
            Act::Ask(Ask::Rung),
            write(Ask::Rung, "b"),
            write(Ask::After, "a"),
            Act::Ask(Ask::Beside),
            write(Ask::Beside, "q"),
            Act::Ask(Ask::After),
            write(Ask::After, "not t.Q"),
        ]);
        assert_eq!(rungs(&source)[2], "b := a OR q AND NOT t.Q;");
        assert_eq!(desk.mode, Mode::Tools);
        assert_eq!(desk.hand, Some(Hand::at(2, Part::Contact(2))));
    }

    #[test]
    fn contacts_and_rungs_are_copied_cut_and_put_in_again() {
        let contact = Act::Hand(Some(Hand { to: Some(1), ..Hand::at(0, Part::Contact(0)) }));
        let (_, source, effects) =
            play(vec![contact, Act::Copy, hand(1, Part::Contact(0)), Act::Paste(None)]);
        assert_eq!(effects[1], Effect::Copy("a AND NOT b".into(), None));
        assert_eq!(rungs(&source)[1], "t(IN := a AND a AND NOT b, PT := T#2s);");
        let (_, source, _) = play(vec![hand(0, Part::Rung), Act::Cut, hand(0, Part::Rung), Act::Paste(None)]);
        assert_eq!(rungs(&source), ["t(IN := a, PT := T#2s);", "q := a AND NOT b;"]);
        let (desk, source, _) = play(vec![hand(1, Part::Rung), Act::Copy, Act::Paste(None)]);
        assert_eq!(rungs(&source)[2], "t2(IN := a, PT := T#2s);", "{:?}", desk.said);
    }

    #[test]
    fn text_from_elsewhere_is_rungs_or_contacts() {
        let paste = |text: &str| Act::Paste(Some(text.into()));
        let (_, source, _) = play(vec![hand(0, Part::Contact(0)), paste("q AND b")]);
        assert_eq!(rungs(&source)[0], "q := a AND q AND b AND NOT b;");
        let (_, source, _) = play(vec![hand(0, Part::Contact(0)), paste("b := q;\na := q;\n")]);
        assert_eq!(rungs(&source)[1..3], ["b := q;", "a := q;"]);
        let (desk, source, _) = play(vec![hand(0, Part::Contact(0)), paste("good morning")]);
        assert_eq!(source, SOURCE);
        assert!(desk.said.is_some() && desk.refused.is_none());
    }

    #[test]
    fn a_text_with_errors_is_not_changed_and_says_so() {
        let (sketch, good) = Sketch::read("q := ");
        let desk = Desk { hand: Some(Hand::at(0, Part::Output)), ..Desk::default() };
        let ground = Ground { sketch: &sketch, good, facts: &Facts::default() };
        let (next, effect) = desk.after(Act::Do(Deed::Negate), &ground);
        assert_eq!(effect, Effect::None);
        assert!(next.said.is_some());
        assert_eq!(desk.after(Act::Undo, &ground).1, Effect::Undo);
    }

    #[test]
    fn a_touch_stretches_while_that_is_wanted() {
        let touch = |contact| Act::Touch { hand: Hand::at(0, Part::Contact(contact)), further: false };
        let (desk, ..) = play(vec![touch(0), Act::Stretch, touch(1)]);
        assert_eq!(desk.hand, Some(Hand { to: Some(1), ..Hand::at(0, Part::Contact(0)) }));
        let (desk, ..) = play(vec![touch(0), touch(1)]);
        assert_eq!(desk.hand, Some(Hand::at(0, Part::Contact(1))));
    }

    #[test]
    fn a_hand_falls_back_to_the_output() {
        let program = read(SOURCE).program;
        assert_eq!(valid(&program, Some(Hand::at(0, Part::Contact(7)))), Some(Hand::at(0, Part::Output)));
        assert_eq!(valid(&program, Some(Hand::at(9, Part::Output))), None);
        assert_eq!(valid(&program, Some(Hand::at(1, Part::Preset))), Some(Hand::at(1, Part::Preset)));
    }
}
