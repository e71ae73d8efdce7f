//! The whole folder: page, style, icons, programs, and the service worker that keeps them.

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};

use anyhow::{Context as _, Result, bail};
use xtask::{place, tools};

use crate::program::{self, Program};
use crate::{licences, pack, seal};

/// How the app is built.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Quick to compile, large, slow.
    Quick,
    /// As phones get it: small, optimised, compressed.
    Phone,
}

impl Kind {
    /// The profile of Cargo that it is compiled with, and its folder below `target/`.
    fn profile(self) -> (&'static str, &'static str) {
        match self {
            Self::Quick => ("dev", "debug"),
            Self::Phone => ("phone", "phone"),
        }
    }
}

/// The line of `boot.js` that names the program.
const PROGRAM_LINE: &str = "const PROGRAM = ";

/// Builds the app into a folder and gives the build's name. What was in the folder goes when all of
/// the new is there.
///
/// # Errors
/// When it does not compile, a tool is missing, or the folder cannot be written.
pub fn build(kind: Kind, into: &Path) -> Result<String> {
    let small = kind == Kind::Phone;
    compile(kind)?;
    let staged = place::target().join(format!("app-staged-{}", kind.profile().1));
    let _ = fs::remove_dir_all(&staged);
    fs::create_dir_all(&staged)?;
    let compiled = place::target().join(tools::WASM).join(kind.profile().1);
    say("splitting and binding");
    let app = Program {
        wasm: &compiled.join("chalkbook.wasm"),
        into: &staged,
        small,
    };
    let reader = Program {
        wasm: &compiled.join("reader.wasm"),
        into: &staged,
        small,
    };
    let (app, reader) = std::thread::scope(|scope| {
        let reader = scope.spawn(|| program::bind_worker(&reader, "reader"));
        let app = program::split_and_bind(&app, "chalkbook");
        (
            app,
            reader
                .join()
                .unwrap_or_else(|_| bail!("the reader's binding came to a stop")),
        )
    });
    reader?;
    let named = app?;
    let terms = licences::of("chalkbook", tools::WASM)?;
    fs::write(staged.join(licences::FILE), terms)?;
    place::copy(&place::top().join("public"), &staged)?;
    place::copy(&place::top().join("app/web/style"), &staged)?;
    seal::set_line(
        &staged.join("boot.js"),
        PROGRAM_LINE,
        &serde_json::to_string(&named)?,
    )?;
    let name = seal::seal(&staged)?;
    if kind == Kind::Phone {
        say("compressing");
        pack::pack(&staged)?;
    }
    replace(into, &staged)?;
    Ok(name)
}

/// What is being done, for those who wait.
fn say(what: &str) {
    eprintln!("    The app: {what}");
}

fn compile(kind: Kind) -> Result<()> {
    tools::target(tools::WASM)?;
    say("compiling");
    let mut cargo = tools::command("cargo");
    cargo.args(["build", "--locked", "--target", tools::WASM]);
    cargo.args([
        "--profile",
        kind.profile().0,
        "-p",
        "chalkbook",
        "-p",
        "reader",
    ]);
    if kind == Kind::Phone {
        cargo.env("CARGO_ENCODED_RUSTFLAGS", phone_flags()?.join("\x1f"));
    }
    tools::run(&mut cargo).context("the app does not compile")
}

/// What the compiler is told of the phone's build. A program that says where it was built would differ
/// from machine to machine, and nobody could compare two.
fn phone_flags() -> Result<Vec<String>> {
    let home = std::env::var_os("CARGO_HOME").map(PathBuf::from);
    let home = home.or_else(|| Some(std::env::home_dir()?.join(".cargo")));
    let home = home.context("there is no home folder")?;
    // Views of one type instead of one type each: a fifth off the download.
    let mut flags = vec!["--cfg=erase_components".to_owned()];
    let mut rename = |from: &Path, to: &str| {
        flags.push(format!("--remap-path-prefix={}={to}", from.display()));
    };
    // The last that fits counts.
    rename(&home, "cargo");
    rename(&place::top(), "chalkbook");
    for registry in fs::read_dir(home.join("registry").join("src"))? {
        rename(&registry?.path(), "crates");
    }
    Ok(flags)
}

/// Puts what is in one folder into the place of another.
fn replace(old: &Path, new: &Path) -> Result<()> {
    if old.exists() {
        fs::remove_dir_all(old)?;
    }
    if let Some(above) = old.parent() {
        fs::create_dir_all(above)?;
    }
    if fs::rename(new, old).is_err() {
        // On another disk.
        fs::create_dir_all(old)?;
        place::copy(new, old)?;
        fs::remove_dir_all(new)?;
    }
    Ok(())
}

/// Does the same to each of several, as many at once as the machine has cores.
pub(crate) fn all_at_once<T: Sync>(
    all: &[T],
    work: impl Fn(&T) -> Result<()> + Sync,
) -> Result<()> {
    let cores = std::thread::available_parallelism().map_or(1, usize::from);
    let next = AtomicUsize::new(0);
    let one = || -> Result<()> {
        loop {
            let at = next.fetch_add(1, Ordering::Relaxed);
            let Some(item) = all.get(at) else {
                return Ok(());
            };
            work(item)?;
        }
    };
    std::thread::scope(|scope| {
        let workers: Vec<_> = (0..cores).map(|_| scope.spawn(one)).collect();
        for worker in workers {
            match worker.join() {
                Ok(done) => done?,
                Err(_) => bail!("a worker came to a stop"),
            }
        }
        Ok(())
    })
}
