//! The objects kept: signed bytes only, never changed, each named by its content.
//!
//! ```text
//! charters/HASH                          one signed charter
//! receipt-key                            what signs receipts and orders, a secret
//! orders/HASH                            one signed order of whoever runs the service
//! logs/EVENT/GAME/AUTHOR/FIRST-HASH      entries of one log, as they were taken in
//! ```
//! HASH is the SHA-256 of the object, FIRST the sequence number of its first
//! entry. An object is put only where none of its name is: the store does that
//! in one step, so any number of collectors can share one place and a collector
//! killed at any moment leaves an object whole or not there at all. What is not
//! what its name says was damaged since, and is put again when it comes again.
//! An order to erase removes some, and so does merging: of objects that together
//! hold no entry which another one does not hold as well.

mod folder;
mod names;

use std::path::Path as FilePath;
use std::sync::Arc;
use std::time::Duration;

use anyhow::{Context as _, Result, bail};
use bytes::Bytes;
use engine::charter::SignedCharter;
use engine::log::{
    Content as _, Fingerprint, GameId, Hash, LogName, Order, PublicKey, SignedOrder, Unverified,
};
use futures_util::{StreamExt as _, TryStreamExt as _, stream};
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

/// Where the key lies that signs receipts, so that all collectors of one place
/// sign with the same.
const RECEIPT_KEY: &str = "receipt-key";

/// The name of an object with entries.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct SegmentName {
    /// The event.
    pub event: EventId,
    /// The log.
    pub log: LogName,
    /// Sequence number of its first entry.
    pub first: u64,
    /// Hash of its content.
    pub hash: Hash,
}

impl SegmentName {
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
            event: EventId::of_folder(event)?,
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
pub enum FetchedObject {
    /// The content, and it is what its name says.
    Good(Bytes),
    /// Something else than its name says.
    Damaged,
    /// It cannot be read, though the folder it is in can.
    Unreadable,
}

/// Names that were found.
#[derive(Debug)]
pub struct FoundNames<T> {
    /// Those that a collector gives.
    pub names: Vec<T>,
    /// How many could not be read.
    pub unreadable: usize,
}

/// The charters kept.
#[derive(Debug, Default)]
pub struct Charters {
    /// Those whose content is what its name says.
    pub good: Vec<Bytes>,
    /// The others, by their names.
    pub damaged: Vec<Hash>,
}

/// Most bytes of an object with entries, as many as a request may have.
pub const RUN_LIMIT: u64 = 64 << 20;
/// No write takes so long.
const LEFT_FOR_GOOD: Duration = Duration::from_secs(3600);
/// How often an object is put that was there and is gone.
const TRIES: usize = 4;
/// Objects asked for at a time.
pub const AT_ONCE: usize = 32;
const ORDER_LIMIT: u64 = Order::BYTES_LIMIT as u64;
const CHARTER_LIMIT: u64 = SignedCharter::<Unverified>::BYTES_LIMIT as u64;

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
        let folder = Folder::new(&root).with_context(named)?;
        // Of logs when their event is read.
        folder.sweep_now("", 1, LEFT_FOR_GOOD).with_context(named)?;
        Ok(Self {
            objects: Arc::new(local),
            folder: Some(folder),
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
    async fn put(
        &self,
        path: &Path,
        hash: Hash,
        content: Bytes,
        most: u64,
    ) -> object_store::Result<()> {
        let put = async |mode| {
            if let Some(folder) = &self.folder {
                folder.prepare(path).await.map_err(disk)?;
            }
            let payload = PutPayload::from_bytes(content.clone());
            let options = PutOptions::from(mode);
            self.objects.put_opts(path, payload, options).await
        };
        for _ in 0..TRIES {
            match put(PutMode::Create).await {
                Ok(_) => return Ok(()),
                // Another put it, perhaps only just, or damage was done to it since.
                Err(object_store::Error::AlreadyExists { .. }) => {}
                // A disk that is full, or may not be written, still has what it had.
                Err(error) => {
                    let there = self.get(path, hash, most).await;
                    if !matches!(there, Ok(FetchedObject::Good(_))) {
                        return Err(error);
                    }
                }
            }
            match self.get(path, hash, most).await {
                Ok(FetchedObject::Good(_)) => {}
                Ok(FetchedObject::Damaged | FetchedObject::Unreadable) => {
                    put(PutMode::Overwrite).await?;
                    tracing::warn!(object = %hash, "an object that was damaged is put again");
                }
                // Merged into another in this moment.
                Err(object_store::Error::NotFound { .. }) => continue,
                Err(error) => return Err(error),
            }
            let Some(folder) = &self.folder else {
                return Ok(());
            };
            match folder.flush(path).await {
                Err(error) if error.kind() == std::io::ErrorKind::NotFound => {}
                flushed => return flushed.map_err(disk),
            }
        }
        Err(object_store::Error::NotFound {
            path: path.to_string(),
            source: "it is there and gone again and again".into(),
        })
    }

    /// Whether it is known to take nothing before it is tried: a disk that is
    /// full or may not be written.
    #[must_use]
    pub fn takes_nothing(&self) -> bool {
        self.folder.as_ref().is_some_and(Folder::takes_nothing)
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
        found: impl Iterator<Item = &SegmentName>,
    ) -> object_store::Result<()> {
        self.settle(found.map(SegmentName::path)).await
    }

    async fn get(&self, path: &Path, hash: Hash, most: u64) -> object_store::Result<FetchedObject> {
        let whole = async {
            let found = self.objects.get(path).await?;
            match found.meta.size > most {
                true => Ok(None),
                false => found.bytes().await.map(Some),
            }
        };
        match whole.await {
            Ok(Some(content)) if Hash::of(&content) == hash => Ok(FetchedObject::Good(content)),
            Ok(_) => Ok(FetchedObject::Damaged),
            Err(error @ object_store::Error::NotFound { .. }) => Err(error),
            // A bucket that gives no object is out of reach; of a folder one file may be bad.
            Err(_) if self.folder.is_some() => Ok(FetchedObject::Unreadable),
            Err(error) => Err(error),
        }
    }

    /// Keeps entries of a log.
    ///
    /// # Errors
    /// When the place does not take them: then they are not kept.
    pub async fn put_run(&self, name: &SegmentName, content: Bytes) -> object_store::Result<()> {
        self.put(&name.path(), name.hash, content, RUN_LIMIT).await
    }

    /// The entries under a name.
    ///
    /// # Errors
    /// When the place does not answer.
    pub async fn get_run(&self, name: &SegmentName) -> object_store::Result<FetchedObject> {
        self.get(&name.path(), name.hash, RUN_LIMIT).await
    }

    /// The names of all objects with entries: as many as were ever kept.
    ///
    /// # Errors
    /// When the place does not answer.
    pub async fn runs(&self) -> object_store::Result<FoundNames<SegmentName>> {
        self.runs_under("logs").await
    }

    /// The events of which there are logs.
    ///
    /// # Errors
    /// When the place does not answer.
    pub async fn events(&self) -> object_store::Result<FoundNames<EventId>> {
        let found = self.folders("logs").await?;
        Ok(FoundNames {
            names: (found
                .names
                .iter()
                .filter_map(|name| EventId::of_folder(name)))
            .collect(),
            unreadable: found.unreadable,
        })
    }

    /// The games of an event.
    ///
    /// # Errors
    /// When the place does not answer.
    pub async fn games_of(&self, event: EventId) -> object_store::Result<Vec<GameId>> {
        let found = self.folders(&format!("logs/{event}")).await?;
        Ok((found
            .names
            .iter()
            .filter_map(|name| Some(GameId(hex(name)?))))
        .collect())
    }

    /// The names of the objects of a game under an event.
    ///
    /// # Errors
    /// When the place does not answer.
    pub async fn runs_of_game(
        &self,
        event: EventId,
        game: GameId,
    ) -> object_store::Result<Vec<SegmentName>> {
        let found = self.runs_under(&format!("logs/{event}/{game}")).await?;
        Ok(found.names)
    }

    /// The names of the objects of an event.
    ///
    /// # Errors
    /// When the place does not answer.
    pub async fn runs_in(&self, event: EventId) -> object_store::Result<FoundNames<SegmentName>> {
        self.runs_under(&format!("logs/{event}")).await
    }

    /// Removes what writes to an event's folder that were cut off left there.
    ///
    /// # Errors
    /// When the folder cannot be read.
    pub async fn sweep(&self, event: EventId) -> object_store::Result<()> {
        let Some(folder) = &self.folder else {
            return Ok(());
        };
        let under = format!("logs/{event}");
        let swept = folder.sweep(under, names::DEEP, LEFT_FOR_GOOD).await;
        swept.map_err(disk)
    }

    /// Forgets what was only known to make writing to an event quicker.
    pub fn forget(&self, event: EventId) {
        if let Some(folder) = &self.folder {
            folder.forget(&Path::from(format!("logs/{event}")));
        }
    }

    /// The names of the objects of one log.
    ///
    /// # Errors
    /// When the place does not answer.
    pub async fn runs_of(
        &self,
        event: EventId,
        log: LogName,
    ) -> object_store::Result<Vec<SegmentName>> {
        let under = format!("logs/{event}/{}/{}", log.game, log.author);
        Ok(self.runs_under(&under).await?.names)
    }

    async fn runs_under(&self, prefix: &str) -> object_store::Result<FoundNames<SegmentName>> {
        let listed = self.list(prefix).await?;
        Ok(FoundNames {
            names: listed.names.iter().filter_map(SegmentName::read).collect(),
            unreadable: listed.unreadable,
        })
    }

    /// The names of the folders right under one.
    async fn folders(&self, prefix: &str) -> object_store::Result<FoundNames<String>> {
        let found = match &self.folder {
            Some(folder) => folder.folders(prefix.to_owned()).await.map_err(disk)?,
            None => {
                let under = Path::from(prefix);
                let listed = self.objects.list_with_delimiter(Some(&under)).await?;
                FoundNames {
                    names: listed.common_prefixes,
                    unreadable: 0,
                }
            }
        };
        let name = |path: &Path| path.filename().map(str::to_owned);
        Ok(FoundNames {
            names: found.names.iter().filter_map(name).collect(),
            unreadable: found.unreadable,
        })
    }

    async fn list(&self, prefix: &str) -> object_store::Result<FoundNames<Path>> {
        if let Some(folder) = &self.folder {
            return folder.names(prefix.to_owned()).await.map_err(disk);
        }
        let listed = self.objects.list(Some(&Path::from(prefix)));
        Ok(FoundNames {
            names: listed.map_ok(|o| o.location).try_collect().await?,
            unreadable: 0,
        })
    }

    /// Keeps a signed charter.
    ///
    /// # Errors
    /// When the place does not take it.
    pub async fn put_charter(&self, content: Bytes) -> object_store::Result<()> {
        let hash = Hash::of(&content);
        let path = Path::from(format!("charters/{hash}"));
        self.put(&path, hash, content, CHARTER_LIMIT).await
    }

    /// The secret that signs receipts: the one kept here, else the one given,
    /// which is kept from then on.
    ///
    /// # Errors
    /// When the place does not answer, does not take it, or holds something
    /// else under this name.
    pub async fn receipt_key(&self, new: [u8; 32]) -> Result<[u8; 32]> {
        let path = Path::from(RECEIPT_KEY);
        let put = self.objects.put_opts(
            &path,
            PutPayload::from_bytes(Bytes::copy_from_slice(&new)),
            PutOptions::from(PutMode::Create),
        );
        let why = match put.await {
            Ok(_) => {
                if let Some(folder) = &self.folder {
                    folder.flush(&path).await?;
                }
                return Ok(new);
            }
            Err(why) => why,
        };
        let kept = match self.objects.get(&path).await {
            Ok(kept) => kept.bytes().await?,
            Err(_) => bail!("{}", cause(&why)),
        };
        let kept: Result<[u8; 32], _> = kept.as_ref().try_into();
        kept.map_err(|_| anyhow::anyhow!("`{RECEIPT_KEY}` in the storage is no key of 32 bytes"))
    }

    /// Keeps an order.
    ///
    /// # Errors
    /// When the place does not take it.
    pub async fn put_order(&self, order: &SignedOrder) -> object_store::Result<()> {
        let path = Path::from(format!("orders/{}", order.hash()));
        let content = Bytes::copy_from_slice(order.bytes());
        self.put(&path, order.hash(), content, ORDER_LIMIT).await
    }

    /// Every order kept that is signed with the key of this place's collectors.
    ///
    /// # Errors
    /// When the place does not answer.
    pub async fn orders(&self, key: &PublicKey) -> object_store::Result<Vec<SignedOrder>> {
        let mut found = Vec::new();
        for path in self.list("orders").await?.names {
            let Some(hash) = path.filename().and_then(hex).map(Hash) else {
                continue;
            };
            let order = match self.get(&path, hash, ORDER_LIMIT).await {
                Ok(FetchedObject::Good(content)) => SignedOrder::read(&content).ok(),
                Ok(FetchedObject::Damaged | FetchedObject::Unreadable) => None,
                Err(error) => return Err(error),
            };
            match order.filter(|order| order.key() == key) {
                Some(order) => found.push(order),
                None => tracing::error!(
                    order = %hash,
                    "an order in the storage is damaged or not signed with its key: it is not followed, give it again"
                ),
            }
        }
        Ok(found)
    }

    /// Removes objects with entries, with whatever else lies in the folders of
    /// their logs, and charters. What is not there any more is no fault.
    ///
    /// # Errors
    /// When one cannot be removed.
    pub async fn erase<'a>(
        &self,
        entries: impl Iterator<Item = &'a SegmentName>,
        charters: impl Iterator<Item = Hash>,
    ) -> object_store::Result<()> {
        let charters = charters.map(|hash| Path::from(format!("charters/{hash}")));
        let mut objects: Vec<Path> = charters.collect();
        match &self.folder {
            Some(folder) => {
                let logs = entries.map(SegmentName::path).collect();
                folder.erase(logs, objects).await.map_err(disk)
            }
            None => {
                objects.extend(entries.map(SegmentName::path));
                self.remove(objects).await
            }
        }
    }

    /// Removes objects with entries that stand elsewhere too. What is not there
    /// any more is no fault; one that comes back after a loss of power does no
    /// harm.
    ///
    /// # Errors
    /// When one cannot be removed.
    pub async fn remove_runs(&self, names: &[SegmentName]) -> object_store::Result<()> {
        self.remove(names.iter().map(SegmentName::path).collect())
            .await
    }

    async fn remove(&self, paths: Vec<Path>) -> object_store::Result<()> {
        let paths = stream::iter(paths.into_iter().map(Ok)).boxed();
        let mut removed = self.objects.delete_stream(paths);
        while let Some(done) = removed.next().await {
            match done {
                Ok(_) | Err(object_store::Error::NotFound { .. }) => {}
                Err(error) => return Err(error),
            }
        }
        Ok(())
    }

    /// The charters kept of which this is true; each lasts.
    ///
    /// # Errors
    /// When the place does not answer.
    pub async fn charters(&self, wanted: impl Fn(&Hash) -> bool) -> object_store::Result<Charters> {
        let listed = self.list("charters").await?.names.into_iter();
        let named = listed.filter_map(|path| Some((Hash(hex(path.filename()?)?), path)));
        let named: Vec<(Hash, Path)> = named.filter(|(hash, _)| wanted(hash)).collect();
        self.settle(named.iter().map(|(_, path)| path.clone()))
            .await?;
        let mut found = Charters::default();
        let mut getting = stream::iter(named)
            .map(|(hash, path)| async move { (self.get(&path, hash, CHARTER_LIMIT).await, hash) })
            .buffer_unordered(AT_ONCE);
        while let Some((got, hash)) = getting.next().await {
            match got {
                Ok(FetchedObject::Good(content)) => found.good.push(content),
                Ok(FetchedObject::Damaged | FetchedObject::Unreadable) => found.damaged.push(hash),
                // Taken away while it was listed.
                Err(object_store::Error::NotFound { .. }) => {}
                Err(error) => return Err(error),
            }
        }
        Ok(found)
    }
}

/// What went wrong, without the name of the object: that would say which game,
/// and whose.
#[must_use]
pub fn cause(error: &object_store::Error) -> String {
    let mut at: Option<&(dyn std::error::Error + 'static)> = Some(error);
    while let Some(e) = at {
        if let Some(io) = e.downcast_ref::<std::io::Error>() {
            return io.kind().to_string();
        }
        at = e.source();
    }
    use object_store::Error;
    let kind = match error {
        Error::NotFound { .. } => "there is no such object",
        Error::PermissionDenied { .. } => "these credentials may not do that",
        Error::Unauthenticated { .. } => "the credentials are not good",
        Error::NotSupported { .. } | Error::NotImplemented { .. } => "it cannot do that",
        _ => "no answer, or one that means nothing",
    };
    kind.to_owned()
}

fn disk(error: std::io::Error) -> object_store::Error {
    object_store::Error::Generic {
        store: "folder",
        source: Box::new(error),
    }
}
