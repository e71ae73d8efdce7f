//! The objects kept: signed bytes only, never changed, each named by its content.
//!
//! ```text
//! charters/HASH                          one signed charter
//! logs/EVENT/GAME/AUTHOR/FIRST-HASH      entries of one log, as they were taken in
//! ```
//! HASH is the SHA-256 of the object, FIRST the sequence number of its first
//! entry. An object is put only where none of its name is: the store does that
//! in one step, so any number of collectors can share one place and a collector
//! killed at any moment leaves an object whole or not there at all.

mod folder;

use std::path::Path as FilePath;
use std::sync::Arc;

use anyhow::{Context as _, Result, bail};
use bytes::Bytes;
use engine::log::{Fingerprint, GameId, Hash, LogName};
use futures_util::TryStreamExt as _;
use object_store::local::LocalFileSystem;
use object_store::path::Path;
use object_store::{ObjectStore, ObjectStoreExt as _, PutMode, PutOptions, PutPayload};
use url::Url;

use crate::event::EventId;
use crate::hex;
use folder::Folder;

/// A place for objects: a folder or a bucket.
#[derive(Clone, Debug)]
pub struct Store {
    objects: Arc<dyn ObjectStore>,
    /// The same place, where it is a folder.
    folder: Option<Folder>,
}

/// The name of an object with entries.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct RunName {
    /// The event.
    pub event: EventId,
    /// The log.
    pub log: LogName,
    /// Sequence number of its first entry.
    pub first: u64,
    /// Hash of its content.
    pub hash: Hash,
}

impl RunName {
    fn path(&self) -> Path {
        let Self {
            event,
            log,
            first,
            hash,
        } = self;
        Path::from(format!(
            "logs/{event}/{}/{}/{first:05}-{hash}",
            log.game, log.author
        ))
    }

    /// Reads a name; `None` for anything a collector does not write.
    fn read(path: &Path) -> Option<Self> {
        let parts: Vec<String> = path.parts().map(|p| p.as_ref().to_owned()).collect();
        let [folder, event, game, author, last] = parts.as_slice() else {
            return None;
        };
        let (first, hash) = last.split_once('-')?;
        (folder == "logs").then_some(Self {
            event: event.parse().ok()?,
            log: LogName {
                game: GameId(hex(game)?),
                author: Fingerprint(hex(author)?),
            },
            first: first.parse().ok()?,
            hash: Hash(hex(hash)?),
        })
    }
}

/// What was under a name.
#[derive(Debug)]
pub enum Fetched {
    /// The content, and it is what its name says.
    Good(Bytes),
    /// Something else than its name says.
    Damaged,
}

impl Store {
    /// Opens the place that a URL names; a local folder is made if it is not
    /// there. Cloud credentials come from the environment, as the cloud's own
    /// tools read them.
    ///
    /// # Errors
    /// When the URL is of no known kind, or the place cannot be opened.
    pub fn open(url: &str) -> Result<Self> {
        let parsed = Url::parse(url).with_context(|| {
            format!("`{url}` is no storage URL: give file:///folder, s3://, gs:// or az://")
        })?;
        match parsed.scheme() {
            "file" => {
                let folder = parsed.to_file_path().map_err(|()| {
                    anyhow::anyhow!("`{url}` names no folder here: write file:///folder")
                })?;
                Self::folder(&folder)
            }
            #[cfg(feature = "cloud")]
            "s3" | "gs" | "az" | "azure" => Self::cloud(&parsed),
            other => bail!("storage of kind `{other}` is not known here: file, s3, gs or az"),
        }
    }

    #[cfg(feature = "cloud")]
    fn cloud(url: &Url) -> Result<Self> {
        use object_store::aws::{AmazonS3Builder, S3ConditionalPut};
        use object_store::azure::MicrosoftAzureBuilder;
        use object_store::gcp::GoogleCloudStorageBuilder;
        let bucket: Box<dyn ObjectStore> = match url.scheme() {
            "s3" => Box::new(
                AmazonS3Builder::from_env()
                    .with_url(url.as_str())
                    .with_conditional_put(S3ConditionalPut::ETagMatch)
                    .build()?,
            ),
            "gs" => Box::new(
                GoogleCloudStorageBuilder::from_env()
                    .with_url(url.as_str())
                    .build()?,
            ),
            _ => Box::new(
                MicrosoftAzureBuilder::from_env()
                    .with_url(url.as_str())
                    .build()?,
            ),
        };
        let prefix = url.path().trim_matches('/').to_owned();
        Ok(Self::of(Arc::new(object_store::prefix::PrefixStore::new(
            bucket, prefix,
        ))))
    }

    /// A local folder, made if it is not there. Every object is on the disk
    /// before it counts as put.
    ///
    /// # Errors
    /// When the folder cannot be made.
    pub fn folder(folder: &FilePath) -> Result<Self> {
        let named = || format!("{}", folder.display());
        std::fs::create_dir_all(folder).with_context(named)?;
        let root = folder.canonicalize().with_context(named)?;
        let local = LocalFileSystem::new_with_prefix(&root)?.with_fsync(true);
        Ok(Self {
            objects: Arc::new(local),
            folder: Some(Folder::new(&root).with_context(named)?),
        })
    }

    /// A place of any kind.
    #[must_use]
    pub fn of(store: Arc<dyn ObjectStore>) -> Self {
        Self {
            objects: store,
            folder: None,
        }
    }

    /// Puts an object; when this returns it lasts.
    async fn put(&self, path: &Path, hash: Hash, content: Bytes) -> object_store::Result<()> {
        if let Some(folder) = &self.folder {
            folder.prepare(path).await.map_err(disk)?;
        }
        let options = PutOptions::from(PutMode::Create);
        let payload = PutPayload::from_bytes(content);
        match self.objects.put_opts(path, payload, options).await {
            Ok(_) => Ok(()),
            // Another put it, perhaps only just, or damage was done to it since.
            Err(object_store::Error::AlreadyExists { .. }) => match self.get(path, hash).await? {
                Fetched::Damaged => Err(damaged(path)),
                Fetched::Good(_) => match &self.folder {
                    Some(folder) => folder.flush(path).await.map_err(disk),
                    None => Ok(()),
                },
            },
            Err(error) => Err(error),
        }
    }

    /// Makes what was found here last before it is built upon.
    async fn settle(&self, found: impl Iterator<Item = Path>) -> object_store::Result<()> {
        match &self.folder {
            Some(folder) => folder.settle(found).await.map_err(disk),
            None => Ok(()),
        }
    }

    /// Makes entries that were found here last before anyone is told that they do.
    ///
    /// # Errors
    /// When the place does not do it.
    pub async fn settle_runs(
        &self,
        found: impl Iterator<Item = &RunName>,
    ) -> object_store::Result<()> {
        self.settle(found.map(RunName::path)).await
    }

    async fn get(&self, path: &Path, hash: Hash) -> object_store::Result<Fetched> {
        let content = self.objects.get(path).await?.bytes().await?;
        Ok(match Hash::of(&content) == hash {
            true => Fetched::Good(content),
            false => Fetched::Damaged,
        })
    }

    /// Keeps entries of a log.
    ///
    /// # Errors
    /// When the place does not take them: then they are not kept.
    pub async fn put_run(&self, name: &RunName, content: Bytes) -> object_store::Result<()> {
        self.put(&name.path(), name.hash, content).await
    }

    /// The entries under a name.
    ///
    /// # Errors
    /// When the place does not answer.
    pub async fn get_run(&self, name: &RunName) -> object_store::Result<Fetched> {
        self.get(&name.path(), name.hash).await
    }

    /// The names of all objects with entries.
    ///
    /// # Errors
    /// When the place does not answer.
    pub async fn runs(&self) -> object_store::Result<Vec<RunName>> {
        self.runs_under("logs").await
    }

    /// The names of the objects of one log.
    ///
    /// # Errors
    /// When the place does not answer.
    pub async fn runs_of(
        &self,
        event: EventId,
        log: LogName,
    ) -> object_store::Result<Vec<RunName>> {
        self.runs_under(&format!("logs/{event}/{}/{}", log.game, log.author))
            .await
    }

    async fn runs_under(&self, prefix: &str) -> object_store::Result<Vec<RunName>> {
        let prefix = Path::from(prefix);
        let listed: Vec<_> = self.objects.list(Some(&prefix)).try_collect().await?;
        Ok(listed
            .iter()
            .filter_map(|o| RunName::read(&o.location))
            .collect())
    }

    /// Keeps a signed charter.
    ///
    /// # Errors
    /// When the place does not take it.
    pub async fn put_charter(&self, content: Bytes) -> object_store::Result<()> {
        let hash = Hash::of(&content);
        let path = Path::from(format!("charters/{hash}"));
        self.put(&path, hash, content).await
    }

    /// Every charter kept whose content is what its name says; each lasts.
    ///
    /// # Errors
    /// When the place does not answer.
    pub async fn charters(&self) -> object_store::Result<Vec<Bytes>> {
        let prefix = Path::from("charters");
        let listed: Vec<_> = self.objects.list(Some(&prefix)).try_collect().await?;
        self.settle(listed.iter().map(|o| o.location.clone()))
            .await?;
        let mut found = Vec::new();
        for object in listed {
            let named = object.location.filename().and_then(hex).map(Hash);
            if let Some(hash) = named
                && let Fetched::Good(content) = self.get(&object.location, hash).await?
            {
                found.push(content);
            }
        }
        Ok(found)
    }
}

fn disk(error: std::io::Error) -> object_store::Error {
    object_store::Error::Generic {
        store: "folder",
        source: Box::new(error),
    }
}

fn damaged(path: &Path) -> object_store::Error {
    object_store::Error::Generic {
        store: "place",
        source: format!("{path} holds something else than its name says: put the right object in its place, or take it away").into(),
    }
}
