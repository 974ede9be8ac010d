//! What decides each device: one match arm a subject, one match arm a source of contacts.

use super::look::{Item, Look};
use super::{End, Flip, Link, Load, Subject, Timing, contact};
use crate::design::{ContactSource, Tagged};
use crate::devices::armature::{Place, RELAY_CLOSE_MS, RELAY_OPEN_MS};
use crate::devices::overload::TRIP_HEAT;
use crate::network::EARTH;
use crate::part::Form;
use crate::plan::Terminal;
use crate::state::{ControllerPhase, DcPhase};
use crate::step::dc_supplies::{hold_up_ms, output};
use crate::step::motors::actuated;
use crate::step::{contactors, controls};

/// Place of a tag in a family.
pub(super) fn place<T>(family: &[Tagged<T>], tag: &str) -> Option<usize> {
    family.iter().position(|m| m.tag == tag)
}

fn time(of: Timing, elapsed: impl Into<u32>, whole: impl Into<u32>) -> End {
    End::Time { of, elapsed_ms: elapsed.into(), whole_ms: whole.into() }
}

impl Look<'_> {
    /// The link of a subject; none if there is no such thing.
    pub(super) fn link(&self, subject: &Subject) -> Option<Link> {
        let (d, s) = (self.design, self.state);
        let given = |value: bool| Some(Link::new(subject, value).end(End::Given));
        match subject {
            Subject::Supply(t) => given(s.supplies[place(&d.supplies, t)?]),
            Subject::Button(t) => {
                let i = place(&d.controls, t)?;
                let stuck = d.controls[i].data.kept.is_some();
                let link = Link::new(subject, controls::position(d, s, i) == 2);
                Some(link.end(if stuck { End::Fault } else { End::Given }))
            }
            Subject::Position(t, position) => {
                given(controls::position(d, s, place(&d.controls, t)?) == *position)
            }
            Subject::Hand(t) => given(s.contactors[place(&d.contactors, t)?].pushed),
            Subject::StopActuator(t) => given(s.overloads[place(&d.overloads, t)?].stop_held),
            Subject::ResetActuator(t) => given(s.overloads[place(&d.overloads, t)?].reset_held),
            Subject::Jam(t) => given(s.motors[place(&d.motors, t)?].jammed),
            Subject::Actuated(t) => given(actuated(d, s, place(&d.position_switches, t)?)),
            Subject::Brake(t) => Some(self.brake(subject, place(&d.brakes, t)?)),
            Subject::Lever(t) => given(s.switches[place(&d.switches, t)?].closed),
            Subject::FuseLink(t, pole) => {
                let melted =
                    s.switches[place(&d.switches, t)?].open_poles.get(usize::from(*pole).checked_sub(1)?)?;
                Some(Link::new(subject, !melted).end(if *melted { End::Melted } else { End::Given }))
            }
            Subject::Latch(t) => self.latch(subject, place(&d.overloads, t)?),
            Subject::Contact(t, pair) => {
                let name = format!("{t}.{pair}");
                Some(self.contact(subject, d.contacts.iter().position(|c| c.name == name)?))
            }
            Subject::Armature(t) => Some(self.armature(subject, place(&d.contactors, t)?)),
            Subject::Coil(t) => {
                let i = place(&d.contactors, t)?;
                if d.contactors[i].data.coil_open {
                    return Some(Link::new(subject, false).end(End::Fault));
                }
                if s.contactors[i].coil.burnt {
                    return Some(Link::new(subject, false).end(End::Damaged));
                }
                Some(self.fed(Link::new(subject, s.contactors[i].attracted), Load::Coil(t.clone())))
            }
            Subject::Lamp(t) => {
                let lit = s.lamps[place(&d.lamps, t)?];
                Some(self.fed(Link::new(subject, lit), Load::Lamp(t.clone())))
            }
            Subject::Channel(t, k) => self.channel(subject, place(&d.controllers, t)?, *k),
            Subject::DcSupply(t) => Some(self.dc_supply(subject, place(&d.dc_supplies, t)?)),
            Subject::Controller(t) => Some(self.controller(subject, place(&d.controllers, t)?)),
            Subject::Motor(t) => Some(self.motor(subject, place(&d.motors, t)?)),
            Subject::Volts(load) => self.volts(subject, load),
            Subject::Conductor(id) => {
                d.conductors.iter().find(|c| c.id == *id)?;
                given(true)
            }
            Subject::Joined { .. } => Some(Link::new(subject, false).end(End::Missing)),
            Subject::Input(t, bit) => self.input(subject, place(&d.controllers, t)?, *bit),
            Subject::Output(t, bit) => self.output(subject, place(&d.controllers, t)?, *bit),
            Subject::Variable(name) => self.variable(subject, name),
            Subject::Read(name) => self.read(subject, name, None),
            Subject::TimeUp(instance) => self.time_up(subject, instance, None),
            Subject::Compared(comparison) => self.compared(subject, comparison, None),
            Subject::Passed(rung) => self.passed(subject, *rung, None),
        }
    }

    /// The link of a member of a set.
    pub(super) fn follow(&self, flip: &Flip) -> Option<Link> {
        let (subject, value) = (&flip.subject, Some(flip.value));
        match subject {
            Subject::Read(name) => self.read(subject, name, value),
            Subject::TimeUp(instance) => self.time_up(subject, instance, value),
            Subject::Compared(comparison) => self.compared(subject, comparison, value),
            Subject::Passed(rung) => self.passed(subject, *rung, value),
            _ => self.link(subject),
        }
    }

    /// Why a thing is not as its cause would have it: it follows in the next tick, or the drawing does not say why.
    fn pending(&self) -> End {
        let moving = self.state.stale || self.state.awake.contacts || self.state.awake.contactors;
        if moving { End::NextTick } else { End::Disagrees }
    }

    /// A link that has its value from the volts of its load.
    fn fed(&self, link: Link, load: Load) -> Link {
        if self.present(&load, &[]) != link.value {
            return link.end(self.pending());
        }
        let value = link.value;
        link.by(Subject::Volts(load), value)
    }

    fn latch(&self, subject: &Subject, i: usize) -> Option<Link> {
        let (data, o) = (&self.design.overloads[i].data.overload, &self.state.overloads[i]);
        let end = if !o.tripped {
            End::Given
        } else if o.cool() {
            End::Cold
        } else {
            End::Hot((o.deflection(data) / TRIP_HEAT * 1000.0) as u32)
        };
        Some(Link::new(subject, o.tripped).end(end))
    }

    /// A contact, by its number.
    fn contact(&self, subject: &Subject, number: usize) -> Link {
        let (d, s) = (self.design, self.state);
        let contact = &d.contacts[number];
        let value = self.now.get(number);
        let link = Link::new(subject, value);
        if contact.forced.is_some() {
            return link.end(End::Fault);
        }
        let when =
            |now: bool, link: Link| if now { link } else { Link::new(subject, value).end(self.pending()) };
        match contact.source {
            ContactSource::Control(i, closed_in) => {
                let tag = d.controls[i].tag.clone();
                let position = controls::position(d, s, i);
                if value != controls::closed(closed_in, position) {
                    link.end(time(Timing::Bounce, 0u32, 3u32))
                } else if d.controls[i].data.control.is_pressed() {
                    link.by(Subject::Button(tag), position == 2)
                } else {
                    link.by(Subject::Position(tag, position), true)
                }
            }
            ContactSource::Main(i, _)
            | ContactSource::AuxMake(i)
            | ContactSource::AuxBreak(i)
            | ContactSource::EarlyMake(i)
            | ContactSource::LateBreak(i) => {
                let c = &d.contactors[i];
                let a = s.contactors[i].armature;
                let follows_main =
                    matches!(contact.source, ContactSource::Main(..) | ContactSource::AuxMake(_));
                if let Some(end) = self.welded(i, contact.source) {
                    return link.end(end);
                }
                if s.contactors[i].bounce != 0 && follows_main {
                    return link.end(time(Timing::Bounce, 0u32, s.contactors[i].bounce));
                }
                let shut = match contact.source {
                    ContactSource::AuxBreak(_) => a.break_shut(),
                    ContactSource::EarlyMake(_) => !a.break_shut(),
                    ContactSource::LateBreak(_) => !a.main_shut(),
                    _ => a.main_shut(),
                };
                if shut == value && !follows_main && a.break_shut() == a.main_shut() {
                    return link.end(self.travel(i));
                }
                when(shut == value, link.by(Subject::Armature(c.tag.clone()), a.main_shut()))
            }
            ContactSource::TimedMake(i) | ContactSource::TimedBreak(i) => {
                let (c, r) = (&d.contactors[i], &s.contactors[i]);
                let rest = if matches!(contact.source, ContactSource::TimedBreak(_)) {
                    r.timer.contact.break_shut()
                } else {
                    r.timer.contact.main_shut()
                };
                let (_, setting) = c.data.timing.unwrap_or_default();
                if rest != value || !r.timer.contact.at_rest() {
                    link.end(End::NextTick)
                } else if r.timer.energised != r.timer.driven {
                    link.end(time(Timing::TimerRelay, (s.tick - r.timer.since) as u32, setting as u32))
                } else {
                    link.by(Subject::Coil(c.tag.clone()), r.timer.energised)
                }
            }
            ContactSource::TripBreak(i) => {
                let (tag, o) = (&d.overloads[i].tag, &s.overloads[i]);
                let latch = Flip::new(Subject::Latch(tag.clone()), o.tripped);
                let stop = Flip::new(Subject::StopActuator(tag.clone()), o.stop_held);
                let set = match (o.tripped, o.stop_held) {
                    (true, true) => vec![latch, stop],
                    (_, false) => vec![latch],
                    (false, true) => vec![stop],
                };
                when(o.break_shut() == value, link.because(set))
            }
            ContactSource::TripMake(i) => {
                let (tag, o) = (&d.overloads[i].tag, &s.overloads[i]);
                when(o.tripped == value, link.by(Subject::Latch(tag.clone()), o.tripped))
            }
            ContactSource::Switch(i, pole) => {
                let (tag, w) = (&d.switches[i].tag, &s.switches[i]);
                let lever = Flip::new(Subject::Lever(tag.clone()), w.closed);
                let melted = w.open_poles[pole];
                let fuse = Flip::new(Subject::FuseLink(tag.clone(), pole as u8 + 1), !melted);
                let set = match (w.closed, melted) {
                    (false, true) => vec![lever, fuse],
                    (true, true) => vec![fuse],
                    (_, false) => vec![lever],
                };
                when((w.closed && !melted) == value, link.because(set))
            }
            ContactSource::SwitchAux(i, form) => {
                let (tag, closed) = (&d.switches[i].tag, s.switches[i].closed);
                when(value == (closed == (form == Form::Make)), link.by(Subject::Lever(tag.clone()), closed))
            }
            ContactSource::SwitchTrip(i, form) => {
                let (tag, w) = (&d.switches[i].tag, &s.switches[i]);
                // Tripped, its lever is open; opened by a hand it is too.
                let why = if w.closed || w.tripped {
                    link.by(Subject::Lever(tag.clone()), w.closed)
                } else {
                    link.end(End::Given)
                };
                when(value == (w.tripped == (form == Form::Make)), why)
            }
            ContactSource::Position(i, form) => {
                let tag = d.position_switches[i].tag.clone();
                let is = actuated(d, s, i);
                when(value == (is == (form == Form::Make)), link.by(Subject::Actuated(tag), is))
            }
            ContactSource::Output(c, channel) => {
                let (tag, k) = (&d.controllers[c].tag, &s.controllers[c]);
                let relay = k.relays[channel];
                let drive = k.outputs >> channel & 1 != 0;
                let whole = if drive { RELAY_CLOSE_MS } else { RELAY_OPEN_MS };
                if k.contacts[channel].damaged {
                    link.end(End::Damaged)
                } else if relay.closed != value {
                    link.end(self.pending())
                } else if drive != value {
                    link.end(time(Timing::Relay, relay.elapsed, whole))
                } else {
                    link.by(Subject::Output(tag.clone(), channel as u8), drive)
                }
            }
        }
    }

    /// What welded poles do to a contact: they hold themselves, and mirror contacts open.
    fn welded(&self, i: usize, source: ContactSource) -> Option<End> {
        let (data, own) = (&self.design.contactors[i].data, self.state.contactors[i].welded);
        let mask = match source {
            ContactSource::Main(_, pole) => 1u8 << pole,
            ContactSource::AuxBreak(_) if data.mirror => u8::MAX,
            _ => 0,
        };
        if data.welded & mask != 0 {
            Some(End::Fault)
        } else if own & mask != 0 {
            Some(End::Damaged)
        } else {
            None
        }
    }

    /// Where a travelling armature is.
    fn travel(&self, i: usize) -> End {
        let delays = self.design.contactors[i].data.delays;
        let a = self.state.contactors[i].armature;
        match a.place {
            Place::ClosingBreakShut | Place::ClosingAllOpen => {
                time(Timing::Closing, a.elapsed, delays.main_close_ms)
            }
            Place::ReleasedAllOpen => {
                let whole = delays.main_open_ms + delays.break_close_ms;
                time(Timing::Releasing, delays.main_open_ms + a.elapsed, whole)
            }
            _ => time(Timing::Releasing, a.elapsed, delays.main_open_ms),
        }
    }

    fn armature(&self, subject: &Subject, i: usize) -> Link {
        let (c, s) = (&self.design.contactors[i], &self.state.contactors[i]);
        let a = s.armature;
        let link = Link::new(subject, a.main_shut());
        let attracted = s.attracted && !c.data.coil_open && !s.coil.burnt;
        let coil = Flip::new(Subject::Coil(c.tag.clone()), attracted);
        let hand = Flip::new(Subject::Hand(c.tag.clone()), s.pushed);
        let pulled = attracted || s.pushed;
        let blockers = self.blockers(i);
        match (a.place, pulled) {
            (Place::In, true) => link.because(match (attracted, s.pushed) {
                (true, true) => vec![coil, hand],
                (true, false) => vec![coil],
                _ => vec![hand],
            }),
            (Place::Out | Place::ReleasedAllOpen, false) => link.because([coil]).because(blockers),
            (Place::ClosingAllOpen, true)
                if !blockers.is_empty() && a.elapsed >= c.data.delays.main_close_ms =>
            {
                link.because(blockers)
            }
            (Place::ReleasingMainShut, false) if a.elapsed >= c.data.delays.main_open_ms => {
                link.end(End::Disagrees)
            }
            (Place::ClosingBreakShut | Place::ClosingAllOpen, true) | (Place::ReleasingMainShut, false) => {
                link.end(self.travel(i))
            }
            _ => link.end(self.pending()),
        }
    }

    /// What keeps an armature out by the mechanical interlock: the other armature, and each welded pole of it.
    fn blockers(&self, i: usize) -> Vec<Flip> {
        let d = self.design;
        let Some(other) = d.contactors[i].data.interlocked else { return Vec::new() };
        let is_in = self.state.contactors[other].armature.main_shut();
        let armature = is_in.then(|| Flip::new(Subject::Armature(d.contactors[other].tag.clone()), true));
        let welded = contactors::welded(d, self.state, other);
        let poles = d.contacts.iter().enumerate().filter(|(_, c)| match c.source {
            ContactSource::Main(k, pole) => k == other && welded >> pole & 1 != 0,
            _ => false,
        });
        armature.into_iter().chain(poles.map(|(n, _)| Flip::new(contact(d, n), true))).collect()
    }

    fn channel(&self, subject: &Subject, i: usize, k: u8) -> Option<Link> {
        let (c, s) = (&self.design.controllers[i], &self.state.controllers[i]);
        c.data.inputs.get(usize::from(k))?;
        let link = Link::new(subject, s.raw >> k & 1 != 0);
        Some(if s.destroyed >> k & 1 != 0 {
            link.end(End::Destroyed)
        } else if c.data.dead >> k & 1 != 0 {
            link.end(End::Fault)
        } else {
            self.fed(link, Load::Channel(c.tag.clone(), k))
        })
    }

    fn dc_supply(&self, subject: &Subject, i: usize) -> Link {
        let (c, s) = (&self.design.dc_supplies[i], &self.state.dc_supplies[i]);
        let value = self.now.get(c.data.bit);
        let link = Link::new(subject, value);
        let data = &c.data.supply;
        match s.phase {
            _ if output(s) != value => link.end(self.pending()),
            DcPhase::Starting => link.end(time(Timing::StartUp, s.elapsed, data.start_up_ms)),
            DcPhase::HoldingUp => {
                let (elapsed, whole) = hold_up_ms(data, s);
                link.end(time(Timing::HoldUp, elapsed, whole))
            }
            DcPhase::On | DcPhase::Off => self.fed(link, Load::Primary(c.tag.clone())),
        }
    }

    fn controller(&self, subject: &Subject, i: usize) -> Link {
        let (c, s) = (&self.design.controllers[i], &self.state.controllers[i]);
        let link = Link::new(subject, s.phase == ControllerPhase::Running);
        if s.phase == ControllerPhase::Starting {
            return link.end(time(Timing::StartUp, s.elapsed, c.data.controller.start_up_ms));
        }
        if s.phase == ControllerPhase::Stopped {
            return link.end(if s.overrun { End::Overrun } else { End::Given });
        }
        self.fed(link, Load::Controller(c.tag.clone()))
    }

    fn motor(&self, subject: &Subject, i: usize) -> Link {
        let (m, s) = (&self.design.motors[i], &self.state.motors[i]);
        let turning = s.turning() != 0;
        let link = Link::new(subject, turning);
        let load = Load::Motor(m.tag.clone());
        let fed = self.present(&load, &[]);
        let volts = Flip::new(Subject::Volts(load), fed);
        let jam = Flip::new(Subject::Jam(m.tag.clone()), s.jammed);
        match (turning, fed, s.jammed) {
            (true, true, _) | (false, false, false) => link.because([volts]),
            (false, false, true) => link.because([volts, jam]),
            (false, true, true) => link.because([jam]),
            (true, false, _) if m.data.load.pull != 0.0 => link.end(End::Weight),
            (true, false, _) => link.end(End::Inertia),
            (false, true, false) => {
                let held = m.data.brakes.iter().filter(|b| !self.state.brakes[b.number].released);
                let brakes = held.map(|b| Subject::Brake(self.design.brakes[b.number].tag.clone()));
                let set: Vec<Flip> = brakes.map(|b| Flip::new(b, false)).collect();
                let stopped = m
                    .data
                    .load
                    .way
                    .as_ref()
                    .is_some_and(|way| way.bars(s.position_nm, s.torque + m.data.load.pull));
                match (set.is_empty(), stopped) {
                    (false, _) => link.because(set),
                    (true, true) => link.end(End::EndStop),
                    (true, false) => link.end(End::Inertia),
                }
            }
        }
    }

    fn brake(&self, subject: &Subject, i: usize) -> Link {
        let (b, s) = (&self.design.brakes[i], &self.state.brakes[i]);
        let link = Link::new(subject, s.released);
        if b.data.coil_open && !s.energised && !s.released {
            return link.end(End::Fault);
        }
        if !s.at_rest() {
            let whole = if s.energised { b.data.brake.release_ms } else { b.data.brake.apply_ms };
            return link.end(time(Timing::Brake, s.elapsed, whole));
        }
        self.fed(link, Load::Brake(b.tag.clone()))
    }

    fn volts(&self, subject: &Subject, load: &Load) -> Option<Link> {
        self.pairs(load)?;
        let (value, volts) = self.level(load, &[]);
        let mut link = Link::new(subject, value);
        link.millivolts = Some((volts * 1000.0) as u32);
        if self.by_field(load) {
            return Some(link.end(End::Field));
        }
        let set = self.decides(load);
        if set.is_empty() {
            return Some(link.end(if value && self.straight(load) {
                End::Supply
            } else if !value && self.bridged(load) {
                End::Bridged
            } else {
                End::NotFound
            }));
        }
        Some(link.because(set.into_iter().map(|i| self.flip(i))))
    }

    /// With every supply off the load has no volts.
    fn straight(&self, load: &Load) -> bool {
        let on = (0..self.design.supplies.len()).filter(|&i| self.now.get(self.design.supplies[i].data));
        !self.present(load, &on.map(Item::Supply).collect::<Vec<_>>())
    }

    fn flip(&self, item: Item) -> Flip {
        let (d, key) = (self.design, &self.now);
        match item {
            Item::Contact(i) => Flip::new(contact(d, i), key.get(i)),
            Item::Supply(i) => {
                Flip::new(Subject::Supply(d.supplies[i].tag.clone()), key.get(d.supplies[i].data))
            }
            Item::Dc(i) => {
                let dc = &d.dc_supplies[i];
                Flip::new(Subject::DcSupply(dc.tag.clone()), key.get(dc.data.bit))
            }
            Item::Conductor(c) => Flip::new(Subject::Conductor(d.conductors[c].id.clone()), true),
            Item::Join(a, b, back) => {
                Flip::new(Subject::Joined { from: self.terminal(a), to: self.terminal(b), back }, false)
            }
        }
    }

    /// The terminal of a node; for earth that of the first supply.
    fn terminal(&self, node: u32) -> Terminal {
        let found = self.design.nodes.iter().find(|(_, n)| **n == node && node != EARTH);
        let earth = || Terminal::new(self.design.supplies.first().map_or("", |s| &s.tag), "PE");
        found.map_or_else(earth, |(t, _)| t.clone())
    }
}
