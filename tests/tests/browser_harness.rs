//! The harness itself: what it does must reach a page as a person's own hands would.

use anyhow::{Result, ensure};
use sealin_tests::browser::{Browser, Key, View, with_browser};

/// Puts a small page of buttons and fields in the place of the bench, which writes down every trusted event.
const BENCH_OF_ITS_OWN: &str = r#"(() => {
  document.title = 'fixture';
  document.body.innerHTML = `
    <button id="raise">Raise</button> <button id="under">Under</button> <button id="far">Far</button>
    <label>Text <textarea id="text"></textarea></label>
    <label>Colour <select id="colour"><option>black</option><option>dark blue</option></select></label>
    <label><input type="checkbox" id="tick"> Tick</label>
    <input type="file" id="file" hidden> <a download="out.txt" id="out" href="icons/sealin.svg">Save</a>
    <div id="cover"></div> <p id="seen" role="status"></p>`;
  const sheet = new CSSStyleSheet();
  sheet.replaceSync(`#cover { position: fixed; background: grey; } #far { position: absolute; top: 3000px; }
    button { width: 90px; height: 40px; touch-action: none; }`);
  document.adoptedStyleSheets = [sheet];
  const under = document.getElementById('under').getBoundingClientRect();
  Object.assign(document.getElementById('cover').style, {
    left: under.left + 'px', top: under.top + 'px', width: under.width + 'px', height: under.height + 'px' });
  globalThis.seen = [];
  for (const kind of ['pointerdown', 'pointerup', 'click', 'keydown', 'change']) {
    addEventListener(kind, (event) => {
      const what = event.key ?? event.pointerType ?? '';
      if (event.isTrusted) seen.push(`${kind} ${event.target.id} ${what}`.trim());
    }, true);
  }
  return true;
})()"#;

async fn set_up(browser: &Browser) -> Result<()> {
    browser.open("").await?;
    // What the bench puts on the page must be there before it is replaced.
    browser.role("heading").first().await?;
    ensure!(browser.evaluate(BENCH_OF_ITS_OWN).await? == true);
    Ok(())
}

/// The trusted events since the last time.
async fn seen(browser: &Browser) -> Result<Vec<String>> {
    let list = browser.evaluate("seen.splice(0)").await?;
    Ok(list.as_array().into_iter().flatten().filter_map(|entry| entry.as_str().map(str::to_owned)).collect())
}

#[test]
#[ignore = "needs a browser; run by `cargo xtask test`"]
fn the_mouse_presses_holds_and_drags() {
    with_browser("harness-mouse", View::Desk, async |browser| {
        set_up(browser).await?;
        browser.button("Raise").await?.hold().await?;
        ensure!(seen(browser).await? == ["pointerdown raise mouse"]);
        browser.release().await?;
        ensure!(seen(browser).await? == ["pointerup raise mouse", "click raise mouse"]);

        let (raise, far) = (browser.button("Raise").await?, browser.button("Far").await?);
        far.click().await?;
        ensure!(browser.evaluate("scrollY > 0").await? == true, "it scrolled to what is far");
        ensure!(seen(browser).await?.last().is_some_and(|last| last == "click far mouse"));
        let text = browser.field("Text").await?;
        raise.drag_onto(&text).await?;
        ensure!(seen(browser).await?[..2] == ["pointerdown raise mouse", "pointerup text mouse"]);

        let covered = browser.button("Under").await?.click().await;
        ensure!(covered.is_err_and(|error| error.to_string().contains("covered by")));
        ensure!(seen(browser).await?.is_empty());
        Ok(())
    });
}

#[test]
#[ignore = "needs a browser; run by `cargo xtask test`"]
fn a_finger_taps_and_rests() {
    with_browser("harness-touch", View::Phone, async |browser| {
        set_up(browser).await?;
        browser.button("Raise").await?.touch().await?;
        ensure!(seen(browser).await? == ["pointerdown raise touch"]);
        browser.lift().await?;
        ensure!(seen(browser).await?.first().is_some_and(|first| first == "pointerup raise touch"));
        browser.button("Raise").await?.tap().await?;
        let events = seen(browser).await?;
        ensure!(events[..2] == ["pointerdown raise touch", "pointerup raise touch"], "{events:?}");
        Ok(())
    });
}

#[test]
#[ignore = "needs a browser; run by `cargo xtask test`"]
fn keys_write_choose_and_walk() {
    with_browser("harness-keys", View::Desk, async |browser| {
        set_up(browser).await?;
        let text = browser.field("Text").await?;
        text.write("first").await?;
        text.write("QA1_out := (SF2_in AND NOT FC1_in);\nsecond").await?;
        ensure!(text.value().await? == "QA1_out := (SF2_in AND NOT FC1_in);\nsecond");
        browser.chord(&[Key::Control], 'z').await?;
        ensure!(
            text.value().await? != "QA1_out := (SF2_in AND NOT FC1_in);\nsecond",
            "undo is the browser's own"
        );

        browser.key(Key::Tab).await?;
        ensure!(
            browser.focused().await? == ("combobox".into(), "Colour".into()),
            "{:?}",
            browser.focused().await?
        );
        browser.role("combobox").named("Colour").find().await?.choose("dark blue").await?;
        browser.key(Key::Tab).await?;
        browser.key(' ').await?;
        let tick = browser.role("checkbox").named("Tick").find().await?;
        ensure!(tick.state("checked").await? == "true", "{}", tick.state("checked").await?);
        ensure!(browser.outline().await?.contains("checkbox \"Tick\""));
        Ok(())
    });
}

#[test]
#[ignore = "needs a browser; run by `cargo xtask test`"]
fn files_go_in_and_out() {
    with_browser("harness-files", View::Desk, async |browser| {
        set_up(browser).await?;
        let dir = tempfile::tempdir()?;
        let letter = dir.path().join("letter.txt");
        std::fs::write(&letter, "dear bench")?;
        browser.give_file("#file", &letter).await?;
        ensure!(browser.evaluate("document.getElementById('file').files[0].text()").await? == "dear bench");
        ensure!(seen(browser).await? == ["change file"]);

        browser.link("Save").await?.click().await?;
        let saved = browser.downloaded().await?;
        ensure!(saved.file_name().is_some_and(|name| name == "out.txt"), "{}", saved.display());
        ensure!(std::fs::read_to_string(saved)?.contains("<svg"));
        Ok(())
    });
}
