//! The names in a folder. One that cannot be read costs itself, not the rest:
//! a name in another encoding, a link that leads round in a circle, a folder of
//! someone else.

use std::io::{ErrorKind, Result};
use std::path::Path as FilePath;

use object_store::path::Path;

use super::FoundNames;

/// Folders below the first: event, game, author.
pub(super) const DEEP: usize = 3;

/// The names of files under a folder, none where it is not there.
///
/// # Errors
/// When that folder itself cannot be read.
pub fn under(root: &FilePath, prefix: &str) -> Result<FoundNames<Path>> {
    look(root, prefix, Some(DEEP))
}

/// The names of the folders right under one, none where it is not there.
///
/// # Errors
/// When that folder itself cannot be read.
pub fn folders(root: &FilePath, prefix: &str) -> Result<FoundNames<Path>> {
    look(root, prefix, None)
}

fn look(root: &FilePath, prefix: &str, deep: Option<usize>) -> Result<FoundNames<Path>> {
    let mut found = FoundNames {
        names: Vec::new(),
        unreadable: 0,
    };
    match walk(&root.join(prefix), prefix, deep, &mut found) {
        Err(error) if error.kind() != ErrorKind::NotFound => Err(error),
        _ => Ok(found),
    }
}

/// Files so many folders deep; the folders themselves where it says none.
fn walk(
    folder: &FilePath,
    named: &str,
    deep: Option<usize>,
    found: &mut FoundNames<Path>,
) -> Result<()> {
    for entry in std::fs::read_dir(folder)? {
        let Ok(entry) = entry else {
            found.unreadable += 1;
            continue;
        };
        let Ok(name) = entry.file_name().into_string() else {
            found.unreadable += 1;
            continue;
        };
        let ours = |b: u8| b.is_ascii_hexdigit() || b == b'-';
        let plain = name.strip_prefix("awaits-").unwrap_or(&name);
        if name != "open" && !plain.bytes().all(ours) {
            continue;
        }
        let (path, named) = (entry.path(), format!("{named}/{name}"));
        // A link may lead to another disk.
        let kind = entry.file_type().and_then(|kind| match kind.is_symlink() {
            true => std::fs::metadata(&path).map(|m| m.file_type()),
            false => Ok(kind),
        });
        let below = deep.map(|deep| deep.checked_sub(1));
        match (kind, below) {
            (Ok(kind), Some(_)) if kind.is_file() => found.names.push(Path::from(named)),
            (Ok(kind), None) if kind.is_dir() => found.names.push(Path::from(named)),
            (Ok(kind), Some(Some(below))) if kind.is_dir() => {
                match walk(&path, &named, Some(below), found) {
                    Err(error) if error.kind() != ErrorKind::NotFound => found.unreadable += 1,
                    _ => {}
                }
            }
            (Ok(_), _) => {}
            (Err(error), _) if error.kind() == ErrorKind::NotFound => {}
            (Err(_), _) => found.unreadable += 1,
        }
    }
    Ok(())
}
