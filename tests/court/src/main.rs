//! Reads one JSON question a line and writes one JSON answer a line, so that
//! a geometry library of another language can check the engine's courts.
//!
//! `{"ask": "fit", "outline": [[x, y]…], "obstacles": [{"polygon": [[x, y]…]} or
//! {"circle": [x, y, radius]}…], "home_corner": 0, "sun": 270, "edition":
//! "federation", "set": {"fair-side": "21"}, "run_off_mm": 1000, "least_mm":
//! 7000}`; lengths in metres where not said otherwise. "set_out", "close" (with
//! "from_home" and "across") and "plan" take the same fields; without
//! "outline" they are about the edition's full court.

mod fit;
mod tape;

use std::io::{self, BufRead, Write};

use serde_json::{Value, json};

fn main() -> io::Result<()> {
    let mut out = io::BufWriter::new(io::stdout().lock());
    for line in io::stdin().lock().lines() {
        let answer = match answer(&line?) {
            Ok(v) => v,
            Err(why) => json!({ "error": why }),
        };
        writeln!(out, "{answer}")?;
        out.flush()?;
    }
    Ok(())
}

fn answer(line: &str) -> Result<Value, String> {
    let ask: Value = serde_json::from_str(line).map_err(|e| e.to_string())?;
    match ask.get("ask").and_then(Value::as_str) {
        Some("fit") => fit::answer(&ask),
        Some("set_out") => tape::set_out_answer(&ask),
        Some("close") => tape::close_answer(&ask),
        Some("plan") => tape::plan_answer(&ask),
        _ => Err("\"ask\" must be one of: fit set_out close plan".into()),
    }
}
