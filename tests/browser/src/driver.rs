//! The browsers, and a driver for each on a port of its own.

use std::io::{BufRead as _, BufReader};
use std::net::{Ipv4Addr, TcpListener, TcpStream};
use std::path::Path;
use std::process::{Child, Stdio};
use std::time::{Duration, Instant};

use anyhow::{Context as _, Result, bail};
use serde_json::{Map, Value, json};
use xtask::{deadline, tools};

use crate::Size;

/// Which browser the phone has.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Browser {
    /// The one most tests use, for what only its own protocol can do: a slow processor, a full disk, a
    /// camera, the tree of accessibility.
    Chromium,
    /// Firefox, by the W3C's WebDriver alone. Its window is 500 px wide at the least.
    Firefox,
    /// WebKit, the engine of every iPhone's browser, in a window of GTK, by WebDriver alone.
    WebKit,
}

impl Browser {
    /// What to ask the driver for: this profile and this size.
    pub(crate) fn capabilities(
        self,
        profile: &Path,
        (width, height): Size,
        film: Option<&Path>,
    ) -> Map<String, Value> {
        let mut wanted = Map::new();
        match self {
            Self::Chromium => {
                wanted.insert(
                    "goog:chromeOptions".to_owned(),
                    chromium(profile, (width, height), film),
                );
                wanted.insert("goog:loggingPrefs".to_owned(), json!({ "browser": "ALL" }));
            }
            Self::Firefox => {
                let size = [format!("--width={width}"), format!("--height={height}")];
                let profile = profile.display().to_string();
                wanted.insert(
                    "moz:firefoxOptions".to_owned(),
                    json!({ "args": ["-headless", size[0], size[1], "-profile", profile] }),
                );
            }
            Self::WebKit => {
                let view = concat!(env!("CARGO_MANIFEST_DIR"), "/src/webkit_view.py");
                let words = [
                    profile.display().to_string(),
                    width.to_string(),
                    height.to_string(),
                ];
                wanted.insert(
                    "webkitgtk:browserOptions".to_owned(),
                    json!({ "binary": view, "args": words }),
                );
            }
        }
        wanted.insert("pageLoadStrategy".to_owned(), Value::from("normal"));
        wanted
    }
}

fn chromium(profile: &Path, (width, height): Size, film: Option<&Path>) -> Value {
    let arguments = [
        "--headless",
        "--no-sandbox",
        "--disable-gpu",
        "--disable-quic",
        "--disable-dev-shm-usage",
        "--no-first-run",
        "--disable-background-networking",
        "--disable-component-update",
        "--disable-sync",
        "--hide-scrollbars",
        // The app hands files over; the browser must not ask where to put them.
        "--disable-features=Translate,OptimizationHints,MediaRouter",
    ];
    let mut arguments: Vec<String> = arguments.iter().map(|word| (*word).to_owned()).collect();
    arguments.push(format!("--user-data-dir={}", profile.display()));
    arguments.push(format!("--window-size={width},{height}"));
    if let Some(film) = film {
        arguments.push("--use-fake-device-for-media-stream".to_owned());
        arguments.push("--use-fake-ui-for-media-stream".to_owned());
        arguments.push(format!(
            "--use-file-for-fake-video-capture={}",
            film.display()
        ));
    }
    let mut options = json!({ "args": arguments });
    if width < 1000 {
        options["mobileEmulation"] = json!({
            "deviceMetrics": { "width": width, "height": height, "pixelRatio": 2.0, "touch": true, "mobile": true }
        });
    }
    options
}

/// A running driver. It ends with this value, at once and with the browser that it started: neither
/// has a chance to write anything more.
#[derive(Debug)]
pub(crate) struct Driver {
    process: Child,
    port: u16,
    /// Where a browser that has no headless form shows itself.
    screen: Option<Child>,
}

impl Driver {
    /// Starts the driver of a browser on a free port.
    ///
    /// # Errors
    /// When it is not installed or does not start.
    pub fn start(browser: Browser) -> Result<Self> {
        match browser {
            Browser::Chromium => {
                let words = ["--port=0", "--log-level=SEVERE"];
                let (process, port) = started("chromedriver", &words, "successfully on port ")?;
                Ok(Self::of(process, port))
            }
            Browser::Firefox => {
                let words = ["--port=0", "--log=info"];
                let (process, port) = started("geckodriver", &words, "Listening on 127.0.0.1:")?;
                Ok(Self::of(process, port))
            }
            Browser::WebKit => Self::webkit(),
        }
    }

    fn of(process: Child, port: u16) -> Self {
        let screen = None;
        Self {
            process,
            port,
            screen,
        }
    }

    /// It takes no port of its own choice and says nothing.
    fn webkit() -> Result<Self> {
        let words = ["-displayfd", "1", "-nolisten", "tcp", "-screen", "0"];
        let words = [&words[..], &["1600x1200x24"]].concat();
        let (screen, display) = started("Xvfb", &words, "")?;
        let port = TcpListener::bind((Ipv4Addr::LOCALHOST, 0))?
            .local_addr()?
            .port();
        let process = tools::command("WebKitWebDriver")
            .arg(format!("--port={port}"))
            .env("DISPLAY", format!(":{display}"))
            // Its own sandbox wants more of the machine than a container gives; pages here are ours.
            .env("WEBKIT_DISABLE_SANDBOX_THIS_IS_DANGEROUS", "1")
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .context("WebKitWebDriver: `cargo xtask test browser` installs it")?;
        let driver = Self {
            process,
            port,
            screen: Some(screen),
        };
        let from = Instant::now();
        while TcpStream::connect((Ipv4Addr::LOCALHOST, port)).is_err() {
            if from.elapsed() > Duration::from_secs(20) {
                bail!("WebKitWebDriver does not listen on port {port}");
            }
            std::thread::sleep(Duration::from_millis(20));
        }
        Ok(driver)
    }

    /// Its address.
    #[must_use]
    pub fn url(&self) -> String {
        format!("http://127.0.0.1:{}", self.port)
    }
}

impl Drop for Driver {
    fn drop(&mut self) {
        let _ = deadline::end_with_all(&mut self.process);
        if let Some(screen) = &mut self.screen {
            let _ = deadline::end_with_all(screen);
        }
    }
}

/// Starts a program that says a number after these words. A free port that it took may be taken in the other
/// family of addresses by a test beside it: it ends then, and is started again.
fn started(program: &str, words: &[&str], before: &str) -> Result<(Child, u16)> {
    for _ in 0..3 {
        if let Some(started) = start(program, words, before)? {
            return Ok(started);
        }
    }
    bail!("{program} ended without saying \"{before}\", three times")
}

/// As [`started`]; `None` when it ended.
fn start(program: &str, words: &[&str], before: &str) -> Result<Option<(Child, u16)>> {
    let mut process = tools::command(program)
        .args(words)
        .stdin(Stdio::null())
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .with_context(|| format!("{program}: `cargo xtask test browser` installs it"))?;
    let mut lines = BufReader::new(process.stdout.take().context("no output")?);
    let mut line = String::new();
    while lines.read_line(&mut line)? > 0 {
        if let Some((_, number)) = line.split_once(before) {
            let number = number.trim().trim_end_matches('.').parse()?;
            // What it says later has to go somewhere.
            std::thread::spawn(move || std::io::copy(&mut lines, &mut std::io::sink()));
            return Ok(Some((process, number)));
        }
        line.clear();
    }
    let _ = process.wait();
    Ok(None)
}
