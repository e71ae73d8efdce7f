//! Fixed places: whether anything on the calling screen moves, is cut, spills, overlaps or is too
//! small, at any size of the screen and of the text.

use std::collections::BTreeMap;

use anyhow::{Context as _, Result};
use serde_json::{Value, json};

use crate::{Phone, Size};

const SCRIPT: &str = include_str!("slots.js");

/// What a walk over every button of the lanes met.
#[derive(Clone, Debug)]
pub struct Walk {
    /// What moved, was cut, spilt, overlapped or was too small.
    pub bad: Vec<String>,
    /// Buttons touched.
    pub taps: u64,
    /// How often a refusal or the question of the third out was on the screen.
    pub said: u64,
}

fn strings(value: &Value) -> Vec<String> {
    let texts = value.as_array().into_iter().flatten();
    texts.filter_map(Value::as_str).map(str::to_owned).collect()
}

impl Phone {
    /// Gives the page another size and its text another scale in percent.
    ///
    /// # Errors
    /// When the browser is gone.
    pub async fn fit(&self, (width, height): Size, text: u32) -> Result<()> {
        let metrics =
            json!({ "width": width, "height": height, "deviceScaleFactor": 1, "mobile": true });
        self.protocol("Emulation.setDeviceMetricsOverride", metrics)
            .await?;
        self.evaluate(&format!(
            "document.documentElement.style.fontSize = '{text}%', \
             new Promise(done => requestAnimationFrame(() => requestAnimationFrame(() => done(true))))"
        ))
        .await?;
        // A sheet that rises stands lower until it is up.
        self.settled().await
    }

    async fn slots(&self, what: &str) -> Result<Value> {
        self.evaluate(&format!("{SCRIPT}; slots.{what}")).await
    }

    /// What on the screen is cut, spills, overlaps, is too small or off the screen.
    ///
    /// # Errors
    /// When the browser is gone.
    pub async fn misfits(&self) -> Result<Vec<String>> {
        Ok(strings(&self.slots("wrong()").await?))
    }

    /// Where the lanes and the bottom row stand.
    ///
    /// # Errors
    /// When the browser is gone.
    pub async fn places(&self) -> Result<BTreeMap<String, String>> {
        let places = self.slots("places()").await?;
        let places = places.as_object().context("places by name")?;
        let text = |value: &Value| value.as_str().unwrap_or_default().to_owned();
        Ok(places.iter().map(|(k, v)| (k.clone(), text(v))).collect())
    }

    /// Touches every button of every lane and looks at everything after each touch.
    ///
    /// # Errors
    /// When the browser is gone.
    pub async fn walk_lanes(&self) -> Result<Walk> {
        let walk = self.slots("walk()").await?;
        Ok(Walk {
            bad: strings(&walk["bad"]),
            taps: walk["taps"].as_u64().context("a number of touches")?,
            said: walk["said"].as_u64().context("a number of words")?,
        })
    }
}
