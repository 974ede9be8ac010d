//! The monitors of a requirement, a quantum at a time.

use super::interner::Interner;
use crate::expr::{Formula, Memory, Verdict};
use rustc_hash::FxHashMap;
use sealin_core::Design;

/// What a quantum does to the monitors.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
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
    memories: Interner<Vec<Memory>>,
    known: FxHashMap<(u32, u32, u8), Judged>,
    /// Formulas that were put to the test.
    tested: Vec<bool>,
}

impl Judge {
    /// # Errors
    /// The first name or bound that does not fit the design.
    pub fn new(required: &[Verdict], assumed: &[Verdict], design: &Design) -> Result<Judge, String> {
        let formula =
            |v: &Verdict| Formula::new(&v.of, design).map(|f| (f, v.always)).map_err(|e| e.to_string());
        let formulas: Vec<(Formula, bool)> =
            required.iter().chain(assumed).map(formula).collect::<Result<_, String>>()?;
        let mut signals: Vec<usize> = formulas.iter().flat_map(|(f, _)| f.signals()).collect();
        signals.sort_unstable();
        signals.dedup();
        Ok(Judge {
            required: required.len(),
            signals,
            memories: Interner::new(),
            known: FxHashMap::default(),
            tested: vec![false; required.len()],
            formulas,
        })
    }

    /// Numbers of the signals in a word, in their order.
    pub fn signals(&self) -> &[usize] {
        &self.signals
    }

    /// What the monitors remember before the first tick.
    pub fn start(&mut self) -> u32 {
        let memories = self.formulas.iter().map(|(f, _)| f.memory()).collect();
        self.memories.number(memories)
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

    /// Judges `ticks` ticks of a word, from what was remembered under `memory`.
    pub fn judge(&mut self, memory: u32, word_number: u32, word: u128, ticks: u32) -> Judged {
        let key = (memory, word_number, ticks as u8);
        if let Some(known) = self.known.get(&key) {
            return *known;
        }
        let judged = self.judge_anew(memory, word, ticks);
        self.known.insert(key, judged);
        judged
    }

    fn judge_anew(&mut self, memory: u32, word: u128, ticks: u32) -> Judged {
        let mut memories = self.memories.value(memory).clone();
        for tick in 0..ticks {
            let place = |n: usize| self.signals.binary_search(&n).expect("a signal of these formulas");
            let signal = |n: usize| word >> (tick as usize * self.signals.len() + place(n)) & 1 != 0;
            let mut broken = None;
            for (k, ((formula, always), memory)) in self.formulas.iter().zip(&mut memories).enumerate() {
                // Its first tick is a grid instant.
                let (value, tested) = formula.step_watching(memory, u64::from(tick), &signal);
                if k < self.required {
                    self.tested[k] |= tested;
                }
                if value != *always && (broken.is_none() || k >= self.required) {
                    broken = Some(k);
                }
            }
            match broken {
                Some(k) if k >= self.required => return Judged::Unassumed,
                Some(k) => return Judged::Broken(k as u8, tick as u8),
                None => {}
            }
        }
        Judged::Kept(self.memories.number(memories))
    }
}
