//! Figures as rows of a table: what, median, 95th percentile, budget. `bench [engine|size|phone|signing]...`
//!
//! A figure over its budget is printed beside it and fails nothing: timings depend on the machine,
//! which the heading names.

mod engine_speed;
mod figures;
mod phone;
mod signing;
mod size;

use std::process::ExitCode;

use anyhow::{Result, bail};

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    match run(&arguments) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("error: {error:#}");
            ExitCode::FAILURE
        }
    }
}

fn run(wanted: &[String]) -> Result<()> {
    const ALL: [&str; 4] = ["engine", "size", "phone", "signing"];
    let brief = wanted.iter().any(|word| word == "--brief");
    let named: Vec<&str> = wanted
        .iter()
        .map(String::as_str)
        .filter(|word| *word != "--brief")
        .collect();
    if let Some(odd) = named.iter().find(|word| !ALL.contains(word)) {
        bail!(
            "there are no figures `{odd}`; there are {} and the word --brief",
            ALL.join(", ")
        );
    }
    println!("{}\n", figures::machine());
    println!("| what | median | 95 % under | budget |\n|---|---|---|---|");
    for name in ALL {
        if !named.is_empty() && !named.contains(&name) {
            continue;
        }
        match name {
            "engine" => engine_speed::measure(if brief { 20 } else { 2000 })?,
            "size" => size::measure()?,
            "phone" => phone::measure(if brief { 8 } else { 40 })?,
            _ => signing::measure(if brief { 5 } else { 41 })?,
        }
    }
    Ok(())
}
