//! How long people wait who build it: for the app as phones get it, and for the first command after the
//! source was fetched.

use std::fs;
use std::io::{BufRead as _, BufReader};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use anyhow::{Context as _, Result};
use xtask::{deadline, place, tools};

/// Longer than anyone waits.
const LIMIT: Duration = Duration::from_secs(30 * 60);

/// Builds the app as phones get it with all that it needs built, and prints the row.
pub fn build() -> Result<()> {
    let app = || {
        let mut build = tools::command(&place::program("appbuild").to_string_lossy());
        build
            .arg("--release")
            .stdout(Stdio::null())
            .stderr(Stdio::null());
        tools::run_within(&mut build, LIMIT)
    };
    tools::run(tools::command("cargo").args(["build", "--quiet", "--locked", "-p", "appbuild"]))?;
    app()?;
    let changed = place::top().join("app/web/src/lib.rs");
    fs::File::options()
        .append(true)
        .open(&changed)?
        .set_modified(std::time::SystemTime::now())?;
    let from = Instant::now();
    app()?;
    println!(
        "| release build of the app, what it needs built | {:.0} s | | < 120 s |",
        from.elapsed().as_secs_f64()
    );
    Ok(())
}

/// Fetches the last commit into an empty folder, starts the first command there, and prints when it said
/// its first word and when the app could be opened. The crates that are on the machine are not fetched
/// again.
pub fn first() -> Result<()> {
    let folder = place::target().join("first-command");
    let _ = fs::remove_dir_all(&folder);
    tools::run(
        Command::new("git")
            .args(["clone", "--quiet", "--depth", "1"])
            .arg(format!("file://{}", place::top().display()))
            .arg(&folder),
    )?;
    let mut serve = Command::new("cargo");
    serve
        .args(["xtask", "serve", "--port", "0"])
        .current_dir(&folder)
        .env_remove("CARGO_TARGET_DIR")
        .stdout(Stdio::piped())
        .stderr(Stdio::piped());
    let from = Instant::now();
    let mut child = serve.spawn().context("could not start cargo")?;
    let (out, err) = (child.stdout.take(), child.stderr.take());
    let first = std::thread::spawn(move || {
        let mut word = None;
        for line in BufReader::new(err?).lines().map_while(Result::ok) {
            // What cargo says of itself is not ours.
            if line.starts_with("Step 1") && word.is_none() {
                word = Some(from.elapsed());
            }
        }
        word
    });
    let lines = BufReader::new(out.context("it has no output")?).lines();
    let mut lines = lines.map_while(Result::ok);
    let served = lines
        .find(|line| line.starts_with("Chalkbook is at"))
        .map(|_| from.elapsed());
    deadline::end_with_all(&mut child)?;
    let word = first.join().ok().flatten();
    let _ = fs::remove_dir_all(&folder);
    let served = served.context("the first command ended before it served anything")?;
    for (what, time, budget) in [
        ("first word on the screen after it", word, 10),
        ("first command from nothing but Rust", Some(served), 360),
    ] {
        let time = time.map_or_else(
            || "none".to_owned(),
            |t| format!("{:.1} s", t.as_secs_f64()),
        );
        println!("| {what} | {time} | | < {budget} s |");
    }
    Ok(())
}
