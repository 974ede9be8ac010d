//! The check for dependencies that nothing uses.
//!
//! It is a search, not a compilation: a dependency counts as used if its name stands as a word in a Rust file of the
//! package. That finds what was left behind and costs nothing; it does not find one that is named in a comment only.
//! A dependency that is needed without being named (for a feature, say) is listed in the package's Cargo.toml:
//!
//! ```toml
//! [package.metadata.xtask]
//! used-unnamed = ["getrandom"]
//! ```

use std::fs;
use std::path::Path;

use anyhow::{Context, Result, bail};

use crate::licences;

/// Checks every member of the workspace.
///
/// # Errors
/// If a dependency is not named; the message lists each.
pub fn check() -> Result<()> {
    let mut unused = Vec::new();
    let mut count = 0;
    for package in licences::members()? {
        let dir = package.manifest_path.parent().context("a manifest without a folder")?;
        let mut sources = String::new();
        read_sources(dir.as_std_path(), &mut sources)?;
        let exempt = package.metadata["xtask"]["used-unnamed"].as_array().cloned().unwrap_or_default();
        for dependency in &package.dependencies {
            let name = dependency.rename.as_ref().unwrap_or(&dependency.name);
            count += 1;
            if !exempt.iter().any(|other| other == name) && !has_word(&sources, &name.replace('-', "_")) {
                unused.push(format!("{} in {}", name, package.name));
            }
        }
    }
    if !unused.is_empty() {
        bail!("dependencies that no source names: {}", unused.join(", "));
    }
    println!("{count} dependencies, each named by a source");
    Ok(())
}

fn read_sources(dir: &Path, sources: &mut String) -> Result<()> {
    for entry in fs::read_dir(dir)? {
        let path = entry?.path();
        if path.is_dir() {
            read_sources(&path, sources)?;
        } else if path.extension().is_some_and(|extension| extension == "rs") {
            sources.push_str(&fs::read_to_string(&path)?);
            sources.push('\n');
        }
    }
    Ok(())
}

fn has_word(text: &str, word: &str) -> bool {
    let joins = |letter: Option<char>| letter.is_some_and(|letter| letter.is_alphanumeric() || letter == '_');
    text.match_indices(word).any(|(at, _)| {
        !joins(text[..at].chars().next_back()) && !joins(text[at + word.len()..].chars().next())
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_part_of_a_word_is_not_the_word() {
        assert!(has_word("use serde::Serialize;", "serde"));
        assert!(!has_word("use serde_json::Value; let deserde = 1;", "serde"));
    }
}
