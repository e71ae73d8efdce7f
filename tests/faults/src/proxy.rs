//! Between phones and collectors: loses, cuts, doubles, delays, reorders, and
//! pretends to be a captive portal.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::time::Duration;

use anyhow::Result;
use demoday::Chance;
use tokio::io::{AsyncReadExt as _, AsyncWriteExt as _};
use tokio::net::{TcpListener, TcpStream};

use crate::wire;

/// What the proxy did.
#[derive(Debug, Default)]
pub struct Done {
    /// Requests handed on.
    pub passed: AtomicU64,
    /// Faults made, of all kinds.
    pub faults: AtomicU64,
}

/// A proxy in front of one collector.
#[derive(Clone, Debug)]
pub struct Proxy {
    /// Where phones connect.
    pub port: u16,
    /// Whether it makes faults now.
    pub faulty: Arc<AtomicBool>,
    /// What it did.
    pub done: Arc<Done>,
}

impl Proxy {
    /// Stands before the collector at `to`.
    ///
    /// # Errors
    /// When there is no free port.
    pub async fn before(to: u16, seed: u64) -> Result<Self> {
        let listener = TcpListener::bind(("127.0.0.1", 0)).await?;
        let proxy = Self {
            port: listener.local_addr()?.port(),
            faulty: Arc::new(AtomicBool::new(true)),
            done: Arc::default(),
        };
        let own = proxy.clone();
        tokio::spawn(async move {
            let mut chance = Chance::new(seed);
            while let Ok((stream, _)) = listener.accept().await {
                let draw = chance.draw();
                let own = own.clone();
                // What goes wrong in here is what is wanted.
                tokio::spawn(async move { own.handle(stream, to, draw).await });
            }
        });
        Ok(proxy)
    }

    async fn handle(&self, mut stream: TcpStream, to: u16, draw: u64) -> Result<()> {
        let request = read_request(&mut stream).await?;
        let kind = if self.faulty.load(Ordering::Relaxed) {
            draw % 16
        } else {
            99
        };
        let part = usize::try_from(draw >> 8).unwrap_or(0);
        if kind < 8 {
            self.done.faults.fetch_add(1, Ordering::Relaxed);
        }
        self.done.passed.fetch_add(1, Ordering::Relaxed);
        let pause = Duration::from_millis(draw >> 20 & 31);
        match kind {
            // Lost on the way there.
            0 => return Ok(()),
            // Half of it arrives.
            1 => {
                let half = &request[..part % request.len()];
                let mut backend = TcpStream::connect(("127.0.0.1", to)).await?;
                backend.write_all(half).await?;
                return Ok(());
            }
            // A network that wants its own page opened first.
            2 => {
                let page = "<!doctype html><title>Sign in</title>";
                let answer = format!(
                    "HTTP/1.1 200 OK\r\ncontent-length: {}\r\n\r\n{page}",
                    page.len()
                );
                stream.write_all(answer.as_bytes()).await?;
                return Ok(());
            }
            // It arrives, but later than what the phone sends next.
            3 => {
                tokio::spawn(async move {
                    tokio::time::sleep(pause * 4).await;
                    wire::exchange(to, &request).await
                });
                return Ok(());
            }
            // It arrives twice, at the same time.
            4 => {
                let again = request.clone();
                tokio::spawn(async move { wire::exchange(to, &again).await });
            }
            5 => tokio::time::sleep(pause).await,
            _ => {}
        }
        let answer = wire::exchange(to, &request).await?;
        match kind {
            // Lost on the way back.
            6 => {}
            // Half of the answer arrives.
            7 => {
                stream
                    .write_all(&answer[..part % answer.len().max(1)])
                    .await?
            }
            _ => stream.write_all(&answer).await?,
        }
        Ok(())
    }
}

async fn read_request(stream: &mut TcpStream) -> Result<Vec<u8>> {
    let mut bytes = Vec::new();
    let mut wanted = None;
    while wanted.is_none_or(|w| bytes.len() < w) {
        let mut part = [0; 8192];
        let n = stream.read(&mut part).await?;
        anyhow::ensure!(n > 0, "the phone went away");
        bytes.extend_from_slice(&part[..n]);
        if let (None, Some(end)) = (wanted, wire::head_end(&bytes)) {
            let head = String::from_utf8_lossy(&bytes[..end]).to_ascii_lowercase();
            let length = head.split("content-length: ").nth(1);
            let length = length.and_then(|l| l.split("\r\n").next()?.parse::<usize>().ok());
            wanted = Some(end + length.unwrap_or(0));
        }
    }
    Ok(bytes)
}
