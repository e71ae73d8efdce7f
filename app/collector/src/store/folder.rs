//! What a folder on a disk needs besides: that a name, too, is on the disk
//! before it counts.
//!
//! A file is flushed before it gets its name, and then the folder with the name.
//! Flushes of several batches run at the same time, each in a thread of its own,
//! so that the file system joins them. One flush of the whole file system for all
//! of them would also wait for everything else that is written there.

use std::collections::{BTreeSet, HashSet};
use std::fs::File;
use std::io::{Error, ErrorKind, Result};
use std::path::{Path as FilePath, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;

use object_store::path::Path;

use super::{FoundNames, names};

/// A folder of objects.
#[derive(Clone, Debug)]
pub struct Folder(Arc<Inner>);

#[derive(Debug)]
struct Inner {
    root: PathBuf,
    /// Folders below it whose names this process has flushed, up to the root: that
    /// one is there says nothing, its maker may have been killed before the flush.
    lasting: Mutex<HashSet<PathBuf>>,
}

fn sweep(folder: &FilePath, deep: usize, older_than: Duration) -> Result<usize> {
    let mut swept = 0;
    for entry in std::fs::read_dir(folder)?.flatten() {
        let Ok(kind) = entry.file_type() else {
            continue;
        };
        let name = entry.file_name();
        let left = name.to_str().and_then(|n| n.rsplit_once('#'));
        let left =
            left.is_some_and(|(_, n)| !n.is_empty() && n.bytes().all(|b| b.is_ascii_digit()));
        if kind.is_dir() && deep > 0 {
            // One folder that cannot be read does not keep the others unswept.
            swept += sweep(&entry.path(), deep - 1, older_than).unwrap_or(0);
        } else if kind.is_file() && left {
            let age = entry.metadata().and_then(|m| m.modified());
            let age = age.ok().and_then(|at| at.elapsed().ok());
            if age.is_some_and(|age| age >= older_than)
                && std::fs::remove_file(entry.path()).is_ok()
            {
                swept += 1;
            }
        }
    }
    Ok(swept)
}

/// Folders flushed one by one; more are flushed with the whole file system.
const FEW: usize = 256;

impl Folder {
    /// A folder that is there.
    ///
    /// # Errors
    /// When it cannot be flushed.
    pub fn new(root: &FilePath) -> Result<Self> {
        if let Some(above) = root.parent() {
            flush_folder(above)?;
        }
        Ok(Self(Arc::new(Inner {
            root: root.to_path_buf(),
            lasting: Mutex::default(),
        })))
    }

    /// Removes what a put that was cut off left behind in a folder, so many
    /// folders deep: `NAME#NUMBER`, as the object store writes before it gives a
    /// name. Young ones may be another collector's, at work.
    ///
    /// # Errors
    /// When the folder cannot be read.
    pub fn sweep_now(&self, under: &str, deep: usize, older_than: Duration) -> Result<()> {
        self.0.sweep(under, deep, older_than)
    }

    /// The same off the threads that answer.
    ///
    /// # Errors
    /// When the folder cannot be read.
    pub async fn sweep(&self, under: String, deep: usize, older_than: Duration) -> Result<()> {
        self.aside(move |inner| inner.sweep(&under, deep, older_than))
            .await
    }

    /// Forgets which folders below one last.
    pub fn forget(&self, under: &Path) {
        let under = self.0.root.join(under.as_ref());
        self.0.lasting().retain(|known| !known.starts_with(&under));
    }

    /// Makes the folders for an object, so that they last.
    ///
    /// # Errors
    /// When one cannot be made or flushed.
    pub async fn prepare(&self, object: &Path) -> Result<()> {
        let folder = self.folder_of(object);
        if self.lasts(&folder) {
            return Ok(());
        }
        self.aside(move |inner| inner.prepare(&folder)).await
    }

    /// Flushes an object that someone else put, and its name.
    ///
    /// # Errors
    /// When it cannot be flushed.
    pub async fn flush(&self, object: &Path) -> Result<()> {
        let file = self.0.root.join(object.as_ref());
        self.aside(move |_| {
            File::open(&file)?.sync_all()?;
            file.parent().map_or(Ok(()), flush_folder)
        })
        .await
    }

    /// Flushes the names of objects that were found here: whoever put them may
    /// have been killed before.
    ///
    /// # Errors
    /// When they cannot be flushed.
    pub async fn settle(&self, objects: impl Iterator<Item = Path>) -> Result<()> {
        let mut folders = BTreeSet::new();
        for object in objects {
            let mut folder = self.folder_of(&object);
            while folder.starts_with(&self.0.root) && folders.insert(folder.clone()) {
                folder.pop();
            }
        }
        if folders.is_empty() {
            return Ok(());
        }
        self.aside(move |inner| {
            #[cfg(target_os = "linux")]
            if folders.len() > FEW {
                return Ok(rustix::fs::syncfs(File::open(&inner.root)?)?);
            }
            #[cfg(not(target_os = "linux"))]
            let _ = (inner, FEW);
            folders.iter().try_for_each(|f| flush_folder(f))
        })
        .await
    }

    /// Whether the disk takes nothing: it may not be written, or hardly
    /// anything is free on it.
    #[must_use]
    pub fn takes_nothing(&self) -> bool {
        #[cfg(target_os = "linux")]
        if let Ok(disk) = rustix::fs::statvfs(&self.0.root) {
            const LEAST: u64 = 64 << 10;
            let read_only = disk.f_flag.contains(rustix::fs::StatVfsMountFlags::RDONLY);
            let no_files = disk.f_files > 0 && disk.f_favail == 0;
            return read_only || no_files || disk.f_bavail.saturating_mul(disk.f_frsize) < LEAST;
        }
        false
    }

    /// Removes the folders of these logs, whatever lies in them, and these
    /// files, so that none comes back after a loss of power.
    ///
    /// # Errors
    /// When one cannot be removed.
    pub async fn erase(&self, logs: Vec<Path>, files: Vec<Path>) -> Result<()> {
        let logs: BTreeSet<PathBuf> = logs.iter().map(|path| self.folder_of(path)).collect();
        let files: Vec<PathBuf> = files.iter().map(|f| self.0.root.join(f.as_ref())).collect();
        let gone = |done: Result<()>| match done {
            Err(error) if error.kind() != ErrorKind::NotFound => Err(error),
            _ => Ok(()),
        };
        self.aside(move |inner| {
            for folder in logs {
                inner.lasting().retain(|known| !known.starts_with(&folder));
                gone(std::fs::remove_dir_all(&folder))?;
                let Some(game) = folder.parent() else {
                    continue;
                };
                // The game's own folder goes with its last log.
                if std::fs::remove_dir(game).is_ok() {
                    inner.lasting().remove(game);
                    game.parent().map_or(Ok(()), flush_folder)?;
                } else {
                    gone(flush_folder(game))?;
                }
            }
            for file in files {
                gone(std::fs::remove_file(&file))?;
                gone(file.parent().map_or(Ok(()), flush_folder))?;
            }
            Ok(())
        })
        .await
    }

    /// The names under a folder of it.
    ///
    /// # Errors
    /// When that folder cannot be read.
    pub async fn names(&self, prefix: String) -> Result<FoundNames<Path>> {
        let inner = self.0.clone();
        tokio::task::spawn_blocking(move || names::under(&inner.root, &prefix))
            .await
            .map_err(Error::other)?
    }

    /// The folders right under one.
    ///
    /// # Errors
    /// When that folder cannot be read.
    pub async fn folders(&self, prefix: String) -> Result<FoundNames<Path>> {
        let inner = self.0.clone();
        tokio::task::spawn_blocking(move || names::folders(&inner.root, &prefix))
            .await
            .map_err(Error::other)?
    }

    fn folder_of(&self, object: &Path) -> PathBuf {
        let mut folder = self.0.root.join(object.as_ref());
        folder.pop();
        folder
    }

    fn lasts(&self, folder: &FilePath) -> bool {
        self.0.lasting().contains(folder)
    }

    /// Off the threads that answer: the disk makes it wait.
    async fn aside(&self, work: impl FnOnce(&Inner) -> Result<()> + Send + 'static) -> Result<()> {
        let inner = self.0.clone();
        tokio::task::spawn_blocking(move || work(&inner))
            .await
            .map_err(Error::other)?
    }
}

impl Inner {
    fn lasting(&self) -> std::sync::MutexGuard<'_, HashSet<PathBuf>> {
        self.lasting.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn sweep(&self, under: &str, deep: usize, older_than: Duration) -> Result<()> {
        let swept = match sweep(&self.root.join(under), deep, older_than) {
            Err(error) if error.kind() == ErrorKind::NotFound => 0,
            swept => swept?,
        };
        if swept > 0 {
            tracing::info!(swept, "files of writes that were cut off are removed");
        }
        Ok(())
    }

    fn prepare(&self, folder: &FilePath) -> Result<()> {
        let Some(above) = folder.parent() else {
            return Ok(());
        };
        if folder == self.root || self.lasting().contains(folder) {
            return Ok(());
        }
        self.prepare(above)?;
        match std::fs::create_dir(folder) {
            Err(error) if error.kind() != ErrorKind::AlreadyExists => return Err(error),
            _ => flush_folder(above)?,
        }
        self.lasting().insert(folder.to_path_buf());
        Ok(())
    }
}

/// Flushes a folder: the names in it. Where a folder cannot be opened as a file
/// the system keeps names by itself.
fn flush_folder(folder: &FilePath) -> Result<()> {
    #[cfg(unix)]
    return File::open(folder)?.sync_all();
    #[cfg(not(unix))]
    {
        let _ = folder;
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn what_a_cut_off_put_left_is_swept_and_nothing_else() {
        let place = tempfile::tempdir().unwrap();
        let deep = place.path().join("logs/open/aa/bb");
        std::fs::create_dir_all(&deep).unwrap();
        for name in ["00000-ab", "00000-ab#1", "00003-cd#12", "notes#a", "#"] {
            std::fs::write(deep.join(name), "x").unwrap();
        }
        let folder = Folder::new(place.path()).unwrap();
        let left = || std::fs::read_dir(&deep).unwrap().count();
        let hour = Duration::from_secs(3600);
        folder.sweep_now("logs/open", names::DEEP, hour).unwrap();
        folder.sweep_now("", 1, Duration::ZERO).unwrap();
        assert_eq!(left(), 5, "too young, or not so deep");
        let sweep = |under| folder.sweep_now(under, names::DEEP, Duration::ZERO);
        sweep("logs/elsewhere").unwrap();
        assert_eq!(left(), 5);
        sweep("logs/open").unwrap();
        assert_eq!(left(), 3);
    }
}
