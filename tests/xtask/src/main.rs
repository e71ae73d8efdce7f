//! Developer commands: `cargo xtask --help` lists them.

mod icons;
mod stages;
mod steps;

use std::ffi::OsString;
use std::path::PathBuf;
use std::process::ExitCode;

use anyhow::{Context as _, Result};
use clap::builder::PossibleValuesParser;
use clap::{Parser, Subcommand};
use xtask::{place, tools};

/// Everything that is done with this repository. Whatever a command needs is installed below `target/`
/// when it is first needed.
#[derive(Debug, Parser)]
#[command(name = "cargo xtask", bin_name = "cargo xtask")]
struct Asked {
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Build the app and serve it with a collector and the demo event
    Serve {
        /// The port that it listens on; 0 takes a free one
        #[arg(long, default_value_t = 8505)]
        port: u16,
        /// As phones get it: small and quick, but it takes minutes to build
        #[arg(long)]
        release: bool,
    },
    /// Build the app into target/dist, or where Trunk stages it
    App {
        /// As phones get it: small and quick, but it takes minutes to build
        #[arg(long)]
        release: bool,
    },
    /// Make what is handed out: the app for any host, the service, licences, checksums
    Bundle {
        /// Where it goes; target/bundle without it
        #[arg(long)]
        into: Option<PathBuf>,
    },
    /// Prove everything, or only the stages named
    Test {
        /// Which stages, in their own order; all if none is named
        #[arg(value_parser = PossibleValuesParser::new(stages::NAMES))]
        stages: Vec<String>,
    },
    /// Play games written as text through the engine
    Scenario {
        /// Print the state at the end of one game
        #[arg(long)]
        print: bool,
        /// Games as text; tests/scenarios/FORM.md describes the form
        #[arg(required = true)]
        files: Vec<OsString>,
    },
    /// Say who wrote a log file, what it holds, whether it is good
    Verify {
        /// One line of JSON for each file
        #[arg(long)]
        json: bool,
        /// Log files or charters
        #[arg(required = true)]
        files: Vec<OsString>,
    },
    /// Print figures, each beside its budget
    Bench {
        /// Which figures; without any all but `build` and `first`, which take minutes
        #[arg(value_parser = ["engine", "size", "phone", "page", "signing", "build", "first"])]
        figures: Vec<String>,
    },
    /// Take the pictures of the README again
    Screens,
    /// Draw the icons again
    Icons,
}

fn main() -> ExitCode {
    let done = match Asked::parse().command {
        Command::Serve { port, release } => serve(port, release),
        Command::App { release } => stages::app(release),
        Command::Bundle { into } => bundle(into),
        Command::Test { stages } => return stages::run(&stages),
        Command::Scenario { print, files } => {
            return started("scenario", &[], flag(print, "--print"), &files);
        }
        Command::Verify { json, files } => {
            return started(
                "logformat",
                &["--bin", "verify"],
                flag(json, "--json"),
                &files,
            );
        }
        Command::Bench { figures } => stages::bench(&figures),
        Command::Screens => stages::screens(),
        Command::Icons => icons::draw(),
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("error: {error:#}");
            ExitCode::FAILURE
        }
    }
}

fn flag(is: bool, name: &'static str) -> Option<&'static str> {
    is.then_some(name)
}

/// Starts a program of the workspace in the folder at hand; what it ends with is what the command ends
/// with.
fn started(package: &str, which: &[&str], flag: Option<&str>, words: &[OsString]) -> ExitCode {
    let mut cargo = tools::command("cargo");
    if let Ok(here) = std::env::current_dir() {
        cargo.current_dir(here);
    }
    cargo
        .args(["run", "--quiet", "--package", package])
        .args(which)
        .arg("--");
    match cargo.args(flag).args(words).status() {
        Ok(status) => status
            .code()
            .and_then(|code| u8::try_from(code).ok())
            .map_or(ExitCode::FAILURE, ExitCode::from),
        Err(error) => {
            eprintln!("error: cargo cannot be started: {error}");
            ExitCode::FAILURE
        }
    }
}

fn serve(port: u16, release: bool) -> Result<()> {
    let steps = "of 3, a few minutes together the first time, seconds afterwards";
    eprintln!("Step 1 {steps}: the builder of the app, and the collector");
    tools::run(
        tools::command("cargo").args(["build", "--locked", "-p", "appbuild", "-p", "serve"]),
    )?;
    eprintln!("Step 2 of 3: the app");
    stages::app(release)?;
    eprintln!("Step 3 of 3: the demo event");
    let mut serve = tools::command("cargo");
    serve.args(["run", "--quiet", "--locked", "-p", "serve", "--"]);
    serve
        .arg(place::dist())
        .arg(place::collected())
        .arg(port.to_string());
    tools::run(&mut serve).context("the collector stopped")
}

fn bundle(into: Option<PathBuf>) -> Result<()> {
    let into = into.unwrap_or_else(|| place::target().join("bundle"));
    let mut build = tools::command("cargo");
    build.args([
        "run", "--quiet", "--locked", "-p", "appbuild", "--", "--bundle", "--into",
    ]);
    tools::run(build.arg(into))
}

#[cfg(test)]
mod tests {
    use clap::CommandFactory as _;

    use super::*;

    #[test]
    fn every_command_says_what_it_does() {
        let mut all = Asked::command();
        all.build();
        // `help` is clap's own and explains the others.
        let ours = all.get_subcommands().filter(|c| c.get_name() != "help");
        for command in ours {
            let name = command.get_name();
            assert!(command.get_about().is_some(), "{name}");
            let help = Asked::try_parse_from(["xtask", name, "--help"]);
            let kind = help.map(|_| ()).map_err(|error| error.kind());
            assert_eq!(kind, Err(clap::error::ErrorKind::DisplayHelp), "{name}");
        }
        all.debug_assert();
    }

    #[test]
    fn stages_and_figures_that_do_not_exist_are_refused() {
        assert!(Asked::try_parse_from(["xtask", "test", "native", "engine"]).is_ok());
        assert!(Asked::try_parse_from(["xtask", "test", "nativ"]).is_err());
        assert!(Asked::try_parse_from(["xtask", "bench", "speed"]).is_err());
        assert!(Asked::try_parse_from(["xtask", "serve", "--port", "99999"]).is_err());
    }
}
