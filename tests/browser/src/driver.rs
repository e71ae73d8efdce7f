//! The browser's driver, on a port of its own.

use std::fs;
use std::io::{BufRead as _, BufReader};
use std::path::Path;
use std::process::{Child, Command, Stdio};

use anyhow::{Context as _, Result, bail};

/// A running driver; it ends with this value.
#[derive(Debug)]
pub struct Driver {
    process: Child,
    port: u16,
}

impl Driver {
    /// Starts the driver on a free port.
    ///
    /// # Errors
    /// When `chromedriver` is not installed or does not start.
    pub fn start() -> Result<Self> {
        let mut process = Command::new("chromedriver")
            .args(["--port=0", "--log-level=SEVERE"])
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .context("chromedriver: `cargo xtask test browser` installs it")?;
        let mut lines = BufReader::new(process.stdout.take().context("no output")?);
        let mut line = String::new();
        while lines.read_line(&mut line)? > 0 {
            if let Some(port) = line.split("started successfully on port ").nth(1) {
                let port = port.trim().trim_end_matches('.').parse()?;
                return Ok(Self { process, port });
            }
            line.clear();
        }
        let _ = process.wait();
        bail!("chromedriver ended without saying on which port it listens")
    }

    /// Its address.
    #[must_use]
    pub fn url(&self) -> String {
        format!("http://127.0.0.1:{}", self.port)
    }
}

impl Drop for Driver {
    fn drop(&mut self) {
        let _ = self.process.kill();
        let _ = self.process.wait();
    }
}

/// Kills, at once and without a chance to write anything, every browser process that uses `profile`.
/// The folder's name is the test's own, so no other browser is hit.
pub(crate) fn kill_browser(profile: &Path) -> usize {
    let flag = format!("--user-data-dir={}", profile.display());
    let mut killed = 0;
    for _ in 0..50 {
        let pids = processes_with(&flag);
        if pids.is_empty() {
            break;
        }
        killed += pids.len();
        let _ = Command::new("kill")
            .arg("-9")
            .args(&pids)
            .stderr(Stdio::null())
            .status();
        std::thread::sleep(std::time::Duration::from_millis(10));
    }
    killed
}

fn processes_with(flag: &str) -> Vec<String> {
    let Ok(entries) = fs::read_dir("/proc") else {
        return Vec::new();
    };
    entries
        .filter_map(|entry| entry.ok()?.file_name().into_string().ok())
        .filter(|name| name.bytes().all(|b| b.is_ascii_digit()))
        .filter(|pid| {
            let words = fs::read(format!("/proc/{pid}/cmdline")).unwrap_or_default();
            words.split(|b| *b == 0).any(|word| word == flag.as_bytes())
        })
        .collect()
}
