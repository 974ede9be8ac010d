//! A seal over what is hidden in a job, so that it cannot be read by eye in the file, in the page or in its storage.
//!
//! That is all it can do: a program that runs on the learner's machine can open it, and so can a person who reads the program. It
//! keeps an honest learner from stumbling over the answer, and no more.
//!
//! Form: base 64 for addresses (RFC 4648 section 5, without padding) of the text, each byte added to one of a stream of SHA-256
//! hashes over the job's id and a count, behind the first eight bytes of the text's own hash, by which damage is noticed.

use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD as LETTERS;
use sealin_core::canon::Writer;

/// Most bytes of a seal.
pub(super) const MOST_BYTES: usize = 16 << 10;

/// Bytes of the hash that stand before the text.
const CHECK: usize = 8;

/// The stream of a job.
fn stream(id: &str) -> impl Iterator<Item = u8> {
    (0u64..).flat_map(move |block| {
        let mut w = Writer::new("sealin seal 1");
        w.str(id).u64(block);
        w.finish()
    })
}

fn check(id: &str, text: &str) -> [u8; CHECK] {
    let mut w = Writer::new("sealin sealed 1");
    w.str(id).str(text);
    std::array::from_fn({
        let hash = w.finish();
        move |k| hash[k]
    })
}

/// Seals a text for a job.
pub(super) fn seal(text: &str, id: &str) -> String {
    let bytes = check(id, text).into_iter().chain(text.bytes());
    let sealed: Vec<u8> = bytes.zip(stream(id)).map(|(byte, key)| byte ^ key).collect();
    LETTERS.encode(sealed)
}

/// Opens what [`seal`] has sealed for the same job.
///
/// # Errors
/// That it was damaged, or is of another job.
pub(super) fn open(sealed: &str, id: &str) -> Result<String, String> {
    let damaged = || "`sealed`: it was changed, or belongs to another job; seal it anew".to_string();
    let bytes = LETTERS.decode(sealed.trim()).map_err(|_| damaged())?;
    let mut plain: Vec<u8> = bytes.into_iter().zip(stream(id)).map(|(byte, key)| byte ^ key).collect();
    if plain.len() < CHECK {
        return Err(damaged());
    }
    let text = String::from_utf8(plain.split_off(CHECK)).map_err(|_| damaged())?;
    if plain == check(id, &text) { Ok(text) } else { Err(damaged()) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn opens_for_its_job_only() {
        let text = "2 conductor S04 open\n3 QA1 13-14 dirty 730";
        let sealed = seal(text, "one-job");
        assert_eq!(open(&sealed, "one-job").as_deref(), Ok(text));
        assert!(!sealed.contains("S04") && open(&sealed, "other-job").is_err());
        for k in 0..sealed.len() {
            let mut other: Vec<u8> = sealed.bytes().collect();
            other[k] = if other[k] == b'A' { b'B' } else { b'A' };
            assert!(open(std::str::from_utf8(&other).unwrap(), "one-job").is_err(), "{k}");
        }
        assert!(open("", "one-job").is_err() && open("?", "one-job").is_err());
    }
}
