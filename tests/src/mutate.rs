//! A generator of broken input: seeded, so that the same seed gives the same sequence on every machine.
//!
//! It starts from whole examples and damages them as accidents and malice do: bytes flipped, cut, doubled, moved,
//! joined with another example; words of the format put where they do not belong; numbers at the edge of their range;
//! brackets nested far too deep. An input that the reader answered in a new way is kept as a further example, so the
//! search goes on from what got deepest.

/// At most this many bytes an input: what grows without bound tests only the patience of the reader.
const MAX_BYTES: usize = 1 << 16;

/// At most this many examples are kept besides the given ones.
const MAX_KEPT: usize = 512;

/// Numbers at which readers break: the limits of the integer types, and what lies just beyond.
const EDGE_NUMBERS: [&str; 16] = [
    "0",
    "-1",
    "-0",
    "255",
    "256",
    "65535",
    "65536",
    "2147483647",
    "-2147483649",
    "4294967296",
    "9223372036854775807",
    "18446744073709551616",
    "999999999999999999999999999999",
    "0.1",
    "1e999",
    "NaN",
];

/// Pairs that nest, in the text formats that are read.
const NESTS: [(&str, &str); 8] = [
    ("(", ")"),
    ("[", "]"),
    ("{", "}"),
    ("[[", "]]"),
    ("not ", ""),
    ("(*", "*)"),
    ("{\"a\":", "}"),
    ("-", ""),
];

/// A sequence of random numbers: SplitMix64 (Steele, Lea, Flood: Fast splittable pseudorandom number generators, 2014).
#[derive(Clone, Debug)]
pub struct Dice {
    state: u64,
}

impl Dice {
    /// Starts a sequence.
    pub fn new(seed: u64) -> Self {
        Self { state: seed }
    }

    /// The next number of 64 bits.
    pub fn number(&mut self) -> u64 {
        self.state = self.state.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.state;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    }

    /// A number below `bound`; 0 if `bound` is 0.
    pub fn below(&mut self, bound: usize) -> usize {
        if bound == 0 { 0 } else { (self.number() % bound as u64) as usize }
    }

    /// One of the items; `None` if there is none.
    pub fn pick<'a, T>(&mut self, items: &'a [T]) -> Option<&'a T> {
        items.get(self.below(items.len()))
    }
}

/// Makes inputs from examples.
#[derive(Clone, Debug)]
pub struct Mutator {
    dice: Dice,
    given: usize,
    examples: Vec<Vec<u8>>,
    words: Vec<Vec<u8>>,
}

impl Mutator {
    /// Starts a sequence from whole examples and the words of the format. Both may be empty.
    pub fn new(seed: u64, examples: &[&[u8]], words: &[&str]) -> Self {
        let mut examples: Vec<Vec<u8>> = examples.iter().map(|example| example.to_vec()).collect();
        if examples.is_empty() {
            examples.push(Vec::new());
        }
        let words = words.iter().chain(&EDGE_NUMBERS).map(|word| word.as_bytes().to_vec()).collect();
        Self { dice: Dice::new(seed), given: examples.len(), examples, words }
    }

    /// The next input, of at most 64 KiB.
    pub fn next_input(&mut self) -> Vec<u8> {
        let mut input = self.dice.pick(&self.examples).cloned().unwrap_or_default();
        // Mostly a single wound, so that what lies behind it is still read; now and then many.
        let wounds = 1 + self.dice.below(3) * self.dice.below(6);
        for _ in 0..wounds {
            self.damage(&mut input);
            input.truncate(MAX_BYTES);
        }
        input
    }

    /// Keeps an input as an example, in the place of an older one if there are many.
    pub fn keep(&mut self, input: Vec<u8>) {
        if self.examples.len() < self.given + MAX_KEPT {
            self.examples.push(input);
        } else {
            let place = self.given + self.dice.below(MAX_KEPT);
            self.examples[place] = input;
        }
    }

    fn damage(&mut self, input: &mut Vec<u8>) {
        let at = self.dice.below(input.len() + 1);
        let (from, to) = self.span(input.len());
        match self.dice.below(12) {
            0 if at < input.len() => input[at] ^= 1 << self.dice.below(8),
            1 if at < input.len() => input[at] = self.dice.number() as u8,
            2 => input.insert(at, self.dice.number() as u8),
            3 => drop(input.drain(from..to)),
            4 => input.truncate(at),
            5 => self.repeat(input, from, to),
            6 => self.move_span(input, from, to),
            7 => self.splice(input, at),
            8 => self.put_word(input, at, at),
            9 => {
                let (start, end) = word_around(input, at);
                self.put_word(input, start, end);
            }
            10 => self.nest(input, at),
            _ => self.swap_lines(input),
        }
    }

    /// A part of an input, mostly short.
    fn span(&mut self, length: usize) -> (usize, usize) {
        let from = self.dice.below(length + 1);
        let reach = if self.dice.below(4) == 0 { length } else { 16 };
        (from, (from + self.dice.below(reach + 1)).min(length))
    }

    fn repeat(&mut self, input: &mut Vec<u8>, from: usize, to: usize) {
        let part = input[from..to].to_vec();
        let times = if self.dice.below(8) == 0 { 1000 } else { 1 + self.dice.below(4) };
        let times = times.min(MAX_BYTES / part.len().max(1));
        insert(input, to, &part.repeat(times));
    }

    fn move_span(&mut self, input: &mut Vec<u8>, from: usize, to: usize) {
        let part: Vec<u8> = input.drain(from..to).collect();
        let at = self.dice.below(input.len() + 1);
        insert(input, at, &part);
    }

    /// Goes on with the end of another example.
    fn splice(&mut self, input: &mut Vec<u8>, at: usize) {
        if let Some(other) = self.dice.pick(&self.examples) {
            let from = self.dice.below(other.len() + 1);
            let other = &self.examples[self.dice.below(self.examples.len())][..];
            input.truncate(at);
            input.extend_from_slice(&other[from.min(other.len())..]);
        }
    }

    fn put_word(&mut self, input: &mut Vec<u8>, from: usize, to: usize) {
        if let Some(word) = self.dice.pick(&self.words) {
            input.splice(from..to, word.iter().copied());
        }
    }

    /// Opens a bracket very many times; closes it as often, or not at all.
    fn nest(&mut self, input: &mut Vec<u8>, at: usize) {
        let (open, close) = NESTS[self.dice.below(NESTS.len())];
        let deep = [10, 100, 1000, 20_000][self.dice.below(4)].min(MAX_BYTES / 2 / open.len());
        let shut = if self.dice.below(2) == 0 { deep } else { 0 };
        let (_, end) = word_around(input, at);
        insert(input, end, close.repeat(shut).as_bytes());
        insert(input, at, open.repeat(deep).as_bytes());
    }

    fn swap_lines(&mut self, input: &mut Vec<u8>) {
        let mut lines: Vec<&[u8]> = input.split_inclusive(|byte| *byte == b'\n').collect();
        if lines.len() > 1 {
            let (one, other) = (self.dice.below(lines.len()), self.dice.below(lines.len()));
            lines.swap(one, other);
            *input = lines.concat();
        }
    }
}

fn insert(input: &mut Vec<u8>, at: usize, part: &[u8]) {
    input.splice(at..at, part.iter().copied());
}

/// The letters and digits around a place.
fn word_around(input: &[u8], at: usize) -> (usize, usize) {
    let inside = |byte: &u8| byte.is_ascii_alphanumeric() || *byte == b'_';
    let start = input[..at].iter().rposition(|byte| !inside(byte)).map_or(0, |place| place + 1);
    let end = input[at..].iter().position(|byte| !inside(byte)).map_or(input.len(), |length| at + length);
    (start, end)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    const EXAMPLE: &[u8] = b"VAR a AT %IX0.0 : BOOL; END_VAR\nb := (a AND NOT b);\n";

    fn sequence(seed: u64) -> Vec<Vec<u8>> {
        let mut mutator = Mutator::new(seed, &[EXAMPLE, b"{\"a\": [1, 2]}"], &["AND", ":="]);
        (0..5000).map(|_| mutator.next_input()).collect()
    }

    // The first three numbers of the sequence that starts at 1234567, as the generator's authors publish them.
    #[test]
    fn the_dice_are_those_of_the_paper() {
        let mut dice = Dice::new(1_234_567);
        let numbers = [dice.number(), dice.number(), dice.number()];
        assert_eq!(numbers, [6457827717110365317, 3203168211198807973, 9817491932198370423]);
    }

    #[test]
    fn a_seed_fixes_the_sequence() {
        assert_eq!(sequence(1), sequence(1));
        assert_ne!(sequence(1), sequence(2));
    }

    #[test]
    fn inputs_differ_and_stay_within_bounds() {
        let inputs = sequence(3);
        assert!(inputs.iter().all(|input| input.len() <= MAX_BYTES));
        let different: BTreeSet<_> = inputs.iter().collect();
        assert!(different.len() > inputs.len() / 2, "{} of {}", different.len(), inputs.len());
    }

    #[test]
    fn it_nests_deeply_cuts_short_and_leaves_utf8() {
        let inputs = sequence(4);
        assert!(
            inputs.iter().any(|input| input.windows(900).any(|part| part.iter().all(|byte| *byte == b'(')))
        );
        assert!(inputs.iter().any(|input| !input.is_empty() && EXAMPLE.starts_with(input)));
        assert!(inputs.iter().any(|input| std::str::from_utf8(input).is_err()));
    }

    #[test]
    fn a_kept_input_is_taken_up() {
        let mut mutator = Mutator::new(5, &[EXAMPLE], &[]);
        mutator.keep(b"@@@@@@@@@@@@@@@@@@@@@@@@@@@@@@@@".to_vec());
        assert!((0..50).any(|_| mutator.next_input().windows(8).any(|part| part == b"@@@@@@@@")));
        for _ in 0..2 * MAX_KEPT {
            mutator.keep(vec![1]);
        }
        assert_eq!(mutator.examples.len(), 1 + MAX_KEPT);
        assert_eq!(mutator.examples[0], EXAMPLE);
    }
}
