//! Canonical bytes and their SHA-256: fields in order, LEB128 integers, length-prefixed UTF-8. Written by hand, so that
//! no derive and no JSON text decides what a hash means.

use sha2::{Digest, Sha256};

/// A SHA-256 value.
pub type Hash = [u8; 32];

/// Takes fields in order and hashes their canonical bytes.
#[derive(Clone, Debug)]
pub struct Writer {
    hasher: Sha256,
}

impl Writer {
    /// Starts with a label that keeps hashes of different things apart.
    pub fn new(label: &str) -> Self {
        let mut w = Writer { hasher: Sha256::new() };
        w.str(label);
        w
    }

    /// An unsigned integer, LEB128.
    pub fn u64(&mut self, mut value: u64) -> &mut Self {
        let mut bytes = [0u8; 10];
        let mut n = 0;
        loop {
            let low = (value & 0x7f) as u8;
            value >>= 7;
            bytes[n] = if value == 0 { low } else { low | 0x80 };
            n += 1;
            if value == 0 {
                break;
            }
        }
        self.hasher.update(&bytes[..n]);
        self
    }

    /// A signed integer, zigzag and LEB128.
    pub fn i64(&mut self, value: i64) -> &mut Self {
        self.u64(((value << 1) ^ (value >> 63)) as u64)
    }

    /// A truth value, one byte.
    pub fn bool(&mut self, value: bool) -> &mut Self {
        self.u64(u64::from(value))
    }

    /// Text: length in bytes, then UTF-8. Normal form C is the caller's: our files are checked for it.
    pub fn str(&mut self, text: &str) -> &mut Self {
        self.bytes(text.as_bytes())
    }

    /// Bytes: length, then the bytes.
    pub fn bytes(&mut self, bytes: &[u8]) -> &mut Self {
        self.u64(bytes.len() as u64);
        self.hasher.update(bytes);
        self
    }

    /// A floating-point number by its bits; every NaN is the same one.
    pub fn f64(&mut self, value: f64) -> &mut Self {
        let bits = if value.is_nan() { f64::NAN.to_bits() & !(1 << 63) } else { value.to_bits() };
        self.hasher.update(bits.to_le_bytes());
        self
    }

    /// The hash of all that was taken.
    pub fn finish(&self) -> Hash {
        self.hasher.clone().finalize().into()
    }
}

/// A hash as 64 hexadecimal digits.
pub fn hex(hash: &Hash) -> String {
    hash.iter().map(|b| format!("{b:02x}")).collect()
}

/// Reads 64 hexadecimal digits.
pub fn from_hex(text: &str) -> Option<Hash> {
    let bytes = text.as_bytes();
    if bytes.len() != 64 {
        return None;
    }
    let digit = |c: u8| (c as char).to_digit(16).map(|d| d as u8);
    let mut hash = [0u8; 32];
    for (byte, pair) in hash.iter_mut().zip(bytes.chunks_exact(2)) {
        *byte = digit(pair[0])? << 4 | digit(pair[1])?;
    }
    Some(hash)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Golden vectors, computed outside with `printf … | sha256sum` on the bytes written beside each.
    #[test]
    fn golden_vectors() {
        // Label "" is the single byte 00.
        assert_eq!(
            hex(&Writer::new("").finish()),
            "6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d"
        );
        // 01 61 | ac 02 (300) | 03 (−2 zigzag) | 01 (true) | 02 c3 a9 ("é")
        let mut w = Writer::new("a");
        w.u64(300).i64(-2).bool(true).str("é");
        assert_eq!(hex(&w.finish()), GOLDEN_FIELDS);
    }

    const GOLDEN_FIELDS: &str = "9c6a7338f127db2a952951faaf02c2d24edefa446488ca9e1365d2d351338894";

    #[test]
    fn hex_and_back() {
        let hash = Writer::new("x").finish();
        assert_eq!(from_hex(&hex(&hash)), Some(hash));
        assert_eq!(from_hex("zz"), None);
    }
}
