//! Finding what a person finds: by role and name, as the accessibility tree has them.

use std::collections::HashMap;
use std::fmt;
use std::time::{Duration, Instant};

use anyhow::{Context as _, Result, bail};
use serde_json::{Value, json};

use crate::{Browser, Phone};

/// How long a thing may take to appear.
const PATIENCE: Duration = Duration::from_secs(10);
/// How long a thing on the screen may be out of reach.
pub(crate) const PAUSE: Duration = Duration::from_secs(1);

/// A name to look for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Named {
    /// The whole name.
    Is(String),
    /// The beginning of it.
    Starts(String),
    /// A part of it.
    With(String),
}

/// The whole name.
pub fn is(name: impl Into<String>) -> Named {
    Named::Is(name.into())
}

/// The beginning of a name.
pub fn starts(name: impl Into<String>) -> Named {
    Named::Starts(name.into())
}

/// A part of a name.
pub fn with(name: impl Into<String>) -> Named {
    Named::With(name.into())
}

impl Named {
    pub(crate) fn fits(&self, name: &str) -> bool {
        match self {
            Self::Is(wanted) => name == wanted,
            Self::Starts(wanted) => name.starts_with(wanted.as_str()),
            Self::With(wanted) => name.contains(wanted.as_str()),
        }
    }
}

impl fmt::Display for Named {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Is(name) => write!(f, "named \"{name}\""),
            Self::Starts(name) => write!(f, "named \"{name}...\""),
            Self::With(name) => write!(f, "named \"...{name}...\""),
        }
    }
}

/// A thing on the screen.
#[derive(Clone, Debug, PartialEq)]
pub struct Found {
    /// The browser's own name for its element.
    pub node: Value,
    /// Its role, as `button`.
    pub role: String,
    /// Its accessible name.
    pub name: String,
    /// Whether it is switched off.
    pub disabled: bool,
    /// Whether it is pressed, checked or selected.
    pub on: bool,
    /// Names of the groups, lists, sheets and parts of the page that it is in.
    pub inside: Vec<String>,
}

impl Found {
    fn read(node: &Value) -> Option<Self> {
        if node["ignored"] == true {
            return None;
        }
        let property = |wanted: &str| {
            node["properties"]
                .as_array()
                .and_then(|all| all.iter().find(|one| one["name"] == wanted))
                .map(|one| one["value"]["value"].clone())
        };
        let holds =
            |wanted: &str| property(wanted).is_some_and(|value| value == true || value == "true");
        Some(Self {
            node: node["backendDOMNodeId"]
                .is_i64()
                .then(|| node["backendDOMNodeId"].clone())?,
            role: node["role"]["value"].as_str()?.to_owned(),
            name: node["name"]["value"]
                .as_str()
                .unwrap_or_default()
                .to_owned(),
            disabled: holds("disabled"),
            on: holds("pressed") || holds("checked") || holds("selected"),
            inside: Vec::new(),
        })
    }
}

/// The whole tree, each thing with the names of what it is in.
fn read_tree(tree: &Value) -> Vec<Found> {
    const AROUND: [&str; 6] = ["group", "region", "dialog", "list", "main", "radiogroup"];
    let nodes = tree["nodes"]
        .as_array()
        .map(Vec::as_slice)
        .unwrap_or_default();
    let by_id: HashMap<&str, &Value> = nodes
        .iter()
        .filter_map(|node| Some((node["nodeId"].as_str()?, node)))
        .collect();
    let around = |node: &Value| {
        let mut names = Vec::new();
        let mut up = node["parentId"].as_str();
        while let Some(node) = up.and_then(|id| by_id.get(id)) {
            let role = node["role"]["value"].as_str().unwrap_or_default();
            let name = node["name"]["value"].as_str().unwrap_or_default();
            if AROUND.contains(&role) && !name.is_empty() {
                names.push(name.to_owned());
            }
            up = node["parentId"].as_str();
        }
        names
    };
    let found = nodes.iter().filter_map(|node| {
        let mut found = Found::read(node)?;
        found.inside = around(node);
        Some(found)
    });
    found.collect()
}

impl Phone {
    /// Everything on the screen that has a role.
    ///
    /// # Errors
    /// When the browser is gone.
    pub async fn everything(&self) -> Result<Vec<Found>> {
        if self.browser() != Browser::Chromium {
            return self.everything_by_standard().await;
        }
        let tree = self
            .protocol("Accessibility.getFullAXTree", json!({}))
            .await?;
        Ok(read_tree(&tree))
    }

    /// All the things of a role with a fitting name, at this moment.
    ///
    /// # Errors
    /// When the browser is gone.
    pub async fn all(&self, role: &str, name: &Named) -> Result<Vec<Found>> {
        let mut found = self.everything().await?;
        found.retain(|one| one.role == role && name.fits(&one.name));
        Ok(found)
    }

    /// Whether there is such a thing at this moment.
    ///
    /// # Errors
    /// When the browser is gone.
    pub async fn sees(&self, role: &str, name: &Named) -> Result<bool> {
        Ok(!self.all(role, name).await?.is_empty())
    }

    /// Waits for the first such thing.
    ///
    /// # Errors
    /// When it does not appear; the message lists what there is of that role.
    pub async fn see(&self, role: &str, name: &Named) -> Result<Found> {
        let from = Instant::now();
        loop {
            if let Some(found) = self.all(role, name).await?.into_iter().next() {
                return Ok(found);
            }
            if from.elapsed() > PATIENCE {
                let there: Vec<_> = self
                    .everything()
                    .await?
                    .into_iter()
                    .filter(|one| one.role == role)
                    .collect();
                let names: Vec<_> = there.iter().map(|one| one.name.as_str()).collect();
                let said = self.text().await?;
                bail!(
                    "no {role} {name} on the screen; of that role there are {names:?}; \
                     it says:\n{said}"
                );
            }
            tokio::time::sleep(Duration::from_millis(25)).await;
        }
    }

    /// Waits until there is no such thing any more.
    ///
    /// # Errors
    /// When it stays.
    pub async fn gone(&self, role: &str, name: &Named) -> Result<()> {
        let from = Instant::now();
        while self.sees(role, name).await? {
            if from.elapsed() > PATIENCE {
                bail!("{role} {name} stays on the screen");
            }
            tokio::time::sleep(Duration::from_millis(25)).await;
        }
        Ok(())
    }

    /// Waits until the page's text contains `words`.
    ///
    /// # Errors
    /// When it does not; the message has the text.
    pub async fn read(&self, words: &str) -> Result<()> {
        let from = Instant::now();
        loop {
            let text = self.text().await?;
            if text.contains(words) {
                return Ok(());
            }
            if from.elapsed() > PATIENCE {
                bail!("\"{words}\" is not on the screen, which says:\n{text}");
            }
            tokio::time::sleep(Duration::from_millis(25)).await;
        }
    }

    /// The page's text as shown.
    ///
    /// # Errors
    /// When the browser is gone.
    pub async fn text(&self) -> Result<String> {
        let text = self
            .evaluate("document.body ? document.body.innerText : ''")
            .await?;
        Ok(text.as_str().unwrap_or_default().to_owned())
    }

    /// Touches the middle of the first thing of a role with a fitting name, wherever it is on the
    /// page, as a thumb would: whatever lies on top gets the touch, so a covered button is an error.
    ///
    /// # Errors
    /// When there is none, it is switched off, has no place on the screen, or is covered.
    pub async fn tap(&self, role: &str, name: &Named) -> Result<()> {
        let found = self.see(role, name).await?;
        self.touch(&found).await
    }

    /// As [`Phone::tap`], of the things within a group with a fitting name.
    ///
    /// # Errors
    /// As [`Phone::tap`].
    pub async fn tap_in(&self, group: &Named, role: &str, name: &Named) -> Result<()> {
        let found = self.see_in(group, role, name).await?;
        self.touch(&found).await
    }

    /// Waits for the first such thing within a group with a fitting name.
    ///
    /// # Errors
    /// When it does not appear.
    pub async fn see_in(&self, group: &Named, role: &str, name: &Named) -> Result<Found> {
        let from = Instant::now();
        loop {
            let all = self.all(role, name).await?;
            let within = |one: &Found| one.inside.iter().any(|around| group.fits(around));
            if let Some(found) = all.into_iter().find(within) {
                return Ok(found);
            }
            if from.elapsed() > PATIENCE {
                let said = self.text().await?;
                bail!("no {role} {name} in a group {group} on the screen, which says:\n{said}");
            }
            tokio::time::sleep(Duration::from_millis(25)).await;
        }
    }

    /// Touches a thing found before.
    ///
    /// # Errors
    /// As [`Phone::tap`].
    pub async fn touch(&self, found: &Found) -> Result<()> {
        let said = format!("{} \"{}\"", found.role, found.name);
        if found.disabled {
            bail!("{said} is switched off");
        }
        self.touch_anyway(found).await
    }

    /// Touches a thing even if it is switched off.
    ///
    /// # Errors
    /// When it has no place on the screen or is covered.
    pub async fn touch_anyway(&self, found: &Found) -> Result<()> {
        if self.browser() != Browser::Chromium {
            return self.touch_by_standard(found).await;
        }
        let said = format!("{} \"{}\"", found.role, found.name);
        let (mut x, mut y) = self.place(found).await.with_context(|| said.clone())?;
        if self.cover(found, x, y).await?.is_some() {
            // Something that stays at the edge of the screen may lie over it: scroll as a person would.
            let middle =
                "function() { this.scrollIntoView({ block: 'center', behavior: 'instant' }); }";
            self.on_node(found, middle, json!([])).await?;
            (x, y) = self.place(found).await.with_context(|| said.clone())?;
        }
        // What a moment's pause holds off, as after a call is kept, is touched when it is over.
        let from = Instant::now();
        while let Some(by) = self.cover(found, x, y).await? {
            if from.elapsed() > PAUSE {
                bail!("{said} is covered at {x}, {y} by {by}");
            }
            tokio::time::sleep(Duration::from_millis(25)).await;
        }
        let points = json!([{ "x": x, "y": y }]);
        self.protocol(
            "Input.dispatchTouchEvent",
            json!({ "type": "touchStart", "touchPoints": points }),
        )
        .await?;
        self.protocol(
            "Input.dispatchTouchEvent",
            json!({ "type": "touchEnd", "touchPoints": [] }),
        )
        .await?;
        self.count_tap();
        Ok(())
    }

    /// What lies over a thing at a place, if anything.
    async fn cover(&self, found: &Found, x: f64, y: f64) -> Result<Option<String>> {
        let by = self
            .on_node(
                found,
                "function(x, y) { if (getComputedStyle(this).pointerEvents === 'none') return 'a pause'; \
                 const top = document.elementFromPoint(x, y); \
                 return top && (this.contains(top) || top.contains(this) || \
                 [...(this.labels || [])].some(l => l.contains(top))) ? '' \
                 : (top ? top.outerHTML.slice(0, 200) : 'the edge of the screen'); }",
                json!([{ "value": x }, { "value": y }]),
            )
            .await?;
        Ok(by.as_str().filter(|by| !by.is_empty()).map(str::to_owned))
    }

    /// The middle of a thing, brought into view.
    async fn place(&self, found: &Found) -> Result<(f64, f64)> {
        let node = json!({ "backendNodeId": &found.node });
        self.protocol("DOM.getDocument", json!({ "depth": 0 }))
            .await?;
        self.protocol("DOM.scrollIntoViewIfNeeded", node.clone())
            .await?;
        let quads = self.protocol("DOM.getContentQuads", node).await?;
        let corner: Vec<f64> = quads["quads"][0]
            .as_array()
            .context("it has no place on the screen")?
            .iter()
            .filter_map(Value::as_f64)
            .collect();
        let middle = |from: usize| corner.iter().skip(from).step_by(2).sum::<f64>() / 4.0;
        Ok((middle(0), middle(1)))
    }

    /// Calls a function on a thing's element; `this` is the element.
    ///
    /// # Errors
    /// When the thing is gone or the function throws.
    pub async fn on_node(&self, found: &Found, function: &str, arguments: Value) -> Result<Value> {
        if self.browser() != Browser::Chromium {
            return self.on_node_by_standard(found, function, arguments).await;
        }
        let object = self
            .protocol("DOM.resolveNode", json!({ "backendNodeId": &found.node }))
            .await?;
        let id = object
            .pointer("/object/objectId")
            .cloned()
            .context("the thing is gone")?;
        let params = json!({
            "objectId": id, "functionDeclaration": function, "arguments": arguments,
            "returnByValue": true, "awaitPromise": true,
        });
        let answer = self.protocol("Runtime.callFunctionOn", params).await?;
        if let Some(thrown) = answer.get("exceptionDetails") {
            bail!("the page threw {thrown}");
        }
        Ok(answer
            .pointer("/result/value")
            .cloned()
            .unwrap_or(Value::Null))
    }

    /// Touches a field, empties it and types.
    ///
    /// # Errors
    /// As [`Phone::tap`].
    pub async fn fill(&self, role: &str, name: &Named, text: &str) -> Result<()> {
        let field = self.see(role, name).await?;
        self.touch(&field).await?;
        self.on_node(
            &field,
            "function() { this.focus(); this.select && this.select(); }",
            json!([]),
        )
        .await?;
        if self.browser() != Browser::Chromium {
            return self.type_by_standard(&field, text).await;
        }
        self.protocol("Input.insertText", json!({ "text": text }))
            .await?;
        Ok(())
    }

    /// Chooses an option of a list by its words, as the browser's own list would.
    ///
    /// # Errors
    /// When the list or the option is missing.
    pub async fn choose(&self, name: &Named, option: &str) -> Result<()> {
        let list = self.see("combobox", name).await?;
        let done = self
            .on_node(
                &list,
                "function(words) { const o = [...this.options].find(o => o.label.trim() === words); if (!o) \
                 return [...this.options].map(o => o.label).join(', '); this.value = o.value; \
                 this.dispatchEvent(new Event('input', {bubbles: true})); \
                 this.dispatchEvent(new Event('change', {bubbles: true})); return ''; }",
                json!([{ "value": option }]),
            )
            .await?;
        match done.as_str() {
            Some("") => Ok(()),
            other => bail!("the list {name} has no \"{option}\", only {other:?}"),
        }
    }

    /// Presses a key: a letter or digit, or `Tab`, `Enter`, `Escape`, `Space`, `ArrowUp` and so on.
    ///
    /// # Errors
    /// When the browser is gone.
    pub async fn press(&self, key: &str) -> Result<()> {
        let (name, code, number, text) = match key {
            "Tab" => ("Tab", "Tab", 9, ""),
            "Enter" => ("Enter", "Enter", 13, "\r"),
            "Escape" => ("Escape", "Escape", 27, ""),
            "Space" => (" ", "Space", 32, " "),
            "ArrowLeft" => (key, key, 37, ""),
            "ArrowUp" => (key, key, 38, ""),
            "ArrowRight" => (key, key, 39, ""),
            "ArrowDown" => (key, key, 40, ""),
            other => (
                other,
                "",
                i64::from(other.to_uppercase().bytes().next().unwrap_or_default()),
                other,
            ),
        };
        let params = |kind: &str| {
            let mut params =
                json!({ "type": kind, "key": name, "code": code, "windowsVirtualKeyCode": number });
            if kind == "keyDown" && !text.is_empty() {
                params["text"] = text.into();
            }
            params
        };
        self.protocol("Input.dispatchKeyEvent", params("keyDown"))
            .await?;
        self.protocol("Input.dispatchKeyEvent", params("keyUp"))
            .await?;
        Ok(())
    }
}
