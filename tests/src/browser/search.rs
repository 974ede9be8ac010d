//! Finding things as assistive technology does: by role and name (W3C WAI-ARIA, Accessible Name and Description).

use std::time::Instant;

use anyhow::{Context, Result, bail};
use serde_json::{Value, json};

use super::PATIENCE;
use super::session::{Browser, pause};

/// What to look for. Made by [`Browser::role`] or [`Thing::role`].
#[derive(Clone)]
pub struct Search<'b> {
    browser: &'b Browser,
    within: Option<i64>,
    role: String,
    name: Name,
}

#[derive(Clone)]
enum Name {
    Any,
    Whole(String),
    Part(String),
    Start(String),
}

/// A thing on the page, shown or not hidden from assistive technology.
#[derive(Clone)]
pub struct Thing<'b> {
    pub(super) browser: &'b Browser,
    /// The browser's number of the node.
    pub(super) node: i64,
    /// Its role.
    pub role: String,
    /// Its name.
    pub name: String,
    /// Its states and properties, such as `pressed`, `checked`, `expanded`, `disabled`, as the tree has them.
    pub states: Value,
}

impl Browser {
    /// Looks for a role: `button`, `link`, `textbox`, `checkbox`, `combobox`, `option`, `row`, `cell`, `tab`, `dialog`,
    /// `heading`, `img`, `status`, `alert` … An empty one fits any.
    pub fn role(&self, role: &str) -> Search<'_> {
        Search { browser: self, within: None, role: role.into(), name: Name::Any }
    }

    /// Waits for the button of this name.
    pub async fn button(&self, name: &str) -> Result<Thing<'_>> {
        self.role("button").named(name).find().await
    }

    /// Waits for the link of this name.
    pub async fn link(&self, name: &str) -> Result<Thing<'_>> {
        self.role("link").named(name).find().await
    }

    /// Waits for the text field with this label.
    pub async fn field(&self, label: &str) -> Result<Thing<'_>> {
        self.role("textbox").named(label).find().await
    }

    /// The page as it is read out: role and name a line, indented by depth. For messages and for writing tests.
    pub async fn outline(&self) -> Result<String> {
        let tree = self.cdp("Accessibility.getFullAXTree", json!({})).await?;
        let nodes = tree["nodes"].as_array().context("a tree")?;
        let mut outline = String::new();
        // Depth first from the root, with a list of what is still to do: a deep page must not overflow the stack.
        let mut open = vec![(nodes.first().and_then(|node| node["nodeId"].as_str()), 0)];
        while let Some((Some(id), depth)) = open.pop() {
            let Some(node) = nodes.iter().find(|node| node["nodeId"] == id) else { continue };
            let (role, name) = (text(&node["role"]), text(&node["name"]));
            let silent =
                ["none", "generic", "InlineTextBox", "StaticText"].contains(&role) && name.is_empty();
            let shown = node["ignored"] != true && !silent && role != "InlineTextBox";
            if shown {
                outline.push_str(&format!("{}{role} {name:?}\n", "  ".repeat(depth)));
            }
            let children = node["childIds"].as_array().into_iter().flatten().rev();
            open.extend(children.map(|child| (child.as_str(), depth + usize::from(shown))));
        }
        Ok(outline)
    }
}

impl<'b> Search<'b> {
    /// Only with exactly this name.
    pub fn named(mut self, name: &str) -> Self {
        self.name = Name::Whole(name.into());
        self
    }

    /// Only with this in its name.
    pub fn with(mut self, part: &str) -> Self {
        self.name = Name::Part(part.into());
        self
    }

    /// Only with a name that starts so.
    pub fn starting(mut self, start: &str) -> Self {
        self.name = Name::Start(start.into());
        self
    }

    /// Waits for the one thing that fits.
    ///
    /// # Errors
    /// If after [`PATIENCE`] none fits, or several do.
    pub async fn find(self) -> Result<Thing<'b>> {
        let end = Instant::now() + PATIENCE;
        loop {
            let mut found = self.all().await?;
            if found.len() == 1 {
                return Ok(found.remove(0));
            }
            if Instant::now() > end {
                let names: Vec<_> = found.iter().map(|thing| &thing.name).collect();
                bail!("{} fit {}: {names:?}", found.len(), self.shown());
            }
            pause().await;
        }
    }

    /// Waits for the first thing in the order of the page that fits.
    ///
    /// # Errors
    /// If none fits after [`PATIENCE`].
    pub async fn first(self) -> Result<Thing<'b>> {
        let end = Instant::now() + PATIENCE;
        loop {
            if let Some(thing) = self.all().await?.into_iter().next() {
                return Ok(thing);
            }
            if Instant::now() > end {
                bail!("nothing fits {}", self.shown());
            }
            pause().await;
        }
    }

    /// Waits until nothing fits.
    ///
    /// # Errors
    /// If something still does after [`PATIENCE`].
    pub async fn gone(self) -> Result<()> {
        let end = Instant::now() + PATIENCE;
        while !self.all().await?.is_empty() {
            if Instant::now() > end {
                bail!("still there: {}", self.shown());
            }
            pause().await;
        }
        Ok(())
    }

    /// Everything that fits at this moment, in the order of the page.
    pub async fn all(&self) -> Result<Vec<Thing<'b>>> {
        // A page that renders in this instant may have no root, or lose the node in between; then nothing fits yet.
        let root = match self.within {
            Some(node) => node,
            None => {
                let document = self.browser.cdp("DOM.getDocument", json!({ "depth": 0 })).await?;
                document["root"]["backendNodeId"].as_i64().context("a document")?
            }
        };
        let mut wish = json!({ "backendNodeId": root });
        if !self.role.is_empty() {
            wish["role"] = json!(self.role);
        }
        if let Name::Whole(name) = &self.name {
            wish["accessibleName"] = json!(name);
        }
        let Ok(answer) = self.browser.cdp("Accessibility.queryAXTree", wish).await else {
            return Ok(Vec::new());
        };
        let nodes = answer["nodes"].as_array().into_iter().flatten();
        let things = nodes.filter(|node| node["ignored"] != true).filter_map(|node| {
            let name = text(&node["name"]);
            let fits = match &self.name {
                Name::Any => true,
                Name::Whole(whole) => name == whole,
                Name::Part(part) => name.contains(part.as_str()),
                Name::Start(start) => name.starts_with(start.as_str()),
            };
            let id = node["backendDOMNodeId"].as_i64().filter(|id| fits && Some(*id) != self.within)?;
            Some(Thing {
                browser: self.browser,
                node: id,
                role: text(&node["role"]).into(),
                name: name.into(),
                states: states(&node["properties"]),
            })
        });
        Ok(things.collect())
    }

    fn shown(&self) -> String {
        let role = if self.role.is_empty() { "anything" } else { &self.role };
        match &self.name {
            Name::Any => role.to_owned(),
            Name::Whole(name) => format!("{role} {name:?}"),
            Name::Part(part) => format!("{role} with {part:?} in its name"),
            Name::Start(start) => format!("{role} whose name starts with {start:?}"),
        }
    }
}

impl<'b> Thing<'b> {
    /// Looks inside this thing only.
    pub fn role(&self, role: &str) -> Search<'b> {
        Search { browser: self.browser, within: Some(self.node), role: role.into(), name: Name::Any }
    }

    /// A state as it is now: `pressed`, `checked`, `expanded`, `selected`, `disabled`, `invalid` …; null if it has none.
    pub async fn state(&self, name: &str) -> Result<Value> {
        let wish = json!({ "backendNodeId": self.node, "fetchRelatives": false });
        let answer = self.browser.cdp("Accessibility.getPartialAXTree", wish).await?;
        Ok(states(&answer["nodes"][0]["properties"])[name].clone())
    }

    /// The text in it that can be seen.
    pub async fn text(&self) -> Result<String> {
        let value =
            self.call("function () { return this.innerText ?? this.textContent; }", json!([])).await?;
        Ok(value.as_str().unwrap_or_default().to_owned())
    }

    /// What stands in a field.
    pub async fn value(&self) -> Result<String> {
        let value = self.call("function () { return this.value; }", json!([])).await?;
        Ok(value.as_str().context("it has no value")?.to_owned())
    }

    /// An attribute of its element.
    pub async fn attribute(&self, name: &str) -> Result<Option<String>> {
        let value = self
            .call("function (name) { return this.getAttribute(name); }", json!([{ "value": name }]))
            .await?;
        Ok(value.as_str().map(str::to_owned))
    }

    /// Waits until its text holds `wanted`.
    ///
    /// # Errors
    /// If it does not after [`PATIENCE`].
    pub async fn until_text(&self, wanted: &str) -> Result<()> {
        let end = Instant::now() + PATIENCE;
        loop {
            let text = self.text().await?;
            if text.contains(wanted) {
                return Ok(());
            }
            if Instant::now() > end {
                bail!("{} {:?} says {text:?}, not {wanted:?}", self.role, self.name);
            }
            pause().await;
        }
    }

    /// Calls a function on its element, for reading.
    pub(super) async fn call(&self, function: &str, arguments: Value) -> Result<Value> {
        let resolved = self.browser.cdp("DOM.resolveNode", json!({ "backendNodeId": self.node })).await?;
        let wish = json!({
            "objectId": resolved["object"]["objectId"],
            "functionDeclaration": function,
            "arguments": arguments,
            "returnByValue": true,
        });
        let answer = self.browser.cdp("Runtime.callFunctionOn", wish).await?;
        if let Some(details) = answer.get("exceptionDetails") {
            bail!("reading {} {:?} threw: {details}", self.role, self.name);
        }
        Ok(answer["result"]["value"].clone())
    }
}

fn text(value: &Value) -> &str {
    value["value"].as_str().unwrap_or_default()
}

fn states(properties: &Value) -> Value {
    let list = properties.as_array().into_iter().flatten();
    let pairs = list.filter_map(|property| {
        Some((property["name"].as_str()?.to_owned(), property["value"]["value"].clone()))
    });
    Value::Object(pairs.collect())
}
