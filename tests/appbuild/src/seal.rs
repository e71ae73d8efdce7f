//! Finishes a build for offline use: names the build, and lists its files with their digests in the
//! service worker.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use anyhow::{Context as _, Result, bail};
use base64::Engine as _;
use base64::prelude::BASE64_STANDARD;
use data_encoding::HEXLOWER;
use sha2::{Digest as _, Sha256};

const WORKER: &str = "sw.js";
const BUILD_LINE: &str = "const BUILD = ";
const FILES_LINE: &str = "const FILES = ";

/// Seals the build in `folder`: every file but the service worker itself is listed in it. Sealing
/// again after a change gives the changed build its own name, and takes compressed files away.
///
/// # Errors
/// When the folder has no page or no service worker, or cannot be read or written.
pub fn seal(folder: &Path) -> Result<String> {
    remove_compressed(folder)?;
    let mut files = BTreeMap::new();
    list(folder, folder, &mut files)?;
    files.remove(WORKER);
    if !files.contains_key("index.html") {
        bail!(
            "{} has no index.html: the app is not built",
            folder.display()
        );
    }

    let mut all = Sha256::new();
    for (path, integrity) in &files {
        all.update(path.as_bytes());
        all.update(integrity.as_bytes());
    }
    let name = HEXLOWER.encode(&all.finalize()[..8]);

    let worker = folder.join(WORKER);
    set_line(&worker, BUILD_LINE, &serde_json::to_string(&name)?)?;
    set_line(&worker, FILES_LINE, &serde_json::to_string(&files)?)?;
    Ok(name)
}

/// Writes a value into the one line of a script that begins so.
///
/// # Errors
/// When there is no such line or more than one, or the file cannot be read or written.
pub(crate) fn set_line(script: &Path, start: &str, value: &str) -> Result<()> {
    let source = fs::read_to_string(script).with_context(|| script.display().to_string())?;
    let begins = |line: &&str| line.starts_with(start);
    if source.lines().filter(begins).count() != 1 {
        bail!(
            "{} needs exactly one line that begins with `{start}`",
            script.display()
        );
    }
    let line = |line| match begins(&line) {
        true => format!("{start}{value};\n"),
        false => format!("{line}\n"),
    };
    fs::write(script, source.lines().map(line).collect::<String>())?;
    Ok(())
}

fn list(top: &Path, folder: &Path, files: &mut BTreeMap<String, String>) -> Result<()> {
    for entry in fs::read_dir(folder).with_context(|| format!("{}", folder.display()))? {
        let path = entry?.path();
        if path.is_dir() {
            list(top, &path, files)?;
            continue;
        }
        let name = path.strip_prefix(top)?.to_string_lossy().replace('\\', "/");
        let digest = BASE64_STANDARD.encode(Sha256::digest(fs::read(&path)?));
        files.insert(name, format!("sha256-{digest}"));
    }
    Ok(())
}

fn remove_compressed(folder: &Path) -> Result<()> {
    for entry in fs::read_dir(folder).with_context(|| format!("{}", folder.display()))? {
        let path = entry?.path();
        if path.is_dir() {
            remove_compressed(&path)?;
        } else if path.extension().is_some_and(|ext| ext == "br") {
            fs::remove_file(path)?;
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests;
