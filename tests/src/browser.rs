//! A real browser on the built site, worked as a person works it.
//!
//! A browser test is an ignored test in `tests/tests/browser_*.rs` (`cargo xtask test` runs those, with `SEALIN_DIST` set
//! to the folder of the built site):
//!
//! ```no_run
//! use sealin_tests::browser::{View, with_browser};
//!
//! #[test]
//! #[ignore = "needs a browser; run by `cargo xtask test`"]
//! fn the_lamp_lights() {
//!     with_browser("lamp", View::Desk, async |browser| {
//!         browser.open("").await?;
//!         browser.button("Raise").await?.click().await?;
//!         browser.role("img").named("PF1, on").find().await?;
//!         Ok(())
//!     });
//! }
//! ```
//!
//! * Things are found as assistive technology finds them, by role and name in the accessibility tree ([`Search`]), never
//!   by internal ids. A search waits until the thing is there, up to [`PATIENCE`].
//! * Pointer and keys are WebDriver actions (W3C WebDriver, 15); touch is the browser's own touch input. Both are trusted
//!   events that go through hit testing, so a covered button is not pressed.
//! * [`with_browser`] ends the browser whatever happens, leaves a picture in `target/browser/NAME.png` when a test fails, and
//!   fails a test on any severe entry of the console; a breach of the content-security policy is one.
//! * A script that a test injects bypasses the policy, so [`Browser::evaluate`] is for reading only.

mod axe;
mod frames;
mod hands;
mod keyboard;
mod looks;
mod search;
mod session;
mod work;

use std::panic::{AssertUnwindSafe, catch_unwind, resume_unwind};
use std::time::Duration;

use anyhow::{Result, bail};
pub use frames::FrameCost;
pub use looks::{Focus, Target};
pub use search::{Search, Thing};
pub use session::{Browser, View};
pub use thirtyfour::Key;

/// How long a search waits for what is not there yet. Nothing is measured by it; it bounds how long a failing test takes.
pub const PATIENCE: Duration = Duration::from_secs(20);

/// Runs a test in a fresh browser, and ends the browser whatever happens.
///
/// # Panics
/// If the test returns an error or panics, or the console has a severe entry.
pub fn with_browser(name: &str, view: View, test: impl AsyncFnOnce(&Browser) -> Result<()>) {
    let runtime = tokio::runtime::Builder::new_multi_thread().worker_threads(1).enable_all().build();
    let runtime = runtime.expect("a runtime for the test");
    let browser = runtime.block_on(Browser::start(view)).expect("the browser must start");
    let outcome = catch_unwind(AssertUnwindSafe(|| {
        runtime.block_on(async {
            test(&browser).await?;
            let severe = browser.severe_entries().await?;
            if !severe.is_empty() {
                bail!("the console has severe entries:\n{}", severe.join("\n"));
            }
            Ok(())
        })
    }));
    if let Ok(Err(why)) = &outcome {
        // First: of a long output only the beginning may be kept.
        eprintln!("{name}: {why:?}");
    }
    if !matches!(outcome, Ok(Ok(()))) {
        let picture = xtask::paths::target().join("browser").join(format!("{name}.png"));
        match runtime.block_on(browser.screenshot(&picture)) {
            Ok(()) => eprintln!("the screen at the failure: {}", picture.display()),
            Err(error) => eprintln!("no picture of the screen: {error:#}"),
        }
        for entry in runtime.block_on(browser.severe_entries()).unwrap_or_default() {
            eprintln!("console: {entry}");
        }
        if let Ok(tree) = runtime.block_on(browser.outline()) {
            eprintln!("the page as it is read out:\n{tree}");
        }
    }
    runtime.block_on(browser.quit());
    match outcome {
        Ok(Ok(())) => {}
        Ok(Err(error)) => panic!("{error:?}"),
        Err(panic) => resume_unwind(panic),
    }
}
