//! Figures as rows of a table: what, median, 95th percentile, budget. `bench` and the names of figures.
//!
//! A figure over its budget is printed beside it and fails nothing: timings depend on the machine,
//! which the heading names.

mod engine_speed;
mod figures;
mod page;
mod phone;
mod signing;
mod size;
mod wait;

use std::process::ExitCode;

use anyhow::Result;
use clap::{Parser, ValueEnum};

/// Prints figures, each beside its budget.
#[derive(Debug, Parser)]
#[command(name = "bench")]
struct Asked {
    /// Which; without any all that take no building
    figures: Vec<Figure>,
    /// A few rounds of each: whether they run, not how fast
    #[arg(long)]
    brief: bool,
}

/// What is measured together.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum Figure {
    /// The engine natively
    Engine,
    /// What is downloaded
    Size,
    /// Touches and screens on a slow phone
    Phone,
    /// Memory and idle time of the page
    Page,
    /// Signatures in the browser
    Signing,
    /// The app's release build
    Build,
    /// The first command after the source was fetched
    First,
}

/// Those that are measured when none is named.
const USUAL: [Figure; 5] = [
    Figure::Engine,
    Figure::Size,
    Figure::Phone,
    Figure::Page,
    Figure::Signing,
];

fn main() -> ExitCode {
    match run(&Asked::parse()) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("error: {error:#}");
            ExitCode::FAILURE
        }
    }
}

fn run(asked: &Asked) -> Result<()> {
    let wanted = match asked.figures.as_slice() {
        [] => &USUAL,
        some => some,
    };
    println!("{}\n", figures::machine());
    println!("| what | median | 95 % under | budget |\n|---|---|---|---|");
    let rounds = |brief, whole| if asked.brief { brief } else { whole };
    for figure in wanted {
        match figure {
            Figure::Engine => engine_speed::measure(rounds(20, 2000))?,
            Figure::Size => size::measure()?,
            Figure::Phone => phone::measure(rounds(8, 40))?,
            Figure::Page => page::measure(rounds(2, 30))?,
            Figure::Signing => signing::measure(rounds(5, 41))?,
            Figure::Build => wait::build()?,
            Figure::First => wait::first()?,
        }
    }
    Ok(())
}
