//! A page on paper: how many sheets it takes, and whether they can be read.

use std::fs;
use std::process::Command;

use anyhow::{Context as _, Result, bail};
use base64::Engine as _;
use serde_json::json;
use xtask::place;

use crate::Phone;

/// A page as it comes out of the printer.
#[derive(Debug)]
pub struct Paper {
    /// Sheets of A4.
    pub sheets: usize,
    /// Words printed over one another, and sheets left more than half empty;
    /// `None` where nothing on this machine reads the words of a PDF.
    pub wrong: Option<Vec<String>>,
}

/// A word where it is printed, in points from the top left.
struct Word {
    left: f64,
    top: f64,
    right: f64,
    bottom: f64,
    text: String,
}

impl Word {
    /// `<word xMin="1" yMin="2" xMax="3" yMax="4">text</word>`
    fn parse(line: &str) -> Option<Self> {
        let line = line.trim().strip_prefix("<word ")?;
        let number = |name: &str| -> Option<f64> {
            let rest = line.split(&format!("{name}=\"")).nth(1)?;
            rest.split('"').next()?.parse().ok()
        };
        Some(Self {
            left: number("xMin")?,
            top: number("yMin")?,
            right: number("xMax")?,
            bottom: number("yMax")?,
            text: line.split_once('>')?.1.trim_end_matches("</word>").into(),
        })
    }

    /// Whether a quarter of the smaller word lies under the other.
    fn covers(&self, other: &Self) -> bool {
        let wide = self.right.min(other.right) - self.left.max(other.left);
        let high = self.bottom.min(other.bottom) - self.top.max(other.top);
        let area = |w: &Self| (w.right - w.left) * (w.bottom - w.top);
        wide > 0.0 && high > 0.0 && wide * high > area(self).min(area(other)) / 4.0
    }
}

fn faults(text: &str) -> Vec<String> {
    let pages: Vec<&str> = text.split("<page ").skip(1).collect();
    let mut wrong = Vec::new();
    for (at, page) in pages.iter().enumerate() {
        let words: Vec<Word> = page.lines().filter_map(Word::parse).collect();
        for (n, word) in words.iter().enumerate() {
            let over = words.iter().skip(n + 1).find(|other| word.covers(other));
            wrong.extend(over.map(|other| {
                format!(
                    "sheet {}: \"{}\" over \"{}\"",
                    at + 1,
                    word.text,
                    other.text
                )
            }));
        }
        let lowest = words.iter().map(|w| w.bottom).fold(0.0, f64::max);
        // A4 is 842 points high.
        if at + 1 < pages.len() && lowest < 421.0 {
            wrong.push(format!("sheet {} is more than half empty", at + 1));
        }
    }
    wrong
}

impl Phone {
    /// Prints the page as Chromium does, on A4, and keeps it beside the pictures.
    ///
    /// # Errors
    /// When nothing is printed.
    pub async fn print(&self, name: &str) -> Result<Paper> {
        let paper = json!({ "paperWidth": 8.27, "paperHeight": 11.69, "preferCSSPageSize": true });
        let printed = self.protocol("Page.printToPDF", paper).await?;
        let data = printed["data"].as_str().context("nothing printed")?;
        let pdf = base64::prelude::BASE64_STANDARD.decode(data)?;
        let folder = place::artefacts().join("paper");
        fs::create_dir_all(&folder)?;
        let file = folder.join(format!("{name}.pdf"));
        fs::write(&file, &pdf)?;
        // ISO 32000: each sheet is an object of this type; the list of them is another.
        let text = String::from_utf8_lossy(&pdf);
        let sheets = text.matches("/Type /Page\n").count();
        if sheets == 0 {
            bail!("{name}: nothing is printed");
        }
        let read = Command::new("pdftotext")
            .arg("-bbox")
            .arg(&file)
            .arg("-")
            .output();
        let wrong = match read {
            Ok(read) if read.status.success() => Some(faults(&String::from_utf8(read.stdout)?)),
            _ => {
                eprintln!("{name}: without pdftotext only its sheets are counted");
                None
            }
        };
        Ok(Paper { sheets, wrong })
    }

    /// Prints the page and checks it: so many sheets at most, nothing over anything else.
    ///
    /// # Errors
    /// When it takes more, or cannot be read.
    pub async fn prints_on(&self, name: &str, most: usize) -> Result<()> {
        let paper = self.print(name).await?;
        println!("{name}: {} sheets", paper.sheets);
        let wrong = paper.wrong.unwrap_or_default();
        if paper.sheets > most || !wrong.is_empty() {
            bail!(
                "{name} takes {} sheets, {most} at most: {wrong:?}",
                paper.sheets
            );
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::faults;

    #[test]
    fn a_heading_over_a_row_and_an_empty_sheet_are_found() {
        let word = |top: f64, text: &str| {
            let bottom = top + 10.0;
            format!(
                "<word xMin=\"50\" yMin=\"{top}\" xMax=\"90\" yMax=\"{bottom}\">{text}</word>\n"
            )
        };
        let page = |words: &[String]| format!("<page width=\"595\">\n{}</page>\n", words.concat());
        let good = page(&[word(50.0, "one"), word(62.0, "two"), word(700.0, "three")]);
        assert!(faults(&format!("{good}{good}")).is_empty());
        let over = page(&[word(50.0, "runs"), word(55.0, "Ebb"), word(700.0, "x")]);
        assert_eq!(faults(&over), ["sheet 1: \"runs\" over \"Ebb\""]);
        let half = page(&[word(50.0, "one")]);
        assert_eq!(
            faults(&format!("{half}{good}")),
            ["sheet 1 is more than half empty"]
        );
    }
}
