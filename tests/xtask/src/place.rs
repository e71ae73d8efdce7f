//! Where things are: every path the commands use, from the top of the repository.

use std::fs;
use std::path::{Path, PathBuf};

use anyhow::{Context as _, Result};

/// The top of the repository.
#[must_use]
pub fn top() -> PathBuf {
    let here = PathBuf::from(env!("CARGO_MANIFEST_DIR"));
    here.ancestors()
        .nth(2)
        .map_or_else(|| here.clone(), PathBuf::from)
}

/// Build products; everything installed by the commands lies below it too.
#[must_use]
pub fn target() -> PathBuf {
    top().join("target")
}

/// A program of this workspace, as `cargo build` leaves it.
#[must_use]
pub fn program(name: &str) -> PathBuf {
    let file = format!("{name}{}", std::env::consts::EXE_SUFFIX);
    target().join("debug").join(file)
}

/// The finished app.
#[must_use]
pub fn dist() -> PathBuf {
    target().join("dist")
}

/// Tools installed by these commands.
#[must_use]
pub fn tools() -> PathBuf {
    target().join("tools")
}

/// Packages from npm: the accessibility checker and the QR reader.
#[must_use]
pub fn node_modules() -> PathBuf {
    tools().join("node").join("node_modules")
}

/// The interpreter of the Python environment that the checks run in.
#[must_use]
pub fn python() -> PathBuf {
    target().join("venv").join("bin").join("python")
}

/// Pictures and reports of the last test run; not kept in the repository.
#[must_use]
pub fn artefacts() -> PathBuf {
    top().join("tests").join("artefacts")
}

/// Where the collector of `serve` keeps what it takes in.
#[must_use]
pub fn collected() -> PathBuf {
    top().join("target").join("collected")
}

/// Copies a folder with everything in it.
///
/// # Errors
/// When something cannot be read or written.
pub fn copy(from: &Path, to: &Path) -> Result<()> {
    for entry in fs::read_dir(from).with_context(|| from.display().to_string())? {
        let entry = entry?;
        let target = to.join(entry.file_name());
        if entry.file_type()?.is_dir() {
            fs::create_dir_all(&target)?;
            copy(&entry.path(), &target)?;
        } else {
            fs::copy(entry.path(), target)?;
        }
    }
    Ok(())
}
