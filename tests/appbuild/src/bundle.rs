//! What is handed out: the app as a folder for any host, the service, the licences of others, a page that
//! says how to use it, and a checksum of each file.

use std::fs;
use std::path::{Path, PathBuf};

use anyhow::{Context as _, Result};
use sha2::{Digest as _, Sha256};
use xtask::{place, tools};

use crate::app::{self, Kind};
use crate::licences;

/// The list of checksums, in the form that `sha256sum --check` reads.
const SUMS: &str = "SHA256SUMS";
/// Where the terms of others stand, in the app and beside it.
const LICENCES: &str = "third-party.txt";

/// Makes the bundle in a folder.
///
/// # Errors
/// When something does not build, or the folder cannot be written.
pub fn make(into: &Path) -> Result<()> {
    let _ = fs::remove_dir_all(into);
    fs::create_dir_all(into)?;
    let app_terms = licences::of("chalkbook", tools::WASM)?;
    app::build_with(
        Kind::Phone,
        &into.join("app"),
        &[(LICENCES, app_terms.as_bytes())],
    )?;

    eprintln!("    The service: compiling");
    let mut cargo = tools::command("cargo");
    // The service takes the app in from where it was just built.
    cargo.env("CHALKBOOK_APP", into.join("app"));
    tools::run(cargo.args(["build", "--locked", "--release", "-p", "collector"]))?;
    let name = format!("collector{}", std::env::consts::EXE_SUFFIX);
    fs::copy(
        place::target().join("release").join(&name),
        into.join(&name),
    )
    .context("the service was not built")?;
    let host = tools::host()?;
    fs::write(into.join(LICENCES), licences::of("collector", &host)?)?;
    fs::copy(
        place::top().join("app").join("GETTING_STARTED.md"),
        into.join("GETTING_STARTED.md"),
    )?;
    fs::copy(place::top().join("README.md"), into.join("README.md"))?;
    fs::write(into.join(SUMS), sums(into)?)?;
    Ok(())
}

/// The checksum of each file of a folder, in order.
fn sums(folder: &Path) -> Result<String> {
    let mut files = Vec::new();
    list(folder, &mut files)?;
    files.sort();
    let mut all = String::new();
    for file in files {
        let digest: String = Sha256::digest(fs::read(&file)?)
            .iter()
            .map(|byte| format!("{byte:02x}"))
            .collect();
        let name = file
            .strip_prefix(folder)?
            .to_string_lossy()
            .replace('\\', "/");
        all += &format!("{digest}  {name}\n");
    }
    Ok(all)
}

fn list(folder: &Path, files: &mut Vec<PathBuf>) -> Result<()> {
    for entry in fs::read_dir(folder)? {
        let path = entry?.path();
        if path.is_dir() {
            list(&path, files)?;
        } else if path.file_name().is_some_and(|name| name != SUMS) {
            files.push(path);
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::*;

    #[test]
    fn every_file_has_its_sum() {
        let folder = tempfile::tempdir().unwrap();
        fs::create_dir(folder.path().join("app")).unwrap();
        fs::write(folder.path().join("app").join("index.html"), "abc").unwrap();
        fs::write(folder.path().join(SUMS), "old").unwrap();
        // SHA-256 of "abc": FIPS 180-2, appendix B.1.
        let digest = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
        assert_eq!(
            sums(folder.path()).unwrap(),
            format!("{digest}  app/index.html\n")
        );
    }
}
