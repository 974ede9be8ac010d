//! The size budget: what a first visit may have to load.

use std::collections::BTreeMap;

use anyhow::{Context, Result, bail};

use crate::paths;
use crate::site::Site;

/// The file with the limits.
const FILE: &str = "crates/xtask/size-budget.toml";

/// A size as it lies on the server, and as a server sends it compressed.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, serde::Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Size {
    /// Bytes as they are.
    pub raw_bytes: u64,
    /// Bytes compressed by Brotli (RFC 7932) at quality 11, each file by itself.
    pub brotli_bytes: u64,
}

/// The sizes of a site by kind of file (`wasm`, `scripts`, `styles`), and `all` of it.
pub fn measure(site: &Site) -> Result<BTreeMap<&'static str, Size>> {
    let mut sizes: BTreeMap<&'static str, Size> = BTreeMap::new();
    for (name, content) in &site.files {
        let size = Size { raw_bytes: content.len() as u64, brotli_bytes: compressed(content)? };
        let kind = match name.rsplit('.').next() {
            Some("wasm") => "wasm",
            Some("js") => "scripts",
            Some("css") => "styles",
            _ => "other",
        };
        for kind in [kind, "all"] {
            let sum = sizes.entry(kind).or_default();
            sum.raw_bytes += size.raw_bytes;
            sum.brotli_bytes += size.brotli_bytes;
        }
    }
    sizes.remove("other");
    Ok(sizes)
}

/// Prints the sizes beside their limits.
///
/// # Errors
/// If a size is over its limit, or the file of limits lacks a kind.
pub fn check(site: &Site) -> Result<()> {
    let text = std::fs::read_to_string(paths::root().join(FILE))
        .with_context(|| format!("could not read {FILE}"))?;
    let limits: BTreeMap<String, Size> =
        toml::from_str(&text).with_context(|| format!("{FILE} is not as expected"))?;
    let sizes = measure(site)?;
    println!("{:10} {:>10} {:>10} {:>10} {:>10}", "bytes", "raw", "limit", "brotli", "limit");
    for (kind, size) in &sizes {
        let limit = limits.get(*kind).with_context(|| format!("{FILE} has no table [{kind}]"))?;
        println!(
            "{kind:10} {:>10} {:>10} {:>10} {:>10}",
            size.raw_bytes, limit.raw_bytes, size.brotli_bytes, limit.brotli_bytes
        );
    }
    let over = over_limit(&sizes, &limits);
    if !over.is_empty() {
        bail!(
            "over the size budget: {}. Make it smaller, or raise {FILE} and say why in the commit",
            over.join(", ")
        );
    }
    Ok(())
}

fn over_limit<'a>(sizes: &BTreeMap<&'a str, Size>, limits: &BTreeMap<String, Size>) -> Vec<&'a str> {
    let over = |kind: &str, size: &Size| {
        let limit = limits.get(kind).copied().unwrap_or_default();
        size.raw_bytes > limit.raw_bytes || size.brotli_bytes > limit.brotli_bytes
    };
    sizes.iter().filter(|(kind, size)| over(kind, size)).map(|(kind, _)| *kind).collect()
}

fn compressed(content: &[u8]) -> Result<u64> {
    let parameters = brotli::enc::BrotliEncoderParams { quality: 11, lgwin: 22, ..Default::default() };
    let mut out = Vec::new();
    brotli::BrotliCompress(&mut &content[..], &mut out, &parameters)?;
    Ok(out.len() as u64)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn adds_up_by_kind() {
        let files = [("a.js", 10), ("b.js", 20), ("a_bg.wasm", 300), ("a.css", 4), ("index.html", 5000)];
        let site =
            Site { files: files.into_iter().map(|(name, size)| (name.into(), vec![7; size])).collect() };
        let sizes = measure(&site).unwrap();
        let raw: Vec<_> = sizes.iter().map(|(kind, size)| (*kind, size.raw_bytes)).collect();
        assert_eq!(raw, [("all", 5334), ("scripts", 30), ("styles", 4), ("wasm", 300)]);
        assert!(sizes["all"].brotli_bytes < 200, "equal bytes compress well");
    }

    #[test]
    fn over_either_limit_is_over() {
        let size = |raw_bytes, brotli_bytes| Size { raw_bytes, brotli_bytes };
        let limits = BTreeMap::from([("wasm".to_owned(), size(100, 50))]);
        let over = |raw, brotli| over_limit(&BTreeMap::from([("wasm", size(raw, brotli))]), &limits).len();
        assert_eq!([over(100, 50), over(101, 50), over(100, 51)], [0, 1, 1]);
    }
}
