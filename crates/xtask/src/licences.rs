//! The licence check: everything that is linked in must be under a licence that may be passed on with ours.

use std::collections::BTreeSet;

use anyhow::{Context, Result, bail};
use cargo_metadata::{Metadata, MetadataCommand, Package};
use spdx::{Expression, ParseMode};

use crate::paths;
use crate::toolchain::TARGET;

/// Licences that ask for no more than their text and notice be kept (SPDX identifiers), with their exceptions.
const ALLOWED: [&str; 10] = [
    "0BSD",
    "Apache-2.0",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "CC0-1.0",
    "ISC",
    "MIT",
    "Unicode-3.0",
    "Unlicense",
    "Zlib",
];

/// Checks every package that is built for this machine or for the browser.
///
/// # Errors
/// If a package names no licence, or one that is not allowed; the message names each.
pub fn check() -> Result<()> {
    let mut bad = BTreeSet::new();
    let mut checked = BTreeSet::new();
    for platform in [host()?, TARGET.to_owned()] {
        for package in &metadata(&platform)?.packages {
            checked.insert(package.id.clone());
            if let Some(reason) = objection(package.license.as_deref()) {
                bad.insert(format!("{} {}: {reason}", package.name, package.version));
            }
        }
    }
    if !bad.is_empty() {
        bail!("licences that are not allowed:\n{}", bad.into_iter().collect::<Vec<_>>().join("\n"));
    }
    println!("{} packages, all under allowed licences", checked.len());
    Ok(())
}

/// The members of the workspace.
///
/// # Errors
/// If cargo cannot read the workspace.
pub fn members() -> Result<Vec<Package>> {
    let metadata = MetadataCommand::new()
        .current_dir(paths::root())
        .no_deps()
        .exec()
        .context("cargo could not read the workspace")?;
    Ok(metadata.packages)
}

/// Everything that is built for one platform. Packages for others are neither fetched nor checked.
fn metadata(platform: &str) -> Result<Metadata> {
    let options = ["--filter-platform".to_owned(), platform.to_owned()];
    MetadataCommand::new()
        .current_dir(paths::root())
        .other_options(options)
        .exec()
        .with_context(|| format!("cargo could not resolve the workspace for {platform}"))
}

fn host() -> Result<String> {
    let version = crate::run::output(crate::run::command("rustc").arg("-vV"))?;
    let host = version.lines().find_map(|line| line.strip_prefix("host: "));
    Ok(host.context("rustc -vV names no host")?.to_owned())
}

fn objection(licence: Option<&str>) -> Option<String> {
    let Some(licence) = licence else { return Some("names no licence".into()) };
    // Older packages write `MIT/Apache-2.0`, which the lax mode reads as a choice.
    let expression = match Expression::parse_mode(licence, ParseMode::LAX) {
        Ok(expression) => expression,
        Err(error) => return Some(format!("`{licence}` is no SPDX expression: {}", error.reason)),
    };
    let allowed =
        expression.evaluate(|wanted| wanted.license.id().is_some_and(|id| ALLOWED.contains(&id.name)));
    (!allowed).then(|| format!("`{licence}` is not allowed"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_choice_needs_one_and_a_sum_needs_all() {
        for good in ["MIT", "MIT OR GPL-3.0-only", "MIT/Apache-2.0", "(MIT OR Apache-2.0) AND Unicode-3.0"] {
            assert_eq!(objection(Some(good)), None, "{good}");
        }
        for bad in ["GPL-3.0-only", "MIT AND LGPL-2.1-only", "Proprietary", ""] {
            assert!(objection(Some(bad)).is_some(), "{bad}");
        }
        assert!(objection(None).is_some());
    }
}
