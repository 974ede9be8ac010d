//! The monitors of a requirement, a quantum at a time.

use super::interner::Interner;
use super::pairs::Pairs;
use crate::expr::{Formula, Memory, Verdict};
use sealin_core::Design;

/// What a quantum does to the monitors.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(super) enum Judged {
    /// Nothing is broken; what they remember afterwards.
    Kept(u32),
    /// Formula `.0` is broken at tick `.1` of the quantum.
    Broken(u8, u8),
    /// What the requirement assumes is not so: this path does not count.
    Unassumed,
}

/// The formulas of a requirement and of what it assumes.
pub(super) struct Judge {
    formulas: Vec<(Formula, bool)>,
    /// The first so many are required, the others assumed.
    required: usize,
    /// Numbers of the signals in a word, in their order.
    signals: Vec<usize>,
    /// The place of a signal among them, by number.
    places: Vec<u8>,
    /// What all of them remember, packed.
    memories: Interner<u128>,
    /// What they may be shown in a quantum: a word, and of how many ticks.
    views: Interner<(u128, u8)>,
    /// By memory and view: the memory afterwards, or from [`OTHERWISE`] on a number in `otherwise`.
    known: Pairs,
    otherwise: Interner<Judged>,
    /// Memories to work in.
    room: Vec<Memory>,
    before: Vec<Memory>,
    values: Vec<bool>,
    /// Formulas that were put to the test.
    tested: Vec<bool>,
}

/// From here on a value in [`Judge::known`] is no memory.
const OTHERWISE: u32 = 1 << 31;

/// Most bits that the monitors of an exploration may remember.
const MEMORY_BITS: u32 = u128::BITS;

impl Judge {
    /// # Errors
    /// The first name or bound that does not fit the design, or that there is too much to remember.
    pub fn new(required: &[Verdict], assumed: &[Verdict], design: &Design) -> Result<Judge, String> {
        let formula =
            |v: &Verdict| Formula::new(&v.of, design).map(|f| (f, v.always)).map_err(|e| e.to_string());
        let formulas: Vec<(Formula, bool)> =
            required.iter().chain(assumed).map(formula).collect::<Result<_, String>>()?;
        let mut signals: Vec<usize> = formulas.iter().flat_map(|(f, _)| f.signals()).collect();
        signals.sort_unstable();
        signals.dedup();
        let mut places = vec![0; design.signals.len()];
        signals.iter().enumerate().for_each(|(place, &n)| places[n] = place as u8);
        let judge = Judge {
            required: required.len(),
            signals,
            places,
            memories: Interner::new(),
            views: Interner::new(),
            known: Pairs::new(),
            otherwise: Interner::new(),
            room: formulas.iter().map(|(f, _)| f.memory()).collect(),
            before: Vec::new(),
            values: Vec::new(),
            tested: vec![false; required.len()],
            formulas,
        };
        if judge.bits() > MEMORY_BITS {
            return Err(format!("the formulas need {} bits; there is room for {MEMORY_BITS}", judge.bits()));
        }
        Ok(judge)
    }

    /// Numbers of the signals in a word, in their order.
    pub fn signals(&self) -> &[usize] {
        &self.signals
    }

    /// What the monitors remember before the first tick.
    pub fn start(&mut self) -> u32 {
        let memories: Vec<Memory> = self.formulas.iter().map(|(f, _)| f.memory()).collect();
        self.number(&memories)
    }

    /// What is remembered under a number: of the required formulas, then of the assumed ones.
    #[cfg(feature = "under-test")]
    pub fn memories(&self, number: u32) -> Vec<Memory> {
        let mut memories: Vec<Memory> = self.formulas.iter().map(|(f, _)| f.memory()).collect();
        self.unpack(*self.memories.value(number), &mut memories);
        memories
    }

    /// Whether every required formula was put to the test in what has been judged.
    pub fn all_tested(&self) -> bool {
        self.tested.iter().all(|&tested| tested)
    }

    /// Whether there is anything to judge.
    pub fn has_formulas(&self) -> bool {
        self.required > 0
    }

    /// Bits that the monitors remember.
    pub fn bits(&self) -> u32 {
        self.formulas.iter().map(|(f, _)| f.memory_bits()).sum()
    }

    /// Bytes that what they remember takes, by number.
    pub fn bytes(&self) -> usize {
        self.memories.bytes()
    }

    /// Bytes that what follows from what takes.
    #[cfg(feature = "under-test")]
    pub fn footprint(&self) -> usize {
        self.known.bytes() + self.views.bytes()
    }

    /// The number of what they are shown in a quantum, or the first `ticks` ticks of it.
    pub fn view(&mut self, word: u128, ticks: u32) -> u32 {
        self.views.number((word, ticks as u8))
    }

    /// Judges what is shown, from what was remembered under `memory`.
    #[inline]
    pub fn judge(&mut self, memory: u32, view: u32) -> Judged {
        let known = self.known.get(memory, view).unwrap_or_else(|| self.judge_anew(memory, view));
        if known < OTHERWISE { Judged::Kept(known) } else { *self.otherwise.value(known - OTHERWISE) }
    }

    #[cold]
    fn judge_anew(&mut self, memory: u32, view: u32) -> u32 {
        let (word, ticks) = *self.views.value(view);
        let mut room = std::mem::take(&mut self.room);
        self.unpack(*self.memories.value(memory), &mut room);
        let known = match self.run(&mut room, word, ticks) {
            Some(otherwise) => OTHERWISE + self.otherwise.number(otherwise),
            None => self.number(&room),
        };
        self.room = room;
        self.known.put(memory, view, known);
        known
    }

    /// Shows a word to the monitors. Gives what ends it.
    fn run(&mut self, memories: &mut [Memory], word: u128, ticks: u8) -> Option<Judged> {
        let width = self.signals.len();
        let shown = |tick: usize| word >> (tick * width) & ((1 << width) - 1);
        for tick in 0..usize::from(ticks) {
            // Where nothing is new and nothing was remembered, nothing is until something is shown again.
            let same = tick > 1 && shown(tick) == shown(tick - 1);
            if same && self.before == memories {
                continue;
            }
            memories.clone_into(&mut self.before);
            let (now, places) = (shown(tick), &self.places);
            let signal = |n: usize| now >> places[n] & 1 != 0;
            let mut broken = None;
            for (k, ((formula, always), memory)) in self.formulas.iter().zip(memories.iter_mut()).enumerate()
            {
                // Its first tick is a grid instant.
                let (value, tested) = formula.step_watching(memory, tick as u64, &signal, &mut self.values);
                if k < self.required {
                    self.tested[k] |= tested;
                }
                if value != *always && (broken.is_none() || k >= self.required) {
                    broken = Some(k);
                }
            }
            match broken {
                Some(k) if k >= self.required => return Some(Judged::Unassumed),
                Some(k) => return Some(Judged::Broken(k as u8, tick as u8)),
                None => {}
            }
        }
        None
    }

    fn number(&mut self, memories: &[Memory]) -> u32 {
        let (mut packed, mut at) = (0, 0);
        for ((formula, _), memory) in self.formulas.iter().zip(memories) {
            for (value, width) in formula.fields(memory) {
                packed |= u128::from(value) << at;
                at += width;
            }
        }
        self.memories.number(packed)
    }

    fn unpack(&self, mut packed: u128, memories: &mut [Memory]) {
        for ((formula, _), memory) in self.formulas.iter().zip(memories) {
            formula.set_fields(memory, |width| {
                let value = packed & ((1 << width) - 1);
                packed >>= width;
                value as u32
            });
        }
    }
}
