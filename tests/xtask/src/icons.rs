//! The icons' pictures, drawn by the browser from the one source `public/icons/court.svg`.

use std::fs;

use anyhow::{Context as _, Result};

use xtask::{place, tools};

/// File, side in pixels, and how much of the side the drawing takes. A maskable icon keeps what
/// matters within the middle four fifths (W3C, Web Application Manifest, "icon masks").
const ICONS: [(&str, u32, f64); 3] = [
    ("court-192.png", 192, 1.0),
    ("court-512.png", 512, 1.0),
    ("court-maskable-512.png", 512, 0.85),
];

/// Draws every icon again into `public/icons`.
///
/// # Errors
/// When the browser is missing or cannot draw.
pub fn draw() -> Result<()> {
    tools::browser()?;
    let folder = place::top().join("public").join("icons");
    let source = fs::read_to_string(folder.join("court.svg")).context("public/icons/court.svg")?;
    let work = place::target().join("icons");
    fs::create_dir_all(&work)?;
    for (name, side, share) in ICONS {
        let drawn = f64::from(side) * share;
        let rest = (f64::from(side) - drawn) / 2.0;
        let page = work.join(name).with_extension("html");
        fs::write(
            &page,
            format!(
                "<!DOCTYPE html><style>body{{margin:0;background:#191a1c}}svg{{position:absolute;left:{rest}px;\
                 top:{rest}px;width:{drawn}px;height:{drawn}px}}</style>{source}"
            ),
        )?;
        tools::run(
            tools::command("chromium")
                .args([
                    "--headless",
                    "--no-sandbox",
                    "--disable-gpu",
                    "--no-first-run",
                    "--hide-scrollbars",
                ])
                .args([
                    "--disable-background-networking",
                    "--force-device-scale-factor=1",
                ])
                .arg(format!(
                    "--user-data-dir={}",
                    work.join("profile").display()
                ))
                .arg(format!("--window-size={side},{side}"))
                .arg(format!("--screenshot={}", folder.join(name).display()))
                .arg(format!("file://{}", page.display())),
        )?;
    }
    Ok(())
}
