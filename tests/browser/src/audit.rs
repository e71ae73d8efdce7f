//! Accessibility of a screen, judged by axe-core against WCAG 2.2 A and AA and its best practices.

use std::fmt;
use std::fs;

use anyhow::{Context as _, Result, bail};
use serde_json::Value;
use xtask::place;

use crate::Phone;

/// A rule broken, and where.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Violation {
    /// The rule's name in axe-core.
    pub rule: String,
    /// What it asks.
    pub help: String,
    /// The elements, as HTML, with what is wrong with each.
    pub places: Vec<String>,
}

impl fmt::Display for Violation {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.rule, self.help)?;
        self.places
            .iter()
            .try_for_each(|place| write!(f, "\n    {place}"))
    }
}

const RUN: &str = "axe.run(document, { resultTypes: ['violations'], runOnly: \
    ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'] }).then(r => \
    ({ passed: r.passes.length, broken: r.violations.map(v => ({ rule: v.id, help: v.help, places: \
    v.nodes.map(n => n.html.slice(0, 300) + ' -> ' + (n.failureSummary || '').replace(/\\s+/g, ' ')) })) }))";

impl Phone {
    /// Every violation on the screen as it is now.
    ///
    /// # Errors
    /// When the checker is not installed or finds nothing to check.
    pub async fn violations(&self) -> Result<Vec<Violation>> {
        let file = place::node_modules().join("axe-core").join("axe.min.js");
        let source =
            fs::read_to_string(file).context("axe-core: `cargo xtask test browser` installs it")?;
        self.evaluate(&format!("{source}; true")).await?;
        let result = self.evaluate(RUN).await?;
        if result["passed"].as_u64().unwrap_or_default() == 0 {
            bail!("the checker found nothing to check: {result}");
        }
        let text = |value: &Value| value.as_str().unwrap_or_default().to_owned();
        let broken = result["broken"].as_array().cloned().unwrap_or_default();
        Ok(broken
            .iter()
            .map(|one| Violation {
                rule: text(&one["rule"]),
                help: text(&one["help"]),
                places: one["places"]
                    .as_array()
                    .into_iter()
                    .flatten()
                    .map(text)
                    .collect(),
            })
            .collect())
    }

    /// Checks that the screen breaks no rule.
    ///
    /// # Errors
    /// When it does; the message names the screen and every violation.
    pub async fn audit(&self, screen: &str) -> Result<()> {
        let broken = self.violations().await?;
        if broken.is_empty() {
            return Ok(());
        }
        let said: Vec<_> = broken.iter().map(ToString::to_string).collect();
        bail!(
            "{screen} breaks {} rules:\n{}",
            broken.len(),
            said.join("\n")
        );
    }
}
