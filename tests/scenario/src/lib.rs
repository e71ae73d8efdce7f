//! Reads games as plain text and plays them through the engine.
//!
//! One file is one game: a head (edition, values, line-ups), plays and
//! notices, and checks. Everything goes through the same `check` and `push`
//! that the app uses; no rule is known here. The form is described in
//! `tests/scenarios/FORM.md`.

mod head;
mod notice;
mod parse;
mod run;
mod state;

use std::fmt::Write as _;
use std::io::Write as _;
use std::path::Path;
use std::process::ExitCode;

pub use run::{Failure, Report, run};
pub use state::print;

/// Plays scenario files and prints the failures and the totals.
///
/// With `--print` it prints the state after the last line of the one file
/// given, in the form of checks.
#[must_use]
pub fn main(args: &[String]) -> ExitCode {
    match args
        .iter()
        .map(String::as_str)
        .collect::<Vec<_>>()
        .as_slice()
    {
        ["--print", file] => print_state(file),
        [] | ["--print", ..] | ["--help" | "-h", ..] => {
            eprintln!(
                "usage: cargo xtask scenario FILE...\n       cargo xtask scenario --print FILE"
            );
            ExitCode::from(2)
        }
        files => play_all(files),
    }
}

/// Prints. A reader that has seen enough and went away, as `head` does, is no
/// failure.
fn say(text: &str) {
    match std::io::stdout().write_all(text.as_bytes()) {
        Err(error) if error.kind() != std::io::ErrorKind::BrokenPipe => {
            eprintln!("nothing could be printed: {error}");
        }
        _ => {}
    }
}

fn print_state(file: &str) -> ExitCode {
    let text = match std::fs::read_to_string(file) {
        Ok(text) => text,
        Err(error) => {
            eprintln!("{file}: {error}");
            return ExitCode::from(2);
        }
    };
    let report = run(&text);
    for failure in &report.failures {
        eprintln!("{}", failure.at(file));
    }
    match &report.history {
        Some(history) => {
            say(&format!("{}\n", print(history)));
            if report.failures.is_empty() {
                ExitCode::SUCCESS
            } else {
                ExitCode::FAILURE
            }
        }
        None => {
            eprintln!("{file}: no game: both line-ups are needed");
            ExitCode::FAILURE
        }
    }
}

fn play_all(files: &[&str]) -> ExitCode {
    let (mut passed, mut failed) = (0, 0);
    let mut out = String::new();
    for file in files {
        match std::fs::read_to_string(Path::new(file)) {
            Err(error) => {
                failed += 1;
                let _ = writeln!(out, "{file}: {error}");
            }
            Ok(text) => {
                let report = run(&text);
                passed += report.passed;
                failed += report.failures.len();
                for failure in &report.failures {
                    let _ = writeln!(out, "{}", failure.at(file));
                }
            }
        }
    }
    say(&format!("{out}{passed} passed, {failed} failed\n"));
    if failed == 0 {
        ExitCode::SUCCESS
    } else {
        ExitCode::FAILURE
    }
}
