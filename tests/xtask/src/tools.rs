//! What a bare machine lacks: found on the path at the right version, else installed below `target/`.

use std::env;
use std::ffi::OsString;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::Duration;

use anyhow::{Context as _, Result, bail};

use crate::{deadline, place};

/// The target of the phone app.
pub const WASM: &str = "wasm32-unknown-unknown";
/// A target with no operating system, which proves that the engine needs none.
pub const BARE: &str = "thumbv7em-none-eabi";

/// A command with the installed tools first on its path.
#[must_use]
pub fn command(program: &str) -> Command {
    let mut path = vec![
        place::tools().join("bin"),
        place::node_modules().join(".bin"),
    ];
    path.extend(env::split_paths(&env::var_os("PATH").unwrap_or_default()));
    let mut command = Command::new(program);
    command.current_dir(place::top()).env(
        "PATH",
        env::join_paths(path).unwrap_or_else(|_| OsString::new()),
    );
    command
}

/// Runs a command to its end.
///
/// # Errors
/// When it cannot be started or ends with a failure; the message names the command.
pub fn run(command: &mut Command) -> Result<()> {
    run_within(command, Duration::MAX)
}

/// As [`run`], for so long at most.
///
/// # Errors
/// As [`run`], and when the time was over: it is ended then, with everything that it started.
pub fn run_within(command: &mut Command, limit: Duration) -> Result<()> {
    let said = format!("{command:?}");
    let shown: String = said.split("PATH=").last().map_or_else(String::new, |rest| {
        rest.split_once("\" ")
            .map_or(rest, |(_, tail)| tail)
            .to_owned()
    });
    match deadline::run(command, limit)? {
        Some(status) if status.success() => Ok(()),
        Some(status) => bail!("{shown} failed ({status})"),
        None => bail!("{shown} hung: it was ended after {} s", limit.as_secs()),
    }
}

/// The first line a tool prints about its version, if it runs at all.
fn version(program: &str) -> Option<String> {
    let output = command(program).arg("--version").output().ok()?;
    let text = String::from_utf8_lossy(&output.stdout).into_owned();
    output
        .status
        .success()
        .then(|| text.lines().next().unwrap_or_default().to_owned())
}

/// The target that programs for this machine are built for.
///
/// # Errors
/// When the compiler does not say.
pub fn host() -> Result<String> {
    let said = Command::new("rustc")
        .arg("-vV")
        .output()
        .context("could not start rustc")?;
    let said = String::from_utf8_lossy(&said.stdout).into_owned();
    let host = said.lines().find_map(|line| line.strip_prefix("host: "));
    host.map(str::to_owned)
        .context("rustc does not name its host")
}

/// Adds a target to the compiler, unless it is there.
///
/// # Errors
/// When it is missing and `rustup` cannot fetch it.
pub fn target(triple: &str) -> Result<()> {
    let output = Command::new("rustc")
        .args(["--print", "target-libdir", "--target", triple])
        .current_dir(place::top())
        .output()
        .context("could not start rustc")?;
    let folder = String::from_utf8_lossy(&output.stdout).trim().to_owned();
    if output.status.success() && Path::new(&folder).is_dir() {
        return Ok(());
    }
    println!("Adding the compiler's target {triple}");
    run(command("rustup").args(["target", "add", triple])).with_context(|| {
        format!("the compiler has no target {triple}, and rustup could not add it")
    })
}

/// Adds rustfmt and clippy to the compiler, unless they are there.
///
/// # Errors
/// When they are missing and `rustup` cannot fetch them.
pub fn linters() -> Result<()> {
    for (command_of_cargo, name) in [("fmt", "rustfmt"), ("clippy", "clippy")] {
        let has = Command::new("cargo")
            .args([command_of_cargo, "--version"])
            .current_dir(place::top())
            .output()
            .is_ok_and(|done| done.status.success());
        if !has {
            println!("Adding the compiler's component {name}");
            run(command("rustup").args(["component", "add", name]))
                .with_context(|| format!("{name} is missing, and rustup could not add it"))?;
        }
    }
    Ok(())
}

/// A program from the crate registry: one on the path, else this version of it is installed below `target/`,
/// quick to build, for it is seldom run.
fn from_registry(package: &str, pinned: &str, options: &[&str]) -> Result<()> {
    let mut ask = match package.strip_prefix("cargo-") {
        Some(_) => command("cargo"),
        None => command(package),
    };
    ask.args(package.strip_prefix("cargo-")).arg("--version");
    if ask.output().is_ok_and(|done| done.status.success()) {
        return Ok(());
    }
    println!("Installing {package} {pinned} (some minutes, once)");
    let mut install = command("cargo");
    install
        .args(["install", "--quiet", "--locked", "--version", pinned])
        .args([package, "--root"])
        .arg(place::tools())
        .args(options)
        .env("CARGO_TARGET_DIR", place::tools().join("build"))
        .env("CARGO_PROFILE_RELEASE_LTO", "off")
        .env("CARGO_PROFILE_RELEASE_OPT_LEVEL", "0")
        .env("CARGO_PROFILE_RELEASE_CODEGEN_UNITS", "16");
    run(&mut install)?;
    // Large, and of no further use.
    let _ = fs::remove_dir_all(place::tools().join("build"));
    Ok(())
}

/// What runs tests.
///
/// # Errors
/// When it is missing and cannot be installed.
pub fn nextest() -> Result<()> {
    let without_update = ["--no-default-features", "--features", "default-no-update"];
    from_registry("cargo-nextest", "0.9.143", &without_update)
}

/// What judges the crates of others by their terms, sources and versions.
///
/// # Errors
/// When it is missing and cannot be installed.
pub fn deny() -> Result<()> {
    from_registry("cargo-deny", "0.20.2", &["--no-default-features"])
}

/// The driver of the fuzzer, which builds its own copy of the engine.
///
/// # Errors
/// When it is missing and cannot be installed, or there is no C++ compiler for
/// its library.
pub fn fuzzer() -> Result<()> {
    if version("c++").is_none() {
        bail!("there is no C++ compiler (c++) on the path, which the fuzzer's library needs");
    }
    from_registry("cargo-fuzz", "0.13.2", &[])
}

/// The npm packages pinned in `tests/package.json`.
///
/// # Errors
/// When npm is missing or cannot install them.
pub fn node() -> Result<()> {
    let pinned = place::top().join("tests").join("package.json");
    let folder = place::tools().join("node");
    let installed = folder.join("package.json");
    let same = fs::read(&pinned).ok() == fs::read(&installed).ok();
    if same && place::node_modules().join(".package-lock.json").exists() {
        return Ok(());
    }
    if version("npm").is_none() {
        bail!(
            "npm is not installed. Install Node.js with npm, version 20 or later, and run this again"
        );
    }
    println!("Installing the npm packages of tests/package.json");
    fs::create_dir_all(&folder)?;
    let mut npm = command("npm");
    npm.args([
        "install",
        "--no-audit",
        "--no-fund",
        "--no-package-lock",
        "--loglevel=error",
    ]);
    fs::copy(&pinned, &installed)?;
    let done = run(npm.current_dir(&folder));
    if done.is_err() {
        // So that the next run tries again.
        let _ = fs::remove_file(&installed);
    }
    done
}

/// Chromium and its driver, and what makes films for its camera.
///
/// # Errors
/// When they are missing and the system's package manager cannot install them.
pub fn browser() -> Result<()> {
    let film = Command::new("ffmpeg").arg("-version").output();
    let has_film = film.is_ok_and(|done| done.status.success());
    if version("chromium").is_some() && version("chromedriver").is_some() && has_film {
        return Ok(());
    }
    println!("Installing Chromium, its driver and ffmpeg");
    apt(&["chromium", "chromium-driver", "ffmpeg"])
}

/// Firefox and its driver.
///
/// # Errors
/// When they are missing and cannot be installed.
pub fn firefox() -> Result<()> {
    if version("firefox").is_none() {
        println!("Installing Firefox");
        apt(&["firefox-esr"])?;
    }
    from_registry("geckodriver", "0.37.1", &[])
}

/// WebKit with its driver, what opens a window with it, and a screen for that.
///
/// # Errors
/// When they are missing and the system's package manager cannot install them.
pub fn webkit() -> Result<()> {
    let runs = |program: &str, words: &[&str]| {
        let output = command(program).args(words).output();
        output.is_ok_and(|done| done.status.success())
    };
    // The system's own interpreter, which has the system's bindings.
    let view = "import gi; gi.require_version('WebKit2', '4.1'); from gi.repository import WebKit2";
    if runs("/usr/bin/python3", &["-c", view])
        && runs("WebKitWebDriver", &["--help"])
        && runs("Xvfb", &["-help"])
    {
        return Ok(());
    }
    println!("Installing WebKit, its driver and Xvfb");
    apt(&[
        "webkit2gtk-driver",
        "gir1.2-webkit2-4.1",
        "python3-gi",
        "xvfb",
    ])
}

/// The programs that the optical link is held against: zbarimg, lcrq and a C compiler for it.
///
/// # Errors
/// When they are missing and the system's package manager cannot install them.
pub fn link() -> Result<()> {
    let lcrq = Command::new("gcc")
        .args([
            "-fsyntax-only",
            "-include",
            "lcrq.h",
            "-x",
            "c",
            "/dev/null",
        ])
        .output()
        .is_ok_and(|done| done.status.success());
    if lcrq && version("zbarimg").is_some() {
        return Ok(());
    }
    println!("Installing zbarimg, lcrq and gcc");
    apt(&["zbar-tools", "liblcrq-dev", "gcc", "libc6-dev"])
}

/// Installs packages with the system's package manager, where that is apt and may be used.
fn apt(packages: &[&str]) -> Result<()> {
    let root = Command::new("id")
        .arg("-u")
        .output()
        .is_ok_and(|id| id.stdout.starts_with(b"0\n"));
    if !root || version("apt-get").is_none() {
        bail!(
            "these packages are not all here, and apt cannot install them: {}. Install them and run this again",
            packages.join(", ")
        );
    }
    run(command("apt-get").args(["-qq", "update"]))?;
    run(command("apt-get")
        .args(["-qq", "-y", "--no-install-recommends", "install"])
        .args(packages)
        .env("DEBIAN_FRONTEND", "noninteractive"))
}

/// The Python environment of the outside checks, as `tests/requirements.txt` pins it.
///
/// # Errors
/// When Python is missing or the packages cannot be installed.
pub fn python() -> Result<PathBuf> {
    let pinned = place::top().join("tests").join("requirements.txt");
    let python = place::python();
    let stamp = place::target().join("venv").join("requirements.txt");
    if fs::read(&pinned).ok() == fs::read(&stamp).ok() && python.exists() {
        return Ok(python);
    }
    if version("python3").is_none() {
        bail!(
            "python3 is not installed. Install Python 3.10 or later with its venv module and run this again"
        );
    }
    // Debian keeps what makes an environment in a package of its own.
    let makes_venv = Command::new("python3")
        .args(["-c", "import ensurepip, venv"])
        .output()
        .is_ok_and(|done| done.status.success());
    if !makes_venv {
        apt(&["python3-venv"])?;
    }
    println!("Installing the Python packages of tests/requirements.txt");
    run(command("python3")
        .args(["-m", "venv", "--clear"])
        .arg(place::target().join("venv")))?;
    run(command(&python.to_string_lossy())
        .args([
            "-m",
            "pip",
            "install",
            "--quiet",
            "--disable-pip-version-check",
            "--requirement",
        ])
        .arg(&pinned))?;
    fs::copy(&pinned, &stamp)?;
    Ok(python)
}
