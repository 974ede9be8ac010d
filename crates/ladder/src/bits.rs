//! Numbers side by side in words of 64 bits, from bit 0 of the first word on.

/// Puts the low `width` bits of `value`, at most 64, at bit `at`. They must be 0 there so far, and there must be room.
pub fn put(words: &mut [u64], at: u32, width: u32, value: u64) {
    let (word, shift) = ((at / 64) as usize, at % 64);
    let value = value & mask(width);
    words[word] |= value << shift;
    if shift + width > 64 {
        words[word + 1] |= value >> (64 - shift);
    }
}

/// The `width` bits at bit `at`, at most 64.
pub fn get(words: &[u64], at: u32, width: u32) -> u64 {
    let (word, shift) = ((at / 64) as usize, at % 64);
    let mut value = words[word] >> shift;
    if shift + width > 64 {
        value |= words[word + 1] << (64 - shift);
    }
    value & mask(width)
}

fn mask(width: u32) -> u64 {
    u64::MAX.checked_shr(64 - width).unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Every width at every place of a word comes back, between others that stay as they are.
    #[test]
    fn numbers_come_back_wherever_they_lie() {
        for width in 1..=64 {
            let value = 0xa5c3_96e1_0f2d_8b47 & mask(width);
            for at in 1..64 {
                let mut words = [0; 3];
                put(&mut words, 0, at, u64::MAX);
                put(&mut words, at, width, value);
                put(&mut words, at + width, 64, u64::MAX);
                assert_eq!(get(&words, at, width), value, "{width} bits at {at}");
                assert_eq!((get(&words, 0, at), get(&words, at + width, 64)), (mask(at), u64::MAX));
            }
        }
    }
}
