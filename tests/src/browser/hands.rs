//! Pointer, touch and keys.

use std::path::Path;
use std::time::{Duration, Instant};

use anyhow::{Context, Result, bail};
use serde_json::json;
use thirtyfour::Key;
use thirtyfour::action_chain::ActionChain;

use super::search::Thing;
use super::session::{Browser, View, pause};

/// How long a thing may move or lie under another before it counts as out of reach.
const SETTLED: Duration = Duration::from_secs(5);

/// Steps of a drag between its ends: a hand does not jump.
const DRAG_STEPS: i64 = 8;

impl Browser {
    /// Moves the pointer to a place of the window, in CSS pixels from its upper left corner.
    pub async fn move_to(&self, x: i64, y: i64) -> Result<()> {
        Ok(self.hands().move_to(x, y).perform().await?)
    }

    /// Presses the left button where the pointer is, and holds it until [`Browser::release`].
    pub async fn press(&self) -> Result<()> {
        Ok(self.hands().click_and_hold().perform().await?)
    }

    /// Lets the left button go.
    pub async fn release(&self) -> Result<()> {
        Ok(self.hands().release().perform().await?)
    }

    /// The names of the sheets, in the order of the list of drawings.
    pub async fn sheets(&self) -> Result<Vec<String>> {
        Ok(self.sheet_buttons().await?.iter().map(|button| words(&button.name).to_owned()).collect())
    }

    /// Goes to a sheet by its button in the list of drawings, as a person with this screen does: by mouse, or by finger.
    ///
    /// # Errors
    /// If the list has no sheet of this name, or the sheet does not come into view.
    pub async fn sheet(&self, name: &str) -> Result<()> {
        let buttons = self.sheet_buttons().await?;
        let is_it = |thing: &&Thing<'_>| {
            words(&thing.name).strip_prefix(name).is_some_and(|rest| rest.is_empty() || rest.starts_with(' '))
        };
        let Some(button) = buttons.iter().find(is_it) else {
            let names: Vec<_> = buttons.iter().map(|button| &button.name).collect();
            bail!("no sheet {name:?} among {names:?}");
        };
        match self.view.get() {
            View::Desk => button.click().await?,
            View::Phone => button.tap().await?,
        }
        self.role("main").named(name).find().await.map(drop)
    }

    async fn sheet_buttons(&self) -> Result<Vec<Thing<'_>>> {
        self.role("navigation").named("List of drawings").find().await?.role("button").all().await
    }

    /// Presses at one place, moves to the other and lets go.
    pub async fn drag(&self, from: (i64, i64), to: (i64, i64)) -> Result<()> {
        let mut hands = self.hands().move_to(from.0, from.1).click_and_hold();
        for step in 1..=DRAG_STEPS {
            let part = |from: i64, to: i64| from + (to - from) * step / DRAG_STEPS;
            hands = hands.move_to(part(from.0, to.0), part(from.1, to.1));
        }
        Ok(hands.release().perform().await?)
    }

    /// Types text into what has the focus, key by key; a new line is the Enter key.
    pub async fn type_text(&self, text: &str) -> Result<()> {
        for (index, line) in text.split('\n').enumerate() {
            if index > 0 {
                self.key(Key::Enter).await?;
            }
            if !line.is_empty() {
                self.hands().send_keys(line).perform().await?;
            }
        }
        Ok(())
    }

    /// Gives a text to what has the focus in one piece, as an on-screen keyboard does with what was pasted.
    pub async fn insert_text(&self, text: &str) -> Result<()> {
        self.cdp("Input.insertText", json!({ "text": text })).await.map(drop)
    }

    /// Presses a key and lets it go: `Key::Enter`, `Key::Tab`, `Key::Down`, or a letter.
    pub async fn key(&self, key: impl Into<char>) -> Result<()> {
        let key = key.into();
        Ok(self.hands().key_down(key).key_up(key).perform().await?)
    }

    /// Presses a key while others are held: `browser.chord(&[Key::Control], 'z')`.
    pub async fn chord(&self, held: &[Key], key: impl Into<char>) -> Result<()> {
        let key = key.into();
        let mut hands = self.hands();
        for other in held {
            hands = hands.key_down(char::from(other.clone()));
        }
        hands = hands.key_down(key).key_up(key);
        for other in held.iter().rev() {
            hands = hands.key_up(char::from(other.clone()));
        }
        Ok(hands.perform().await?)
    }

    /// Holds a key down until [`Browser::key_up`].
    pub async fn key_down(&self, key: impl Into<char>) -> Result<()> {
        Ok(self.hands().key_down(key.into()).perform().await?)
    }

    /// Lets a held key go.
    pub async fn key_up(&self, key: impl Into<char>) -> Result<()> {
        Ok(self.hands().key_up(key.into()).perform().await?)
    }

    /// Turns the wheel at a place; `down` in CSS pixels, negative for up.
    pub async fn wheel(&self, x: i64, y: i64, down: i64) -> Result<()> {
        let wish = json!({ "type": "mouseWheel", "x": x, "y": y, "deltaX": 0, "deltaY": down });
        self.cdp("Input.dispatchMouseEvent", wish).await.map(drop)
    }

    /// Puts a finger down at a place and leaves it there until [`Browser::lift`].
    pub async fn touch(&self, x: i64, y: i64) -> Result<()> {
        self.touch_event("touchStart", &[(x, y)]).await
    }

    /// Moves the finger that is down.
    pub async fn touch_move(&self, x: i64, y: i64) -> Result<()> {
        self.touch_event("touchMove", &[(x, y)]).await
    }

    /// Lifts the finger.
    pub async fn lift(&self) -> Result<()> {
        self.touch_event("touchEnd", &[]).await
    }

    /// Drags a finger from one place to the other.
    pub async fn swipe(&self, from: (i64, i64), to: (i64, i64)) -> Result<()> {
        self.touch(from.0, from.1).await?;
        for step in 1..=DRAG_STEPS {
            let part = |from: i64, to: i64| from + (to - from) * step / DRAG_STEPS;
            self.touch_move(part(from.0, to.0), part(from.1, to.1)).await?;
        }
        self.lift().await
    }

    /// Gives a file to a file field, as the browser's own dialog would; `selector` names the field (it is often hidden
    /// behind a button, and then not in the accessibility tree).
    pub async fn give_file(&self, selector: &str, path: &Path) -> Result<()> {
        let document = self.cdp("DOM.getDocument", json!({ "depth": 0 })).await?;
        let root = document["root"]["nodeId"].clone();
        let node = self.cdp("DOM.querySelector", json!({ "nodeId": root, "selector": selector })).await?;
        if node["nodeId"].as_i64().unwrap_or(0) == 0 {
            bail!("there is no {selector}");
        }
        let wish = json!({ "nodeId": node["nodeId"], "files": [path] });
        self.cdp("DOM.setFileInputFiles", wish).await.map(drop)
    }

    async fn touch_event(&self, kind: &str, points: &[(i64, i64)]) -> Result<()> {
        let points: Vec<_> = points.iter().map(|(x, y)| json!({ "x": x, "y": y, "id": 1 })).collect();
        self.cdp("Input.dispatchTouchEvent", json!({ "type": kind, "touchPoints": points })).await.map(drop)
    }

    /// A new chain of actions without waits; what is held stays held from one chain to the next.
    fn hands(&self) -> ActionChain {
        self.driver.action_chain_with_delay(Some(Duration::ZERO), Some(Duration::ZERO))
    }
}

/// The words of a sheet's button behind its number: `4 Commissioning`, and a note behind it where a fault is set.
fn words(name: &str) -> &str {
    name.split_once(' ').map_or("", |(_, words)| words)
}

impl Thing<'_> {
    /// Its middle in the window, after scrolling it into view, once it stands still and nothing lies over it.
    ///
    /// # Errors
    /// If it still has no size after five seconds, or another thing covers it there: a person could not press it.
    pub async fn middle(&self) -> Result<(i64, i64)> {
        self.browser.cdp("DOM.scrollIntoViewIfNeeded", json!({ "backendNodeId": self.node })).await?;
        let end = Instant::now() + SETTLED;
        let mut before = None;
        loop {
            match self.middle_now().await {
                Ok(middle) if before == Some(middle) => return Ok(middle),
                Ok(middle) => before = Some(middle),
                Err(why) if Instant::now() > end => return Err(why),
                // Under something that stays in place while the sheet scrolls: a person scrolls on.
                Err(_) => {
                    before = None;
                    self.call("function () { this.scrollIntoView({ block: 'center' }); }", json!([])).await?;
                }
            }
            pause().await;
        }
    }

    /// Its middle in the window as it stands now.
    async fn middle_now(&self) -> Result<(i64, i64)> {
        let answer = self.browser.cdp("DOM.getContentQuads", json!({ "backendNodeId": self.node })).await?;
        let quad: Vec<f64> = answer["quads"][0]
            .as_array()
            .into_iter()
            .flatten()
            .filter_map(serde_json::Value::as_f64)
            .collect();
        if quad.len() != 8 {
            bail!("{} {:?} has no size on the screen", self.role, self.name);
        }
        let middle = |offset: usize| quad.iter().skip(offset).step_by(2).sum::<f64>() / 4.0;
        let (x, y) = (middle(0), middle(1));
        let hit = "function (x, y) {
            const top = this.getRootNode().elementFromPoint(x, y);
            const label = top?.closest?.('label');
            if (top === this || this.contains(top) || label?.control === this) return '';
            return top ? top.outerHTML.slice(0, 120) : 'nothing, it is outside the window';
        }";
        let covering = self.call(hit, json!([{ "value": x }, { "value": y }])).await?;
        match covering.as_str() {
            Some("") => Ok((x.round() as i64, y.round() as i64)),
            what => bail!("{} {:?} is covered by {}", self.role, self.name, what.unwrap_or("something")),
        }
    }

    /// Clicks it with the mouse.
    pub async fn click(&self) -> Result<()> {
        let (x, y) = self.middle().await?;
        Ok(self.browser.hands().move_to(x, y).click().perform().await?)
    }

    /// Presses it with the mouse and holds it, until [`Browser::release`].
    pub async fn hold(&self) -> Result<()> {
        let (x, y) = self.middle().await?;
        self.browser.move_to(x, y).await?;
        self.browser.press().await
    }

    /// Drags it with the mouse onto another thing.
    pub async fn drag_onto(&self, other: &Thing<'_>) -> Result<()> {
        // The second may scroll the first away; then its place is taken again, and both must be in view together.
        other.middle().await?;
        let from = self.middle().await?;
        let to = other.middle().await?;
        self.browser.drag(from, to).await
    }

    /// Taps it with a finger.
    pub async fn tap(&self) -> Result<()> {
        let (x, y) = self.middle().await?;
        self.browser.touch(x, y).await?;
        self.browser.lift().await
    }

    /// Puts a finger on it and leaves it there, until [`Browser::lift`].
    pub async fn touch(&self) -> Result<()> {
        let (x, y) = self.middle().await?;
        self.browser.touch(x, y).await
    }

    /// Gives it the focus without a click, as the keyboard would. For a test of the way there press Tab instead.
    pub async fn focus(&self) -> Result<()> {
        self.browser.cdp("DOM.focus", json!({ "backendNodeId": self.node })).await.map(drop)
    }

    /// Clicks into a field, replaces all that stands in it, and types.
    pub async fn write(&self, text: &str) -> Result<()> {
        self.click().await?;
        self.browser.chord(&[Key::Control], 'a').await?;
        self.browser.key(Key::Delete).await?;
        self.browser.type_text(text).await
    }

    /// Chooses the option with this text in a drop-down list, by typing it as a person at a keyboard does.
    pub async fn choose(&self, option: &str) -> Result<()> {
        self.focus().await?;
        self.browser.type_text(option).await?;
        let chosen = "function () { return this.selectedOptions?.[0]?.text ?? null; }";
        let shown = self.call(chosen, json!([])).await?;
        let shown = shown.as_str().context("it is no drop-down list")?;
        if shown.trim() != option {
            bail!("{} {:?} shows {shown:?}, not {option:?}", self.role, self.name);
        }
        Ok(())
    }
}
