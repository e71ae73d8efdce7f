//! The browser's own protocol, sent through the driver.

use anyhow::{Context as _, Result, bail};
use fantoccini::wd::WebDriverCompatibleCommand;
use serde_json::{Value, json};
use url::{ParseError, Url};

use crate::{Browser, Phone};

/// A call that the driver offers beside the standard ones.
#[derive(Debug)]
pub(crate) struct Extra {
    pub path: &'static str,
    pub body: Value,
}

impl WebDriverCompatibleCommand for Extra {
    fn endpoint(&self, base: &Url, session: Option<&str>) -> Result<Url, ParseError> {
        base.join(&format!(
            "session/{}/{}",
            session.unwrap_or_default(),
            self.path
        ))
    }

    fn method_and_body(&self, _: &Url) -> (http::Method, Option<String>) {
        (http::Method::POST, Some(self.body.to_string()))
    }
}

impl Phone {
    /// Sends one command of the browser's protocol.
    ///
    /// # Errors
    /// When the browser refuses it or is gone.
    pub async fn protocol(&self, method: &str, params: Value) -> Result<Value> {
        let body = json!({ "cmd": method, "params": params });
        let call = Extra {
            path: "goog/cdp/execute",
            body,
        };
        self.client()
            .issue_cmd(call)
            .await
            .with_context(|| method.to_owned())
    }

    /// Runs a script before anything else in every page that this tab opens
    /// from now on.
    ///
    /// # Errors
    /// As [`Phone::protocol`].
    pub async fn before_each_page(&self, script: &str) -> Result<()> {
        let params = json!({ "source": script });
        let method = "Page.addScriptToEvaluateOnNewDocument";
        self.protocol(method, params).await.map(drop)
    }

    /// Evaluates an expression in the page, waits for what it promises, and gives its value. The
    /// page's content policy does not apply to it.
    ///
    /// # Errors
    /// When the expression throws.
    pub async fn evaluate(&self, expression: &str) -> Result<Value> {
        if self.browser() != Browser::Chromium {
            return self.evaluate_by_standard(expression).await;
        }
        let params =
            json!({ "expression": expression, "awaitPromise": true, "returnByValue": true });
        let answer = self.protocol("Runtime.evaluate", params).await?;
        if let Some(thrown) = answer.get("exceptionDetails") {
            bail!(
                "the page threw {thrown} on {}",
                expression.chars().take(200).collect::<String>()
            );
        }
        Ok(answer
            .pointer("/result/value")
            .cloned()
            .unwrap_or(Value::Null))
    }

    /// Makes the processor so many times slower; 1 for its own speed.
    ///
    /// # Errors
    /// When the browser refuses.
    pub async fn slow_down(&self, times: f64) -> Result<()> {
        self.protocol("Emulation.setCPUThrottlingRate", json!({ "rate": times }))
            .await?;
        Ok(())
    }

    /// What the browser has counted of the page since it was opened, by the protocol's names: times in
    /// seconds, sizes in bytes.
    ///
    /// # Errors
    /// When the browser refuses.
    pub async fn performance(&self) -> Result<serde_json::Map<String, Value>> {
        let enable = json!({ "timeDomain": "threadTicks" });
        self.protocol("Performance.enable", enable).await?;
        let said = self.protocol("Performance.getMetrics", json!({})).await?;
        let all = said["metrics"].as_array().context("no metrics")?;
        let one = |metric: &Value| {
            let name = metric["name"].as_str().unwrap_or_default();
            (name.to_owned(), metric["value"].clone())
        };
        Ok(all.iter().map(one).collect())
    }

    /// Cuts the page off from the network, or back on. The service worker is not cut off by this:
    /// stop the [`crate::Site`] for that.
    ///
    /// # Errors
    /// When the browser refuses.
    pub async fn cut_off(&self, off: bool) -> Result<()> {
        self.protocol("Network.enable", json!({})).await?;
        let params = json!({ "offline": off, "latency": 0, "downloadThroughput": -1, "uploadThroughput": -1 });
        self.protocol("Network.emulateNetworkConditions", params)
            .await?;
        Ok(())
    }

    /// Lets the page keep no more than so many bytes; `None` for the browser's own limit.
    ///
    /// # Errors
    /// When the browser refuses.
    pub async fn limit_storage(&self, origin: &str, bytes: Option<u64>) -> Result<()> {
        let mut params = json!({ "origin": origin.trim_end_matches('/') });
        if let Some(bytes) = bytes {
            params["quotaSize"] = bytes.into();
        }
        self.protocol("Storage.overrideQuotaForOrigin", params)
            .await?;
        Ok(())
    }

    /// The phone's setting for light or dark, and for less motion.
    ///
    /// # Errors
    /// When the browser refuses.
    pub async fn prefer(&self, dark: bool) -> Result<()> {
        let scheme = if dark { "dark" } else { "light" };
        let features = json!([{ "name": "prefers-color-scheme", "value": scheme }]);
        self.protocol(
            "Emulation.setEmulatedMedia",
            json!({ "features": features }),
        )
        .await?;
        Ok(())
    }

    /// The phone's own few colours in place of the page's, as people choose who see little.
    ///
    /// # Errors
    /// When the browser refuses.
    pub async fn force_colours(&self) -> Result<()> {
        let features = json!([{ "name": "forced-colors", "value": "active" }]);
        self.protocol(
            "Emulation.setEmulatedMedia",
            json!({ "features": features }),
        )
        .await?;
        Ok(())
    }

    /// What the page has complained about since the last question: script errors, blocked or failed
    /// loads, violations of the content policy. That a collector was not reached is no complaint: the
    /// app tries again for as long as there is no signal.
    ///
    /// # Errors
    /// When the browser is gone.
    pub async fn complaints(&self) -> Result<Vec<String>> {
        let call = Extra {
            path: "se/log",
            body: json!({ "type": "browser" }),
        };
        let entries = self.client().issue_cmd(call).await?;
        let entries = entries.as_array().cloned().unwrap_or_default();
        Ok(entries
            .iter()
            .filter(|entry| {
                let said = entry["message"].as_str().unwrap_or_default();
                entry["source"] != "network" || !said.contains("/api/")
            })
            .filter(|entry| entry["level"] == "SEVERE" || entry["source"] == "security")
            .map(|entry| format!("{}: {}", entry["source"], entry["message"]))
            .collect())
    }
}
