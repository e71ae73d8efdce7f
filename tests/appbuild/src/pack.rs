//! Compresses the files of a finished build, each beside itself, as servers give them out.

use std::fs;
use std::io::Write as _;
use std::path::{Path, PathBuf};

use anyhow::{Context as _, Result};

use crate::app::all_at_once;

/// The kinds of files that become smaller; pictures are packed already.
const KINDS: [&str; 7] = ["html", "js", "css", "wasm", "svg", "txt", "webmanifest"];

/// Compresses every file of a folder that becomes smaller by it.
///
/// # Errors
/// When the folder cannot be read or written.
pub fn pack(folder: &Path) -> Result<()> {
    let mut files = Vec::new();
    list(folder, &mut files)?;
    all_at_once(&files, |file| {
        let mut name = file.as_os_str().to_owned();
        name.push(".br");
        // The highest quality, and a window (4 MB) that holds the largest file.
        let mut writer = brotli::CompressorWriter::new(fs::File::create(name)?, 1 << 16, 11, 22);
        writer.write_all(&fs::read(file)?)?;
        writer.flush()?;
        Ok(())
    })
}

fn list(folder: &Path, files: &mut Vec<PathBuf>) -> Result<()> {
    for entry in fs::read_dir(folder).with_context(|| folder.display().to_string())? {
        let path = entry?.path();
        let kind = path.extension().unwrap_or_default().to_string_lossy();
        if path.is_dir() {
            list(&path, files)?;
        } else if KINDS.contains(&&*kind) {
            files.push(path);
        }
    }
    Ok(())
}
