//! The front end as WebAssembly, with the glue that lets a page load it.

use std::path::Path;

use anyhow::{Context, Result};
use clap::ValueEnum;
use wasm_bindgen_cli_support::Bindgen;

use crate::run;
use crate::toolchain::{TARGET, Toolchain};

/// How the front end is compiled: a profile of the workspace's Cargo.toml.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Profile {
    /// Small and fast to run.
    Web,
    /// Quick to build again.
    WebWatch,
}

impl Profile {
    fn name(self) -> &'static str {
        match self {
            Profile::Web => "web",
            Profile::WebWatch => "web-watch",
        }
    }
}

/// Compiles the front end and writes `sealin.js` and `sealin_bg.wasm` into `out`.
///
/// # Errors
/// If there is no toolchain for it, if it does not compile, or if the glue cannot be made.
pub fn build(profile: Profile, out: &Path) -> Result<()> {
    let toolchain = Toolchain::find()?;
    let mut cargo = toolchain.cargo();
    cargo.args([
        "build",
        "--package",
        "sealin-web",
        "--lib",
        "--target",
        TARGET,
        "--profile",
        profile.name(),
    ]);
    run::check(&mut cargo)?;
    let module = toolchain.target_dir().join(TARGET).join(profile.name()).join("sealin_web.wasm");
    glue(&module, profile == Profile::WebWatch, out)
}

fn glue(module: &Path, keep_names: bool, out: &Path) -> Result<()> {
    Bindgen::new()
        .input_path(module)
        .out_name("sealin")
        .web(true)?
        .typescript(false)
        .debug(false)
        .remove_name_section(!keep_names)
        .remove_producers_section(true)
        // Without it a plain `init()` does not know where the module is.
        .omit_default_module_path(false)
        .generate(out)
        .with_context(|| format!("could not make the glue for {}", module.display()))
}
