//! Starting and ending the server, the driver and the browser; what concerns the page as a whole.

use std::cell::Cell;
use std::path::{Path, PathBuf};
use std::process::Stdio;
use std::sync::Mutex;
use std::time::{Duration, Instant};

use anyhow::{Context, Result, bail};
use serde_json::{Value, json};
use tempfile::TempDir;
use thirtyfour::common::print::{PrintMargins, PrintPage, PrintParameters};
use thirtyfour::{
    CapabilitiesHelper, ChromiumLikeCapabilities, DesiredCapabilities, LoggingPrefsLogLevel, WebDriver,
};
use tokio::io::{AsyncBufReadExt, BufReader};
use tokio::process::{Child, Command};
use tokio::task::JoinHandle;

use super::PATIENCE;

/// Flags for a browser without a screen that asks nothing of the network.
const FLAGS: [&str; 10] = [
    "--headless=new",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--hide-scrollbars",
    "--force-color-profile=srgb",
];

/// The screen that a test has.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum View {
    /// 1440 × 900, mouse and keys.
    Desk,
    /// 390 × 844 at twice the density, touch.
    Phone,
}

/// A browser with one page, a server of the built site, and the driver between.
pub struct Browser {
    pub(super) driver: WebDriver,
    address: String,
    server: JoinHandle<Result<()>>,
    chromedriver: Child,
    severe: Mutex<Vec<String>>,
    pub(super) view: Cell<View>,
    downloads: TempDir,
    _profile: TempDir,
}

impl Browser {
    /// Starts all three, the page still empty.
    ///
    /// # Errors
    /// If `SEALIN_DIST` is not set or names no site, or a program is missing.
    pub async fn start(view: View) -> Result<Browser> {
        let site = site()?;
        let listener = xtask::server::bind(0).await?;
        let address = format!("http://{}/", listener.local_addr()?);
        let server = tokio::spawn(xtask::server::serve(listener, site));
        let (chromedriver, driver_port) = start_chromedriver().await?;
        let (profile, downloads) = (tempfile::tempdir()?, tempfile::tempdir()?);

        let mut wishes = DesiredCapabilities::chrome();
        for flag in FLAGS {
            wishes.add_arg(flag)?;
        }
        wishes.add_arg(&format!("--user-data-dir={}", profile.path().display()))?;
        if let Some(chromium) = xtask::run::find_program("chromium") {
            wishes.set_binary(&chromium.to_string_lossy())?;
        }
        wishes.set_browser_log_level(LoggingPrefsLogLevel::All)?;
        // A dialog of the page ("leave without saving?") is for the test to answer.
        wishes.set("unhandledPromptBehavior", "ignore")?;
        let driver = WebDriver::new(format!("http://127.0.0.1:{driver_port}"), wishes)
            .await
            .context("chromedriver could not start chromium")?;
        let browser = Browser {
            driver,
            address,
            server,
            chromedriver,
            severe: Mutex::default(),
            view: Cell::new(view),
            downloads,
            _profile: profile,
        };
        browser.set_view(view).await?;
        let path = browser.downloads.path().to_string_lossy().into_owned();
        browser
            .cdp("Browser.setDownloadBehavior", json!({ "behavior": "allow", "downloadPath": path }))
            .await?;
        Ok(browser)
    }

    /// Changes the screen, as turning or exchanging a device would.
    pub async fn set_view(&self, view: View) -> Result<()> {
        let (width, height, density, phone) = match view {
            View::Desk => (1440, 900, 1, false),
            View::Phone => (390, 844, 2, true),
        };
        self.view.set(view);
        self.set_screen(width, height, density, phone).await
    }

    /// A screen of any size, in CSS pixels and device pixels to one of them; with `touch` a phone's.
    pub async fn set_screen(&self, width: u32, height: u32, density: u32, touch: bool) -> Result<()> {
        let screen =
            json!({ "width": width, "height": height, "deviceScaleFactor": density, "mobile": touch });
        self.cdp("Emulation.setDeviceMetricsOverride", screen).await?;
        self.cdp("Emulation.setTouchEmulationEnabled", json!({ "enabled": touch, "maxTouchPoints": 5 }))
            .await
            .map(drop)
    }

    /// What the person has set the system to: light or dark, and less motion.
    pub async fn prefer(&self, dark: bool, less_motion: bool) -> Result<()> {
        let features = json!([
            { "name": "prefers-color-scheme", "value": if dark { "dark" } else { "light" } },
            { "name": "prefers-reduced-motion", "value": if less_motion { "reduce" } else { "no-preference" } },
        ]);
        self.cdp("Emulation.setEmulatedMedia", json!({ "features": features })).await.map(drop)
    }

    /// The address of the site, which ends in `/`.
    pub fn address(&self) -> &str {
        &self.address
    }

    /// Opens a page of the site: a path, query or fragment (`"#wiring"`), or `""` for the start.
    pub async fn open(&self, page: &str) -> Result<()> {
        Ok(self.driver.goto(format!("{}{page}", self.address)).await?)
    }

    /// Loads the page again, as a person does who fears for what was done.
    pub async fn reload(&self) -> Result<()> {
        Ok(self.driver.refresh().await?)
    }

    /// The title of the page.
    pub async fn title(&self) -> Result<String> {
        Ok(self.driver.title().await?)
    }

    /// The text of the page that can be seen.
    pub async fn text(&self) -> Result<String> {
        let text = self.evaluate("document.body.innerText").await?;
        Ok(text.as_str().unwrap_or_default().to_owned())
    }

    /// The value of an expression in the page. For reading; what a person does is done by hand.
    pub async fn evaluate(&self, expression: &str) -> Result<Value> {
        let wish = json!({ "expression": expression, "returnByValue": true, "awaitPromise": true });
        let answer = self.cdp("Runtime.evaluate", wish).await?;
        if let Some(details) = answer.get("exceptionDetails") {
            bail!("`{expression}` threw: {details}");
        }
        Ok(answer["result"]["value"].clone())
    }

    /// Waits until an expression in the page is true.
    ///
    /// # Errors
    /// If it is not after [`PATIENCE`].
    pub async fn until(&self, expression: &str) -> Result<()> {
        let end = Instant::now() + PATIENCE;
        while self.evaluate(expression).await? != Value::Bool(true) {
            if Instant::now() > end {
                bail!("`{expression}` did not become true");
            }
            pause().await;
        }
        Ok(())
    }

    /// Waits until the page's visible text holds `wanted`.
    ///
    /// # Errors
    /// If it does not after [`PATIENCE`].
    pub async fn until_text(&self, wanted: &str) -> Result<()> {
        self.until(&format!("document.body.innerText.includes({})", json!(wanted))).await
    }

    /// Every severe entry of the console since the start: errors, files not found, breaches of the policy.
    pub async fn severe_entries(&self) -> Result<Vec<String>> {
        let fresh = self.driver.browser_log().await?;
        let mut severe = self.severe.lock().unwrap_or_else(|poisoned| poisoned.into_inner());
        severe.extend(fresh.into_iter().filter(|entry| entry.level == "SEVERE").map(|entry| entry.message));
        Ok(severe.clone())
    }

    /// Forgets the severe entries so far, and returns them: for a test that provokes one.
    pub async fn take_severe_entries(&self) -> Result<Vec<String>> {
        self.severe_entries().await?;
        let mut severe = self.severe.lock().unwrap_or_else(|poisoned| poisoned.into_inner());
        Ok(std::mem::take(&mut *severe))
    }

    /// Writes a picture (PNG) of the screen; the folder is made if it is missing.
    pub async fn screenshot(&self, path: &Path) -> Result<()> {
        if let Some(dir) = path.parent() {
            std::fs::create_dir_all(dir)?;
        }
        Ok(self.driver.screenshot(path).await?)
    }

    /// The page as a file (PDF), printed on paper of this width and height in cm without margins; by the size that the page
    /// asks for, or else scaled to the paper.
    pub async fn print(&self, (width, height): (f64, f64), by_page: bool) -> Result<Vec<u8>> {
        let parameters = PrintParameters {
            page: PrintPage { width, height },
            margin: PrintMargins { top: 0.0, bottom: 0.0, left: 0.0, right: 0.0 },
            shrink_to_fit: !by_page,
            ..PrintParameters::default()
        };
        Ok(self.driver.print_page(parameters).await?)
    }

    /// Waits until a download is complete, and returns its path. Take it away by `std::fs::rename` or remove it before the
    /// next one.
    ///
    /// # Errors
    /// If there is none after [`PATIENCE`].
    pub async fn downloaded(&self) -> Result<PathBuf> {
        let end = Instant::now() + PATIENCE;
        loop {
            let files: Vec<PathBuf> =
                std::fs::read_dir(self.downloads.path())?.flatten().map(|entry| entry.path()).collect();
            // A download under way has a name of its own and is renamed at its end.
            let under_way = |path: &PathBuf| path.extension().is_some_and(|end| end == "crdownload");
            if let [file] = &files[..]
                && !under_way(file)
            {
                return Ok(file.clone());
            }
            if Instant::now() > end {
                bail!("no complete download, but {files:?}");
            }
            pause().await;
        }
    }

    /// Stops the server: from now on the network does not answer.
    pub fn stop_server(&self) {
        self.server.abort();
    }

    /// A command of the browser's debugging protocol, for what WebDriver has no word for.
    pub async fn cdp(&self, method: &str, parameters: Value) -> Result<Value> {
        self.driver.cdp().send_raw(method, parameters).await.with_context(|| format!("{method} failed"))
    }

    /// Ends the browser and its driver.
    pub async fn quit(mut self) {
        if let Err(error) = self.driver.quit().await {
            eprintln!("the browser did not end well: {error}");
        }
        self.server.abort();
        let _ = self.chromedriver.kill().await;
    }
}

/// A short wait before looking again.
pub(super) async fn pause() {
    tokio::time::sleep(Duration::from_millis(50)).await;
}

fn site() -> Result<PathBuf> {
    let Some(dir) = std::env::var_os("SEALIN_DIST").map(PathBuf::from) else {
        bail!(
            "SEALIN_DIST is not set: run `cargo xtask test`, or set it to a folder made by `cargo xtask dist`"
        );
    };
    if !dir.join("index.html").is_file() {
        bail!("there is no site in {}: make it by `cargo xtask dist`", dir.display());
    }
    Ok(dir)
}

/// Starts the driver on a port of its own choice, and returns that port.
async fn start_chromedriver() -> Result<(Child, u16)> {
    let mut child = Command::new("chromedriver")
        .arg("--port=0")
        .stdin(Stdio::null())
        .stdout(Stdio::piped())
        .kill_on_drop(true)
        .spawn()
        .context("could not start chromedriver; on Debian: apt-get install chromium-driver")?;
    let mut lines = BufReader::new(child.stdout.take().context("chromedriver's output")?).lines();
    while let Some(line) = lines.next_line().await? {
        // `ChromeDriver was started successfully on port 34567.`
        if let Some((_, port)) = line.split_once("successfully on port ") {
            let port = port.trim_end_matches('.').parse().with_context(|| format!("a port in `{line}`"))?;
            // What else it says is read and dropped, or the pipe would fill and stop it.
            tokio::spawn(async move { while let Ok(Some(_)) = lines.next_line().await {} });
            return Ok((child, port));
        }
    }
    bail!("chromedriver ended without naming its port")
}
