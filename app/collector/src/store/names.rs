//! The names in a folder. One that cannot be read costs itself, not the rest:
//! a name in another encoding, a link that leads round in a circle, a folder of
//! someone else.

use std::io::{ErrorKind, Result};
use std::path::Path as FilePath;

use object_store::path::Path;

use super::FoundNames;

/// Folders below the first: event, game, author.
pub(super) const DEEP: usize = 3;

/// The names under a folder, none where it is not there.
///
/// # Errors
/// When that folder itself cannot be read.
pub fn under(root: &FilePath, prefix: &str) -> Result<FoundNames<Path>> {
    let mut found = FoundNames {
        names: Vec::new(),
        unreadable: 0,
    };
    match walk(&root.join(prefix), prefix, DEEP, &mut found) {
        Err(error) if error.kind() != ErrorKind::NotFound => Err(error),
        _ => Ok(found),
    }
}

fn walk(folder: &FilePath, named: &str, deep: usize, found: &mut FoundNames<Path>) -> Result<()> {
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
        match kind {
            Ok(kind) if kind.is_file() => found.names.push(Path::from(named)),
            Ok(kind) if kind.is_dir() && deep > 0 => match walk(&path, &named, deep - 1, found) {
                Err(error) if error.kind() != ErrorKind::NotFound => found.unreadable += 1,
                _ => {}
            },
            Ok(_) => {}
            Err(error) if error.kind() == ErrorKind::NotFound => {}
            Err(_) => found.unreadable += 1,
        }
    }
    Ok(())
}
