//! Developer commands: `cargo xtask` lists them.

use std::process::ExitCode;

use anyhow::{Context as _, Result, bail};
use xtask::build::Kind;
use xtask::{build, icons, place, seal, serve, stages};

const USAGE: &str = "\
cargo xtask COMMAND

  serve [--port N] [--release]   build the app, serve it with a collector and the demo event
  test [STAGE...]                prove everything, or only the stages named
  scenario [--print] FILE...     play games written as text through the engine
  verify [--json] FILE...        say who wrote a log file, what it holds, whether it is good
  bench [FIGURES...]             print the figures: engine, size, phone, signing; all if none is named
  screens                        take the pictures of the README again
  icons                          draw the icons again
  seal                           finish a build for offline use (the build runs this itself)

stages: ";

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let mut words = arguments.iter().map(String::as_str);
    let command = words.next().unwrap_or_default();
    let rest: Vec<&str> = words.collect();
    let done = match command {
        "serve" => serve(&rest).map(|()| ExitCode::SUCCESS),
        "test" => stages::run(&rest),
        "scenario" => {
            let files: Vec<String> = rest.iter().map(ToString::to_string).collect();
            Ok(scenario::main(&files))
        }
        "verify" => {
            let files: Vec<String> = rest.iter().map(ToString::to_string).collect();
            Ok(logformat::verify::main(&files))
        }
        "bench" => stages::bench(&rest).map(|()| ExitCode::SUCCESS),
        "screens" => stages::screens().map(|()| ExitCode::SUCCESS),
        "seal" => sealed(&rest).map(|()| ExitCode::SUCCESS),
        "icons" => icons::draw().map(|()| ExitCode::SUCCESS),
        "" | "help" | "--help" | "-h" => {
            println!("{USAGE}{}", stages::names());
            Ok(ExitCode::SUCCESS)
        }
        other => {
            eprintln!(
                "There is no command `{other}`.\n\n{USAGE}{}",
                stages::names()
            );
            Ok(ExitCode::from(2))
        }
    };
    done.unwrap_or_else(|error| {
        eprintln!("error: {error:#}");
        ExitCode::FAILURE
    })
}

fn serve(words: &[&str]) -> Result<()> {
    let mut port = serve::PORT;
    let mut kind = Kind::Quick;
    let mut words = words.iter();
    while let Some(word) = words.next() {
        match *word {
            "--release" => kind = Kind::Phone,
            "--port" => {
                let number = words.next().context("--port wants a number, 1 to 65535")?;
                port = number
                    .parse()
                    .with_context(|| format!("`{number}` is not a port, 1 to 65535"))?;
            }
            other => bail!("serve takes --port N and --release, not `{other}`"),
        }
    }
    build::app(kind)?;
    let server = serve::Server::with_collector(&place::dist(), &place::collected(), port)?;
    let url = server.url();
    println!("Chalkbook is at {url}  (end with Ctrl-C)");
    println!("Results of the demo event: {url}results");
    server.until_interrupted()
}

/// Run by Trunk after its build, on the folder that it names.
fn sealed(words: &[&str]) -> Result<()> {
    if !words.is_empty() {
        bail!("seal takes no words");
    }
    let folder = std::env::var_os("TRUNK_STAGING_DIR").map_or_else(place::dist, Into::into);
    let asked = std::env::var(seal::COMPRESS);
    let compress = match asked.as_deref() {
        Ok(said) => said == "yes",
        Err(_) => std::env::var("TRUNK_PROFILE").is_ok_and(|profile| profile == "release"),
    };
    let name = seal::seal(&folder, compress)?;
    println!("Build {name}");
    Ok(())
}
