//! The built app, given out on the loopback address: stopped, started, renewed, broken at will.

use std::fs;
use std::path::Path;

use anyhow::{Context as _, Result};
use appbuild::seal;
use serve::Server;
use tempfile::TempDir;
use xtask::place;

/// A copy of the built app with a server of its own.
#[derive(Debug)]
pub struct Site {
    folder: TempDir,
    server: Option<Server>,
    port: u16,
}

impl Site {
    /// Serves a copy of the app as `cargo xtask test` built it.
    ///
    /// # Errors
    /// When the app is not built.
    pub fn start() -> Result<Self> {
        let folder = tempfile::Builder::new()
            .prefix("chalkbook-site-")
            .tempdir()?;
        place::copy(&place::dist(), folder.path())
            .context("the app is not built: run `cargo xtask test web browser`")?;
        let server = Server::start(folder.path(), 0)?;
        let port = server.port();
        Ok(Self {
            folder,
            server: Some(server),
            port,
        })
    }

    /// The address of its first page; it stays the same over stops and starts.
    #[must_use]
    pub fn url(&self) -> String {
        format!("http://localhost:{}/", self.port)
    }

    /// The folder that it serves.
    #[must_use]
    pub fn folder(&self) -> &Path {
        self.folder.path()
    }

    /// Stops answering: from now on there is no signal.
    pub fn stop(&mut self) {
        self.server = None;
    }

    /// Answers again on the same port.
    ///
    /// # Errors
    /// When the port was taken meanwhile.
    pub fn start_again(&mut self) -> Result<()> {
        self.server = Some(Server::start(self.folder.path(), self.port)?);
        Ok(())
    }

    /// Publishes a new version, which says `mark` in its page. Gives its build's name.
    ///
    /// # Errors
    /// When the files cannot be written.
    pub fn renew(&self, mark: &str) -> Result<String> {
        let page = self.folder.path().join("index.html");
        let text = fs::read_to_string(&page)?;
        let (before, after) = text.split_once("</head>").context("the page has no head")?;
        fs::write(
            &page,
            format!("{before}<meta name=\"mark\" content=\"{mark}\"></head>{after}"),
        )?;
        seal::seal(self.folder.path())
    }
}
