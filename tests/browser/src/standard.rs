//! The same phone in browsers that are driven by the W3C's WebDriver alone.

use std::time::Instant;

use anyhow::{Context as _, Result, bail, ensure};
use fantoccini::elements::Element;
use fantoccini::wd::WebDriverCompatibleCommand;
use serde_json::Value;
use url::{ParseError, Url};

use crate::Phone;
use crate::find::{Found, PAUSE};

/// Everything that has a role. Roles and names follow HTML-AAM and accname as far as the app's pages go;
/// what is touched is held against what the browser itself says of it.
const EVERYTHING: &str = include_str!("standard.js");
/// What marks a reference to an element: WebDriver 2, "web element identifier".
const ELEMENT: &str = "element-6066-11e4-a52e-4f735466cecf";

/// What the browser computes of an element: WebDriver 2, "Get Computed Role" and "Get Computed Label".
#[derive(Debug)]
struct Computed {
    element: String,
    what: &'static str,
}

impl WebDriverCompatibleCommand for Computed {
    fn endpoint(&self, base: &Url, session: Option<&str>) -> Result<Url, ParseError> {
        let session = session.unwrap_or_default();
        let Self { element, what } = self;
        base.join(&format!("session/{session}/element/{element}/{what}"))
    }

    fn method_and_body(&self, _: &Url) -> (http::Method, Option<String>) {
        (http::Method::GET, None)
    }
}

impl Phone {
    pub(crate) async fn evaluate_by_standard(&self, expression: &str) -> Result<Value> {
        let script = format!(
            "const done = arguments[0]; const fail = e => done({{ threw: String(e) }}); \
             try {{ Promise.resolve({expression}).then(value => done({{ value }}), fail) }} catch (e) {{ fail(e) }}"
        );
        let answer = self.client().execute_async(&script, Vec::new()).await?;
        match answer.get("threw") {
            Some(why) => bail!("the page threw {why}"),
            None => Ok(answer["value"].clone()),
        }
    }

    pub(crate) async fn on_node_by_standard(
        &self,
        found: &Found,
        function: &str,
        arguments: Value,
    ) -> Result<Value> {
        let script =
            format!("return ({function}).apply(arguments[0], arguments[1].map(one => one.value))");
        let with = vec![found.node.clone(), arguments];
        Ok(self.client().execute(&script, with).await?)
    }

    pub(crate) async fn everything_by_standard(&self) -> Result<Vec<Found>> {
        let from = Instant::now();
        let all = loop {
            match self.client().execute(EVERYTHING, Vec::new()).await {
                // The page changed between the look and the answer: Firefox refuses to name what went.
                Err(why) if why.is_stale_element_reference() && from.elapsed() < PAUSE => {}
                answer => break answer?,
            }
        };
        let text = |value: &Value| value.as_str().unwrap_or_default().to_owned();
        let all = all.as_array().context("no list of what is on the screen")?;
        let found = all.iter().map(|one| Found {
            node: one["node"].clone(),
            role: text(&one["role"]),
            name: text(&one["name"]),
            disabled: one["disabled"] == true,
            on: one["on"] == true,
            inside: one["inside"]
                .as_array()
                .into_iter()
                .flatten()
                .map(text)
                .collect(),
        });
        Ok(found.collect())
    }

    /// The driver brings it into view and refuses to touch what is covered. What a moment's pause holds
    /// off is touched when it is over.
    pub(crate) async fn touch_by_standard(&self, found: &Found) -> Result<()> {
        let said = format!("{} \"{}\"", found.role, found.name);
        for (what, wanted) in [
            ("computedrole", &found.role),
            ("computedlabel", &found.name),
        ] {
            let computed = self.computed(found, what).await?;
            // WebKit leaves out the space where a line was broken.
            ensure!(
                letters(&computed).eq(letters(wanted)),
                "{said}: the browser's {what} is \"{computed}\""
            );
        }
        let from = Instant::now();
        while let Err(why) = self.element(found)?.click().await {
            if from.elapsed() > PAUSE {
                return Err(why).context(said);
            }
            tokio::time::sleep(std::time::Duration::from_millis(25)).await;
        }
        self.count_tap();
        Ok(())
    }

    pub(crate) async fn type_by_standard(&self, field: &Found, text: &str) -> Result<()> {
        self.element(field)?.send_keys(text).await?;
        Ok(())
    }

    async fn computed(&self, found: &Found, what: &'static str) -> Result<String> {
        let element = self.element(found)?.element_id().to_string();
        let said = self.client().issue_cmd(Computed { element, what }).await?;
        Ok(said.as_str().unwrap_or_default().to_owned())
    }

    fn element(&self, found: &Found) -> Result<Element> {
        let id = found.node[ELEMENT].as_str().context("it is no element")?;
        let id = id.to_owned().into();
        Ok(Element::from_element_id(self.client().clone(), id))
    }
}

fn letters(text: &str) -> impl Iterator<Item = char> {
    text.chars().filter(|letter| !letter.is_whitespace())
}
