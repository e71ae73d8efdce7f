//! The built app and its collector, served for as long as a command or a test runs.

use std::net::{IpAddr, Ipv4Addr, SocketAddr, TcpListener};
use std::path::Path;
use std::time::Duration;

use anyhow::{Context as _, Result, bail};
use axum::Router;
use collector::collector::Collector;
use collector::files::Source;
use collector::serve::Gate;
use collector::settings::Limits;
use collector::store::Store;
use tokio::runtime::Runtime;

/// A running server; it stops, and closes every connection, when dropped.
#[derive(Debug)]
pub struct Server {
    runtime: Option<Runtime>,
    address: SocketAddr,
}

impl Server {
    /// Serves `folder` on the loopback address; port 0 takes a free one.
    ///
    /// # Errors
    /// When the folder holds no built app or the port is taken.
    pub fn start(folder: &Path, port: u16) -> Result<Self> {
        Self::on(folder, SocketAddr::from((Ipv4Addr::LOCALHOST, port)))
    }

    /// Serves `folder` on the given address, nothing else.
    ///
    /// # Errors
    /// When the folder holds no built app or the port is taken.
    pub fn on(folder: &Path, address: SocketAddr) -> Result<Self> {
        let router = collector::files::router(&Source::Folder(folder.into()))?;
        Self::run(Runtime::new()?, router, bind(address)?)
    }

    /// Serves `folder` with a collector that keeps what it takes in under
    /// `kept`, and opens with the demo event.
    ///
    /// # Errors
    /// When something it needs is missing or the port is taken.
    pub fn with_collector(folder: &Path, kept: &Path, port: u16) -> Result<Self> {
        Self::below("", folder, kept, port)
    }

    /// As [`Server::with_collector`], below a path as `/club/games`: as behind a proxy that passes on
    /// what comes after it.
    ///
    /// # Errors
    /// As [`Server::with_collector`].
    pub fn below(path: &str, folder: &Path, kept: &Path, port: u16) -> Result<Self> {
        let runtime = Runtime::new()?;
        let listener = bind(SocketAddr::from((Ipv4Addr::LOCALHOST, port)))?;
        let own = collector::serve::local_addresses(listener.local_addr()?, false);
        let router = runtime.block_on(async {
            let day =
                demoday::play_day(DEMO).map_err(|e| anyhow::anyhow!("the demo event: {e}"))?;
            let store = Store::folder(kept)?;
            let collector = Collector::open(
                store,
                std::slice::from_ref(&day.charter),
                true,
                Limits::default(),
            )
            .await?;
            fill(&collector, &day).await?;
            let _ = collector.called.set(own);
            tokio::spawn(collector.clone().keep_fresh(Duration::from_secs(10)));
            collector::serve::router(
                Gate::new(collector, &[], false)?,
                Some(&Source::Folder(folder.into())),
            )
        })?;
        let router = match path {
            "" => router,
            path => Router::new().nest_service(path, router),
        };
        Self::run(runtime, router, listener)
    }

    fn run(runtime: Runtime, router: Router, listener: TcpListener) -> Result<Self> {
        listener.set_nonblocking(true)?;
        let address = listener.local_addr()?;
        let listener = {
            let _inside = runtime.enter();
            tokio::net::TcpListener::from_std(listener)?
        };
        let service = router.into_make_service_with_connect_info::<SocketAddr>();
        runtime.spawn(async move { axum::serve(listener, service).await });
        Ok(Self {
            runtime: Some(runtime),
            address,
        })
    }

    /// The address of the first page.
    #[must_use]
    pub fn url(&self) -> String {
        match self.address.ip() {
            IpAddr::V4(ip) if ip.is_unspecified() => {
                format!("http://localhost:{}/", self.address.port())
            }
            _ => format!("http://{}/", self.address),
        }
    }

    /// The port it listens on.
    #[must_use]
    pub fn port(&self) -> u16 {
        self.address.port()
    }

    /// Waits until the person at the keyboard ends the command.
    ///
    /// # Errors
    /// When the signal cannot be listened for.
    pub fn until_interrupted(self) -> Result<()> {
        if let Some(runtime) = &self.runtime {
            runtime.block_on(tokio::signal::ctrl_c())?;
        }
        Ok(())
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        if let Some(runtime) = self.runtime.take() {
            // On a thread of its own, because the one at hand may be running another runtime's work.
            let ended =
                std::thread::spawn(move || runtime.shutdown_timeout(Duration::from_secs(1)));
            let _ = ended.join();
        }
    }
}

/// The number of the demo event.
pub const DEMO: u64 = 1;

fn bind(address: SocketAddr) -> Result<TcpListener> {
    TcpListener::bind(address)
        .with_context(|| format!("port {} is taken: give another with --port", address.port()))
}

/// Puts in what the officials of the demo event recorded. What is there already
/// stays as it is.
async fn fill(collector: &Collector, day: &demoday::DemoDay) -> Result<()> {
    for game in &day.games {
        for record in game.records.iter().chain(&game.second_line) {
            let name = record.chain().name();
            let taken = collector.take_in(name, &record.chain().to_bytes()).await;
            let taken = taken.map_err(|_| anyhow::anyhow!("the folder does not take entries"))?;
            if let Some(refusal) = taken.receipt.refusal {
                bail!(
                    "game {} of the demo event: {}",
                    game.fixture,
                    refusal.sentence
                );
            }
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests;
