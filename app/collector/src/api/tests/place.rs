//! A place of which every call is seen before it is done.

use std::fmt;
use std::ops::Deref;

use futures_util::stream::BoxStream;
use futures_util::{FutureExt as _, StreamExt as _, stream};
use object_store::path::Path;
use object_store::{
    CopyOptions, GetOptions, GetResult, ListResult, MultipartUpload, ObjectMeta, ObjectStore,
    ObjectStoreExt as _, PutMultipartOptions, PutOptions, PutPayload, PutResult, Result,
};

use super::*;

pub(super) type Raw = Arc<dyn ObjectStore>;

/// What a place is asked for.
#[derive(Clone, Copy, Debug)]
pub(super) enum Call<'a> {
    Put(&'a Path),
    Get(&'a Path),
    Delete,
    /// All names below one.
    List,
    /// The names right below one.
    ListFolder,
}

/// What sees the calls.
#[async_trait::async_trait]
pub(super) trait Watch: Send + Sync + 'static {
    /// Comes before a call, which is not done when this fails.
    async fn before(&self, call: Call<'_>) -> Result<()>;
}

/// A place that is watched.
#[derive(Clone)]
pub(super) struct Place<W> {
    pub raw: Raw,
    watch: Arc<W>,
}

impl<W> Place<W> {
    pub fn new(raw: Raw, watch: W) -> Arc<Self> {
        let watch = Arc::new(watch);
        Arc::new(Self { raw, watch })
    }
}

impl<W> Deref for Place<W> {
    type Target = W;
    fn deref(&self) -> &W {
        &self.watch
    }
}

impl<W> fmt::Debug for Place<W> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Display::fmt(self, f)
    }
}

impl<W> fmt::Display for Place<W> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a place that is watched")
    }
}

#[async_trait::async_trait]
impl<W: Watch> ObjectStore for Place<W> {
    async fn put_opts(&self, to: &Path, content: PutPayload, how: PutOptions) -> Result<PutResult> {
        self.before(Call::Put(to)).await?;
        self.raw.put_opts(to, content, how).await
    }
    async fn put_multipart_opts(
        &self,
        to: &Path,
        how: PutMultipartOptions,
    ) -> Result<Box<dyn MultipartUpload>> {
        self.raw.put_multipart_opts(to, how).await
    }
    async fn get_opts(&self, from: &Path, how: GetOptions) -> Result<GetResult> {
        self.before(Call::Get(from)).await?;
        self.raw.get_opts(from, how).await
    }
    fn delete_stream(
        &self,
        names: BoxStream<'static, Result<Path>>,
    ) -> BoxStream<'static, Result<Path>> {
        let (raw, watch) = (self.raw.clone(), self.watch.clone());
        let one = move |name: Result<Path>| {
            let (raw, watch) = (raw.clone(), watch.clone());
            async move {
                let name = name?;
                watch.before(Call::Delete).await?;
                raw.delete(&name).await.map(|()| name)
            }
        };
        names.then(one).boxed()
    }
    fn list(&self, under: Option<&Path>) -> BoxStream<'static, Result<ObjectMeta>> {
        let (raw, watch, under) = (self.raw.clone(), self.watch.clone(), under.cloned());
        let listed = async move {
            match watch.before(Call::List).await {
                Ok(()) => raw.list(under.as_ref()),
                Err(error) => stream::iter([Err(error)]).boxed(),
            }
        };
        listed.flatten_stream().boxed()
    }
    async fn list_with_delimiter(&self, under: Option<&Path>) -> Result<ListResult> {
        self.before(Call::ListFolder).await?;
        self.raw.list_with_delimiter(under).await
    }
    async fn copy_opts(&self, from: &Path, to: &Path, how: CopyOptions) -> Result<()> {
        self.raw.copy_opts(from, to, how).await
    }
}
