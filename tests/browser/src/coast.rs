//! A collector that serves the app too, as a process of its own, behind a network that can be spoilt.

use std::sync::PoisonError;
use std::time::{Duration, Instant};

use anyhow::{Context as _, Result, bail};
use engine::log::LogName;
use faults::proxy::{Proxy, Weather};
use faults::service::{Plan, Service, free_port};
use faults::wire;
use tempfile::TempDir;

use xtask::place;

/// The collector, what it keeps, and the network before it.
#[derive(Debug)]
pub struct Coast {
    folder: TempDir,
    plan: Plan,
    service: Option<Service>,
    /// The network between phone and collector; fair to begin with.
    pub proxy: Proxy,
}

impl Coast {
    /// Starts `program`, a collector that serves the built app and takes games without a charter
    /// besides those of the demo event.
    ///
    /// # Errors
    /// When the app is not built or the collector does not come up.
    pub async fn start(program: &str) -> Result<Self> {
        Self::with(program, &["--open-event"]).await
    }

    /// As [`Coast::start`], with these words on the command line instead of `--open-event`.
    ///
    /// # Errors
    /// As [`Coast::start`].
    pub async fn with(program: &str, more: &[&str]) -> Result<Self> {
        let day = demoday::charter(1)
            .draft()
            .map_err(|wrong| anyhow::anyhow!("{wrong:?}"))?
            .sign(&demoday::key(1, 9))
            .map_err(|wrong| anyhow::anyhow!("{wrong}"))?;
        Self::of(program, day.bytes(), more).await
    }

    /// As [`Coast::with`], for the event of this charter.
    ///
    /// # Errors
    /// As [`Coast::start`].
    pub async fn of(program: &str, event: &[u8], more: &[&str]) -> Result<Self> {
        let folder = tempfile::Builder::new()
            .prefix("chalkbook-coast-")
            .tempdir()?;
        let app = folder.path().join("app");
        std::fs::create_dir_all(&app)?;
        place::copy(&place::dist(), &app)
            .context("the app is not built: `cargo xtask test web`")?;
        let charter = folder.path().join("charter");
        std::fs::write(&charter, event)?;
        let mut more: Vec<String> = more.iter().map(|word| (*word).to_owned()).collect();
        more.extend(["--app".to_owned(), app.display().to_string()]);
        let port = free_port().await?;
        let proxy = Proxy::before(port, 1).await?;
        // A pass to read names the address that the phone knows.
        let own = [port, proxy.port].map(|port| format!("http://localhost:{port}"));
        more.extend(own.map(|address| format!("--own-address={address}")));
        let plan = Plan {
            program: program.to_owned(),
            port,
            storage: format!("file://{}", folder.path().join("kept").display()),
            charter: charter.display().to_string(),
            environment: Vec::new(),
            more,
        };
        proxy.turn(Weather::Fair);
        let service = Some(plan.start().await?);
        Ok(Self {
            folder,
            plan,
            service,
            proxy,
        })
    }

    /// The address of the first page, through the network.
    #[must_use]
    pub fn url(&self) -> String {
        format!("http://localhost:{}/", self.proxy.port)
    }

    /// The same without the network between: the proxy hands on whole answers, and that of a live
    /// board has no end.
    #[must_use]
    pub fn direct(&self) -> String {
        format!("http://localhost:{}/", self.plan.port)
    }

    /// Starts it again for another event: that of this charter, as an organiser saved it.
    ///
    /// # Errors
    /// When it does not come up.
    pub async fn serve_event(&mut self, charter: &[u8]) -> Result<()> {
        self.kill().await?;
        std::fs::write(&self.plan.charter, charter)?;
        self.start_again().await
    }

    /// Kills the collector as a power cut would.
    ///
    /// # Errors
    /// When it does not run.
    pub async fn kill(&mut self) -> Result<()> {
        self.service.take().context("it does not run")?.kill().await
    }

    /// Starts it again on what it kept.
    ///
    /// # Errors
    /// When it does not come up.
    pub async fn start_again(&mut self) -> Result<()> {
        self.service = Some(self.plan.start().await?);
        Ok(())
    }

    /// What the collector gives out under a path, asked for without the spoilt network.
    ///
    /// # Errors
    /// When it does not answer.
    pub async fn get(&self, path: &str) -> Result<wire::Answer> {
        self.send(&wire::request("GET", path, "text/plain", b""))
            .await
    }

    /// Does a command of whoever runs the service.
    ///
    /// # Errors
    /// When it is not done.
    pub async fn order(&self, words: &[&str]) -> Result<()> {
        self.plan.order(words).await
    }

    /// Gives the collector the second version of a charter, as a phone does.
    ///
    /// # Errors
    /// When it does not answer.
    pub async fn put_charter(&self, signed: &[u8]) -> Result<wire::Answer> {
        let charter = engine::charter::SignedCharter::parse(signed)?;
        let first = charter.charter().supersedes.unwrap_or(charter.hash());
        self.send(&wire::request(
            "PUT",
            &format!("/api/charters/{first}"),
            "application/cbor-seq",
            signed,
        ))
        .await
    }

    /// Gives the collector entries of a log, as another phone does.
    ///
    /// # Errors
    /// When it does not answer.
    pub async fn put_log(&self, log: LogName, entries: &[u8]) -> Result<wire::Answer> {
        let kind = "application/cbor-seq";
        self.send(&wire::request("PUT", &log.path(), kind, entries))
            .await
    }

    async fn send(&self, request: &[u8]) -> Result<wire::Answer> {
        let bytes = wire::exchange(self.plan.port, request).await?;
        wire::answer(&bytes)
    }

    /// What the collector keeps of a log, object after object in the order of their first entries: an
    /// entry kept twice is in it twice.
    ///
    /// # Errors
    /// When the folder cannot be read.
    pub fn kept(&self, log: LogName) -> Result<Vec<u8>> {
        let mut objects = Vec::new();
        let logs = self.folder.path().join("kept").join("logs");
        for event in std::fs::read_dir(logs).into_iter().flatten() {
            let game = event?.path().join(log.game.to_string());
            let author = game.join(log.author.to_string());
            for object in std::fs::read_dir(author).into_iter().flatten() {
                let path = object?.path();
                // What a killed put left behind is named with a `#` and is no object.
                if !path.to_string_lossy().contains('#') {
                    objects.push(path);
                }
            }
        }
        objects.sort();
        let read = objects.iter().map(std::fs::read);
        Ok(read.collect::<std::io::Result<Vec<_>>>()?.concat())
    }

    /// Waits until the collector keeps a log, byte for byte and once.
    ///
    /// # Errors
    /// When it does not within a minute.
    pub async fn has(&self, log: LogName, bytes: &[u8]) -> Result<()> {
        let from = Instant::now();
        while self.kept(log)? != bytes {
            if from.elapsed() > Duration::from_secs(60) {
                let kept = self.kept(log)?.len();
                bail!("it keeps {kept} bytes instead of {}", bytes.len());
            }
            tokio::time::sleep(Duration::from_millis(200)).await;
        }
        Ok(())
    }

    /// Requests for logs so far: first line, and bytes of the body.
    #[must_use]
    pub fn asked(&self) -> Vec<(String, usize)> {
        let asked = self.proxy.done.asked.lock();
        asked.unwrap_or_else(PoisonError::into_inner).clone()
    }
}
