//! Collectors as processes of their own, to be killed; and an S3 server.

use std::path::Path;
use std::process::Stdio;
use std::sync::Arc;
use std::sync::atomic::AtomicU64;
use std::time::Duration;

use anyhow::{Context as _, Result, bail, ensure};
use hyper_util::rt::{TokioExecutor, TokioIo};
use hyper_util::server::conn::auto::Builder;
use s3s::auth::SimpleAuth;
use s3s::service::S3ServiceBuilder;
use tokio::net::TcpListener;
use tokio::process::{Child, Command};

use crate::quick_s3::QuickS3;
use crate::wire;

/// What a collector is started with.
#[derive(Clone, Debug)]
pub struct Plan {
    /// This crate's own program, which can be a collector.
    pub program: String,
    /// Its port.
    pub port: u16,
    /// Its storage.
    pub storage: String,
    /// Its charter's file.
    pub charter: String,
    /// Its environment, besides.
    pub environment: Vec<(String, String)>,
    /// Words for its command line, besides.
    pub more: Vec<String>,
}

/// A collector at work.
#[derive(Debug)]
pub struct Service(Child);

impl Plan {
    /// A collector on a folder below `place`, with this charter.
    ///
    /// # Errors
    /// When the charter's file cannot be written.
    pub fn on_folder(program: &str, place: &Path, charter: &[u8], port: u16) -> Result<Self> {
        let file = place.join("charter");
        std::fs::write(&file, charter)?;
        Ok(Self {
            program: program.to_owned(),
            port,
            storage: format!("file://{}", place.join("kept").display()),
            charter: file.display().to_string(),
            environment: Vec::new(),
            more: Vec::new(),
        })
    }

    /// Starts it.
    ///
    /// # Errors
    /// When it cannot be started.
    pub fn spawn(&self) -> Result<Service> {
        let address = format!("127.0.0.1:{}", self.port);
        let mut command = Command::new(&self.program);
        command
            .args([
                "collector",
                "--address",
                &address,
                "--storage",
                &self.storage,
            ])
            .args(["--charter", &self.charter])
            .args(["--rate-limit", "0", "--refresh", "1"])
            .args(["--games-limit", "100000"])
            .args(&self.more)
            .envs(self.environment.iter().cloned())
            .stdin(Stdio::null())
            .stderr(Stdio::null())
            .kill_on_drop(true);
        let child = command.spawn().with_context(|| self.program.clone())?;
        Ok(Service(child))
    }

    /// Does a command of whoever runs the service on its storage.
    ///
    /// # Errors
    /// When it is not done.
    pub async fn order(&self, words: &[&str]) -> Result<()> {
        let mut command = Command::new(&self.program);
        command.arg("collector").args(words);
        command.args(["--storage", &self.storage]);
        command.envs(self.environment.iter().cloned());
        let done = command.output().await?;
        let said = String::from_utf8_lossy(&done.stderr);
        ensure!(done.status.success(), "{words:?}: {said}");
        Ok(())
    }

    /// Starts it and waits until it answers, over plain HTTP.
    ///
    /// # Errors
    /// When it does not come up.
    pub async fn start(&self) -> Result<Service> {
        let mut service = self.spawn()?;
        for _ in 0..1200 {
            if let Ok(answer) = wire::get(self.port, "/api/health").await
                && answer.status == 200
            {
                return Ok(service);
            }
            if let Some(status) = service.0.try_wait()? {
                bail!("the collector ended with {status}");
            }
            tokio::time::sleep(Duration::from_millis(25)).await;
        }
        bail!("the collector does not answer")
    }
}

impl Service {
    /// Its resident memory (kilobytes); `None` where that is not known.
    #[must_use]
    pub fn memory(&self) -> Option<u64> {
        let status = std::fs::read_to_string(format!("/proc/{}/status", self.0.id()?)).ok()?;
        let line = status.lines().find_map(|l| l.strip_prefix("VmRSS:"))?;
        line.split_whitespace().next()?.parse().ok()
    }

    /// Most memory it ever had resident (kilobytes); `None` where that is not known.
    #[must_use]
    pub fn most_memory(&self) -> Option<u64> {
        let status = std::fs::read_to_string(format!("/proc/{}/status", self.0.id()?)).ok()?;
        let line = status.lines().find_map(|l| l.strip_prefix("VmHWM:"))?;
        line.split_whitespace().next()?.parse().ok()
    }

    /// CPU time it has used; `None` where that is not known.
    #[must_use]
    pub fn cpu_seconds(&self) -> Option<f64> {
        cpu_seconds(self.0.id()?)
    }

    /// Ends it as a power cut would: `kill -9`.
    ///
    /// # Errors
    /// When it cannot be killed.
    pub async fn kill(mut self) -> Result<()> {
        self.0.kill().await?;
        Ok(())
    }
}

/// CPU time that a process has used, user and system together, to a hundredth of
/// a second (`proc_pid_stat(5)`: fields 14 and 15, in ticks of 1/100 s on Linux).
#[must_use]
pub fn cpu_seconds(process: u32) -> Option<f64> {
    let stat = std::fs::read_to_string(format!("/proc/{process}/stat")).ok()?;
    // The second field is a name in brackets, which may hold anything.
    let mut fields = stat.rsplit(')').next()?.split_whitespace().skip(11);
    let mut ticks = || fields.next()?.parse::<u32>().ok().map(f64::from);
    Some((ticks()? + ticks()?) / 100.0)
}

/// A port that is free now.
///
/// # Errors
/// When there is none.
pub async fn free_port() -> Result<u16> {
    Ok(TcpListener::bind(("127.0.0.1", 0))
        .await?
        .local_addr()?
        .port())
}

/// An S3 server on a folder, with one bucket `event`. Gives what a collector
/// needs to find it, and the number of objects that were read from it.
///
/// # Errors
/// When it cannot be started.
pub async fn s3(folder: &Path) -> Result<(Vec<(String, String)>, Arc<AtomicU64>)> {
    std::fs::create_dir_all(folder.join("event"))?;
    let server = QuickS3::new(folder)?;
    let gets = server.gets.clone();
    let mut builder = S3ServiceBuilder::new(server);
    builder.set_auth(SimpleAuth::from_single("key", "secret"));
    let service = builder.build();
    let listener = TcpListener::bind(("127.0.0.1", 0)).await?;
    let port = listener.local_addr()?.port();
    tokio::spawn(async move {
        while let Ok((stream, _)) = listener.accept().await {
            let service = service.clone();
            tokio::spawn(async move {
                let server = Builder::new(TokioExecutor::new());
                // A client gone away in the middle is nothing to tell.
                let _ = server.serve_connection(TokioIo::new(stream), service).await;
            });
        }
    });
    let variables = [
        ("AWS_ENDPOINT", format!("http://127.0.0.1:{port}")),
        ("AWS_ALLOW_HTTP", "true".to_owned()),
        ("AWS_REGION", "us-east-1".to_owned()),
        ("AWS_ACCESS_KEY_ID", "key".to_owned()),
        ("AWS_SECRET_ACCESS_KEY", "secret".to_owned()),
    ];
    let variables = variables.map(|(name, value)| (name.to_owned(), value));
    Ok((variables.into(), gets))
}
