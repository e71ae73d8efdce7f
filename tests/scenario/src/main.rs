//! Plays games written as text: `scenario [--print] FILE...`.

use std::process::ExitCode;

fn main() -> ExitCode {
    let words: Vec<String> = std::env::args().skip(1).collect();
    scenario::main(&words)
}
