//! A server of Azure's blob storage on this machine: the emulator that its maker
//! publishes on npm, fetched below `target/` when it is first asked for.

use std::path::{Path, PathBuf};
use std::process::Stdio;
use std::time::Duration;

use anyhow::{Context as _, Result, ensure};
use tokio::net::TcpStream;
use tokio::process::{Child, Command};

use crate::service::free_port;

const PACKAGES: [&str; 2] = ["azurite@3", "@azure/storage-blob@12"];

/// Makes the container, with the account and key that every emulator has.
const CONTAINER: &str = "
const { BlobServiceClient } = require('@azure/storage-blob');
const all = 'DefaultEndpointsProtocol=http;AccountName=devstoreaccount1;' +
  'AccountKey=Eby8vdM02xNOcqFlqUwJPLlmEtlCDXJ1OUzFT50uSRZ6IFsuFq2UVErCz4I6tq/K1SZFPTOtr/KBHBeksoGMGw==;' +
  'BlobEndpoint=http://127.0.0.1:' + process.argv[1] + '/devstoreaccount1';
BlobServiceClient.fromConnectionString(all).createContainer('event')
  .catch(e => { console.error(e.message); process.exit(1); });
";

/// An emulator at work, with a container `event`.
#[derive(Debug)]
pub struct Azure {
    server: Child,
    /// What a collector needs to find it.
    pub environment: Vec<(String, String)>,
}

impl Azure {
    /// Starts it on a folder.
    ///
    /// # Errors
    /// When it cannot be fetched or started.
    pub async fn start(folder: &Path) -> Result<Self> {
        let tools = fetched().await?;
        let port = free_port().await?.to_string();
        let server = Command::new("node")
            .arg(tools.join("node_modules/azurite/dist/src/blob/main.js"))
            .args(["--silent", "--disableTelemetry", "--skipApiVersionCheck"])
            .args(["--blobPort", &port])
            .arg("--location")
            .arg(folder)
            .stdout(Stdio::null())
            .kill_on_drop(true)
            .spawn()
            .context("node is needed to run it")?;
        let address = format!("127.0.0.1:{port}");
        let mut tries = 0;
        while TcpStream::connect(&address).await.is_err() {
            tries += 1;
            ensure!(tries < 600, "the emulator does not answer");
            tokio::time::sleep(Duration::from_millis(50)).await;
        }
        let made = Command::new("node")
            .args(["-e", CONTAINER, &port])
            .current_dir(&tools)
            .status()
            .await?;
        ensure!(made.success(), "the container was not made");
        let environment = [
            ("AZURE_STORAGE_USE_EMULATOR", "true".to_owned()),
            ("AZURITE_BLOB_STORAGE_URL", format!("http://{address}")),
        ];
        Ok(Self {
            server,
            environment: environment.map(|(n, v)| (n.to_owned(), v)).to_vec(),
        })
    }

    /// Ends it.
    ///
    /// # Errors
    /// When it cannot be ended.
    pub async fn stop(mut self) -> Result<()> {
        Ok(self.server.kill().await?)
    }
}

async fn fetched() -> Result<PathBuf> {
    let tools = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../target/emulators");
    let there = |package: &str| tools.join("node_modules").join(package).is_dir();
    if !there("azurite") || !there("@azure/storage-blob") {
        std::fs::create_dir_all(&tools)?;
        let installed = Command::new("npm")
            .args(["install", "--no-audit", "--no-fund", "--prefix", "."])
            .args(PACKAGES)
            .current_dir(&tools)
            .stdout(Stdio::null())
            .status()
            .await
            .context("npm is needed to fetch it")?;
        ensure!(installed.success(), "npm did not fetch it");
    }
    Ok(tools)
}
