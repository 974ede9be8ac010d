//! The link form of an attempt: its file compressed (raw DEFLATE, RFC 1951) and written in the letters that an address may
//! hold (base 64 for addresses, RFC 4648 section 5, without padding).

use super::{Attempt, MOST_BYTES};
use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD as LETTERS;
use miniz_oxide::deflate::compress_to_vec;
use miniz_oxide::inflate::decompress_to_vec_with_limit;

/// What stands before the letters in the fragment of an address.
pub const PREFIX: &str = "attempt=";

/// Most letters of a link: what browsers still take in an address.
pub const MOST_LETTERS: usize = 1 << 20;

/// Highest level of compression of the library.
const LEVEL: u8 = 10;

impl Attempt {
    /// The fragment of an address that carries this attempt, without `#`. `None` when it would be longer than
    /// [`MOST_LETTERS`]; then a file carries it.
    pub fn to_fragment(&self) -> Option<String> {
        let packed = compress_to_vec(self.to_json().as_bytes(), LEVEL);
        let fragment = format!("{PREFIX}{}", LETTERS.encode(packed));
        (fragment.len() <= PREFIX.len() + MOST_LETTERS).then_some(fragment)
    }

    /// Reads an attempt from the fragment of an address, with or without `#`. `None` when it is no link to an attempt.
    ///
    /// # Errors
    /// What is wrong with it. Nothing is unpacked beyond [`MOST_BYTES`].
    pub fn from_fragment(fragment: &str) -> Option<Result<Attempt, String>> {
        let letters = fragment.trim_start_matches('#').strip_prefix(PREFIX)?;
        Some(read(letters))
    }
}

fn read(letters: &str) -> Result<Attempt, String> {
    if letters.len() > MOST_LETTERS {
        return Err(format!("the link has {} letters; at most {MOST_LETTERS} are read", letters.len()));
    }
    let cut = || "the link was cut or changed on its way; ask for the file".to_string();
    let packed = LETTERS.decode(letters).map_err(|_| cut())?;
    let bytes = decompress_to_vec_with_limit(&packed, MOST_BYTES).map_err(|_| cut())?;
    let text = String::from_utf8(bytes).map_err(|_| cut())?;
    Attempt::parse(&text).map_err(|error| error.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::attempt::{Act, Entry, Head};
    use sealin_core::BenchAct;

    fn attempt(entries: u64) -> Attempt {
        let mut attempt = Attempt::new(Head {
            scenario: "paddle-closed-loop".into(),
            content_hash: [7; 32],
            embedded: None,
            model_revision: 1,
            seed: 9,
            author: "Ann Ø. Winch".into(),
            started: String::new(),
        });
        for at in 0..entries {
            let line = if at % 2 == 0 { "press SF2" } else { "release SF2" };
            let act = Act::Bench(BenchAct::parse(line).unwrap());
            attempt.entries.push(Entry { at: at * 100, wall_ms: Some(17), act });
        }
        attempt
    }

    #[test]
    fn a_link_carries_the_attempt() {
        let whole = attempt(1_000);
        let fragment = whole.to_fragment().unwrap();
        assert!(fragment.bytes().all(|b| b.is_ascii_alphanumeric() || b"=-_".contains(&b)), "{fragment}");
        assert!(fragment.len() * 5 < whole.to_json().len(), "it is compressed: {} letters", fragment.len());
        for form in [fragment.clone(), format!("#{fragment}")] {
            let read = Attempt::from_fragment(&form).unwrap().unwrap();
            assert_eq!((&read.head, &read.entries), (&whole.head, &whole.entries));
            assert_eq!(read.chain_holds(), Some(true));
        }
    }

    #[test]
    fn what_is_no_link_is_none_and_a_bad_one_is_told() {
        assert!(Attempt::from_fragment("#wiring").is_none());
        assert!(Attempt::from_fragment("").is_none());
        let fragment = attempt(40).to_fragment().unwrap();
        let cut = &fragment[..fragment.len() / 2];
        assert!(Attempt::from_fragment(cut).unwrap().unwrap_err().contains("cut"));
        assert!(Attempt::from_fragment("attempt=%%%").unwrap().unwrap_err().contains("cut"));
        let other = format!("{PREFIX}{}", LETTERS.encode(compress_to_vec(b"{}", 1)));
        assert!(Attempt::from_fragment(&other).unwrap().unwrap_err().contains("line 1"));
    }

    // 64 MB of blanks pack into some 64 kB: they are not unpacked.
    #[test]
    fn a_link_that_unpacks_to_too_much_is_refused() {
        let bomb = compress_to_vec(&vec![b' '; 64 << 20], 1);
        let fragment = format!("{PREFIX}{}", LETTERS.encode(bomb));
        assert!(Attempt::from_fragment(&fragment).unwrap().is_err());
        let long = format!("{PREFIX}{}", "A".repeat(MOST_LETTERS + 1));
        assert!(Attempt::from_fragment(&long).unwrap().unwrap_err().contains("letters"));
    }
}
