//! What is handed out: the app as a folder for any host, the service, the licences of others, a page that
//! says how to use it, and a checksum of each file.

use std::fs;
use std::path::{Path, PathBuf};

use anyhow::{Context as _, Result};
use data_encoding::HEXLOWER;
use sha2::{Digest as _, Sha256};
use xtask::{place, tools};

use crate::app::{self, Kind};
use crate::licences;

/// The list of checksums, in the form that `sha256sum --check` reads.
const SUMS: &str = "SHA256SUMS";
/// What the service is called, which has the app inside.
const SERVICE: &str = "chalkbook-collector";

/// Makes the bundle in a folder.
///
/// # Errors
/// When something does not build, or the folder cannot be written.
pub fn make(into: &Path) -> Result<()> {
    let _ = fs::remove_dir_all(into);
    fs::create_dir_all(into)?;
    app::build(Kind::Phone, &into.join("app"))?;

    eprintln!("    The service: compiling");
    let mut cargo = tools::command("cargo");
    // The service takes the app in from where it was just built.
    cargo.env("CHALKBOOK_APP", into.join("app"));
    tools::run(cargo.args(["build", "--locked", "--release", "-p", "collector"]))?;
    let service = place::target()
        .join("release")
        .join(format!("collector{}", std::env::consts::EXE_SUFFIX));
    put_together(into, &service, &licences::of("collector", &tools::host()?)?)
}

/// Puts beside the app what goes with it.
fn put_together(into: &Path, service: &Path, terms: &str) -> Result<()> {
    let name = format!("{SERVICE}{}", std::env::consts::EXE_SUFFIX);
    fs::copy(service, into.join(name)).with_context(|| service.display().to_string())?;
    fs::write(into.join(licences::FILE), terms)?;
    for page in [
        "README.md",
        "app/GETTING_STARTED.md",
        "app/collector/RUNNING.md",
        "app/collector/chalkbook-collector.service",
        "app/LICENSE-APACHE",
        "app/LICENSE-MIT",
    ] {
        let name = Path::new(page).file_name().unwrap_or_default();
        fs::copy(place::top().join(page), into.join(name)).context(page)?;
    }
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
        let digest = HEXLOWER.encode(&Sha256::digest(fs::read(&file)?));
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
    fn every_file_that_is_handed_out_has_its_sum() {
        let folder = tempfile::tempdir().unwrap();
        let into = folder.path().join("bundle");
        fs::create_dir_all(into.join("app")).unwrap();
        fs::write(into.join("app").join("index.html"), "abc").unwrap();
        fs::write(into.join(SUMS), "old").unwrap();
        let service = folder.path().join("service");
        fs::write(&service, "abc").unwrap();
        put_together(&into, &service, "terms").unwrap();
        let sums = fs::read_to_string(into.join(SUMS)).unwrap();
        // SHA-256 of "abc": FIPS 180-2, appendix B.1.
        let digest = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
        let name = format!("chalkbook-collector{}", std::env::consts::EXE_SUFFIX);
        for file in ["app/index.html", &name] {
            assert!(sums.contains(&format!("{digest}  {file}\n")), "{sums}");
        }
        let listed: Vec<_> = sums.lines().filter_map(|l| l.split_once("  ")).collect();
        let expected = [
            "GETTING_STARTED.md",
            "LICENSE-APACHE",
            "LICENSE-MIT",
            "README.md",
            "RUNNING.md",
            "app/index.html",
            &name,
            "chalkbook-collector.service",
            licences::FILE,
        ];
        assert_eq!(listed.iter().map(|l| l.1).collect::<Vec<_>>(), expected);
    }

    /// What cargo says of this very workspace.
    #[test]
    fn the_terms_of_what_the_app_is_made_of_are_known() {
        let terms = licences::of("chalkbook", tools::WASM).unwrap();
        assert!(terms.contains("\nleptos "), "{terms:.300}");
        assert!(terms.contains("Permission is hereby granted"));
        assert!(!terms.contains("\nproptest "), "a crate of the tests");
    }
}
