//! Answers each JSON line of the standard input with one on the standard output.
//!
//! `{"table": …}` gives a table with its steps, `{"schedule": …}` a schedule with
//! its iCalendar and CSV texts; what the engine refuses is answered with
//! `{"problems": [sentence, …]}`. `check.py` beside this crate asks and compares.

use std::io::{self, BufRead as _, Write as _};
use std::process::ExitCode;

use serde::Deserialize;

mod schedule;
mod table;

/// One question.
#[derive(Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
enum Question {
    Table(table::Pool),
    Schedule(schedule::Wish),
}

/// The sentences of everything that was refused.
fn refused<P: std::fmt::Display>(problems: &[P]) -> serde_json::Value {
    let sentences: Vec<String> = problems.iter().map(ToString::to_string).collect();
    serde_json::json!({ "problems": sentences })
}

fn answer(line: &str) -> Result<serde_json::Value, serde_json::Error> {
    Ok(match serde_json::from_str(line)? {
        Question::Table(pool) => pool.answer(),
        Question::Schedule(wish) => wish.answer(),
    })
}

fn main() -> ExitCode {
    let mut out = io::BufWriter::new(io::stdout().lock());
    for (at, line) in io::stdin().lock().lines().enumerate() {
        let line = match line {
            Ok(line) => line,
            Err(error) => {
                eprintln!("line {}: {error}", at + 1);
                return ExitCode::FAILURE;
            }
        };
        match answer(&line) {
            Ok(value) => {
                if let Err(error) = writeln!(out, "{value}") {
                    eprintln!("line {}: {error}", at + 1);
                    return ExitCode::FAILURE;
                }
            }
            Err(error) => {
                eprintln!("line {}: {error}", at + 1);
                return ExitCode::FAILURE;
            }
        }
    }
    ExitCode::SUCCESS
}
