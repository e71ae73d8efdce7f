//! Judges log files: `verify [--json] FILE...`.

use std::process::ExitCode;

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    logformat::verify::main(&arguments)
}
