//! A blinded search: a fitter who sees of the machine only what the page shows in a sealed job, and does what the coach says.
//!
//! The fitter works a session as the page does. The coach is told through [`Answers`], that is by what is in sight and by what
//! instruments show; what was hidden is read from the session once the work is handed in.

use crate::coach::{between, by_suspect, main_job, numbers, rehearsed};
use crate::generate::Random;
use sealin_core::fault::{Mode, Value};
use sealin_core::instruments::{Function, Shown};
use sealin_core::part::{Kind, Part};
use sealin_core::{Bench, BenchAct, Fault, Measurement, Plan, Repair, Terminal};
use sealin_exercise::hunt::Diagnosis;
use sealin_exercise::scenario::Scenario;
use sealin_exercise::session::Session;
use sealin_proof::suspects::{Answers, Rehearsal, Suspect, Way};
use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

/// Repairs after which the fitter gives up (own choice): a person would have called for help.
const MOST_REPAIRS: usize = 12;

/// Searches on one machine (own choice): for the fault, and for what it has damaged.
const MOST_ROUNDS: usize = 3;

/// A pole that reads less is closed, mOhm (own choice): windings of a motor of this size have an ohm and more.
const MOST_CLOSED_MILLIOHM: i64 = 500;

/// Time until a motor and its overload have cooled enough to start again, ticks: twenty minutes (own choice).
const COLD: u64 = 1_200_000;

/// What became of one search.
#[derive(Clone, Debug)]
pub struct Search {
    /// What was hidden.
    pub hidden: Fault,
    /// Something of it is to be seen in the usual operation; the search of one that does not show is not begun.
    pub shows: bool,
    /// Readings of the coach.
    pub readings: usize,
    /// Repairs, those in vain with them.
    pub repairs: Vec<Repair>,
    /// What it was, as far as the fitter can tell: the first is written down, and no reading tells the others from it.
    pub named: Vec<Fault>,
    /// It is gone.
    pub gone: bool,
    /// All that the job wants to see was seen after the last repair.
    pub shown: bool,
}

impl Search {
    /// The part or conductor at fault is the one that was written down.
    pub fn names_part(&self) -> bool {
        self.named.first().is_some_and(|named| named.subject == self.hidden.subject)
    }

    /// So are place and kind.
    pub fn names_fault(&self) -> bool {
        self.named.first().is_some_and(|named| Suspect::of(named) == Suspect::of(&self.hidden))
    }

    /// The fault is among those that no reading told apart and one repair puts right, it is gone, and the machine was shown at work.
    pub fn is_found(&self) -> bool {
        let hidden = Suspect::of(&self.hidden);
        self.named.iter().any(|named| Suspect::of(named) == hidden) && self.gone && self.shown
    }
}

/// A fault of the main job for a seed: any place of the catalogue, of what has values one between the lowest and the highest.
pub fn drawn(all: &BTreeMap<Suspect, Vec<Fault>>, seed: u64) -> Fault {
    let mut random = Random::new(seed);
    let listed = random.pick(&all.values().collect::<Vec<_>>()).as_slice();
    let mut fault = random.pick(listed).clone();
    // A place is below nil as well as above.
    if let (Some(least), Some(most)) = (numbers(listed).min(), numbers(listed).max())
        && fault.mode != Mode::Displaced
        && 0 < least
        && least < most
    {
        fault.value = Value::Number(between([least, most], &mut random));
    }
    fault
}

/// A sealed job on the main job's panel with this in it.
fn job(hidden: &Fault) -> Rc<Scenario> {
    let text = include_str!("blind.toml").replace("HIDDEN", &hidden.to_string());
    Rc::new(Scenario::parse(&text).unwrap_or_else(|all| panic!("{hidden}: {all:?}")))
}

/// The main job rehearsed by the coach, for any number of searches.
pub struct Blind {
    plan: Plan,
    all: BTreeMap<Suspect, Vec<Fault>>,
    rehearsal: Rehearsal,
    way: Way,
    /// Names of what is in sight.
    names: Vec<String>,
    /// Whether each is on, on a sound machine at the end of each situation.
    sound: Vec<Vec<bool>>,
}

impl Blind {
    /// Rehearses everything that can be suspected, or every so manieth of it.
    ///
    /// # Panics
    /// If the main job does not ship.
    pub fn of(every: usize) -> Blind {
        let plan = main_job();
        let all: BTreeMap<_, _> = by_suspect(&plan).into_iter().step_by(every).collect();
        let faults: Vec<Fault> = all.values().flatten().cloned().collect();
        let rehearsal = rehearsed(&plan, &faults);
        let way = Way::usual(&plan, |_| true);
        let mut bench = Bench::new(plan.clone()).expect("the main job has a bench");
        let names: Vec<String> = bench.design.in_sight().map(|signal| signal.name.clone()).collect();
        let sound = operation(&way, &names, &mut bench, 0).expect("a bench has its signals");
        Blind { plan, all, rehearsal, way, names, sound }
    }

    /// All that may be hidden, by suspect.
    pub fn all(&self) -> &BTreeMap<Suspect, Vec<Fault>> {
        &self.all
    }

    /// Hides a fault, and searches for it.
    ///
    /// # Errors
    /// What the session refuses.
    pub fn search(&self, hidden: &Fault) -> Result<Search, String> {
        let mut search = Search {
            hidden: hidden.clone(),
            shows: self.rehearsal.shows(&mut self.fitter(hidden)?)?,
            readings: 0,
            repairs: Vec::new(),
            named: Vec::new(),
            gone: false,
            shown: false,
        };
        if !search.shows {
            return Ok(search);
        }
        let mut fitter = self.fitter(hidden)?;
        let mut before = None;
        // What a fault has damaged is another fault once the first is gone.
        for round in 0..MOST_ROUNDS {
            fitter.told = 0;
            let path = self.rehearsal.path(&mut fitter)?;
            search.readings += path.readings();
            let one_of = |(suspect, weight): &(Suspect, f64)| (self.all[suspect][0].clone(), *weight);
            let mut left: Vec<(Fault, f64)> = path.left.iter().map(one_of).collect();
            let mut seen = fitter.operation()?;
            while seen != self.sound && search.repairs.len() < MOST_REPAIRS {
                let Some(repair) = self.next(&left) else { break };
                let (cured, others): (Vec<_>, Vec<_>) =
                    left.into_iter().partition(|(fault, _)| repair.cures(fault, &self.plan.conductors));
                fitter.put_right(&repair)?;
                search.repairs.push(repair);
                left = others;
                let after = fitter.operation()?;
                // What the readings say, or the last of the first round that makes a difference.
                if round == 0 && (after != seen || search.named.is_empty()) {
                    search.named = cured.into_iter().map(|(fault, _)| fault).collect();
                }
                seen = after;
            }
            if seen != self.sound {
                fitter.inspect()?;
                seen = fitter.operation()?;
            }
            if seen == self.sound || before.as_ref() == Some(&seen) {
                break;
            }
            before = Some(seen);
        }
        if let Some(fault) = search.named.first().cloned() {
            fitter.session.diagnose(Diagnosis { fault, evidence: Vec::new() })?;
        }
        fitter.session.hand_in()?;
        let hunt = &fitter.session.fold().hunt;
        search.gone = hunt.was_wrong().all(|(_, cured)| cured);
        search.shown = hunt.shown.iter().all(Option::is_some);
        Ok(search)
    }

    /// At the machine with this hidden in it.
    fn fitter(&self, hidden: &Fault) -> Result<Fitter<'_>, String> {
        let session = Session::new(job(hidden), 0).map_err(|e| e.to_string())?;
        Ok(Fitter { blind: self, session, told: 0 })
    }

    /// The repair that is likeliest to help, for its time.
    fn next(&self, left: &[(Fault, f64)]) -> Option<Repair> {
        let worth = |repair: &Repair| {
            let cured = left.iter().filter(|(fault, _)| repair.cures(fault, &self.plan.conductors));
            cured.map(|(_, weight)| weight).sum::<f64>() / (repair.ticks() + COLD) as f64
        };
        let best = self.repairs().max_by(|a, b| worth(a).total_cmp(&worth(b)))?;
        (worth(&best) > 0.0).then_some(best)
    }

    /// Everything that can be put right.
    fn repairs(&self) -> impl Iterator<Item = Repair> {
        let parts = self.plan.parts.iter().flat_map(|part| {
            let tag = || part.tag.clone();
            let reload = matches!(part.kind, Kind::Controller(_)).then(|| Repair::Reload(tag()));
            [Repair::Swap(tag()), Repair::Adjust(tag())].into_iter().chain(reload)
        });
        let ends = self.plan.conductors.iter().flat_map(|c| [c.from.clone(), c.to.clone()]);
        let ends: BTreeSet<_> = ends.collect();
        let remakes = self.plan.conductors.iter().map(|c| Repair::Remake(c.id.clone()));
        parts.chain(remakes).chain(ends.into_iter().map(Repair::Terminate))
    }
}

/// Goes home and through the usual operation, from a tick on; what is in sight at the end of each situation.
fn operation(
    way: &Way,
    names: &[String],
    bench: &mut dyn Answers,
    mut tick: u64,
) -> Result<Vec<Vec<bool>>, String> {
    let mut seen = Vec::new();
    for (number, situation) in [&way.home].into_iter().chain(&way.situations).enumerate() {
        situation.acts.iter().for_each(|act| bench.act(act));
        tick += situation.rest;
        bench.run_until(tick);
        if number > 0 {
            seen.push(names.iter().map(|name| bench.seen(name)).collect::<Result<_, _>>()?);
        }
    }
    Ok(seen)
}

/// Who works the session.
struct Fitter<'b> {
    blind: &'b Blind,
    session: Session,
    /// Tick of what was told last. Repairs take time of the session that the coach does not count.
    told: u64,
}

impl Fitter<'_> {
    /// Isolates, puts it right, fits new links, closes what has tripped, and lets it cool.
    fn put_right(&mut self, repair: &Repair) -> Result<(), String> {
        self.act(&BenchAct::Power(false));
        self.session.advance(3_000);
        self.session.repair(repair.clone())?;
        let protects = |part: &&Part| matches!(part.kind, Kind::Switchgear(_));
        for part in self.blind.plan.parts.iter().filter(protects) {
            for act in [BenchAct::Open, BenchAct::Replace, BenchAct::Close] {
                self.act(&act(part.tag.clone()));
            }
        }
        self.session.advance(COLD);
        Ok(())
    }

    /// A short circuit may have welded a contactor behind the protective device: one that is closed at rest is swapped.
    fn inspect(&mut self) -> Result<(), String> {
        let contactors = self.blind.plan.parts.iter().filter(|part| matches!(part.kind, Kind::Contactor(_)));
        for part in contactors {
            let mut welded = false;
            for pole in [["1", "2"], ["3", "4"], ["5", "6"]] {
                let [from, to] = pole.map(|name| Terminal::new(&part.tag, name));
                let ohms = Measurement::Between { function: Function::Ohms, from, to };
                let shown = self.session.measure(ohms)?.shown;
                welded |= matches!(shown, Shown::Figure(figure) if figure.thousandths < MOST_CLOSED_MILLIOHM);
            }
            if welded {
                self.session.repair(Repair::Swap(part.tag.clone()))?;
            }
        }
        Ok(())
    }

    /// What is in sight at the end of each situation of the usual operation.
    fn operation(&mut self) -> Result<Vec<Vec<bool>>, String> {
        let (blind, told) = (self.blind, self.told);
        operation(&blind.way, &blind.names, self, told)
    }
}

impl Answers for Fitter<'_> {
    fn act(&mut self, act: &BenchAct) {
        let _ = self.session.bench_act(act.clone());
    }

    fn run_until(&mut self, tick: u64) {
        self.session.advance(tick - self.told);
        self.told = tick;
    }

    fn measure(&mut self, what: &Measurement) -> Result<(Shown, u64), String> {
        let before = self.session.tick();
        let measured = self.session.measure(what.clone())?;
        let ticks = self.session.tick() - before;
        self.told += ticks;
        Ok((measured.shown, ticks))
    }

    fn seen(&mut self, signal: &str) -> Result<bool, String> {
        self.session.bench().signal(signal).ok_or_else(|| format!("there is no signal `{signal}`"))
    }
}
