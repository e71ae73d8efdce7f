//! An S3 server on a folder of which a list costs as much as it names. The one
//! that keeps the objects looks through everything for each list.

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};

use anyhow::Result;
use s3s::dto::{
    CommonPrefix, DeleteObjectInput, DeleteObjectOutput, DeleteObjectsInput, DeleteObjectsOutput,
    GetObjectInput, GetObjectOutput, HeadObjectInput, HeadObjectOutput, ListObjectsV2Input,
    ListObjectsV2Output, Object, PutObjectInput, PutObjectOutput,
};
use s3s::{S3, S3Request, S3Response, S3Result, s3_error};
use s3s_fs::FileSystem;

/// Names given out at a time.
const PAGE: usize = 1000;

/// The server.
#[derive(Debug)]
pub struct QuickS3 {
    files: FileSystem,
    folder: PathBuf,
    /// Objects that were read.
    pub gets: Arc<AtomicU64>,
}

impl QuickS3 {
    /// A server on a folder.
    ///
    /// # Errors
    /// When there is no such folder.
    pub fn new(folder: &Path) -> Result<Self> {
        Ok(Self {
            files: FileSystem::new(folder).map_err(|e| anyhow::anyhow!("{e:?}"))?,
            folder: folder.to_path_buf(),
            gets: Arc::default(),
        })
    }
}

/// Names of files below a folder, or of what lies right in it, folders with a
/// slash at their ends.
fn names(folder: &Path, named: &str, deep: bool, found: &mut Vec<String>) -> std::io::Result<()> {
    let entries = match std::fs::read_dir(folder) {
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => return Ok(()),
        entries => entries?,
    };
    for entry in entries {
        let entry = entry?;
        let name = format!("{named}{}", entry.file_name().to_string_lossy());
        match (entry.file_type()?.is_dir(), deep) {
            (true, true) => names(&entry.path(), &format!("{name}/"), deep, found)?,
            (true, false) => found.push(format!("{name}/")),
            (false, _) => found.push(name),
        }
    }
    Ok(())
}

#[async_trait::async_trait]
impl S3 for QuickS3 {
    async fn list_objects_v2(
        &self,
        request: S3Request<ListObjectsV2Input>,
    ) -> S3Result<S3Response<ListObjectsV2Output>> {
        let input = request.input;
        let prefix = input.prefix.unwrap_or_default();
        let folder = self.folder.join(&input.bucket).join(&prefix);
        let deep = input.delimiter.is_none();
        let mut all = Vec::new();
        names(&folder, &prefix, deep, &mut all).map_err(|e| s3_error!(e, InternalError))?;
        all.sort_unstable();
        if let Some(after) = &input.continuation_token {
            all.retain(|name| name > after);
        }
        let more = all.len() > PAGE;
        all.truncate(PAGE);
        let next = all.last().filter(|_| more).cloned();
        let (folders, files): (Vec<String>, Vec<String>) =
            all.into_iter().partition(|name| name.ends_with('/'));
        let object = |key| Object {
            key: Some(key),
            size: Some(0),
            last_modified: Some(std::time::SystemTime::UNIX_EPOCH.into()),
            ..Object::default()
        };
        let common = |prefix| CommonPrefix {
            prefix: Some(prefix),
        };
        Ok(S3Response::new(ListObjectsV2Output {
            contents: Some(files.into_iter().map(object).collect()),
            common_prefixes: Some(folders.into_iter().map(common).collect()),
            is_truncated: Some(more),
            next_continuation_token: next,
            name: Some(input.bucket),
            prefix: Some(prefix),
            ..ListObjectsV2Output::default()
        }))
    }
    async fn get_object(
        &self,
        request: S3Request<GetObjectInput>,
    ) -> S3Result<S3Response<GetObjectOutput>> {
        self.gets.fetch_add(1, Ordering::Relaxed);
        self.files.get_object(request).await
    }
    async fn head_object(
        &self,
        request: S3Request<HeadObjectInput>,
    ) -> S3Result<S3Response<HeadObjectOutput>> {
        self.files.head_object(request).await
    }
    async fn put_object(
        &self,
        request: S3Request<PutObjectInput>,
    ) -> S3Result<S3Response<PutObjectOutput>> {
        self.files.put_object(request).await
    }
    async fn delete_object(
        &self,
        request: S3Request<DeleteObjectInput>,
    ) -> S3Result<S3Response<DeleteObjectOutput>> {
        self.files.delete_object(request).await
    }
    async fn delete_objects(
        &self,
        request: S3Request<DeleteObjectsInput>,
    ) -> S3Result<S3Response<DeleteObjectsOutput>> {
        self.files.delete_objects(request).await
    }
}
