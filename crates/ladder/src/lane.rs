//! What a scan computes in: the bits and numbers of one lane or of many.

use std::ops::{BitAnd, BitOr, BitXor};

/// A bit in each of some lanes, and a whole number in each.
///
/// The laws of contacts, timers, counters and comparisons are written once over this and hold for one lane (`u8`) and for
/// 64 (`u64`). Numbers have 32 bits in two's complement. Where one is known to need fewer, sign included, `digits` says
/// so; that changes no result.
pub(crate) trait Lane:
    Copy + BitAnd<Output = Self> + BitOr<Output = Self> + BitXor<Output = Self>
{
    /// A number in each lane.
    type Count: Copy;
    /// 0 in every lane.
    const NONE: Self;
    /// 1 in every lane.
    const ALL: Self;

    /// 1 in every lane or in none, for -1 and 0. What lies beyond the lanes may be 1 too.
    fn all(flip: i8) -> Self;

    /// The opposite in every lane.
    fn not(self) -> Self {
        self ^ Self::ALL
    }

    /// Where the number is `value`.
    fn is(count: &Self::Count, value: i32, digits: u32) -> Self;
    /// Where the number is less than `value`.
    fn is_less(count: &Self::Count, value: i32, digits: u32) -> Self;
    /// One more where `up` is 1, one less where `down` is 1; both are nowhere 1, and the result needs no more digits.
    fn step(count: &mut Self::Count, up: Self, down: Self, digits: u32);
    /// Becomes `value` where the bit is 1.
    fn put(count: &mut Self::Count, bit: Self, value: i32, digits: u32);

    /// The same number in every lane.
    fn same(value: i32) -> Self::Count;
    /// The number times a factor, modulo 2^32.
    fn times(count: &Self::Count, factor: u32) -> Self::Count;
    /// Where two numbers are the same.
    fn equal(a: &Self::Count, b: &Self::Count) -> Self;
    /// Where one number is less than the other.
    fn less(a: &Self::Count, b: &Self::Count) -> Self;
}

impl Lane for u8 {
    type Count = u32;
    const NONE: u8 = 0;
    const ALL: u8 = 1;

    fn all(flip: i8) -> u8 {
        flip as u8
    }

    fn is(count: &u32, value: i32, _: u32) -> u8 {
        u8::from(*count as i32 == value)
    }

    fn is_less(count: &u32, value: i32, _: u32) -> u8 {
        u8::from((*count as i32) < value)
    }

    fn step(count: &mut u32, up: u8, down: u8, _: u32) {
        *count = count.wrapping_add(u32::from(up)).wrapping_sub(u32::from(down));
    }

    fn put(count: &mut u32, bit: u8, value: i32, _: u32) {
        let mask = u32::from(bit).wrapping_neg();
        *count = *count & !mask | value as u32 & mask;
    }

    fn same(value: i32) -> u32 {
        value as u32
    }

    fn times(count: &u32, factor: u32) -> u32 {
        count.wrapping_mul(factor)
    }

    fn equal(a: &u32, b: &u32) -> u8 {
        u8::from(a == b)
    }

    fn less(a: &u32, b: &u32) -> u8 {
        u8::from((*a as i32) < *b as i32)
    }
}

/// Bits of a number.
pub(crate) const DIGITS: usize = 32;

/// A number in each of 64 lanes: a word for each binary digit, the lowest first.
pub(crate) type Digits = [u64; DIGITS];

/// Lane `n` is bit `n`.
impl Lane for u64 {
    type Count = Digits;
    const NONE: u64 = 0;
    const ALL: u64 = u64::MAX;

    fn all(flip: i8) -> u64 {
        i64::from(flip) as u64
    }

    fn is(count: &Digits, value: i32, digits: u32) -> u64 {
        !count.iter().take(digits as usize).zip(each(value)).fold(0, |differ, (a, b)| differ | (a ^ b))
    }

    fn is_less(count: &Digits, value: i32, digits: u32) -> u64 {
        lesser(count.iter().copied().zip(each(value)).take(digits as usize))
    }

    fn step(count: &mut Digits, up: u64, down: u64, digits: u32) {
        // What is added is 1, or -1, which is 1 in every digit.
        let (low, high) = count.split_at_mut(digits as usize);
        let mut carry = up;
        for digit in low.iter_mut() {
            let sum = *digit ^ down;
            let next = *digit & down | carry & sum;
            *digit = sum ^ carry;
            carry = next;
        }
        high.fill(low.last().copied().unwrap_or(0));
    }

    fn put(count: &mut Digits, bit: u64, value: i32, _: u32) {
        for (digit, value) in count.iter_mut().zip(each(value)) {
            *digit = *digit & !bit | value & bit;
        }
    }

    fn same(value: i32) -> Digits {
        let mut count = [0; DIGITS];
        count.iter_mut().zip(each(value)).for_each(|(digit, value)| *digit = value);
        count
    }

    fn times(count: &Digits, factor: u32) -> Digits {
        let mut product = [0; DIGITS];
        for shift in (0..DIGITS).filter(|shift| factor >> shift & 1 != 0) {
            let mut carry = 0;
            for digit in shift..DIGITS {
                let (a, b) = (product[digit], count[digit - shift]);
                product[digit] = a ^ b ^ carry;
                carry = a & b | carry & (a ^ b);
            }
        }
        product
    }

    fn equal(a: &Digits, b: &Digits) -> u64 {
        !a.iter().zip(b).fold(0, |differ, (a, b)| differ | (a ^ b))
    }

    fn less(a: &Digits, b: &Digits) -> u64 {
        lesser(a.iter().copied().zip(b.iter().copied()))
    }
}

/// The digits of the same number in every lane.
fn each(value: i32) -> impl Iterator<Item = u64> {
    (0..DIGITS).map(move |digit| u64::from(value as u32 >> digit & 1).wrapping_neg())
}

/// Where the first of two numbers is the lesser, from their digits, the last of which is the sign.
fn lesser(digits: impl Iterator<Item = (u64, u64)>) -> u64 {
    let (mut less, mut differ) = (0, 0);
    for (a, b) in digits {
        differ = a ^ b;
        less = !a & b | !differ & less;
    }
    // Without signs the one with the highest digit is the greater; with signs it is the lesser.
    less ^ differ
}

#[cfg(test)]
mod tests {
    use super::*;

    const NUMBERS: [i32; 10] = [0, 1, -1, 2, 5, -7, 32_767, -32_768, i32::MAX, i32::MIN];

    fn number(count: &Digits, lane: usize) -> i32 {
        count.iter().enumerate().map(|(digit, word)| ((word >> lane & 1) as u32) << digit).sum::<u32>() as i32
    }

    /// Different numbers in the lanes: what each operation gives in a lane is what integers give.
    #[test]
    fn every_lane_computes_as_integers_do() {
        let lanes = |of: &dyn Fn(usize) -> i32| -> Digits {
            std::array::from_fn(|digit| {
                (0..64).map(|lane| u64::from(of(lane) as u32 >> digit & 1) << lane).sum()
            })
        };
        for turn in 0..NUMBERS.len() {
            let left = |lane: usize| NUMBERS[lane % NUMBERS.len()];
            let right = |lane: usize| NUMBERS[(lane * 3 + turn) % NUMBERS.len()];
            let (a, b, value) = (lanes(&left), lanes(&right), left(turn));
            let (up, down) = (0x5a5a_1234_5678_9abc_u64, !0x5a5a_1234_5678_9abc_u64 & 0xf0f0_f0f0_0f0f_0f0f);
            let (mut stepped, mut put) = (a, a);
            u64::step(&mut stepped, up, down, 32);
            u64::put(&mut put, up, value, 32);
            let product = u64::times(&a, value as u32);
            for lane in 0..64 {
                let bit = |word: u64| (word >> lane & 1) as i32;
                let one = left(lane) as u32;
                assert_eq!(number(&a, lane), left(lane));
                assert_eq!(number(&u64::same(value), lane), value);
                assert_eq!(bit(u64::equal(&a, &b)), i32::from(left(lane) == right(lane)));
                assert_eq!(bit(u64::less(&a, &b)), i32::from(left(lane) < right(lane)));
                assert_eq!(bit(u64::is(&a, value, 32)), u8::is(&one, value, 32).into());
                assert_eq!(bit(u64::is(&a, value, 32)), i32::from(left(lane) == value));
                assert_eq!(bit(u64::is_less(&a, value, 32)), u8::is_less(&one, value, 32).into());
                assert_eq!(bit(u64::is_less(&a, value, 32)), i32::from(left(lane) < value));
                assert_eq!(number(&stepped, lane), left(lane).wrapping_add(bit(up)).wrapping_sub(bit(down)));
                assert_eq!(number(&put, lane), if bit(up) == 1 { value } else { left(lane) });
                assert_eq!(number(&product, lane), left(lane).wrapping_mul(value));
            }
        }
    }

    /// Fewer digits, sign included, change nothing where they do.
    #[test]
    fn fewer_digits_do_for_small_numbers() {
        for from in -8..8 {
            for to in -8..8 {
                let mut count = u64::same(from);
                assert_eq!(u64::is(&count, to, 4) == u64::MAX, from == to);
                assert_eq!(u64::is_less(&count, to, 4) == u64::MAX, from < to);
                let (up, down) = (u64::from(from < 7) * 0xff, u64::from(from > -8) * 0xff00);
                u64::step(&mut count, up, down, 4);
                assert_eq!(number(&count, 0), (from + 1).min(7));
                assert_eq!((number(&count, 8), number(&count, 16)), ((from - 1).max(-8), from));
            }
        }
    }
}
