//! What a person does to a rung on the drawing, written back into the text.
//!
//! Only the statement of that rung is printed anew; all other text stays as the person wrote it.

use super::sketch::{Hand, Part};
use sealin_ladder::{
    Block, Call, Constant, Contact, Network, Output, Reading, Rung, Test, Var, VarKind, edit, rewrite,
};
use sealin_ladder::{insert_rung, remove_rung, replace_rung};

/// One thing done to what is in hand.
#[derive(Clone, PartialEq, Debug)]
pub enum Deed {
    /// A contact is turned to its opposite.
    Negate,
    /// What is in hand goes.
    Delete,
    /// In series, left of it.
    Before(Network),
    /// In series, right of it; at a coil or pin at the end of its network.
    After(Network),
    /// Side by side with all that is in hand.
    Beside(Network),
    /// In the place of the contact.
    Read(Network),
    /// The contact passes otherwise.
    Test(Test),
    /// The rung drives something else.
    Drive(Output),
    /// The preset of the block.
    Preset(Constant),
    /// Past its neighbour: a contact in series, a rung, a branch.
    Shift(Way),
    /// What is written about the rung.
    Comment(String),
    /// Rungs behind that in hand; the first is then in hand.
    Insert(Vec<Rung>),
    /// The same rung again below it.
    Duplicate,
}

/// A way to move.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Way {
    /// To the left.
    Left,
    /// To the right.
    Right,
    /// Upwards.
    Up,
    /// Downwards.
    Down,
}

/// A text after a deed, and what is then in hand.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Done {
    /// The whole text.
    pub source: String,
    /// What is in hand.
    pub hand: Option<Hand>,
}

/// Does it; none where it cannot be done to what is in hand. Without anything in hand, rungs are put behind the last one.
pub fn done(source: &str, reading: &Reading, hand: Option<Hand>, deed: &Deed) -> Option<Done> {
    let rungs = &reading.program.rungs;
    if let Deed::Insert(new) = deed {
        let at = hand.map_or(rungs.len(), |hand| (hand.rung + 1).min(rungs.len()));
        return inserted(source, at, new);
    }
    let hand = hand?;
    let rung = rungs.get(hand.rung)?;
    match (deed, hand.part) {
        (Deed::Drive(output), _) => driven(source, reading, hand, output),
        (Deed::Duplicate, _) => inserted(source, hand.rung + 1, std::slice::from_ref(rung)),
        (Deed::Shift(Way::Up), Part::Rung | Part::Output) => {
            moved(source, reading, hand, hand.rung.checked_sub(1)?)
        }
        (Deed::Shift(Way::Down), Part::Rung | Part::Output) => moved(source, reading, hand, hand.rung + 1),
        (Deed::Delete, Part::Rung) => {
            let source = remove_rung(source, reading, hand.rung)?;
            let left = rungs.len() - 1;
            let hand = (left > 0).then(|| Hand::at(hand.rung.min(left - 1), Part::Rung));
            Some(Done { source, hand })
        }
        _ => {
            let (new, next) = changed(rung, hand, deed)?;
            let source = replace_rung(source, reading, hand.rung, &new)?;
            Some(Done { source, hand: Some(next) })
        }
    }
}

/// A change within one rung.
fn changed(rung: &Rung, hand: Hand, deed: &Deed) -> Option<(Rung, Hand)> {
    let at = |part: Part| Hand::at(hand.rung, part);
    let stretch = hand.stretch();
    let contact = |index: u32| at(Part::Contact(index));
    match (deed, hand.part, stretch) {
        (Deed::Comment(text), ..) => Some((Rung { comment: text.trim().to_string(), ..rung.clone() }, hand)),
        (Deed::Preset(figure), ..) => {
            let mut new = rung.clone();
            let Output::Block(call) = &mut new.output else { return None };
            call.preset.replace(*figure)?;
            Some((new, hand))
        }
        (Deed::After(part), Part::Output | Part::Rung, _) => {
            let index = rung.logic.contacts();
            let mut old = rung.clone();
            // A gap holds the place of the first contact.
            if old.logic.contacts() == 0 {
                old.logic = Network::True;
            }
            Some((edit::append(&old, part.clone()), contact(index)))
        }
        (Deed::After(part), Part::Pin(pin), _) => {
            let new = edit::append_to_input(rung, pin, part.clone())?;
            let before: u32 = new.networks().take(1 + fed(rung, pin)).map(Network::contacts).sum();
            let index = before + pin_contacts(rung, pin);
            Some((new, contact(index)))
        }
        (Deed::Delete, Part::Pin(pin), _) => Some((edit::set_input(rung, pin, None)?, hand)),
        (_, _, Some((first, last))) => changed_contacts(rung, hand, deed, first, last),
        _ => None,
    }
}

fn changed_contacts(rung: &Rung, hand: Hand, deed: &Deed, first: u32, last: u32) -> Option<(Rung, Hand)> {
    let contact = |index: u32| Hand::at(hand.rung, Part::Contact(index));
    let keep = |new: Rung, index: u32| {
        let last = new.contacts().checked_sub(1);
        let part = last.map_or(Part::Output, |last| Part::Contact(index.min(last)));
        (new, Hand::at(hand.rung, part))
    };
    match deed {
        Deed::Negate => Some((edit::negate(rung, first)?, contact(first))),
        Deed::Delete => Some(keep(edit::cut(rung, first, last)?, first.saturating_sub(u32::from(first > 0)))),
        Deed::Before(part) => Some((edit::insert_before(rung, first, part.clone())?, contact(first))),
        Deed::After(part) => Some((edit::insert_after(rung, last, part.clone())?, contact(last + 1))),
        Deed::Beside(part) => {
            Some((edit::branch_around(rung, first, last, part.clone())?, contact(last + 1)))
        }
        Deed::Read(part) => Some((edit::replace_with(rung, first, part.clone())?, contact(first))),
        Deed::Test(test) => {
            let mut var = None;
            let mut index = 0;
            rung.each_contact(&mut |found| {
                if index == first {
                    var = found.bit().map(str::to_string);
                }
                index += 1;
            });
            let new = Contact::Bit { var: var?, test: *test };
            Some((edit::replace(rung, first, new)?, contact(first)))
        }
        Deed::Shift(Way::Left | Way::Right) => {
            let (new, start) = edit::shift(rung, first, last, *deed == Deed::Shift(Way::Right))?;
            let to = hand.to.map(|_| start + last - first);
            Some((new, Hand { to, ..contact(start) }))
        }
        Deed::Shift(Way::Up | Way::Down) => {
            let (new, start) = edit::shift_branch(rung, first, *deed == Deed::Shift(Way::Down))?;
            Some((new, contact(start)))
        }
        _ => None,
    }
}

/// How many of a block's further inputs before this one are given something.
fn fed(rung: &Rung, pin: usize) -> usize {
    rung.output.further().iter().take(pin).flatten().count()
}

fn pin_contacts(rung: &Rung, pin: usize) -> u32 {
    rung.output.further().get(pin).and_then(Option::as_ref).map_or(0, Network::contacts)
}

fn moved(source: &str, reading: &Reading, hand: Hand, to: usize) -> Option<Done> {
    let source = rewrite::move_rung(source, reading, hand.rung, to)?;
    Some(Done { source, hand: Some(Hand { rung: to, ..hand }) })
}

/// Rungs put before rung `at`. A block that is called already gets a new instance, declared beside it.
fn inserted(source: &str, at: usize, new: &[Rung]) -> Option<Done> {
    let mut text = source.to_string();
    for (n, rung) in new.iter().enumerate() {
        let now = sealin_ladder::read(&text);
        let (rung, instance) = with_own_instance(rung, &now);
        text = insert_rung(&text, &now, at + n, &rung)?;
        if let Some(var) = instance {
            text = rewrite::declare(&text, &var)?;
        }
    }
    let part = if new.len() == 1 { Part::Output } else { Part::Rung };
    Some(Done { source: text, hand: (!new.is_empty()).then(|| Hand::at(at, part)) })
}

fn with_own_instance(rung: &Rung, reading: &Reading) -> (Rung, Option<Var>) {
    let Output::Block(call) = &rung.output else { return (rung.clone(), None) };
    let same = |other: &Rung| matches!(&other.output, Output::Block(c) if c.instance.eq_ignore_ascii_case(&call.instance));
    if !reading.program.rungs.iter().any(same) {
        return (rung.clone(), None);
    }
    let name = free_name(reading, &call.instance);
    let mut own = rung.clone();
    own.output = Output::Block(Call { instance: name.clone(), ..call.clone() });
    (own, Some(variable(name, VarKind::Block(call.block))))
}

/// A name like this one that no variable has: with a number behind it, or the next one.
pub fn free_name(reading: &Reading, like: &str) -> String {
    let taken = |name: &str| reading.program.vars.iter().any(|var| var.name.eq_ignore_ascii_case(name));
    let stem = like.trim_end_matches(|c: char| c.is_ascii_digit());
    let first =
        like[stem.len()..].parse::<u64>().map_or(if taken(stem) { 2 } else { 1 }, |n| n.saturating_add(1));
    (first..).map(|n| format!("{stem}{n}")).find(|name| !taken(name)).unwrap_or_default()
}

/// A variable without address.
pub fn variable(name: String, kind: VarKind) -> Var {
    Var { name, address: None, kind, initial: false, retain: false, comment: String::new() }
}

/// Another output for the rung in hand. An instance is declared as the block that it becomes.
fn driven(source: &str, reading: &Reading, hand: Hand, output: &Output) -> Option<Done> {
    let old = reading.program.rungs.get(hand.rung)?;
    let new = Rung { output: output.clone(), ..old.clone() };
    let put = |source: &str, reading: &Reading| replace_rung(source, reading, hand.rung, &new);
    let done = |source| Some(Done { source, hand: Some(Hand::at(hand.rung, Part::Output)) });
    let Output::Block(call) = output else { return done(put(source, reading)?) };
    let kind = VarKind::Block(call.block);
    match reading.program.vars.iter().position(|var| var.name.eq_ignore_ascii_case(&call.instance)) {
        Some(index) if reading.program.vars[index].kind == kind => done(put(source, reading)?),
        // Declarations stand before the rungs, so that the place of this one is still that which was read.
        Some(index) => {
            let var = Var { kind, initial: false, ..reading.program.vars[index].clone() };
            done(rewrite::redeclare(&put(source, reading)?, reading, index, &var)?)
        }
        None => {
            let declared = rewrite::declare(source, &variable(call.instance.clone(), kind))?;
            done(put(&declared, &sealin_ladder::read(&declared))?)
        }
    }
}

/// The call of a block in the place of an output: its instance and preset are kept where they fit.
pub fn call_of(block: Block, instance: String, before: &Output) -> Call {
    let (further, preset) = match before {
        Output::Block(call) => (call.further.clone(), call.preset),
        _ => (Vec::new(), None),
    };
    let fits = |preset: &Constant| match block.preset() {
        Some(sealin_ladder::Preset::Time) => matches!(preset, Constant::Time(_)),
        Some(sealin_ladder::Preset::Count) => matches!(preset, Constant::Count(_)),
        None => false,
    };
    let usual = block.preset().map(|preset| match preset {
        sealin_ladder::Preset::Time => Constant::Time(1_000),
        sealin_ladder::Preset::Count => Constant::Count(3),
    });
    let mut inputs = further.into_iter();
    Call {
        instance,
        block,
        further: (1..block.inputs().len()).map(|_| inputs.next().flatten()).collect(),
        preset: preset.filter(fits).or(usual),
    }
}

#[cfg(test)]
mod tests;
