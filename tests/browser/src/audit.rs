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

/// The house's own measures, beyond the standard's: targets at least 48 pixels high and wide (one
/// side may be less for a link in a sentence), no text under 14 pixels or over its box, nothing wider
/// than the screen.
const MEASURE: &str = "(() => { const bad = []; \
    const seen = e => e.checkVisibility({ visibilityProperty: true, opacityProperty: true }) && \
        e.getBoundingClientRect().width > 1; \
    const name = e => (e.getAttribute('aria-label') || e.innerText || e.tagName).trim().replace(/\\s+/g, ' ').slice(0, 40); \
    for (const e of document.querySelectorAll('button, a, input, select, summary, textarea')) { \
        if (!seen(e) || (e.tagName === 'A' && getComputedStyle(e).display === 'inline')) continue; \
        const box = (e.type === 'radio' || e.type === 'checkbox' ? e.closest('label') || e : e).getBoundingClientRect(); \
        if (box.height < 47.5 || box.width < 47.5) \
            bad.push(name(e) + ' is ' + box.width.toFixed(0) + ' by ' + box.height.toFixed(0) + ' pixels'); } \
    const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT); \
    while (walk.nextNode()) { const e = walk.currentNode.parentElement; \
        if (!walk.currentNode.data.trim() || !seen(e) || e.closest('noscript, script, style, svg')) continue; \
        const size = parseFloat(getComputedStyle(e).fontSize); \
        if (size < 13.99) bad.push('\"' + walk.currentNode.data.trim().slice(0, 30) + '\" is set in ' + size + ' pixels'); } \
    for (const e of document.querySelectorAll('button, a, summary, th, td, label, legend, h1, h2, h3, .tag, .word')) { \
        if (!seen(e) || ['inline', 'contents'].includes(getComputedStyle(e).display)) continue; \
        if (e.scrollWidth > e.clientWidth + 1 && e.clientWidth > 0) \
            bad.push('\"' + name(e) + '\" is ' + (e.scrollWidth - e.clientWidth) + ' pixels wider than its box'); } \
    const rolls = [document.documentElement, ...document.querySelectorAll('.page > .body')]; \
    const wide = Math.max(...rolls.map(e => e.scrollWidth - e.clientWidth)); \
    if (wide > 1) bad.push('the page is ' + wide + ' pixels wider than the screen'); \
    return [...new Set(bad)].join('; '); })()";

impl Phone {
    /// What is too small to touch or to read, or too wide for the screen; `None` when nothing is.
    ///
    /// # Errors
    /// When the browser is gone.
    pub async fn too_small(&self) -> Result<Option<String>> {
        let said = self.evaluate(MEASURE).await?;
        Ok(said
            .as_str()
            .filter(|said| !said.is_empty())
            .map(str::to_owned))
    }

    /// Waits until nothing on the screen moves any more.
    ///
    /// # Errors
    /// When something moves for ever.
    pub async fn settled(&self) -> Result<()> {
        self.until("document.getAnimations().every(one => one.playState !== 'running')")
            .await
    }
}
